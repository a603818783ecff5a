"""How each run lies: in water, free in a basin, in the ground; where it passes a liner; what water stands in it."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.geometry.line_intersection import LineIntersection, Segment, Spot, Stretch, at
from pondkit.trades.tunnels.mouths import TOUCH
from pondkit.trades.tunnels.network import NetworkRun
from pondkit.trades.tunnels.sizes import PassagePipe


@dataclass(frozen=True)
class PoolLevels:
    """A pool as the pipes see it: name, level, rim level [m], and whether it lies on a liner."""

    name: str
    level: float
    rim_level: float
    lined: bool


@dataclass(frozen=True)
class RunAlignment:
    """A run from one end to the other, a mouth's end on the face.

    Attributes:
        source: The run between its nodes.
        start, end: Its ends on the site [m].
        length: True length [m].
        open: (from, to, in water) above a finished surface inside a rim, by distance from the start [m].
        wet: (pool's index, length in its water [m]) of each pool.
        stands: Index of the pool in whose water its start and its end lie; None where they do not.
        passes: (pool's index, place) where it passes a liner below the rim.
        held: (from, to) of each stretch above a liner, inside its rim.
    """

    source: NetworkRun
    start: Spot
    end: Spot
    length: float
    open: tuple[Stretch, ...]
    wet: tuple[tuple[int, float], ...]
    stands: tuple[int | None, int | None]
    passes: tuple[tuple[int, Spot], ...]
    held: tuple[tuple[float, float], ...]

    @property
    def name(self) -> str:
        """Its subject: "from – to"."""
        return self.source.name

    @property
    def pipe(self) -> PassagePipe:
        """Its pipe."""
        return self.source.pipe

    @property
    def ends(self) -> tuple[int, int]:
        """Indexes of its nodes."""
        return self.source.ends

    @property
    def index(self) -> int:
        """Its place in the document."""
        return self.source.index

    @property
    def line(self) -> Segment:
        """Its start and its end [m]."""
        return self.start, self.end

    def in_water(self) -> list[float]:
        return [high - low for low, high, wet in self.open if wet]

    def free(self) -> list[float]:
        return [high - low for low, high, wet in self.open if not wet]

    def buried(self) -> list[tuple[float, float]]:
        """Stretches in the ground: what is left between those in the open."""
        marks = [0.0, *(mark for low, high, _ in self.open for mark in (low, high)), self.length]
        return [(low, high) for low, high in zip(marks[::2], marks[1::2], strict=True) if high - low > 1e-9]

    def outside(self) -> list[tuple[float, float]]:
        """Stretches beyond every liner: in the ground where no liner holds it, and beside the rims."""
        left = [(0.0, self.length)]
        for low, high in self.held:
            left = [
                (a, b)
                for first, last in left
                for a, b in ((first, min(last, low)), (max(first, high), last))
                if b - a > 1e-6
            ]
        return left

    def holds(self, end: int) -> bool:
        """True where its start (0) or its end (1) lies above a liner, inside the rim."""
        station = self.length * end
        return any(low - TOUCH <= station <= high + TOUCH for low, high in self.held)

    def below(self, level: float, stretches: Sequence[tuple[float, float]]) -> float:
        """Length of centre line below a level within some stretches [m]."""
        low_z, high_z = sorted((self.start[2], self.end[2]))
        if low_z >= level:
            return 0.0
        part = self.length if high_z <= level else self.length * (level - low_z) / (high_z - low_z)
        first, last = (0.0, part) if self.start[2] <= self.end[2] else (self.length - part, self.length)
        return sum(max(min(high, last) - max(low, first), 0.0) for low, high in stretches)

    def flooded_outside(self, water: float) -> float:
        """Length of centre line in the ground and below a level of water [m]."""
        return self.below(water, self.buried())


def run_alignment(
    source: NetworkRun,
    line: Segment,
    met: Sequence[LineIntersection | None],
    cut: tuple[float, float],
    mouths: tuple[bool, bool],
    pools: Sequence[PoolLevels],
) -> RunAlignment | None:
    """A run between its ends; None where nothing is left between them.

    Args:
        source, line: The run, and its line as drawn.
        met: What the line meets of each pool.
        cut: Stations of its ends on the line as drawn [m].
        mouths: Whether start and end are mouths: a mouth an inch off the face still passes the liner there.
        pools: The pools.
    """
    start, end = cut
    if end - start <= TOUCH:
        return None
    wet: list[tuple[int, float]] = []
    stretches: list[Stretch] = []
    passes: list[tuple[int, Spot]] = []
    held: list[tuple[float, float]] = []
    stands: list[int | None] = [None, None]
    for pool, crossing in enumerate(met):
        if crossing is None:
            continue
        in_open = [
            (max(low, start) - start, min(high, end) - start, under)
            for low, high, under in crossing.open
            if min(high, end) > max(low, start)
        ]
        stretches += in_open
        if water := math.fsum(high - low for low, high, under in in_open if under):
            wet.append((pool, water))
            for side, station in enumerate((0.0, end - start)):
                if any(under and low <= station <= high for low, high, under in in_open):
                    stands[side] = pool
        if pools[pool].lined:
            held += [
                (max(low, start) - start, min(high, end) - start)
                for low, high in crossing.held
                if min(high, end) > max(low, start)
            ]
            first, last = start - TOUCH * mouths[0], end + TOUCH * mouths[1]
            passes += [(pool, at(line, station)) for station in crossing.liner if first <= station <= last]
    return RunAlignment(
        source,
        at(line, start),
        at(line, end),
        end - start,
        _joined(stretches),
        tuple(wet),
        (stands[0], stands[1]),
        tuple(passes),
        tuple(held),
    )


def _joined(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of one run without overlap; in water where any of them is. Two rims may share a bank."""
    if all(after[0] >= before[1] for before, after in itertools.pairwise(stretches)):
        return tuple(stretches)
    marks = sorted({mark for low, high, _ in stretches for mark in (low, high)})
    out: list[Stretch] = []
    for low, high in itertools.pairwise(marks):
        over = [wet for first, last, wet in stretches if first < (low + high) / 2 < last]
        if over:
            out.append((low, high, any(over)))
    return tuple(out)
