"""What fields of an option may choose from, before anything is worked out."""

from pondkit.project.project import Option
from pondkit.trades.earthwork.compute import level_rows, structures
from pondkit.trades.liner import between
from pondkit.trades.liner.ending import TRENCH


def row_names(option: Option) -> list[str]:
    """Names of the levels to dig by."""
    held = option.lining is not None and option.lining.edge_kind == TRENCH
    anchored = between.lined_of(option) if held else set()
    standing = structures.drawn(option.water, option.walls)
    return level_rows.row_names(option.pools, option.links, option.stone, anchored, option.tunnels, standing)
