"""What is dug besides the pools, for pipe, dens, bodies, walls and links, what of it is filled in again, and what links stand on."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.caution import CHECK, Caution
from pondkit.core.entry import USER, Entry, entry, limit, total, with_cautions
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words
from pondkit.core.units import BULK, LENGTH, Area, Length, Volume
from pondkit.geometry.trench import Cut, Taken, Trenches
from pondkit.trades.earthwork.cautions import (
    BED_BANK_HIGH,
    COMES_LOOSE,
    LOCATE_SERVICES,
    TRENCH_ENGINEERED,
    TRENCH_PROTECTION,
    TRENCH_WAY_OUT,
    UPRIGHT_SIDES,
)

NOTHING = 1e-9  # m³
HAIR = 1e-6  # m: a depth that is said to be a limit is at it


def pipe_trench_volume(dug: Taken) -> Volume:
    """Bank measure of the trench of one run, under the ground as it is and under what is dug for the pools.

    Working: pipe's outside and room on both sides, from ground or pool's dig down to the bottom of the bedding, over its length
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def den_pit_volume(dug: Taken) -> Volume:
    """Bank measure of the pit for one den chamber, in line with its run.

    Working: outside of the box and room on both sides, from ground or pool's dig down to the bottom of the bedding
    Source: geometry; room and bedding: user input
    """
    return dug.volume


def body_hole_volume(dug: Taken) -> Volume:
    """Bank measure of the hole for one body of the water side, under the ground as it is and under what is dug for the pools.

    Working: plan of the body and room all round, from ground or pool's dig down to the bottom of its seat, with its sides sloped
    Source: geometry; room, sides and seat: user input
    """
    return dug.volume


def footing_volume(dug: Taken) -> Volume:
    """Bank measure of the trench in which a wall stands, under the ground as it is and under what is dug for the pools.

    Working: the lowest course and room before and behind it, from ground or pool's dig down to the bottom of its footing, over the line
    of its front
    Source: geometry; room and footing: user input
    """
    return dug.volume


def link_dig_volume(dug: Taken) -> Volume:
    """Bank measure of the bed of one link, under the ground as it is and under what is dug for the pools.

    Working: bed and sides as dug, under all that is laid on them, from the upper waterline through the crest along its line to the lower
    waterline, from ground or pool's dig down
    Source: geometry; line, crest, fall, bed and sides: user input
    """
    return dug.volume


def link_bank_volume(built: Taken) -> Volume:
    """What one link stands on where it runs over the ground, with the banks beside it, as built in.

    Working: from the ground up to its bed as dug and the inner sides up to the bank height, and the crest and outer slope of banks
    where they are entered, outside the rim lines of the pools
    Source: geometry; line, crest, fall, bed, sides and banks: user input
    """
    return built.volume


def link_line_length(line: Length) -> Length:
    """Level length of its line, from waterline to waterline.

    Source: geometry; crest and places of the line: user input
    """
    return line


def total_link_bank(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """What is built for all links, soil that several share once.

    Source: geometry
    """
    return sum(each) - shared


def seat_volume(area: Area, seat: Length) -> Volume:
    """Bedding on the bottom of a hole, or crushed stone on that of a wall's trench.

    Source: geometry; thickness: user input
    """
    return area * seat


def pipe_bedding_volume(dug: Taken, bedding: Length, laid: Volume) -> Volume:
    """Bedding under one run or den, compacted.

    Working: bottom of the trench or pit times the bedding, where that lies under the ground and under what is dug for the pools
    Source: geometry; bedding: user input
    """
    return laid


def trench_dig_volume(each: tuple[Volume, ...], shared: Volume) -> Volume:
    """Bank measure of all trenches, den pits, holes of bodies, footings of walls and beds of links, shared ground once at the deepest.

    Source: geometry
    """
    return sum(each) - shared


def backfill_volume(
    trenches: Volume, links: Volume, pipes: Volume, boxes: Volume, bodies: Volume, seats: Volume, bedding: Volume
) -> Volume:
    """What is filled in again over pipe and dens and round bodies and walls, built in and compacted.

    Beds of links stay open.

    Source: conservation of volume; what is filled in round a body or wall is counted as if that reached up to the ground
    """
    return trenches - links - pipes - boxes - bodies - seats - bedding


@dataclass(frozen=True, eq=False)
class TrenchesResult(Result):
    """What is dug besides the pools; subjects are names of runs, nodes, bodies and walls, "from – to" of links. Sums are None where a part is in trouble.

    Attributes:
        cuts: Trenches of the runs and pits of the dens as they are dug.
        problems: What could not be worked out, and how to mend it.
    """

    pipe_trench_volume: tuple[Entry, ...]
    den_pit_volume: tuple[Entry, ...]
    body_hole_volume: tuple[Entry, ...]
    footing_volume: tuple[Entry, ...]
    seat_volume: tuple[Entry, ...]
    seat_order: Entry | None
    pipe_bedding_volume: tuple[Entry, ...]
    pipe_bedding_order: Entry | None
    link_dig_volume: tuple[Entry, ...]
    link_bank_volume: tuple[Entry, ...]
    link_line_length: tuple[Entry, ...]
    total_link_bank: Entry | None
    trench_dig_volume: Entry | None
    backfill_volume: Entry | None
    cuts: tuple[Cut, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True)
class Stands:
    """What a hole is dug for, as far as its figures hang on it.

    Attributes:
        wall: True for a wall, False for a body.
        upright: True where the sides of its hole are.
        foot: Plan area of its hole's bottom [m²].
        seat: Thickness of what is laid on that [m].
        cautions: To be said with its hole.
    """

    wall: bool
    upright: bool
    foot: float
    seat: float
    cautions: tuple[Words, ...]


@dataclass(frozen=True)
class Bed:
    """The bed of a link, as far as its figures hang on it.

    Attributes:
        length: Level length of its line [m].
        upright: True where its sides are.
        cautions, bank_cautions: To be said with what is dug, and what is built.
    """

    length: float
    upright: bool
    cautions: tuple[Words, ...]
    bank_cautions: tuple[Words, ...]


def trenches(
    taken: Trenches,
    ways_cut: Sequence[Cut],
    pits_cut: Sequence[Cut],
    stands: Sequence[Stands],
    beds: Sequence[Bed],
    built: Trenches | None,
    notes: Sequence[Sequence[Words]],
    filled: tuple[float, float, float, float, float],
    bedding: tuple[float, Sequence[float]],
    problems: Sequence[Problem],
    whole: bool,
) -> TrenchesResult:
    """Entries of all trenches, pits and holes.

    Args:
        taken: What each takes out: first the runs, then the dens, then what stands in a hole, then the links.
        ways_cut, pits_cut: Trenches of the runs and pits of the dens.
        stands, beds: What stands in a hole, and the links.
        built: What each link stands on; None where there is no link.
        notes: Cautions of each of all these, of survey and groundwater.
        filled: What links take out together, outside volume of pipes, boxes, bodies and walls, and seats that lie in them [m³].
        bedding: Thickness of bedding under pipe and dens [m], and how much lies under each of them [m³].
        problems: Of those that are in trouble.
        whole: False where one is: then there is no sum.
    """
    runs, dens = len(ways_cut), len(ways_cut) + len(pits_cut)
    alone = [
        (dug, [UPRIGHT_SIDES(), *deep_cautions(dug.deepest, True), *more])
        for dug, more in zip(taken.each, notes, strict=True)
    ]
    ways = tuple(entry(pipe_trench_volume, dug.name, cautions=said, dug=dug) for dug, said in alone[:runs])
    pits = tuple(entry(den_pit_volume, dug.name, cautions=said, dug=dug) for dug, said in alone[runs:dens])
    holes: list[Entry] = []
    footings: list[Entry] = []
    seats: list[Entry] = []
    last = dens + len(stands)
    for dug, one, more in zip(taken.each[dens:last], stands, notes[dens:last], strict=True):
        relation, into = (footing_volume, footings) if one.wall else (body_hole_volume, holes)
        into.append(
            entry(
                relation, dug.name, cautions=[*one.cautions, *deep_cautions(dug.deepest, one.upright), *more], dug=dug
            )
        )
        if one.seat > 0:
            seats.append(entry(seat_volume, dug.name, area=one.foot, seat=one.seat))
    links = tuple(
        entry(link_dig_volume, dug.name, cautions=[
            LOCATE_SERVICES(), *([UPRIGHT_SIDES()] if bed.upright else []), *bed.cautions, *deep_cautions(dug.deepest, bed.upright), *more,
        ], dug=dug)
        for dug, bed, more in zip(taken.each[last:], beds, notes[last:], strict=True)
    )  # fmt: skip
    banks = tuple(
        entry(link_bank_volume, one.name, cautions=[*bed.bank_cautions, *_bank_cautions(one.deepest)], built=one)
        for one, bed in zip(built.each if built else (), beds, strict=True)
        if one.volume > NOTHING
    )
    lines = tuple(
        entry(link_line_length, dug.name, line=bed.length) for dug, bed in zip(taken.each[last:], beds, strict=True)
    )
    all_banks = None
    if whole and built and banks:
        twice = max(sum(figure.value for figure in banks) - built.together, 0.0)
        all_banks = entry(total_link_bank, "", each=banks, shared=twice)
    under = tuple(
        entry(pipe_bedding_volume, dug.name, source=USER, dug=dug, bedding=bedding[0], laid=laid)
        for dug, laid in zip(taken.each[:dens], bedding[1], strict=True)
        if laid > 0
    )
    every = (*ways, *pits, *holes, *footings, *links)
    shared = sum(figure.value for figure in every) - taken.together
    sums: tuple[Entry | None, Entry | None] = (None, None)
    if whole:
        dug_out = entry(trench_dig_volume, "", each=every, shared=shared)
        open_beds, pipes, boxes, bodies, seated = filled
        back = entry(
            backfill_volume, "", trenches=dug_out.value, links=open_beds, pipes=pipes, boxes=boxes, bodies=bodies, seats=seated,
            bedding=sum(bedding[1]),
        )  # fmt: skip
        sums = (dug_out, back)
    return TrenchesResult(
        ways,
        pits,
        tuple(holes),
        tuple(footings),
        tuple(seats),
        _ordered(seats),
        under,
        _ordered(under),
        links,
        banks,
        lines,
        all_banks,
        *sums,
        (*ways_cut, *pits_cut),
        tuple(problems),
    )


def _ordered(parts: Sequence[Entry]) -> Entry | None:
    return with_cautions(total("", parts, BULK), COMES_LOOSE()) if parts else None


def deep_cautions(deep: float, upright: bool) -> Iterator[Caution]:
    """What the depth of a trench, pit or hole calls for: a way out, protection, an engineer's design.

    Args:
        deep: Greatest depth [m].
        upright: Whether its sides are; sloped ones may be protection enough, which is to be looked at.
    """
    way_out, protected, engineered = (
        limit(row, LENGTH)[0] for row in ("way out of a trench from", "protective system from", "engineered cut above")
    )
    told = (deep, LENGTH)
    yield from TRENCH_WAY_OUT.where(deep, deep, deep, most=way_out - HAIR, deep=told)
    if deep > protected - HAIR:
        yield TRENCH_PROTECTION(None if upright else CHECK, deep=told)
    yield from TRENCH_ENGINEERED.where(deep, deep, deep, most=engineered + HAIR, deep=told)


def _bank_cautions(high: float) -> Iterator[Caution]:
    from_, _ = limit("bank looked at from", LENGTH)
    yield from BED_BANK_HIGH.where(high, high, high, most=from_ - HAIR, tall=(high, LENGTH))
