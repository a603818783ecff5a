"""What the animals need, checked against what the design gives them."""
