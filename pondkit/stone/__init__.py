"""Stone: boulders and edging, their mass, and what they take of the water."""

from pondkit.stone.seat import Water, seat
from pondkit.stone.work import StoneResult, work_out

__all__ = ["StoneResult", "Water", "seat", "work_out"]
