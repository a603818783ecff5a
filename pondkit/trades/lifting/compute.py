"""The lift plan of an option: the stones to lift, what the machine must keep clear of, the figures of each lift, their
order, and why a stone is not lifted.
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
from pondkit.trades.lifting.chart import (
    Chart,
    Machine,
    SoundPosition,
    best_lift,
    has_load,
    load_point_heights,
    machine_of,
)
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.positions import (
    ExitWay,
    MachineSurroundings,
    OpenDig,
    check_position,
    in_setting_order,
    place_cautions,
    ways_out,
)
from pondkit.trades.lifting.results import Lift, LiftingResult, LiftLoad, LiftSite, MachinePosition, Phase, Place
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone.results import SlingsResult, StoneResult
from pondkit.trades.walls.inputs import Walls

ROUNDING = 1e-9  # shares, lengths and slopes nearer than this are equal


@dataclass(frozen=True)
class LiftTask:
    """The stones to lift, and what is in the machine's way.

    Attributes:
        loads: Boulders with a place.
        unplaced: Number of boulders without one.
        digs: Pools, and other excavations.
        hooks: (kind of boulder, height at which its slings hold the hook above the stone [m]).
        way_in: Where the way in ends at the dig, by which the machine comes and goes [m]; None if it is not drawn.
    """

    loads: tuple[LiftLoad, ...]
    unplaced: int
    digs: tuple[OpenDig, ...]
    hooks: tuple[tuple[str, float], ...]
    way_in: Place | None


def compute(
    lifting: Lifting | None,
    pools: tuple[PoolResult, ...] | None,
    stones: StoneResult | None,
    slings: SlingsResult | None,
    site: LiftSite,
    ground: Terrain | None,
) -> LiftingResult | None:
    """The lift plan; None if the option has none, or if a pool or the ground has a problem.

    Args:
        lifting: Inputs of the lift plan; None if the option has none.
        pools: Results of all pools of the option; None if one has a problem, as no place is safe while the dig of a
            pool is unknown.
        stones: Result of boulders and edging; None if the option has none.
        slings: Result of the slings, for the height of the hook; None if there is none.
        site: What the machine must keep clear of besides the pools, and the site.
        ground: Existing ground in site axes; None if it has a problem.
    """
    if lifting is None or pools is None or ground is None:
        return None
    loads = _loads(pools, stones, ground)
    boulder_count = sum(kind.boulder.count for kind in stones.kinds) if stones else 0
    surroundings = _surroundings(pools, site)
    hooks = slings.hooks if slings else ()
    task = LiftTask(loads, boulder_count - len(loads), surroundings.digs, hooks, site.way_in)
    return _plan_stone_by_stone(lifting, task, surroundings, ground, site.soil)


def _loads(pools: tuple[PoolResult, ...], stones: StoneResult | None, ground: Terrain) -> tuple[LiftLoad, ...]:
    """Every boulder with a place as a load, with the level that it is set on."""
    kinds = stones.kinds if stones else ()
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    greatest_height = {kind.boulder.name: min(kind.boulder.axes) * (1 + kind.boulder.axes_within) for kind in kinds}
    rests_on = {kind.boulder.name: kind.boulder.rests_on for kind in kinds}
    loads = []
    for kind in kinds:
        boulder, name = kind.boulder, kind.boulder.name
        if boulder.pool is not None and boulder.pool not in digs:
            continue
        # A boulder that names no pool may lie in any of them: the lowest dig at its place is where it is set.
        possible = [digs[boulder.pool]] if boulder.pool else list(digs.values())
        stands_in = [stands(dig, ground, boulder.places) for dig in possible]
        height_below, lower = 0.0, boulder.rests_on
        for _ in kinds:  # no stack has more stones than there are kinds; one that comes back to itself ends here too
            height_below, lower = height_below + greatest_height.get(lower or "", 0.0), rests_on.get(lower or "")
        for index, (east, north) in enumerate(boulder.places):
            stone_place = float(east), float(north)
            surface = min((at_places[index].level for at_places in stands_in), default=None)
            loads.append(
                LiftLoad(
                    index=kind.index,
                    name=name,
                    number=index + 1,
                    at=stone_place,
                    level=(ground.level_at(stone_place) if surface is None else surface) + height_below,
                    height=greatest_height[name],
                    half_length=max(boulder.axes) * (1 + boulder.axes_within) / 2,
                    mass=kind.mass.most,
                    rests_on=boulder.rests_on or "",
                    in_basin=any(math.isfinite(at_places[index].width) for at_places in stands_in),
                )
            )
    return tuple(loads)


def _surroundings(pools: tuple[PoolResult, ...], site: LiftSite) -> MachineSurroundings:
    """What the machine must keep its distance from. Only what its positions depend on is taken, so that they are not
    checked again where anything else changes.
    """

    def seeps(bottom: float) -> bool:
        return site.groundwater is not None and site.groundwater > bottom

    digs = []
    for pool in pools:
        dig = pool.surfaces.dig
        liner_out = dig.rim + site.liner_edge if pool.name in site.lined else None
        digs.append(OpenDig(pool.name, dig, liner_out, seeps(dig.level - dig.surface.deepest)))
    excavations = [structure.hole for structure in site.structures]
    excavations += [hole for cut in site.buried for hole in _as_holes(cut)]
    digs += [OpenDig(hole.name, hole, None, seeps(hole.bottom)) for hole in excavations]
    behind_walls = _areas_behind(site.walls) if site.walls else ()
    return MachineSurroundings(tuple(digs), tuple(heap.footprint for heap in site.heaped), behind_walls)


@remembered
def _as_holes(cut: TrenchCut) -> tuple[Hole, ...]:
    return cut.as_holes()


@remembered
def _areas_behind(walls: Walls) -> tuple[Footprint, ...]:
    """Area behind each wall with a line, as wide as the wall is high."""
    areas = []
    for wall in walls.walls:
        height = float(sum(course.height for course in wall.courses))
        area = strip_beside(wall.points, 0.0, height, 0.0) if wall.points and height else None
        areas += [Footprint(wall.name, area)] if area else []
    return tuple(areas)


def _plan_stone_by_stone(
    lifting: Lifting, task: LiftTask, surroundings: MachineSurroundings, ground: Terrain, soil: str
) -> LiftingResult:
    """The lift plan. Each stone is lifted by itself, so that a moved tier computes only the stones on it again.

    Args:
        lifting: Inputs of the lift plan.
        task: The stones to lift, and what is in the way.
        surroundings: What the machine must keep its distance from.
        ground: Existing ground in site axes.
        soil: Soil of the site, a name in the table of soils.
    """
    machine = machine_of(lifting.changed(positions=()))
    checked = check_positions(lifting, machine, surroundings, ground, soil)
    can_lift = machine.chart is not None and checked.sound
    best_lifts = [best_lift(machine, load, checked.sound) for load in task.loads] if can_lift else []
    lifts = [lift for lift in best_lifts if lift.is_rated]
    cautions = {
        position.index: of_position for position, of_position in zip(checked.sound, checked.cautions, strict=True)
    }
    places = {position.index: position.at for position in checked.sound}
    lifts_with_figures = tuple(
        (
            lift,
            lift_figures(
                machine,
                lifting.positions[lift.position].name,
                places[lift.position],
                lift,
                cautions[lift.position],
            ),
        )
        for lift in lifts
    )
    return lift_plan(lifting, machine, checked, lifts_with_figures, task)


@dataclass(frozen=True, eq=False)
class CheckedPositions:
    """All positions of the machine, checked.

    Attributes:
        setbacks: Setback to spare of each that is sound and near a dig.
        sound: Those without problems.
        cautions: Cautions of each of these.
        problems: Problems of the others.
    """

    setbacks: tuple[Entry, ...]
    sound: tuple[SoundPosition, ...]
    cautions: tuple[tuple[Caution, ...], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class LiftFigures:
    """Figures of one lift: radius at the place of the stone, and use of the chart in each phase."""

    radius: Entry
    pick_use: Entry
    swing_use: Entry
    set_use: Entry


@remembered
def check_positions(
    lifting: Lifting, machine: Machine, surroundings: MachineSurroundings, ground: Terrain, soil: str
) -> CheckedPositions:
    """All positions of the machine, checked.

    Args:
        lifting: Inputs of the lift plan.
        machine: Its machine.
        surroundings: What the machine must keep its distance from.
        ground: Existing ground in site axes.
        soil: Soil of the site, a name in the table of soils.
    """
    setbacks, sound, problems = [], [], list[Problem]()
    for index, position in enumerate(lifting.positions):
        machine_place, pick_up = ((float(place[0]), float(place[1])) for place in (position.at, position.pick_up))
        level, pick_up_level = ground.level_at(machine_place), ground.level_at(pick_up)
        setback, faults = check_position(lifting, index, level, pick_up_level, surroundings, soil)
        problems += faults
        setbacks += [setback] if setback else []
        if not faults:
            sound.append(SoundPosition(index, machine_place, pick_up, float(position.facing_deg), level, pick_up_level))
    devices = [rules.LIFTING_DEVICES()] if machine.chart and _needs_lifting_devices(machine.chart) else []
    cautions = tuple(
        (*_slope_caution(ground, position), *place_cautions(lifting, position.index, surroundings), *devices)
        for position in sound
    )
    return CheckedPositions(tuple(setbacks), tuple(sound), cautions, tuple(problems))


@remembered
def lift_figures(
    machine: Machine, name: str, machine_place: Place, lift: Lift, cautions: tuple[Caution, ...]
) -> LiftFigures:
    """Figures of one lift.

    Args:
        machine: The machine.
        name, machine_place: Name and place [m] of the position that it is lifted from.
        lift: The lift.
        cautions: Cautions of that position.
    """
    radius = entry(
        rel.lift_radius,
        f"{lift.load.subject} / {name}",
        source=USER,
        east=lift.load.at[0] - machine_place[0],
        north=lift.load.at[1] - machine_place[1],
    )
    return LiftFigures(
        radius=radius,
        pick_use=_use(machine.inputs, lift, lift.phases.pick_up),
        # The cautions of the whole lift are put at its swing, so that one at pick-up or set is of that phase alone.
        swing_use=_use(machine.inputs, lift, lift.phases.swing, [rules.LIFT_BY_THE_PLATE(), *cautions]),
        set_use=_use(machine.inputs, lift, lift.phases.at_set),
    )


@remembered
def lift_plan(
    lifting: Lifting,
    machine: Machine,
    checked: CheckedPositions,
    best_lifts: tuple[tuple[Lift, LiftFigures], ...],
    task: LiftTask,
) -> LiftingResult:
    """Lift plan of all boulders with a place, each lifted from the position where it uses least of the chart.

    Args:
        lifting: Inputs of the lift plan.
        machine: Its machine.
        checked: Its positions.
        best_lifts: Best lift of each boulder that has one, with its figures; empty without chart or sound position.
        task: The stones to lift, and what is in the machine's way.
    """
    way_in, loads = task.way_in, task.loads
    problems = [*machine.problems, *checked.problems]
    figures_of = {lift.load: figures for lift, figures in best_lifts}
    if machine.chart and checked.sound:
        not_rated = [load for load in loads if load not in figures_of]
        problems += _rating_faults(lifting, machine.chart, not_rated, checked.sound)
    lifts = in_setting_order(lifting, way_in, [lift for lift, _ in best_lifts])
    figures = [figures_of[lift.load] for lift in lifts]
    count_within_limit = sum(lift.use <= lifting.limit + ROUNDING for lift in lifts)
    count = None
    if machine.chart and checked.sound and loads:
        count = entry(
            rel.boulders_not_lifted,
            "",
            cautions=[
                *_limit_cautions(lifting, lifts, task.unplaced),
                *_hook_cautions(lifting, lifts, task.hooks),
                *([] if way_in else [rules.WAY_IN_NOT_DRAWN()]),
                rules.LIFT_BY_THE_PLATE(),
            ],
            placed=len(loads),
            lifted=count_within_limit,
        )
    return LiftingResult(
        lift_turn=tuple(
            entry(rel.lift_turn, lift.load.subject, set_before=number) for number, lift in enumerate(lifts)
        ),
        lift_radius=tuple(each.radius for each in figures),
        pick_use=tuple(each.pick_use for each in figures),
        swing_use=tuple(each.swing_use for each in figures),
        place_use=tuple(each.set_use for each in figures),
        chart_rated=machine.reduced,
        set_back_spare=checked.setbacks,
        way_out_stones=tuple(_way_out(lifting, exit_way) for exit_way in ways_out(lifting, way_in, lifts, task.digs)),
        boulders_not_lifted=count,
        lifts=tuple(lifts),
        positions=tuple(_positions(lifting)),
        reach=(machine.chart.nearest, machine.chart.reach) if machine.chart else None,
        limit=float(lifting.limit),
        size=float(lifting.size),
        problems=tuple(problems),
        to_fill=tuple(_to_fill(lifting)),
    )


def _positions(lifting: Lifting) -> Iterator[MachinePosition]:
    """The machine positions as drawn."""
    for position in lifting.positions:
        (x, y), (from_x, from_y) = position.at, position.pick_up
        yield MachinePosition(
            position.name, (float(x), float(y)), float(position.facing_deg), (float(from_x), float(from_y))
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


def _needs_lifting_devices(chart: Chart) -> bool:
    """True if a machine of this chart is rated for more than it may lift without lifting devices."""
    load, moment = (
        float(gathered("limits")[name]["value"])
        for name in ("object handling at most", "object handling moment at most")
    )
    return chart.greatest_load > load or chart.greatest_moment > moment


def _use(lifting: Lifting, lift: Lift, phase: Phase, lift_cautions: Sequence[Caution] = ()) -> Entry:
    """Use of the chart in one phase.

    Args:
        lifting: Inputs of the lift plan.
        lift: The lift.
        phase: One of its phases.
        lift_cautions: Cautions of the whole lift, to stand at this phase.
    """
    over_limit = phase.use > lifting.limit + ROUNDING
    over_rating = rules.LIFT_OVER_RATING.where(*[phase.use - ROUNDING] * 3, phase=phase.when)
    cautions = [*lift_cautions, *over_rating]
    if over_limit and not over_rating:
        cautions.append(rules.LIFT_OVER_LIMIT(limit=(lifting.limit, SHARE), phase=phase.when))
    return entry(
        rel.lift_use,
        lift.load.subject,
        source=USER,
        cautions=cautions,
        high_mass=lift.load.mass,
        rated=phase.rated_load,
        bucket=lifting.bucket,
        coupler=lifting.coupler,
        rigging=lifting.rigging,
    )


def _limit_cautions(lifting: Lifting, lifts: Sequence[Lift], unplaced: int) -> Iterator[Caution]:
    """Cautions of lifts over the limit entered, 'act' if they are over the rating too; and of boulders without a place,
    by their number.
    """
    for lift in lifts:
        if lift.use > lifting.limit + ROUNDING:
            worst = max(lift.phases, key=lambda phase: phase.use)
            yield rules.LIFT_NOT_WITHIN_LIMIT(
                ACT if lift.use > 1 + ROUNDING else CHECK,
                boulder=lift.load.subject,
                position=lifting.positions[lift.position].name,
                phase=worst.when,
                use=(lift.use, SHARE),
                radius=(worst.radius, LENGTH),
            )
    if unplaced:
        yield rules.LIFTS_NOT_CHECKED(count=(unplaced, COUNT))


def _hook_cautions(lifting: Lifting, lifts: Sequence[Lift], hooks: Sequence[tuple[str, float]]) -> Iterator[Caution]:
    """Cautions of boulders whose slings hold the hook above the load point entered, so that the chart was read at
    heights that are too low.
    """
    kinds_lifted = {lift.load.name for lift in lifts}
    for name, height in hooks:
        if name in kinds_lifted and height > lifting.hook_over + ROUNDING:
            yield rules.HOOK_OVER_ENTERED(boulder=name, over=(height, LENGTH), entered=(lifting.hook_over, LENGTH))


def _way_out(lifting: Lifting, exit_way: ExitWay) -> Entry:
    """Number of stones in the machine's way out of a position."""
    cautions = []
    if exit_way.stones:
        cautions.append(rules.STONES_IN_WAY_OUT(to=exit_way.to, stones=", ".join(exit_way.stones)))
    if exit_way.digs:
        cautions.append(rules.WAY_OUT_OVER_DIG(to=exit_way.to, digs=", ".join(exit_way.digs)))
    name = lifting.positions[exit_way.position].name
    return entry(
        rel.way_out_stones,
        f"{name}, {exit_way.visit}" if exit_way.visit > 1 else name,
        source=USER,
        cautions=cautions,
        in_the_way=len(exit_way.stones),
    )


def _slope_caution(ground: Terrain, position: SoundPosition) -> Iterator[Caution]:
    """The caution of ground that slopes under the machine, by its rise over a metre eastward and northward."""
    x, y = position.at
    east, north = (ground.level_at(neighbour) - position.level for neighbour in ((x + 1, y), (x, y + 1)))
    steepest = math.hypot(east, north)
    if steepest > ROUNDING:
        yield rules.MACHINE_NOT_LEVEL(fall=(steepest, RATIO))


# --- why a stone has no rating ---

REACH, HEIGHT, LOAD = "reach", "height", "load"


@dataclass(frozen=True)
class NoRating:
    """Why no position has a rating for a boulder, at the position that comes nearest to one.

    Attributes:
        load: The boulder.
        cause: Reach, height or load: its radii or its heights are outside the chart, or the chart prints no load there,
            or none that leaves anything for the stone.
        values: By reach the distances of stone and staging area from the machine, by height the lowest and highest load
            point over its ground; by load zeros [m].
        outside: How far they are outside the chart [m].
    """

    load: LiftLoad
    cause: str
    values: tuple[float, float]
    outside: float


def _outside(values: tuple[float, ...], least: float, most: float) -> float:
    """How far the worst of some values is outside a range [m]; 0 if all are within."""
    return max(0.0, *(max(least - value, value - most) for value in values))


def _no_rating(lifting: Lifting, chart: Chart, load: LiftLoad, positions: Sequence[SoundPosition]) -> NoRating:
    """Why no position has a rating for a boulder."""
    by_reach, by_height = [], []
    for position in positions:
        distances = math.dist(position.at, load.at), math.dist(position.at, position.pick_up)
        outside = _outside(distances, chart.nearest, chart.reach)
        by_reach.append(NoRating(load, REACH, distances, outside))
        if outside <= ROUNDING:
            heights = load_point_heights(lifting, load, position)
            outside = _outside(heights, chart.heights[0], chart.heights[-1])
            by_height.append(NoRating(load, HEIGHT, (min(heights), max(heights)), outside))
    nearest = min(by_height or by_reach, key=lambda reason: reason.outside)
    return nearest if nearest.outside > ROUNDING else NoRating(load, LOAD, (0.0, 0.0), 0.0)


def _rating_faults(
    lifting: Lifting, chart: Chart, loads: Sequence[LiftLoad], positions: Sequence[SoundPosition]
) -> Iterator[Problem]:
    """Problems of boulders that no position has a rating for, one for each kind of boulder and each cause."""
    reasons = [_no_rating(lifting, chart, load, positions) for load in loads]
    for index, cause in dict.fromkeys((reason.load.index, reason.cause) for reason in reasons):
        alike = [reason for reason in reasons if (reason.load.index, reason.cause) == (index, cause)]
        given, allowed, mend = _rating_fault_words(alike, chart)
        yield Problem(("stone", "boulders", index, "places"), given, allowed, mend)


def _rating_fault_words(reasons: Sequence[NoRating], chart: Chart) -> tuple[Words, Words, Words]:
    """(given, allowed, mend) for boulders of one kind that have no rating by one cause."""
    worst = max(reasons, key=lambda reason: reason.outside)
    given = f"no position has a rating for place {', '.join(str(reason.load.number) for reason in reasons)}"
    if worst.cause == REACH:
        stone, staging_area = worst.values
        return (
            words(
                f"{given}; the nearest position is {{stone}} away, and {{staging_area}} from its staging area",
                stone=(stone, LENGTH),
                staging_area=(staging_area, LENGTH),
            ),
            words(
                "stone and staging area {least} to {most} from a machine position, as far as the chart reaches",
                least=(chart.nearest, LENGTH),
                most=(chart.reach, LENGTH),
            ),
            words(
                "move a machine position, its staging area or the stone, or enter the rows that the plate has for it"
            ),
        )
    if worst.cause == HEIGHT:
        return (
            words(
                f"{given}: the load point moves from {{low}} to {{high}} over the machine's ground",
                low=(worst.values[0], LENGTH),
                high=(worst.values[1], LENGTH),
            ),
            words(
                "{least} to {most}, the heights of the chart's rows",
                least=(chart.heights[0], LENGTH),
                most=(chart.heights[-1], LENGTH),
            ),
            words("enter the plate's rows for the heights below and above as well: it is not read past its rows"),
        )
    return (
        words(f"{given}, though they are within its reach and heights"),
        words(
            "a rated load at pick-up, swing and place, over front or side, that is more than what the machine carries "
            "besides the stone"
        ),
        words("enter the rows that the plate has for it, take off bucket or coupler, or take a larger one"),
    )
