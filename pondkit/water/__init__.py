"""The water side: intake, pumps, pipes, filter, falls, oxygen, levels."""

from pondkit.water.bodies import Body
from pondkit.water.work import WaterResult, work_out

__all__ = ["Body", "WaterResult", "work_out"]
