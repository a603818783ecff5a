"""Where the soil goes: bank, loose and compacted volumes, topsoil, berm, trucks and machine hours; and what the crew digs by."""

from pondkit.earth.levels import Level, LevelRows, Levels, instrument, level_rows, pool_levels, row_names
from pondkit.earth.levels import work_out as levels
from pondkit.earth.work import EarthResult, work_out

__all__ = [
    "EarthResult", "Level", "LevelRows", "Levels", "instrument", "level_rows", "levels", "pool_levels", "row_names", "work_out",
]  # fmt: skip
