"""Relations of the liner trade, by topic."""
