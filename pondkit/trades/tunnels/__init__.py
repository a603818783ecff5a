"""Pipe passages between water and den: runs, fittings, cut list, penetrations, what water reaches."""
