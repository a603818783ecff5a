"""Geometry alone: outlines, depth profiles, areas, volumes, paths, ground. Knows no trade. Only here shapely."""
