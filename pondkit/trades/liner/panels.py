"""How a liner is made up where it is larger than the stock: panels from stock of one size (``stock_panels``), or strips
from the rolls that can be bought, at the least cost or with the least seam (``cheapest``, ``fewest_seams``), each
shifted to where its seams lie shallowest.

The liner is a rectangle, its length along and its width across. Strips lie side by side, along or across it; a strip is
one piece, or several joined end to end. Where two pieces meet they lap.
"""

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.geometry.outline import Array
from pondkit.geometry.profile import FAR
from pondkit.geometry.sheet import SheetSpan
from pondkit.solvers.cutting_stock import CLOSE
from pondkit.trades.liner.results import LinerPanel, Panels, Seam

FIRST_PIECES = (
    8  # shares of a roll's length tried as the first piece of strips cut in sequence, which shifts their joins
)
FURTHER_ROLLS = 3  # further rolls tried before joins of neighbours are allowed to line up
TRIES = 20  # per strip, in the search for an order in which no joins of neighbours line up
MOST_STRIPS = 400  # side by side: for more, no such order is searched for
FEW_PIECES = 3  # in a strip: up to this number all orders of its pieces are tried, beyond it only both directions
PANEL_SHIFTS = 25  # widths of the first panel tried, where the stock has one size
STRIP_SHIFTS = 33  # widths trimmed off the first strip tried, where strips are of rolls
DRY = 1e-9  # m: a seam no deeper than this is above water
LOWEST = 0.02  # m above the lowest place of a pool within which a seam counts as crossing it

Strip = tuple[float, ...]  # lengths of its pieces in order, laps included [m]
StripsByKind = list[tuple[int, Strip]]  # (index of the stock, pieces) of each strip, side by side


# --- panels from stock of one size ---


def stock_panels(
    length: float, width: float, net: tuple[SheetSpan, SheetSpan], stock: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels of the rectangle, the better of both directions: without seams if possible, else none across the lowest
    part of a pool if possible, then with the shallowest seams.

    Args:
        length, width: Sides of the rectangle [m].
        net: The liner's span along its length and across it.
        stock: Widest and longest piece in stock [m].
        lap: Lap of a panel with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    wide, long = stock
    options = [_panels_one_way(length, width, net, piece, lap, rise) for piece in ((wide, long), (long, wide))]
    return min(
        options,
        key=lambda option: (
            any(seam.lowest for seam in option.seams),
            max(option.depth, 0.0),
            sum(seam.length for seam in option.seams),
        ),
    )


def _panels_one_way(
    length: float, width: float, net: tuple[SheetSpan, SheetSpan], piece: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels in one direction: no wider than ``piece[0]`` across the liner's width, no longer than ``piece[1]`` along
    its length.
    """
    across = _parallel_seams(width, piece[0], lap, net[1], length, True, rise)
    along = _parallel_seams(length, piece[1], lap, net[0], width, False, rise)
    return Panels((len(across) + 1) * (len(along) + 1), (*across, *along))


def _parallel_seams(
    size: float, piece: float, lap: float, sheet: SheetSpan, seam_length: float, along: bool, rise: float
) -> tuple[Seam, ...]:
    """Seams that divide one side of the rectangle, shifted together to where they are shallowest.

    Args:
        size: Length of that side [m].
        piece: Most that a piece of the stock gives of it [m].
        lap: Lap of a panel with the next [m].
        sheet: The liner's span along that side.
        seam_length: Length of each seam: the other side [m].
        along: True if the seams run along the liner's length.
        rise: Height of the highest water above the level at rest [m].
    """
    if size <= piece + 1e-9:
        return ()
    count = math.ceil((size - lap) / (piece - lap) - 1e-9)
    pitch = piece - lap
    # The first panel may be as narrow as what the full ones leave, or as wide as the stock.
    first = np.linspace(size - (count - 1) * pitch, piece, PANEL_SHIFTS) - lap / 2
    places = first[:, None] + pitch * np.arange(count - 1)
    depth, low = (
        values.reshape(places.shape)
        for values in seam_depths(sheet, (places - (size - sheet.length) / 2).ravel(), lap, rise)
    )
    deepest = depth.max(axis=1)
    best = int(np.lexsort((deepest, np.maximum(deepest, DRY), low.any(axis=1)))[0])
    return tuple(
        Seam(along, float(place), seam_length, float(deep), bool(lowest))
        for place, deep, lowest in zip(places[best], depth[best], low[best], strict=True)
    )


def seam_depths(sheet: SheetSpan, places: Array, lap: float, rise: float) -> tuple[Array, Array]:
    """(greatest depth of each seam below the highest water [m], whether it crosses the lowest part of a pool), shape
    (n,) each.

    A seam is as wide as its lap, and as deep as the lower of its two edges. A seam on the ground counts against the
    water of the pool beside it, of two pools that with the lower rim.

    Args:
        sheet: Span of the liner across the seams.
        places: Distance of the middle of each seam from the sheet's left end, shape (n,) [m].
        lap: Lap of a panel with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    across = (places[:, None] + lap * np.array([-0.5, 0.0, 0.5])).ravel()
    depth, above_lowest = sheet.under(across)
    depth, low = depth + rise, (depth + rise > DRY) & (above_lowest < LOWEST)
    shape = (len(depth), len(places), 3)
    return np.asarray(depth.reshape(shape).max(axis=(0, 2))), np.asarray(low.reshape(shape).any(axis=(0, 2)))


# --- strips cut from rolls of one kind ---


@dataclass(frozen=True)
class StripCut:
    """Cutting plan of strips from rolls of one kind.

    Attributes:
        rolls: Number of rolls.
        strips: The strips, in order side by side.
        offcuts: Lengths of what is left over [m].
    """

    rolls: int
    strips: tuple[Strip, ...]
    offcuts: tuple[float, ...]

    @property
    def joins(self) -> int:
        """Number of joins in all strips."""
        return sum(len(strip) - 1 for strip in self.strips)


def joins_of(strip: Strip, lap: float) -> tuple[float, ...]:
    """Distance of the middle of each join of a strip from its end [m]."""
    joins, end = [], 0.0
    for piece in strip[:-1]:
        end += piece
        joins.append(end - lap / 2)
        end -= lap
    return tuple(joins)


def joins_apart(strip: Strip, neighbour: Strip, lap: float) -> bool:
    """True if no join of a strip meets one of the strip beside it, where four layers would lie."""
    return all(abs(a - b) >= lap - CLOSE for a in joins_of(strip, lap) for b in joins_of(neighbour, lap))


def cut_strips(count: int, run: float, roll_length: float, lap: float) -> StripCut:
    """Strips side by side from the fewest rolls, then with the fewest joins.

    Every roll boundary within a strip costs one lap, so that strips cut in sequence from one roll after the other waste
    least. A piece is at least two laps long, unless the rolls are too short for that. If no order of the strips keeps
    the joins of neighbours a lap apart, the first piece is cut shorter, and then further rolls are tried.

    Args:
        count: Number of strips, 0 or more.
        run: Length of each [m].
        roll_length: Length of a roll, more than the lap [m].
        lap: Lap of a piece with the next [m].
    """
    if not count:
        return StripCut(0, (), ())
    least_piece = min(2 * lap, roll_length)
    fewest = max(math.ceil(count * run / roll_length - CLOSE), 1)
    enough = count * math.ceil((run - lap) / (roll_length - lap) - CLOSE)
    while _cut_in_sequence([roll_length] * fewest, count, run, lap, least_piece) is None:
        fewest += 1
        if fewest > 2 * enough + 1:  # rolls this short give no such pieces
            fewest, least_piece = max(math.ceil(count * run / roll_length - CLOSE), 1), 0.0
    for rolls in range(fewest, fewest + FURTHER_ROLLS + 1) if count <= MOST_STRIPS else ():
        plans = [
            StripCut(rolls, in_order, offcuts)
            for strips, offcuts in _cut_options(rolls, count, run, roll_length, lap, least_piece)
            if (in_order := _order_with_joins_apart(strips, lap)) is not None
        ]
        if plans:
            return min(plans, key=lambda plan: plan.joins)
    strips, offcuts = next(_cut_options(fewest, count, run, roll_length, lap, least_piece))
    return StripCut(fewest, strips, offcuts)


def _cut_options(
    rolls: int, count: int, run: float, roll_length: float, lap: float, least_piece: float
) -> Iterator[tuple[tuple[Strip, ...], tuple[float, ...]]]:
    """(strips, lengths of offcuts) of each way to cut: first whole strips from every roll and the others joined of what
    that leaves, then all strips in sequence through the rolls.
    """
    whole_per_roll = int(roll_length / run + CLOSE)
    whole = min(whole_per_roll * rolls, count)
    if whole_per_roll:
        whole_of_each = [min(whole_per_roll, max(count - whole_per_roll * roll, 0)) for roll in range(rolls)]
        rest = [roll_length - run * strips for strips in whole_of_each]
        joined = _cut_in_sequence(rest, count - whole, run, lap, least_piece)
        if joined is not None:
            yield (((run,),) * whole + joined[0], joined[1])
    for share in range(FIRST_PIECES, 0, -1):
        first = roll_length * share / FIRST_PIECES
        lengths = [first, *[roll_length] * (rolls - 1), roll_length - first]
        joined = _cut_in_sequence(lengths, count, run, lap, least_piece)
        if joined is not None:
            yield joined


def _cut_in_sequence(
    lengths: list[float], count: int, run: float, lap: float, least_piece: float
) -> tuple[tuple[Strip, ...], tuple[float, ...]] | None:
    """(strips, lengths of offcuts), cut from lengths one after the other; None if these do not suffice."""
    strips: list[Strip] = []
    offcuts: list[float] = []
    ahead = list(reversed(lengths))
    at_hand = 0.0
    for _ in range(count):
        pieces: list[float] = []
        needed = run
        while at_hand < needed - CLOSE:
            # The piece that follows must not be too short either.
            piece = min(at_hand, needed + lap - least_piece)
            if piece >= least_piece - CLOSE:
                pieces.append(piece)
                at_hand -= piece
                needed += lap - piece
            if at_hand < needed - CLOSE:
                offcuts.append(at_hand)
                if not ahead:
                    return None
                at_hand = ahead.pop()
        pieces.append(needed)
        at_hand -= needed
        strips.append(tuple(pieces))
    return tuple(strips), tuple(over for over in (*offcuts, at_hand, *ahead) if over > CLOSE)


def _order_with_joins_apart(strips: tuple[Strip, ...], lap: float) -> tuple[Strip, ...] | None:
    """The strips in an order in which no joins of neighbours line up; None if none is found within the number of
    tries.
    """
    if all(len(strip) == 1 for strip in strips):
        return strips
    # Strips with most joins first: whole ones are kept to stand between the others.
    kinds = sorted(set(strips), key=lambda pieces: (len(pieces), pieces), reverse=True)
    left, in_order = Counter(strips), list[tuple[Strip, Strip]]()  # of each: as cut, and as it is turned

    def candidates() -> Iterator[tuple[Strip, Strip]]:
        neighbour = in_order[-1][1] if in_order else ()
        return (
            (strip, turned)
            for strip in kinds
            if left[strip]
            for turned in _orders_of_pieces(strip)
            if joins_apart(neighbour, turned, lap)
        )

    untried = [candidates()]
    for _ in range(TRIES * len(strips)):
        candidate = next(untried[-1], None)
        if candidate is not None:
            in_order.append(candidate)
            left[candidate[0]] -= 1
            if len(in_order) == len(strips):
                return tuple(turned for _, turned in in_order)
            untried.append(candidates())
        elif in_order:
            untried.pop()
            left[in_order.pop()[0]] += 1
        else:
            return None
    return None


def _orders_of_pieces(strip: Strip) -> list[Strip]:
    orders = itertools.permutations(strip) if len(strip) <= FEW_PIECES else (strip, strip[::-1])
    return list(dict.fromkeys(orders))


# --- which rolls to buy ---


@dataclass(frozen=True)
class Stock:
    """A roll or sheet on sale: name, width and length [m], price of one."""

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
    cuts: tuple[StripCut, ...]
    cost: float
    seams: float

    @property
    def counts(self) -> tuple[int, ...]:
        """Number of strips of each kind of stock."""
        return tuple(len(cut.strips) for cut in self.cuts)

    @property
    def pieces(self) -> int:
        """Number of panels."""
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
        lap: Lap of a panel with the next [m].
    """
    plans = [
        plan
        for along, run, across in ((True, length, width), (False, width, length))
        for plan in _mixes_by_cost(along, run, across, stock, lap)
    ]
    return min(plans, key=lambda plan: (round(plan.cost, 6), round(plan.seams, 6), not plan.along))


def fewest_seams(length: float, width: float, stock: Sequence[Stock], lap: float) -> StripPlan:
    """The strips of least seam length, then of least cost, over both directions and every mix of the stock.

    Args: as for ``cheapest``.
    """
    plans = [
        plan
        for along, run, across in ((True, length, width), (False, width, length))
        for plan in _mixes_by_seams(along, run, across, stock, lap)
    ]
    return min(plans, key=lambda plan: (round(plan.seams, 6), round(plan.cost, 6), not plan.along))


def _mixes_by_seams(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips of length ``run`` that cover ``across`` with no more seam than the best so far."""
    widest = max(roll.width for roll in stock) - lap
    least_seams = math.inf

    def mixes(kind: int, left: float, counts: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        """Numbers of strips of each kind; ``left``: width still to be covered [m]."""
        needed = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            yield (*counts, needed)
            return
        for count in range(needed, -1, -1):
            still_left = left - count * (stock[kind].width - lap)
            fewest = sum(counts) + count + max(math.ceil(still_left / widest - CLOSE), 0)
            if (fewest - 1) * run <= least_seams + 1e-6:
                yield from mixes(kind + 1, still_left, (*counts, count))

    for counts in mixes(0, across - lap, ()):
        if (sum(counts) - 1) * run > least_seams + 1e-6:
            continue
        cuts = tuple(cut_strips(count, run, roll.length, lap) for count, roll in zip(counts, stock, strict=True))
        seams = _seam_length(cuts, stock, run, across)
        if seams <= least_seams + 1e-6:
            least_seams = min(least_seams, seams)
            cost = sum(roll.price * cut.rolls for roll, cut in zip(stock, cuts, strict=True))
            yield StripPlan(along, cuts, cost, seams)


def _mixes_by_cost(along: bool, run: float, across: float, stock: Sequence[Stock], lap: float) -> Iterator[StripPlan]:
    """Mixes of strips of length ``run`` that cover ``across`` and are no dearer than the best so far; of the last kind
    always as many as are still needed.
    """
    least_cost = math.inf
    cuts_by_count: dict[tuple[int, int], StripCut] = {}

    def cut_of(kind: int, count: int) -> StripCut:
        if (kind, count) not in cuts_by_count:
            cuts_by_count[kind, count] = cut_strips(count, run, stock[kind].length, lap)
        return cuts_by_count[kind, count]

    def mixes(kind: int, left: float, counts: tuple[int, ...], cost: float) -> Iterator[tuple[tuple[int, ...], float]]:
        """(numbers of strips of each kind, cost) of each mix; ``left``: width still to be covered [m]."""
        nonlocal least_cost
        if cost > least_cost + 1e-6:
            return
        needed = max(math.ceil(left / (stock[kind].width - lap) - CLOSE), 0)
        if kind == len(stock) - 1:
            full_cost = cost + stock[kind].price * cut_of(kind, needed).rolls
            if full_cost <= least_cost + 1e-6:
                least_cost = full_cost
                yield (*counts, needed), full_cost
            return
        for count in range(needed, -1, -1):
            with_these = cost + stock[kind].price * cut_of(kind, count).rolls
            yield from mixes(kind + 1, left - count * (stock[kind].width - lap), (*counts, count), with_these)

    for counts, cost in mixes(0, across - lap, (), 0.0):
        cuts = tuple(cut_of(kind, count) for kind, count in enumerate(counts))
        yield StripPlan(along, cuts, cost, _seam_length(cuts, stock, run, across))


def _seam_length(cuts: Sequence[StripCut], stock: Sequence[Stock], run: float, across: float) -> float:
    """Length of the seams between strips and of the joins within them [m]."""
    joins = sum(cut.joins * min(roll.width, across) for cut, roll in zip(cuts, stock, strict=True))
    return (sum(len(cut.strips) for cut in cuts) - 1) * run + joins


# --- where the strips lie ---


def panels_of(
    plan: StripPlan,
    size: tuple[float, float],
    net: tuple[SheetSpan, SheetSpan],
    stock: Sequence[Stock],
    lap: float,
    upstream_last: tuple[bool, bool],
    rise: float,
) -> Panels:
    """Panels of a plan, its strips in the order and shifted to where their seams are shallowest, none across the lowest
    part of a pool if possible.

    Args:
        plan: The strips.
        size: Length and width of the rectangle as ordered [m].
        net: The liner's span along its length and across it.
        stock: Rolls on sale.
        lap: Lap of a panel with the next [m].
        upstream_last: For the directions across and along the strips, True if the liner's far side lies upstream;
            panels are then laid from its near side.
        rise: Height of the highest water above the level at rest [m].
    """
    run, across = size if plan.along else size[::-1]
    sheet_across, sheet_along = (net[1], net[0]) if plan.along else (net[0], net[1])
    strips, joins_line_up = _strips_side_by_side(plan, stock, lap)
    widths = {kind: stock[kind].width for kind, _ in strips}
    order, ends, (depth, low) = _shallowest_order(strips, widths, across, sheet_across, lap, rise)
    seams = [
        Seam(plan.along, float(end) - lap / 2, run, float(deep), bool(lowest))
        for end, deep, lowest in zip(ends, depth, low, strict=True)
    ]
    pieces, joins = [], []
    starts = [0.0, *(float(end) - lap for end in ends)]
    stops = [*(start + lap for start in starts[1:]), across]
    numbers = range(1, len(order) + 1) if upstream_last[0] else range(len(order), 0, -1)
    for (kind, strip), start, stop, number in zip(order, starts, stops, numbers, strict=True):
        places = joins_of(strip, lap)
        piece_starts = [0.0, *(place - lap / 2 for place in places)]
        for part, (piece_start, piece) in enumerate(zip(piece_starts, strip, strict=True), 1):
            # Pieces go down from the downstream end, so that every lap lies upstream over downstream.
            laid_as = part if upstream_last[1] else len(strip) - part + 1
            name = f"{number}" if len(strip) == 1 else f"{number}.{laid_as}"
            corner_and_sides = _on_liner(plan.along, piece_start, start, piece, stop - start)
            pieces.append(LinerPanel(name, stock[kind].name, *corner_and_sides))
        of_strip = _join_seams(sheet_along, list(places), run, stop - start, not plan.along, lap, rise)
        joins += [replace(join, start=start) for join in of_strip]
    return Panels(len(pieces), (*seams, *joins), tuple(pieces), joins_line_up)


def _shallowest_order(
    strips: StripsByKind, widths: dict[int, float], across: float, sheet: SheetSpan, lap: float, rise: float
) -> tuple[StripsByKind, Array, tuple[Array, Array]]:
    """(order of the strips, end of each but the last [m], (depth [m], whether it crosses a lowest part) of each seam),
    for the shallowest seams.

    Args:
        strips: The strips in order.
        widths: Width of each kind [m].
        across: Width to cover [m].
        sheet: Span of the liner across the strips.
        lap: Lap of a strip with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    best: tuple[tuple[bool, float, float], StripsByKind, Array, tuple[Array, Array]] | None = None
    for order in (strips, strips[::-1]):
        wide = np.array([widths[kind] for kind, _ in order])
        over = float(wide.sum()) - lap * (len(wide) - 1) - across
        trims = np.linspace(0.0, max(over, 0.0), STRIP_SHIFTS)
        # End of every strip but the last, for every width trimmed off the first.
        ends = np.cumsum(np.append(wide[:1], wide[1:-1] - lap)[: len(wide) - 1]) - trims[:, None]
        ends = ends[((ends > lap) & (ends < across)).all(axis=1)]
        depth, low = seam_depths(sheet, (ends - lap / 2 - (across - sheet.length) / 2).ravel(), lap, rise)
        depth, low = depth.reshape(ends.shape), low.reshape(ends.shape)
        for row in range(len(ends)):
            deepest = float(depth[row].max(initial=-FAR))
            score = bool(low[row].any()), max(deepest, DRY), deepest
            if best is None or score < best[0]:
                best = score, order, ends[row], (depth[row], low[row])
    assert best is not None, "strips that just cover the rectangle leave room for their seams"
    return best[1:]


def _strips_side_by_side(plan: StripPlan, stock: Sequence[Stock], lap: float) -> tuple[StripsByKind, bool]:
    """(strips in order, whether joins of neighbours still line up, which a caution then says). The widest strips come
    first; all strips of a kind are turned round where their joins would meet those of the next kind.
    """
    kinds = sorted((kind for kind, cut in enumerate(plan.cuts) if cut.strips), key=lambda kind: -stock[kind].width)
    for turned_round in itertools.product((False, True), repeat=len(kinds)):
        strips = [
            (kind, strip[::-1] if is_turned else strip)
            for kind, is_turned in zip(kinds, turned_round, strict=True)
            for strip in plan.cuts[kind].strips
        ]
        if all(joins_apart(first, second, lap) for (_, first), (_, second) in itertools.pairwise(strips)):
            return strips, False
    return strips, True


def _on_liner(
    strips_along: bool, along_strip: float, across_strip: float, run: float, wide: float
) -> tuple[float, float, float, float]:
    """(x and y of a piece's corner, its sides along and across the liner) [m], from those along and across a strip."""
    if strips_along:
        return along_strip, across_strip, run, wide
    return across_strip, along_strip, wide, run


def _join_seams(
    sheet: SheetSpan, places: list[float], size: float, seam_length: float, along: bool, lap: float, rise: float
) -> list[Seam]:
    """The joins of one strip as seams.

    Args:
        sheet: The liner's span along the strip.
        places: Distance of each join from the end of the strip [m].
        size: Length of the strip [m].
        seam_length: Width of the strip that is seen [m].
        along: True if the joins run along the liner's length.
        lap: Lap of a piece with the next [m].
        rise: Height of the highest water above the level at rest [m].
    """
    if not places:
        return []
    depth, low = seam_depths(sheet, np.array(places) - (size - sheet.length) / 2, lap, rise)
    return [
        Seam(along, place, seam_length, float(deep), bool(lowest))
        for place, deep, lowest in zip(places, depth, low, strict=True)
    ]


def offcuts_of(
    plan: StripPlan, length: float, width: float, stock: Sequence[Stock], lap: float
) -> list[tuple[str, float, float]]:
    """(name of the stock, length, width) of each offcut of a plan for a rectangle of these sides [m]."""
    run, across = (length, width) if plan.along else (width, length)
    pieces = []
    for roll, cut in zip(stock, plan.cuts, strict=True):
        pieces += [(roll.name, offcut, roll.width) for offcut in cut.offcuts]
    over = (
        sum(roll.width * count for roll, count in zip(stock, plan.counts, strict=True))
        - lap * (sum(plan.counts) - 1)
        - across
    )
    if over > CLOSE:
        pieces.append(("trimmed off", run, over))
    return pieces
