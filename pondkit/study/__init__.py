"""What looks at a whole option."""
