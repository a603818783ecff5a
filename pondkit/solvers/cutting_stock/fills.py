"""Plans that fill one stock length after the other as full as the pieces allow, longest piece first."""

import math
from collections.abc import Sequence

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
