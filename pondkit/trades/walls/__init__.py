"""Dry-stacked walls: pressure of the backfill, and what every joint holds."""
