"""Works the lift plan of an option out."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.tables import gathered
from pondkit.core.units import COUNT, LENGTH, RATIO, SHARE
from pondkit.geometry.uneven import Terrain
from pondkit.trades.lifting import relations as rel
from pondkit.trades.lifting.chart import Chart
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.order import WayOut, in_turn, ways_out
from pondkit.trades.lifting.places import Beside, Hole, standing, wall_notes
from pondkit.trades.lifting.swings import Footing, Lift, Load, Rig

PHASES = ("at pick-up", "in the swing", "at its place")
ROUNDING = 1e-9
LIFT = Words(
    "By the machine's own plate, on firm, level ground, with all that hangs on it counted. Nobody under the load or within the swing; none below overhead lines; "
    "a trained operator and a slinger in sight of each other. Local law may ask for a licence and a lift plan by a competent person."
)
NO_WAY_IN = Words(
    "No way in is drawn (Site: way in, its last place at the dig): the positions come as they are entered, and the way out from the last is not checked."
)
HANDLING = Words(
    "This machine is rated over 1,000 kg at its least radius, or for a moment over 40 kN m: it lifts loads only with a lifting hook, an overload warning and "
    "boom-lowering control (ISO 10567:1992, 3.4, as an operator manual quotes it)."
)


@dataclass(frozen=True, eq=False)
class LiftingResult(Result):
    """The lift plan of an option. Subjects are "boulder number", a position, "position / pool", or a row of the chart.

    Attributes:
        lifts: The best lift of each boulder that some position has a rating for, in the order of setting.
        spots: (name, machine at, bearing it faces, stones wait at) of each position [m, deg].
        reach: (least, greatest) radius of the chart [m]; None without one.
        limit: The person's own limit on the chart, as a share.
        problems: What could not be worked out, and how to mend it.
    """

    boulders_not_lifted: Entry | None
    lift_turn: tuple[Entry, ...]
    lift_radius: tuple[Entry, ...]
    pick_use: tuple[Entry, ...]
    swing_use: tuple[Entry, ...]
    place_use: tuple[Entry, ...]
    chart_rated: tuple[Entry, ...]
    set_back_spare: tuple[Entry, ...]
    way_out_stones: tuple[Entry, ...]
    lifts: tuple[Lift, ...]
    spots: tuple[tuple[str, tuple[float, float], float, tuple[float, float]], ...]
    reach: tuple[float, float] | None
    limit: float
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class Stood:
    """The machine positions: what each has to spare, which of them are sound, and what to heed at each of these."""

    spares: tuple[Entry, ...]
    footings: tuple[Footing, ...]
    notes: tuple[tuple[Words, ...], ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class LiftFigures:
    """Figures of one lift: the radius at its place, and the use of the chart in each phase."""

    radius: Entry
    uses: tuple[Entry, Entry, Entry]


@remembered
def stood(drawn: Lifting, rig: Rig, beside: Beside, ground: Terrain, soil: str) -> Stood:
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
            footings.append(Footing(index, at, pick, float(position.facing_deg), level, pick_level))
    handling = [HANDLING] if rig.chart and _must_be_made_for_lifting(rig.chart) else []
    notes = tuple(
        (*_level_note(ground, footing), *wall_notes(drawn, footing.index, beside.backs), *handling)
        for footing in footings
    )
    return Stood(tuple(spares), tuple(footings), notes, tuple(problems))


@remembered
def lift_figures(rig: Rig, name: str, at: tuple[float, float], each: Lift, notes: tuple[Words, ...]) -> LiftFigures:
    """Figures of one lift.

    Args:
        rig: The machine.
        name, at: Of the position that lifts it [m].
        each: The lift.
        notes: What to heed at that position.
    """
    radius = entry(
        rel.lift_radius, f"{each.load.subject} / {name}", source=USER, east=each.load.at[0] - at[0], north=each.load.at[1] - at[1]
    )  # fmt: skip
    pick, swing, place = (_use(rig.drawn, each, phase, notes) for phase in range(3))
    return LiftFigures(radius, (pick, swing, place))


@remembered
def work_out(
    drawn: Lifting,
    rig: Rig,
    stands: Stood,
    lifts: tuple[Lift, ...],
    figures: tuple[LiftFigures, ...],
    loads: tuple[Load, ...],
    unplaced: int,
    holes: tuple[Hole, ...],
    hooks: tuple[tuple[str, float], ...],
    way_in: tuple[float, float] | None,
) -> LiftingResult:
    """Every placed boulder lifted from the position that uses the chart least.

    Args:
        drawn: The lift plan, as entered.
        rig: Its machine.
        stands: Its positions.
        lifts, figures: The best lift of each load that has one; none without chart or position.
        loads: The boulders that have a place.
        unplaced: How many have none.
        holes: The pools that could be worked out, and other holes.
        hooks: (boulder, how far its slings hold the hook over it [m]) of each kind that hangs in some.
        way_in: Where the machine comes to the dig, and gets out again [m]; None where it is not drawn.
    """
    found = [*rig.problems]
    if not drawn.positions:
        given = words("no machine position is entered")
        found.append(Problem(("lifting", "positions"), given, words("one at least"), words("add a position")))
    found += stands.problems
    able = bool(rig.chart and stands.footings)
    of_load = {each.load: own for each, own in zip(lifts, figures, strict=True)}
    if rig.chart and stands.footings:
        lacking = [load for load in loads if load not in of_load]
        found += _no_rating(rig.chart, lacking, stands.footings)
    turns = in_turn(drawn, way_in, lifts)
    own = [of_load[each.load] for each in turns]
    held = sum(each.use <= drawn.limit + ROUNDING for each in turns)
    count = None
    if able and loads:
        count = entry(
            rel.boulders_not_lifted,
            "",
            cautions=[
                *_over(drawn, turns, unplaced),
                *_too_low(drawn, turns, hooks),
                *([] if way_in else [NO_WAY_IN]),
                LIFT,
            ],
            placed=len(loads),
            held=held,
        )
    return LiftingResult(
        lift_turn=tuple(entry(rel.lift_turn, each.load.subject, set_before=at) for at, each in enumerate(turns)),
        lift_radius=tuple(each.radius for each in own),
        pick_use=tuple(each.uses[0] for each in own),
        swing_use=tuple(each.uses[1] for each in own),
        place_use=tuple(each.uses[2] for each in own),
        chart_rated=rig.raw,
        set_back_spare=stands.spares,
        way_out_stones=tuple(_way(drawn, way) for way in ways_out(drawn, way_in, turns, holes)),
        boulders_not_lifted=count,
        lifts=tuple(turns),
        spots=tuple(
            (p.name, (float(p.at[0]), float(p.at[1])), float(p.facing_deg), (float(p.pick_up[0]), float(p.pick_up[1])))
            for p in drawn.positions
        ),
        reach=(rig.chart.nearest, rig.chart.reach) if rig.chart else None,
        limit=float(drawn.limit),
        problems=tuple(found),
    )


def _must_be_made_for_lifting(chart: Chart) -> bool:
    load, moment = (
        float(gathered("limits")[name]["value"])
        for name in ("object handling at most", "object handling moment at most")
    )
    return chart.lifts_most > load or chart.tips_most > moment


def _use(drawn: Lifting, each: Lift, phase: int, whole: Sequence[Words]) -> Entry:
    """Use of the chart in one phase. ``whole`` holds for the whole lift and stands at its swing, so that a mark at pick-up or
    place means just that."""
    rated, use = each.phases[phase].rated, each.phases[phase].use
    notes = [LIFT, *whole] if phase == 1 else []
    if use > 1 + ROUNDING:
        notes.append(Words(f"Over the machine's rating {PHASES[phase]}: this lift is not to be made."))
    elif use > drawn.limit + ROUNDING:
        notes.append(words(f"Over your own limit of {{limit}} {PHASES[phase]}.", limit=(drawn.limit, SHARE)))
    return entry(
        rel.lift_use, each.load.subject, source=USER, cautions=notes, high_mass=each.load.mass, rated=rated, bucket=drawn.bucket,
        coupler=drawn.coupler, rigging=drawn.rigging,
    )  # fmt: skip


def _over(drawn: Lifting, turns: Sequence[Lift], unplaced: int) -> Iterator[Words]:
    for each in turns:
        if each.use > drawn.limit + ROUNDING:
            phase = max(range(3), key=lambda at: each.phases[at].use)
            yield words(
                f"'{each.load.subject}' uses {{use}} of the chart from '{drawn.positions[each.position].name}', {PHASES[phase]}, at {{radius}}.",
                use=(each.use, SHARE),
                radius=(each.phases[phase].radius, LENGTH),
            )
    if unplaced:
        yield words(
            "{count} boulders have no place on the plan, or no pool that is there: their lift is not checked.",
            count=(unplaced, COUNT),
        )


def _too_low(drawn: Lifting, turns: Sequence[Lift], hooks: Sequence[tuple[str, float]]) -> Iterator[Words]:
    """Kinds of boulder whose slings reach higher than the load point is entered: all heights of the chart were read too low."""
    set_here = {each.load.name for each in turns}
    for name, over in hooks:
        if name in set_here and over > drawn.hook_over + ROUNDING:
            yield words(
                f"The slings of '{name}' hold the hook {{over}} over it, and the load point is entered as {{entered}} over the stone: enter as much at least.",
                over=(over, LENGTH),
                entered=(drawn.hook_over, LENGTH),
            )


def _way(drawn: Lifting, way: WayOut) -> Entry:
    notes = []
    if way.stones:
        notes.append(Words(f"Set by then, and in the straight way to {way.to}: {', '.join(way.stones)}. Go round, or set them from another position."))  # fmt: skip
    if way.pools:
        notes.append(Words(f"The straight way to {way.to} meets {', '.join(way.pools)}: go round."))
    name = drawn.positions[way.position].name
    return entry(
        rel.way_out_stones,
        f"{name}, {way.visit}" if way.visit > 1 else name,
        source=USER,
        cautions=notes,
        in_the_way=len(way.stones),
    )


def _level_note(ground: Terrain, footing: Footing) -> Iterator[Words]:
    """Ratings hold on level ground: how steeply it falls under the machine."""
    x, y = footing.at
    east, north = (ground.level_at(at) - footing.level for at in ((x + 1, y), (x, y + 1)))
    steepest = math.hypot(east, north)
    if steepest > ROUNDING:
        yield words("The ground falls {fall} under a machine: make a level stand; its rating holds on level ground.", fall=(steepest, RATIO))  # fmt: skip


def _no_rating(chart: Chart, lacking: Sequence[Load], footings: Sequence[Footing]) -> Iterator[Problem]:
    """A problem for each kind of boulder that has places for which no position has a rating."""
    for index in dict.fromkeys(load.index for load in lacking):
        own = [load for load in lacking if load.index == index]
        near = [min(math.dist(load.at, f.at) for f in footings) for load in own]
        numbers = ", ".join(str(load.number) for load in own)
        yield Problem(
            ("stone", "boulders", index, "places"),
            words(
                f"no position has a rating for place {numbers}; the nearest stands {{near}} away",
                near=(max(near), LENGTH),
            ),
            words(
                "radius and height of pick-up, swing and place within the rows of the chart, {least} to {most} out, and more than what hangs on it",
                least=(chart.nearest, LENGTH),
                most=(chart.reach, LENGTH),
            ),
            words(
                "move a machine position, the stones waiting or the stone, or enter the rows that the plate has for it"
            ),
        )
