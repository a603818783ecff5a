"""Works the earthwork out, by topic."""

from pondkit.trades.earthwork.compute import (
    as_built,
    berms,
    excavation,
    haul,
    level_rows,
    levels,
    setting_out,
    soil,
    stream_beds,
    structures,
)

__all__ = [
    "as_built",
    "berms",
    "excavation",
    "haul",
    "level_rows",
    "levels",
    "setting_out",
    "soil",
    "stream_beds",
    "structures",
]
