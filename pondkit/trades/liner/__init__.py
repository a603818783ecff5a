"""Liner and the geotextiles under and over it: size, panels and seams, strips, mass, order."""
