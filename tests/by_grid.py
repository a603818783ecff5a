"""The slow second way: pools on a square grid. Distances by shapely, depths by the plain
walk below, nothing by ``PoolSurface``.

A cell counts with the depth at its middle. With 200 cells across a pool its volume comes out to about 1e-4.
"""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from pondkit import Project
from pondkit.geometry import trench
from pondkit.geometry.footprint import inside
from pondkit.geometry.hole import Hole as DugHole
from pondkit.geometry.outline import Placed, shape_of
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import TrenchCut, Trenches
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.pools.inputs import Pool, Tier
from pondkit.trades.pools.results import Surfaces
from pondkit.trades.pools.surfaces import PitOutline, lay_out

Array = NDArray[np.float64]
Owner = tuple[int, int]


def pool_of(outline: dict[str, object], tiers: Sequence[Sequence[float]], **more: object) -> Pool:
    """A pool in SI: tiers as (depth, shelf, batter, gravel), each after the first figure left out as 0, 0 and 0."""
    named = [tier_of(f"zone {index}", *tier) for index, tier in enumerate(tiers)]
    return Pool.model_validate({"name": "pool", "outline": outline, "tiers": named} | more, context={"units": "si"})


def tier_of(zone: str, depth: float, shelf: float = 0.0, batter: float = 0.0, gravel: float = 0.0) -> dict[str, object]:
    return {"zone": zone, "depth": depth, "shelf": shelf, "batter": batter, "gravel": gravel}


def pit_of(
    at: tuple[float, float], outline: dict[str, object], tiers: Sequence[Sequence[float]], **more: object
) -> dict[str, object]:
    return {
        "at": at,
        "outline": outline,
        "tiers": [tier_of(f"pit {index}", *tier) for index, tier in enumerate(tiers)],
    } | more


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
    """Cells inside the waterline: place, depth, tier that gives it (0 for the pool,
    1 … for its pits), area of one cell.
    """

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


def grid(pool: Pool, across: int = 200) -> Grid:
    """A pool's water on a grid of ``across`` cells along its longer side; each pit needs its 'top' entered."""
    outline = shape_of(pool.outline).polygon
    pits = []
    for pit in pool.pits:
        turned = rotate(shape_of(pit.outline).polygon, pit.turn_deg, origin=(0, 0))
        pits.append(translate(turned, pit.at[0], pit.at[1]))
    low, high = np.array(outline.bounds[:2]), np.array(outline.bounds[2:])
    step = float((high - low).max()) / across
    points = cells(low, high, step)
    points = points[shapely.contains_xy(outline, points[:, 0], points[:, 1])]
    depth, tier = walk(pool.tiers, 0.0, distance(outline, points))
    owner = np.stack([np.zeros_like(tier), tier], axis=1)
    for index, (pit, polygon) in enumerate(zip(pool.pits, pits, strict=True), 1):
        assert pit.top is not None
        near = np.flatnonzero(shapely.contains_xy(polygon, points[:, 0], points[:, 1]))
        deeper, tier = walk(pit.tiers, pit.top, distance(polygon, points[near]))
        wins = deeper > depth[near]  # a tie goes to the pool
        depth[near[wins]] = deeper[wins]
        owner[near[wins]] = np.stack([np.full_like(tier, index), tier], axis=1)[wins]
    return Grid(points, depth, owner, step**2)


def surfaces_of(pool: Pool, seat: tuple[float, float] | None = None, normal: float = 0.0) -> Surfaces:
    """The surfaces of a pool: ``seat`` as width and site level of an edging's
    base, ``normal`` as thickness laid [m].
    """
    shape = shape_of(pool.outline)
    holes = []
    for pit in pool.pits:
        inner, placed = shape_of(pit.outline), Placed(pit.at[0], pit.at[1], pit.turn_deg)
        holes.append(PitOutline(inner, placed, inside(inner, placed, shape)))
    return lay_out(pool, 0, shape, tuple(holes), seat, normal)


def project_of(*pools: Pool, ground: dict[str, object] | None = None, **option: object) -> Project:
    """A project of one option in SI."""
    site = {"ground": ground or {"kind": "level", "level": 0}}
    data = {"units": "si", "site": site, "options": [{"name": "A", "pools": pools} | option]}
    return Project.model_validate(data, context={"units": "si"})


def option_of(*pools: Pool, ground: dict[str, object] | None = None, **option: object) -> OptionResult:
    """An option worked out with a memory of its own."""
    return evaluate(project_of(*pools, ground=ground, **option)).options[0]


def take_out(cuts: Sequence[TrenchCut | DugHole], digs: Sequence[SiteSurface], ground: Terrain) -> Trenches:
    """What cuts and holes take out of the ground, and of the digs as far as a metre outside them."""
    return trench.take_out(trench.tops(cuts, [(dig, 1.0) for dig in digs], ground))


Line = tuple[Array, Array]  # a point on it, and its direction


def dig_track(pool: Pool, normal: float, high: float = 50.0) -> tuple[Array, Array]:
    """Distance inward and depth along the dig of a pool without edging, from far up the bank to its floor.

    By plain vectors: bank, faces and levels as lines in the plane (inward, down), levels lowered by their gravel, each
    moved at right angles to itself, neighbours cut with each other.
    """
    lines: list[Line] = [(np.zeros(2), np.array([pool.bank_batter, 1.0]))]
    at = np.zeros(2)
    for index, tier in enumerate(pool.tiers):
        lines.append((at, np.array([tier.batter, 1.0])))
        at = at + lines[-1][1] * (tier.depth - at[1])
        if tier.shelf > 0 or index == len(pool.tiers) - 1:
            lines.append((at + np.array([0.0, tier.gravel]), np.array([1.0, 0.0])))
            at = at + np.array([tier.shelf, 0.0])
    moved = [(point + normal * np.array([-way[1], way[0]]) / np.hypot(*way), way) for point, way in lines]
    corners = []
    for (here, way), (there, other) in itertools.pairwise(moved):
        cross = way[0] * other[1] - way[1] * other[0]
        if abs(cross) > 1e-12:  # faces of one batter go on in one plane
            gone = there - here
            corners.append(here + way * (gone[0] * other[1] - gone[1] * other[0]) / cross)
    first = corners[0] - moved[0][1] * high
    track = np.array([first, *corners, corners[-1] + np.array([1e4, 0.0])])
    return track[:, 0] + 1e-9 * np.arange(len(track)), track[:, 1]  # an upright face gets some width


def cut_and_fill(
    pools: Sequence[Pool],
    ground: Callable[[Array], Array],
    rims: Sequence[float],
    normal: float = 0.0,
    reach: float = 2.0,
    across: int = 400,
) -> tuple[list[float], float, float]:
    """Cut of each pool alone, cut of all together, and fill inside the rim lines [m³], on a grid of the site.

    Args:
        pools: Without edging and pits.
        ground: Its level at places on the site.
        rims: How far outward the rim of each lies [m].
        normal: Thickness laid on the digs [m].
        reach: How far outward the grid goes [m].
    """
    outlines = []
    for pool in pools:
        outline = shape_of(pool.outline).polygon
        outlines.append(translate(rotate(outline, pool.turn_deg, origin=(0, 0)), pool.at[0], pool.at[1]))
    box = np.array(shapely.total_bounds(outlines))
    low, high = box[:2] - reach, box[2:] + reach
    step = float((high - low).max()) / across
    points = cells(low, high, step)
    stands = ground(points)
    deepest = np.full(len(points), np.inf)
    fill, alone = np.zeros(len(points)), []
    for pool, outline, rim in zip(pools, outlines, rims, strict=True):
        away = distance(outline, points)
        level = pool.level - np.interp(away, *dig_track(pool, normal))
        alone.append(float(np.maximum(stands - level, 0.0).sum()) * step**2)
        deepest = np.minimum(deepest, level)
        own = np.where(away >= -rim, np.maximum(level - stands, 0.0), 0.0)
        crossed = np.flatnonzero(np.abs(away + rim) < step)  # cells at the rim line: each in 6 x 6 parts
        parts = cells(np.full(2, -step / 2), np.full(2, step / 2), step / 6)
        fine = (points[crossed, None] + parts).reshape(-1, 2)
        away = distance(outline, fine)
        level = pool.level - np.interp(away, *dig_track(pool, normal))
        own[crossed] = (
            np.where(away >= -rim, np.maximum(level - ground(fine), 0.0), 0.0).reshape(len(crossed), -1).mean(axis=1)
        )
        fill += own
    return alone, float(np.maximum(stands - deepest, 0.0).sum()) * step**2, float(fill.sum()) * step**2
