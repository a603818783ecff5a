"""Cutting stock: pieces cut from the fewest lengths that are all alike, such as pipe from stock lengths or strips of
fabric from rolls.

``plan`` cuts by first-fit-decreasing and bounds the number from below by dual feasible functions. Where these two do
not meet, ``least_plan`` looks for a better plan and a higher bound: a linear program over cutting patterns that are
added as they are needed (Gilmore and Gomory, A linear programming approach to the cutting-stock problem, Operations
Research 9, 1961), then an integer program over those. Of few sizes all patterns are listed, and the bound is exactly
that of the linear program; of many they are priced in steps of the stock length, and it is a little lower.

The search is limited, so that 200 pieces of as many lengths take less than a second; it runs only on request.

Tried in its place (2026-11-29, 15 cases of 200 pieces of 8 to 40 lengths, on a busy machine): these bounds and
patterns proved all 15, in 0.01 to 0.13 s each; one arc-flow program on scipy's ``milp`` 4 to 7 of them within 2 to 6
s, one assignment program 3. Both would be shorter; neither proves as much.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_ROUND = 30  # greatest k of the rounding functions
NEAR = 1e-9  # of a stock length: shares that differ by less are equal


def fewest(shares: Array) -> int:
    """Least number of lengths that any plan needs: the best of the bounds below.

    Args:
        shares: Length of each piece over that of a stock length, shape (n,).
    Source: Fekete and Schepers, New classes of fast lower bounds for bin packing problems, Mathematical Programming 91
    (2001): f_0 of Martello and Toth, u^(k), u^(k) of f_0, and phi^(epsilon)
    """
    small = np.unique(np.concatenate([[0.0], shares[shares <= 0.5]]))
    cleared = _without(shares, small)
    worths = [cleared, *(_rounded(cleared, k) for k in range(1, MOST_ROUND)), _halves(shares, small[small > 0])]
    return max(math.ceil(float(worth.sum(axis=1).max(initial=0.0)) - NEAR) for worth in worths)


def _without(shares: Array, small: Array) -> Array:
    """f_0, for each small size: shorter pieces count as nothing, and pieces that leave less room than it as a whole
    length.
    """
    of, under = shares[None, :], small[:, None]
    return np.where(of > 1 - under + NEAR, 1.0, np.where(of < under - NEAR, 0.0, of))


def _rounded(shares: Array, k: int) -> Array:
    """u^(k): (k + 1) times a share, rounded down, over k; the share itself if that product is whole."""
    times = (k + 1) * shares
    is_whole = np.abs(times - np.round(times)) < NEAR
    return np.where(is_whole, shares, np.floor(times) / k)


def _halves(shares: Array, small: Array) -> Array:
    """phi^(epsilon): pieces up to a half count as the small size, longer ones as a whole length less as many small
    sizes as fit beside them.
    """
    of, unit = shares[None, :], small[:, None]
    many = np.floor(1 / unit + NEAR)
    over = 1 - np.floor((1 - of) / unit + NEAR) / many
    return np.where(of > 0.5 + NEAR, over, np.where(of >= unit - NEAR, 1 / many, 0.0)) if len(small) else of * 0


LIMIT = 6000  # stock lengths tried in one search: about a millisecond
CLOSE = 1e-9  # m by which a length may be overfull, and share by which a number of lengths may be, for rounding


@dataclass(frozen=True)
class Plan:
    """A cutting plan.

    Attributes:
        stock: Indices of the pieces of each stock length.
        least: Lower bound of the number of lengths of any plan.
    """

    stock: tuple[tuple[int, ...], ...]
    least: int

    @property
    def proven(self) -> bool:
        """True if no plan has fewer lengths."""
        return len(self.stock) == self.least


def plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """The plan that first-fit-decreasing or a limited search finds, whichever has fewer stock lengths.

    Args:
        lengths: Lengths of the pieces, none longer than a stock length [m].
        stock_length: Length that the pipe is sold in [m].
        kerf: Material lost in one cut [m]; the last piece of a length may need none.
    """
    # A length of n pieces may need n - 1 cuts only: one kerf is added to each piece and to the stock.
    room = stock_length + kerf + CLOSE
    order = sorted(range(len(lengths)), key=lambda index: (-lengths[index], index))
    sizes = [lengths[index] + kerf for index in order]
    best_plan = _first_fit(sizes, room)
    least = _bound(sizes, room)
    while len(best_plan) > least:
        better, finished = _fitted(sizes, room, len(best_plan) - 1)
        if better is None:
            least = len(best_plan) if finished else least
            break
        best_plan = better
    return Plan(tuple(tuple(order[place] for place in stock) for stock in best_plan), least)


def _first_fit(sizes: Sequence[float], room: float) -> list[list[int]]:
    stock: list[list[int]] = []
    left: list[float] = []
    for number, size in enumerate(sizes):
        where = next((index for index, space in enumerate(left) if size <= space), None)
        if where is None:
            stock.append([number])
            left.append(room - size)
        else:
            stock[where].append(number)
            left[where] -= size
    return stock


def _bound(sizes: Sequence[float], room: float) -> int:
    """Lower bound of the number of lengths. For each size taken as the smallest to count: pieces beside which no such
    piece fits take a length each, and so do those over half a length; the shorter ones take what these leave free, and
    further lengths.
    """
    best = math.ceil(sum(sizes) / room - CLOSE)
    for small in {size for size in sizes if size <= room / 2} | {0.0}:
        alone = [size for size in sizes if size > room - small]
        halves = [size for size in sizes if room / 2 < size <= room - small]
        rest = sum(size for size in sizes if small <= size <= room / 2)
        spare = sum(room - size for size in halves)
        best = max(best, len(alone) + len(halves) + max(math.ceil((rest - spare) / room - CLOSE), 0))
    return best


def _fitted(sizes: Sequence[float], room: float, count: int) -> tuple[list[list[int]] | None, bool]:
    """(a plan with ``count`` lengths, or None if none was found; whether the search ran to its end, so that None means
    that there is no such plan).
    """
    left = [room] * count
    stock: list[list[int]] = [[] for _ in range(count)]
    steps = 0

    def place(piece: int, waste: float) -> bool | None:
        """True if the pieces from ``piece`` on fit; None if the search was broken off."""
        nonlocal steps
        if piece == len(sizes):
            return True
        steps += count
        if steps > LIMIT:
            return None
        tried: set[float] = set()
        for index in sorted(range(count), key=lambda i: left[i]):
            space = left[index]
            if sizes[piece] > space or space in tried:  # lengths with the same room are alike
                continue
            tried.add(space)
            # Room that no later piece fits into is lost.
            after = space - sizes[piece]
            loss = after if after < sizes[-1] else 0.0
            if waste < loss - CLOSE:
                continue
            left[index] = after
            stock[index].append(piece)
            finished = place(piece + 1, waste - loss)
            if finished or finished is None:
                return finished
            stock[index].pop()
            left[index] = space
        return False

    finished = place(0, count * room - sum(sizes))
    return (stock if finished else None), finished is not None


SUM_STEPS = 1 << 15  # cells of a stock length in which sums are counted: a tenth of a millimetre of 10 ft
# room that one length may leave, over the mean that a plan of the least number leaves
SPARES = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)


def filled(cells: Sequence[int], spare: int) -> list[list[int]]:
    """Pieces of each length, filled one after the other: each begins with the longest piece left and gets those that
    leave least room.

    Of all sets within ``spare`` of the fullest, the one of the longest pieces is taken, so that short pieces remain
    for later lengths.

    Args:
        cells: Size of each piece in cells, longest first, each at most ``SUM_STEPS``.
        spare: How many cells a length may stay below the fullest.
    Source: minimum bin slack (Gupta and Ho 1999), each length exactly, by subset sums
    """
    left = list(range(len(cells)))
    stock = []
    while left:
        first, rest = left[0], left[1:]
        room = SUM_STEPS - cells[first]
        within = (1 << (room + 1)) - 1
        sums = [1]  # bit b of sums[k]: some of the k shortest add up to b cells
        for cell in reversed(rest):
            sums.append((sums[-1] | (sums[-1] << cells[cell])) & within if cells[cell] <= room else sums[-1])
        most = sums[-1].bit_length() - 1
        least, chosen = max(most - spare, 0), [first]
        for shorter, cell in zip(range(len(rest) - 1, -1, -1), rest, strict=True):
            low, high = max(least - cells[cell], 0), most - cells[cell]
            if high >= 0 and (sums[shorter] >> low) & ((1 << (high - low + 1)) - 1):
                chosen.append(cell)
                least, most = low, high
        used = set(chosen)
        stock.append(chosen)
        left = [cell for cell in rest if cell not in used]
    return stock


def in_cells(sizes: Sequence[float], room: float) -> list[int]:
    """Sizes in cells of the room, rounded up, so that pieces that fit in cells fit."""
    return [math.ceil(size / room * SUM_STEPS - 1e-9) for size in sizes]


def fullest(sizes: Sequence[float], room: float, least: int) -> list[list[list[int]]]:
    """Plans by ``filled`` with more and more room left in a length, the one of fewest lengths last; none is added to
    the first that has ``least`` lengths.

    Args:
        sizes: Lengths of the pieces, longest first [m].
        room: Stock length [m].
        least: Lower bound of the number of lengths.
    """
    cells = in_cells(sizes, room)
    if max(cells) > SUM_STEPS:  # a piece that takes all the room, but for rounding
        return []
    spare = max(least * SUM_STEPS - sum(cells), SUM_STEPS) / least
    plans = []
    for share in SPARES:
        plans.append(filled(cells, int(share * spare)))
        if len(plans[-1]) <= least:
            break
    return sorted(plans, key=len, reverse=True)


Table = NDArray[np.float32]
MOST_IN_TABLE = 2_400_000  # numbers in the table of all patterns: some 0.1 s


def every_pattern(sizes: Array, wanted: Array, room: float) -> Table | None:
    """Every pattern into which no further piece fits and which has no more of a size than is wanted.

    Args:
        sizes: Distinct lengths of the pieces, longest first, shape (n,) [m].
        wanted: Number of pieces of each size, shape (n,).
        room: Stock length [m].
    Returns: number of pieces of each size in each pattern, shape (patterns, n); None if there are too many patterns.
    """
    shortest, negative = sizes[-1], -sizes
    rows = np.arange(len(sizes))[:, None]  # pieces of each, longest first
    sums = sizes.copy()
    full: list[NDArray[np.int64]] = []
    count = 0
    while len(rows):
        left = room - sums
        # The first size, from the last taken on, that fits into what is left.
        first = np.maximum(np.searchsorted(negative, -left), rows[:, -1])
        finished = left < shortest
        full.append(rows[finished])
        rows, sums, first = rows[~finished], sums[~finished], first[~finished]
        choices = len(sizes) - first
        count += int(finished.sum())
        if (count + int(choices.sum())) * len(sizes) > MOST_IN_TABLE:
            return None
        each = np.repeat(np.arange(len(rows)), choices)
        number = np.arange(len(each)) - np.repeat(np.cumsum(choices) - choices - first, choices)
        rows, sums = np.column_stack([rows[each], number]), sums[each] + sizes[number]
    table = np.zeros((count, len(sizes)), dtype=np.float32)
    row = 0
    for part in full:
        spots = (row + np.arange(len(part)))[:, None] * len(sizes) + part
        table.ravel()[:] += np.bincount(spots.ravel(), minlength=table.size)
        row += len(part)
    return np.minimum(table, wanted.astype(np.float32))


PATTERN_STEPS = 2500  # cells of a stock length in which a pattern's room is counted
WORK = 1500  # rounds of the linear program, times how many sizes there are
MOST_ROUNDS = 100
AT_ONCE = 8  # patterns added at one set of prices: each without the pieces of those before it
LISTED_AT_ONCE = 60  # the same number, from the list of all
MORE = (300, 1500)  # patterns that almost pay, for the integer program
MOST_SIZES = 90  # sizes up to which the integer program is run
SECONDS = 0.25  # given to the integer program
USED = (0.95, 0.8, 0.65, 0.5, 0.35, 0.2)  # fraction of a pattern from which it is rounded up
SAME = 1e-6  # m: pieces that differ by less are of one size
Pattern = tuple[int, ...]  # how many of each size


def full_plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A plan by ``plan``, or by filling each length as full as it goes (``filled``) if that takes fewer; with a lower
    bound of the number of lengths.

    Args: as for ``least_plan``.
    """
    return _Search(lengths, stock_length, kerf).best


def least_plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A plan with as few stock lengths as can be found, with a lower bound of their number.

    Args:
        lengths: Lengths of the pieces, none longer than a stock length [m].
        stock_length: Length that the pipe is sold in [m].
        kerf: Material lost in one cut [m].
    """
    search = _Search(lengths, stock_length, kerf)
    if not search.best.proven and lengths:
        search.by_patterns()
    return search.best


@dataclass(frozen=True)
class _Priced:
    """Result of the linear program: its patterns, how often it uses each, and the lower bound that follows from it."""

    patterns: list[Pattern]
    used: Array
    prices: Array
    least: int


class _Search:
    """The best plan so far, and the best lower bound."""

    def __init__(self, lengths: Sequence[float], stock_length: float, kerf: float) -> None:
        self.order = sorted(range(len(lengths)), key=lambda index: (-lengths[index], index))
        self.sizes = [lengths[index] + kerf for index in self.order]
        self.room = stock_length + kerf + CLOSE
        self.best = plan(lengths, stock_length, kerf)
        self.met = [self.best.stock]
        if not self.best.proven:
            self.best = Plan(self.best.stock, max(self.best.least, fewest(np.array(self.sizes) / self.room)))
        if not self.best.proven:
            for stock in fullest(self.sizes, self.room, self.best.least):
                self.take(stock)

    def take(self, stock: Sequence[Sequence[int]]) -> None:
        """Keep a plan, whose pieces are numbered from the longest on, if it has fewer lengths than the best."""
        self.met.append(tuple(tuple(self.order[number] for number in pieces) for pieces in stock))
        if len(stock) < len(self.best.stock):
            self.best = Plan(self.met[-1], self.best.least)

    def by_patterns(self) -> None:
        """Raise the bound and improve the plan by a linear program over patterns."""
        keys = [round(size / SAME) for size in self.sizes]
        names = sorted(set(keys), reverse=True)
        number = {name: position for position, name in enumerate(names)}
        sizes = np.array([max(s for s, key in zip(self.sizes, keys, strict=True) if key == name) for name in names])
        counts = Counter(keys)
        demand = np.array([counts[name] for name in names])
        place = {index: position for position, index in enumerate(self.order)}
        start = {tuple(int(i == k) for i in range(len(names))) for k in range(len(names))}
        for stock in self.met:
            for pieces in stock:
                pattern = [0] * len(names)
                for index in pieces:
                    pattern[number[keys[place[index]]]] += 1
                start.add(tuple(pattern))
        table = every_pattern(sizes, demand, self.room)
        ask = _Stepped(sizes, demand, self.room) if table is None else _Listed(table)
        priced = _priced(ask, len(names), demand, sorted(start), (self.best.least, len(self.best.stock)))
        self.best = Plan(self.best.stock, max(self.best.least, priced.least))
        of_size = [[position for position, key in enumerate(keys) if key == name] for name in names]
        for share in USED:
            if self.best.proven:
                return
            self.take(self._completed(_patterns_used(priced, demand, share), of_size))
        for more in (0, *MORE) if len(names) <= MOST_SIZES else ():
            if self.best.proven:
                return
            near = ask.nearest(priced.prices, more) if more else []
            if chosen := _whole(list(dict.fromkeys([*priced.patterns, *near])), demand):
                self.take(self._completed(chosen, of_size))

    def _completed(self, chosen: list[Pattern], of_size: list[list[int]]) -> list[list[int]]:
        """Pieces dealt to some patterns, with room left free where a pattern has more than is wanted; the pieces that
        remain are filled into further lengths.
        """
        waiting = [list(pieces) for pieces in of_size]
        stock = []
        for pattern in chosen:
            pieces = [
                waiting[index].pop() for index, count in enumerate(pattern) for _ in range(count) if waiting[index]
            ]
            if pieces:
                stock.append(pieces)
        rest = sorted(index for pieces in waiting for index in pieces)
        cells = in_cells([self.sizes[index] for index in rest], self.room)
        if cells and max(cells) > SUM_STEPS:
            return [*stock, *([index] for index in rest)]
        return [*stock, *([rest[index] for index in pieces] for pieces in filled(cells, 0))]


def _patterns_used(priced: _Priced, demand: Array, share: float) -> list[Pattern]:
    """Patterns of the linear program, each as often as it uses it, a fraction from ``share`` on rounded up, as long as
    pieces are left for it.
    """
    left, chosen = demand.copy(), []
    for number in np.argsort(-priced.used, kind="stable"):
        pattern = np.array(priced.patterns[number])
        for _ in range(math.floor(priced.used[number] + 1 - share)):
            if (pattern <= left).all():
                left = left - pattern
                chosen.append(priced.patterns[number])
    return chosen


class _Listed:
    """Search for patterns in the list of all."""

    rounds = MOST_ROUNDS

    def __init__(self, table: Table) -> None:
        self.table = table

    def worth(self, prices: Array) -> tuple[float, list[Pattern]]:
        """(upper bound of the worth of any pattern at given prices, patterns that pay)."""
        worth = self.table @ prices.astype(np.float32)
        return float(worth.max()) * (1 + 1e-6), self._patterns(worth, LISTED_AT_ONCE, 1 + 1e-5)

    def nearest(self, prices: Array, count: int) -> list[Pattern]:
        """The ``count`` patterns of greatest worth."""
        return self._patterns(self.table @ prices.astype(np.float32), count, 0.0)

    def _patterns(self, worth: Table, count: int, least: float) -> list[Pattern]:
        top = np.argsort(-worth, kind="stable")[:count]
        return [tuple(int(each) for each in self.table[row]) for row in top if worth[row] > least]


class _Stepped:
    """Patterns by the room left in steps, piece after piece, where all of them are too many."""

    def __init__(self, sizes: Array, demand: Array, room: float) -> None:
        self.sizes, self.wanted, self.room = sizes, demand, room
        self.rounds = min(MOST_ROUNDS, WORK // len(sizes) + 1)

    def worth(self, prices: Array) -> tuple[float, list[Pattern]]:
        """(upper bound of the worth of any pattern at given prices, patterns that fit and pay)."""
        worth, relaxed = _worth_most(np.floor(self.sizes / self.room * PATTERN_STEPS), self.wanted, prices)
        return worth, _patterns(self.sizes, self.wanted, self.room, prices, relaxed)

    def nearest(self, prices: Array, count: int) -> list[Pattern]:
        """No patterns besides those that were asked for."""
        return []


def _priced(
    ask: _Listed | _Stepped, count: int, demand: Array, start: list[Pattern], between: tuple[int, int]
) -> _Priced:
    """The linear program over patterns, up to its limit of rounds or until no plan can be better.

    Each round adds the patterns worth most at the prices of the pieces. If no pattern is worth more than p at some
    prices, the pieces need at least their total worth divided by p lengths (Farley's bound).
    """
    from scipy.optimize import linprog
    from scipy.sparse import csc_matrix

    patterns, (least, most) = list(start), between
    met = set(patterns)
    used, prices = np.zeros(len(patterns)), np.zeros(count)
    for _ in range(ask.rounds):
        table = csc_matrix(np.array(patterns, dtype=float).T)
        solved = linprog(np.ones(len(patterns)), A_ub=-table, b_ub=-demand, method="highs")
        prices, used = -solved.ineqlin.marginals, solved.x
        worth, offered = ask.worth(prices)
        least = max(least, math.ceil(float(solved.fun) / max(worth, 1.0) - 1e-4))
        new = [pattern for pattern in dict.fromkeys(offered) if pattern not in met]
        if least >= most or worth <= 1 + 1e-5 or not new:
            break
        patterns += new
        met.update(new)
    return _Priced(patterns[: len(used)], used, prices, least)


def _patterns(sizes: Array, demand: Array, room: float, prices: Array, first: Pattern) -> list[Pattern]:
    """Patterns that fit and pay at given prices: the given one, if it does, and others from the pieces
    that it leaves.
    """
    patterns = [first] if float(sizes @ np.array(first)) <= room else []
    cells, left = np.ceil(sizes / room * PATTERN_STEPS), demand - (np.array(first) if patterns else 0)
    while len(patterns) < AT_ONCE:
        worth, pattern = _worth_most(cells, np.maximum(left, 0), prices)
        if not any(pattern) or (patterns and worth < 0.9):
            break
        patterns.append(pattern)
        left = left - np.array(pattern)
    return patterns


def _worth_most(cells: Array, demand: Array, prices: Array) -> tuple[float, Pattern]:
    """(worth, pattern) of the pattern of greatest worth that fits into a length: dynamic programming over the room
    left, piece by piece.
    """
    best = np.zeros(PATTERN_STEPS + 1)
    stages: list[tuple[int, int, NDArray[np.bool_]]] = []
    for item, (size, count, price) in enumerate(zip(cells.astype(int), demand, prices, strict=True)):
        for _ in range(min(int(count), PATTERN_STEPS // max(int(size), 1)) if price > 1e-12 else 0):
            added = best[: PATTERN_STEPS + 1 - size] + price
            better = np.zeros(PATTERN_STEPS + 1, dtype=bool)
            better[size:] = added > best[size:] + 1e-12
            if not better.any():
                break
            best = best.copy()
            best[size:] = np.maximum(best[size:], added)
            stages.append((item, int(size), better))
    pattern, left = [0] * len(cells), PATTERN_STEPS
    for item, size, better in reversed(stages):
        if better[left]:
            pattern[item] += 1
            left -= size
    return float(best[PATTERN_STEPS]), tuple(pattern)


def _whole(patterns: list[Pattern], demand: Array) -> list[Pattern]:
    """Patterns, each as often as it is cut, that give all pieces from the fewest lengths; empty if none was found."""
    from scipy.optimize import LinearConstraint, milp
    from scipy.sparse import csc_matrix

    table = csc_matrix(np.array(patterns, dtype=float).T)
    solved = milp(
        np.ones(len(patterns)),
        constraints=LinearConstraint(table, lb=demand),
        integrality=np.ones(len(patterns)),
        options={"time_limit": SECONDS},
    )
    if solved.x is None:
        return []
    return [
        pattern for pattern, count in zip(patterns, np.round(solved.x).astype(int), strict=True) for _ in range(count)
    ]
