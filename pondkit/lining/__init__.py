"""Liner and the geotextiles under and over it: size, panels and seams, strips, mass, order."""

from pondkit.lining.least import Turn, least_area_turn
from pondkit.lining.work import LinerResult, LiningResult, Under, work_out

__all__ = ["LinerResult", "LiningResult", "Turn", "Under", "least_area_turn", "work_out"]
