"""What is dug besides the pools, for pipe, dens, bodies and walls, and what of it is filled in again."""

from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.result import Problem, Result
from pondkit.surface.trench import Taken, Trenches
from pondkit.takeoff import Entry, Words, entry, holds
from pondkit.units import Area, Length, Volume

DEEP = (
    "Trench of 5 ft (1.5 m) or more: 29 CFR 1926 Subpart P calls for a protective system (slope, bench, shore) unless in stable rock, and for less "
    "where cave-in threatens; its upright sides are counted here, not proposed. A competent person judges the soil, and local code decides."
)
NOT_UNDER = Words(
    "Filled in again round what stands in it, which is taken to reach up to the ground: what is covered over takes more fill."
)
UPRIGHT = Words("Counted with upright sides: laid back or shored it takes more. Keep spoil 2 ft back from the edge.")


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def pipe_trench_volume(dug: Taken) -> Volume:
    """Bank measure of the trench of one run, under the ground as it is and under what is dug for the pools.

    Working: pipe's outside and room on both sides, from ground or pool's dig down to the bottom of the bedding, over its length
    Source: geometry; room and bedding: user input
    """
    return dug.volume


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def den_pit_volume(dug: Taken) -> Volume:
    """Bank measure of the pit for one den chamber, in line with its run.

    Working: outside of the box and room on both sides, from ground or pool's dig down to the bottom of the bedding
    Source: geometry; room and bedding: user input
    """
    return dug.volume


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def body_hole_volume(dug: Taken) -> Volume:
    """Bank measure of the hole for one body of the water side, under the ground as it is and under what is dug for the pools.

    Working: plan of the body and room all round, from ground or pool's dig down to the bottom of its seat, with its sides sloped
    Source: geometry; room, sides and seat: user input
    """
    return dug.volume


@holds(lambda dug: dug.deepest < 1.524, DEEP)
def footing_volume(dug: Taken) -> Volume:
    """Bank measure of the trench in which a wall stands, under the ground as it is and under what is dug for the pools.

    Working: the lowest course and room before and behind it, from ground or pool's dig down to the bottom of its footing, over the line
    of its front
    Source: geometry; room and footing: user input
    """
    return dug.volume


def seat_volume(area: Area, seat: Length) -> Volume:
    """Bedding on the bottom of a hole, or crushed stone on that of a wall's trench.

    Source: geometry; thickness: user input
    """
    return area * seat


def trench_dig_volume(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Bank measure of all trenches, den pits, holes of bodies and footings of walls, shared ground once at the deepest.

    Source: geometry
    """
    return sum(each) - shared


def backfill_volume(trenches: Volume, pipes: Volume, boxes: Volume, bodies: Volume, seats: Volume) -> Volume:
    """What is filled in again over pipe and dens and round bodies and walls, built in and compacted; a pipe's bedding is not told apart.

    Source: conservation of volume
    """
    return trenches - pipes - boxes - bodies - seats


@dataclass(frozen=True, eq=False)
class TrenchesResult(Result):
    """What is dug besides the pools; subjects are names of runs, nodes, bodies and walls. The last two None where a part is in trouble.

    Attributes:
        problems: What could not be worked out, and how to mend it.
    """

    pipe_trench_volume: tuple[Entry, ...]
    den_pit_volume: tuple[Entry, ...]
    body_hole_volume: tuple[Entry, ...]
    footing_volume: tuple[Entry, ...]
    seat_volume: tuple[Entry, ...]
    trench_dig_volume: Entry | None
    backfill_volume: Entry | None
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Stands:
    """What a hole is dug for, as far as its figures hang on it.

    Attributes:
        wall: True for a wall, False for a body.
        foot: Plan area of its hole's bottom [m²].
        seat: Thickness of what is laid on that [m].
        cautions: To be said with its hole.
    """

    wall: bool
    foot: float
    seat: float
    cautions: tuple[Words, ...]


def trenches(
    taken: Trenches,
    kinds: tuple[int, int],
    stands: Sequence[Stands],
    notes: Sequence[Sequence[Words]],
    filled: tuple[float, float, float, float],
    problems: Sequence[Problem],
    whole: bool,
) -> TrenchesResult:
    """Entries of all trenches, pits and holes.

    Args:
        taken: What each takes out: first the runs, then the dens, then what stands in a hole.
        kinds: How many of them are runs, and how many dens.
        stands: The others.
        notes: Cautions of each of all these, of survey and groundwater.
        filled: Outside volume of pipes, boxes, bodies and walls, and seats that lie in them [m³].
        problems: Of those that are in trouble.
        whole: False where one is: then there is no sum.
    """
    runs, dens = kinds[0], sum(kinds)
    alone = [(dug, [UPRIGHT, *more]) for dug, more in zip(taken.each, notes, strict=True)]
    ways = tuple(entry(pipe_trench_volume, dug.name, cautions=said, dug=dug) for dug, said in alone[:runs])
    pits = tuple(entry(den_pit_volume, dug.name, cautions=said, dug=dug) for dug, said in alone[runs:dens])
    holes: list[Entry] = []
    footings: list[Entry] = []
    seats: list[Entry] = []
    for dug, one, more in zip(taken.each[dens:], stands, notes[dens:], strict=True):
        relation, into = (footing_volume, footings) if one.wall else (body_hole_volume, holes)
        into.append(entry(relation, dug.name, cautions=[*one.cautions, NOT_UNDER, *more], dug=dug))
        if one.seat > 0:
            seats.append(entry(seat_volume, dug.name, area=one.foot, seat=one.seat))
    every = (*ways, *pits, *holes, *footings)
    shared = sum(figure.value for figure in every) - taken.together
    sums: tuple[Entry | None, Entry | None] = (None, None)
    if whole:
        dug_out = entry(trench_dig_volume, "", each=every, shared=shared)
        pipes, boxes, bodies, beds = filled
        back = entry(backfill_volume, "", trenches=dug_out.value, pipes=pipes, boxes=boxes, bodies=bodies, seats=beds)
        sums = (dug_out, back)
    return TrenchesResult(ways, pits, tuple(holes), tuple(footings), tuple(seats), *sums, tuple(problems))
