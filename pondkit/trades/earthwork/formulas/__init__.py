"""Relations of the earthwork, by topic."""
