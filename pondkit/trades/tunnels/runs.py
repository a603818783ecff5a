"""How each run lies: in water, free in a basin, in the ground; where it passes a liner, what water stands in it, and
where its mouth comes out."""

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import LineIntersection, Segment, Spot, Stretch, at, length
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.joints import PassagePipe
from pondkit.trades.tunnels.network import NetworkRun

TOUCH = 0.0254  # m (1 in): a mouth so near to the face stays where it is drawn
STRETCH = 0.3048  # m (1 ft): how far a mouth that is drawn in the ground is carried on to the face
JOINED = 1e-6  # m: stretches nearer than this are one


@dataclass(frozen=True)
class MouthPlace:
    """Where a mouth comes out: on a face, in a pool's water or on land.

    Attributes:
        moved: How far along its run, positive towards the run's other end [m].
        pool: Index of the pool that it opens to; None on land.
        face: True where it lies on a finished face or level part.
        batter: Batter of that face; None on a level part.
        note: What to say of its place; None where it stays as drawn.
    """

    moved: float
    pool: int | None
    face: bool
    batter: float | None
    note: Words | None = None


def mouth_place(
    line: Segment, met: Sequence[LineIntersection | None], ground: Terrain, backward: bool
) -> MouthPlace | None:
    """Where the mouth at the start of a run comes out; at its end if ``backward``. None where it stays in the ground.

    Args:
        line: The run, node to node as drawn.
        met: What it meets of each pool.
        ground: The ground as it is, in site axes.
        backward: True for the mouth at the run's end.
    """
    whole = length(line)
    faces, opened = _seen(met, whole, backward)
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
        if face is None or face[0] >= whole:
            return MouthPlace(0.0, inside[2], False, None, warn.MOUTH_FREE_IN_POOL())
        return MouthPlace(
            face[0],
            face[2],
            True,
            face[1],
            warn.MOUTH_MOVED_BACK(moved=(face[0], LENGTH)),
        )
    out = max((face for face in faces if -STRETCH <= face[0] < 0), default=None, key=lambda face: face[0])
    if out:
        return MouthPlace(
            out[0],
            out[2],
            True,
            out[1],
            warn.MOUTH_CARRIED_ON(moved=(-out[0], LENGTH)),
        )
    place = line[1] if backward else line[0]
    under_rim = any(
        low <= (whole if backward else 0.0) <= high for crossing in met if crossing for low, high in crossing.within
    )
    if not under_rim and place[2] >= ground.level_at(place) - TOUCH:
        return MouthPlace(0.0, None, False, None)
    return None


def _seen(
    met: Sequence[LineIntersection | None], whole: float, backward: bool
) -> tuple[list[tuple[float, float | None, int]], list[tuple[float, float, int]]]:
    """(station, batter, pool) of faces and (from, to, pool) of open stretches, by distance from the mouth into its
    run."""
    faces, opened = [], []
    for pool, crossing in enumerate(met):
        for station, batter in crossing.faces if crossing else ():
            faces.append((whole - station if backward else station, batter, pool))
        for low, high, _ in crossing.open if crossing else ():
            opened.append((whole - high, whole - low, pool) if backward else (low, high, pool))
    return sorted(faces, key=lambda face: face[0]), sorted(opened)


def buried(index: int, name: str, run: str) -> Problem:
    """The problem of a mouth in the ground."""
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
    """A pool as the pipes see it: name, level, rim level [m], and whether it lies on a liner."""

    name: str
    level: float
    rim_level: float
    lined: bool


@dataclass(frozen=True)
class RunAlignment:
    """A run as it lies, from one end to the other; the end that is a mouth lies on the finished face.

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
    """Find what a run lies in from one end to the other. Returns None where nothing is left between its ends.

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


def needless_passes(
    runs: Sequence[RunAlignment],
    mouths: Mapping[int, MouthPlace],
    joined: Callable[[int], set[int]],
    pools: Sequence[PoolLevels],
) -> set[tuple[int, int]]:
    """(run, pool) by their numbers where passages go through a pool's liner under water more often than they open
    into it: of their runs those without a mouth there, else all.

    Args:
        runs: All that could be aligned.
        mouths: The mouth at a node.
        joined: Nodes that some way joins to a node, itself among them.
        pools: As the pipes see them.
    """
    needless: set[tuple[int, int]] = set()
    for index, pool in enumerate(pools):
        opening = {end for end, mouth in mouths.items() if mouth.pool == index}
        met: dict[frozenset[int], list[int]] = {}
        for number, run in enumerate(runs):
            under = sum(at == index and place[2] < pool.level for at, place in run.passes)
            if under:
                met.setdefault(frozenset(joined(run.ends[0])), []).extend([number] * under)
        for nodes, passing in met.items():
            if len(passing) > len(opening & nodes):
                without = [number for number in passing if not opening & set(runs[number].ends)]
                needless |= {(number, index) for number in without or passing}
    return needless
