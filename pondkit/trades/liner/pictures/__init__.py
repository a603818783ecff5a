"""What this trade draws."""
