"""The water side: intake, pumps, pipes, filter, falls, oxygen, levels."""

from pondkit.water.afloat import Afloat, AfloatResult, afloat
from pondkit.water.bodies import Body
from pondkit.water.work import RunResult, WaterResult, running_water, work_out

__all__ = [
    "Afloat",
    "AfloatResult",
    "Body",
    "RunResult",
    "WaterResult",
    "afloat",
    "running_water",
    "work_out",
]
