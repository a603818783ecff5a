"""Relations of the tunnels, by topic: numbers in, a number out, each with its source."""
