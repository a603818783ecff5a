"""What the earthwork hands on, by topic."""
