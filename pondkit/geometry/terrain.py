"""Surveyed terrain and earthwork on it: exact on the best-fit plane, plus a sampled correction for the terrain's
departure from it.

Only the difference between ground and plane is sampled, so that a survey of a plane gives the plane's own figures,
and an error of the sampling counts by how uneven the ground is, not by how deep the dig is. Cut and fill of a pool's
dig on that plane stand at the end.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import Basin, PoolSurface
from pondkit.geometry.profile import Profile

_X, _W = np.polynomial.legendre.leggauss(6)
SIMPLIFIED = 1e-3  # m: tolerance of simplified outlines, used where only a share of an area is needed
ROUND = 16  # segments a quarter circle there
UNDER = 1.0  # m below the waterlines, where a dig exceeds its outline only by the layers on it
LEAST_BAND = 1e-9  # m: a band of levels narrower than this holds nothing
FAR_BANK = 100.0  # m: greatest distance at which a bank may meet the ground


class TooSteep(ValueError):
    """A bank that meets the ground too far out, or never; ``reach``: distance from the outline [m],
    infinite for never.
    """

    def __init__(self, reach: float) -> None:
        super().__init__(f"the bank meets the ground {reach:g} m from the outline")
        self.reach = reach


@dataclass(frozen=True)
class Plane:
    """Ground level = level + east x + north y, all in metres; east and north are rises per metre."""

    level: float
    east: float
    north: float

    def at(self, points: Array) -> Array:
        """Ground level at places, shape (n, 2) -> (n,) [m]."""
        return np.asarray(self.level + points @ np.array([self.east, self.north]))

    def level_at(self, place: Sequence[float]) -> float:
        """Ground level [m] at one place, of which east and north are read."""
        return self.level + self.east * place[0] + self.north * place[1]

    @property
    def slope(self) -> float:
        return math.hypot(self.east, self.north)

    def seen_from(self, placed: Placed) -> "Plane":
        """The same plane in the axes of a placed part."""
        origin = placed.to_site(np.zeros((1, 2)))
        ends = placed.to_site(np.eye(2))
        level = float(self.at(origin)[0])
        rises = self.at(ends) - level
        return Plane(level, float(rises[0]), float(rises[1]))

    def along(self, line: Array) -> Array:
        """The line itself, as a plane is straight along it, shape (n, 2)."""
        return line

    def area_above(self, regions: NDArray[np.object_], levels: Array) -> Array:
        """Plan area of each region on which the ground stands above a level, exactly, shape (n,) each [m²].

        Green's theorem: the distance of each side of a region uphill of the contour at that level, integrated along
        the contour. Cutting by half-planes gives the same, three times as slowly. The slope must not be 0.
        """
        parts, region = shapely.get_parts(shapely.orient_polygons(regions), return_index=True)
        rings, part = shapely.get_rings(parts, return_index=True)
        coords, ring = shapely.get_coordinates(rings, return_index=True)
        stations = region[part[ring]]
        over = self.at(coords) - np.asarray(levels)[stations]
        across = coords @ np.array([-self.north, self.east]) / self.slope
        same = ring[1:] == ring[:-1]
        a, b, lengths, stations = over[:-1][same], over[1:][same], np.diff(across)[same], stations[1:][same]
        crossed = a * b < 0
        uphill = np.maximum(a, b) ** 2 / np.where(crossed, 2 * np.abs(a - b), 1.0)
        mean = np.where(crossed, uphill, (np.maximum(a, 0.0) + np.maximum(b, 0.0)) / 2)
        return np.bincount(stations, mean * lengths, len(regions)) / self.slope


@dataclass(frozen=True)
class _Dig:
    """Plan areas of a dig in the ground at site levels, shape (n,) each [m²].

    On sloping ground the areas are cut from simplified outlines, with a few corners instead of five hundred, and
    scaled by the true area.
    """

    surface: PoolSurface
    level: float
    rim: float
    ground: Plane

    def cut(self, h: Array) -> Array:
        """Area inside the dig and below the ground."""
        dig_area = self.surface.area(self.level - h)
        if self.ground.slope == 0:
            return np.where(h < self.ground.level, dig_area, 0.0)
        dug = self._dug(h)
        size = shapely.area(dug)
        return np.asarray(dig_area * self.ground.area_above(dug, h) / np.where(size > 0, size, 1.0))

    def fill(self, h: Array) -> Array:
        """Area inside the rim line, outside the dig and above the ground."""
        if self.ground.slope == 0:
            strip = self.surface.pool.shape.area(np.array(-self.rim)) - self.surface.area(self.level - h)
            return np.where(h > self.ground.level, np.maximum(strip, 0.0), 0.0)
        # Up to the rim's level the dig is within the rim line, so areas can be subtracted.
        inside, dug = np.full(len(h), self.thin.buffer(self.rim, quad_segs=ROUND)), self._dug(h)
        strip = shapely.area(inside) - shapely.area(dug)
        high = self.ground.area_above(inside, h) - self.ground.area_above(dug, h)
        return np.asarray(np.maximum(strip - high, 0.0))

    @cached_property
    def thin(self) -> shapely.Polygon:
        return self.surface.pool.shape.polygon.simplify(SIMPLIFIED)

    def _dug(self, h: Array) -> NDArray[np.object_]:
        pool, z = self.surface.pool, self.level - h
        dug = None
        for _, inward in pool.reaches(z):
            away = np.minimum(inward, 2 * pool.shape.inradius)
            offset_outlines = shapely.buffer(np.full(len(h), self.thin), -away, quad_segs=ROUND)
            dug = offset_outlines if dug is None else shapely.symmetric_difference(dug, offset_outlines)
        for pit in self.surface.pits:
            dug = shapely.union(dug, pit.regions_at(z))
        return np.asarray(dug, dtype=object)

    def between(self, low: float, high: float, area: Callable[[Array], Array]) -> float:
        """Volume of plan areas between two levels [m³]."""
        h, weight = nodes(edges_between(low, high, self.surface.pool.profile, self.level))
        return float(np.sum(weight * area(h)))


@dataclass(frozen=True, eq=False)
class DaylightBand:
    """Where the ground begins and ends to intersect the dig. Cut and fill there are integrated when they are first
    asked for.

    Attributes:
        below: Depth under the waterline below which the dig is entirely in the ground [m].
        reach: Distance outward from the outline within which the dig meets the ground [m].
        highest: Highest level of the ground along the edge of the dig [m]; on uneven ground, of that within the dig.
        dig: The dig in the plane that lies nearest to the ground.
        met: Site levels between which that plane intersects the dig [m].
        low: Site levels from the lowest place of that plane within the rim line up to the rim [m].
        unknown: Plan area of the dig where no survey reaches [m²].
        uneven: On uneven ground, site levels below ``met`` in which some of the ground lies too [m], and cut and fill
            by which it exceeds its plane [m³].
    """

    below: float
    reach: float
    highest: float
    dig: _Dig
    met: tuple[float, float]
    low: tuple[float, float]
    unknown: float = 0.0
    uneven: tuple[tuple[float, float], float, float] | None = None

    @cached_property
    def cut(self) -> float:
        """Volume of cut above ``below`` [m³]."""
        cut = self.dig.between(*self.met, self.dig.cut) if self.met[1] - self.met[0] > LEAST_BAND else 0.0
        if self.uneven is None:
            return cut
        (bottom, top), more, _ = self.uneven
        if top - bottom > LEAST_BAND:
            cut += self.dig.between(bottom, top, lambda h: self.dig.surface.area(self.dig.level - h))
        return cut + more

    @cached_property
    def fill(self) -> float:
        """Volume between ground and dig surface inside the rim line, where the ground is lower [m³]."""
        fill = self.dig.between(*self.low, self.dig.fill) if self.low[0] < self.low[1] else 0.0
        # A sum of samples may be slightly negative by rounding.
        return fill if self.uneven is None else max(fill + self.uneven[2], 0.0)


def band(
    shape: Shape,
    upper: Profile,
    rim: float,
    rim_level: float,
    level: float,
    ground: Plane,
    pits: tuple[Basin, ...],
) -> DaylightBand:
    """Where the ground surface intersects the dig.

    Args:
        shape: Outline, in its own axes.
        upper: Dig profile; only its lines near the ground matter.
        rim: Horizontal distance from the outline out to the rim of the dig [m].
        rim_level, level: Site levels of rim and waterline [m].
        ground: Existing ground in the outline's own axes.
        pits: Pits that the ground may intersect.
    Raises: TooSteep if bank and ground meet too far out, or nowhere.
    """
    heights = ground.at(shape.coords)
    lowest, highest = float(heights.min()), float(heights.max())
    slope, batter = ground.slope, upper.lines[0].batter

    def out(h: float) -> float:
        return max(-float(upper.inward(np.array(level - h))), 0.0)

    def over(h: float) -> float:
        """Greatest height of the ground above this level along the dig's edge at this level."""
        return highest + slope * out(h) - h

    if slope * batter >= 1:
        raise TooSteep(math.inf)
    if slope == 0:  # level ground meets the dig at one level all round
        h0, h1 = lowest, highest
    else:
        h0 = _root(lambda h: lowest - slope * out(h) - h, lowest - slope * out(lowest), lowest)
        straight = max([highest, *(level - z for _, z in upper.corners[:1])])  # from here up the bank has one batter
        h1 = _root(over, highest, straight + max(over(straight), 0.0) / (1 - slope * batter))
    if out(h1) > FAR_BANK:
        raise TooSteep(out(h1))
    dig = _Dig(PoolSurface(Basin(shape, Placed(0.0, 0.0, 0.0), upper), pits), level, rim, ground)
    return DaylightBand(level - h0, out(h1), h1, dig, (h0, h1), (lowest - slope * rim, rim_level))


def _root(falling: Callable[[float], float], low: float, high: float) -> float:
    """Root of a function that falls at least as fast as its argument grows, between two arguments of opposite sign."""
    from scipy.optimize import brentq

    return float(brentq(falling, low - 1e-9, high + 1e-9))


def edges_between(low: float, high: float, upper: Profile, level: float) -> Array:
    """Levels from low to high, divided at the profile's corners and into at least five pieces."""
    corners = [level - z for _, z in upper.corners if low < level - z < high]
    return np.unique(np.concatenate([np.linspace(low, high, 6), corners]))


def nodes(edges: Array) -> tuple[Array, Array]:
    """(levels of slices between edges, their integration weights) [m]."""
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + _X)).ravel(), (half * _W).ravel()


# Outline, its place, dig profile near the ground, site level of the waterline, how far out the dig meets the ground
# [m].
Dug = tuple[Shape, Placed, Profile, float, float]


def shared_cut(digs: tuple[Dug, ...], ground: Plane) -> float:
    """Volume counted more than once in the cuts of several digs whose edges overlap [m³].

    Integrated over level slices from where two of them first touch up to the ground, with 6 nodes per piece.

    Args:
        digs: Digs that meet another one.
        ground: Existing ground in site axes.
    """
    from scipy.optimize import brentq

    thin = [shapely.transform(shape.polygon.simplify(SIMPLIFIED), placed.to_site) for shape, placed, *_ in digs]
    high = max(
        float(ground.at(placed.to_site(shape.coords)).max()) + ground.slope * reach
        for shape, placed, _, _, reach in digs
    )
    low = min([*(level for *_, level, _ in digs), high]) - UNDER

    def outward(number: int, h: Array) -> Array:
        _, _, upper, level, _ = digs[number]
        return np.maximum(-upper.inward(level - h), 0.0)

    touch = []
    for i in range(len(digs)):
        for j in range(i):
            apart = float(thin[i].distance(thin[j]))

            def gap(h: float, i: int = i, j: int = j, apart: float = apart) -> float:
                return apart - float(outward(i, np.array(h)) + outward(j, np.array(h)))

            if gap(high) < 0:
                touch.append(low if gap(low) <= 0 else float(brentq(gap, low, high)))
    if not touch:
        return 0.0
    corners = [level - z for _, _, upper, level, _ in digs for _, z in upper.corners]
    marks = [h for h in (*touch, *corners) if min(touch) <= h <= high]
    h, weight = nodes(np.unique([*np.linspace(min(touch), high, 4), *marks]))
    stacks = [
        shapely.buffer(np.full(len(h), ring), outward(number, h), quad_segs=ROUND) for number, ring in enumerate(thin)
    ]
    together = stacks[0]
    for stack in stacks[1:]:
        together = shapely.union(together, stack)
    if ground.slope:
        alone = sum(ground.area_above(stack, h) for stack in stacks)
        both = ground.area_above(together, h)
    else:
        alone, both = sum(shapely.area(stack) for stack in stacks), shapely.area(together)
    return float(np.sum(weight * (alone - both)))


if TYPE_CHECKING:
    from scipy.spatial import Delaunay

SAME_PLACE = 2e-3  # m: points nearer than this coincide
SAME_LEVEL = 1e-6  # m
THIN = 0.01  # m: points all nearer than this to one line do not define a ground
EDGE = 1e-6  # m: places nearer to the survey's edge than this are on it
ALONG = 0.1  # m: spacing of places on a line over uneven ground


class NoSurvey(ValueError):
    """Points that do not define a ground: the value given, what is allowed, the remedy, and the row at fault if there
    is one.
    """

    def __init__(self, given: Words, allowed: Words, mend: Words, row: int | None = None) -> None:
        super().__init__(given.text)
        self.given, self.allowed, self.mend, self.row = given, allowed, mend, row


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangulated terrain (TIN) through points: plane in every Delaunay triangle, shape (n, 2) and (n,) [m], site
    axes.

    Outside the survey the ground is taken at the level of the nearest place on the survey's edge, and ``beyond`` tells
    where that is so.
    """

    places: Array
    levels: Array

    @cached_property
    def _middle(self) -> Array:
        return np.asarray(self.places.mean(axis=0))

    @cached_property
    def _net(self) -> "Delaunay":
        from scipy.spatial import Delaunay

        return Delaunay(self.places - self._middle)  # near the origin: fewer digits are lost

    @cached_property
    def triangles(self) -> NDArray[np.int64]:
        """Corners of each triangle, as indexes of points, shape (m, 3)."""
        return np.asarray(self._net.simplices, dtype=np.int64)

    @cached_property
    def _planes(self) -> Array:
        """Level at the middle and rises east and north of every triangle, shape (m, 3)."""
        local = np.concatenate([np.ones((len(self.places), 1)), self.places - self._middle], axis=1)
        return np.asarray(np.linalg.solve(local[self.triangles], self.levels[self.triangles][..., None])[..., 0])

    @cached_property
    def hull(self) -> Polygon:
        """Area inside the survey."""
        return shapely.MultiPoint(self.places).convex_hull

    def at(self, points: Array) -> Array:
        """Ground level at places, shape (n, 2) -> (n,) [m]."""
        local = np.asarray(points, dtype=float) - self._middle
        triangle = self._net.find_simplex(local)
        plane = self._planes[triangle]
        levels = np.asarray(plane[:, 0] + plane[:, 1] * local[:, 0] + plane[:, 2] * local[:, 1])
        far = np.flatnonzero(triangle < 0)
        if len(far):
            levels[far] = self._edge(local[far])[0]
        return levels

    def level_at(self, place: Sequence[float]) -> float:
        """Ground level [m] at one place, of which east and north are read."""
        return float(self.at(np.array([[place[0], place[1]]]))[0])

    def beyond(self, points: Array) -> NDArray[np.bool_]:
        """Which places lie outside the survey, shape (n, 2) -> (n,)."""
        local = np.asarray(points, dtype=float) - self._middle
        outside = np.asarray(self._net.find_simplex(local) < 0)
        if outside.any():
            outside[outside] = self._edge(local[outside])[1] > EDGE
        return outside

    def _edge(self, local: Array) -> tuple[Array, Array]:
        """(level of the nearest place on the survey's edge, distance to it), shape (n,) each [m]."""
        ends = self._net.convex_hull
        start, side = (self.places - self._middle)[ends[:, 0]], np.diff(self.places[ends], axis=1)[:, 0]
        rise = np.diff(self.levels[ends], axis=1)[:, 0]
        away = local[:, None] - start
        along = np.clip(np.einsum("nki,ki->nk", away, side) / np.einsum("ki,ki->k", side, side), 0.0, 1.0)
        distance = np.linalg.norm(away - along[..., None] * side, axis=2)
        near = np.argmin(distance, axis=1)
        share = np.take_along_axis(along, near[:, None], axis=1)[:, 0]
        return self.levels[ends[near, 0]] + share * rise[near], distance[np.arange(len(local)), near]

    def contour(self, level: float) -> Array:
        """Contour of the ground at a level: one straight piece per triangle crossed, shape (k, 2, 2) [m]."""
        over = self.levels[self.triangles] - level
        over = np.where(over == 0, 1e-12, over)  # a corner just at the level counts as above it
        sides = [(0, 1), (1, 2), (2, 0)]
        crossed = np.stack([over[:, a] * over[:, b] < 0 for a, b in sides], axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            spots = np.stack([self._between(over, a, b) for a, b in sides], axis=1)
        met = crossed.sum(axis=1) == 2
        return np.asarray(spots[met][crossed[met]].reshape(-1, 2, 2))

    def _between(self, over: Array, a: int, b: int) -> Array:
        share = over[:, a] / (over[:, a] - over[:, b])
        start, end = self.places[self.triangles[:, a]], self.places[self.triangles[:, b]]
        return np.asarray(start + share[:, None] * (end - start))

    def along(self, line: Array) -> Array:
        """The line with places close enough to follow the ground, shape (n, 2) -> (m, 2)."""
        steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
        parts = np.maximum(np.ceil(steps / ALONG), 1.0).astype(np.int64)
        side = np.repeat(np.arange(len(parts)), parts)
        within = np.arange(1, len(side) + 1) - np.repeat(np.cumsum(parts) - parts, parts)
        stations = np.concatenate([[0.0], side + within / parts[side]])
        return np.stack([np.interp(stations, np.arange(len(line)), line[:, axis]) for axis in (0, 1)], axis=1)


def mesh_of(places: Array, levels: Array, rows: Sequence[int]) -> Mesh:
    """Terrain through points, shape (n, 2) and (n,) [m], site axes; ``rows``: their rows in the survey's list.

    Raises: NoSurvey if they do not define a ground.
    """
    places, levels = np.asarray(places, dtype=float).reshape(-1, 2), np.asarray(levels, dtype=float)
    again = _again(places, levels, rows)
    keep = np.setdiff1d(np.arange(len(places)), again)
    if len(keep) < 3:
        raise NoSurvey(
            words(f"the survey has {len(keep)} places" if len(keep) != 1 else "the survey has 1 place"),
            words("three or more, not in one line"),
            words("add points, or describe the ground as level or as one fall"),
        )
    local = places[keep] - places[keep].mean(axis=0)
    across = local @ np.linalg.svd(local, full_matrices=False)[2][1]
    if float(np.ptp(across)) < THIN:
        raise NoSurvey(
            words("all survey points lie in one line, to within {thin}", thin=(THIN, LENGTH)),
            words("points on both sides of the dig"),
            words("add points beside the line, or describe the ground as one fall"),
        )
    return Mesh(places[keep], levels[keep])


def _again(places: Array, levels: Array, rows: Sequence[int]) -> list[int]:
    """Points that repeat an earlier one at the same level; another level there is a NoSurvey."""
    from scipy.spatial import cKDTree

    repeated = []
    for first, second in sorted(cKDTree(places).query_pairs(SAME_PLACE)) if len(places) else []:
        if abs(levels[first] - levels[second]) > SAME_LEVEL:
            raise NoSurvey(
                words(
                    f"rows {rows[first] + 1} and {rows[second] + 1} stand in one place, at {{one}} and {{other}}",
                    one=(levels[first], LENGTH),
                    other=(levels[second], LENGTH),
                ),
                words("one level in each place"),
                words("remove the one that is wrong, or correct its place"),
                rows[second],
            )
        repeated.append(second)
    return repeated


ACROSS = 72  # samples along the longer side of a dig
WITHIN = 6  # inward distances per sample
SHARED = 120  # the same over areas shared by digs
FITTED = 1.0  # m beyond the outline included in the best fit of the plane
Terrain = Plane | Mesh


@dataclass(frozen=True, eq=False)
class Patch:
    """Uneven ground round one outline, at the middles of square cells, in the outline's own axes, whatever its depths.

    Attributes:
        points: Shape (n, 2) [m].
        inward: Distance inward from the outline, negative outside, shape (n,) [m].
        levels: Of the ground, shape (n,) [m].
        beyond: Share of each cell where no survey reaches, shape (n,).
        plane: The plane that lies nearest to the ground there.
        step: Side of a cell [m].
        wide: How far outward the samples go [m].
    """

    points: Array
    inward: Array
    levels: Array
    beyond: Array
    plane: Plane
    step: float
    wide: float

    @property
    def slope(self) -> float:
        return self.plane.slope

    @property
    def lowest(self) -> float:
        """Lowest level of ground and plane on the patch [m]."""
        return float(min(self.levels.min(), self.plane.at(self.points).min()))


@remembered
def patch(shape: Shape, placed: Placed, ground: Mesh, wide: float) -> Patch:
    """Samples of uneven ground round a placed outline, out to ``wide`` [m]."""
    low, high = shape.coords.min(axis=0) - wide, shape.coords.max(axis=0) + wide
    step = float((high - low).max()) / ACROSS
    points = _cells(low, high, step)
    inward = shape.inward(points, far=wide + step)
    near = inward >= -wide
    points, inward = points[near], inward[near]
    site = placed.to_site(points)
    levels = ground.at(site)
    unknown = _share_beyond(points, step, shapely.transform(ground.hull, placed.to_own))
    return Patch(points, inward, levels, unknown, _nearest(points, levels, inward >= -FITTED), step, wide)


def _share_beyond(points: Array, step: float, hull: Polygon) -> Array:
    """Share of each square cell that lies outside a survey's hull, exactly, by the middles of the cells, shape (n,)."""
    half = step / 2
    cells = shapely.box(*(points - half).T, *(points + half).T)
    hull = hull.buffer(EDGE, join_style="mitre")
    shapely.prepare(hull)
    share = np.where(shapely.intersects(hull, cells), 0.0, 1.0)
    cut = (share == 0.0) & ~shapely.covers(hull, cells)
    share[cut] = 1.0 - shapely.area(shapely.intersection(cells[cut], hull)) / step**2
    return share


def _cells(low: Array, high: Array, step: float) -> Array:
    axes = [np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)


def _nearest(points: Array, levels: Array, counted: NDArray[np.bool_]) -> Plane:
    rows = np.concatenate([np.ones((len(points), 1)), points], axis=1)[counted]
    level, east, north = np.linalg.lstsq(rows, levels[counted], rcond=None)[0]
    return Plane(float(level), float(east), float(north))


@remembered
def band_on(
    shape: Shape,
    upper: Profile,
    rim: float,
    rim_level: float,
    level: float,
    ground: Plane | Patch,
    pits: tuple[Basin, ...] = (),
) -> DaylightBand:
    """Cut and fill where the ground surface intersects the dig, see ``band``, on a plane or on surveyed
    terrain.

    A ``reach`` greater than the width of the patch requires a wider one. Ground that rises above the bank's plane
    again beyond their first intersection counts as dug, as far as the dig reaches elsewhere.

    Raises: TooSteep if bank and ground meet too far out, or nowhere.
    """
    if isinstance(ground, Plane):
        return band(shape, upper, rim, rim_level, level, ground, pits)
    base = band(shape, upper, rim, rim_level, level, ground.plane, pits)
    # Several distances a cell: a bank may be narrower than one, and the fill ends with a jump at the rim line.
    inward = ground.inward[:, None] + ground.step * ((np.arange(WITHIN) + 0.5) / WITHIN - 0.5)
    depth = upper.depth(inward)
    for pit in pits:
        depth = np.maximum(depth, pit.profile.depth(pit.shape.inward(pit.placed.to_own(ground.points)))[:, None])
    dig, levels, flat = level - depth, ground.levels[:, None], ground.plane.at(ground.points)[:, None]
    cell = ground.step**2 / WITHIN
    real = np.maximum(levels - dig, 0.0)
    cut = float(np.sum(real - np.maximum(flat - dig, 0.0))) * cell
    fill = float(np.sum((np.maximum(dig - levels, 0.0) - np.maximum(dig - flat, 0.0))[inward >= -rim])) * cell
    dug = real > 0
    reach = max(base.reach, -float(inward[dug].min()) + ground.step / WITHIN if dug.any() else 0.0)
    if reach > FAR_BANK:
        raise TooSteep(np.inf)
    below = max(base.below, level - ground.lowest)
    highest, on_plane = (
        float(np.where(ground_levels > dig, ground_levels, -np.inf).max()) for ground_levels in (levels, flat)
    )
    higher = highest - on_plane if math.isfinite(highest - on_plane) else 0.0  # no place is dug where it is infinite
    unknown = float(np.sum(ground.beyond[:, None] * (dug | (inward > -rim)))) * cell
    also = level - below, level - base.below
    return replace(
        base, below=below, reach=reach, highest=base.highest + higher, unknown=unknown, uneven=(also, cut, fill)
    )


@remembered
def shared_on(digs: tuple[Dug, ...], ground: Terrain) -> float:
    """Volume counted more than once in the cuts of several digs [m³], see ``shared_cut``, on a plane or on surveyed
    terrain.
    """
    if isinstance(ground, Plane):
        return shared_cut(digs, ground)
    rings = [
        shapely.transform(shape.thin, placed.to_site).buffer(reach + FITTED, quad_segs=4)
        for shape, placed, _, _, reach in digs
    ]
    overlaps = [a.intersection(b).bounds for i, a in enumerate(rings) for b in rings[:i] if a.intersects(b)]
    if not overlaps:
        return 0.0
    boxes = np.array(overlaps)
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    step = float((high - low).max()) / SHARED
    points = _cells(low, high, step)
    levels = ground.at(points)
    plane = _nearest(points, levels, np.ones(len(points), dtype=bool))
    dig = np.stack(
        [
            level - upper.depth(shape.inward(placed.to_own(points), far=reach + 2 * FITTED))
            for shape, placed, upper, level, reach in digs
        ]
    )

    def twice(level: Array) -> Array:
        cuts = np.maximum(level - dig, 0.0)
        return cast(Array, cuts.sum(axis=0) - cuts.max(axis=0))

    more = float(np.sum(twice(levels) - twice(plane.at(points)))) * step**2
    return max(shared_cut(digs, plane) + more, 0.0)


def unsurveyed(points: Array, ground: object) -> bool:
    """True if any of the places on the site is outside the survey, shape (n, 2)."""
    return isinstance(ground, Mesh) and bool(ground.beyond(points).any())


def length_above(ring: Array, level: float, ground: Terrain) -> float:
    """Length of a closed line at a level that is above the ground, corners exact on a plane, shape (n, 2) [m]."""
    ring = ground.along(ring)
    high = level - ground.at(ring)
    steps = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    least, most = np.minimum(high[:-1], high[1:]), np.maximum(high[:-1], high[1:])
    above = most > 1e-9
    share = np.where(above, most / np.where(above, most - np.minimum(least, 0.0), 1.0), 0.0)
    return float(np.sum(steps * share))
