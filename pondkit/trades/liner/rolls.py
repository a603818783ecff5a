"""Which strips come off which roll of fabric, what is left of each, and where the pads are cut from that.

Strips go by the cutting plan that pipe has too. Pads are put into what is left in rows across the roll: first into
what is trimmed off strips, then into the ends of rolls, the smaller first, and only then onto a further roll.
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from pondkit.solvers.cutting_stock.plan import CLOSE, plan
from pondkit.solvers.cutting_stock.proving import full_plan
from pondkit.trades.liner.panels import cut
from pondkit.trades.liner.results import FabricRolls, Pad, RollCut, RollPiece, Strips

SLIVER = 1e-3  # m: what is left narrower than this is nothing


@dataclass
class _Row:
    """Pads side by side across a region: from where, how long, how wide they are together [m]."""

    x: float
    depth: float
    used: float = 0.0


@dataclass
class _Region:
    """What is left somewhere on a roll, and the rows of pads put into it."""

    roll: int
    x: float
    y: float
    along: float
    across: float
    trim: bool = False
    rows: list[_Row] = field(default_factory=list)
    taken: float = 0.0


def parts(along: float, length: float, lap: float) -> tuple[float, ...]:
    """Pieces of a strip, joined end to end with laps: whole rolls and a rest; one piece where a roll is long enough
    [m].
    """
    joins = max(math.ceil((along - lap) / (length - lap) - CLOSE) - 1, 0)
    return (length,) * joins + (along + joins * lap - joins * length,)


def pieces_of(count: int, along: float, length: float, lap: float) -> tuple[tuple[float, ...], ...]:
    """Pieces of each of several strips of one length: whole rolls and a rest, or fed on from what rolls leave where
    that takes fewer rolls [m].

    Args:
        count: Strips.
        along: Length of each [m].
        length: Of a roll [m].
        lap: One piece over the next [m].
    """
    split = parts(along, length, lap)
    plain = (split,) * count
    if len(split) == 1:
        return plain
    fed = cut(count, along, length, lap)
    return (
        fed.strips if fed.rolls < len(plan([piece for strip in plain for piece in strip], length, 0.0).stock) else plain
    )


def fabric_rolls(strips: Sequence[Strips], pads: Iterable[Pad], width: float, length: float, lap: float) -> FabricRolls:
    """Rolls for all strips and pads of one fabric.

    Args:
        strips: Of each liner.
        pads: Each fits on a roll.
        width, length: Of a roll [m].
        lap: Of a joined strip, one part over the next [m].
    """
    pads = sorted(pads, key=lambda pad: (-pad.wide, -pad.long))
    pieces, joined = _strip_pieces(strips, length, lap)
    runs = [piece.run for piece in pieces]
    made = full_plan(runs, length, 0.0) if joined else plan(runs, length, 0.0)
    cuts, regions = _cut_strips(pieces, made.stock, width, length)
    regions.sort(key=lambda region: (not region.trim, region.along * region.across))
    trims = sum(region.along * region.across for region in regions if region.trim)
    needed = sum(runs) * width - trims + sum(pad.count * pad.long * pad.wide for pad in pads)
    by_strips = math.ceil(sum(runs) / length - CLOSE) if joined else made.least
    least = max(by_strips, math.ceil(needed / (width * length) - CLOSE))
    from_offcuts, strip_rolls = 0, len(cuts)
    for pad in pads:
        left = pad.count
        for region in regions:
            before, left = left, _put(region, pad, left, cuts[region.roll])
            from_offcuts += (before - left) * (region.roll < strip_rolls)
        while left:
            cuts.append([])
            regions.append(_Region(len(cuts) - 1, 0.0, 0.0, length, width))
            left = _put(regions[-1], pad, left, cuts[-1])
    off_rolls = sum(pad.count for pad in pads) - from_offcuts
    rest = [piece for region in regions for piece in _left(region, cuts[region.roll])]
    cut_off = [[runs[at] for at in stock] for stock in made.stock] + [[] for _ in cuts[strip_rolls:]]
    for region in regions:
        cut_off[region.roll] += [] if region.trim else [row.depth for row in region.rows]
    return FabricRolls(
        tuple(
            RollCut(tuple(own), _named(roll, [piece for at, piece in rest if at == roll]), tuple(cut_off[roll]))
            for roll, own in enumerate(cuts)
        ),
        least,
        from_offcuts,
        off_rolls,
        sum(region.taken for region in regions if not region.trim),
    )


@dataclass(frozen=True)
class _StripPiece:
    """A piece of a strip: what it is, its length, and what is trimmed off its side [m]."""

    name: str
    run: float
    trimmed: float


def _strip_pieces(strips: Sequence[Strips], length: float, lap: float) -> tuple[list[_StripPiece], bool]:
    """Pieces of all strips, and whether any strip is joined from several."""
    pieces, joined = [], False
    for own in strips:
        for number, strip in enumerate(pieces_of(own.count, own.along, length, lap), 1):
            joined |= len(strip) > 1
            for at, run in enumerate(strip, 1):
                name = f"{own.liner} strip {number}" + (f", part {at}" if len(strip) > 1 else "")
                pieces.append(_StripPiece(name, run, own.trimmed if number == own.count else 0.0))
    return pieces, joined


def _cut_strips(
    pieces: Sequence[_StripPiece], stock: Sequence[Sequence[int]], width: float, length: float
) -> tuple[list[list[RollPiece]], list[_Region]]:
    """What strips take of each roll, and what they leave: trimmings beside them, and the roll's end."""
    regions: list[_Region] = []
    cuts: list[list[RollPiece]] = []
    for roll, numbers in enumerate(stock):
        cuts.append([])
        x = 0.0
        for piece in (pieces[number] for number in numbers):
            over = piece.trimmed if piece.trimmed > SLIVER else 0.0
            cuts[roll].append(RollPiece(piece.name, x, 0.0, piece.run, width - over))
            if over:
                regions.append(_Region(roll, x, width - over, piece.run, over, trim=True))
            x += piece.run
        if length - x > SLIVER:
            regions.append(_Region(roll, x, 0.0, length - x, width))
    return cuts, regions


def _put(region: _Region, pad: Pad, count: int, cuts: list[RollPiece]) -> int:
    """Put as many pads as go into a region, rows that are there first; how many are left over."""

    def fill(row: _Row, along: float, across: float, left: int) -> int:
        more = min(left, math.floor((region.across - row.used) / across + CLOSE))
        for _ in range(more):
            cuts.append(RollPiece(pad.name, row.x, region.y + row.used, along, across, pad=True))
            row.used += across
        return left - more

    turns = ((pad.long, pad.wide), (pad.wide, pad.long))
    for row in region.rows:
        for along, across in turns:
            if along <= row.depth + CLOSE:
                count = fill(row, along, across, count)
    while count:
        fitting = [
            (along / min(math.floor(region.across / across + CLOSE), count), along, across)
            for along, across in turns
            if along <= region.along - region.taken + CLOSE and across <= region.across + CLOSE
        ]
        if not fitting:
            break
        _, along, across = min(fitting)
        region.rows.append(_Row(region.x + region.taken, along))
        region.taken += along
        count = fill(region.rows[-1], along, across, count)
    return count


def _left(region: _Region, cuts: Sequence[RollPiece]) -> list[tuple[int, RollPiece]]:
    """(roll, what is left) of a region: beyond its rows, beside each, and behind pads shorter than their row."""
    found = [RollPiece("", region.x + region.taken, region.y, region.along - region.taken, region.across)]
    # Rows beside each other that are as full leave one piece.
    for _, group in itertools.groupby(region.rows, key=lambda row: round(row.used, 6)):
        rows = list(group)
        run, used = sum(row.depth for row in rows), rows[0].used
        found.append(RollPiece("", rows[0].x, region.y + used, run, region.across - used))
    for row in region.rows:
        found += [
            RollPiece("", row.x + cut.along, cut.y, row.depth - cut.along, cut.across)
            for cut in cuts
            if cut.pad and cut.x == row.x and region.y - CLOSE <= cut.y <= region.y + region.across
        ]
    return [(region.roll, piece) for piece in found if min(piece.along, piece.across) > SLIVER]


def _named(roll: int, offcuts: Iterable[RollPiece]) -> tuple[RollPiece, ...]:
    """What is left of a roll, by the roll's number and its own, the largest first."""
    found = sorted(offcuts, key=lambda piece: -piece.area)
    return tuple(replace(piece, what=f"offcut {roll + 1}.{at}") for at, piece in enumerate(found, 1))
