"""Positions of the machine: whether it may stand there (on firm ground, off pools and liners, behind the slope of every
dig), the order in which it sets the stones from them, and its way out.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import bears_as_listed, gathered, soil_row
from pondkit.core.units import LENGTH, factor
from pondkit.geometry.footprint import Footprint, away
from pondkit.geometry.hole import Approach, Hole, approach, crosses, off_line
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.lifting import cautions as rules
from pondkit.trades.lifting import formulas as rel
from pondkit.trades.lifting.inputs import Lifting, Position
from pondkit.trades.lifting.results import Lift, Place

HEAPED_BEFORE = "before the lifts"
UNFIT_GROUND = {
    "soft ground": "a chart holds on firm, level ground only",
    "fresh fill": "a chart holds on firm, level ground only",
    "berm": "a berm bears no machine",
    "behind an unfilled wall": "a dry-stacked wall without its backfill holds no machine",
}


@dataclass(frozen=True)
class OpenDig:
    """An open excavation: the dig of a pool, or another one.

    Attributes:
        name: Name of the pool, or of the structure or buried part.
        shape: The dig on the site.
        liner_out: Distance from the pool's waterline to the outer edge of its liner [m]; None without a liner.
        seeps: True if groundwater stands above its floor.
    """

    name: str
    shape: SiteSurface | Hole
    liner_out: float | None
    seeps: bool


@dataclass(frozen=True)
class MachineSurroundings:
    """What a machine must keep its distance from.

    Attributes:
        digs: Pools, and other excavations.
        heaps: Berm and banks, with their names.
        behind_walls: Area behind each wall as wide as the wall is high, with the wall's name.
    """

    digs: tuple[OpenDig, ...]
    heaps: tuple[Footprint, ...]
    behind_walls: tuple[Footprint, ...]


def check_position(
    lifting: Lifting, index: int, level: float, pick_up_level: float, surroundings: MachineSurroundings, soil: str
) -> tuple[Entry | None, tuple[Problem, ...]]:
    """(setback to spare at the dig where it is least, problems of the position). The setback is None if there is a
    problem, or nothing is dug.

    Args:
        lifting: Inputs of the lift plan.
        index: Index of the position.
        level, pick_up_level: Site levels of the ground there, and at its staging area [m].
        surroundings: What the machine must keep its distance from.
        soil: Soil of the site, a name in the table of soils.
    """
    position = lifting.positions[index]
    path: Path = ("lifting", "positions", index)
    place, size = _place(position.at), float(lifting.size)
    limit = gathered("limits")["spoil set-back at least"]
    least_from_edge = float(limit["value"]) * factor(limit["unit"], LENGTH)
    problems = [
        *_ground_faults(position, path, soil),
        *(_heap_faults(surroundings.heaps, place, (*path, "at"), size) if lifting.heaped == HEAPED_BEFORE else ()),
        *_staging_faults(lifting, index, pick_up_level, surroundings.digs, least_from_edge),
    ]
    # A trench is several excavations of one name: of these the one with the least to spare counts.
    nearest: dict[str, tuple[float, OpenDig, Approach]] = {}
    for dig in surroundings.digs:
        slope = float(soil_row(soil, dig.seeps)["steepest_h_per_v"])
        near = approach(dig.shape, place, level, slope)
        to_spare = rel.set_back_spare(near.to_place, size, slope, near.depth, near.to_edge, least_from_edge)
        if dig.name not in nearest or to_spare < nearest[dig.name][0]:
            nearest[dig.name] = to_spare, dig, near
    for to_spare, dig, near in nearest.values():
        fault = _dig_fault(dig, near, (*path, "at"), size)
        if fault is None and to_spare < 0:
            fault = _too_near_fault(dig, soil_row(soil, dig.seeps), (*path, "at"), -to_spare, least_from_edge)
        problems += [fault] if fault else []
    if problems or not nearest:
        return None, tuple(problems)
    _, dig, near = min(nearest.values(), key=lambda spare_and_dig: spare_and_dig[0])
    row = soil_row(soil, dig.seeps)
    spare = entry(
        rel.set_back_spare,
        f"{position.name} / {dig.name}",
        source=f"{row['source']}; {limit['source']}; {USER}",
        cautions=[rules.EDGE_UNDER_MACHINE()],
        to_place=near.to_place,
        machine_reach=size,
        slope=float(row["steepest_h_per_v"]),
        depth=near.depth,
        to_edge=near.to_edge,
        least_from_edge=least_from_edge,
    )
    return spare, ()


def _too_near_fault(dig: OpenDig, row: dict[str, str], path: Path, short: float, least: float) -> Problem:
    """Problem of a machine on the slope that the soil would stand at, or nearer to the edge than the least distance.

    Args:
        dig: The dig that it stands too near to.
        row: Row of the table of soils.
        path: Path of the machine's place.
        short: How far it has to move back [m].
        least: Least distance from the edge [m].
    """
    return Problem(
        path,
        words(f"the machine stands {{short}} too near the dig of '{dig.name}'", short=(short, LENGTH)),
        words(
            f"its tracks behind the slope of {row['steepest_h_per_v']} to 1 from the bottom of the cut up "
            f"({row['soil']}), and {{least}} from its edge",
            least=(least, LENGTH),
        ),
        words("move it back"),
    )


def place_cautions(lifting: Lifting, index: int, surroundings: MachineSurroundings) -> Iterator[Caution]:
    """Cautions of a position behind a wall, and of one where something is heaped once the machine has left.

    Args:
        lifting: Inputs of the lift plan.
        index: Index of the position.
        surroundings: What the machine must keep its distance from.
    """
    place = _place(lifting.positions[index].at)
    for behind_wall in surroundings.behind_walls:
        if away(behind_wall, place) < lifting.size:
            yield rules.MACHINE_BEHIND_WALL(wall=behind_wall.name)
    for heap in surroundings.heaps:
        if away(heap, place) < lifting.size:
            yield rules.HEAPED_AFTER_LIFTS(heap=heap.name)


def _staging_faults(
    lifting: Lifting, index: int, level: float, digs: Sequence[OpenDig], least: float
) -> Iterator[Problem]:
    """Problems of a staging area in a dig, or nearer to its edge than spoil may lie.

    Args:
        lifting: Inputs of the lift plan.
        index: Index of the position.
        level: Site level of the ground at its staging area [m].
        digs: Pools, and other excavations.
        least: Least distance from the edge [m].
    """
    place = _place(lifting.positions[index].pick_up)
    for name, digs_of_name in groupby(digs, key=lambda dig: dig.name):
        approaches = [approach(dig.shape, place, level, 0.0) for dig in digs_of_name]
        edge = min(near.to_edge for near in approaches)
        inside = any(near.outside < 0 for near in approaches)
        if inside or edge < least:
            yield Problem(
                ("lifting", "positions", index, "pick_up"),
                words(
                    f"the staging area lies in '{name}'"
                    if inside
                    else f"the staging area lies {{edge}} from the edge of the dig of '{name}'",
                    edge=(edge, LENGTH),
                ),
                words("{least} from its edge or more", least=(least, LENGTH)),
                words("move it further away"),
            )


def _heap_faults(heaps: Sequence[Footprint], place: Place, path: Path, size: float) -> Iterator[Problem]:
    """Problems of a machine of a size [m] on what is heaped before it lifts."""
    for heap in heaps:
        if away(heap, place) < size:
            yield Problem(
                path,
                words(f"the machine stands on '{heap.name}'"),
                words("undisturbed firm ground: no chart holds on what is heaped"),
                words("move it off, or enter that it is heaped after the lifts"),
            )


def _ground_faults(position: Position, path: Path, soil: str) -> Iterator[Problem]:
    """Problems of ground that no chart holds on."""
    firm = words("firm, level ground, or ground made firm and judged by a competent person")
    mend = words("choose another place, or have it made firm with mats or stone, judged, and enter that it is")
    if position.stands_on in UNFIT_GROUND:
        yield Problem(
            (*path, "stands_on"),
            words(f"no rating holds here: {UNFIT_GROUND[position.stands_on]}"),
            firm,
            mend,
        )
    elif position.stands_on == "firm ground" and not bears_as_listed(soil):
        yield Problem((*path, "stands_on"), words(f"the site's soil is {soil}: no rating holds on it"), firm, mend)


def _dig_fault(dig: OpenDig, near: Approach, path: Path, size: float) -> Problem | None:
    """Problem of a machine of a size [m] in a dig, or on its liner."""
    if near.outside < 0:
        return Problem(
            path,
            words(f"the machine stands in '{dig.name}'"),
            words("outside every pool and excavation, behind the slope of its dig"),
            words("move it out"),
        )
    if dig.liner_out is not None and near.outside - size < dig.liner_out:
        return Problem(
            path,
            words(f"the machine stands on the liner of '{dig.name}'"),
            words("off every liner"),
            words("move it back beyond the liner's edge"),
        )
    return None


@dataclass(frozen=True)
class ExitWay:
    """The straight way from a position to the next one, or out of the site.

    Attributes:
        position: Index of the position.
        visit: How often the machine has come to it by then, from 1.
        to: Where the way leads, in words.
        stones: Stones already set in it, each as "name number".
        digs: Names of the pools and other excavations in it.
    """

    position: int
    visit: int
    to: str
    stones: tuple[str, ...]
    digs: tuple[str, ...]


def in_setting_order(lifting: Lifting, way_in: Place | None, lifts: Sequence[Lift]) -> list[Lift]:
    """Lifts in setting order: stones in a basin before those on its rim and beyond, over all positions; within each
    group the position furthest from the way in first, and the stones furthest from it first.

    A stone that rests on others comes after all lifted stones of their kind. Without a way in, positions come in the
    order entered.

    Args:
        lifting: Inputs of the lift plan.
        way_in: Where the way in ends at the dig [m]; None if it is not drawn.
        lifts: The best lift of each boulder.
    """

    def rank(lift: Lift) -> tuple[bool, float, int, float]:
        from_way_in = math.dist(_place(lifting.positions[lift.position].at), way_in) if way_in else 0.0
        return (not lift.load.in_basin, -from_way_in, lift.position, -lift.phases.at_set.radius)

    waiting, ordered = sorted(lifts, key=rank), []
    while waiting:
        kinds_waiting = {lift.load.name for lift in waiting}
        # Where kinds rest on each other in a circle, the first is taken: the circle is reported with the stone.
        index = next(
            (i for i, lift in enumerate(waiting) if lift.load.rests_on not in kinds_waiting - {lift.load.name}), 0
        )
        ordered.append(waiting.pop(index))
    return ordered


def ways_out(lifting: Lifting, way_in: Place | None, lifts: Sequence[Lift], digs: Sequence[OpenDig]) -> list[ExitWay]:
    """The machine's way out of each position, in order, with what is in it; out of the last only if a way in is drawn.

    Args:
        lifting: Inputs of the lift plan.
        way_in: Where the way in ends at the dig [m]; None if it is not drawn.
        lifts: Lifts in setting order.
        digs: Pools, and other excavations.
    """
    visits = [(position, len(list(group))) for position, group in groupby(lift.position for lift in lifts)]
    exit_ways: list[ExitWay] = []
    stones_set = 0
    for number, (position, count) in enumerate(visits):
        stones_set += count
        start = _place(lifting.positions[position].at)
        following = lifting.positions[visits[number + 1][0]] if number + 1 < len(visits) else None
        end = _place(following.at) if following else way_in
        if end is None:
            break
        stones = tuple(
            lift.load.subject
            for lift in lifts[:stones_set]
            if off_line(lift.load.at, start, end) < lifting.size + lift.load.half_length
        )
        crossed = (dig.name for dig in digs if crosses(dig.shape, start, end, float(lifting.size)))
        visit = 1 + sum(exit_way.position == position for exit_way in exit_ways)
        to = f"'{following.name}'" if following else "the way in"
        exit_ways.append(ExitWay(position, visit, to, stones, tuple(dict.fromkeys(crossed))))
    return exit_ways


def _place(coordinates: Sequence[float]) -> Place:
    return float(coordinates[0]), float(coordinates[1])
