"""Numerical methods that know no trade."""
