"""Dry-stacked walls: pressure of the backfill, and what every joint holds."""

from pondkit.walls.work import WallsResult, work_out

__all__ = ["WallsResult", "work_out"]
