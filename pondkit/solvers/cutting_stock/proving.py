"""A plan with the fewest stock lengths that are found, and a bound under it: fills, dual feasible functions, and
where these two do not meet a linear program over cutting patterns that are asked for as needed (Gilmore and Gomory,
A linear programming approach to the cutting-stock problem, Operations Research 9, 1961), then an integer program
over those. Of few sizes all patterns are at hand, and the bound is that of the linear program; of many they are
priced in steps of the room, and it is a little less.

The work is bounded, so that 200 pieces of as many lengths take less than a second; it is
run only where the person asks for it.

Tried in its place (2026-11-29, 15 cases of 200 pieces of 8 to 40 lengths, on a busy machine): these bounds and patterns
proved all 15, in 0.01 to 0.13 s each; one arc-flow program on scipy's ``milp`` 4 to 7 of them within 2 to 6 s, one
assignment program 3. Both would be shorter; neither proves as much.
"""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondkit.solvers.cutting_stock.patterns import CELLS as FILL_CELLS
from pondkit.solvers.cutting_stock.patterns import Table, every_pattern, filled, fullest, in_cells
from pondkit.solvers.cutting_stock.plan import CLOSE, Plan, fewest, plan

CELLS = 2500  # steps of a stock length in which a pattern's room is counted
WORK = 1500  # rounds of the linear program, times how many sizes there are
MOST_ROUNDS = 100
AT_ONCE = 8  # patterns asked for at one set of prices: each leaves the pieces of those before it out
LISTED_AT_ONCE = 60  # the same from the list of all
MORE = (300, 1500)  # patterns near to worth having, that the integer program may use besides
MOST_SIZES = 90  # of which the integer program is asked for
SECONDS = 0.25  # given to the integer program
USED = (0.95, 0.8, 0.65, 0.5, 0.35, 0.2)  # share from which a pattern of the linear program is taken as it is
SAME = 1e-6  # m: pieces nearer than this in length are one size
Array = NDArray[np.float64]
Pattern = tuple[int, ...]  # how many of each size


def full_plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A cutting plan by fills, and how many lengths no plan can do without.

    Args: as for ``least_plan``.
    """
    return _Search(lengths, stock_length, kerf).best


def least_plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A cutting plan with as few stock lengths as are found, and how many no plan can do without.

    Args:
        lengths: Of the pieces, none longer than a stock length [m].
        stock_length: Length that the pipe is sold in [m].
        kerf: What one cut takes away [m].
    """
    search = _Search(lengths, stock_length, kerf)
    if not search.best.proven and lengths:
        search.by_patterns()
    return search.best


@dataclass(frozen=True)
class _Priced:
    """Patterns that the linear program can use, how often it does, and the least
    number of lengths that follows from it.
    """

    patterns: list[Pattern]
    used: Array
    prices: Array
    least: int


class _Search:
    """The best plan so far, and the best bound."""

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
        """A plan that gives pieces by their place from the longest on."""
        self.met.append(tuple(tuple(self.order[at] for at in own) for own in stock))
        if len(stock) < len(self.best.stock):
            self.best = Plan(self.met[-1], self.best.least)

    def by_patterns(self) -> None:
        """Raise the bound and better the plan by a linear program over patterns."""
        keys = [round(size / SAME) for size in self.sizes]
        names = sorted(set(keys), reverse=True)
        number = {name: at for at, name in enumerate(names)}
        sizes = np.array([max(s for s, key in zip(self.sizes, keys, strict=True) if key == name) for name in names])
        counts = Counter(keys)
        wanted = np.array([counts[name] for name in names])
        place = {index: at for at, index in enumerate(self.order)}
        start = {tuple(int(i == k) for i in range(len(names))) for k in range(len(names))}
        for stock in self.met:
            for own in stock:
                pattern = [0] * len(names)
                for index in own:
                    pattern[number[keys[place[index]]]] += 1
                start.add(tuple(pattern))
        table = every_pattern(sizes, wanted, self.room)
        ask = _Stepped(sizes, wanted, self.room) if table is None else _Listed(table)
        found = _priced(ask, len(names), wanted, sorted(start), (self.best.least, len(self.best.stock)))
        self.best = Plan(self.best.stock, max(self.best.least, found.least))
        of_size = [[at for at, key in enumerate(keys) if key == name] for name in names]
        for share in USED:
            if self.best.proven:
                return
            self.take(self._completed(_taken(found, wanted, share), of_size))
        for more in (0, *MORE) if len(names) <= MOST_SIZES else ():
            if self.best.proven:
                return
            near = ask.nearest(found.prices, more) if more else []
            if chosen := _whole(list(dict.fromkeys([*found.patterns, *near])), wanted):
                self.take(self._completed(chosen, of_size))

    def _completed(self, chosen: list[Pattern], of_size: list[list[int]]) -> list[list[int]]:
        """Pieces dealt to some patterns, a pattern's room for more than is wanted left free; the rest filled."""
        waiting = [list(own) for own in of_size]
        stock = []
        for pattern in chosen:
            own = [waiting[at].pop() for at, count in enumerate(pattern) for _ in range(count) if waiting[at]]
            if own:
                stock.append(own)
        rest = sorted(at for own in waiting for at in own)
        cells = in_cells([self.sizes[at] for at in rest], self.room)
        if cells and max(cells) > FILL_CELLS:
            return [*stock, *([at] for at in rest)]
        return [*stock, *([rest[at] for at in own] for own in filled(cells, 0))]


def _taken(found: _Priced, wanted: Array, share: float) -> list[Pattern]:
    """Patterns that the linear program uses, each as often as it does, rounded up from
    ``share``, while pieces are left for it.
    """
    left, chosen = wanted.copy(), []
    for at in np.argsort(-found.used, kind="stable"):
        pattern = np.array(found.patterns[at])
        for _ in range(math.floor(found.used[at] + 1 - share)):
            if (pattern <= left).all():
                left = left - pattern
                chosen.append(found.patterns[at])
    return chosen


class _Listed:
    """Patterns from the list of all."""

    rounds = MOST_ROUNDS

    def __init__(self, table: Table) -> None:
        self.table = table

    def worth(self, prices: Array) -> tuple[float, list[Pattern]]:
        """What no pattern is worth more than at some prices, and patterns that are worth having."""
        worth = self.table @ prices.astype(np.float32)
        return float(worth.max()) * (1 + 1e-6), self._patterns(worth, LISTED_AT_ONCE, 1 + 1e-5)

    def nearest(self, prices: Array, count: int) -> list[Pattern]:
        """So many patterns of the greatest worth."""
        return self._patterns(self.table @ prices.astype(np.float32), count, 0.0)

    def _patterns(self, worth: Table, count: int, least: float) -> list[Pattern]:
        top = np.argsort(-worth, kind="stable")[:count]
        return [tuple(int(each) for each in self.table[at]) for at in top if worth[at] > least]


class _Stepped:
    """Patterns by the room left in steps, piece after piece, where all of them are too many."""

    def __init__(self, sizes: Array, wanted: Array, room: float) -> None:
        self.sizes, self.wanted, self.room = sizes, wanted, room
        self.rounds = min(MOST_ROUNDS, WORK // len(sizes) + 1)

    def worth(self, prices: Array) -> tuple[float, list[Pattern]]:
        """What no pattern is worth more than at some prices, and patterns that are worth having and fit."""
        worth, relaxed = _worth_most(np.floor(self.sizes / self.room * CELLS), self.wanted, prices)
        return worth, _patterns(self.sizes, self.wanted, self.room, prices, relaxed)

    def nearest(self, prices: Array, count: int) -> list[Pattern]:
        """None further than those asked for."""
        return []


def _priced(
    ask: _Listed | _Stepped, count: int, wanted: Array, start: list[Pattern], between: tuple[int, int]
) -> _Priced:
    """The linear program over patterns, as far as its rounds go, or until no plan can be better.

    Each round asks for the patterns worth most at the prices of the pieces. With prices at which no pattern is worth
    more than p, the pieces together need at least their worth over p (Farley's bound).
    """
    from scipy.optimize import linprog
    from scipy.sparse import csc_matrix

    patterns, (least, most) = list(start), between
    met = set(patterns)
    used, prices = np.zeros(len(patterns)), np.zeros(count)
    for _ in range(ask.rounds):
        table = csc_matrix(np.array(patterns, dtype=float).T)
        solved = linprog(np.ones(len(patterns)), A_ub=-table, b_ub=-wanted, method="highs")
        prices, used = -solved.ineqlin.marginals, solved.x
        worth, offered = ask.worth(prices)
        least = max(least, math.ceil(float(solved.fun) / max(worth, 1.0) - 1e-4))
        new = [pattern for pattern in dict.fromkeys(offered) if pattern not in met]
        if least >= most or worth <= 1 + 1e-5 or not new:
            break  # no lower bound can come of it
        patterns += new
        met.update(new)
    return _Priced(patterns[: len(used)], used, prices, least)


def _patterns(sizes: Array, wanted: Array, room: float, prices: Array, first: Pattern) -> list[Pattern]:
    """Patterns that fit and pay at given prices: the given one, if it does, and others from the pieces it leaves."""
    found = [first] if float(sizes @ np.array(first)) <= room else []
    cells, left = np.ceil(sizes / room * CELLS), wanted - (np.array(first) if found else 0)
    while len(found) < AT_ONCE:
        worth, pattern = _worth_most(cells, np.maximum(left, 0), prices)
        if not any(pattern) or (found and worth < 0.9):
            break
        found.append(pattern)
        left = left - np.array(pattern)
    return found


def _worth_most(cells: Array, wanted: Array, prices: Array) -> tuple[float, Pattern]:
    """The pattern of greatest worth that fits into a length: (worth, pattern), by the room left, piece after piece."""
    best = np.zeros(CELLS + 1)
    taken: list[tuple[int, int, NDArray[np.bool_]]] = []
    for item, (size, count, price) in enumerate(zip(cells.astype(int), wanted, prices, strict=True)):
        for _ in range(min(int(count), CELLS // max(int(size), 1)) if price > 1e-12 else 0):
            added = best[: CELLS + 1 - size] + price
            better = np.zeros(CELLS + 1, dtype=bool)
            better[size:] = added > best[size:] + 1e-12
            if not better.any():
                break
            best = best.copy()
            best[size:] = np.maximum(best[size:], added)
            taken.append((item, int(size), better))
    pattern, left = [0] * len(cells), CELLS
    for item, size, better in reversed(taken):
        if better[left]:
            pattern[item] += 1
            left -= size
    return float(best[CELLS]), tuple(pattern)


def _whole(patterns: list[Pattern], wanted: Array) -> list[Pattern]:
    """Patterns, each as often as it is cut, that give all pieces from the fewest lengths; empty if none was found."""
    from scipy.optimize import LinearConstraint, milp
    from scipy.sparse import csc_matrix

    table = csc_matrix(np.array(patterns, dtype=float).T)
    solved = milp(
        np.ones(len(patterns)),
        constraints=LinearConstraint(table, lb=wanted),
        integrality=np.ones(len(patterns)),
        options={"time_limit": SECONDS},
    )
    if solved.x is None:
        return []
    return [
        pattern for pattern, count in zip(patterns, np.round(solved.x).astype(int), strict=True) for _ in range(count)
    ]
