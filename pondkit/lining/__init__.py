"""Liner and the geotextiles under and over it: size, panels and seams, strips, mass, order."""

from pondkit.lining.buying import Mark
from pondkit.lining.ending import TRENCH, UP, Soil, edge_of, reach_of, trench_out
from pondkit.lining.extras import Ballast, Burrowed, Floor, Footing, extras
from pondkit.lining.least import Turn, least_area_turn
from pondkit.lining.strips import Channel, Fall
from pondkit.lining.under import Under
from pondkit.lining.work import LinerResult, LiningResult, work_out

__all__ = [
    "TRENCH",
    "UP",
    "Ballast",
    "Burrowed",
    "Channel",
    "Fall",
    "Floor",
    "Footing",
    "LinerResult",
    "LiningResult",
    "Mark",
    "Soil",
    "Turn",
    "Under",
    "edge_of",
    "extras",
    "least_area_turn",
    "reach_of",
    "trench_out",
    "work_out",
]
