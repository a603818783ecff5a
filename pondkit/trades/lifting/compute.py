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
    """The machine positions: what each has to spare, which of them are sound, and what to heed at each of these."""

    spares: tuple[Entry, ...]
    footings: tuple[Stance, ...]
    notes: tuple[tuple[Caution, ...], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class LiftFigures:
    """Figures of one lift: the radius at its place, and the use of the chart in each phase."""

    radius: Entry
    uses: tuple[Entry, Entry, Entry]


@remembered
def stances(drawn: Lifting, rig: Machine, beside: MachineSurroundings, ground: Terrain, soil: str) -> Stances:
    """Where the machine may stand.

    Args:
        drawn: The lift plan, as entered.
        rig: Its machine.
        beside: What the machine keeps off.
        ground: As it is, in site axes.
        soil: The site's, a name in the table of soils.
    """
    spares, footings, problems = [], [], list[Problem]()
    for index, position in enumerate(drawn.positions):
        at, pick = ((float(place[0]), float(place[1])) for place in (position.at, position.pick_up))
        level, pick_level = ground.level_at(at), ground.level_at(pick)
        spare, faults = standing(drawn, index, level, pick_level, beside, soil)
        problems += faults
        spares += [spare] if spare else []
        if not faults:
            footings.append(Stance(index, at, pick, float(position.facing_deg), level, pick_level))
    handling = [rules.LIFTING_DEVICES()] if rig.chart and _must_be_made_for_lifting(rig.chart) else []
    notes = tuple(
        (*_level_note(ground, footing), *place_notes(drawn, footing.index, beside), *handling) for footing in footings
    )
    return Stances(tuple(spares), tuple(footings), notes, tuple(problems))


@remembered
def lift_figures(
    rig: Machine, name: str, at: tuple[float, float], each: Lift, notes: tuple[Caution, ...]
) -> LiftFigures:
    """Figures of one lift.

    Args:
        rig: The machine.
        name, at: Of the position that lifts it [m].
        each: The lift.
        notes: What to heed at that position.
    """
    radius = entry(
        rel.lift_radius,
        f"{each.load.subject} / {name}",
        source=USER,
        east=each.load.at[0] - at[0],
        north=each.load.at[1] - at[1],
    )
    pick, swing, place = (_use(rig.drawn, each, phase, notes) for phase in range(3))
    return LiftFigures(radius, (pick, swing, place))


@dataclass(frozen=True)
class Task:
    """What is to be lifted, and what hinders it.

    Attributes:
        loads: The boulders that have a place.
        unplaced: How many have none.
        holes: The pools, and other holes.
        hooks: (boulder, how far its slings hold the hook over it [m]) of each kind that hangs in some.
        way_in: Where the machine comes to the dig, and gets out again [m]; None where it is not drawn.
    """

    loads: tuple[LiftLoad, ...]
    unplaced: int
    holes: tuple[OpenDig, ...]
    hooks: tuple[tuple[str, float], ...]
    way_in: Spot | None


@remembered
def lift_plan(
    drawn: Lifting, rig: Machine, stands: Stances, made: tuple[tuple[Lift, LiftFigures], ...], task: Task
) -> LiftingResult:
    """Every placed boulder lifted from the position that uses the chart least.

    Args:
        drawn: The lift plan, as entered.
        rig: Its machine.
        stands: Its positions.
        made: The best lift of each load that has one, with its figures; none without chart or position.
        task: What is to be lifted, and what hinders it.
    """
    way_in, loads = task.way_in, task.loads
    problems = [*rig.problems, *stands.problems]
    able = bool(rig.chart and stands.footings)
    of_load = {each.load: loads_in_turn for each, loads_in_turn in made}
    if rig.chart and stands.footings:
        lacking = [load for load in loads if load not in of_load]
        problems += _no_rating(drawn, rig.chart, lacking, stands.footings)
    turns = in_turn(drawn, way_in, [each for each, _ in made])
    loads_in_turn = [of_load[each.load] for each in turns]
    lifted = sum(each.use <= drawn.limit + ROUNDING for each in turns)
    count = None
    if able and loads:
        count = entry(
            rel.boulders_not_lifted,
            "",
            cautions=[
                *_over(drawn, turns, task.unplaced),
                *_too_low(drawn, turns, task.hooks),
                *([] if way_in else [rules.WAY_IN_NOT_DRAWN()]),
                rules.LIFT_BY_THE_PLATE(),
            ],
            placed=len(loads),
            held=lifted,
        )
    return LiftingResult(
        lift_turn=tuple(entry(rel.lift_turn, each.load.subject, set_before=at) for at, each in enumerate(turns)),
        lift_radius=tuple(each.radius for each in loads_in_turn),
        pick_use=tuple(each.uses[0] for each in loads_in_turn),
        swing_use=tuple(each.uses[1] for each in loads_in_turn),
        place_use=tuple(each.uses[2] for each in loads_in_turn),
        chart_rated=rig.raw,
        set_back_spare=stands.spares,
        way_out_stones=tuple(_way(drawn, way) for way in ways_out(drawn, way_in, turns, task.holes)),
        boulders_not_lifted=count,
        lifts=tuple(turns),
        spots=tuple(
            (p.name, (float(p.at[0]), float(p.at[1])), float(p.facing_deg), (float(p.pick_up[0]), float(p.pick_up[1])))
            for p in drawn.positions
        ),
        reach=(rig.chart.nearest, rig.chart.reach) if rig.chart else None,
        limit=float(drawn.limit),
        size=float(drawn.size),
        problems=tuple(problems),
        to_fill=tuple(_to_fill(drawn)),
    )


def _to_fill(drawn: Lifting) -> Iterator[ToFill]:
    """What is still to be read off the machine's plate, or to be drawn."""
    waits = words("whether the machine lifts the stones, and in which order they are set")
    if not drawn.positions:
        yield ToFill(("lifting", "positions"), words("where the machine stands while it lifts"), waits)
    plate = "off the machine's plate: radius, height of the load point, rated load over front and over side"
    if not drawn.chart:
        yield ToFill(("lifting", "chart"), words(f"the rows of the lift chart, {plate}"), waits)
    for index, row in enumerate(drawn.chart):
        if not has_load(row):
            yield ToFill(("lifting", "chart", index, "front"), words(f"the loads of this row, {plate}"), waits)


def _must_be_made_for_lifting(chart: Chart) -> bool:
    load, moment = (
        float(gathered("limits")[name]["value"])
        for name in ("object handling at most", "object handling moment at most")
    )
    return chart.lifts_most > load or chart.tips_most > moment


def _use(drawn: Lifting, each: Lift, phase: int, whole: Sequence[Caution]) -> Entry:
    """Use of the chart in one phase. ``whole`` holds for the whole lift and stands at its swing, so that a mark
    at pick-up or place means just that.
    """
    rated, use = each.phases[phase].rated, each.phases[phase].use
    notes = [rules.LIFT_BY_THE_PLATE(), *whole] if phase == 1 else []
    over = rules.LIFT_OVER_RATING.where(*[use - ROUNDING] * 3, phase=PHASES[phase])
    notes += over
    if not over and use > drawn.limit + ROUNDING:
        notes.append(rules.LIFT_OVER_LIMIT(limit=(drawn.limit, SHARE), phase=PHASES[phase]))
    return entry(
        rel.lift_use,
        each.load.subject,
        source=USER,
        cautions=notes,
        high_mass=each.load.mass,
        rated=rated,
        bucket=drawn.bucket,
        coupler=drawn.coupler,
        rigging=drawn.rigging,
    )


def _over(drawn: Lifting, turns: Sequence[Lift], unplaced: int) -> Iterator[Caution]:
    """Cautions of lifts over the limit entered: 'act' where they are over the rating too."""
    for each in turns:
        if each.use > drawn.limit + ROUNDING:
            phase = max(range(3), key=lambda at: each.phases[at].use)
            yield rules.LIFT_NOT_WITHIN_LIMIT(
                ACT if each.use > 1 + ROUNDING else CHECK,
                boulder=each.load.subject,
                position=drawn.positions[each.position].name,
                phase=PHASES[phase],
                use=(each.use, SHARE),
                radius=(each.phases[phase].radius, LENGTH),
            )
    if unplaced:
        yield rules.LIFTS_NOT_CHECKED(count=(unplaced, COUNT))


def _too_low(drawn: Lifting, turns: Sequence[Lift], hooks: Sequence[tuple[str, float]]) -> Iterator[Caution]:
    """Kinds of boulder whose slings reach higher than the load point is entered: all
    heights of the chart were read too low.
    """
    set_here = {each.load.name for each in turns}
    for name, over in hooks:
        if name in set_here and over > drawn.hook_over + ROUNDING:
            yield rules.HOOK_OVER_ENTERED(boulder=name, over=(over, LENGTH), entered=(drawn.hook_over, LENGTH))


def _way(drawn: Lifting, way: ExitWay) -> Entry:
    notes = []
    if way.stones:
        notes.append(rules.STONES_IN_WAY_OUT(to=way.to, stones=", ".join(way.stones)))
    if way.pools:
        notes.append(rules.WAY_OUT_OVER_DIG(to=way.to, digs=", ".join(way.pools)))
    name = drawn.positions[way.position].name
    return entry(
        rel.way_out_stones,
        f"{name}, {way.visit}" if way.visit > 1 else name,
        source=USER,
        cautions=notes,
        in_the_way=len(way.stones),
    )


def _level_note(ground: Terrain, footing: Stance) -> Iterator[Caution]:
    """Ratings hold on level ground: how steeply it falls under the machine."""
    x, y = footing.at
    east, north = (ground.level_at(at) - footing.level for at in ((x + 1, y), (x, y + 1)))
    steepest = math.hypot(east, north)
    if steepest > ROUNDING:
        yield rules.MACHINE_NOT_LEVEL(fall=(steepest, RATIO))


REACH, HEIGHT, LOAD = "reach", "height", "load"


def _cause(drawn: Lifting, chart: Chart, load: LiftLoad, footings: Sequence[Stance]) -> tuple[str, float, float]:
    """Why no position has a rating for a boulder, by the position that comes nearest to one: (reach, its
    nearest distance, 0), (height, lowest and highest of the load point [m]), or (load, 0, 0) where the chart
    prints none or nothing is left of it.
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
    spans = [heights(drawn, load, footing) for footing in reaching]
    low, high = max(min(span) for span in spans), min(max(span) for span in spans)
    if all(min(span) < chart.heights[0] - ROUNDING or max(span) > chart.heights[-1] + ROUNDING for span in spans):
        return HEIGHT, low, high
    return LOAD, 0.0, 0.0


def _no_rating(
    drawn: Lifting, chart: Chart, lacking: Sequence[LiftLoad], footings: Sequence[Stance]
) -> Iterator[Problem]:
    """A problem for each kind of boulder and each cause: places for which no position has a rating."""
    causes = [(load, *_cause(drawn, chart, load, footings)) for load in lacking]
    for index, cause in dict.fromkeys((load.index, cause) for load, cause, _, _ in causes):
        of_load = [(load, low, high) for load, which, low, high in causes if (load.index, which) == (index, cause)]
        numbers = ", ".join(str(load.number) for load, _, _ in of_load)
        given, allowed, mend = _lack(
            cause, numbers, [low for _, low, _ in of_load], [high for _, _, high in of_load], chart
        )
        yield Problem(("stone", "boulders", index, "places"), given, allowed, mend)


def _lack(
    cause: str, numbers: str, lows: Sequence[float], highs: Sequence[float], chart: Chart
) -> tuple[Words, Words, Words]:
    """What was given, what is allowed and the mend, of places without a rating for one cause."""
    given = f"no position has a rating for place {numbers}"
    if cause == REACH:
        return (
            words(f"{given}; the nearest stands {{near}} away", near=(max(lows), LENGTH)),
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
                f"{given}: the load point moves from {{low}} to {{high}} over the machine's ground",
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
        words(f"{given}, though they are within its reach and heights"),
        words(
            "a rated load at pick-up, swing and place, over front or side, that is more than what the machine carries "
            "besides the stone"
        ),
        words("enter the rows that the plate has for it, take off bucket or coupler, or take a larger one"),
    )


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
