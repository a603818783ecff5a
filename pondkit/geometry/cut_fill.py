"""Cut and fill of a pool's dig on existing ground that is a plane."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import Basin, PoolSurface
from pondkit.geometry.profile import Profile

_X, _W = np.polynomial.legendre.leggauss(6)
THIN = 1e-3  # m: outlines are simplified to this where only a share of an area is wanted
ROUND = 16  # segments a quarter circle there
UNDER = 1.0  # m below the waterlines, where no dig is wider than its outline by more than what is laid on it
FAR_BANK = 100.0  # m: a bank that meets the ground further out is no bank


class TooSteep(ValueError):
    """A bank that meets the ground too far out, or nowhere; ``reach`` is how far from the outline [m], infinite for
    nowhere."""

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
        """The line itself: a plane is straight along it, shape (n, 2)."""
        return line

    def area_above(self, regions: NDArray[np.object_], levels: Array) -> Array:
        """Plan area of each region on which the ground stands above a level, exactly, shape (n,) each [m²].

        Green's theorem: how far each side of a region lies uphill of the line at that level, summed along the line.
        Cutting by half-planes gives the same, three times as slowly. The slope must not be 0.
        """
        parts, region = shapely.get_parts(shapely.orient_polygons(regions), return_index=True)
        rings, part = shapely.get_rings(parts, return_index=True)
        coords, ring = shapely.get_coordinates(rings, return_index=True)
        at = region[part[ring]]
        over = self.at(coords) - np.asarray(levels)[at]
        across = coords @ np.array([-self.north, self.east]) / self.slope
        same = ring[1:] == ring[:-1]
        a, b, way, at = over[:-1][same], over[1:][same], np.diff(across)[same], at[1:][same]
        crossed = a * b < 0
        uphill = np.maximum(a, b) ** 2 / np.where(crossed, 2 * np.abs(a - b), 1.0)
        mean = np.where(crossed, uphill, (np.maximum(a, 0.0) + np.maximum(b, 0.0)) / 2)
        return np.bincount(at, mean * way, len(regions)) / self.slope


@dataclass(frozen=True, eq=False)
class DaylightBand:
    """What lies between the levels where the ground begins to cut the dig and where it ends.

    Attributes:
        below: Depth under the waterline from which down the dig lies wholly in the ground [m].
        cut: Volume of cut above that depth [m³].
        fill: Volume between ground and dig surface inside the rim line, where the ground is lower [m³].
        reach: Distance outward from the outline within which the dig meets the ground [m].
        unknown: Plan area of the dig where no survey reaches [m²].
    """

    below: float
    cut: float
    fill: float
    reach: float
    unknown: float = 0.0


def band(
    shape: Shape,
    upper: Profile,
    rim: float,
    rim_level: float,
    level: float,
    ground: Plane,
    pits: tuple[Basin, ...] = (),
) -> DaylightBand:
    """Cut and fill where the ground's surface runs through the dig.

    Args:
        shape: Outline, in its own axes.
        upper: Dig profile, of which only the lines near the ground matter.
        rim: Horizontal distance from the outline out to the rim of the dig [m].
        rim_level, level: Site levels of rim and waterline [m].
        ground: In the outline's own axes.
        pits: Those that the ground may run through.
    Raises: TooSteep if bank and ground meet too far out, or nowhere.
    """
    heights = ground.at(shape.coords)
    lowest, highest = float(heights.min()), float(heights.max())
    slope, batter = ground.slope, upper.lines[0].batter

    def out(h: float) -> float:
        return max(-float(upper.inward(np.array(level - h))), 0.0)

    def over(h: float) -> float:
        """How far the ground, at its highest along the dig's edge at this level, stands above it."""
        return highest + slope * out(h) - h

    if slope * batter >= 1:
        raise TooSteep(math.inf)
    if slope == 0:  # level ground meets the dig at its own level all round
        h0, h1 = lowest, highest
    else:
        h0 = _root(lambda h: lowest - slope * out(h) - h, lowest - slope * out(lowest), lowest)
        straight = max([highest, *(level - z for _, z in upper.corners[:1])])  # from here up the bank has one batter
        h1 = _root(over, highest, straight + max(over(straight), 0.0) / (1 - slope * batter))
    if out(h1) > FAR_BANK:
        raise TooSteep(out(h1))
    dig = _Dig(PoolSurface(Basin(shape, Placed(0.0, 0.0, 0.0), upper), pits), level, ground)
    cut = fill = 0.0
    if h1 - h0 > 1e-9:
        h, weight = nodes(edges_between(h0, h1, upper, level))
        cut = float(np.sum(weight * dig.cut(h)))
    low = lowest - slope * rim
    if low < rim_level:
        h, weight = nodes(edges_between(low, rim_level, upper, level))
        fill = float(np.sum(weight * dig.fill(h, rim)))
    return DaylightBand(level - h0, cut, fill, out(h1))


def _root(falling: Callable[[float], float], low: float, high: float) -> float:
    """Where a function that falls by at least as much as its argument grows is 0, between two arguments on either
    side."""
    from scipy.optimize import brentq

    return float(brentq(falling, low - 1e-9, high + 1e-9))


@dataclass(frozen=True)
class _Dig:
    """A dig in the ground, for plan areas at site levels, shape (n,) each [m²].

    On sloping ground the areas are cut from simplified outlines, a few corners in place of five hundred, and what is
    wanted in full is scaled by the true area.
    """

    surface: PoolSurface
    level: float
    ground: Plane

    def cut(self, h: Array) -> Array:
        """What is inside the dig and under the ground."""
        whole = self.surface.area(self.level - h)
        if self.ground.slope == 0:
            return np.where(h < self.ground.level, whole, 0.0)
        dug = self._dug(h)
        size = shapely.area(dug)
        return np.asarray(whole * self.ground.area_above(dug, h) / np.where(size > 0, size, 1.0))

    def fill(self, h: Array, rim: float) -> Array:
        """What is inside the rim line, outside the dig and above the ground."""
        if self.ground.slope == 0:
            strip = self.surface.pool.shape.area(np.array(-rim)) - self.surface.area(self.level - h)
            return np.where(h > self.ground.level, np.maximum(strip, 0.0), 0.0)
        # The dig lies within the rim line at every level up to the rim's: areas are taken from each other.
        inside, dug = np.full(len(h), self.thin.buffer(rim, quad_segs=ROUND)), self._dug(h)
        strip = shapely.area(inside) - shapely.area(dug)
        high = self.ground.area_above(inside, h) - self.ground.area_above(dug, h)
        return np.asarray(np.maximum(strip - high, 0.0))

    @cached_property
    def thin(self) -> shapely.Polygon:
        return self.surface.pool.shape.polygon.simplify(THIN)

    def _dug(self, h: Array) -> NDArray[np.object_]:
        pool, z = self.surface.pool, self.level - h
        dug = None
        for _, inward in pool.reaches(z):
            away = np.minimum(inward, 2 * pool.shape.inradius)
            moved = shapely.buffer(np.full(len(h), self.thin), -away, quad_segs=ROUND)
            dug = moved if dug is None else shapely.symmetric_difference(dug, moved)
        for pit in self.surface.pits:
            dug = shapely.union(dug, pit.regions_at(z))
        return np.asarray(dug, dtype=object)


def edges_between(low: float, high: float, upper: Profile, level: float) -> Array:
    """Levels from low to high, cut at the profile's corners and into at least five pieces."""
    corners = [level - z for _, z in upper.corners if low < level - z < high]
    return np.unique(np.concatenate([np.linspace(low, high, 6), corners]))


def nodes(edges: Array) -> tuple[Array, Array]:
    """Levels of slices between edges, and how much each weighs [m]."""
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + _X)).ravel(), (half * _W).ravel()


# Outline, its place, dig profile near the ground, site level of the waterline, how far out the dig meets the ground
# [m].
Dug = tuple[Shape, Placed, Profile, float, float]


def shared_cut(digs: tuple[Dug, ...], ground: Plane) -> float:
    """What the cuts of several digs count more than once, where their edges run into each other [m³].

    By level slices from where two of them first touch up to the ground, 6 nodes a piece.

    Args:
        digs: Those that meet another.
        ground: In site axes.
    """
    from scipy.optimize import brentq

    thin = [shapely.transform(shape.polygon.simplify(THIN), placed.to_site) for shape, placed, *_ in digs]
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
