"""Relations of the water side: numbers in, a number out, each with its source."""
