"""The ground as it is (level, plane, survey or level book), what the dig keeps clear of, and the way in."""

from pondkit.land.keep import KeptResult, Load, clear_of, keeping, kept_things
from pondkit.land.work import LandResult, work_out

__all__ = ["KeptResult", "LandResult", "Load", "clear_of", "keeping", "kept_things", "work_out"]
