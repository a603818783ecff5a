"""Relations of stone: numbers in, a number out, each with its source."""
