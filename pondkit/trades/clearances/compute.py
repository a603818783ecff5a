"""Clearances: how near digs, heaps, machines, booms and way in come to what they keep clear of."""

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.geometry.ditch import ditch_footprint
from pondkit.geometry.footprint import Footprint, Kept, body_footprint, dig_footprint, swept_footprint, way_footprint
from pondkit.geometry.hole import hole_footprint
from pondkit.geometry.trench import cut_footprint
from pondkit.trades.clearances.distances import WayLoad, clear_of, kept_result, kept_things
from pondkit.trades.clearances.inputs import KeepOut, WayIn
from pondkit.trades.clearances.results import KeptResult
from pondkit.trades.earthwork.results.excavation import StreamBed
from pondkit.trades.lifting.results import LiftingResult, LiftSite
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.inputs.stone import Boulder

BELOW = ("buried service", "overflow outfall")  # what no boom meets


def compute(
    keep_outs: tuple[KeepOut, ...],
    way: WayIn | None,
    pools: tuple[PoolResult, ...],
    beds: tuple[StreamBed, ...],
    around: LiftSite,
    lifts: LiftingResult | None,
    boulders: tuple[Boulder, ...],
) -> KeptResult | None:
    """How near digs, heaps, machines and way in come to what is kept clear; None with neither that nor a way in.

    Args:
        keep_outs, way: Of the site, as drawn.
        pools: Those that could be worked out.
        beds: Stream beds, as they are dug.
        around: What is dug, built and heaped besides.
        lifts: The lift plan; None where the option has none.
        boulders: Those that must come in by the way.
    """
    if not keep_outs and way is None:
        return None
    drawn = kept_things(keep_outs)
    digs = [pool.surfaces.dig for pool in pools]
    prints: list[Footprint] = [
        dig_footprint(
            pool.name, dig.surface.pool.shape, dig.placed, max(pool.ground.reach if pool.ground else 0.0, dig.rim)
        )
        for pool, dig in zip(pools, digs, strict=True)
    ]
    prints += [hole_footprint(one.hole) for one in around.structures]
    prints += [ditch_footprint(one.cut) for one in beds]
    distances = [clear_of(one, drawn[0]) for one in prints]
    buried = tuple(clear_of(cut_footprint(cut), drawn[0]) for cut in around.buried)
    distances.append(_nearest(buried))
    distances += [clear_of(one.footprint, drawn[0], "heaps") for one in around.heaped]
    bodies, booms = _machines(lifts) if keep_outs else ((), ())
    distances += [clear_of(one, drawn[0], "stands") for one in bodies]
    above = _above(drawn[0])
    distances += [clear_of(one, above, "swings") for one in booms]
    taken = way_footprint("way in", way.points, float(way.machine_width + 2 * way.room)) if way else None
    if taken:
        crossed = _crossed(drawn[0])
        distances.append(clear_of(taken, crossed))
    # Carried with its longest side along the way, upright on its shortest: as wide as its middle side.
    loads = tuple(WayLoad(b.name, float(sorted(b.axes)[1] * (1 + b.axes_within))) for b in boulders)
    return kept_result(drawn, tuple(distances), way, taken, loads, (*bodies, *booms))


@remembered
def _nearest(rows: tuple[tuple[Entry, ...], ...]) -> tuple[Entry, ...]:
    """Of many trenches those that come too near each thing that is kept clear, or
    else the one that comes nearest to it.
    """
    found: list[Entry] = []
    for column in zip(*rows, strict=True):
        found += [figure for figure in column if figure.cautions] or [min(column, key=lambda figure: figure.value)]
    return tuple(found)


def _machines(lifts: LiftingResult | None) -> tuple[tuple[Footprint, ...], tuple[Footprint, ...]]:
    """Bodies of the machine at its positions, and what its boom sweeps with the stones that it sets from there."""
    if lifts is None:
        return (), ()
    bodies, booms = [], []
    for index, (name, at, _, pick_up) in enumerate(lifts.spots):
        bodies.append(body_footprint(f"machine at {name}", at, lifts.size))
        swings = tuple(
            (pick_up, each.load.at, each.phases[1].radius + each.load.half)
            for each in lifts.lifts
            if each.position == index
        )
        if swings:
            booms.append(swept_footprint(f"boom at {name}", at, tuple(sorted(swings))))
    return tuple(bodies), tuple(booms)


@remembered
def _above(things: tuple[Kept, ...]) -> tuple[Kept, ...]:
    """What a boom keeps clear of: not what lies in the ground."""
    return tuple(thing for thing in things if thing.kind not in BELOW)


@remembered
def _crossed(things: tuple[Kept, ...]) -> tuple[Kept, ...]:
    """What the way in keeps clear of: it crosses the boundary to come in."""
    return tuple(thing for thing in things if not thing.within)
