"""Lines on the site: where a dig meets the ground, outlines moved inward, one line round several of them, places along
them for stakes, and the highest ground beside them."""

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
FAN = 3.0  # degrees: round an outward corner ways stand no wider apart
PIECE = 24  # ways of a strip, which is then too short to run into itself
BEYOND = 0.3  # m further out than the dig reaches, as far as that is known: from here inward the meeting is looked for
TRIES = 24  # places along each way inward, of which the outermost pair that holds a meeting is taken
CLOSE = 1e-7  # m: a meeting is solved to this
DEEP = 0.5  # of the inradius: how far inward of the outline the meeting may lie
HAIR = 5e-4  # m: by so little a solved line may be simplified
THREAD = 1e-3  # of the largest part: what a line that crosses itself by a hair cuts off is smaller
SHARP = 15.0  # degrees: a line that turns by more at a point has a corner there


@dataclass(frozen=True, eq=False)
class Traced:
    """A closed line on the site, shape (n, 2) [m]; what it belongs to, by index."""

    points: Array
    owners: tuple[int, ...] = ()


def moved_rings(shape: Shape, placed: Placed, inward: float) -> tuple[Traced, ...]:
    """An outline moved inward, on the site: as many rings as it falls into; none where nothing is left."""
    if inward >= shape.inradius:
        return ()
    polygon = shape.polygon if inward == 0 else shape.moved([inward])[0]
    return tuple(Traced(placed.to_site(_ring(part).points)) for part in _polygons(polygon))


@remembered
def dig_edge(
    shape: Shape, placed: Placed, upper: Profile, level: float, reach: float, ground: Terrain
) -> tuple[Traced, ...]:
    """Where a dig's face meets the ground, on the site; nothing where it does not all round.

    Along ways straight out from the outline, and inward, the outermost place at which the ground stands over the dig
    as deep as
    it is so far from there. A place has no greater distance from the outline than along a way, so that all such ways
    together,
    laid over each other in hollow corners, are what is dug outside it, and what is left within.

    Args:
        shape: The outline, in its own axes.
        placed: Where those lie on the site.
        upper: Dig profile, of which only the lines near the ground matter.
        level: Site level of the waterline [m].
        reach: Distance outward within which the dig meets the ground [m].
        ground: In site axes.
    """
    from scipy.optimize.elementwise import find_root

    ways = _ways_out(shape.polygon)

    def over(distance: Array, x: Array, y: Array, east: Array, north: Array) -> Array:
        """How much further out than the dig reaches at the ground's level a place lies, less than 0 outside, shape as
        given [m]."""
        places = np.stack(np.broadcast_arrays(x + distance * east, y + distance * north), axis=-1)
        high = ground.at(placed.to_site(places.reshape(-1, 2))).reshape(distance.shape)
        return np.asarray(-distance - upper.inward(level - high))

    lines = (*ways.foot.T, *ways.away.T)
    count = len(ways.foot)
    tries = np.repeat(np.linspace(reach + BEYOND, -DEEP * shape.inradius, TRIES)[:, None], count, axis=1)
    held = over(tries, *lines) >= 0
    if not held.any(axis=0).all() or held[0].any():
        return ()
    first, column = np.argmax(held, axis=0), np.arange(count)
    ends = tries[first - 1, column], tries[first, column]
    met = find_root(over, ends, args=lines, tolerances={"xatol": CLOSE}).x
    dug = shapely.union_all([shape.polygon, *ways.strips(np.maximum(met, 0.0))])
    return _open(
        shapely.transform(dug.difference(shapely.union_all(ways.strips(np.minimum(met, 0.0)))), placed.to_site)
    )


@dataclass(frozen=True, eq=False)
class _Ways:
    """Ways straight out from an outline, in order round it; round its corners they fan.

    Attributes:
        foot: Where each begins, shape (n, 2) [m].
        away: Unit vectors outward, shape (n, 2).
        marks: Indexes at which a fan begins or ends: what lies between ways may run across itself there.
    """

    foot: Array
    away: Array
    marks: tuple[int, ...]

    def strips(self, far: Array) -> list[BaseGeometry]:
        """What lies between neighbours out to a distance on each, shape (n,) [m], a piece for some neighbours."""
        count = len(far)
        foot, tips = np.concatenate([self.foot, self.foot[:1]]), self.foot + far[:, None] * self.away
        tips = np.concatenate([tips, tips[:1]])
        reaches = np.append(far, far[0]) != 0

        def between(start: int, end: int) -> Polygon:
            return Polygon(np.concatenate([foot[start : end + 1], tips[start : end + 1][::-1]]))

        found: list[BaseGeometry] = []
        for start, end in pairwise(sorted({*range(0, count, PIECE), *self.marks, count})):
            if reaches[start : end + 1].any():
                piece = between(start, end)
                # One that runs across itself would lose what lies over each other.
                found += (
                    [piece] if piece.is_valid else [shapely.make_valid(between(i, i + 1)) for i in range(start, end)]
                )
        return found


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
    found = 0
    for corner, side, count, here, by in zip(ring, sides, parts, turn, bend, strict=False):
        back = here - np.radians(by)
        fan = np.linspace(back, here, math.ceil(abs(by) / FAN) + 1) if abs(by) > FAN else np.array([(back + here) / 2])
        if len(fan) > 1:
            marks += [found, found + len(fan) - 1]
        feet.append(
            np.concatenate(
                [np.repeat(corner[None], len(fan), axis=0), corner + side * (np.arange(1, count) / count)[:, None]]
            )
        )
        found += len(fan) + count - 1
        turns.append(np.concatenate([fan, np.full(count - 1, here)]))
    every = np.concatenate(turns)
    return _Ways(np.concatenate(feet), np.stack([np.sin(every), -np.cos(every)], axis=1), tuple(marks))


def _open(area: BaseGeometry) -> tuple[Traced, ...]:
    """The rings of a line that may cross itself by a hair where ways run through a corner of the outline."""
    parts = _polygons(shapely.make_valid(area))
    least = THREAD * max(part.area for part in parts)
    return tuple(_ring(part.simplify(HAIR)) for part in parts if part.area > least)


def _ring(part: Polygon, owners: tuple[int, ...] = ()) -> Traced:
    return Traced(np.asarray(orient(part).exterior.coords, dtype=float), owners)


def _polygons(geometry: BaseGeometry) -> list[Polygon]:
    # A line mended may be a collection in which several polygons stand as one member.
    parts = shapely.get_parts(shapely.get_parts(geometry))
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]


@remembered
def joined_edges(edges: tuple[tuple[Traced, ...], ...]) -> tuple[Traced, ...]:
    """Edges of several digs as those of the ground that is open: digs that run into one another have one edge together.

    ``owners`` of an edge are the digs within it, by index.
    """
    areas = [(owner, Polygon(edge.points)) for owner, own in enumerate(edges) for edge in own]
    found = []
    for part in _polygons(shapely.union_all([area for _, area in areas])):
        owners = sorted({owner for owner, area in areas if part.intersection(area).area > area.area / 2})
        found.append(_ring(part, tuple(owners)))
    return tuple(found)


def places_along(line: Traced, spacing: float, within: float) -> Array:
    """Places on a closed line: at its corners, where it bends, and no further apart than the spacing, shape (n, 2) [m].

    Args:
        line: The closed line.
        spacing: Greatest distance along it from place to place [m].
        within: A straight string from place to place leaves the line by no more than this [m].
    """
    ring = LineString(line.points)
    kept = np.asarray(ring.simplify(within).coords[:-1], dtype=float)
    corners = line.points[:-1][_corners(line.points)]
    every = np.concatenate([kept, corners]) if len(corners) else kept
    at = np.unique(np.round(shapely.line_locate_point(ring, shapely.points(every)), 6))
    gaps = np.diff(np.append(at, at[0] + ring.length))
    wanted = np.concatenate(
        [
            start + gap * np.arange(count) / count
            for start, gap, count in zip(at, gaps, np.ceil(gaps / spacing - 1e-9).astype(int), strict=True)
        ]
    )
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(ring, wanted % ring.length)))


def _corners(points: Array) -> Ints:
    """Indexes of the sharp corners of a closed line."""
    sides = np.diff(points, axis=0)
    turn = np.arctan2(sides[:, 1], sides[:, 0])
    turned = np.degrees(np.abs(np.angle(np.exp(1j * (turn - np.roll(turn, 1))))))
    return np.asarray(np.flatnonzero(turned > SHARP))


def stands_inside(edges: Sequence[Traced], place: Sequence[float]) -> bool:
    """True for a place within one of the closed lines."""
    spot = shapely.Point(float(place[0]), float(place[1]))
    return any(Polygon(edge.points).contains(spot) for edge in edges)


@remembered
def ring_round(rims: tuple[Rim, ...]) -> Traced:
    """The outer line round outlines that are moved outward: one closed line for all of them.

    Where moved outlines run into each other they are one. Where they stay apart, neighbours are joined by their
    common tangents, the line going straight on from one to the other on both sides:
    nearest first, until all hang together.

    Args:
        rims: Outline, its place, and how far it is moved outward [m]; at least one.
    """
    moved = [shapely.transform(shape.moved([-away])[0], placed.to_site) for shape, placed, away in rims]
    own = _parts(shapely.union_all(moved))
    apart = sorted(
        ((float(own[i].distance(own[j])), i, j) for i in range(len(own)) for j in range(i)), key=lambda pair: pair[0]
    )
    group = list(range(len(own)))  # of each, so that none is joined to one that it hangs together with already
    joined: list[Polygon] = []
    for _, i, j in apart:
        if group[i] != group[j]:
            joined.append(_joined(own[i], own[j]))
            group = [group[i] if number == group[j] else number for number in group]
    (whole,) = _parts(shapely.union_all([*own, *joined]))
    return Traced(np.asarray(orient(whole).exterior.coords, dtype=float))


def length_of(ring: Traced) -> float:
    """Length of a closed line [m]."""
    return float(np.linalg.norm(np.diff(ring.points, axis=0), axis=1).sum())


def _joined(one: Polygon, other: Polygon) -> Polygon:
    """Both with the ground between their common tangents; a bay of either that looks elsewhere stays as it is."""
    both = shapely.union(one, other)
    between = shapely.difference(both.convex_hull, shapely.union(one.convex_hull, other.convex_hull))
    parts = _parts(shapely.union(both, between))
    # One that stands in the bay of the other: their hulls leave no ground between them.
    return parts[0] if len(parts) == 1 else both.convex_hull


def _parts(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of a geometry without their holes."""
    return [Polygon(part.exterior) for part in shapely.get_parts(geometry) if isinstance(part, Polygon)]


STEP = 0.1  # m along the line from place to place at which the ground is looked at


@dataclass(frozen=True, eq=False)
class Top:
    """The highest ground along a line: its level and place on the site [m]; no place where all
    of the line lies in other outlines.
    """

    level: float
    at: tuple[float, float] | None


@remembered
def highest_along(line: Rim, others: tuple[Rim, ...], ground: Terrain) -> Top:
    """Where the ground is highest along an outline moved outward.

    Args:
        line: Outline, its place, and how far outside it the line runs [m].
        others: Outlines moved outward in which the line is not looked at: there is water, or liner, and no ground.
        ground: As it is, in site axes.
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
