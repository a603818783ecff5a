"""Which rolls a liner is made up from: the cheapest strips side by side, shifted to where their seams lie shallowest."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.lining.panels import DRY, Panels, Piece, Seam, met
from pondkit.surface.sheet import Sheet

SHIFTS = 33  # places tried for all seams together
CLOSE = 1e-9


@dataclass(frozen=True)
class Stock:
    """A roll or sheet that can be bought: name, width and length [m], price of one."""

    name: str
    width: float
    length: float
    price: float


@dataclass(frozen=True)
class Choice:
    """Strips that make a rectangle up.

    Attributes:
        along: True where they run along the liner's length.
        counts: Strips of each kind of stock.
        rolls: How many of each are bought.
        splices: Pieces that one strip of each is joined from, end to end.
        cost: Of all of them.
        seams: Length of all seams [m].
    """

    along: bool
    counts: tuple[int, ...]
    rolls: tuple[int, ...]
    splices: tuple[int, ...]
    cost: float
    seams: float


def cheapest(length: float, width: float, stock: Sequence[Stock], lap: float) -> Choice:
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


def _ways(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[Choice]:
    """Mixes of strips that cover ``across``; of the last kind always just as many as are wanted."""
    splices = tuple(
        1 if run <= one.length + CLOSE else math.ceil((run - lap) / (one.length - lap) - CLOSE) for one in stock
    )
    each = [math.floor(one.length / run + CLOSE) for one in stock]
    best = math.inf

    def bought(kind: int, count: int) -> int:
        return math.ceil(count / each[kind]) if each[kind] else count * splices[kind]

    def mixes(kind: int, left: float, counts: tuple[int, ...], cost: float) -> Iterator[tuple[tuple[int, ...], float]]:
        """(counts, cost) of every mix that is not dearer than the best so far; ``left`` is still to be covered."""
        nonlocal best
        if cost > best + 1e-6:
            return
        wanted = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            full = cost + stock[kind].price * bought(kind, wanted)
            if full <= best + 1e-6:
                best = full
                yield (*counts, wanted), full
            return
        for count in range(wanted, -1, -1):
            more = cost + stock[kind].price * bought(kind, count)
            yield from mixes(kind + 1, left - count * (stock[kind].width - lap), (*counts, count), more)

    for counts, cost in mixes(0, across - lap, (), 0.0):
        seams = (sum(counts) - 1) * run + sum(
            count * (splice - 1) * min(one.width, across)
            for count, splice, one in zip(counts, splices, stock, strict=True)
        )
        rolls = tuple(bought(kind, count) for kind, count in enumerate(counts))
        yield Choice(along, counts, rolls, splices, cost, seams)


def placed(
    choice: Choice,
    length: float,
    width: float,
    net: tuple[Sheet, Sheet],
    stock: Sequence[Stock],
    lap: float,
    upstream_last: bool,
    rise: float,
) -> Panels:
    """Where the strips lie: their order and shift for the shallowest seams, none across a lowest part where that can be.

    Args:
        choice: The strips.
        length, width: The rectangle as it is ordered [m].
        net: The liner's sheet along its length and across it.
        stock: What can be bought.
        lap: One panel over the next [m].
        upstream_last: True where the liner's far side, across the strips, lies upstream: then panels go down from its near side.
        rise: Of the highest water over the level at rest [m].
    """
    run, across = (length, width) if choice.along else (width, length)
    sheet, other = (net[1], net[0]) if choice.along else (net[0], net[1])
    kinds = [kind for kind, count in enumerate(choice.counts) for _ in range(count)]
    kinds.sort(key=lambda kind: -stock[kind].width)
    best: tuple[tuple[bool, float], list[int], list[float], list[Seam]] | None = None
    for order in (kinds, kinds[::-1]):
        widths = [stock[kind].width for kind in order]
        over = sum(widths) - lap * (len(widths) - 1) - across
        for trim in np.linspace(0.0, max(over, 0.0), SHIFTS):
            ends = list(itertools.accumulate([widths[0] - float(trim), *(wide - lap for wide in widths[1:-1])]))
            if any(end <= lap or end >= across for end in ends[: len(widths) - 1]):
                continue
            seams = _seams(sheet, [end - lap / 2 for end in ends[: len(widths) - 1]], across, run, choice.along, rise)
            score = any(seam.lowest for seam in seams), max((max(seam.depth, DRY) for seam in seams), default=DRY)
            if best is None or score < best[0]:
                best = score, order, [0.0, *(end - lap for end in ends[: len(widths) - 1])], seams
    assert best is not None, "strips that just cover the rectangle leave room for their seams"
    _, order, starts, seams = best
    pieces, cross = [], []
    stops = [*(start + lap for start in starts[1:]), across]
    numbers = range(1, len(order) + 1) if upstream_last else range(len(order), 0, -1)
    for kind, start, stop, number in zip(order, starts, stops, numbers, strict=True):
        parts = choice.splices[kind]
        pitch = (run - lap) / parts
        for part in range(parts):
            name = f"{number}" if parts == 1 else f"{number}.{part + 1}"
            pieces.append(
                Piece(name, stock[kind].name, *_box(choice.along, part * pitch, start, pitch + lap, stop - start))
            )
        if parts > 1:
            places = [part * pitch + lap / 2 for part in range(1, parts)]
            cross += _seams(other, places, run, stop - start, not choice.along, rise)
    return Panels(len(pieces), (*seams, *cross), tuple(pieces))


def _box(along: bool, on: float, beside: float, run: float, wide: float) -> tuple[float, float, float, float]:
    return (on, beside, run, wide) if along else (beside, on, wide, run)


def _seams(sheet: Sheet, places: list[float], size: float, run: float, along: bool, rise: float) -> list[Seam]:
    if not places:
        return []
    depth, low = met(sheet, np.array(places) - (size - sheet.length) / 2, rise)
    return [
        Seam(along, place, run, float(deep), bool(bad)) for place, deep, bad in zip(places, depth, low, strict=True)
    ]


def offcuts(
    choice: Choice, length: float, width: float, stock: Sequence[Stock], lap: float
) -> list[tuple[str, float, float]]:
    """(what, length, width) of each piece that is left over, alike ones once for each [m]."""
    run, across = (length, width) if choice.along else (width, length)
    found = []
    for one, count, rolls, splices in zip(stock, choice.counts, choice.rolls, choice.splices, strict=True):
        if splices > 1:
            left = splices * one.length - lap * (splices - 1) - run
            found += [(one.name, left, one.width)] * (count if left > CLOSE else 0)
            continue
        each = math.floor(one.length / run + CLOSE)
        for roll in range(rolls):
            left = one.length - run * min(each, count - roll * each)
            if left > CLOSE:
                found.append((one.name, left, one.width))
    over = (
        sum(one.width * count for one, count in zip(stock, choice.counts, strict=True))
        - lap * (sum(choice.counts) - 1)
        - across
    )
    if over > CLOSE:
        found.append(("trimmed off", run, over))
    return found
