"""Lines on the site: edges of digs at the ground, offsets of outlines, a line round several outlines, places for
stakes along them, and the highest ground beside them.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import Rim, outside
from pondkit.geometry.lines import Ints
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.profile import Profile
from pondkit.geometry.terrain import Terrain

ROUND = 480  # places round an outline at which the meeting with the ground is solved, at least
FAN = 3.0  # degrees: greatest angle between normals round a convex corner
PIECE = 24  # normals per strip, few enough that it cannot overlap itself
BEYOND = 0.3  # m beyond the dig's reach: start of the search inward for the edge
TRIES = 24  # places along each normal; the outermost pair with a change of sign is taken
CLOSE = 1e-7  # m: accuracy of the edge
DEEP = 0.5  # of the inradius: limit of the search inward of the outline
HAIR = 5e-4  # m: tolerance for simplifying the line
THREAD = 1e-3  # of the largest part: parts cut off by a minute self-crossing are smaller
SHARP = 15.0  # degrees: a point where the line turns by more is a corner


@dataclass(frozen=True, eq=False)
class Traced:
    """A closed line on the site, shape (n, 2) [m], and the indexes of its owners."""

    points: Array
    owners: tuple[int, ...] = ()


def moved_rings(shape: Shape, placed: Placed, inward: float) -> tuple[Traced, ...]:
    """An outline offset inward, on the site, as one ring for each part; empty if no area is left."""
    if inward >= shape.inradius:
        return ()
    polygon = shape.polygon if inward == 0 else shape.moved([inward])[0]
    return tuple(Traced(placed.to_site(_ring(part).points)) for part in _polygons(polygon))


@remembered
def dig_edge(
    shape: Shape, placed: Placed, upper: Profile, level: float, reach: float, ground: Terrain
) -> tuple[Traced, ...]:
    """Line where a dig's face meets the ground, on the site; empty unless it does all round.

    Along normals of the outline, outward and inward, the outermost place where the ground is above the dig's profile.
    The distance of a place from the outline never exceeds that along a normal, so the union of all normals (which
    overlap in concave corners) is the area dug outside the outline, and that left inside.

    Args:
        shape: The outline, in its own axes.
        placed: Placement of those on the site.
        upper: Dig profile; only its lines near the ground matter.
        level: Site level of the waterline [m].
        reach: Distance outward within which the dig meets the ground [m].
        ground: Existing ground in site axes.
    """
    from scipy.optimize.elementwise import find_root

    normals = _ways_out(shape.polygon)

    def over(distance: Array, x: Array, y: Array, east: Array, north: Array) -> Array:
        """Excess of a place's distance over the reach of the dig at the ground's level, negative outside, shape as
        given [m].
        """
        places = np.stack(np.broadcast_arrays(x + distance * east, y + distance * north), axis=-1)
        high = ground.at(placed.to_site(places.reshape(-1, 2))).reshape(distance.shape)
        return np.asarray(-distance - upper.inward(level - high))

    lines = (*normals.foot.T, *normals.away.T)
    count = len(normals.foot)
    tries = np.repeat(np.linspace(reach + BEYOND, -DEEP * shape.inradius, TRIES)[:, None], count, axis=1)
    inside = over(tries, *lines) >= 0
    if not inside.any(axis=0).all() or inside[0].any():
        return ()
    first, column = np.argmax(inside, axis=0), np.arange(count)
    ends = tries[first - 1, column], tries[first, column]
    met = find_root(over, ends, args=lines, tolerances={"xatol": CLOSE}).x
    dug = shapely.union_all([shape.polygon, *normals.strips(np.maximum(met, 0.0))])
    return _open(
        shapely.transform(dug.difference(shapely.union_all(normals.strips(np.minimum(met, 0.0)))), placed.to_site)
    )


@dataclass(frozen=True, eq=False)
class _Ways:
    """Normals of an outline, in order round it; they fan out at its corners.

    Attributes:
        foot: Start of each, shape (n, 2) [m].
        away: Unit vectors outward, shape (n, 2).
        marks: Indexes at which a fan begins or ends, where the strip between normals may cross itself.
    """

    foot: Array
    away: Array
    marks: tuple[int, ...]

    def strips(self, far: Array) -> list[BaseGeometry]:
        """Areas between neighbouring normals out to a distance on each, shape (n,) [m], one polygon for several
        neighbours.
        """
        count = len(far)
        foot, tips = np.concatenate([self.foot, self.foot[:1]]), self.foot + far[:, None] * self.away
        tips = np.concatenate([tips, tips[:1]])
        reaches = np.append(far, far[0]) != 0

        def between(start: int, end: int) -> Polygon:
            return Polygon(np.concatenate([foot[start : end + 1], tips[start : end + 1][::-1]]))

        pieces: list[BaseGeometry] = []
        for start, end in pairwise(sorted({*range(0, count, PIECE), *self.marks, count})):
            if reaches[start : end + 1].any():
                piece = between(start, end)
                # A strip that crosses itself would lose its overlap.
                pieces += (
                    [piece] if piece.is_valid else [shapely.make_valid(between(i, i + 1)) for i in range(start, end)]
                )
        return pieces


def _ways_out(outline: Polygon) -> _Ways:
    ring = np.asarray(orient(outline).exterior.coords, dtype=float)
    sides = np.diff(ring, axis=0)
    long = np.hypot(*sides.T)
    parts = np.maximum(np.ceil(long / (long.sum() / ROUND)), 1).astype(int)
    turn = np.arctan2(sides[:, 1], sides[:, 0])  # of each side; straight out is a quarter turn to its right
    bend = np.degrees(np.angle(np.exp(1j * (turn - np.roll(turn, 1)))))
    feet: list[Array] = []
    turns: list[Array] = []
    marks: list[int] = []
    index = 0
    for corner, side, count, turn_angle, by in zip(ring, sides, parts, turn, bend, strict=False):
        back = turn_angle - np.radians(by)
        fan = (
            np.linspace(back, turn_angle, math.ceil(abs(by) / FAN) + 1)
            if abs(by) > FAN
            else np.array([(back + turn_angle) / 2])
        )
        if len(fan) > 1:
            marks += [index, index + len(fan) - 1]
        feet.append(
            np.concatenate(
                [np.repeat(corner[None], len(fan), axis=0), corner + side * (np.arange(1, count) / count)[:, None]]
            )
        )
        index += len(fan) + count - 1
        turns.append(np.concatenate([fan, np.full(count - 1, turn_angle)]))
    every = np.concatenate(turns)
    return _Ways(np.concatenate(feet), np.stack([np.sin(every), -np.cos(every)], axis=1), tuple(marks))


def _open(area: BaseGeometry) -> tuple[Traced, ...]:
    """Rings of a line that may cross itself minutely where normals pass a corner of the outline."""
    parts = _polygons(shapely.make_valid(area))
    least = THREAD * max(part.area for part in parts)
    return tuple(_ring(part.simplify(HAIR)) for part in parts if part.area > least)


def _ring(part: Polygon, owners: tuple[int, ...] = ()) -> Traced:
    return Traced(np.asarray(orient(part).exterior.coords, dtype=float), owners)


def _polygons(geometry: BaseGeometry) -> list[Polygon]:
    # A repaired line may be a collection with a multipolygon as one member.
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]


@remembered
def joined_edges(edges: tuple[tuple[Traced, ...], ...]) -> tuple[Traced, ...]:
    """Edges of several digs as edges of the open excavation: digs that overlap share one edge.

    ``owners`` of an edge are the digs within it, by index.
    """
    areas = [(owner, Polygon(edge.points)) for owner, pool_edges in enumerate(edges) for edge in pool_edges]
    edges_found = []
    for part in _polygons(shapely.union_all([area for _, area in areas])):
        owners = sorted({owner for owner, area in areas if part.intersection(area).area > area.area / 2})
        edges_found.append(_ring(part, tuple(owners)))
    return tuple(edges_found)


def places_along(line: Traced, spacing: float, within: float) -> Array:
    """Places on a closed line: at its corners, where it bends, and no further apart than the spacing, shape (n, 2) [m].

    Args:
        line: The closed line.
        spacing: Greatest distance along it from place to place [m].
        within: A straight string from place to place leaves the line by no more than this [m].
    """
    ring = LineString(line.points)
    simplified = np.asarray(ring.simplify(within).coords[:-1], dtype=float)
    corners = line.points[:-1][_corners(line.points)]
    every = np.concatenate([simplified, corners]) if len(corners) else simplified
    corner_stations = np.unique(np.round(shapely.line_locate_point(ring, shapely.points(every)), 6))
    gaps = np.diff(np.append(corner_stations, corner_stations[0] + ring.length))
    stations = np.concatenate(
        [
            start + gap * np.arange(count) / count
            for start, gap, count in zip(corner_stations, gaps, np.ceil(gaps / spacing - 1e-9).astype(int), strict=True)
        ]
    )
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(ring, stations % ring.length)))


def _corners(points: Array) -> Ints:
    """Indexes of the sharp corners of a closed line."""
    sides = np.diff(points, axis=0)
    turn = np.arctan2(sides[:, 1], sides[:, 0])
    angles = np.degrees(np.abs(np.angle(np.exp(1j * (turn - np.roll(turn, 1))))))
    return np.asarray(np.flatnonzero(angles > SHARP))


def stands_inside(edges: Sequence[Traced], place: Sequence[float]) -> bool:
    """True if a place is within one of the closed lines."""
    spot = shapely.Point(float(place[0]), float(place[1]))
    return any(Polygon(edge.points).contains(spot) for edge in edges)


@remembered
def ring_round(rims: tuple[Rim, ...]) -> Traced:
    """Outer line round outlines that are offset outward: one closed line for all of them.

    Offset outlines that overlap are merged. Separate neighbours are joined by their common tangents on both sides,
    nearest first, until all are connected.

    Args:
        rims: Outline, its placement, and its offset outward [m]; at least one.
    """
    offset_outlines = [shapely.transform(shape.moved([-away])[0], placed.to_site) for shape, placed, away in rims]
    parts = _parts(shapely.union_all(offset_outlines))
    apart = sorted(
        ((float(parts[i].distance(parts[j])), i, j) for i in range(len(parts)) for j in range(i)),
        key=lambda pair: pair[0],
    )
    group = list(range(len(parts)))  # of each, so that none is joined to one it is connected with already
    connections: list[Polygon] = []
    for _, i, j in apart:
        if group[i] != group[j]:
            connections.append(_joined(parts[i], parts[j]))
            group = [group[i] if number == group[j] else number for number in group]
    (outline_round,) = _parts(shapely.union_all([*parts, *connections]))
    return Traced(np.asarray(orient(outline_round).exterior.coords, dtype=float))


def length_of(ring: Traced) -> float:
    """Length of a closed line [m]."""
    return float(np.linalg.norm(np.diff(ring.points, axis=0), axis=1).sum())


def _joined(first: Polygon, second: Polygon) -> Polygon:
    """Both with the ground between their common tangents; other concave parts of either are unchanged."""
    both = shapely.union(first, second)
    between = shapely.difference(both.convex_hull, shapely.union(first.convex_hull, second.convex_hull))
    parts = _parts(shapely.union(both, between))
    # One is in a concave part of the other: their hulls leave no ground between them.
    return parts[0] if len(parts) == 1 else both.convex_hull


def _parts(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of a geometry without their holes."""
    return [Polygon(part.exterior) for part in shapely.get_parts(geometry) if isinstance(part, Polygon)]


STEP = 0.1  # m: spacing of places along the line at which the ground is read


@dataclass(frozen=True, eq=False)
class Top:
    """Highest ground along a line: its level and place on the site [m]; no place if all of the line is inside other
    outlines.
    """

    level: float
    at: tuple[float, float] | None


@remembered
def highest_along(line: Rim, others: tuple[Rim, ...], ground: Terrain) -> Top:
    """Highest ground along an outline offset outward.

    Args:
        line: Outline, its placement, and distance of the line outside it [m].
        others: Offset outlines inside which the line is ignored, as there is water or liner and no ground.
        ground: Existing ground in site axes.
    """
    corners = outside(*line).points
    lengths = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1)))
    along = np.unique(np.concatenate([lengths, np.linspace(0.0, lengths[-1], int(lengths[-1] / STEP) + 2)]))
    places = np.stack([np.interp(along, lengths, corners[:, axis]) for axis in (0, 1)], axis=1)
    for shape, placed, away in others:
        places = places[shape.inward(placed.to_own(places)) < -away]
    if not len(places):
        return Top(-np.inf, None)
    levels = ground.at(places)
    top = int(np.argmax(levels))
    return Top(float(levels[top]), (float(places[top, 0]), float(places[top, 1])))
