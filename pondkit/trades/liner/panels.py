"""Panels where a liner is larger than the stock: which way they run, where the seams lie and how deep under water;
strips joined end to end from what rolls leave, neighbours' joins apart; strips of liner under falls and channels.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.geometry.outline import Array
from pondkit.geometry.sheet import SheetSpan
from pondkit.geometry.site_surface import SiteSurface
from pondkit.trades.liner import formulas as rel
from pondkit.trades.liner.cautions import (
    CHANNEL_WITHOUT_BANK,
    CHANNEL_WITHOUT_LENGTH,
    CHANNEL_WITHOUT_SIDES,
    LAP_OVER_LOWER,
)
from pondkit.trades.liner.inputs import Lining, lined_pools
from pondkit.trades.liner.results import Panels, Seam
from pondkit.trades.pools.inputs import Link

CLOSE = 1e-9
PARTS = 8  # shares of a roll's length at which a first cut is tried, to shift the joins
FURTHER = 3  # further rolls tried before joins are allowed to line up
MOST = 20  # tries per strip in the search for an order
MANY = 400  # strips side by side: no order is searched for beyond this number
FEW = 3  # up to this number of pieces in a strip all their orders are tried, beyond it only both directions

Strip = tuple[float, ...]  # lengths of its pieces in order, laps among them [m]


@dataclass(frozen=True)
class Cut:
    """Cutting plan of strips of one kind.

    Attributes:
        rolls: Number of rolls.
        strips: Pieces of each strip, in order side by side.
        left: Lengths of the offcuts [m].
    """

    rolls: int
    strips: tuple[Strip, ...]
    left: tuple[float, ...]

    @property
    def joins(self) -> int:
        return sum(len(strip) - 1 for strip in self.strips)


def joins_of(strip: Strip, lap: float) -> tuple[float, ...]:
    """Distance of the middle of each lap of a strip from its end [m]."""
    joins, end = [], 0.0
    for piece in strip[:-1]:
        end += piece
        joins.append(end - lap / 2)
        end -= lap
    return tuple(joins)


def apart(strip: Strip, neighbour: Strip, lap: float) -> bool:
    """True if no join of one strip meets a join of the strip beside it, where four layers would lie."""
    return all(abs(a - b) >= lap - CLOSE for a in joins_of(strip, lap) for b in joins_of(neighbour, lap))


def cut(count: int, run: float, length: float, lap: float) -> Cut:
    """Strips side by side from the fewest rolls, then with the fewest joins.

    Every roll boundary within a strip costs one lap, so cutting the strips in sequence from one roll after the other
    wastes least. A piece is at least two laps long, unless the rolls are too short for that. If no order of the strips
    keeps the joins of neighbours a lap apart, rolls are started with a shorter piece, and then further rolls are
    tried.

    Args:
        count: Number of strips, 0 or more.
        run: Length of each [m].
        length: Length of a roll, more than the lap [m].
        lap: Overlap of a piece with the next [m].
    """
    if not count:
        return Cut(0, (), ())
    least = min(2 * lap, length)
    fewest = max(math.ceil(count * run / length - CLOSE), 1)
    enough = count * math.ceil((run - lap) / (length - lap) - CLOSE)
    while _fed([length] * fewest, count, run, lap, least) is None:
        fewest += 1
        if fewest > 2 * enough + 1:
            fewest, least = max(math.ceil(count * run / length - CLOSE), 1), 0.0  # rolls this short give no such pieces
    for rolls in range(fewest, fewest + FURTHER + 1) if count <= MANY else ():
        plans = [
            Cut(rolls, arranged, left)
            for strips, left in _ways(rolls, count, run, length, lap, least)
            if (arranged := _side_by_side(strips, lap)) is not None
        ]
        if plans:
            return min(plans, key=lambda plan: plan.joins)
    strips, left = next(_ways(fewest, count, run, length, lap, least))
    return Cut(fewest, strips, left)


def _ways(
    rolls: int, count: int, run: float, length: float, lap: float, least: float
) -> Iterator[tuple[tuple[Strip, ...], tuple[float, ...]]]:
    """(strips, offcut lengths) of each option: first uncut strips from every roll with the rest joined, then rolls
    joined end to end throughout.
    """
    per_full_roll = int(length / run + CLOSE)
    uncut = min(per_full_roll * rolls, count)
    if per_full_roll:
        per_roll = [min(per_full_roll, max(count - per_full_roll * roll, 0)) for roll in range(rolls)]
        fed = _fed([length - run * strips for strips in per_roll], count - uncut, run, lap, least)
        if fed is not None:
            yield (((run,),) * uncut + fed[0], fed[1])
    for part in range(PARTS, 0, -1):
        first = length * part / PARTS
        fed = _fed([first, *[length] * (rolls - 1), length - first], count, run, lap, least)
        if fed is not None:
            yield fed


def _fed(
    lengths: list[float], count: int, run: float, lap: float, least: float
) -> tuple[tuple[Strip, ...], tuple[float, ...]] | None:
    """Strips cut in sequence from lengths joined end to end; None if the lengths do not suffice."""
    strips: list[Strip] = []
    left: list[float] = []
    ahead = list(reversed(lengths))
    at_hand = 0.0
    for _ in range(count):
        pieces: list[float] = []
        need = run
        while at_hand < need - CLOSE:
            # The piece behind must not be too short either.
            take = min(at_hand, need + lap - least)
            if take >= least - CLOSE:
                pieces.append(take)
                at_hand -= take
                need += lap - take
            if at_hand < need - CLOSE:
                left.append(at_hand)
                if not ahead:
                    return None
                at_hand = ahead.pop()
        pieces.append(need)
        at_hand -= need
        strips.append(tuple(pieces))
    return tuple(strips), tuple(over for over in (*left, at_hand, *ahead) if over > CLOSE)


def _side_by_side(strips: tuple[Strip, ...], lap: float) -> tuple[Strip, ...] | None:
    """The strips in an order in which no joins of neighbours line up; None if none is found within the
    number of tries.
    """
    if all(len(strip) == 1 for strip in strips):
        return strips
    every = sorted(
        set(strips), key=lambda pieces: (len(pieces), pieces), reverse=True
    )  # uncut strips are kept to separate the others
    left, arranged = Counter(strips), list[tuple[Strip, Strip]]()

    def next_ones() -> Iterator[tuple[Strip, Strip]]:
        before = arranged[-1][1] if arranged else ()
        return (
            (strip, oriented)
            for strip in every
            if left[strip]
            for oriented in _turned(strip)
            if apart(before, oriented, lap)
        )

    open_to = [next_ones()]
    for _ in range(MOST * len(strips)):
        candidate = next(open_to[-1], None)
        if candidate is not None:
            arranged.append(candidate)
            left[candidate[0]] -= 1
            if len(arranged) == len(strips):
                return tuple(oriented for _, oriented in arranged)
            open_to.append(next_ones())
        elif arranged:
            open_to.pop()
            left[arranged.pop()[0]] += 1
        else:
            return None
    return None


def _turned(strip: Strip) -> list[Strip]:
    every = permutations(strip) if len(strip) <= FEW else (strip, strip[::-1])
    return list(dict.fromkeys(every))


SHIFTS = 25  # places tried for the first seam
DRY = 1e-9  # m: a seam no deeper than this is above water
LOWEST = 0.02  # m above the lowest place of a pool within which a seam counts as crossing it


def panels(
    length: float, width: float, net: tuple[SheetSpan, SheetSpan], stock: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels of the rectangle, the better of both directions: without seams if possible, else with the shallowest,
    never across the lowest part of a pool.

    Args:
        length, width: Sides of the rectangle [m].
        net: The liner's span along its length and across it.
        stock: Widest and longest piece in stock [m].
        lap: Overlap of a panel with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    wide, long = stock
    options = [_way(length, width, net, piece, lap, rise) for piece in ((wide, long), (long, wide))]
    return min(
        options,
        key=lambda option: (
            any(s.lowest for s in option.seams),
            max(option.depth, 0.0),
            sum(s.length for s in option.seams),
        ),
    )


def _way(
    length: float, width: float, net: tuple[SheetSpan, SheetSpan], piece: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels in one direction: no wider than ``piece[0]`` across the liner's width, no longer than ``piece[1]`` along
    its length.
    """
    across = _seams(width, piece[0], lap, net[1], length, True, rise)
    along = _seams(length, piece[1], lap, net[0], width, False, rise)
    return Panels((len(across) + 1) * (len(along) + 1), (*across, *along))


def _seams(
    size: float, piece: float, lap: float, sheet: SheetSpan, run: float, along: bool, rise: float
) -> tuple[Seam, ...]:
    """Seams that divide ``size`` into pieces, shifted together to where they are shallowest."""
    if size <= piece + 1e-9:
        return ()
    count = math.ceil((size - lap) / (piece - lap) - 1e-9)
    pitch = piece - lap
    # The first panel may be as narrow as what the full ones leave, or as wide as the stock.
    first = np.linspace(size - (count - 1) * pitch, piece, SHIFTS) - lap / 2
    places = first[:, None] + pitch * np.arange(count - 1)
    deep, low = (
        values.reshape(places.shape) for values in met(sheet, (places - (size - sheet.length) / 2).ravel(), lap, rise)
    )
    deepest = deep.max(axis=1)
    best = int(np.lexsort((deepest, np.maximum(deepest, DRY), low.any(axis=1)))[0])
    return tuple(
        Seam(along, float(p), run, float(d), bool(b))
        for p, d, b in zip(places[best], deep[best], low[best], strict=True)
    )


def met(sheet: SheetSpan, places: Array, lap: float, rise: float) -> tuple[Array, Array]:
    """(greatest depth of each seam below the highest water [m], whether it crosses the lowest part of a pool), shape
    (n,) each.

    A seam is as wide as its lap, and as deep as the lower of its two edges. A seam on the ground counts against the
    water of the pool beside it, of two pools that with the lower rim.

    Args:
        sheet: Span of the liner across the seams.
        places: Distance of the middle of each seam from the sheet's left end, shape (n,) [m].
        lap: Overlap of a panel with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    across = (places[:, None] + lap * np.array([-0.5, 0.0, 0.5])).ravel()
    depth, spare = sheet.under(across)
    depth, low = depth + rise, (depth + rise > DRY) & (spare < LOWEST)
    shape = (len(depth), len(places), 3)
    return np.asarray(depth.reshape(shape).max(axis=(0, 2))), np.asarray(low.reshape(shape).any(axis=(0, 2)))


@dataclass(frozen=True)
class ChannelBed:
    """Section of a channel, for the strip under it.

    Attributes:
        length: Length along its bed [m]; None if not entered.
        slope: Slope of the bed; None if it takes up the whole drop.
        bed_width: Width of its bed [m].
        side_batter: Batter of both sides, horizontal per vertical.
        bank_height: Height of its banks above the bed [m]; None if not entered.
        depth: Water depth in it [m]; None if unknown.
    """

    length: float | None
    slope: float | None
    bed_width: float
    side_batter: float
    bank_height: float | None
    depth: float | None


@dataclass(frozen=True)
class Fall:
    """A link, for the strip under it: name, place of its crest, width and level of the crest, levels of both waters
    [m], and its channel.
    """

    name: str
    at: tuple[float, float]
    width: float
    crest: float
    upper: SiteSurface
    lower: SiteSurface
    channel: ChannelBed | None = None


def liner_under(lining: Lining, link: Link) -> str | None:
    """The single liner under both pools of a link, which needs no strip then. None if there is none."""
    return next((liner.name for liner in lining.liners if {link.from_, link.to} <= set(liner.covers)), None)


def links_on_one(lining: Lining, links: Sequence[Link]) -> tuple[tuple[str, str], ...]:
    """(liner, link) of each link with both pools on one liner."""
    return tuple(
        (liner, f"{link.from_} – {link.to}") for link in links if (liner := liner_under(lining, link)) is not None
    )


def falls_of(
    lining: Lining, links: Sequence[Link], surfaces: Mapping[str, SiteSurface], channel_depths: Sequence[Entry]
) -> tuple[Fall, ...]:
    """Links between pools without problems, at least one of them lined.

    Args:
        lining: Inputs of the liners.
        links: Inputs of the links.
        surfaces: Liner surface of each pool without problems.
        channel_depths: Water depth in each channel where it is known [m].
    """
    depths = {depth.subject: depth.most for depth in channel_depths}
    falls = []
    for link in links:
        lined = lined_pools(lining) & {link.from_, link.to} and not liner_under(lining, link)
        if link.from_ in surfaces and link.to in surfaces and lined:
            name = f"{link.from_} – {link.to}"
            upper, lower = surfaces[link.from_], surfaces[link.to]
            crest = upper.level if link.crest_level is None else float(link.crest_level)
            bed = _channel(link, depths.get(name)) if link.kind == "channel" else None
            crest_place = (float(link.at[0]), float(link.at[1]))
            falls.append(Fall(name, crest_place, float(link.crest_width), crest, upper, lower, bed))
    return tuple(falls)


def _channel(link: Link, depth: float | None) -> ChannelBed:
    length, slope, bank = (None if v is None else float(v) for v in (link.length, link.slope, link.bank_height))
    wide = float(link.crest_width if link.bed_width is None else link.bed_width)
    return ChannelBed(length, slope, wide, float(link.side_batter), bank, depth)


def link_strips(lining: Lining, falls: tuple[Fall, ...]) -> Iterator[tuple[Entry, Entry, Entry]]:
    """Length, width and area of the strip under each link."""
    for fall in falls:
        length = _length(lining, fall)
        width = _width(lining, fall)
        yield length, width, entry(rel.strip_area, fall.name, length=length, width=width)


def _length(lining: Lining, fall: Fall) -> Entry:
    upper, lower = _gap(fall.upper, fall.at), _gap(fall.lower, fall.at)
    drop = max(fall.crest - fall.lower.level, 0.0)
    bed = fall.channel
    if bed is None or bed.length is None:
        notes = [LAP_OVER_LOWER(), *([CHANNEL_WITHOUT_LENGTH()] if bed else [])]
        return entry(
            rel.strip_length,
            fall.name,
            source=USER,
            cautions=notes,
            upper_gap=upper,
            drop=drop,
            lower_gap=lower,
            lap=lining.link_lap,
        )
    along = drop if bed.slope is None else min(bed.slope * bed.length, drop)
    return entry(
        rel.channel_strip_length,
        fall.name,
        source=USER,
        cautions=[LAP_OVER_LOWER()],
        upper_gap=upper,
        bed=bed.length,
        straight=math.hypot(lower, along),
        end_drop=drop - along,
        lap=lining.link_lap,
    )


def _width(lining: Lining, fall: Fall) -> Entry:
    bed = fall.channel
    if bed is None:
        return entry(rel.strip_width, fall.name, source=USER, crest_width=fall.width, beside=lining.link_beside)
    notes: list[Caution] = []
    if bed.bank_height is None:
        notes = [CHANNEL_WITHOUT_SIDES() if bed.depth is None else CHANNEL_WITHOUT_BANK()]
    high = bed.bank_height if bed.bank_height is not None else bed.depth or 0.0
    return entry(
        rel.channel_strip_width,
        fall.name,
        source=USER,
        cautions=notes,
        bed_width=bed.bed_width,
        bank_height=high,
        side_batter=bed.side_batter,
        beside=lining.link_beside,
    )


def _gap(site_surface: SiteSurface, place: tuple[float, float]) -> float:
    """Level distance from a place to a pool's waterline [m]; 0 inside it."""
    local = site_surface.placed.to_own(np.array([place]))
    return max(-float(site_surface.surface.pool.shape.inward(local)[0]), 0.0)
