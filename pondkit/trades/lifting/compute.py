"""The lift plan of an option: what is lifted, where the machine may stand between what is dug, buried and heaped, the
figures of each lift, their order and what hinders it.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.caution import ACT, CHECK, Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, ToFill
from pondkit.core.sentence import Words, words
from pondkit.core.tables import gathered
from pondkit.core.units import COUNT, LENGTH, RATIO, SHARE
from pondkit.geometry.footprint import Footprint
from pondkit.geometry.hole import Hole, strip_beside
from pondkit.geometry.site_surface import stands
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import TrenchCut
from pondkit.trades.lifting import cautions as rules
from pondkit.trades.lifting import formulas as rel
from pondkit.trades.lifting.chart import Chart, has_load
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.positions import (
    ExitWay,
    Machine,
    MachineSurroundings,
    OpenDig,
    Stance,
    best,
    heights,
    in_turn,
    machine_of,
    place_notes,
    standing,
    ways_out,
)
from pondkit.trades.lifting.results import Lift, LiftingResult, LiftLoad, LiftSite, Spot
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import SlingsResult, StoneResult
from pondkit.trades.walls.inputs import Walls

PHASES = ("at pick-up", "in the swing", "at its place")
ROUNDING = 1e-9


@dataclass(frozen=True, eq=False)
class Stances:
    """Machine positions: clearance to spare of each, sound ones, and cautions of these."""

    spares: tuple[Entry, ...]
    footings: tuple[Stance, ...]
    notes: tuple[tuple[Caution, ...], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class LiftFigures:
    """Figures of one lift: radius at the place of the stone, and percent of chart in each phase."""

    radius: Entry
    uses: tuple[Entry, Entry, Entry]


@remembered
def stances(lifting: Lifting, rig: Machine, beside: MachineSurroundings, ground: Terrain, soil: str) -> Stances:
    """Checks of all machine positions.

    Args:
        lifting: Inputs of the lift plan.
        rig: Its machine.
        beside: Parts that the machine must avoid.
        ground: As it is, in site axes.
        soil: Soil of the site, a name in the table of soils.
    """
    spares, footings, problems = [], [], list[Problem]()
    for index, position in enumerate(lifting.positions):
        machine_place, pick = ((float(place[0]), float(place[1])) for place in (position.at, position.pick_up))
        level, pick_level = ground.level_at(machine_place), ground.level_at(pick)
        spare, faults = standing(lifting, index, level, pick_level, beside, soil)
        problems += faults
        spares += [spare] if spare else []
        if not faults:
            footings.append(Stance(index, machine_place, pick, float(position.facing_deg), level, pick_level))
    handling = [rules.LIFTING_DEVICES()] if rig.chart and _must_be_made_for_lifting(rig.chart) else []
    notes = tuple(
        (*_level_note(ground, footing), *place_notes(lifting, footing.index, beside), *handling) for footing in footings
    )
    return Stances(tuple(spares), tuple(footings), notes, tuple(problems))


@remembered
def lift_figures(
    rig: Machine, name: str, machine_place: tuple[float, float], single_lift: Lift, notes: tuple[Caution, ...]
) -> LiftFigures:
    """Figures of one lift.

    Args:
        rig: The machine.
        name, machine_place: Name and place of the position that lifts it [m].
        single_lift: The lift.
        notes: Cautions of that position.
    """
    radius = entry(
        rel.lift_radius,
        f"{single_lift.load.subject} / {name}",
        source=USER,
        east=single_lift.load.at[0] - machine_place[0],
        north=single_lift.load.at[1] - machine_place[1],
    )
    pick, swing, place = (_use(rig.drawn, single_lift, phase, notes) for phase in range(3))
    return LiftFigures(radius, (pick, swing, place))


@dataclass(frozen=True)
class Task:
    """Loads to lift, and obstacles.

    Attributes:
        loads: Boulders with a place.
        unplaced: Number of boulders without one.
        holes: Pools and other excavations.
        hooks: (boulder, height of the hook above it [m]) of each kind with slings.
        way_in: Place where the machine enters and leaves the dig [m]; None if no way in is entered.
    """

    loads: tuple[LiftLoad, ...]
    unplaced: int
    holes: tuple[OpenDig, ...]
    hooks: tuple[tuple[str, float], ...]
    way_in: Spot | None


@remembered
def lift_plan(
    lifting: Lifting, rig: Machine, stands: Stances, lifts_made: tuple[tuple[Lift, LiftFigures], ...], task: Task
) -> LiftingResult:
    """Lift plan of all placed boulders, each lifted from the position with the lowest percent of chart.

    Args:
        lifting: Inputs of the lift plan.
        rig: Its machine.
        stands: Its positions.
        lifts_made: Best lift of each load that has one, with its figures; empty without chart or position.
        task: Loads to lift, and obstacles.
    """
    way_in, loads = task.way_in, task.loads
    problems = [*rig.problems, *stands.problems]
    able = bool(rig.chart and stands.footings)
    of_load = {turn.load: loads_in_turn for turn, loads_in_turn in lifts_made}
    if rig.chart and stands.footings:
        lacking = [load for load in loads if load not in of_load]
        problems += _no_rating(lifting, rig.chart, lacking, stands.footings)
    turns = in_turn(lifting, way_in, [turn for turn, _ in lifts_made])
    loads_in_turn = [of_load[turn.load] for turn in turns]
    lifted = sum(turn.use <= lifting.limit + ROUNDING for turn in turns)
    count = None
    if able and loads:
        count = entry(
            rel.boulders_not_lifted,
            "",
            cautions=[
                *_over(lifting, turns, task.unplaced),
                *_too_low(lifting, turns, task.hooks),
                *([] if way_in else [rules.WAY_IN_NOT_DRAWN()]),
                rules.LIFT_BY_THE_PLATE(),
            ],
            placed=len(loads),
            lifted=lifted,
        )
    return LiftingResult(
        lift_turn=tuple(
            entry(rel.lift_turn, turn.load.subject, set_before=number) for number, turn in enumerate(turns)
        ),
        lift_radius=tuple(turn.radius for turn in loads_in_turn),
        pick_use=tuple(turn.uses[0] for turn in loads_in_turn),
        swing_use=tuple(turn.uses[1] for turn in loads_in_turn),
        place_use=tuple(turn.uses[2] for turn in loads_in_turn),
        chart_rated=rig.raw,
        set_back_spare=stands.spares,
        way_out_stones=tuple(_way(lifting, exit_way) for exit_way in ways_out(lifting, way_in, turns, task.holes)),
        boulders_not_lifted=count,
        lifts=tuple(turns),
        spots=tuple(
            (p.name, (float(p.at[0]), float(p.at[1])), float(p.facing_deg), (float(p.pick_up[0]), float(p.pick_up[1])))
            for p in lifting.positions
        ),
        reach=(rig.chart.nearest, rig.chart.reach) if rig.chart else None,
        limit=float(lifting.limit),
        size=float(lifting.size),
        problems=tuple(problems),
        to_fill=tuple(_to_fill(lifting)),
    )


def _to_fill(lifting: Lifting) -> Iterator[ToFill]:
    """Values still to be read from the machine's plate, or to be entered."""
    waits = words("whether the machine lifts the stones, and in which order they are set")
    if not lifting.positions:
        yield ToFill(("lifting", "positions"), words("where the machine stands while it lifts"), waits)
    plate = "off the machine's plate: radius, height of the load point, rated load over front and over side"
    if not lifting.chart:
        yield ToFill(("lifting", "chart"), words(f"the rows of the lift chart, {plate}"), waits)
    for index, row in enumerate(lifting.chart):
        if not has_load(row):
            yield ToFill(("lifting", "chart", index, "front"), words(f"the loads of this row, {plate}"), waits)


def _must_be_made_for_lifting(chart: Chart) -> bool:
    load, moment = (
        float(gathered("limits")[name]["value"])
        for name in ("object handling at most", "object handling moment at most")
    )
    return chart.lifts_most > load or chart.tips_most > moment


def _use(lifting: Lifting, single_lift: Lift, phase: int, general_notes: Sequence[Caution]) -> Entry:
    """Percent of chart in one phase. ``general_notes``: cautions of the whole lift, which are put at its swing, so
    that a caution at pick-up or set belongs to that phase alone.
    """
    rated, use = single_lift.phases[phase].rated, single_lift.phases[phase].use
    notes = [rules.LIFT_BY_THE_PLATE(), *general_notes] if phase == 1 else []
    over = rules.LIFT_OVER_RATING.where(*[use - ROUNDING] * 3, phase=PHASES[phase])
    notes += over
    if not over and use > lifting.limit + ROUNDING:
        notes.append(rules.LIFT_OVER_LIMIT(limit=(lifting.limit, SHARE), phase=PHASES[phase]))
    return entry(
        rel.lift_use,
        single_lift.load.subject,
        source=USER,
        cautions=notes,
        high_mass=single_lift.load.mass,
        rated=rated,
        bucket=lifting.bucket,
        coupler=lifting.coupler,
        rigging=lifting.rigging,
    )


def _over(lifting: Lifting, turns: Sequence[Lift], unplaced: int) -> Iterator[Caution]:
    """Cautions of lifts over the limit entered; 'act' if they also exceed the rated load."""
    for turn in turns:
        if turn.use > lifting.limit + ROUNDING:
            phase = max(range(3), key=lambda phase_index: turn.phases[phase_index].use)
            yield rules.LIFT_NOT_WITHIN_LIMIT(
                ACT if turn.use > 1 + ROUNDING else CHECK,
                boulder=turn.load.subject,
                position=lifting.positions[turn.position].name,
                phase=PHASES[phase],
                use=(turn.use, SHARE),
                radius=(turn.phases[phase].radius, LENGTH),
            )
    if unplaced:
        yield rules.LIFTS_NOT_CHECKED(count=(unplaced, COUNT))


def _too_low(lifting: Lifting, turns: Sequence[Lift], hooks: Sequence[tuple[str, float]]) -> Iterator[Caution]:
    """Cautions of boulders whose slings reach above the load point entered, so that all heights were looked up too low
    in the chart.
    """
    set_here = {turn.load.name for turn in turns}
    for name, over in hooks:
        if name in set_here and over > lifting.hook_over + ROUNDING:
            yield rules.HOOK_OVER_ENTERED(boulder=name, over=(over, LENGTH), entered=(lifting.hook_over, LENGTH))


def _way(lifting: Lifting, exit_way: ExitWay) -> Entry:
    notes = []
    if exit_way.stones:
        notes.append(rules.STONES_IN_WAY_OUT(to=exit_way.to, stones=", ".join(exit_way.stones)))
    if exit_way.pools:
        notes.append(rules.WAY_OUT_OVER_DIG(to=exit_way.to, digs=", ".join(exit_way.pools)))
    name = lifting.positions[exit_way.position].name
    return entry(
        rel.way_out_stones,
        f"{name}, {exit_way.visit}" if exit_way.visit > 1 else name,
        source=USER,
        cautions=notes,
        in_the_way=len(exit_way.stones),
    )


def _level_note(ground: Terrain, footing: Stance) -> Iterator[Caution]:
    """Caution on sloping ground under the machine, as ratings apply to level ground."""
    x, y = footing.at
    east, north = (ground.level_at(neighbour) - footing.level for neighbour in ((x + 1, y), (x, y + 1)))
    steepest = math.hypot(east, north)
    if steepest > ROUNDING:
        yield rules.MACHINE_NOT_LEVEL(fall=(steepest, RATIO))


REACH, HEIGHT, LOAD = "reach", "height", "load"


def _cause(lifting: Lifting, chart: Chart, load: LiftLoad, footings: Sequence[Stance]) -> tuple[str, float, float]:
    """Reason why no position has a rating for a boulder, from the position that comes nearest to one: (reach, its
    nearest distance, 0), (height, lowest and highest load point [m]), or (load, 0, 0) if the chart prints none or
    no capacity is left.
    """
    reaching = [
        footing
        for footing in footings
        if all(
            chart.nearest - ROUNDING <= math.dist(footing.at, spot) <= chart.reach + ROUNDING
            for spot in (footing.pick_up, load.at)
        )
    ]
    if not reaching:
        return REACH, min(math.dist(load.at, footing.at) for footing in footings), 0.0
    spans = [heights(lifting, load, footing) for footing in reaching]
    low, high = max(min(span) for span in spans), min(max(span) for span in spans)
    if all(min(span) < chart.heights[0] - ROUNDING or max(span) > chart.heights[-1] + ROUNDING for span in spans):
        return HEIGHT, low, high
    return LOAD, 0.0, 0.0


def _no_rating(
    lifting: Lifting, chart: Chart, lacking: Sequence[LiftLoad], footings: Sequence[Stance]
) -> Iterator[Problem]:
    """Problems of places without a rating at any position, one for each kind of boulder and each cause."""
    causes = [(load, *_cause(lifting, chart, load, footings)) for load in lacking]
    for index, cause in dict.fromkeys((load.index, cause) for load, cause, _, _ in causes):
        of_load = [(load, low, high) for load, which, low, high in causes if (load.index, which) == (index, cause)]
        numbers = ", ".join(str(load.number) for load, _, _ in of_load)
        entered, allowed, mend = _lack(
            cause, numbers, [low for _, low, _ in of_load], [high for _, _, high in of_load], chart
        )
        yield Problem(("stone", "boulders", index, "places"), entered, allowed, mend)


def _lack(
    cause: str, numbers: str, lows: Sequence[float], highs: Sequence[float], chart: Chart
) -> tuple[Words, Words, Words]:
    """(value given, what is allowed, remedy) for places without a rating by one cause."""
    entered = f"no position has a rating for place {numbers}"
    if cause == REACH:
        return (
            words(f"{entered}; the nearest stands {{near}} away", near=(max(lows), LENGTH)),
            words(
                "stone and stones waiting {least} to {most} from a machine position, as far as the chart reaches",
                least=(chart.nearest, LENGTH),
                most=(chart.reach, LENGTH),
            ),
            words(
                "move a machine position, the stones waiting or the stone, or enter the rows that the plate has for it"
            ),
        )
    if cause == HEIGHT:
        return (
            words(
                f"{entered}: the load point moves from {{low}} to {{high}} over the machine's ground",
                low=(min(lows), LENGTH),
                high=(max(highs), LENGTH),
            ),
            words(
                "{least} to {most}, the heights of the chart's rows",
                least=(chart.heights[0], LENGTH),
                most=(chart.heights[-1], LENGTH),
            ),
            words("enter the plate's rows for the heights below and above as well: it is not read past its rows"),
        )
    return (
        words(f"{entered}, though they are within its reach and heights"),
        words(
            "a rated load at pick-up, swing and place, over front or side, that is more than what the machine carries "
            "besides the stone"
        ),
        words("enter the rows that the plate has for it, take off bucket or coupler, or take a larger one"),
    )


def compute(
    lifting: Lifting | None,
    pools: tuple[PoolResult, ...] | None,
    stones: StoneResult | None,
    slung: SlingsResult | None,
    around: LiftSite,
    ground: Terrain | None,
) -> LiftingResult | None:
    """The lift plan; None if the option has none, or the ground has a problem.

    Args:
        lifting: Inputs of the lift plan.
        pools: All pools of the option; None if one has a problem, as no place is safe while the dig of a pool is
            unknown.
        stones: The stone; None if the option has none.
        slung: Result of the slings, for the height of the hook; None if there is none.
        around: Parts besides the pools that a machine must avoid, and the site.
        ground: Existing ground in site axes; None if it has a problem.
    """
    if lifting is None or pools is None or ground is None:
        return None
    loads = _loads(pools, stones, ground)
    placed = len(loads)
    total_count = sum(kind.boulder.count for kind in stones.kinds) if stones else 0
    beside = _beside(pools, around)
    hooks = slung.hooks if slung else ()
    return _lifted(lifting, loads, total_count - placed, beside, ground, (around.soil, hooks, around.way_end))


def _loads(pools: tuple[PoolResult, ...], stones: StoneResult | None, ground: Terrain) -> tuple[LiftLoad, ...]:
    """Every placed boulder as a load, with the level it is set on."""
    kinds = stones.kinds if stones else ()
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    high = {kind.boulder.name: min(kind.boulder.axes) * (1 + kind.boulder.axes_within) for kind in kinds}
    under = {kind.boulder.name: kind.boulder.rests_on for kind in kinds}
    loads = []
    for kind in kinds:
        boulder, name = kind.boulder, kind.boulder.name
        if boulder.pool is not None and boulder.pool not in digs:
            continue
        nearby = (
            [digs[boulder.pool]] if boulder.pool else list(digs.values())
        )  # a stone of no pool may still lie in one
        met = [stands(dig, ground, boulder.places) for dig in nearby]
        below, on = 0.0, boulder.rests_on
        for _ in kinds:  # a stack is no higher than there are kinds, also where it goes round in a ring
            below, on = below + high.get(on or "", 0.0), under.get(on or "")
        for number, place in enumerate(boulder.places):
            spot = float(place[0]), float(place[1])
            level = min(under_it[number].level for under_it in met) + below
            half = max(boulder.axes) * (1 + boulder.axes_within) / 2
            in_basin = any(math.isfinite(under_it[number].width) for under_it in met)
            on = boulder.rests_on or ""
            loads.append(
                LiftLoad(kind.index, name, number + 1, spot, level, high[name], half, kind.mass.most, on, in_basin)
            )
    return tuple(loads)


def _beside(pools: tuple[PoolResult, ...], around: LiftSite) -> MachineSurroundings:
    """Parts that a machine must avoid, by value, so that changes elsewhere leave its positions unchanged."""
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
    excavations = [excavation.hole for excavation in around.structures] + [
        hole for cut in around.buried for hole in _as_holes(cut)
    ]
    holes += [
        OpenDig(excavation.name, excavation, None, groundwater is not None and groundwater > excavation.bottom)
        for excavation in excavations
    ]
    backs = _backs(around.walls) if around.walls else ()
    return MachineSurroundings(tuple(holes), tuple(heap.footprint for heap in around.heaped), backs)


@remembered
def _as_holes(cut: TrenchCut) -> tuple[Hole, ...]:
    return cut.as_holes()


@remembered
def _backs(walls: Walls) -> tuple[Footprint, ...]:
    """Area behind each wall with a line, within its height."""
    backs = []
    for wall in walls.walls:
        wide = float(sum(course.height for course in wall.courses))
        back = strip_beside(wall.points, 0.0, wide, 0.0) if wall.points and wide else None
        backs += [Footprint(wall.name, back)] if back else []
    return tuple(backs)


def _lifted(
    lifting: Lifting,
    loads: tuple[LiftLoad, ...],
    unplaced: int,
    beside: MachineSurroundings,
    ground: Terrain,
    conditions: tuple[str, tuple[tuple[str, float], ...], Spot | None],
) -> LiftingResult:
    """The lift plan, stone by stone, so that a moved tier recomputes only the stones on it. ``conditions``: soil,
    height of the hook above each kind, and end of the way in.

    ``conditions`` is the soil, how far slings hold the hook over each kind, and where the way in ends.
    """
    soil, hooks, way_in = conditions
    rig = machine_of(lifting.changed(positions=()))
    stands = stances(lifting, rig, beside, ground, soil)
    able = rig.chart is not None and stands.footings
    candidates = [best(rig, load, stands.footings) for load in loads] if able else []
    lifts = tuple(single_lift for single_lift in candidates if single_lift.rated)
    spots = {
        place.index: (lifting.positions[place.index].name, place.at, notes)
        for place, notes in zip(stands.footings, stands.notes, strict=True)
    }
    figures = []
    for single_lift in lifts:
        name, place, notes = spots[single_lift.position]
        figures.append(lift_figures(rig, name, place, single_lift, notes))
    return lift_plan(
        lifting,
        rig,
        stands,
        tuple(zip(lifts, figures, strict=True)),
        Task(loads, unplaced, beside.holes, hooks, way_in),
    )
