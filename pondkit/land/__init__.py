"""The ground as it is: level, plane, survey or level book."""

from pondkit.land.work import LandResult, work_out

__all__ = ["LandResult", "work_out"]
