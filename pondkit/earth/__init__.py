"""Where the soil goes: bank, loose and compacted volumes, topsoil, berm, trucks and machine hours; and what the crew digs by."""

from pondkit.earth.berms import Banks, BermDrawn, Hidden
from pondkit.earth.dug import AsDug, LineDug, LinerDug, PoolDug, spots, tape_problem
from pondkit.earth.dug import work_out as as_dug
from pondkit.earth.levels import (
    Level,
    LevelRows,
    Levels,
    anchor_level,
    hole_level,
    instrument,
    level_rows,
    pool_levels,
    row_names,
)
from pondkit.earth.levels import work_out as levels
from pondkit.earth.setting_out import (
    KINDS,
    MarkLine,
    SetOut,
    anchor_lines,
    edge_lines,
    foot_lines,
    moved_lines,
    pool_lines,
)
from pondkit.earth.setting_out import work_out as set_out
from pondkit.earth.ties import Tie, ties
from pondkit.earth.trenches import UPRIGHT, Bed, Stands, TrenchesResult, trenches
from pondkit.earth.work import EarthResult, work_out

__all__ = [
    "KINDS",
    "UPRIGHT",
    "AsDug",
    "Banks",
    "Bed",
    "BermDrawn",
    "EarthResult",
    "Hidden",
    "Level",
    "LevelRows",
    "Levels",
    "LineDug",
    "LinerDug",
    "MarkLine",
    "PoolDug",
    "SetOut",
    "Stands",
    "Tie",
    "TrenchesResult",
    "anchor_level",
    "anchor_lines",
    "as_dug",
    "edge_lines",
    "foot_lines",
    "hole_level",
    "instrument",
    "level_rows",
    "levels",
    "moved_lines",
    "pool_levels",
    "pool_lines",
    "row_names",
    "set_out",
    "spots",
    "tape_problem",
    "ties",
    "trenches",
    "work_out",
]  # fmt: skip
