"""Alignment of each run: submerged, exposed and buried lengths, liner penetrations, the water it holds, and the place
of its mouth.
"""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import LineIntersection, Segment, Spot, Stretch, at, length
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.joints import PassagePipe
from pondkit.trades.tunnels.network import NetworkRun

TOUCH = 0.0254  # m (1 in): a mouth this near to the face is not shifted
STRETCH = 0.3048  # m (1 ft): greatest shift of a mouth in the ground to the face
JOINED = 1e-6  # m: stretches nearer than this are merged


@dataclass(frozen=True)
class MouthPlace:
    """Place of a mouth: on a face, in a pool's water, or on land.

    Attributes:
        moved: Shift along its run, positive towards the run's other end [m].
        pool: Index of the pool that it opens to; None on land.
        face: True if it lies on a finished face, shelf or floor.
        batter: Batter of that face; None on a shelf or floor.
        note: Remark on its place; None if it is not shifted.
    """

    moved: float
    pool: int | None
    face: bool
    batter: float | None
    note: Words | None = None


def mouth_place(
    line: Segment, met: Sequence[LineIntersection | None], ground: Terrain, backward: bool
) -> MouthPlace | None:
    """Place of the mouth at the start of a run (at its end if ``backward``). None if the mouth stays in the ground.

    Args:
        line: The run, node to node as designed.
        met: Its intersections with each pool.
        ground: Existing ground, in site axes.
        backward: True for the mouth at the run's end.
    """
    run_length = length(line)
    faces, opened = _seen(met, run_length, backward)
    near = min(faces, key=lambda face: abs(face[0]), default=None)
    if near and abs(near[0]) <= TOUCH:
        return MouthPlace(0.0, near[2], True, near[1])
    inside = next((stretch for stretch in opened if stretch[0] < 0 < stretch[1]), None)
    if inside:
        end = inside[1]
        for low, high, _ in opened:
            if low <= end + JOINED:
                end = max(end, high)
        face = next((face for face in faces if abs(face[0] - end) <= JOINED), None)
        if face is None or face[0] >= run_length:
            return MouthPlace(0.0, inside[2], False, None, warn.MOUTH_FREE_IN_POOL())
        return MouthPlace(
            face[0],
            face[2],
            True,
            face[1],
            warn.MOUTH_MOVED_BACK(moved=(face[0], LENGTH)),
        )
    outer_face = max((face for face in faces if -STRETCH <= face[0] < 0), default=None, key=lambda face: face[0])
    if outer_face:
        return MouthPlace(
            outer_face[0],
            outer_face[2],
            True,
            outer_face[1],
            warn.MOUTH_CARRIED_ON(moved=(-outer_face[0], LENGTH)),
        )
    place = line[1] if backward else line[0]
    under_rim = any(
        low <= (run_length if backward else 0.0) <= high
        for crossing in met
        if crossing
        for low, high in crossing.within
    )
    if not under_rim and place[2] >= ground.level_at(place) - TOUCH:
        return MouthPlace(0.0, None, False, None)
    return None


def _seen(
    met: Sequence[LineIntersection | None], run_length: float, backward: bool
) -> tuple[list[tuple[float, float | None, int]], list[tuple[float, float, int]]]:
    """(station, batter, pool) of faces and (from, to, pool) of exposed stretches, by distance from the mouth into its
    run.
    """
    faces, opened = [], []
    for pool, crossing in enumerate(met):
        for station, batter in crossing.faces if crossing else ():
            faces.append((run_length - station if backward else station, batter, pool))
        for low, high, _ in crossing.open if crossing else ():
            opened.append((run_length - high, run_length - low, pool) if backward else (low, high, pool))
    return sorted(faces, key=lambda face: face[0]), sorted(opened)


def buried(index: int, name: str, run: str) -> Problem:
    """Problem of a mouth that ends in the ground."""
    return Problem(
        ("tunnels", "nodes", index, "at"),
        words(
            f"mouth '{name}' lies in the ground: neither on a pool's finished face nor in its water, and run '{run}' "
            f"does not come out within {{reach}} beyond it",
            reach=(STRETCH, LENGTH),
        ),
        words("a place in a pool, above its finished surface, or on land at the ground's level"),
        words("move the mouth into the water, change its level, or aim its run at the pool"),
    )


@dataclass(frozen=True)
class PoolLevels:
    """Data of a pool for the pipes: name, level, rim level [m], and whether it has a liner."""

    name: str
    level: float
    rim_level: float
    lined: bool


@dataclass(frozen=True)
class RunAlignment:
    """Alignment of a run from end to end; an end that is a mouth lies on the finished face.

    Attributes:
        source: The run between its nodes.
        start, end: Its ends on the site [m].
        length: True length [m].
        open: (from, to, in water) above a finished surface inside a rim, by distance from the start [m].
        wet: (pool's index, length in its water [m]) of each pool.
        stands: Indexes of the pools in whose water its start and its end lie; None if not in water.
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
        """Its index in the document."""
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
        """Buried stretches: those between the exposed ones."""
        marks = [0.0, *(mark for low, high, _ in self.open for mark in (low, high)), self.length]
        return [(low, high) for low, high in zip(marks[::2], marks[1::2], strict=True) if high - low > 1e-9]

    def covers(self, ground: Terrain) -> list[tuple[float, Spot]]:
        """(ground over the crown [m], place) at the ends of each buried stretch, and along it over uneven ground."""
        covers = []
        for low, high in self.buried():
            ends = np.array([at(self.line, low), at(self.line, high)])
            plan = ground.along(ends[:, :2])
            places = ends[0] + np.linspace(0.0, 1.0, len(plan))[:, None] * (ends[1] - ends[0])
            cover = ground.at(places[:, :2]) - places[:, 2] - self.pipe.outside / 2
            covers += [
                (float(over), (float(x), float(y), float(z))) for over, (x, y, z) in zip(cover, places, strict=True)
            ]
        return covers

    def outside(self) -> list[tuple[float, float]]:
        """Stretches outside every liner: buried where no liner is below, or beyond the rims."""
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
        """True if its start (0) or end (1) lies above a liner, inside the rim."""
        station = self.length * end
        return any(low - TOUCH <= station <= high + TOUCH for low, high in self.held)

    def below(self, level: float, stretches: Sequence[tuple[float, float]]) -> float:
        """Length of centre line below a level, within some stretches [m]."""
        low_z, high_z = sorted((self.start[2], self.end[2]))
        if low_z >= level:
            return 0.0
        part = self.length if high_z <= level else self.length * (level - low_z) / (high_z - low_z)
        first, last = (0.0, part) if self.start[2] <= self.end[2] else (self.length - part, self.length)
        return sum(max(min(high, last) - max(low, first), 0.0) for low, high in stretches)

    def flooded_outside(self, water: float) -> float:
        """Length of buried centre line below a water level [m]."""
        return self.below(water, self.buried())


def run_alignment(
    source: NetworkRun,
    line: Segment,
    met: Sequence[LineIntersection | None],
    cut: tuple[float, float],
    mouths: tuple[bool, bool],
    pools: Sequence[PoolLevels],
) -> RunAlignment | None:
    """Alignment of a run: what it lies in from end to end. None if no length remains between its ends.

    Args:
        source, line: The run, and its line as designed.
        met: Intersections of the line with each pool.
        cut: Stations of its ends on that line [m].
        mouths: Whether start and end are mouths: a mouth an inch off the face still passes the liner there.
        pools: The pools.
    """
    start, end = cut
    if end - start <= TOUCH:
        return None
    wet: list[tuple[int, float]] = []
    stretches: list[Stretch] = []
    passes: list[tuple[int, Spot]] = []
    inside: list[tuple[float, float]] = []
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
            inside += [
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
        tuple(inside),
    )


def _joined(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of one run merged where they overlap; in water if any of them is. Two rims may share a bank."""
    if all(after[0] >= before[1] for before, after in itertools.pairwise(stretches)):
        return tuple(stretches)
    marks = sorted({mark for low, high, _ in stretches for mark in (low, high)})
    merged: list[Stretch] = []
    for low, high in itertools.pairwise(marks):
        over = [wet for first, last, wet in stretches if first < (low + high) / 2 < last]
        if over:
            merged.append((low, high, any(over)))
    return tuple(merged)


def needless_passes(
    runs: Sequence[RunAlignment],
    mouths: Mapping[int, MouthPlace],
    connected: Callable[[int], set[int]],
    pools: Sequence[PoolLevels],
) -> set[tuple[int, int]]:
    """(run, pool) numbers where the passages penetrate a pool's liner under water more often than they open into the
    pool: the runs without a mouth there, or else all.

    Args:
        runs: All that could be aligned.
        mouths: Mouths by their node.
        connected: Function that gives the nodes connected to a node, including itself.
        pools: Their levels.
    """
    needless: set[tuple[int, int]] = set()
    for index, pool in enumerate(pools):
        opening = {end for end, mouth in mouths.items() if mouth.pool == index}
        met: dict[frozenset[int], list[int]] = {}
        for number, run in enumerate(runs):
            under = sum(pool_index == index and place[2] < pool.level for pool_index, place in run.passes)
            if under:
                met.setdefault(frozenset(connected(run.ends[0])), []).extend([number] * under)
        for nodes, passing in met.items():
            if len(passing) > len(opening & nodes):
                without = [number for number in passing if not opening & set(runs[number].ends)]
                needless |= {(number, index) for number in without or passing}
    return needless
