"""The rolls that a liner is made up from: the cheapest strips side by side, shifted to where seams lie shallowest; and
which strips and pads come off which roll of fabric.

Strips go by the cutting plan that pipe has too. Pads are put into what is left in rows across the roll: first into
what is trimmed off strips, then into the ends of rolls, the smaller first, and only then onto a further roll.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from pondkit.geometry.outline import Array
from pondkit.geometry.profile import FAR
from pondkit.geometry.sheet import SheetSpan
from pondkit.solvers.cutting_stock import CLOSE, full_plan, plan
from pondkit.trades.liner.panels import DRY, Cut, Strip, apart, cut, joins_of, met
from pondkit.trades.liner.results import FabricRolls, LinerPanel, Pad, Panels, RollCut, RollPiece, Seam, Strips

SHIFTS = 33  # places tried for all seams together
StripsByKind = list[tuple[int, Strip]]  # (kind of stock, pieces) of strips side by side


@dataclass(frozen=True)
class Stock:
    """A roll or sheet on sale: name, width and length [m], unit price."""

    name: str
    width: float
    length: float
    price: float


@dataclass(frozen=True)
class StripPlan:
    """Strips that make up a rectangle.

    Attributes:
        along: True if they run along the liner's length.
        cuts: Cutting plan of the strips of each kind of stock.
        cost: Cost of all rolls.
        seams: Length of all seams [m].
    """

    along: bool
    cuts: tuple[Cut, ...]
    cost: float
    seams: float

    @property
    def counts(self) -> tuple[int, ...]:
        """Number of strips of each kind of stock."""
        return tuple(len(cut.strips) for cut in self.cuts)

    @property
    def pieces(self) -> int:
        """Total number of panels."""
        return sum(len(strip) for cut in self.cuts for strip in cut.strips)

    @property
    def rolls(self) -> tuple[int, ...]:
        """Number of rolls of each kind to buy."""
        return tuple(cut.rolls for cut in self.cuts)


def cheapest(length: float, width: float, stock: Sequence[Stock], lap: float) -> StripPlan:
    """The strips of least cost, then of least seam length, over both directions and every mix of the stock.

    Args:
        length, width: Sides of the rectangle as ordered [m].
        stock: Rolls on sale, each wider and longer than the lap.
        lap: Overlap of a panel with the next [m].
    """
    plans = [
        plan
        for along, run, across in ((True, length, width), (False, width, length))
        for plan in _ways(along, run, across, stock, lap)
    ]
    return min(plans, key=lambda plan: (round(plan.cost, 6), round(plan.seams, 6), not plan.along))


def fewest_seams(length: float, width: float, stock: Sequence[Stock], lap: float) -> StripPlan:
    """The strips of least seam length, then of least cost, over both directions and every mix of the stock; arguments
    as for ``cheapest``.
    """
    plans = [
        plan
        for along, run, across in ((True, length, width), (False, width, length))
        for plan in _seam_ways(along, run, across, stock, lap)
    ]
    return min(plans, key=lambda plan: (round(plan.seams, 6), round(plan.cost, 6), not plan.along))


def _seam_ways(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips that cover ``across`` with no more strips than the widest stock alone would take, and as many
    more as joins may cost.
    """
    widest = max(roll.width for roll in stock) - lap
    best = math.inf

    def mixes(kind: int, left: float, counts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        needed = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            yield (*counts, needed)
            return
        for count in range(needed, -1, -1):
            rest = left - count * (stock[kind].width - lap)
            fewest = sum(counts) + count + max(math.ceil(rest / widest - CLOSE), 0)
            if (fewest - 1) * run <= best + 1e-6:
                yield from mixes(kind + 1, rest, (*counts, count))

    for counts in mixes(0, across - lap, ()):
        if (sum(counts) - 1) * run > best + 1e-6:
            continue
        cuts = tuple(cut(count, run, roll.length, lap) for count, roll in zip(counts, stock, strict=True))
        joins = sum(cutting.joins * min(roll.width, across) for cutting, roll in zip(cuts, stock, strict=True))
        seams = (sum(counts) - 1) * run + joins
        if seams <= best + 1e-6:
            best = min(best, seams)
            cost = sum(roll.price * cutting.rolls for roll, cutting in zip(stock, cuts, strict=True))
            yield StripPlan(along, cuts, cost, seams)


def _ways(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips that cover ``across``; of the last kind always the number required."""
    best = math.inf
    cut_plans: dict[tuple[int, int], Cut] = {}

    def cuts_of(kind: int, count: int) -> Cut:
        if (kind, count) not in cut_plans:
            cut_plans[kind, count] = cut(count, run, stock[kind].length, lap)
        return cut_plans[kind, count]

    def mixes(kind: int, left: float, counts: tuple[int, ...], cost: float) -> Iterator[tuple[tuple[int, ...], float]]:
        """(counts, cost) of every mix no dearer than the best so far; ``left``: width still to be covered."""
        nonlocal best
        if cost > best + 1e-6:
            return
        needed = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            full = cost + stock[kind].price * cuts_of(kind, needed).rolls
            if full <= best + 1e-6:
                best = full
                yield (*counts, needed), full
            return
        for count in range(needed, -1, -1):
            more = cost + stock[kind].price * cuts_of(kind, count).rolls
            yield from mixes(kind + 1, left - count * (stock[kind].width - lap), (*counts, count), more)

    for counts, cost in mixes(0, across - lap, (), 0.0):
        cuts = tuple(cuts_of(kind, count) for kind, count in enumerate(counts))
        joins = sum(cutting.joins * min(roll.width, across) for cutting, roll in zip(cuts, stock, strict=True))
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
    """Order and shift of the strips with the shallowest seams, none across the lowest part of a pool if possible.

    Args:
        choice: The strips.
        size: Length and width of the rectangle as ordered [m].
        net: The liner's span along its length and across it.
        stock: Rolls on sale.
        lap: Overlap of a panel with the next [m].
        upstream_last: For the directions across and along the strips, True if the liner's far side lies upstream;
            panels are then laid from its near side.
        rise: Height of the highest water above the level at rest [m].
    """
    run, across = size if choice.along else size[::-1]
    sheet, sheet_along = (net[1], net[0]) if choice.along else (net[0], net[1])
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
        joins = _seams(sheet_along, list(places), run, stop - start, not choice.along, lap, rise)
        cross += [replace(join, start=start) for join in joins]
    return Panels(len(pieces), (*seams, *cross), tuple(pieces), stacked)


def _shallowest(
    strips: StripsByKind, widths: dict[int, float], across: float, sheet: SheetSpan, lap: float, rise: float
) -> tuple[StripsByKind, Array, tuple[Array, Array]]:
    """(order of the strips, end of each but the last [m], (depth [m], whether it crosses a lowest part) of each seam),
    for the shallowest seams.

    Args:
        strips: (kind, pieces) of each, in order.
        widths: Width of each kind [m].
        across: Width to cover [m].
        sheet: Span of the liner across the strips.
        lap: Overlap of a strip with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    best: tuple[tuple[bool, float, float], StripsByKind, Array, tuple[Array, Array]] | None = None
    for order in (strips, strips[::-1]):
        wide = np.array([widths[kind] for kind, _ in order])
        over = float(wide.sum()) - lap * (len(wide) - 1) - across
        trims = np.linspace(0.0, max(over, 0.0), SHIFTS)
        # End of every strip but the last, for every width trimmed off the first.
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


def _beside(choice: StripPlan, stock: Sequence[Stock], lap: float) -> tuple[StripsByKind, bool]:
    """((kind, pieces) of every strip in order, whether joins of neighbours still line up). Widest strips come first;
    all strips of a kind are reversed where joins of two kinds would meet.

    Joins that still line up get a caution.
    """
    kinds = sorted(
        (kind for kind, cutting in enumerate(choice.cuts) if cutting.strips), key=lambda kind: -stock[kind].width
    )
    for reversals in itertools.product((False, True), repeat=len(kinds)):
        strips = [
            (kind, strip[::-1] if back else strip)
            for kind, back in zip(kinds, reversals, strict=True)
            for strip in choice.cuts[kind].strips
        ]
        if all(apart(first, second, lap) for (_, first), (_, second) in itertools.pairwise(strips)):
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
    """(name of stock, length, width) of each offcut [m]."""
    run, across = (length, width) if choice.along else (width, length)
    pieces = []
    for roll, cutting in zip(stock, choice.cuts, strict=True):
        pieces += [(roll.name, left, roll.width) for left in cutting.left]
    over = (
        sum(roll.width * count for roll, count in zip(stock, choice.counts, strict=True))
        - lap * (sum(choice.counts) - 1)
        - across
    )
    if over > CLOSE:
        pieces.append(("trimmed off", run, over))
    return pieces


SLIVER = 1e-3  # m: offcuts narrower than this are ignored


@dataclass
class _Row:
    """Pads side by side across a region: start, length and total width [m]."""

    x: float
    depth: float
    used: float = 0.0


@dataclass
class _Region:
    """A free region of a roll, and the rows of pads cut from it."""

    roll: int
    x: float
    y: float
    along: float
    across: float
    trim: bool = False
    rows: list[_Row] = field(default_factory=list)
    taken: float = 0.0


def parts(along: float, length: float, lap: float) -> tuple[float, ...]:
    """Pieces of a strip, joined end to end with laps: whole rolls and a remainder, or a single piece if one roll is
    long enough [m].
    """
    joins = max(math.ceil((along - lap) / (length - lap) - CLOSE) - 1, 0)
    return (length,) * joins + (along + joins * lap - joins * length,)


def pieces_of(count: int, along: float, length: float, lap: float) -> tuple[tuple[float, ...], ...]:
    """Pieces of each of several equal strips: whole rolls and a remainder, or cut in sequence from rolls if that takes
    fewer [m].

    Args:
        count: Number of strips.
        along: Length of each strip [m].
        length: Length of a roll [m].
        lap: Overlap of a piece with the next [m].
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
    """Rolls and cutting plan for all strips and pads of one fabric.

    Args:
        strips: Strips of each liner.
        pads: Pads, each of which fits on a roll.
        width, length: Width and length of a roll [m].
        lap: Overlap of the parts of a joined strip [m].
    """
    pads = sorted(pads, key=lambda pad: (-pad.wide, -pad.long))
    pieces, is_joined = _strip_pieces(strips, length, lap)
    runs = [piece.run for piece in pieces]
    cutting = full_plan(runs, length, 0.0) if is_joined else plan(runs, length, 0.0)
    cuts, regions = _cut_strips(pieces, cutting.stock, width, length)
    regions.sort(key=lambda region: (not region.trim, region.along * region.across))
    trims = sum(region.along * region.across for region in regions if region.trim)
    needed = sum(runs) * width - trims + sum(pad.count * pad.long * pad.wide for pad in pads)
    by_strips = math.ceil(sum(runs) / length - CLOSE) if is_joined else cutting.least
    least = max(by_strips, math.ceil(needed / (width * length) - CLOSE))
    from_offcuts, strip_rolls = 0, len(cuts)
    for pad in pads:
        left = pad.count
        for region in regions:
            before, left = left, _cut_pads(region, pad, left, cuts[region.roll])
            from_offcuts += (before - left) * (region.roll < strip_rolls)
        while left:
            cuts.append([])
            regions.append(_Region(len(cuts) - 1, 0.0, 0.0, length, width))
            left = _cut_pads(regions[-1], pad, left, cuts[-1])
    off_rolls = sum(pad.count for pad in pads) - from_offcuts
    rest = [piece for region in regions for piece in _left(region, cuts[region.roll])]
    cut_off = [[runs[number] for number in stock] for stock in cutting.stock] + [[] for _ in cuts[strip_rolls:]]
    for region in regions:
        cut_off[region.roll] += [] if region.trim else [row.depth for row in region.rows]
    return FabricRolls(
        tuple(
            RollCut(
                tuple(roll_pieces),
                _named(roll, [piece for number, piece in rest if number == roll]),
                tuple(cut_off[roll]),
            )
            for roll, roll_pieces in enumerate(cuts)
        ),
        least,
        from_offcuts,
        off_rolls,
        sum(region.taken for region in regions if not region.trim),
    )


@dataclass(frozen=True)
class _StripPiece:
    """A piece of a strip: name, length, and width trimmed off its side [m]."""

    name: str
    run: float
    trimmed: float


def _strip_pieces(strips: Sequence[Strips], length: float, lap: float) -> tuple[list[_StripPiece], bool]:
    """(pieces of all strips, whether any strip is joined from several)."""
    pieces, is_joined = [], False
    for strips_of_liner in strips:
        for number, strip in enumerate(pieces_of(strips_of_liner.count, strips_of_liner.along, length, lap), 1):
            is_joined |= len(strip) > 1
            for part, run in enumerate(strip, 1):
                name = f"{strips_of_liner.liner} strip {number}" + (f", part {part}" if len(strip) > 1 else "")
                pieces.append(
                    _StripPiece(name, run, strips_of_liner.trimmed if number == strips_of_liner.count else 0.0)
                )
    return pieces, is_joined


def _cut_strips(
    pieces: Sequence[_StripPiece], stock: Sequence[Sequence[int]], width: float, length: float
) -> tuple[list[list[RollPiece]], list[_Region]]:
    """(pieces of strips on each roll, free regions): trimmings beside the strips, and the roll's end."""
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


def _cut_pads(region: _Region, pad: Pad, count: int, cuts: list[RollPiece]) -> int:
    """Cut as many pads as fit from a region, existing rows first. Returns the number left over."""

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
    """Offcuts of a cut region, as (roll, piece): the end beyond the last row, the strip beside each row, the gap
    behind each pad shorter than its row.
    """
    offcuts = [RollPiece("", region.x + region.taken, region.y, region.along - region.taken, region.across)]
    # Adjacent rows of equal width leave one piece.
    for _, group in itertools.groupby(region.rows, key=lambda row: round(row.used, 6)):
        rows = list(group)
        run, used = sum(row.depth for row in rows), rows[0].used
        offcuts.append(RollPiece("", rows[0].x, region.y + used, run, region.across - used))
    for row in region.rows:
        offcuts += [
            RollPiece("", row.x + cut.along, cut.y, row.depth - cut.along, cut.across)
            for cut in cuts
            if cut.pad and cut.x == row.x and region.y - CLOSE <= cut.y <= region.y + region.across
        ]
    return [(region.roll, piece) for piece in offcuts if min(piece.along, piece.across) > SLIVER]


def _named(roll: int, offcuts: Iterable[RollPiece]) -> tuple[RollPiece, ...]:
    """Offcuts of a roll, named by the roll's number and their own, the largest first."""
    by_size = sorted(offcuts, key=lambda piece: -piece.area)
    return tuple(replace(piece, what=f"offcut {roll + 1}.{index}") for index, piece in enumerate(by_size, 1))
