"""Stream beds of links, excavated and filled from the upper pool's waterline over the crest to the lower pool's."""

import contextlib
import math
from collections.abc import Iterator

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.footprint import Plan
from pondkit.geometry.hole import Hole
from pondkit.geometry.mound import Bank, InvertedGround, bank_along, bank_holes, rim_of
from pondkit.geometry.outline import Placed, Shape
from pondkit.geometry.terrain import FAR_BANK, Terrain, TooSteep
from pondkit.geometry.trench import (
    Ditch,
    DugFrom,
    Sampled,
    Spot,
    Trenches,
    line_between,
    meets_within,
    over_each_other,
    sampled,
    sides_up,
    take_out,
)
from pondkit.trades.earthwork.cautions import (
    BED_EVEN_SLOPE,
    BED_LENGTH_DIFFERS,
    BED_LINE_STRAIGHT,
    BED_ON_FILL,
    BED_WITHOUT_BANKS,
    BED_WITHOUT_CREST,
)
from pondkit.trades.earthwork.results import StreamBed, StreamBeds, level_length
from pondkit.trades.pools.inputs import Link
from pondkit.trades.pools.results import PoolResult

SAME_LEVEL = 1e-6  # m: a bed that rises by less than this is level
NO_LINKS = StreamBeds((), (), True, any_link=False)
PoolEnd = tuple[Shape, Placed, float]  # outline of a pool, its placement, level of its waterline [m]

make_stream_beds = remembered(StreamBeds)


def compute(
    links: tuple[Link, ...],
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    lining: tuple[float, frozenset[str]],
    outer: tuple[float, float] | None,
) -> StreamBeds:
    """Stream beds of the links. They depend on no depth of a pool, so that they are not worked out again when a tier is
    moved.

    Args:
        links: Inputs of the links.
        pools: Those without problems.
        ground: As it is; None if it has a problem.
        lining: Thickness of underlay, liner and overlay [m], and names of the lined pools.
        outer: Crest width [m] and outer slope of the banks outside the rims; None if none are built.
    """
    if not links:
        return NO_LINKS
    if ground is None:
        return StreamBeds((), (), False)
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    pool_banks = tuple(
        Bank(name, dig.surface.pool.shape, dig.placed, dig.rim, dig.rim_level) for name, dig in digs.items()
    )
    rims = tuple(rim_of(bank) for bank in pool_banks)
    outer_banks: tuple[Hole, ...] = ()
    if outer is not None:
        with contextlib.suppress(TooSteep):  # reported with the pools' own banks
            outer_banks = bank_holes(pool_banks, *outer, ground)
    thickness, lined = lining
    count: dict[str, int] = {}
    beds: list[StreamBed] = []
    problems: list[Problem] = []
    complete = True
    for index, link in enumerate(links):
        count[link.from_] = count.get(link.from_, 0) + 1
        upper, lower = digs.get(link.from_), digs.get(link.to)
        # Other problems of a link are reported with the links.
        if upper is None or lower is None or link.from_ == link.to or upper.level < lower.level:
            complete = False
            continue
        lining_thickness = thickness if lined & {link.from_, link.to} else 0.0
        top, foot = ((end.surface.pool.shape, end.placed, end.level) for end in (upper, lower))
        try:
            bed = _bed(link, (index, count[link.from_]), (top, foot), lining_thickness, outer, rims, ground)
        except Trouble as trouble:
            problems += trouble.problems
            complete = False
            continue
        if bed is not None:
            beds.append(bed)
    return make_stream_beds(tuple(beds), tuple(problems), complete, outer_banks)


@remembered
def _bed(
    link: Link,
    place: tuple[int, int],
    ends: tuple[PoolEnd, PoolEnd],
    lining_thickness: float,
    outer: tuple[float, float] | None,
    rims: tuple[Plan, ...],
    ground: Terrain,
) -> StreamBed | None:
    """Stream bed of a link; None if its pools meet at the crest.

    Args:
        link: Inputs of the link.
        place: Its index and number, see ``StreamBed``.
        ends: Upper and lower pool.
        lining_thickness: Thickness of underlay, liner and overlay [m].
        outer: Crest width [m] and outer slope of the banks outside the rims; None if none are built.
        rims: Area within the rims of the pools.
        ground: Existing ground.
    Raises: Trouble if it runs uphill, or its sides do not meet the ground.
    """
    index, number = place
    upper, lower = ends
    path: Path = ("links", index)
    course = _course(link, path, upper, lower)
    if course is None:
        return None
    line, crest, fall = course
    channel = link.kind == "channel"
    batter = float(link.side_batter) if channel else 0.0
    wide = float(link.bed_width) if channel and link.bed_width is not None else float(link.crest_width)
    layer = float(link.layer) if link.layer is not None else 0.0
    # The layer laid in the bed is measured upright; liner and fabrics are measured square to bed and sides, and the
    # sides carry nothing else.
    lowered = layer + lining_thickness * math.sqrt(1 + fall**2)
    half = wide / 2 + lining_thickness * math.sqrt(1 + batter**2) - batter * lowered
    name = f"{link.from_} – {link.to}"
    dig_line = tuple((x, y, z - lowered) for x, y, z in line)
    try:
        cut = Ditch(name, dig_line, sides_up(half, batter, meets_within(dig_line, half, batter, ground)))
        high = float(link.bank_height) + lowered if channel and link.bank_height is not None else 0.0
        bank = bank_along(name, dig_line, sides_up(half, batter, high * batter), high, outer, rims, ground)
    except TooSteep:
        raise Trouble(_too_steep(path, link, outer)) from None
    notes = tuple(_cut_cautions(link, line[crest:]))
    bank_notes = tuple(_bank_cautions(link, outer))
    return StreamBed(index, number, name, link, line, crest, half, batter, lowered, cut, bank, notes, bank_notes)


def _course(link: Link, path: Path, upper: PoolEnd, lower: PoolEnd) -> tuple[tuple[Spot, ...], int, float] | None:
    """(centre line of the finished bed, index of its crest, slope from there down); None if the pools meet at the
    crest.

    Raises: Trouble if it runs uphill.
    """
    crest = upper[2] if link.crest_level is None else float(link.crest_level)
    if crest < lower[2] - SAME_LEVEL:
        raise Trouble(_uphill(path, crest, lower[2]))
    places = [(float(x), float(y)) for x, y in (link.at, *link.points)]
    plan, crest_index = line_between(upper[:2], lower[:2], places)
    if len(plan) - crest_index < 2:
        return None
    steps = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(plan[crest_index:], axis=0), axis=1)))
    slope_entered = link.kind == "channel" and link.slope is not None
    fall = float(link.slope or 0.0) if slope_entered else (crest - lower[2]) / float(steps[-1])
    levels = [crest] * crest_index + [crest - fall * float(station) for station in steps]
    line = tuple((float(x), float(y), float(z)) for (x, y), z in zip(plan, levels, strict=True))
    return line, crest_index, fall


def banks(beds: StreamBeds, ground: Terrain) -> Trenches:
    """Fills under and beside stream beds, less the banks outside the rims of the pools: each by itself, and all
    together with overlaps counted once.
    """
    under = InvertedGround(ground)
    samples = []
    every = tuple(bed.bank for bed in beds.each)
    for bank, beside in zip(every, over_each_other(every), strict=True):
        sample = sampled(bank, under, beside)
        samples.append((sample, _built_from(sample, beds.outer)))
    return take_out(tuple(samples))


@remembered
def _built_from(sample: Sampled, outer: tuple[Hole, ...]) -> DugFrom:
    """Level from which a fill is built, upside down: the ground, or the bank of a pool that is there already."""
    levels = sample.stands
    for hole in outer:
        levels = np.minimum(levels, hole.level_at(sample.places))
    return DugFrom(levels, ())


def _cut_cautions(link: Link, line: tuple[Spot, ...]) -> Iterator[Words]:
    """Cautions for the excavation of a bed. ``line``: its centre line from the crest down."""
    if link.kind == "fall":
        yield BED_EVEN_SLOPE()
        return
    if not link.points:
        yield BED_LINE_STRAIGHT()
    drawn_length = level_length(line)
    if link.length is not None:
        entered_length = float(link.length)
        difference = abs(drawn_length - entered_length) / entered_length
        yield from BED_LENGTH_DIFFERS.where(
            difference, difference, difference, given=(entered_length, LENGTH), drawn=(drawn_length, LENGTH)
        )


def _bank_cautions(link: Link, outer: tuple[float, float] | None) -> Iterator[Words]:
    """Cautions for the fill under a bed and the banks beside it."""
    yield BED_ON_FILL()
    if link.kind == "channel" and link.bank_height is None:
        yield BED_WITHOUT_BANKS()
    elif outer is None:
        yield BED_WITHOUT_CREST()


def _uphill(path: Path, crest: float, lower: float) -> Problem:
    return Problem(
        (*path, "crest_level"),
        words(
            "its crest stands at {crest}, and the lower pool's water at {lower}",
            crest=(crest, LENGTH),
            lower=(lower, LENGTH),
        ),
        words("a crest no lower than the lower pool's level"),
        words("raise its crest, or leave its level out: it is then that of the upper pool"),
    )


def _too_steep(path: Path, link: Link, outer: tuple[float, float] | None) -> Problem:
    return Problem(
        (*path, "side_batter"),
        words(
            "its sides of {sides} horizontal to 1 vertical, or the bank beside it, do not meet the ground",
            sides=(float(link.side_batter), RATIO),
        ),
        words("sides that meet it within {far}", far=(FAR_BANK, LENGTH)),
        words(
            "make its sides steeper, or lead its line where the ground falls less"
            + (", or make the outer slope of banks steeper" if outer else "")
        ),
    )
