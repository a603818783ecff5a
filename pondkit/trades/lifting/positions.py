"""Where a machine may stand, on firm ground, off pools and liners, behind the slope of every dig; in which order it
sets the stones; and each lift from pick-up through the swing to its place."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import bears_as_listed, gathered, soil_row
from pondkit.core.units import LENGTH, factor
from pondkit.geometry.footprint import Footprint, away
from pondkit.geometry.hole import Approach, approach, crosses, off_line
from pondkit.geometry.hole import Hole as Dug
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.lifting import cautions as rules
from pondkit.trades.lifting import formulas as rel
from pondkit.trades.lifting.chart import Chart, chart_of
from pondkit.trades.lifting.inputs import Lifting, Position
from pondkit.trades.lifting.results import Lift, LiftLoad, Phase, Spot

BEFORE = "before the lifts"
NO_RATING = {
    "soft ground": "a chart holds on firm, level ground only",
    "fresh fill": "a chart holds on firm, level ground only",
    "berm": "a berm bears no machine",
    "behind an unfilled wall": "a dry-stacked wall without its backfill holds no machine",
}


@dataclass(frozen=True)
class OpenDig:
    """A pool as the machine meets it, or another hole.

    Attributes:
        name: The pool, what stands in the hole, or what is buried there.
        dig: Its dig on the site.
        liner: How far beyond the edge of what is dug its liner lies, where it has
            one: the rim and the liner's edge [m].
        seeps: True where groundwater stands above its floor.
    """

    name: str
    dig: SiteSurface | Dug
    liner: float | None
    seeps: bool


@dataclass(frozen=True)
class MachineSurroundings:
    """What a machine keeps its distance from: the thing itself, or its edge.

    Attributes:
        holes: Pools that could be worked out, and other holes.
        heaps: What is heaped: no machine stands on it.
        backs: (wall, what lies within its height behind it).
    """

    holes: tuple[OpenDig, ...]
    heaps: tuple[Footprint, ...]
    backs: tuple[Footprint, ...]


def standing(
    drawn: Lifting, index: int, level: float, pick_level: float, beside: MachineSurroundings, soil: str
) -> tuple[Entry | None, tuple[Problem, ...]]:
    """What a position has to spare of the set-back from the dig that asks for most; and what forbids it.

    Args:
        drawn: The lift plan.
        index: Of the position.
        level, pick_level: Of the ground there, and where its stones wait [m].
        beside: What the machine keeps off.
        soil: Name in the table of soils.
    """
    position = drawn.positions[index]
    path: Path = ("lifting", "positions", index)
    at, size = (float(position.at[0]), float(position.at[1])), float(drawn.size)
    limit = gathered("limits")["spoil set-back at least"]
    least = float(limit["value"]) * factor(limit["unit"], LENGTH)
    problems = [
        *_ground_faults(position, path, soil),
        *(_heap_faults(beside.heaps, at, (*path, "at"), size) if drawn.heaped == BEFORE else ()),
        *_waiting_faults(drawn, index, pick_level, beside.holes, least),
    ]
    worst: dict[str, tuple[float, OpenDig, Approach]] = {}  # of several holes of one name
    for hole in beside.holes:
        slope = float(soil_row(soil, hole.seeps)["steepest_h_per_v"])
        near = approach(hole.dig, at, level, slope)
        own = rel.set_back_spare(near.to_place, size, slope, near.depth, near.to_edge, least)
        if hole.name not in worst or own < worst[hole.name][0]:
            worst[hole.name] = own, hole, near
    for own, hole, near in worst.values():
        fault = _hole_fault(hole, near, (*path, "at"), size)
        if fault is None and own < 0:
            fault = _too_near(hole, soil_row(soil, hole.seeps), (*path, "at"), -own, least)
        problems += [fault] if fault else []
    if problems or not worst:
        return None, tuple(problems)
    _, hole, near = min(worst.values(), key=lambda one: one[0])
    row = soil_row(soil, hole.seeps)
    spare = entry(
        rel.set_back_spare,
        f"{position.name} / {hole.name}",
        source=f"{row['source']}; {limit['source']}; {USER}",
        cautions=[rules.EDGE_UNDER_MACHINE()],
        to_place=near.to_place,
        machine=size,
        slope=float(row["steepest_h_per_v"]),
        depth=near.depth,
        to_edge=near.to_edge,
        least=least,
    )
    return spare, ()


def _too_near(hole: OpenDig, row: dict[str, str], path: Path, short: float, least: float) -> Problem:
    """A machine that stands on the slope that the soil would stand at, or nearer than the least to the edge [m]."""
    return Problem(
        path,
        words(f"the machine stands {{short}} too near the dig of '{hole.name}'", short=(short, LENGTH)),
        words(
            f"its tracks behind the slope of {row['steepest_h_per_v']} to 1 from the bottom of the cut up "
            f"({row['soil']}), and {{least}} from its edge",
            least=(least, LENGTH),
        ),
        words("move it back"),
    )


def place_notes(drawn: Lifting, index: int, beside: MachineSurroundings) -> Iterator[Caution]:
    """Walls on whose backfill a position presses; what is heaped there once the machine has left."""
    place = drawn.positions[index].at
    at = float(place[0]), float(place[1])
    for back in beside.backs:
        if away(back, at) < drawn.size:
            yield rules.MACHINE_BEHIND_WALL(wall=back.name)
    for heap in beside.heaps:
        if away(heap, at) < drawn.size:
            yield rules.HEAPED_AFTER_LIFTS(heap=heap.name)


def _waiting_faults(
    drawn: Lifting, index: int, level: float, holes: Sequence[OpenDig], least: float
) -> Iterator[Problem]:
    """Stones that wait in a pool or hole, or nearer to its edge than what is stored beside a cut may lie."""
    position = drawn.positions[index]
    at = float(position.pick_up[0]), float(position.pick_up[1])
    for name, own in groupby(holes, key=lambda hole: hole.name):
        near = [approach(hole.dig, at, level, 0.0) for hole in own]
        edge = min(each.to_edge for each in near)
        inside = any(each.outside < 0 for each in near)
        if inside or edge < least:
            yield Problem(
                ("lifting", "positions", index, "pick_up"),
                words(
                    f"stones wait in '{name}'"
                    if inside
                    else f"stones wait {{edge}} from the edge of the dig of '{name}'",
                    edge=(edge, LENGTH),
                ),
                words("{least} from its edge or more", least=(least, LENGTH)),
                words("let them wait further away"),
            )


def _heap_faults(heaps: Sequence[Footprint], at: tuple[float, float], path: Path, size: float) -> Iterator[Problem]:
    for heap in heaps:
        if away(heap, at) < size:
            yield Problem(
                path,
                words(f"the machine stands on '{heap.name}'"),
                words("firm ground as it lies: no chart holds on what is heaped"),
                words("move it off, or say that it is heaped after the lifts"),
            )


def _ground_faults(position: Position, path: Path, soil: str) -> Iterator[Problem]:
    firm = words("firm, level ground, or ground made firm and judged by a competent person")
    mend = words("choose another place, or have it firmed with mats or stone, judged, and say so")
    if position.stands_on in NO_RATING:
        yield Problem(
            (*path, "stands_on"),
            words(f"no rating holds here: {NO_RATING[position.stands_on]}"),
            firm,
            mend,
        )
    elif position.stands_on == "firm ground" and not bears_as_listed(soil):
        yield Problem((*path, "stands_on"), words(f"the site's soil is {soil}: no rating holds on it"), firm, mend)


def _hole_fault(hole: OpenDig, near: Approach, path: Path, size: float) -> Problem | None:
    if near.outside < 0:
        return Problem(
            path,
            words(f"the machine stands in '{hole.name}'"),
            words("outside every pool and hole, behind the slope of its dig"),
            words("move it out"),
        )
    if hole.liner is not None and near.outside - size < hole.liner:
        return Problem(
            path,
            words(f"the machine stands on the liner of '{hole.name}'"),
            words("off every liner"),
            words("move it back beyond the liner's edge"),
        )
    return None


@dataclass(frozen=True)
class ExitWay:
    """The straight way from a position to the next one, or out: stones set by then and pools that lie in it.

    ``visit`` counts how often the machine has come to the position, from 1.
    """

    position: int
    visit: int
    to: str
    stones: tuple[str, ...]
    pools: tuple[str, ...]


def in_turn(drawn: Lifting, way_in: Spot | None, lifts: Sequence[Lift]) -> list[Lift]:
    """Lifts in the order of setting: stones in the basin before those on its rim and beyond, over all positions; of
    either the position furthest from the way in first, and its furthest stones first.

    A stone that rests on others comes after all stones of their kind that are lifted at all. Where no way in is drawn
    the positions come as they are entered.
    """

    def turn(lift: Lift) -> tuple[bool, float, int, float]:
        far = math.dist(_spot(drawn.positions[lift.position].at), way_in) if way_in else 0.0
        return (not lift.load.in_basin, -far, lift.position, -lift.phases[2].radius)

    waiting, done = sorted(lifts, key=turn), []
    while waiting:
        left = {lift.load.name for lift in waiting}
        # Where stacks go round in a ring the first is taken: the ring itself is a problem of the stone.
        at = next((k for k, lift in enumerate(waiting) if lift.load.rests_on not in left - {lift.load.name}), 0)
        done.append(waiting.pop(at))
    return done


def ways_out(drawn: Lifting, way_in: Spot | None, turns: Sequence[Lift], holes: Sequence[OpenDig]) -> list[ExitWay]:
    """The way from each position that is used, in turn, with what lies in it; from the
    last only where the way in is drawn.
    """
    stays = [(index, len(list(own))) for index, own in groupby(lift.position for lift in turns)]
    ways: list[ExitWay] = []
    done = 0
    for at, (index, count) in enumerate(stays):
        done += count
        start = _spot(drawn.positions[index].at)
        on = drawn.positions[stays[at + 1][0]] if at + 1 < len(stays) else None
        end = _spot(on.at) if on else way_in
        if end is None:
            break
        stones = tuple(
            lift.load.subject
            for lift in turns[:done]
            if off_line(lift.load.at, start, end) < drawn.size + lift.load.half
        )
        met = (hole.name for hole in holes if crosses(hole.dig, start, end, float(drawn.size)))
        pools = tuple(dict.fromkeys(met))  # a trench is several holes
        visit = 1 + sum(way.position == index for way in ways)
        ways.append(ExitWay(index, visit, f"'{on.name}'" if on else "the way in", stones, pools))
    return ways


def _spot(place: Sequence[float]) -> Spot:
    return float(place[0]), float(place[1])


@dataclass(frozen=True)
class Stance:
    """A sound position: index in the document, where machine and waiting stones stand [m], which way its tracks face
    [degrees clockwise from north], levels of the ground at both [m]."""

    index: int
    at: Spot
    pick_up: Spot
    facing: float
    level: float
    pick_level: float


@dataclass(frozen=True, eq=False)
class Machine:
    """The machine by itself: its limits and sizes as entered, and its chart, with what is wrong
    with that; None where there is none.

    Attributes:
        raw: Rated loads worked out from raw ones.
    """

    drawn: Lifting
    chart: Chart | None
    raw: tuple[Entry, ...]
    problems: tuple[Problem, ...]


@remembered
def machine_of(drawn: Lifting) -> Machine:
    """The machine of a lift plan; of its positions nothing is read."""
    return Machine(drawn, *chart_of(drawn.chart))


@remembered
def best(rig: Machine, load: LiftLoad, footings: tuple[Stance, ...]) -> Lift:
    """A boulder lifted from the position that uses the chart least, of a machine that has one."""
    chart = rig.chart
    assert chart is not None
    return min((lift(rig.drawn, chart, load, footing) for footing in footings), key=lambda each: each.use)


def heights(drawn: Lifting, load: LiftLoad, footing: Stance) -> tuple[float, float, float]:
    """Heights of the load point over the machine's ground [m]: at pick-up, at the place, and on its way between."""
    up = load.height + drawn.hook_over
    low, down = footing.pick_level - footing.level + up, load.level - footing.level + up
    # Over the highest that it comes from, goes to or passes at the machine.
    return low, down, max(low, down, up) + drawn.carry


def lift(drawn: Lifting, chart: Chart, load: LiftLoad, footing: Stance) -> Lift:
    """A boulder lifted from a position, at the worst of where it comes from, where it goes, and between."""
    machine, pick = footing.at, footing.pick_up
    low, down, carried = heights(drawn, load, footing)
    near, far = math.dist(machine, pick), math.dist(machine, load.at)
    hung = float(drawn.bucket + drawn.coupler + drawn.rigging)

    def phase(radius: float, rated: float | None) -> Phase:
        left = 0.0 if rated is None else rated - hung
        return Phase(radius, rated, load.mass / left if left > 0 else math.inf)

    return Lift(
        load,
        footing.index,
        (
            phase(near, chart.rated(near, low, carried, _over_front(drawn, footing, pick))),
            phase(max(near, far), chart.rated(max(near, far), carried, carried, False)),
            phase(far, chart.rated(far, down, carried, _over_front(drawn, footing, load.at))),
        ),
    )


def _over_front(drawn: Lifting, footing: Stance, load: Spot) -> bool:
    bearing = math.degrees(math.atan2(load[0] - footing.at[0], load[1] - footing.at[1]))
    off = (bearing - footing.facing + 180) % 360 - 180
    return abs(off) <= drawn.front_within_deg + 1e-9
