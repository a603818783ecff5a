"""The water side: intake, pumps, pipes, filter, falls, oxygen, levels."""

from pondkit.water.bodies import Body
from pondkit.water.work import RunResult, WaterResult, running_water, work_out

__all__ = ["Body", "RunResult", "WaterResult", "running_water", "work_out"]
