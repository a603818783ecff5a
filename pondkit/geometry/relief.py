"""Surfaces as triangles, for a view in three dimensions: pools with their banks, water, ground and simple bodies.

Each piece is divided along its edges, so that no bank is jagged; points of different pieces are not shared, so that
edges are visible.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.region import Array
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain

Spot = tuple[float, float, float]
Span = tuple[float, float, float, float]
FINE = 2e-3  # of a pool's inradius: tolerance of a line against its curve
SEEN = 1e-4  # m: points nearer than this coincide
STRIP = 0.5  # m beyond the rims in which the bank meets the ground
SLOPE_STEPS = 2  # pieces of each slope
CELLS = 14  # along the longer side of uneven ground
SIDES = 10  # round a pipe


@dataclass(frozen=True, eq=False)
class ModelMesh:
    """Triangles.

    Attributes:
        points: Corners, shape (n, 3): east, north, site level [m].
        faces: Indices of each triangle's corners, shape (m, 3).
        depth: Depth of each corner below a waterline, shape (n,) [m]; 0 where there is none.
    """

    points: Array
    faces: NDArray[np.int64]
    depth: Array


def joined(parts: Sequence[ModelMesh]) -> ModelMesh:
    """Several surfaces as one; without triangles if there are none."""
    if not parts:
        return ModelMesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), np.zeros(0))
    starts = np.cumsum([0, *(len(part.points) for part in parts)])
    faces = [part.faces + start for part, start in zip(parts, starts[:-1], strict=True)]
    points, depths = [part.points for part in parts], [part.depth for part in parts]
    return ModelMesh(np.concatenate(points), np.concatenate(faces), np.concatenate(depths))


def _plan(region: BaseGeometry) -> tuple[Array, NDArray[np.int64]]:
    """Corners, shape (n, 2), and triangles, shape (m, 3), of an area."""
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(region))
    triangles = triangles[shapely.area(triangles) > 0]
    if not len(triangles):
        return np.zeros((0, 2)), np.zeros((0, 3), dtype=np.int64)
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3].reshape(-1, 2)
    points, index = np.unique(np.round(corners / SEEN).astype(np.int64), axis=0, return_inverse=True)
    return points * SEEN, index.reshape(-1, 3)


def _flat(region: BaseGeometry, site_surface: SiteSurface, depth: float) -> ModelMesh:
    """An area in a pool's own axes, level at a depth."""
    points, faces = _plan(region)
    return _on_site(points, np.full(len(points), depth), faces, site_surface)


def _slope(
    outer: BaseGeometry, inner: BaseGeometry, depths: tuple[float, float], site_surface: SiteSurface
) -> ModelMesh:
    """Surface between two areas in a pool's own axes, from one depth to the other; a vertical wall
    where they coincide.
    """
    between = outer.difference(inner)
    if between.area < SEEN * max(outer.length, SEEN):
        return _wall(outer, depths, site_surface)
    points, faces = _plan(between)
    if inner.is_empty:
        low = np.zeros(len(points), dtype=bool)
    else:
        low = shapely.distance(shapely.boundary(inner), shapely.points(points)) < 2 * SEEN
    return _on_site(points, np.where(low, depths[1], depths[0]), faces, site_surface)


def _wall(region: BaseGeometry, depths: tuple[float, float], site_surface: SiteSurface) -> ModelMesh:
    """An upright face round an area."""
    parts = []
    for ring in _rings(region):
        count = len(ring)
        corner, next_corner = np.arange(count), (np.arange(count) + 1) % count
        faces = _quads(corner, next_corner, count)
        parts.append(_on_site(np.concatenate([ring, ring]), np.repeat(depths, count), faces, site_surface))
    return joined(parts)


def _quads(corner: NDArray[np.int64], next_corner: NDArray[np.int64], over: int) -> NDArray[np.int64]:
    """Two triangles from each corner to the next, and to those ``over`` places further in the list."""
    return np.concatenate(
        [
            np.stack((corner, next_corner, corner + over), axis=1),
            np.stack((next_corner, next_corner + over, corner + over), axis=1),
        ]
    )


def _rings(region: BaseGeometry) -> Iterator[Array]:
    for part in shapely.get_parts(region):
        if isinstance(part, Polygon) and not part.is_empty:
            for ring in (part.exterior, *part.interiors):
                yield np.asarray(ring.coords[:-1], dtype=float)


def _on_site(points: Array, depth: Array, faces: NDArray[np.int64], site_surface: SiteSurface) -> ModelMesh:
    placed = site_surface.placed.to_site(points) if len(points) else np.zeros((0, 2))
    return ModelMesh(np.column_stack([placed, site_surface.level - depth]), faces, np.maximum(depth, 0.0))


def _thinned(site_surface: SiteSurface, region: BaseGeometry) -> BaseGeometry:
    return region.simplify(FINE * site_surface.surface.pool.shape.inradius)


def _depths(site_surface: SiteSurface) -> list[float]:
    """Depths at which the surface has an edge, from the waterline down [m]."""
    depths = {0.0, site_surface.surface.deepest}
    for part in site_surface.surface.parts:
        depths |= {round(float(z), 9) for _, z in part.profile.corners if 0 < z < site_surface.surface.deepest}
    return sorted(depths)


def levels_of(site_surface: SiteSurface) -> list[tuple[float, BaseGeometry]]:
    """(depth [m], area in the pool's own axes) of every level part."""
    depths = np.array(_depths(site_surface))
    within, beyond = site_surface.surface.regions(depths), site_surface.surface.regions(depths, beyond=True)
    parts = []
    for depth, all_, deeper in zip(depths, within, beyond, strict=True):
        level = all_.difference(deeper)
        if depth > 0 and level.area > SEEN:
            parts.append((float(depth), _thinned(site_surface, level)))
    return parts


def bank_of(site_surface: SiteSurface) -> ModelMesh:
    """A pool's bank from the rim down to the waterline."""
    shape = site_surface.surface.pool.shape
    outer, inner = (_thinned(site_surface, region) for region in (shape.thin.buffer(site_surface.rim), shape.polygon))
    return _slope(outer, inner, (site_surface.level - site_surface.rim_level, 0.0), site_surface)


def bed_of(site_surface: SiteSurface) -> ModelMesh:
    """A pool's finished bed from the waterline down."""
    surface, depths = site_surface.surface, _depths(site_surface)
    parts = [_flat(region, site_surface, depth) for depth, region in levels_of(site_surface)]
    for upper, lower in pairwise(depths):
        steps = np.linspace(upper, lower, SLOPE_STEPS + 1)
        areas = [_thinned(site_surface, region) for region in surface.regions(steps[:-1], beyond=True)]
        areas += [_thinned(site_surface, region) for region in surface.regions(steps[-1:])]
        for a, b, outer, inner in zip(steps[:-1], steps[1:], areas[:-1], areas[1:], strict=True):
            if not outer.is_empty:
                parts.append(_slope(outer, inner, (float(a), float(b)), site_surface))
    return joined(parts)


def water_of(site_surface: SiteSurface) -> ModelMesh:
    """A pool's water at rest, from above."""
    return _flat(_thinned(site_surface, site_surface.surface.pool.shape.polygon), site_surface, 0.0)


def ground_round(
    surfaces: Sequence[SiteSurface], ground: Terrain, span: Span, beds: Sequence[tuple[Sequence[Spot], float]] = ()
) -> ModelMesh:
    """The ground within a span, open over pools and beds, and joined to their rims and edges within a strip.

    Args:
        surfaces: The pools' finished surfaces.
        ground: Existing ground.
        span: West, south, east, north [m].
        beds: Centre line and width [m] of every stream bed.
    """
    rims = [
        shapely.transform(_thinned(pool, pool.surface.pool.shape.thin.buffer(pool.rim)), pool.placed.to_site)
        for pool in surfaces
    ]
    lines = [np.array(line, dtype=float) for line, _ in beds]
    cuts = [
        shapely.LineString(line[:, :2]).buffer(wide / 2, cap_style="flat")
        for line, (_, wide) in zip(lines, beds, strict=True)
    ]
    open_ = shapely.union_all([*rims, *cuts])
    strip = shapely.union_all([hole.buffer(STRIP, quad_segs=4) for hole in (*rims, *cuts)])
    banks, banks_faces = _plan(strip.difference(open_)) if rims else (np.zeros((0, 2)), np.zeros((0, 3), np.int64))
    level = np.asarray(ground.at(banks), dtype=float) if len(banks) else np.zeros(0)
    for pool, rim in zip(surfaces, rims, strict=True):
        level[shapely.distance(rim.exterior, shapely.points(banks)) < 2 * SEEN] = pool.rim_level
    for line, cut in zip(lines, cuts, strict=True):
        edge = shapely.distance(shapely.boundary(cut), shapely.points(banks)) < 2 * SEEN
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line[:, :2], axis=0).T))])
        stations = shapely.line_locate_point(shapely.LineString(line[:, :2]), shapely.points(banks[edge]))
        level[edge] = np.interp(stations, along, line[:, 2])
    parts = [ModelMesh(np.column_stack([banks, level]), banks_faces, np.zeros(len(banks)))]
    for cell in _cells(span):
        points, faces = _plan(cell.difference(strip))
        if len(points):
            parts.append(ModelMesh(np.column_stack([points, ground.at(points)]), faces, np.zeros(len(points))))
    return joined(parts)


def _cells(span: Span) -> Iterator[BaseGeometry]:
    west, south, east, north = span
    step = max(east - west, north - south) / CELLS
    for x in np.arange(west, east - 1e-9, step):
        for y in np.arange(south, north - 1e-9, step):
            yield shapely.box(x, y, min(x + step, east), min(y + step, north))


# --- simple bodies ---


def tube(start: Spot, end: Spot, across: float) -> ModelMesh:
    """A pipe from end to end, of an outside diameter [m]."""
    a, b = np.array(start, dtype=float), np.array(end, dtype=float)
    direction = (b - a) / (np.linalg.norm(b - a) or 1.0)
    side = np.cross(direction, [0.0, 0.0, 1.0] if abs(direction[2]) < 0.9 else [1.0, 0.0, 0.0])
    side /= np.linalg.norm(side)
    turns = np.linspace(0.0, 2 * math.pi, SIDES, endpoint=False)[:, None]
    ring = (np.cos(turns) * side + np.sin(turns) * np.cross(direction, side)) * across / 2
    corner, next_corner = np.arange(SIDES), (np.arange(SIDES) + 1) % SIDES
    faces = _quads(corner, next_corner, SIDES)
    return ModelMesh(np.concatenate([a + ring, b + ring]), faces, np.zeros(2 * SIDES))


def box(middle: Spot, size: Spot) -> ModelMesh:
    """An upright box about its centre; length east, width north, height [m]."""
    corners = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], dtype=float) / 2
    faces = [
        (0, 1, 3),
        (0, 3, 2),
        (4, 6, 7),
        (4, 7, 5),
        (0, 4, 5),
        (0, 5, 1),
        (2, 3, 7),
        (2, 7, 6),
        (0, 2, 6),
        (0, 6, 4),
        (1, 5, 7),
        (1, 7, 3),
    ]
    # Corners apart, so that its edges are sharp.
    split = np.array(faces).reshape(-1)
    points = (corners * np.array(size) + np.array(middle))[split]
    return ModelMesh(points, np.arange(len(points)).reshape(-1, 3), np.zeros(len(points)))


def rounded(middle: Spot, size: Spot) -> ModelMesh:
    """A rounded stone: an ellipsoid of 80 faces."""
    points, faces = _ball()
    return ModelMesh(points * np.array(size) / 2 + np.array(middle), faces, np.zeros(len(points)))


def _ball() -> tuple[Array, NDArray[np.int64]]:
    """An icosahedron with each face divided into four, on the unit sphere."""
    g = (1 + math.sqrt(5)) / 2
    signs = [(a, b) for a in (-1, 1) for b in (-g, g)]
    base = np.array([corner_set for a, b in signs for corner_set in ((0, a, b), (a, b, 0), (b, 0, a))], dtype=float)
    near = np.array([[np.isclose(np.linalg.norm(p - q), 2.0) for q in base] for p in base])
    faces = [
        corner_set
        for corner_set in combinations(range(12), 3)
        if all(near[pair] for pair in combinations(corner_set, 2))
    ]
    points = [*base]
    middles: dict[tuple[int, int], int] = {}

    def middle(i: int, j: int) -> int:
        pair = (min(i, j), max(i, j))
        if pair not in middles:
            middles[pair] = len(points)
            points.append((base[i] + base[j]) / 2)
        return middles[pair]

    parted = []
    for i, j, k in faces:
        a, b, c = middle(i, j), middle(j, k), middle(i, k)
        parted += [(i, a, c), (j, a, b), (k, b, c), (a, b, c)]
    ball = np.array(points)
    return ball / np.linalg.norm(ball, axis=1, keepdims=True), np.array(parted)


def course(site_surface: SiteSurface, stone: Spot, base_level: float, *, within: bool) -> ModelMesh:
    """A row of stones along a pool's outline, end to end.

    Args:
        site_surface: The pool's finished surface.
        stone: Length along the edge, across it, and height of each [m].
        base_level: Site level of their base [m].
        within: True if they stand inside the outline, False outside.
    """
    along, across, high = stone
    line = shapely.boundary(site_surface.surface.pool.shape.thin.buffer(-across / 2 if within else across / 2))
    parts = []
    for ring in shapely.get_parts(line):
        count = max(3, round(ring.length / along))
        share = (np.arange(count) + 0.5) / count
        ends = [
            site_surface.placed.to_site(
                shapely.get_coordinates(shapely.line_interpolate_point(ring, part, normalized=True))
            )
            for part in (share - 0.4 / count, share + 0.4 / count)
        ]
        for start, end in zip(*ends, strict=True):
            (x, y), direction = (start + end) / 2, end - start
            direction = direction / (np.linalg.norm(direction) or 1.0)
            body = box((0.0, 0.0, base_level + high / 2), (0.94 * ring.length / count, across, high))
            rotated = body.points[:, :2] @ np.array([direction, (-direction[1], direction[0])]) + (x, y)
            parts.append(ModelMesh(np.column_stack([rotated, body.points[:, 2]]), body.faces, body.depth))
    return joined(parts)


def ribbon(line: Sequence[Spot], wide: float) -> ModelMesh:
    """A band of a width along a line, level across; vertical where the line drops vertically [m]."""
    points = np.array(line, dtype=float)
    direction = np.gradient(points[:, :2], axis=0) if len(points) > 1 else np.zeros((len(points), 2))
    long = np.linalg.norm(direction, axis=1, keepdims=True)
    side = np.column_stack([-direction[:, 1], direction[:, 0]]) / np.where(long > 0, long, 1.0) * wide / 2
    level = points[:, 2:]
    both = np.concatenate([np.hstack([points[:, :2] + side, level]), np.hstack([points[:, :2] - side, level])])
    count = len(points)
    corner = np.arange(count - 1)
    faces = _quads(corner, corner + 1, count)
    return ModelMesh(both, faces, np.zeros(len(both)))


def spread(region: BaseGeometry, apart: float, most: int) -> Array:
    """Places in an area, in staggered rows, shape (n, 2) [m]; thinned out to at most ``most``."""
    west, south, east, north = region.bounds if not region.is_empty else (0.0, 0.0, 0.0, 0.0)
    rows = np.arange(south + apart / 4, north, apart * math.sqrt(3) / 2)
    across = np.arange(west + apart / 4, east, apart)
    places = [(x + (number % 2) * apart / 2, y) for number, y in enumerate(rows) for x in across]
    points = np.array(places, dtype=float).reshape(-1, 2)
    inside = points[shapely.contains_xy(region, points[:, 0], points[:, 1])] if len(points) else points
    return inside[:: max(1, math.ceil(len(inside) / most))]
