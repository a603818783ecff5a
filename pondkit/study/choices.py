"""What fields of an option may choose from, before anything is worked out."""

from pondkit.project.project import Option
from pondkit.trades.earthwork.compute import level_rows, structures
from pondkit.trades.liner.inputs import TRENCH, lined_pools


def row_names(option: Option) -> list[str]:
    """Names of the levels to dig by."""
    held = option.lining is not None and option.lining.edge_kind == TRENCH
    anchored = lined_pools(option.lining) if held else frozenset()
    standing = structures.drawn(option.water, option.walls)
    return level_rows.row_names(option.pools, option.links, option.stone, anchored, option.tunnels, standing)
