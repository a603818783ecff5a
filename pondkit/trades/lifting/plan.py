"""The lift plan: where the machine may stand, the figures of each lift, their order and what hinders it."""

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
from pondkit.geometry.terrain import Terrain
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
    heights,
    in_turn,
    place_notes,
    standing,
    ways_out,
)
from pondkit.trades.lifting.results import Lift, LiftingResult, LiftLoad, Spot

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
