"""Which piece is cut from which stock length: first-fit-decreasing, a bound, and a search of limited length."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

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
