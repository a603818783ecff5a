"""Stone: boulders and edging, their mass, and what they take of the water."""

from pondkit.stone.bearing import BearingResult, Resting, bearing
from pondkit.stone.kinds import rock_of
from pondkit.stone.rows import fits, inward
from pondkit.stone.seating import SeatingResult, seating
from pondkit.stone.slinging import SlingsResult, slings
from pondkit.stone.standing import Water, seat, water
from pondkit.stone.work import StoneResult, work_out

__all__ = [
    "BearingResult",
    "Resting",
    "SeatingResult",
    "SlingsResult",
    "StoneResult",
    "Water",
    "bearing",
    "fits",
    "inward",
    "rock_of",
    "seat",
    "seating",
    "slings",
    "water",
    "work_out",
]
