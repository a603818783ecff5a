"""Liner and the geotextiles under and over it: size, panels and seams, strips, mass, order."""

from pondkit.lining.buying import Mark
from pondkit.lining.extras import Burrowed, Floor, Footing, extras
from pondkit.lining.least import Turn, least_area_turn
from pondkit.lining.strips import Channel, Fall
from pondkit.lining.under import Under
from pondkit.lining.work import LinerResult, LiningResult, work_out

__all__ = [
    "Burrowed",
    "Channel",
    "Fall",
    "Floor",
    "Footing",
    "LinerResult",
    "LiningResult",
    "Mark",
    "Turn",
    "Under",
    "extras",
    "least_area_turn",
    "work_out",
]
