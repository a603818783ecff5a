"""How each trade's work is cut into steps, so that what a change leaves as it was is not worked out again."""

from pondkit.geometry.beside import highest_along
from pondkit.geometry.cover import cover
from pondkit.geometry.round import ring_round
from pondkit.geometry.sheet import rims_of, sheets
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.liner import between
from pondkit.trades.liner.buying import Mark
from pondkit.trades.liner.ending import UP, Soil, edge_of, trench_out
from pondkit.trades.liner.extras import extras
from pondkit.trades.liner.inputs import Lining
from pondkit.trades.liner.under import Under, make_under
from pondkit.trades.liner.work import LiningResult
from pondkit.trades.liner.work import work_out as lining_work_out
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import StoneResult
from pondkit.trades.water.results import RunResult


def lining_of(
    option: Option,
    pools: tuple[PoolResult, ...],
    marks: tuple[Mark, ...],
    stones: StoneResult | None,
    groundwater: float | None,
    ground: Terrain | None,
    running: RunResult | None,
    whole: bool,
) -> LiningResult | None:
    """Liners with their fabrics; None where the option has none."""
    drawn = option.lining
    if drawn is None:
        return None
    found = {pool.name: pool.surfaces.liner for pool in pools}
    unders = []
    edge, out = edge_of(drawn), trench_out(drawn)
    for liner in drawn.liners:
        names = tuple(name for name in dict.fromkeys(liner.covers) if name in found)
        if not names:
            continue
        laid = tuple(found[name] for name in names)
        rims = rims_of(tuple((pool.bowl.pool.shape, pool.placed, pool.rim) for pool in laid))
        turn = rims.turn_deg if liner.turn_deg is None else float(liner.turn_deg)
        along, across = sheets(laid, turn, edge)
        areas = tuple(cover(pool, edge) for pool in laid)
        trench = None
        if out is not None:
            trench = ring_round(tuple((pool.bowl.pool.shape, pool.placed, pool.rim + out) for pool in laid))
        unders.append(make_under(liner, names, laid, areas, rims, turn, along, across, edge, trench))
    names = tuple(pool.name for pool in option.pools)
    about = extras(
        drawn,
        tuple(unders),
        between.falls_of(option, found, running),
        between.footings_of(option),
        between.floors_of(option, pools),
        between.ballast_of(option, pools, stones, groundwater),
        between.burrows_of(option, pools),
        _soils(drawn, tuple(unders), ground),
        groundwater,
    )
    return lining_work_out(
        drawn, tuple(unders), names, marks, about, float(option.water_rise), whole, between.links_on_one(option)
    )


def _soils(drawn: Lining, unders: tuple[Under, ...], ground: Terrain | None) -> tuple[Soil, ...]:
    """The highest ground along each line at which a liner is turned up; nothing where none is, or the ground is in
    trouble.
    """
    if ground is None or drawn.edge_kind != UP:
        return ()
    found = []
    for under in unders:
        for name, laid in zip(under.names, under.laid, strict=True):
            others = tuple((pool.bowl.pool.shape, pool.placed, pool.rim) for pool in under.laid if pool is not laid)
            line = (laid.bowl.pool.shape, laid.placed, laid.rim + float(drawn.edge_back))
            top = highest_along(line, others, ground)
            if top.at is not None:
                found.append(Soil(f"{under.liner.name} / {name}", laid.rim_level, top.level, top.at))
    return tuple(found)
