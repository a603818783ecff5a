"""Ways to cut one length: fills as full as the pieces allow, longest piece first; and all patterns, where they are few
enough: then the linear program over them is exact."""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

CELLS = 1 << 15  # steps of a length's room in which sums are counted: a tenth of a millimetre of 10 ft
SPARES = (0.0, 0.25, 0.5, 1.0, 2.0, 4.0)  # room left over that a length may have, as shares of what all may have


def filled(cells: Sequence[int], spare: int) -> list[list[int]]:
    """Pieces of each length: the longest left, and those that leave least room beside it.

    Of all sets within ``spare`` of the fullest that of the longest pieces is taken, so that
    short ones are left to fill up with.

    Args:
        cells: Of each piece, longest first, each at most ``CELLS``.
        spare: How far a length may stay under the fullest.
    Source: minimum bin slack (Gupta and Ho 1999), each length exactly, by subset sums
    """
    left = list(range(len(cells)))
    stock = []
    while left:
        first, rest = left[0], left[1:]
        room = CELLS - cells[first]
        within = (1 << (room + 1)) - 1
        sums = [1]  # bit b of sums[k]: the k shortest can be b cells together
        for at in reversed(rest):
            sums.append((sums[-1] | (sums[-1] << cells[at])) & within if cells[at] <= room else sums[-1])
        most = sums[-1].bit_length() - 1
        least, own = max(most - spare, 0), [first]
        for shorter, at in zip(range(len(rest) - 1, -1, -1), rest, strict=True):
            low, high = max(least - cells[at], 0), most - cells[at]
            if high >= 0 and (sums[shorter] >> low) & ((1 << (high - low + 1)) - 1):
                own.append(at)
                least, most = low, high
        taken = set(own)
        stock.append(own)
        left = [at for at in rest if at not in taken]
    return stock


def in_cells(sizes: Sequence[float], room: float) -> list[int]:
    """Sizes in steps of the room, rounded up, so that what fits in cells fits."""
    return [math.ceil(size / room * CELLS - 1e-9) for size in sizes]


def fullest(sizes: Sequence[float], room: float, least: int) -> list[list[list[int]]]:
    """Some plans, the best last; they end with the first that has ``least`` lengths.

    Args:
        sizes: Of the pieces, longest first [m].
        room: Of a length [m].
        least: No plan has fewer lengths.
    """
    cells = in_cells(sizes, room)
    if max(cells) > CELLS:  # a piece that takes all the room, but for rounding
        return []
    spare = max(least * CELLS - sum(cells), CELLS) / least
    plans = []
    for share in SPARES:
        plans.append(filled(cells, int(share * spare)))
        if len(plans[-1]) <= least:
            break
    return sorted(plans, key=len, reverse=True)


Array = NDArray[np.float64]
Table = NDArray[np.float32]
MOST = 2_400_000  # numbers in the table: some 0.1 s


def every_pattern(sizes: Array, wanted: Array, room: float) -> Table | None:
    """Every pattern into which no further piece fits, none with more of a size than is wanted.

    Args:
        sizes: Of the pieces, longest first, each another, shape (n,) [m].
        wanted: How many there are of each, shape (n,).
        room: Of a length [m].
    Returns: how many of each size a pattern has, shape (patterns, n); None where they are too many.
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
        done = left < shortest
        full.append(rows[done])
        rows, sums, first = rows[~done], sums[~done], first[~done]
        ways = len(sizes) - first
        count += int(done.sum())
        if (count + int(ways.sum())) * len(sizes) > MOST:
            return None
        each = np.repeat(np.arange(len(rows)), ways)
        taken = np.arange(len(each)) - np.repeat(np.cumsum(ways) - ways - first, ways)
        rows, sums = np.column_stack([rows[each], taken]), sums[each] + sizes[taken]
    found = np.zeros((count, len(sizes)), dtype=np.float32)
    at = 0
    for part in full:
        spots = (at + np.arange(len(part)))[:, None] * len(sizes) + part
        found.ravel()[:] += np.bincount(spots.ravel(), minlength=found.size)
        at += len(part)
    return np.minimum(found, wanted.astype(np.float32))
