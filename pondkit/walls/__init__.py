"""Dry-stacked walls: pressure of the backfill, and what every joint holds."""

from pondkit.walls.ordering import WallStone, fronts, stone_of
from pondkit.walls.work import WallsResult, work_out

__all__ = ["WallStone", "WallsResult", "fronts", "stone_of", "work_out"]
