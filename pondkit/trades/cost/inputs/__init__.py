"""What this trade asks for: its part of the document."""
