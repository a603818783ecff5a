"""What the dig keeps clear of, and the way in."""
