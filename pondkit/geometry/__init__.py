"""Geometry without any trade: outlines, depth profiles, areas, volumes, paths, ground. Only here shapely."""
