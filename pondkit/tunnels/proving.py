"""The least number of stock lengths, proven: a linear program over cutting patterns made as needed, then an integer one.

It takes up to about a second, so it is run only where the person asks for it.
"""

import math
from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import LinearConstraint, linprog, milp

from pondkit.tunnels.cutting import CLOSE, Plan, plan

CELLS = 2500  # steps of a stock length in which a pattern's room is counted
MOST_ROUNDS = 100
AT_ONCE = 8  # patterns asked for at one set of prices: each leaves the pieces of those before it out
SECONDS = 1.0  # given to the integer program
SAME = 1e-6  # m: pieces nearer than this in length are one size
Array = NDArray[np.float64]
Pattern = tuple[int, ...]  # how many of each size


def least_plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A cutting plan with the fewest stock lengths, and how many no plan can do without.

    Args:
        lengths: Of the pieces, none longer than a stock length [m].
        stock_length: Length that the pipe is sold in [m].
        kerf: What one cut takes away [m].
    """
    quick = plan(lengths, stock_length, kerf)
    if quick.proven or not lengths:
        return quick
    room = stock_length + kerf + CLOSE
    keys = [round(length / SAME) for length in lengths]
    counts = Counter(keys)
    names = sorted(counts, reverse=True)
    sizes = np.array([max(lengths[i] for i, key in enumerate(keys) if key == name) + kerf for name in names])
    wanted = np.array([counts[name] for name in names])
    patterns = {tuple(Counter(keys[i] for i in stock).get(name, 0) for name in names) for stock in quick.stock}
    patterns |= {tuple(int(i == k) for i in range(len(names))) for k in range(len(names))}
    found, least = _priced(sizes, wanted, room, sorted(patterns))
    least = max(least, quick.least)
    if len(quick.stock) == least:
        return Plan(quick.stock, least)
    chosen = _whole(found, wanted)
    stock = _dealt(chosen, names, keys) if chosen else quick.stock
    return Plan(stock if len(stock) < len(quick.stock) else quick.stock, least)


def _priced(sizes: Array, wanted: Array, room: float, start: list[Pattern]) -> tuple[list[Pattern], int]:
    """Patterns that the linear program can use, and the least number of lengths that follows from it.

    Each round asks for the pattern worth most at the prices of the pieces. With prices at which no pattern is worth more
    than p, the pieces together need at least their worth over p (Farley's bound).
    """
    patterns, least = list(start), 0
    for _ in range(MOST_ROUNDS):
        table = np.array(patterns, dtype=float).T
        solved = linprog(np.ones(len(patterns)), A_ub=-table, b_ub=-wanted, method="highs")
        prices = -solved.ineqlin.marginals
        most, relaxed = _worth_most(np.floor(sizes / room * CELLS), wanted, prices)
        least = max(least, math.ceil(float(solved.fun) / max(most, 1.0) - 1e-6))
        if most <= 1 + 1e-7 or least >= math.ceil(float(solved.fun) - 1e-6):
            break  # no lower bound can come of it
        new = _patterns(sizes, wanted, room, prices, relaxed)
        if set(new) <= set(patterns):
            break
        patterns += [pattern for pattern in dict.fromkeys(new) if pattern not in patterns]
    return patterns, least


def _patterns(sizes: Array, wanted: Array, room: float, prices: Array, first: Pattern) -> list[Pattern]:
    """Patterns worth having at some prices, that fit: the given one, if it does, and others from the pieces it leaves."""
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
    """Patterns, each as often as it is cut, that give all pieces with the fewest lengths; empty where none was found."""
    table = np.array(patterns, dtype=float).T
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


def _dealt(chosen: list[Pattern], names: list[int], keys: list[int]) -> tuple[tuple[int, ...], ...]:
    """Pieces dealt to the lengths of a plan, by their indexes; a pattern's room for more than is wanted stays free."""
    waiting = {name: [i for i, key in enumerate(keys) if key == name] for name in names}
    stock = []
    for pattern in chosen:
        own = [
            waiting[name].pop()
            for name, count in zip(names, pattern, strict=True)
            for _ in range(count)
            if waiting[name]
        ]
        if own:
            stock.append(tuple(own))
    return tuple(stock)
