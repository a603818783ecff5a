"""What stone asks of ground and machine, gathered from all trades: bearing, lift plan and walls."""

from dataclasses import dataclass

from pondkit import between, lifting, lining, stone, walls
from pondkit.basin import PoolResult
from pondkit.document.keep_outs import WayIn
from pondkit.document.lifting import Lifting
from pondkit.document.project import Option
from pondkit.lifting import LiftingResult
from pondkit.result import Problem, Result, Step
from pondkit.stone import BearingResult, SeatingResult, SlingsResult, StoneResult
from pondkit.surface.hole import Hole
from pondkit.surface.standing import stands
from pondkit.surface.uneven import Terrain
from pondkit.takeoff import Entry
from pondkit.walls import WallsResult


@dataclass(frozen=True, eq=False)
class HeavyResult(Result):
    """What stone asks of ground and machine; each None where the option has none of it."""

    bearing: BearingResult | None
    seating: SeatingResult | None
    lifting: LiftingResult | None
    walls: WallsResult | None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Of what is dug and ordered; those of the lifts change no quantity."""
        return tuple(problem for part in (self.bearing, self.walls) if part for problem in part.problems)

    @property
    def beds(self) -> float | None:
        """What is dug for beds under boulders [m³]; None where that is in trouble."""
        if self.bearing is None:
            return 0.0
        return self.bearing.bedding_order.value if self.bearing.bedding_order else None


def work_out(
    step: Step,
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
    groundwater: float | None,
    others: tuple[Hole, ...] = (),
    way_in: WayIn | None = None,
) -> HeavyResult:
    """What stone asks of ground and machine.

    Args:
        step: Remembers what was worked out, see ``evaluate.Memory``.
        option: As drawn.
        pools: Those that could be worked out.
        stones: The stone; None where the option has none.
        ground: As it is, in site axes; None where it is in trouble.
        soil: The site's, a name in the table of soils.
        groundwater: Highest known level [m]; None where unknown.
        others: Holes beside the pools', that a machine keeps behind too.
        way_in: The site's: where its line ends, the machine comes to the dig.
    """
    borne = _bearing(step, option, pools, stones, ground, soil)
    seated = _seating(step, pools, stones, ground, borne)
    walled = step(walls.work_out, option.walls, soil) if option.walls else None
    lifted = _lifting(step, option, pools, stones, ground, soil, groundwater, others, way_in)
    return step(HeavyResult, borne, seated, lifted, walled)


def slings(step: Step, option: Option, stones: StoneResult | None) -> SlingsResult | None:
    """The slings with every boulder; None where the option has none. By value, so that a stone that stands otherwise in its
    pool hangs in its slings as before."""
    if option.stone is None or stones is None or not option.stone.slings:
        return None
    high = tuple((kind.boulder, kind.mass.most) for kind in stones.kinds)
    return step(stone.slings, option.stone.slings, option.stone.rigging, high)


def _bearing(
    step: Step,
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
) -> BearingResult | None:
    if option.stone is None or stones is None or option.stone.bearing is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools} if ground else {}
    resting = tuple(
        stone.Resting(
            kind.index,
            kind.boulder,
            kind.mass.most,
            step(stands, digs[kind.boulder.pool], ground, kind.boulder.places) if kind.boulder.pool in digs else (),
        )
        for kind in stones.kinds
    )
    return step(stone.bearing, option.stone.bearing, resting, soil)


def _seating(
    step: Step,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    borne: BearingResult | None,
) -> SeatingResult | None:
    """How placed stones lie that no bearing is worked out for, which refuses such places itself; None where there are none."""
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    able = borne is not None and borne.bearing_allowed is not None
    found: list[Entry] = []
    for kind in stones.kinds:
        drawn = kind.boulder
        if drawn.rests_on is not None or not drawn.places or (able and drawn.pool in digs):
            continue
        own = {drawn.pool: digs[drawn.pool]} if drawn.pool in digs else digs
        met = [(name, step(stands, dig, ground, drawn.places)) for name, dig in own.items()]
        lowest = tuple(
            min(((name, at[place]) for name, at in met), key=lambda one: one[1].level)
            for place in range(len(drawn.places) if met else 0)
        )
        found += step(stone.seating, drawn, lowest)
    return step(SeatingResult, tuple(found)) if found else None


def _lifting(
    step: Step,
    option: Option,
    pools: tuple[PoolResult, ...],
    stones: StoneResult | None,
    ground: Terrain | None,
    soil: str,
    groundwater: float | None,
    others: tuple[Hole, ...],
    way_in: WayIn | None,
) -> LiftingResult | None:
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
        met = [step(stands, dig, ground, drawn.places) for dig in own]
        below, on = 0.0, drawn.rests_on
        for _ in kinds:  # a stack is no higher than there are kinds, also where it goes round in a ring
            below, on = below + high.get(on or "", 0.0), under.get(on or "")
        for at, place in enumerate(drawn.places):
            spot = float(place[0]), float(place[1])
            level = min(under_it[at].level for under_it in met) + below
            half = max(drawn.axes) * (1 + drawn.axes_within) / 2
            loads.append(
                lifting.Load(
                    kind.index, name, at + 1, spot, level, high[name], half, kind.mass.most, drawn.rests_on or ""
                )
            )
    unplaced = sum(kind.boulder.count for kind in kinds) - len(loads)
    edge = lining.reach_of(option.lining)
    lined = between.lined_of(option)
    holes = tuple(
        lifting.Hole(
            name,
            dig,
            dig.rim + edge if name in lined else None,
            groundwater is not None and groundwater > dig.level - dig.bowl.deepest,
        )
        for name, dig in digs.items()
    ) + tuple(
        lifting.Hole(hole.name, hole, None, groundwater is not None and groundwater > hole.bottom) for hole in others
    )
    slung = slings(step, option, stones)
    end = way_in.points[-1] if way_in and way_in.points else None
    comes = (float(end[0]), float(end[1])) if end else None
    return _lifted(
        step, option.lifting, tuple(loads), unplaced, holes, ground, soil, slung.hooks if slung else (), comes
    )


def _lifted(
    step: Step,
    drawn: Lifting,
    loads: tuple[lifting.Load, ...],
    unplaced: int,
    holes: tuple[lifting.Hole, ...],
    ground: Terrain,
    soil: str,
    hooks: tuple[tuple[str, float], ...],
    way_in: tuple[float, float] | None,
) -> LiftingResult:
    """The lift plan, stone by stone: a moved tier lifts only the stones again that stand on it."""
    rig = step(lifting.rig_of, drawn.changed(positions=()))
    stands = step(lifting.stood, drawn, rig, holes, ground, soil)
    able = rig.chart is not None and stands.footings
    tried = [step(lifting.best, rig, load, stands.footings) for load in loads] if able else []
    lifts = tuple(each for each in tried if each.rated)
    spots = {
        at.index: (drawn.positions[at.index].name, at.at, notes)
        for at, notes in zip(stands.footings, stands.notes, strict=True)
    }
    figures = []
    for each in lifts:
        name, at, notes = spots[each.position]
        figures.append(step(lifting.lift_figures, rig, name, at, each, notes))
    return step(lifting.work_out, drawn, rig, stands, lifts, tuple(figures), loads, unplaced, holes, hooks, way_in)
