"""The lift plan, gathered from all trades: what is lifted, and all that is dug, buried and heaped where a machine stands."""

import math
from dataclasses import dataclass

from pondkit.core.remembered import remembered
from pondkit.geometry.hole import Hole, strip_beside
from pondkit.geometry.kept import Footprint
from pondkit.geometry.mound import Heaped
from pondkit.geometry.standing import stands
from pondkit.geometry.trench import Cut
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option, Site
from pondkit.trades.earthwork.results.excavation import Structure
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.places import Beside
from pondkit.trades.lifting.places import Hole as lifting_Hole
from pondkit.trades.lifting.swings import Load, best, rig_of
from pondkit.trades.lifting.work import LiftingResult, lift_figures
from pondkit.trades.lifting.work import stood as lifting_stood
from pondkit.trades.lifting.work import work_out as lifting_work_out
from pondkit.trades.liner import between
from pondkit.trades.liner.ending import reach_of
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import heavy
from pondkit.trades.stone.work import StoneResult
from pondkit.trades.walls.inputs import Walls


@dataclass(frozen=True)
class Around:
    """What is dug and heaped beside the pools, as a machine meets it.

    Attributes:
        stood: What stands in a hole.
        buried: Trenches of pipe and pits of dens.
        heaped: Berm and banks.
    """

    stood: tuple[Structure, ...]
    buried: tuple[Cut, ...]
    heaped: tuple[Heaped, ...]


def work_out(
    option: Option,
    site: Site,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    around: Around,
) -> LiftingResult | None:
    """The lift plan; None where the option has none.

    Args:
        option: As drawn.
        site: Its soil, its groundwater, and where its way in ends.
        pools: Those that could be worked out.
        stones: The stone; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        around: What a machine keeps off besides the pools.
    """
    if option.lifting is None or ground is None or len(pools) < len(option.pools):
        return None  # no place is known to be safe while the dig of a pool is not known
    kinds = stones.kinds if stones else ()
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    high = {kind.boulder.name: min(kind.boulder.axes) * (1 + kind.boulder.axes_within) for kind in kinds}
    under = {kind.boulder.name: kind.boulder.rests_on for kind in kinds}
    loads = []
    for kind in kinds:
        drawn, name = kind.boulder, kind.boulder.name
        if drawn.pool is not None and drawn.pool not in digs:
            continue
        own = [digs[drawn.pool]] if drawn.pool else list(digs.values())  # a stone of no pool may still lie in one
        met = [stands(dig, ground, drawn.places) for dig in own]
        below, on = 0.0, drawn.rests_on
        for _ in kinds:  # a stack is no higher than there are kinds, also where it goes round in a ring
            below, on = below + high.get(on or "", 0.0), under.get(on or "")
        for at, place in enumerate(drawn.places):
            spot = float(place[0]), float(place[1])
            level = min(under_it[at].level for under_it in met) + below
            half = max(drawn.axes) * (1 + drawn.axes_within) / 2
            in_basin = any(math.isfinite(under_it[at].width) for under_it in met)
            on = drawn.rests_on or ""
            loads.append(Load(kind.index, name, at + 1, spot, level, high[name], half, kind.mass.most, on, in_basin))
    unplaced = sum(kind.boulder.count for kind in kinds) - len(loads)
    beside = _beside(option, pools, site.groundwater, around)
    slung = heavy.slings(option, stones)
    end = site.way_in.points[-1] if site.way_in and site.way_in.points else None
    comes = (float(end[0]), float(end[1])) if end else None
    return _lifted(
        option.lifting, tuple(loads), unplaced, beside, ground, site.soil, slung.hooks if slung else (), comes
    )


def _beside(option: Option, pools: tuple[PoolResult, ...], groundwater: float | None, around: Around) -> Beside:
    """What a machine keeps off: by value, so that what moves elsewhere leaves its places as they are."""
    edge = reach_of(option.lining)
    lined = between.lined_of(option)
    digs = [(pool.name, pool.surfaces.dig) for pool in pools]
    holes = [
        lifting_Hole(
            name,
            dig,
            dig.rim + edge if name in lined else None,
            groundwater is not None and groundwater > dig.level - dig.bowl.deepest,
        )
        for name, dig in digs
    ]
    others = [one.hole for one in around.stood] + [hole for cut in around.buried for hole in _as_holes(cut)]
    holes += [lifting_Hole(one.name, one, None, groundwater is not None and groundwater > one.bottom) for one in others]
    backs = _backs(option.walls) if option.walls else ()
    return Beside(tuple(holes), tuple(heap.footprint for heap in around.heaped), backs)


@remembered
def _as_holes(cut: Cut) -> tuple[Hole, ...]:
    return cut.as_holes()


@remembered
def _backs(drawn: Walls) -> tuple[Footprint, ...]:
    """What lies behind each wall that has a line, within its height."""
    found = []
    for wall in drawn.walls:
        wide = float(sum(course.height for course in wall.courses))
        back = strip_beside(wall.points, 0.0, wide, 0.0) if wall.points and wide else None
        found += [Footprint(wall.name, back)] if back else []
    return tuple(found)


def _lifted(
    drawn: Lifting,
    loads: tuple[Load, ...],
    unplaced: int,
    beside: Beside,
    ground: Terrain,
    soil: str,
    hooks: tuple[tuple[str, float], ...],
    way_in: tuple[float, float] | None,
) -> LiftingResult:
    """The lift plan, stone by stone: a moved tier lifts only the stones again that stand on it."""
    rig = rig_of(drawn.changed(positions=()))
    stands = lifting_stood(drawn, rig, beside, ground, soil)
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
    return lifting_work_out(drawn, rig, stands, lifts, tuple(figures), loads, unplaced, beside.holes, hooks, way_in)
