"""The basin: pools with tiers and pits, their surfaces, areas and volumes."""
