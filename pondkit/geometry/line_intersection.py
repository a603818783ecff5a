"""Line–surface intersection: places where straight lines in space pass the finished surface and the liner of a pool,
and their exposed stretches in water and in air.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondkit.core.remembered import remembered
from pondkit.geometry.lines import Rays
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.site_surface import SiteSurface, Trace, trace

CELL = 0.05  # m between samples along a line: locates a place on a curved bank to about 0.1 mm
FEWEST, MOST = 24, 400  # samples on one line
ROOM = 0.01  # m of extension beyond the rim
FLUSH = 1e-6  # m: a place nearer than this to a corner of the profile is on its level part
STEEP = 1e-9  # horizontal per true length, below which a line is upright

Spot = tuple[float, float, float]
Segment = tuple[Spot, Spot]
Stretch = tuple[float, float, bool]


@dataclass(frozen=True, eq=False)
class LineIntersection:
    """Intersections of one line with the surfaces of one pool. Stations are true lengths along it from its start [m],
    ascending.

    Attributes:
        open: (from, to, in water) of each stretch above the finished surface and inside the rim.
        faces: (station, batter) of each place where it passes the finished surface; batter None on a shelf or floor.
        liner: Stations where it passes the liner's surface, inside the rim.
        held: (from, to) of each stretch above the liner's surface, inside the rim.
        within: (from, to) of each stretch that lies inside the rim in plan.
    """

    open: tuple[Stretch, ...]
    faces: tuple[tuple[float, float | None], ...]
    liner: tuple[float, ...]
    held: tuple[tuple[float, float], ...]
    within: tuple[tuple[float, float], ...]


@remembered
def line_intersections(
    lines: Sequence[Segment], finished: SiteSurface, liner: SiteSurface, beyond: float
) -> tuple[LineIntersection | None, ...]:
    """Intersections of each line with one pool; None if it stays outside the rim.

    Args:
        lines: Start and end of each on the site [m].
        finished, liner: Two surfaces of the same pool.
        beyond: Extension of each line past both ends [m]; stations there are negative, or past its length.
    """
    intersections: list[LineIntersection | None] = [None] * len(lines)
    outlines = tuple((part.shape, part.placed) for part in finished.surface.parts)
    samples = _samples(tuple(lines), outlines, finished.placed, max(finished.rim, liner.rim), beyond)
    if samples is None:
        return tuple(intersections)
    rays = samples.rays
    top = trace(rays, [finished])
    # Without gravel and edging the two surfaces are one.
    under = top if _same(finished, liner) else trace(rays, [liner])
    for number, (index, of_line) in enumerate(samples.near):
        on = _On.of(top, number, lines[index])
        if on.known.any():
            near_by = [(rays.station[of_line], field[of_line]) for field in rays.inward]
            intersections[index] = _intersection(
                on, _On.of(under, number, lines[index]), lines[index], finished, near_by
            )
    return tuple(intersections)


@dataclass(frozen=True, eq=False)
class _Samples:
    """Samples along the lines near a pool, which depend on its outlines alone.

    Attributes:
        near: (index of the line, its samples) of each of those lines.
        rays: The samples with their distances from the outlines. The offsets of the rays are not set: a trace does not
            need them.
    """

    near: tuple[tuple[int, slice], ...]
    rays: Rays


@remembered
def _samples(
    lines: tuple[Segment, ...],
    outlines: tuple[tuple[Shape, Placed], ...],
    placed: Placed,
    rim: float,
    beyond: float,
) -> _Samples | None:
    """Samples along the lines near a pool; None if there are none.

    Args:
        lines: Start and end of each on the site [m].
        outlines: Outlines of the pool and its pits, placed in the pool's axes.
        placed: Placement of the pool's axes on the site.
        rim: Greatest distance from the outline out to the rim [m].
        beyond: See ``line_intersections``.
    """
    starts, rises = _starts(lines, placed)
    west, south, east, north = outlines[0][0].polygon.bounds
    box = (west - rim - ROOM, south - rim - ROOM, east + rim + ROOM, north + rim + ROOM)
    near = _near(lines, starts, rises, box, beyond)
    if not near:
        return None
    stations = [np.linspace(low, high, min(max(math.ceil((high - low) / CELL), FEWEST), MOST)) for _, low, high in near]
    counts = [len(of_line) for of_line in stations]
    station, row = np.concatenate(stations), np.repeat(np.arange(len(near)), counts)
    line = np.array([index for index, _, _ in near])[row]
    local = starts[line] + station[:, None] * rises[line]
    # Exact to a few samples beyond each outline and the rim; further out nothing is exposed.
    far = [rim + 3 * CELL, *[3 * CELL] * (len(outlines) - 1)]
    inward = tuple(
        shape.inward(placement.to_own(local), away) for (shape, placement), away in zip(outlines, far, strict=True)
    )
    ends = np.cumsum([0, *counts])
    slices = tuple(
        (index, slice(int(first), int(past))) for (index, _, _), first, past in zip(near, ends, ends[1:], strict=False)
    )
    return _Samples(slices, Rays(0.0, np.zeros(len(near)), row, station, inward))


def _intersection(
    on: "_On", liner: "_On", line: Segment, finished: SiteSurface, inward: Sequence[tuple[Array, Array]]
) -> LineIntersection:
    """Intersections of one line with a pool. ``inward``: (stations, distances) for each outline of pool and pits."""
    faces = []
    for station in on.roots():
        distances = [float(np.interp(station, *field)) for field in inward]
        faces.append((station, _batter(finished, distances, at(line, station)[2])))
    opened = [
        piece for stretch in on.stretches(on.known & (on.gap > 0)) for piece in _by_water(stretch, line, finished.level)
    ]
    above_liner = liner.stretches(liner.known & (liner.gap > 0))
    return LineIntersection(
        tuple(opened), tuple(faces), tuple(liner.roots()), tuple(above_liner), tuple(on.stretches(on.known))
    )


def _same(a: SiteSurface, b: SiteSurface) -> bool:
    pairs = zip(a.surface.parts, b.surface.parts, strict=True)
    return a.rim == b.rim and all(first.profile == second.profile for first, second in pairs)


def _starts(lines: Sequence[Segment], placed: Placed) -> tuple[Array, Array]:
    """(start of each line in the pool's axes [m], its horizontal advance per true length), shape (k, 2) each."""
    ends = np.array(lines).reshape(-1, 2, 3)
    true_length = np.sqrt(((ends[:, 1] - ends[:, 0]) ** 2).sum(axis=1))
    local = placed.to_own(ends[:, :, :2].reshape(-1, 2)).reshape(-1, 2, 2)
    return local[:, 0], (local[:, 1] - local[:, 0]) / true_length[:, None]


def length(line: Segment) -> float:
    """True length of a line [m]."""
    return math.dist(*line)


def at(line: Segment, station: float) -> Spot:
    """Place on a line at a true distance from its start [m]."""
    (x0, y0, z0), (x1, y1, z1) = line
    share = station / length(line)
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0), z0 + share * (z1 - z0)


def _near(
    lines: Sequence[Segment], starts: Array, rises: Array, bounds: tuple[float, float, float, float], beyond: float
) -> list[tuple[int, float, float]]:
    """(index, from, to) of each line over the bounding box of the rim, from and to as stations on the line.

    Args:
        lines, beyond: See ``line_intersections``.
        starts, rises: See ``_starts``.
        bounds: West, south, east and north of that box in the pool's axes [m].
    """
    if not lines:
        return []
    rises = np.where(np.abs(rises) < STEEP, STEEP, rises)  # a vertical line is inside the box entirely, or not at all
    marks = np.array([bounds[:2], bounds[2:]])
    passed = np.sort((marks[None] - starts[:, None]) / rises[:, None], axis=1)
    lengths = np.array([length(line) for line in lines])
    low = np.maximum(passed[:, 0].max(axis=1), -beyond)
    high = np.minimum(passed[:, 1].min(axis=1), lengths + beyond)
    return [(int(index), float(low[index]), float(high[index])) for index in np.flatnonzero(high - low > STEEP)]


@dataclass(frozen=True, eq=False)
class _On:
    """Nodes on one line: stations, height of the line above the surface [m], and whether they are inside the rim."""

    station: Array
    gap: Array
    known: NDArray[np.bool_]

    @classmethod
    def of(cls, nodes: Trace, number: int, line: Segment) -> "_On":
        low, high = np.searchsorted(nodes.line, [number, number + 1])
        samples = slice(int(low), int(high))
        station = nodes.station[samples]
        rise = (line[1][2] - line[0][2]) / length(line)
        return cls(station, line[0][2] + rise * station - nodes.level[samples], nodes.inside[samples] >= 0)

    def _between(self, a: int, b: int) -> float:
        """Station at which the line passes the surface between two nodes."""
        s, gap = self.station, self.gap
        return float(s[a] + (s[b] - s[a]) * gap[a] / (gap[a] - gap[b]))

    def roots(self) -> list[float]:
        """Stations at which the line passes the surface."""
        above = self.gap > 0
        cells = np.flatnonzero(self.known[:-1] & self.known[1:] & (above[:-1] != above[1:]))
        return [self._between(int(cell), int(cell) + 1) for cell in cells]

    def stretches(self, condition: NDArray[np.bool_]) -> list[tuple[float, float]]:
        """Stretches where ``condition`` is true; an end is at the surface if the neighbouring node is inside
        the rim as well.
        """
        edges = np.flatnonzero(np.diff(np.concatenate([[False], condition, [False]]).astype(np.int8)))
        return [
            (self._end(first, first - 1, condition), self._end(past - 1, past, condition))
            for first, past in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
        ]

    def _end(self, inner: int, outer: int, condition: NDArray[np.bool_]) -> float:
        crosses = 0 <= outer < len(condition) and self.known[outer]
        return self._between(inner, outer) if crosses else float(self.station[inner])


def _by_water(stretch: tuple[float, float], line: Segment, level: float) -> tuple[Stretch, ...]:
    """An exposed stretch, divided where the line passes the water's level."""
    low, high = stretch
    z_low, z_high = at(line, low)[2], at(line, high)[2]
    if (z_low < level) == (z_high < level):
        return ((low, high, (z_low + z_high) / 2 < level),)
    middle = low + (high - low) * (level - z_low) / (z_high - z_low)
    return (low, middle, z_low < level), (middle, high, z_high < level)


def _batter(site_surface: SiteSurface, inward: Sequence[float], z: float) -> float | None:
    """Batter of the face at a level on the surface; ``inward``: distance for each part. None on a shelf or floor."""
    depths = [
        float(part.profile.depth(np.array([t]))[0]) for part, t in zip(site_surface.surface.parts, inward, strict=True)
    ]
    profile = site_surface.surface.parts[int(np.argmax(depths))].profile
    depth = site_surface.level - z
    return next((face.batter for upper, lower, face in profile.faces if upper + FLUSH < depth < lower - FLUSH), None)
