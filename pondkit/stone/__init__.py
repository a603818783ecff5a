"""Stone: boulders and edging, their mass, and what they take of the water."""

from pondkit.stone.rows import fits, inward
from pondkit.stone.standing import Water, seat, water
from pondkit.stone.work import StoneResult, work_out

__all__ = ["StoneResult", "Water", "fits", "inward", "seat", "water", "work_out"]
