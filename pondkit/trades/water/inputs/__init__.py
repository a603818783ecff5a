"""Inputs of the water side: its part of the document."""
