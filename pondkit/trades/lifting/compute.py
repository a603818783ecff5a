"""The lift plan of an option: what is lifted, and all that is dug, buried and heaped where a machine stands."""

import math

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import Footprint
from pondkit.geometry.hole import Hole, strip_beside
from pondkit.geometry.site_surface import stands
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import TrenchCut
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.plan import Task, lift_figures, lift_plan, stances
from pondkit.trades.lifting.positions import MachineSurroundings, OpenDig, best, machine_of
from pondkit.trades.lifting.results import LiftingResult, LiftLoad, LiftSite, Spot
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import SlingsResult, StoneResult
from pondkit.trades.walls.inputs import Walls


def compute(
    drawn: Lifting | None,
    pools: tuple[PoolResult, ...] | None,
    stones: StoneResult | None,
    slung: SlingsResult | None,
    around: LiftSite,
    ground: Terrain | None,
) -> LiftingResult | None:
    """The lift plan; None where the option has none, or the ground is in trouble.

    Args:
        drawn: As drawn.
        pools: All of the option; None where one is in trouble: no place is safe while the dig of a pool is not known.
        stones: The stone; None where the option has none.
        slung: The slings, which hold the hook over a stone; None without any.
        around: What a machine keeps off besides the pools, and the site.
        ground: As it is, in site axes; None where it is in trouble.
    """
    if drawn is None or pools is None or ground is None:
        return None
    loads = _loads(pools, stones, ground)
    placed = len(loads)
    whole = sum(kind.boulder.count for kind in stones.kinds) if stones else 0
    beside = _beside(pools, around)
    hooks = slung.hooks if slung else ()
    return _lifted(drawn, loads, whole - placed, beside, ground, (around.soil, hooks, around.way_end))


def _loads(pools: tuple[PoolResult, ...], stones: StoneResult | None, ground: Terrain) -> tuple[LiftLoad, ...]:
    """Every placed boulder, with the level that it is set on."""
    kinds = stones.kinds if stones else ()
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    high = {kind.boulder.name: min(kind.boulder.axes) * (1 + kind.boulder.axes_within) for kind in kinds}
    under = {kind.boulder.name: kind.boulder.rests_on for kind in kinds}
    loads = []
    for kind in kinds:
        drawn, name = kind.boulder, kind.boulder.name
        if drawn.pool is not None and drawn.pool not in digs:
            continue
        nearby = [digs[drawn.pool]] if drawn.pool else list(digs.values())  # a stone of no pool may still lie in one
        met = [stands(dig, ground, drawn.places) for dig in nearby]
        below, on = 0.0, drawn.rests_on
        for _ in kinds:  # a stack is no higher than there are kinds, also where it goes round in a ring
            below, on = below + high.get(on or "", 0.0), under.get(on or "")
        for at, place in enumerate(drawn.places):
            spot = float(place[0]), float(place[1])
            level = min(under_it[at].level for under_it in met) + below
            half = max(drawn.axes) * (1 + drawn.axes_within) / 2
            in_basin = any(math.isfinite(under_it[at].width) for under_it in met)
            on = drawn.rests_on or ""
            loads.append(
                LiftLoad(kind.index, name, at + 1, spot, level, high[name], half, kind.mass.most, on, in_basin)
            )
    return tuple(loads)


def _beside(pools: tuple[PoolResult, ...], around: LiftSite) -> MachineSurroundings:
    """What a machine keeps off: by value, so that what moves elsewhere leaves its places as they are."""
    groundwater = around.groundwater
    digs = [(pool.name, pool.surfaces.dig) for pool in pools]
    holes = [
        OpenDig(
            name,
            dig,
            dig.rim + around.liner_edge if name in around.lined else None,
            groundwater is not None and groundwater > dig.level - dig.surface.deepest,
        )
        for name, dig in digs
    ]
    others = [one.hole for one in around.structures] + [hole for cut in around.buried for hole in _as_holes(cut)]
    holes += [OpenDig(one.name, one, None, groundwater is not None and groundwater > one.bottom) for one in others]
    backs = _backs(around.walls) if around.walls else ()
    return MachineSurroundings(tuple(holes), tuple(heap.footprint for heap in around.heaped), backs)


@remembered
def _as_holes(cut: TrenchCut) -> tuple[Hole, ...]:
    return cut.as_holes()


@remembered
def _backs(drawn: Walls) -> tuple[Footprint, ...]:
    """What lies behind each wall that has a line, within its height."""
    backs = []
    for wall in drawn.walls:
        wide = float(sum(course.height for course in wall.courses))
        back = strip_beside(wall.points, 0.0, wide, 0.0) if wall.points and wide else None
        backs += [Footprint(wall.name, back)] if back else []
    return tuple(backs)


def _lifted(
    drawn: Lifting,
    loads: tuple[LiftLoad, ...],
    unplaced: int,
    beside: MachineSurroundings,
    ground: Terrain,
    known: tuple[str, tuple[tuple[str, float], ...], Spot | None],
) -> LiftingResult:
    """The lift plan, stone by stone: a moved tier lifts only the stones again that stand on it.

    ``known`` is the soil, how far slings hold the hook over each kind, and where the way in ends.
    """
    soil, hooks, way_in = known
    rig = machine_of(drawn.changed(positions=()))
    stands = stances(drawn, rig, beside, ground, soil)
    able = rig.chart is not None and stands.footings
    tried = [best(rig, load, stands.footings) for load in loads] if able else []
    lifts = tuple(each for each in tried if each.rated)
    spots = {
        at.index: (drawn.positions[at.index].name, at.at, notes)
        for at, notes in zip(stands.footings, stands.notes, strict=True)
    }
    figures = []
    for each in lifts:
        name, at, notes = spots[each.position]
        figures.append(lift_figures(rig, name, at, each, notes))
    return lift_plan(
        drawn, rig, stands, tuple(zip(lifts, figures, strict=True)), Task(loads, unplaced, beside.holes, hooks, way_in)
    )
