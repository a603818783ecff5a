"""Each run against ground and pools: where its mouth comes out, which lengths of it are submerged, exposed and buried,
and where it penetrates a liner.

A station is the true length along a run's line from its start [m]; a pool is named by its index.
"""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

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
STRETCH = 0.3048  # m (1 ft): greatest shift of a mouth in the ground out to the face
JOINED = 1e-6  # m: stretches nearer than this are merged
UPRIGHT = 1e-6  # m of level distance, below which a run is upright and has no slope


@dataclass(frozen=True)
class MouthPlace:
    """Place of a mouth: on a face, in a pool's water, or on land.

    Attributes:
        shift: Distance it is shifted along its run, positive towards the run's other end [m].
        pool: Index of the pool that it opens to; None on land.
        face: True if it lies on a finished face, shelf or floor.
        batter: Batter of that face; None on a shelf or floor.
        note: Caution of its place; None if it lies where it is drawn.
    """

    shift: float
    pool: int | None
    face: bool
    batter: float | None
    note: Words | None = None


class _Face(NamedTuple):
    """A place where a run passes a finished surface; ``distance`` from its mouth into the run [m]."""

    distance: float
    batter: float | None
    pool: int


class _Exposed(NamedTuple):
    """A stretch of a run above a finished surface, inside the rim, by distances from its mouth into the run [m]."""

    near: float
    far: float
    pool: int


def mouth_place(
    line: Segment, crossings: Sequence[LineIntersection | None], ground: Terrain, backward: bool
) -> MouthPlace | None:
    """Place of the mouth at one end of a run; None if it stays in the ground.

    - Within an inch of a face it stays as drawn.
    - In a pool's water, or over a finished surface, it is drawn back along its run to the face.
    - In the ground it is carried on, by a foot at most, to the face.
    - At ground level, outside every rim, it stays as drawn.

    Args:
        line: The run, node to node as drawn [m].
        crossings: Its intersections with each pool.
        ground: Existing ground, in site axes.
        backward: True for the mouth at the run's end, False for that at its start.
    """
    run_length = length(line)
    faces, exposed = _seen_from_mouth(crossings, run_length, backward)
    nearest = min(faces, key=lambda face: abs(face.distance), default=None)
    if nearest and abs(nearest.distance) <= TOUCH:
        return MouthPlace(0.0, nearest.pool, True, nearest.batter)
    inside = next((stretch for stretch in exposed if stretch.near < 0 < stretch.far), None)
    if inside:
        end = inside.far
        for stretch in exposed:
            if stretch.near <= end + JOINED:
                end = max(end, stretch.far)
        face = next((face for face in faces if abs(face.distance - end) <= JOINED), None)
        if face is None or face.distance >= run_length:
            return MouthPlace(0.0, inside.pool, False, None, warn.MOUTH_FREE_IN_POOL())
        note = warn.MOUTH_MOVED_BACK(moved=(face.distance, LENGTH))
        return MouthPlace(face.distance, face.pool, True, face.batter, note)
    outward = [face for face in faces if -STRETCH <= face.distance < 0]
    if outward:
        face = max(outward, key=lambda each: each.distance)
        note = warn.MOUTH_CARRIED_ON(moved=(-face.distance, LENGTH))
        return MouthPlace(face.distance, face.pool, True, face.batter, note)
    place = line[1] if backward else line[0]
    station = run_length if backward else 0.0
    inside_rim = any(low <= station <= high for crossing in crossings if crossing for low, high in crossing.within)
    if not inside_rim and place[2] >= ground.level_at(place) - TOUCH:
        return MouthPlace(0.0, None, False, None)
    return None


def _seen_from_mouth(
    crossings: Sequence[LineIntersection | None], run_length: float, backward: bool
) -> tuple[list[_Face], list[_Exposed]]:
    """Faces and exposed stretches of a run, by their distance from the mouth; negative beyond it."""
    faces, exposed = [], []
    for pool, crossing in enumerate(crossings):
        for station, batter in crossing.faces if crossing else ():
            faces.append(_Face(run_length - station if backward else station, batter, pool))
        for low, high, _ in crossing.open if crossing else ():
            near, far = (run_length - high, run_length - low) if backward else (low, high)
            exposed.append(_Exposed(near, far, pool))
    return sorted(faces, key=lambda face: face.distance), sorted(exposed)


def mouth_in_ground(index: int, name: str, run: str) -> Problem:
    """Problem of a mouth that stays in the ground; ``index``: of its node."""
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
    """A pool as far as the passages depend on it: name, level at rest, rim level [m], and whether it has a liner."""

    name: str
    level: float
    rim_level: float
    lined: bool


@dataclass(frozen=True)
class RunAlignment:
    """A run from end to end, with its mouths on the face, and what surrounds it.

    Attributes:
        source: The run between its nodes.
        start, end: Its ends on the site [m].
        length: True length [m].
        open: (from, to, in water) of each stretch above a finished surface and inside a rim, by station [m].
        wet: (pool, length in its water at rest [m]) of each pool that it passes through under water.
        end_pools: The pools in whose water its start and its end lie; None for an end that is not in water.
        penetrations: (pool, place [m]) where it passes a liner below the rim.
        held: (from, to) of each stretch above a liner and inside its rim, by station [m].
    """

    source: NetworkRun
    start: Spot
    end: Spot
    length: float
    open: tuple[Stretch, ...]
    wet: tuple[tuple[int, float], ...]
    end_pools: tuple[int | None, int | None]
    penetrations: tuple[tuple[int, Spot], ...]
    held: tuple[tuple[float, float], ...]

    @property
    def name(self) -> str:
        """Subject of its figures: "from – to"."""
        return self.source.name

    @property
    def pipe(self) -> PassagePipe:
        """Its pipe."""
        return self.source.pipe

    @property
    def nodes(self) -> tuple[int, int]:
        """Indexes of the nodes at its start and end."""
        return self.source.nodes

    @property
    def index(self) -> int:
        """Its index in the document."""
        return self.source.index

    @property
    def line(self) -> Segment:
        """Its start and its end [m]."""
        return self.start, self.end

    def lengths_in_water(self) -> list[float]:
        """Length of each stretch in a pool's water at rest [m]."""
        return [high - low for low, high, in_water in self.open if in_water]

    def lengths_exposed(self) -> list[float]:
        """Length of each stretch in a pool but above its water at rest [m]."""
        return [high - low for low, high, in_water in self.open if not in_water]

    def buried(self) -> list[tuple[float, float]]:
        """(from, to) of each stretch in the ground, by station [m]: those between the open ones."""
        marks = [0.0, *(mark for low, high, _ in self.open for mark in (low, high)), self.length]
        return [(low, high) for low, high in zip(marks[::2], marks[1::2], strict=True) if high - low > 1e-9]

    def covers(self, ground: Terrain) -> list[tuple[float, Spot]]:
        """(existing ground over the crown, place) [m] at both ends of each buried stretch, and along it over uneven
        ground.
        """
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

    def outside_liners(self) -> list[tuple[float, float]]:
        """(from, to) of each stretch with no liner below it, or beyond the rims, by station [m]."""
        left = [(0.0, self.length)]
        for low, high in self.held:
            left = [
                (a, b)
                for first, last in left
                for a, b in ((first, min(last, low)), (max(first, high), last))
                if b - a > 1e-6
            ]
        return left

    def end_above_liner(self, side: int) -> bool:
        """True if its start (0) or end (1) lies above a liner and inside its rim."""
        station = self.length * side
        return any(low - TOUCH <= station <= high + TOUCH for low, high in self.held)

    def length_below(self, level: float, stretches: Sequence[tuple[float, float]]) -> float:
        """Length of the centre line below a level, within given (from, to) stretches [m]."""
        low_z, high_z = sorted((self.start[2], self.end[2]))
        if low_z >= level:
            return 0.0
        below = self.length if high_z <= level else self.length * (level - low_z) / (high_z - low_z)
        first, last = (0.0, below) if self.start[2] <= self.end[2] else (self.length - below, self.length)
        return sum(max(min(high, last) - max(low, first), 0.0) for low, high in stretches)

    def buried_below(self, level: float) -> float:
        """Length of the buried centre line below a level [m]."""
        return self.length_below(level, self.buried())


def run_alignment(
    source: NetworkRun,
    line: Segment,
    crossings: Sequence[LineIntersection | None],
    stations: tuple[float, float],
    mouths: tuple[bool, bool],
    pools: Sequence[PoolLevels],
) -> RunAlignment | None:
    """A run between two stations of its line, with what surrounds it; None if nothing is left between them.

    Args:
        source: The run.
        line: Its line, node to node [m].
        crossings: Intersections of that line with each pool.
        stations: Where the run starts and ends on that line [m].
        mouths: Whether its start and its end are mouths: a mouth an inch off the face still passes the liner there.
        pools: The pools.
    """
    start, end = stations
    if end - start <= TOUCH:
        return None
    wet: list[tuple[int, float]] = []
    open_stretches: list[Stretch] = []
    penetrations: list[tuple[int, Spot]] = []
    above_liner: list[tuple[float, float]] = []
    end_pools: list[int | None] = [None, None]
    for pool, crossing in enumerate(crossings):
        if crossing is None:
            continue
        open_here = [
            (max(low, start) - start, min(high, end) - start, in_water)
            for low, high, in_water in crossing.open
            if min(high, end) > max(low, start)
        ]
        open_stretches += open_here
        if wet_length := math.fsum(high - low for low, high, in_water in open_here if in_water):
            wet.append((pool, wet_length))
            for side, station in enumerate((0.0, end - start)):
                if any(in_water and low <= station <= high for low, high, in_water in open_here):
                    end_pools[side] = pool
        if pools[pool].lined:
            above_liner += [
                (max(low, start) - start, min(high, end) - start)
                for low, high in crossing.held
                if min(high, end) > max(low, start)
            ]
            first, last = start - TOUCH * mouths[0], end + TOUCH * mouths[1]
            penetrations += [(pool, at(line, station)) for station in crossing.liner if first <= station <= last]
    return RunAlignment(
        source=source,
        start=at(line, start),
        end=at(line, end),
        length=end - start,
        open=_merged(open_stretches),
        wet=tuple(wet),
        end_pools=(end_pools[0], end_pools[1]),
        penetrations=tuple(penetrations),
        held=tuple(above_liner),
    )


def _merged(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """Stretches of one run, merged where they overlap, as two rims may share a bank; in water if any of them is."""
    if all(after[0] >= before[1] for before, after in itertools.pairwise(stretches)):
        return tuple(stretches)
    marks = sorted({mark for low, high, _ in stretches for mark in (low, high)})
    merged: list[Stretch] = []
    for low, high in itertools.pairwise(marks):
        covering = [in_water for first, last, in_water in stretches if first < (low + high) / 2 < last]
        if covering:
            merged.append((low, high, any(covering)))
    return tuple(merged)


def needless_penetrations(
    runs: Sequence[RunAlignment],
    mouths: Mapping[int, MouthPlace],
    connected: Callable[[int], set[int]],
    pools: Sequence[PoolLevels],
) -> set[tuple[int, int]]:
    """(run, pool) of the penetrations that no mouth needs.

    Passages that open into a pool by n mouths need to pass its liner under water n times. Where connected runs pass it
    more often, those without a mouth in that pool are needless; all of them, if each has one.

    Args:
        runs: All runs that could be aligned.
        mouths: Mouths by their node.
        connected: Gives the nodes connected to a node, itself among them.
        pools: The pools.
    """
    needless: set[tuple[int, int]] = set()
    for index, pool in enumerate(pools):
        mouths_here = {node for node, mouth in mouths.items() if mouth.pool == index}
        passing_by_part: dict[frozenset[int], list[int]] = {}
        for number, run in enumerate(runs):
            count = sum(pool_index == index and place[2] < pool.level for pool_index, place in run.penetrations)
            if count:
                passing_by_part.setdefault(frozenset(connected(run.nodes[0])), []).extend([number] * count)
        for nodes, passing in passing_by_part.items():
            if len(passing) > len(mouths_here & nodes):
                without_mouth = [number for number in passing if mouths_here.isdisjoint(runs[number].nodes)]
                needless |= {(number, index) for number in without_mouth or passing}
    return needless
