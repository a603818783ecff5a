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
PARTS = 8  # a roll is tried cut at these parts of its length, so that joins come to lie elsewhere
FURTHER = 3  # rolls beyond the least that are tried before joins are left in one line
MOST = 20  # tries for each strip of a row, at finding an order for all
MANY = 400  # strips side by side: of more, no order is looked for
FEW = 3  # pieces of a strip up to which every order of them is tried, else both ways round

Strip = tuple[float, ...]  # lengths of its pieces in order, laps among them [m]


@dataclass(frozen=True)
class Cut:
    """Strips of one kind.

    Attributes:
        rolls: How many are cut.
        strips: Each strip's pieces, as they lie side by side.
        left: What is left over, in one length each [m].
    """

    rolls: int
    strips: tuple[Strip, ...]
    left: tuple[float, ...]

    @property
    def joins(self) -> int:
        return sum(len(strip) - 1 for strip in self.strips)


def joins_of(strip: Strip, lap: float) -> tuple[float, ...]:
    """Where the middle of each lap of a strip lies from its end [m]."""
    found, end = [], 0.0
    for piece in strip[:-1]:
        end += piece
        found.append(end - lap / 2)
        end -= lap
    return tuple(found)


def apart(one: Strip, other: Strip, lap: float) -> bool:
    """True where no join of one strip lies over one of the strip beside it: there four layers would meet."""
    return all(abs(a - b) >= lap - CLOSE for a in joins_of(one, lap) for b in joins_of(other, lap))


def cut(count: int, run: float, length: float, lap: float) -> Cut:
    """The fewest rolls for strips side by side, then the fewest joins.

    Every roll boundary within a strip costs one lap, so feeding roll after roll into strip after strip wastes least. A
    piece is two laps long at the least, unless rolls hardly longer than that leave no such pieces. Where no order of
    the strips keeps neighbours' joins a lap apart, rolls are begun with a shorter piece, and then further rolls are
    tried.

    Args:
        count: Strips, at least 0.
        run: Length of each [m].
        length: Of a roll, more than the lap [m].
        lap: One piece over the next [m].
    """
    if not count:
        return Cut(0, (), ())
    least = min(2 * lap, length)
    fewest = max(math.ceil(count * run / length - CLOSE), 1)
    enough = count * math.ceil((run - lap) / (length - lap) - CLOSE)
    while _fed([length] * fewest, count, run, lap, least) is None:
        fewest += 1
        if fewest > 2 * enough + 1:
            fewest, least = max(math.ceil(count * run / length - CLOSE), 1), 0.0  # rolls so short leave no such pieces
    for rolls in range(fewest, fewest + FURTHER + 1) if count <= MANY else ():
        found = [
            Cut(rolls, laid, left)
            for strips, left in _ways(rolls, count, run, length, lap, least)
            if (laid := _side_by_side(strips, lap)) is not None
        ]
        if found:
            return min(found, key=lambda made: made.joins)
    strips, left = next(_ways(fewest, count, run, length, lap, least))
    return Cut(fewest, strips, left)


def _ways(
    rolls: int, count: int, run: float, length: float, lap: float, least: float
) -> Iterator[tuple[tuple[Strip, ...], tuple[float, ...]]]:
    """Strips and what is left: whole ones off every roll first and the rest joined, then rolls fed on end to end."""
    each = int(length / run + CLOSE)
    whole = min(each * rolls, count)
    if each:
        taken = [min(each, max(count - each * roll, 0)) for roll in range(rolls)]
        fed = _fed([length - run * strips for strips in taken], count - whole, run, lap, least)
        if fed is not None:
            yield (((run,),) * whole + fed[0], fed[1])
    for part in range(PARTS, 0, -1):
        first = length * part / PARTS
        fed = _fed([first, *[length] * (rolls - 1), length - first], count, run, lap, least)
        if fed is not None:
            yield fed


def _fed(
    lengths: list[float], count: int, run: float, lap: float, least: float
) -> tuple[tuple[Strip, ...], tuple[float, ...]] | None:
    """Lengths fed one after the other into strips; None where they do not reach."""
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
    """The strips in an order in which no two neighbours' joins lie in one line; None where none is found in so many
    tries.
    """
    if all(len(strip) == 1 for strip in strips):
        return strips
    every = sorted(
        set(strips), key=lambda one: (len(one), one), reverse=True
    )  # whole ones are kept to part the others with
    left, laid = Counter(strips), list[tuple[Strip, Strip]]()

    def next_ones() -> Iterator[tuple[Strip, Strip]]:
        before = laid[-1][1] if laid else ()
        return (
            (strip, turned) for strip in every if left[strip] for turned in _turned(strip) if apart(before, turned, lap)
        )

    open_to = [next_ones()]
    for _ in range(MOST * len(strips)):
        found = next(open_to[-1], None)
        if found is not None:
            laid.append(found)
            left[found[0]] -= 1
            if len(laid) == len(strips):
                return tuple(turned for _, turned in laid)
            open_to.append(next_ones())
        elif laid:
            open_to.pop()
            left[laid.pop()[0]] += 1
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
    """The best of both ways to make the rectangle up: no seam is best, else as shallow as can be, never across the
    lowest part.

    Args:
        length, width: The rectangle that is made up [m].
        net: The liner's sheet along its length and across it.
        stock: Widest and longest piece in stock [m].
        lap: One panel over the next [m].
        rise: Of the highest water over the level at rest [m].
    """
    wide, long = stock
    ways = [_way(length, width, net, piece, lap, rise) for piece in ((wide, long), (long, wide))]
    return min(
        ways, key=lambda way: (any(s.lowest for s in way.seams), max(way.depth, 0.0), sum(s.length for s in way.seams))
    )


def _way(
    length: float, width: float, net: tuple[SheetSpan, SheetSpan], piece: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels no wider than ``piece[0]`` across the liner's width, and no longer than ``piece[1]`` along its length."""
    across = _seams(width, piece[0], lap, net[1], length, True, rise)
    along = _seams(length, piece[1], lap, net[0], width, False, rise)
    return Panels((len(across) + 1) * (len(along) + 1), (*across, *along))


def _seams(
    size: float, piece: float, lap: float, sheet: SheetSpan, run: float, along: bool, rise: float
) -> tuple[Seam, ...]:
    """Seams that cut ``size`` into pieces, all moved together to where they lie shallowest."""
    if size <= piece + 1e-9:
        return ()
    count = math.ceil((size - lap) / (piece - lap) - 1e-9)
    pitch = piece - lap
    # The first panel may be as narrow as what the full ones leave, or as wide as the stock.
    first = np.linspace(size - (count - 1) * pitch, piece, SHIFTS) - lap / 2
    places = first[:, None] + pitch * np.arange(count - 1)
    deep, low = (
        found.reshape(places.shape) for found in met(sheet, (places - (size - sheet.length) / 2).ravel(), lap, rise)
    )
    deepest = deep.max(axis=1)
    best = int(np.lexsort((deepest, np.maximum(deepest, DRY), low.any(axis=1)))[0])
    return tuple(
        Seam(along, float(p), run, float(d), bool(b))
        for p, d, b in zip(places[best], deep[best], low[best], strict=True)
    )


def met(sheet: SheetSpan, places: Array, lap: float, rise: float) -> tuple[Array, Array]:
    """Greatest depth of seams under the highest water [m], and whether they cross the lowest part of a pool, shape
    (n,) each.

    A seam is as wide as its lap, and as deep as the lower of its two edges. One on the ground lies over the water of
    the pool beside it, that of the lower rim where there are two.

    Args:
        sheet: Across the seams.
        places: Distance of the middle of each from the sheet's left end, shape (n,) [m].
        lap: One panel over the next [m].
        rise: Of the highest water over the level at rest [m].
    """
    across = (places[:, None] + lap * np.array([-0.5, 0.0, 0.5])).ravel()
    depth, spare = sheet.under(across)
    depth, low = depth + rise, (depth + rise > DRY) & (spare < LOWEST)
    shape = (len(depth), len(places), 3)
    return np.asarray(depth.reshape(shape).max(axis=(0, 2))), np.asarray(low.reshape(shape).any(axis=(0, 2)))


@dataclass(frozen=True)
class ChannelBed:
    """A channel as its strip sees it.

    Attributes:
        length: Along its bed [m]; None where not entered.
        slope: Fall of the bed over its length; None where it takes the whole drop.
        bed_width: [m].
        side_batter: Of both sides, horizontal per vertical.
        bank_height: Over the bed [m]; None where not entered.
        depth: Of the water that runs in it [m]; None where not known.
    """

    length: float | None
    slope: float | None
    bed_width: float
    side_batter: float
    bank_height: float | None
    depth: float | None


@dataclass(frozen=True)
class Fall:
    """A link as the liner sees it: name, crest's place on the site, width and level, the levels of its two waters [m];
    its channel.
    """

    name: str
    at: tuple[float, float]
    width: float
    crest: float
    upper: SiteSurface
    lower: SiteSurface
    channel: ChannelBed | None = None


def liner_under(lining: Lining, link: Link) -> str | None:
    """The one liner on which both pools of a link lie: no strip is wanted there. None where there is none."""
    return next((liner.name for liner in lining.liners if {link.from_, link.to} <= set(liner.covers)), None)


def links_on_one(lining: Lining, links: Sequence[Link]) -> tuple[tuple[str, str], ...]:
    """(liner, link) of each link both of whose pools lie on one liner."""
    return tuple(
        (liner, f"{link.from_} – {link.to}") for link in links if (liner := liner_under(lining, link)) is not None
    )


def falls_of(
    lining: Lining, links: Sequence[Link], surfaces: Mapping[str, SiteSurface], channel_depths: Sequence[Entry]
) -> tuple[Fall, ...]:
    """Links of which both pools could be worked out and one at least is lined.

    Args:
        lining: As entered.
        links: As drawn.
        surfaces: Liner surface of each pool that could be worked out.
        channel_depths: Of the water that runs in channels, as far as it is known.
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
            at = (float(link.at[0]), float(link.at[1]))
            falls.append(Fall(name, at, float(link.crest_width), crest, upper, lower, bed))
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


def _gap(laid: SiteSurface, at: tuple[float, float]) -> float:
    """Level distance from a place to a pool's waterline [m]; 0 inside it."""
    own = laid.placed.to_own(np.array([at]))
    return max(-float(laid.surface.pool.shape.inward(own)[0]), 0.0)
