"""Computes the earthwork, by topic."""

from pondkit.trades.earthwork.compute import as_built, berms, excavation, levels, setting_out, soil, stream_beds

__all__ = [
    "as_built",
    "berms",
    "excavation",
    "levels",
    "setting_out",
    "soil",
    "stream_beds",
]
