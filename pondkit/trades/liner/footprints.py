"""The liners with the pools under them: rims, sheet in both directions, edge, anchor trench."""

from collections.abc import Mapping

from pondkit.core.remembered import remembered
from pondkit.geometry.sheet import cover, rims_of, sheets
from pondkit.geometry.site_line import ring_round
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner.edge import edge_of, trench_out
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.results import LinerFootprint

_footprint = remembered(LinerFootprint)


def footprints(lining: Lining, pools: Mapping[str, SiteSurface]) -> tuple[LinerFootprint, ...]:
    """The liners that cover a pool that could be worked out.

    Args:
        lining: As entered.
        pools: Liner surface of each such pool.
    """
    made = []
    edge, out = edge_of(lining), trench_out(lining)
    for liner in lining.liners:
        names = tuple(name for name in dict.fromkeys(liner.covers) if name in pools)
        if not names:
            continue
        surfaces = tuple(pools[name] for name in names)
        rims = rims_of(tuple((pool.surface.pool.shape, pool.placed, pool.rim) for pool in surfaces))
        turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
        along, across = sheets(surfaces, turn, edge)
        areas = tuple(cover(pool, edge) for pool in surfaces)
        trench = None
        if out is not None:
            trench = ring_round(tuple((pool.surface.pool.shape, pool.placed, pool.rim + out) for pool in surfaces))
        made.append(_footprint(liner, names, surfaces, areas, rims, turn, along, across, edge, trench))
    return tuple(made)
