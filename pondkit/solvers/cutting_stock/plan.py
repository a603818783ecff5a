"""Which piece is cut from which stock length: first-fit-decreasing, bounds by dual feasible functions, and a search of
limited length."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_ROUND = 30  # greatest k of the rounding functions
NEAR = 1e-9


def fewest(shares: Array) -> int:
    """Fewest lengths by all the functions here.

    Args:
        shares: Of a length's room that each piece takes, shape (n,).
    Source: Fekete and Schepers, New classes of fast lower bounds for bin packing problems, Mathematical Programming 91
        (2001): f_0 of Martello and Toth, u^(k), u^(k) of f_0, and phi^(epsilon)
    """
    small = np.unique(np.concatenate([[0.0], shares[shares <= 0.5]]))
    cleared = _without(shares, small)
    worths = [cleared, *(_rounded(cleared, k) for k in range(1, MOST_ROUND)), _halves(shares, small[small > 0])]
    return max(math.ceil(float(worth.sum(axis=1).max(initial=0.0)) - NEAR) for worth in worths)


def _without(shares: Array, small: Array) -> Array:
    """f_0: pieces under each small size are worth nothing, and those that leave less room than it a whole length."""
    of, under = shares[None, :], small[:, None]
    return np.where(of > 1 - under + NEAR, 1.0, np.where(of < under - NEAR, 0.0, of))


def _rounded(shares: Array, k: int) -> Array:
    """u^(k): (k + 1) times a share, rounded down, over k; the share itself where that is whole."""
    times = (k + 1) * shares
    whole = np.abs(times - np.round(times)) < NEAR
    return np.where(whole, shares, np.floor(times) / k)


def _halves(shares: Array, small: Array) -> Array:
    """phi^(epsilon): pieces up to a half count as the small size does, longer ones by
    how many of it they leave room for.
    """
    of, unit = shares[None, :], small[:, None]
    many = np.floor(1 / unit + NEAR)
    over = 1 - np.floor((1 - of) / unit + NEAR) / many
    return np.where(of > 0.5 + NEAR, over, np.where(of >= unit - NEAR, 1 / many, 0.0)) if len(small) else of * 0


LIMIT = 6000  # stock lengths looked at in one search: about a millisecond
CLOSE = 1e-9  # m


@dataclass(frozen=True)
class Plan:
    """A cutting plan.

    Attributes:
        stock: For each stock length the indexes of its pieces.
        least: No plan has fewer lengths than this.
    """

    stock: tuple[tuple[int, ...], ...]
    least: int

    @property
    def proven(self) -> bool:
        """True where no plan has fewer lengths."""
        return len(self.stock) == self.least


def plan(lengths: Sequence[float], stock_length: float, kerf: float) -> Plan:
    """A plan with as few stock lengths as first-fit-decreasing or a limited search finds.

    Args:
        lengths: Of the pieces, none longer than a stock length [m].
        stock_length: Length that the pipe is sold in [m].
        kerf: What one cut takes away [m]; the last piece of a length may need none.
    """
    # With one kerf added to each piece and to the stock, a cut less than pieces comes out right.
    room = stock_length + kerf + CLOSE
    order = sorted(range(len(lengths)), key=lambda index: (-lengths[index], index))
    sizes = [lengths[index] + kerf for index in order]
    found = _first_fit(sizes, room)
    least = _bound(sizes, room)
    while len(found) > least:
        better, finished = _search(sizes, room, len(found) - 1)
        if better is None:
            least = len(found) if finished else least
            break
        found = better
    return Plan(tuple(tuple(order[at] for at in stock) for stock in found), least)


def _first_fit(sizes: Sequence[float], room: float) -> list[list[int]]:
    stock: list[list[int]] = []
    left: list[float] = []
    for at, size in enumerate(sizes):
        where = next((index for index, space in enumerate(left) if size <= space), None)
        if where is None:
            stock.append([at])
            left.append(room - size)
        else:
            stock[where].append(at)
            left[where] -= size
    return stock


def _bound(sizes: Sequence[float], room: float) -> int:
    """Fewest lengths that could do: for each size taken as 'small', the large ones alone, and
    what the rest needs beyond their room.
    """
    best = math.ceil(sum(sizes) / room - CLOSE)
    for small in {size for size in sizes if size <= room / 2} | {0.0}:
        alone = [size for size in sizes if size > room - small]
        halves = [size for size in sizes if room / 2 < size <= room - small]
        rest = sum(size for size in sizes if small <= size <= room / 2)
        spare = sum(room - size for size in halves)
        best = max(best, len(alone) + len(halves) + max(math.ceil((rest - spare) / room - CLOSE), 0))
    return best


def _search(sizes: Sequence[float], room: float, count: int) -> tuple[list[list[int]] | None, bool]:
    """A plan with ``count`` lengths, and whether the search came to its end."""
    left = [room] * count
    stock: list[list[int]] = [[] for _ in range(count)]
    steps = 0

    def place(at: int, waste: float) -> bool | None:
        """True where the pieces from ``at`` on fit; None where the search was broken off."""
        nonlocal steps
        if at == len(sizes):
            return True
        steps += count
        if steps > LIMIT:
            return None
        tried: set[float] = set()
        for index in sorted(range(count), key=lambda i: left[i]):
            space = left[index]
            if sizes[at] > space or space in tried:  # lengths with the same room are alike
                continue
            tried.add(space)
            # What no later piece fits into is lost.
            after = space - sizes[at]
            lost = after if after < sizes[-1] else 0.0
            if waste < lost - CLOSE:
                continue
            left[index] = after
            stock[index].append(at)
            done = place(at + 1, waste - lost)
            if done or done is None:
                return done
            stock[index].pop()
            left[index] = space
        return False

    done = place(0, count * room - sum(sizes))
    return (stock if done else None), done is not None
