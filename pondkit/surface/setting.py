"""Lines on the site to be set out: where a dig meets the ground, outlines moved inward; and places along them."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.optimize.elementwise import find_root
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.surface.outline import Array, Placed, Shape
from pondkit.surface.path import Ints
from pondkit.surface.profile import Profile
from pondkit.surface.uneven import Terrain

ROUND = 720  # places round an outline at which the meeting with the ground is solved
BEYOND = 0.3  # m further out than the dig reaches, as far as that is known: from here inward the meeting is looked for
TRIES = 24  # places along each way inward, of which the outermost pair that holds a meeting is taken
PASSES = 6  # into hollow corners: each leaves half of the gap
CONVEX = 1e-9  # of the area: an outline that fills its hull but for this has no hollow
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


def dig_edge(
    shape: Shape, placed: Placed, upper: Profile, level: float, reach: float, ground: Terrain
) -> tuple[Traced, ...]:
    """Where a dig's face meets the ground, on the site; nothing where it does not all round.

    Along the ways from a line outside the dig to the nearest places of the outline, the outermost place at which the ground
    stands over the dig. Every place of such a way has its true distance from the outline.

    Args:
        shape: The outline, in its own axes.
        placed: Where those lie on the site.
        upper: Dig profile, of which only the lines near the ground matter.
        level: Site level of the waterline [m].
        reach: Distance outward within which the dig meets the ground [m].
        ground: In site axes.
    """
    outer = shape.moved([-reach - BEYOND])[0].exterior
    ring = _met(shape, placed, upper, level, ground, _coords(outer.segmentize(outer.length / ROUND)))
    if ring is None:
        return ()
    hollow = shape.polygon.area < shape.polygon.convex_hull.area * (1 - CONVEX)
    for _ in range(PASSES if hollow else 0):
        # Ways into a hollow corner leave a gap between them: from its bridge on they go further in.
        bridged = LineString(np.concatenate([ring, ring[:1]])).segmentize(outer.length / ROUND)
        met = _met(shape, placed, upper, level, ground, _coords(bridged))
        if met is None:
            break
        ring = met
    return _open(Polygon(placed.to_site(ring)))


def _coords(line: BaseGeometry) -> Array:
    return np.asarray(line.coords[:-1], dtype=float)


def _met(shape: Shape, placed: Placed, upper: Profile, level: float, ground: Terrain, start: Array) -> Array | None:
    """Where ways from places outside the dig, or on its edge, over the nearest places of the outline meet the ground.

    Places, shape (n, 2), are in the outline's own axes [m]; one inside the outline goes on inward from it. None where a way does not meet
    the ground, or begins inside the dig.
    """
    foot = shape.foot(start)
    inside = shapely.contains_xy(shape.polygon, start[:, 0], start[:, 1])
    far = np.where(inside, -1.0, 1.0) * np.linalg.norm(start - foot, axis=1)
    going = (np.abs(far) > HAIR) & (far + HAIR > -DEEP * shape.inradius)
    foot, far, away = foot[going], far[going] + HAIR, (start - foot)[going] / far[going, None]

    def over(distance: Array, x: Array, y: Array, east: Array, north: Array) -> Array:
        """How much further out than the dig reaches at the ground's level a place lies, less than 0 outside, shape as given [m]."""
        places = np.stack(np.broadcast_arrays(x + distance * east, y + distance * north), axis=-1)
        high = ground.at(placed.to_site(places.reshape(-1, 2))).reshape(distance.shape)
        return np.asarray(-distance - upper.inward(level - high))

    ways = (*foot.T, *away.T)
    tries = far - np.linspace(0.0, 1.0, TRIES)[:, None] * (far + DEEP * shape.inradius)
    held = over(tries, *ways) >= 0
    first = np.argmax(held, axis=0)
    stays = held[0] & (far < 0)  # a place between two of the edge, inside outline and dig
    if not held.any(axis=0).all() or (held[0] & ~stays).any():
        return None
    column = np.arange(len(foot))
    out, inner = tries[np.maximum(first - 1, 0), column], tries[first, column]
    solved = ~stays
    met = find_root(
        over, (out[solved], inner[solved]), args=tuple(way[solved] for way in ways), tolerances={"xatol": CLOSE}
    )
    ring = start.copy()
    ring[np.flatnonzero(going)[solved]] = (foot + met.x[:, None] * away)[solved]
    return ring


def _open(area: Polygon) -> tuple[Traced, ...]:
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
        [start + gap * np.arange(count) / count for start, gap, count in zip(at, gaps, np.ceil(gaps / spacing - 1e-9).astype(int), strict=True)]
    )  # fmt: skip
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
