"""The rolls that a liner is made up from: the cheapest strips side by side, shifted to where seams lie shallowest."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.geometry.outline import Array
from pondkit.geometry.profile import FAR
from pondkit.geometry.sheet import SheetSpan
from pondkit.trades.liner.panels import DRY, Cut, Strip, apart, cut, joins_of, met
from pondkit.trades.liner.results import LinerPanel, Panels, Seam

SHIFTS = 33  # places tried for all seams together
CLOSE = 1e-9
Strips = list[tuple[int, Strip]]  # (kind of stock, pieces) of strips side by side


@dataclass(frozen=True)
class Stock:
    """A roll or sheet that can be bought: name, width and length [m], price of one."""

    name: str
    width: float
    length: float
    price: float


@dataclass(frozen=True)
class StripPlan:
    """Strips that make a rectangle up.

    Attributes:
        along: True where they run along the liner's length.
        cuts: Strips of each kind of stock, as they are cut and joined.
        cost: Of all rolls.
        seams: Length of all seams [m].
    """

    along: bool
    cuts: tuple[Cut, ...]
    cost: float
    seams: float

    @property
    def counts(self) -> tuple[int, ...]:
        """Strips of each kind of stock."""
        return tuple(len(cut.strips) for cut in self.cuts)

    @property
    def pieces(self) -> int:
        """Panels in all."""
        return sum(len(strip) for cut in self.cuts for strip in cut.strips)

    @property
    def rolls(self) -> tuple[int, ...]:
        """How many of each are bought."""
        return tuple(cut.rolls for cut in self.cuts)


def cheapest(length: float, width: float, stock: Sequence[Stock], lap: float) -> StripPlan:
    """The strips of least cost, then of least seam, over both directions and every mix of the stock.

    Args:
        length, width: The rectangle as it is ordered [m].
        stock: What can be bought, each wider and longer than the lap.
        lap: One panel over the next [m].
    """
    ways = [
        way
        for along, run, across in ((True, length, width), (False, width, length))
        for way in _ways(along, run, across, stock, lap)
    ]
    return min(ways, key=lambda way: (round(way.cost, 6), round(way.seams, 6), not way.along))


def fewest_seams(length: float, width: float, stock: Sequence[Stock], lap: float) -> StripPlan:
    """The strips of least seam, then of least cost, over both directions and every mix of the stock; arguments as for
    ``cheapest``.
    """
    ways = [
        way
        for along, run, across in ((True, length, width), (False, width, length))
        for way in _seam_ways(along, run, across, stock, lap)
    ]
    return min(ways, key=lambda way: (round(way.seams, 6), round(way.cost, 6), not way.along))


def _seam_ways(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips that cover ``across`` with no more of them than the widest stock alone would take, and as many
    more as joins may cost.
    """
    widest = max(one.width for one in stock) - lap
    best = math.inf

    def mixes(kind: int, left: float, counts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        wanted = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            yield (*counts, wanted)
            return
        for count in range(wanted, -1, -1):
            rest = left - count * (stock[kind].width - lap)
            fewest = sum(counts) + count + max(math.ceil(rest / widest - CLOSE), 0)
            if (fewest - 1) * run <= best + 1e-6:
                yield from mixes(kind + 1, rest, (*counts, count))

    for counts in mixes(0, across - lap, ()):
        if (sum(counts) - 1) * run > best + 1e-6:
            continue
        cuts = tuple(cut(count, run, one.length, lap) for count, one in zip(counts, stock, strict=True))
        joins = sum(made.joins * min(one.width, across) for made, one in zip(cuts, stock, strict=True))
        seams = (sum(counts) - 1) * run + joins
        if seams <= best + 1e-6:
            best = min(best, seams)
            cost = sum(one.price * made.rolls for one, made in zip(stock, cuts, strict=True))
            yield StripPlan(along, cuts, cost, seams)


def _ways(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips that cover ``across``; of the last kind always just as many as are wanted."""
    best = math.inf
    known: dict[tuple[int, int], Cut] = {}

    def cuts_of(kind: int, count: int) -> Cut:
        if (kind, count) not in known:
            known[kind, count] = cut(count, run, stock[kind].length, lap)
        return known[kind, count]

    def mixes(kind: int, left: float, counts: tuple[int, ...], cost: float) -> Iterator[tuple[tuple[int, ...], float]]:
        """(counts, cost) of every mix that is not dearer than the best so far; ``left`` is still to be covered."""
        nonlocal best
        if cost > best + 1e-6:
            return
        wanted = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            full = cost + stock[kind].price * cuts_of(kind, wanted).rolls
            if full <= best + 1e-6:
                best = full
                yield (*counts, wanted), full
            return
        for count in range(wanted, -1, -1):
            more = cost + stock[kind].price * cuts_of(kind, count).rolls
            yield from mixes(kind + 1, left - count * (stock[kind].width - lap), (*counts, count), more)

    for counts, cost in mixes(0, across - lap, (), 0.0):
        cuts = tuple(cuts_of(kind, count) for kind, count in enumerate(counts))
        joins = sum(made.joins * min(one.width, across) for made, one in zip(cuts, stock, strict=True))
        yield StripPlan(along, cuts, cost, (sum(counts) - 1) * run + joins)


def placed(
    choice: StripPlan,
    size: tuple[float, float],
    net: tuple[SheetSpan, SheetSpan],
    stock: Sequence[Stock],
    lap: float,
    upstream_last: tuple[bool, bool],
    rise: float,
) -> Panels:
    """Where the strips lie: their order and shift for the shallowest seams, none across a lowest part where that can
    be.

    Args:
        choice: The strips.
        size: Length and width of the rectangle as it is ordered [m].
        net: The liner's sheet along its length and across it.
        stock: What can be bought.
        lap: One panel over the next [m].
        upstream_last: True where the liner's far side, across the strips and along them, lies upstream: then panels go
            down from its near side.
        rise: Of the highest water over the level at rest [m].
    """
    run, across = size if choice.along else size[::-1]
    sheet, other = (net[1], net[0]) if choice.along else (net[0], net[1])
    strips, stacked = _beside(choice, stock, lap)
    widths = {kind: stock[kind].width for kind, _ in strips}
    order, stops_at, (depth, low) = _shallowest(strips, widths, across, sheet, lap, rise)
    starts = [0.0, *(float(end) - lap for end in stops_at)]
    seams = [
        Seam(choice.along, float(end) - lap / 2, run, float(deep), bool(bad))
        for end, deep, bad in zip(stops_at, depth, low, strict=True)
    ]
    pieces, cross = [], []
    stops = [*(start + lap for start in starts[1:]), across]
    numbers = range(1, len(order) + 1) if upstream_last[0] else range(len(order), 0, -1)
    for (kind, strip), start, stop, number in zip(order, starts, stops, numbers, strict=True):
        places = joins_of(strip, lap)
        ends = [0.0, *(place - lap / 2 for place in places)]
        for part, (on, piece) in enumerate(zip(ends, strip, strict=True), 1):
            # Pieces go down from the downstream end, so that every lap lies upstream over downstream.
            turn = part if upstream_last[1] else len(strip) - part + 1
            name = f"{number}" if len(strip) == 1 else f"{number}.{turn}"
            pieces.append(LinerPanel(name, stock[kind].name, *_box(choice.along, on, start, piece, stop - start)))
        joins = _seams(other, list(places), run, stop - start, not choice.along, lap, rise)
        cross += [replace(join, start=start) for join in joins]
    return Panels(len(pieces), (*seams, *cross), tuple(pieces), stacked)


def _shallowest(
    strips: Strips, widths: dict[int, float], across: float, sheet: SheetSpan, lap: float, rise: float
) -> tuple[Strips, Array, tuple[Array, Array]]:
    """The order of strips, the end of each but the last [m], and for each seam its depth [m] and whether it crosses a
    lowest part, where the seams lie shallowest.

    Args:
        strips: (kind, pieces) of each, in order.
        widths: Of each kind [m].
        across: Width that they cover [m].
        sheet: Across the strips.
        lap: One strip over the next [m].
        rise: Of the highest water over the level at rest [m].
    """
    best: tuple[tuple[bool, float, float], Strips, Array, tuple[Array, Array]] | None = None
    for order in (strips, strips[::-1]):
        wide = np.array([widths[kind] for kind, _ in order])
        over = float(wide.sum()) - lap * (len(wide) - 1) - across
        trims = np.linspace(0.0, max(over, 0.0), SHIFTS)
        # End of every strip but the last, for every trim of the first.
        far_ends = np.cumsum(np.append(wide[:1], wide[1:-1] - lap)[: len(wide) - 1]) - trims[:, None]
        far_ends = far_ends[((far_ends > lap) & (far_ends < across)).all(axis=1)]
        depth, low = met(sheet, (far_ends - lap / 2 - (across - sheet.length) / 2).ravel(), lap, rise)
        depth, low = depth.reshape(far_ends.shape), low.reshape(far_ends.shape)
        for row in range(len(far_ends)):
            deepest = float(depth[row].max(initial=-FAR))
            score = bool(low[row].any()), max(deepest, DRY), deepest
            if best is None or score < best[0]:
                best = score, order, far_ends[row], (depth[row], low[row])
    assert best is not None, "strips that just cover the rectangle leave room for their seams"
    return best[1:]


def _beside(choice: StripPlan, stock: Sequence[Stock], lap: float) -> tuple[Strips, bool]:
    """(kind, pieces) of every strip in order, widest first, each kind turned round as a whole where joins of two kinds
    would meet.

    And whether joins of neighbours lie in one line all the same.
    """
    kinds = sorted((kind for kind, made in enumerate(choice.cuts) if made.strips), key=lambda kind: -stock[kind].width)
    for turned in itertools.product((False, True), repeat=len(kinds)):
        strips = [
            (kind, strip[::-1] if back else strip)
            for kind, back in zip(kinds, turned, strict=True)
            for strip in choice.cuts[kind].strips
        ]
        if all(apart(one, other, lap) for (_, one), (_, other) in itertools.pairwise(strips)):
            return strips, False
    return strips, True


def _box(along: bool, on: float, beside: float, run: float, wide: float) -> tuple[float, float, float, float]:
    return (on, beside, run, wide) if along else (beside, on, wide, run)


def _seams(
    sheet: SheetSpan, places: list[float], size: float, run: float, along: bool, lap: float, rise: float
) -> list[Seam]:
    if not places:
        return []
    depth, low = met(sheet, np.array(places) - (size - sheet.length) / 2, lap, rise)
    return [
        Seam(along, place, run, float(deep), bool(bad)) for place, deep, bad in zip(places, depth, low, strict=True)
    ]


def offcuts(
    choice: StripPlan, length: float, width: float, stock: Sequence[Stock], lap: float
) -> list[tuple[str, float, float]]:
    """(what, length, width) of each piece that is left over, alike ones once for each [m]."""
    run, across = (length, width) if choice.along else (width, length)
    found = []
    for one, made in zip(stock, choice.cuts, strict=True):
        found += [(one.name, left, one.width) for left in made.left]
    over = (
        sum(one.width * count for one, count in zip(stock, choice.counts, strict=True))
        - lap * (sum(choice.counts) - 1)
        - across
    )
    if over > CLOSE:
        found.append(("trimmed off", run, over))
    return found
