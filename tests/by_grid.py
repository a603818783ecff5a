"""The slow second way: a pool on a square grid. Distances by shapely, depths by the plain walk below, nothing by Bowl.

A cell counts with the depth at its middle. With cells of about a hundredth of the pool's width a volume comes out to
about 1e-4.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from pondkit.document.pool import Pool, Tier

Array = NDArray[np.float64]
Owner = tuple[int, int]


def pool_of(outline: dict[str, object], tiers: Sequence[Sequence[float]], **more: object) -> Pool:
    """A pool in SI: tiers as (depth, shelf, batter, gravel), each after the first figure left out as 0, 0 and 0."""
    named = [tier_of(f"zone {index}", *tier) for index, tier in enumerate(tiers)]
    return Pool.model_validate({"name": "pool", "outline": outline, "tiers": named} | more, context={"units": "si"})


def tier_of(zone: str, depth: float, shelf: float = 0.0, batter: float = 0.0, gravel: float = 0.0) -> dict[str, object]:
    return {"zone": zone, "depth": depth, "shelf": shelf, "batter": batter, "gravel": gravel}


def pit_of(at: tuple[float, float], outline: dict[str, object], tiers: Sequence[Sequence[float]], **more: object) -> dict[str, object]:
    return {"at": at, "outline": outline, "tiers": [tier_of(f"pit {index}", *tier) for index, tier in enumerate(tiers)]} | more


def walk(tiers: Sequence[Tier], top: float, inward: Array) -> tuple[Array, NDArray[np.int64]]:
    """Depth at distances inward from the outline, and the tier that gives it; -inf and -1 outside."""
    depth, owner = np.full(inward.shape, -np.inf), np.full(inward.shape, -1)
    at, z = 0.0, top
    for index, tier in enumerate(tiers):
        run = tier.batter * (tier.depth - z)
        face = (inward >= at) & (inward < at + run)
        depth[face] = z + (inward[face] - at) / tier.batter if run > 0 else 0.0
        owner[face] = index
        at, z = at + run, tier.depth
        floor = inward >= at
        depth[floor], owner[floor] = z, index
        at += tier.shelf
    return depth, owner


def distance(polygon: Polygon, points: Array) -> Array:
    """Distance inward from a polygon's edge (negative outside), shape (n, 2) -> (n,) [m]."""
    ring = np.asarray(polygon.exterior.coords)
    sides = shapely.linestrings(np.stack([ring[:-1], ring[1:]], axis=1))
    places = shapely.points(points)
    (order, _), away = shapely.STRtree(sides).query_nearest(places, return_distance=True, all_matches=False)
    out = np.empty(len(points))
    out[order] = away
    return np.where(shapely.contains_xy(polygon, points[:, 0], points[:, 1]), out, -out)


@dataclass(frozen=True)
class Grid:
    """Cells inside the waterline: place, depth, tier that gives it (0 for the pool, 1 … for its pits), area of one cell."""

    points: Array
    depth: Array
    owner: NDArray[np.int64]
    cell: float

    def volume(self, below: float = 0.0) -> float:
        return float(np.sum(np.maximum(self.depth - below, 0.0))) * self.cell

    def area(self, owner: Owner | None = None, deeper: float = -1.0) -> float:
        return float(np.sum(self._of(owner) & (self.depth > deeper))) * self.cell

    def water(self, owner: Owner) -> float:
        return float(np.sum(self.depth[self._of(owner)])) * self.cell

    def _of(self, owner: Owner | None) -> NDArray[np.bool_]:
        return np.ones(len(self.depth), bool) if owner is None else (self.owner == owner).all(axis=1)


def cells(low: Array, high: Array, step: float) -> Array:
    """Middles of square cells over a box, shape (n, 2)."""
    axes = [np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)


def grid(pool: Pool, outline: Polygon, pits: Sequence[Polygon] = (), across: int = 250) -> Grid:
    """A pool's water on a grid of about ``across`` cells; pits as polygons in the pool's own axes, each with its 'top' entered."""
    low, high = np.array(outline.bounds[:2]), np.array(outline.bounds[2:])
    step = float((high - low).max()) / across
    points = cells(low, high, step)
    points = points[shapely.contains_xy(outline, points[:, 0], points[:, 1])]
    depth, tier = walk(pool.tiers, 0.0, distance(outline, points))
    owner = np.stack([np.zeros_like(tier), tier], axis=1)
    for index, (pit, polygon) in enumerate(zip(pool.pits, pits, strict=True), 1):
        assert pit.top is not None
        deeper, tier = walk(pit.tiers, pit.top, distance(polygon, points))
        wins = deeper > depth  # a tie goes to the pool
        depth = np.where(wins, deeper, depth)
        owner[wins] = np.stack([np.full_like(tier, index), tier], axis=1)[wins]
    return Grid(points, depth, owner, step**2)
