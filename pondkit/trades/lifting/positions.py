"""Machine positions: on firm ground, off pools and liners, behind the slope of every dig; setting order of the stones;
and each lift from pick-up through swing to set.
"""

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
    """An open excavation near the machine: a pool, or another one.

    Attributes:
        name: Name of the pool, or of the structure or buried part.
        dig: Its dig on the site.
        liner: Width of liner beyond the edge of the dig, if it has one: rim and liner's edge [m].
        seeps: True if groundwater stands above its floor.
    """

    name: str
    dig: SiteSurface | Dug
    liner: float | None
    seeps: bool


@dataclass(frozen=True)
class MachineSurroundings:
    """Parts that a machine must keep its distance from.

    Attributes:
        holes: Pools without problems, and other excavations.
        heaps: Fills, on which no machine stands.
        backs: (wall, area behind it within its height).
    """

    holes: tuple[OpenDig, ...]
    heaps: tuple[Footprint, ...]
    backs: tuple[Footprint, ...]


def standing(
    lifting: Lifting, index: int, level: float, pick_level: float, beside: MachineSurroundings, soil: str
) -> tuple[Entry | None, tuple[Problem, ...]]:
    """(setback to spare of a position at the governing dig, problems that forbid the position).

    Args:
        lifting: Inputs of the lift plan.
        index: Index of the position.
        level, pick_level: Level of the ground there, and at its staging area [m].
        beside: Parts that the machine must avoid.
        soil: Soil of the site, a name in the table of soils.
    """
    position = lifting.positions[index]
    path: Path = ("lifting", "positions", index)
    place, size = (float(position.at[0]), float(position.at[1])), float(lifting.size)
    limit = gathered("limits")["spoil set-back at least"]
    least = float(limit["value"]) * factor(limit["unit"], LENGTH)
    problems = [
        *_ground_faults(position, path, soil),
        *(_heap_faults(beside.heaps, place, (*path, "at"), size) if lifting.heaped == BEFORE else ()),
        *_waiting_faults(lifting, index, pick_level, beside.holes, least),
    ]
    worst: dict[str, tuple[float, OpenDig, Approach]] = {}  # of several excavations with one name
    for hole in beside.holes:
        slope = float(soil_row(soil, hole.seeps)["steepest_h_per_v"])
        near = approach(hole.dig, place, level, slope)
        spare_length = rel.set_back_spare(near.to_place, size, slope, near.depth, near.to_edge, least)
        if hole.name not in worst or spare_length < worst[hole.name][0]:
            worst[hole.name] = spare_length, hole, near
    for spare_length, hole, near in worst.values():
        fault = _hole_fault(hole, near, (*path, "at"), size)
        if fault is None and spare_length < 0:
            fault = _too_near(hole, soil_row(soil, hole.seeps), (*path, "at"), -spare_length, least)
        problems += [fault] if fault else []
    if problems or not worst:
        return None, tuple(problems)
    _, hole, near = min(worst.values(), key=lambda entry_row: entry_row[0])
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
    """Problem of a machine on the slope that the soil would stand at, or nearer to the edge than the
    least distance [m].
    """
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


def place_notes(lifting: Lifting, index: int, beside: MachineSurroundings) -> Iterator[Caution]:
    """Cautions of a position on a wall's backfill, and of one where a fill is built once the machine has left."""
    place = lifting.positions[index].at
    machine_place = float(place[0]), float(place[1])
    for back in beside.backs:
        if away(back, machine_place) < lifting.size:
            yield rules.MACHINE_BEHIND_WALL(wall=back.name)
    for heap in beside.heaps:
        if away(heap, machine_place) < lifting.size:
            yield rules.HEAPED_AFTER_LIFTS(heap=heap.name)


def _waiting_faults(
    lifting: Lifting, index: int, level: float, holes: Sequence[OpenDig], least: float
) -> Iterator[Problem]:
    """Problems of a staging area in an excavation, or nearer to its edge than stored material may be."""
    position = lifting.positions[index]
    place = float(position.pick_up[0]), float(position.pick_up[1])
    for name, holes_of_name in groupby(holes, key=lambda hole: hole.name):
        near = [approach(hole.dig, place, level, 0.0) for hole in holes_of_name]
        edge = min(approach_of_hole.to_edge for approach_of_hole in near)
        inside = any(approach_of_hole.outside < 0 for approach_of_hole in near)
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


def _heap_faults(heaps: Sequence[Footprint], place: tuple[float, float], path: Path, size: float) -> Iterator[Problem]:
    for heap in heaps:
        if away(heap, place) < size:
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
    """Straight way from a position to the next one, or out: stones already set and pools in it. ``visit``: number of
    the machine's visit to the position, from 1.

    ``visit`` counts how often the machine has come to the position, from 1.
    """

    position: int
    visit: int
    to: str
    stones: tuple[str, ...]
    pools: tuple[str, ...]


def in_turn(lifting: Lifting, way_in: Spot | None, lifts: Sequence[Lift]) -> list[Lift]:
    """Lifts in setting order: stones in the basin before those on the rim and beyond, over all positions; within each
    group the position furthest from the way in first, and its furthest stones first.

    A stone that rests on others comes after all lifted stones of their kind. Without a way in, positions are taken in
    the order entered.
    """

    def turn(lift: Lift) -> tuple[bool, float, int, float]:
        far = math.dist(_spot(lifting.positions[lift.position].at), way_in) if way_in else 0.0
        return (not lift.load.in_basin, -far, lift.position, -lift.phases[2].radius)

    waiting, ordered = sorted(lifts, key=turn), []
    while waiting:
        left = {lift.load.name for lift in waiting}
        # In circular stacks the first is taken; the circle itself is a problem of the stone.
        index = next((k for k, lift in enumerate(waiting) if lift.load.rests_on not in left - {lift.load.name}), 0)
        ordered.append(waiting.pop(index))
    return ordered


def ways_out(lifting: Lifting, way_in: Spot | None, turns: Sequence[Lift], holes: Sequence[OpenDig]) -> list[ExitWay]:
    """Way out of each position in use, in order, with obstacles; that of the last only if there is a way in."""
    stays = [(index, len(list(group))) for index, group in groupby(lift.position for lift in turns)]
    exit_ways: list[ExitWay] = []
    count_before = 0
    for stay, (index, count) in enumerate(stays):
        count_before += count
        start = _spot(lifting.positions[index].at)
        on = lifting.positions[stays[stay + 1][0]] if stay + 1 < len(stays) else None
        end = _spot(on.at) if on else way_in
        if end is None:
            break
        stones = tuple(
            lift.load.subject
            for lift in turns[:count_before]
            if off_line(lift.load.at, start, end) < lifting.size + lift.load.half
        )
        met = (hole.name for hole in holes if crosses(hole.dig, start, end, float(lifting.size)))
        pools = tuple(dict.fromkeys(met))  # a trench is several excavations
        visit = 1 + sum(exit_way.position == index for exit_way in exit_ways)
        exit_ways.append(ExitWay(index, visit, f"'{on.name}'" if on else "the way in", stones, pools))
    return exit_ways


def _spot(place: Sequence[float]) -> Spot:
    return float(place[0]), float(place[1])


@dataclass(frozen=True)
class Stance:
    """A sound position: index in the document, places of machine and staging area [m], direction of its tracks
    [degrees clockwise from north], levels of the ground at both [m].
    """

    index: int
    at: Spot
    pick_up: Spot
    facing: float
    level: float
    pick_level: float


@dataclass(frozen=True, eq=False)
class Machine:
    """The machine by itself: limits and sizes as entered, and its chart with problems; chart None if there is none.

    Attributes:
        raw: Rated loads derived from raw ones.
    """

    drawn: Lifting
    chart: Chart | None
    raw: tuple[Entry, ...]
    problems: tuple[Problem, ...]


@remembered
def machine_of(lifting: Lifting) -> Machine:
    """Machine of a lift plan; its positions are not used."""
    return Machine(lifting, *chart_of(lifting.chart))


@remembered
def best(rig: Machine, load: LiftLoad, footings: tuple[Stance, ...]) -> Lift:
    """Lift of a boulder from the position with the lowest percent of chart, for a machine with positions."""
    chart = rig.chart
    assert chart is not None
    return min((lift(rig.drawn, chart, load, footing) for footing in footings), key=lambda candidate: candidate.use)


def heights(lifting: Lifting, load: LiftLoad, footing: Stance) -> tuple[float, float, float]:
    """Heights of the load point above the machine's ground [m]: at pick-up, at the place, and highest between."""
    up = load.height + lifting.hook_over
    low, down = footing.pick_level - footing.level + up, load.level - footing.level + up
    # Above the highest of pick-up, place and the machine between.
    return low, down, max(low, down, up) + lifting.carry


def lift(lifting: Lifting, chart: Chart, load: LiftLoad, footing: Stance) -> Lift:
    """Lift of a boulder from a position, at the worst of pick-up, swing and set."""
    machine, pick = footing.at, footing.pick_up
    low, down, carried = heights(lifting, load, footing)
    near, far = math.dist(machine, pick), math.dist(machine, load.at)
    hung = float(lifting.bucket + lifting.coupler + lifting.rigging)

    def phase(radius: float, rated: float | None) -> Phase:
        left = 0.0 if rated is None else rated - hung
        return Phase(radius, rated, load.mass / left if left > 0 else math.inf)

    return Lift(
        load,
        footing.index,
        (
            phase(near, chart.rated(near, low, carried, _over_front(lifting, footing, pick))),
            phase(max(near, far), chart.rated(max(near, far), carried, carried, False)),
            phase(far, chart.rated(far, down, carried, _over_front(lifting, footing, load.at))),
        ),
    )


def _over_front(lifting: Lifting, footing: Stance, load: Spot) -> bool:
    bearing = math.degrees(math.atan2(load[0] - footing.at[0], load[1] - footing.at[1]))
    deviation = (bearing - footing.facing + 180) % 360 - 180
    return abs(deviation) <= lifting.front_within_deg + 1e-9
