"""Lifting: what the machine may lift from where it stands, and in which order the stones are set."""
