"""Existing ground as a plane, and what a bowl takes out of it or leaves open above it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.optimize import brentq

from pondkit.document.project import Ground, LevelGround
from pondkit.surface.bowl import Bowl, Part
from pondkit.surface.outline import Array, Placed, Shape
from pondkit.surface.profile import Profile

_X, _W = np.polynomial.legendre.leggauss(6)
THIN = 2e-3  # m: outlines are simplified to this where only what two digs share is counted
WIDE = 1e4  # m: half-planes are cut from a square of this size


class TooSteep(ValueError):
    """Ground that falls as steeply as the bank rises: the two never meet."""


@dataclass(frozen=True)
class Plane:
    """Ground level = level + east x + north y, all in metres; east and north are rises per metre."""

    level: float
    east: float
    north: float

    def at(self, points: Array) -> Array:
        """Ground level at places, shape (n, 2) -> (n,) [m]."""
        return self.level + points @ np.array([self.east, self.north])

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

    def above(self, level: Array) -> NDArray[np.object_]:
        """Half-planes on which the ground stands above each level, shape (n,); the slope must not be 0."""
        uphill = np.array([self.east, self.north]) / self.slope
        side = np.array([-uphill[1], uphill[0]])
        start = ((np.asarray(level) - self.level) / self.slope)[:, None] * uphill
        corners = np.stack([start - WIDE * side, start + WIDE * side, start + WIDE * (side + uphill), start + WIDE * (uphill - side)], axis=1)
        return np.asarray(shapely.polygons(corners), dtype=object)


def plane_of(ground: Ground) -> Plane:
    """The document's ground as a plane in site axes."""
    if isinstance(ground, LevelGround):
        return Plane(ground.level, 0.0, 0.0)
    bearing = math.radians(ground.toward_deg)
    return Plane(ground.level, -ground.fall * math.sin(bearing), -ground.fall * math.cos(bearing))


@dataclass(frozen=True, eq=False)
class Band:
    """What lies between the levels where the ground begins to cut the dig and where it ends.

    Attributes:
        below: Depth under the waterline from which down the dig lies wholly in the ground [m].
        cut: Volume of cut above that depth [m³].
        fill: Volume between ground and dig surface inside the rim line, where the ground is lower [m³].
        reach: Distance outward from the outline within which the dig meets the ground [m].
    """

    below: float
    cut: float
    fill: float
    reach: float


def band(shape: Shape, upper: Profile, rim: float, rim_level: float, level: float, ground: Plane) -> Band:
    """Cut and fill where the ground's surface runs through the dig.

    Args:
        shape: Outline, in its own axes.
        upper: Dig profile, of which only the lines near the ground matter.
        rim: Horizontal distance from the outline out to the rim of the dig [m].
        rim_level, level: Site levels of rim and waterline [m].
        ground: In the outline's own axes.
    Raises: TooSteep if bank and ground never meet.
    """
    heights = ground.at(shape.coords)
    lowest, highest = float(heights.min()), float(heights.max())
    slope = ground.slope

    def out(h: float) -> float:
        return max(-float(upper.inward(np.array([level - h]))[0]), 0.0)

    if slope * upper.lines[0].batter >= 1:
        raise TooSteep
    deep = level - 25.0
    if lowest - slope * out(deep) <= deep:
        raise TooSteep
    h0 = float(brentq(lambda h: lowest - slope * out(h) - h, deep, max(lowest, deep) + 1e-6))
    top = max(highest + slope * out(highest), highest) + 1.0
    while highest + slope * out(top) > top and top < level + 25:
        top += 1.0
    h1 = float(brentq(lambda h: highest + slope * out(h) - h, h0 - 1e-9, top)) if highest + slope * out(top) < top else top
    edges = _edges(h0, h1, upper, level) if h1 - h0 > 1e-9 else np.array([h0])
    cut = fill = 0.0
    part = Bowl(Part(shape, Placed(0.0, 0.0, 0.0), upper))
    if len(edges) > 1:
        h, weight = _nodes(edges)
        cut = float(np.sum(weight * _cut_areas(part, h, level, ground)))
    low = lowest - slope * rim
    if low < rim_level:
        rim_line = shape.moved(np.array([-rim]))[0]
        h, weight = _nodes(_edges(low, rim_level, upper, level))
        under = np.zeros(len(h))
        if slope > 0:
            under = shapely.area(rim_line) - shapely.area(shapely.intersection(np.full(len(h), rim_line), ground.above(h)))
        else:
            under = np.full(len(h), float(shapely.area(rim_line)))
        dug_under = part.area(level - h) - _cut_areas(part, h, level, ground)
        fill = float(np.sum(weight * np.maximum(under - dug_under, 0.0)))
    return Band(level - h0, cut, fill, out(h1))


def _edges(low: float, high: float, upper: Profile, level: float) -> Array:
    """Levels from low to high, cut at the profile's corners and into at least three pieces."""
    corners = [level - z for _, z in upper.corners if low < level - z < high]
    return np.unique(np.concatenate([np.linspace(low, high, 4), corners]))


def _nodes(edges: Array) -> tuple[Array, Array]:
    half = np.diff(edges)[:, None] / 2
    return (edges[:-1, None] + half * (1 + _X)).ravel(), (half * _W).ravel()


def _cut_areas(part: Bowl, h: Array, level: float, ground: Plane) -> Array:
    """Plan area, at each level, of what is inside the dig and under the ground's surface, shape (n,) [m²]."""
    if ground.slope == 0:
        return np.where(h < ground.level, part.area(level - h), 0.0)
    return np.asarray(shapely.area(shapely.intersection(part.regions(level - h), ground.above(h))), dtype=float)


Dug = tuple[Shape, Placed, Profile, float]  # outline, its place, dig profile near the ground, site level of the waterline [m]


def shared_cut(digs: tuple[Dug, ...], ground: Plane) -> float:
    """What the cuts of several digs count more than once, where their edges run into each other [m³].

    By level slices from where two of them first touch up to the ground, 6 nodes a piece.

    Args:
        digs: Those that meet another.
        ground: In site axes.
    """
    thin = [shapely.transform(shape.polygon.simplify(THIN), placed.to_site) for shape, placed, _, _ in digs]
    high = max(float(ground.at(placed.to_site(shape.coords)).max()) for shape, placed, _, _ in digs) + 0.5 * ground.slope

    def outward(h: Array) -> list[Array]:
        return [-upper.inward(level - h) for _, _, upper, level in digs]

    tries = np.linspace(high - 3.0, high, 61)
    out = outward(tries)
    touch = np.zeros(len(tries), dtype=bool)
    for i in range(len(digs)):
        for j in range(i):
            touch |= np.maximum(out[i], 0) + np.maximum(out[j], 0) > thin[i].distance(thin[j])
    if not touch.any():
        return 0.0
    low = float(tries[max(int(np.argmax(touch)) - 1, 0)])
    corners = [level - z for _, _, upper, level in digs for _, z in upper.corners if low < level - z < high]
    h, weight = _nodes(np.unique(np.concatenate([np.linspace(low, high, 3), corners])))
    stacks = [shapely.buffer(np.full(len(h), ring), np.maximum(away, 0.0), quad_segs=16) for ring, away in zip(thin, outward(h), strict=True)]
    together = stacks[0]
    for stack in stacks[1:]:
        together = shapely.union(together, stack)
    if ground.slope:
        half = ground.above(h)
        alone = sum(shapely.area(shapely.intersection(stack, half)) for stack in stacks)
        both = shapely.area(shapely.intersection(together, half))
    else:
        alone, both = sum(shapely.area(stack) for stack in stacks), shapely.area(together)
    return float(np.sum(weight * (alone - both)))


def length_above(ring: Array, level: float, ground: Plane) -> float:
    """Length of a closed line at a level that stands above the ground, corners exact on a plane, shape (n, 2) [m]."""
    high = level - ground.at(ring)
    steps = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    before, after = high[:-1], high[1:]
    both = np.where((before > 1e-9) & (after > 1e-9), 1.0, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        cross = np.where(before * after < 0, np.maximum(before, after) / np.abs(before - after), both)
    return float(np.sum(steps * cross))
