"""All patterns by which a length can be cut, where they are few enough: then the linear program over them is exact."""

import numpy as np
from numpy.typing import NDArray

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
