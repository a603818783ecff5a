"""The hole as it was found: the drawn surface moved up or down by what was measured, and what that changes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from pondkit.surface.bowl import Part
from pondkit.surface.outline import Array, Placed
from pondkit.surface.path import Laid, Trace, line_rays, trace
from pondkit.surface.profile import SLIT
from pondkit.surface.sheet import Sheet, over_ground, sheet_over

AT = 1e-4  # m: nearer to a measured place than this is at it
STATIONS = 64  # places along each ring
STRIPS = 4  # even strips between two breaks of a profile
STEP = 1e-3  # m: over which the slope of the correction is read
SAMPLES = 240  # along a tape line


@dataclass(frozen=True)
class Correction:
    """How far a hole as found stands over the one drawn, between the places where it was measured.

    The mean of all that was measured, weighted by the inverse square of the distance: it passes through every measured place,
    keeps a difference that is the same everywhere, and never leaves the range of what was measured.

    Attributes:
        places: On the site [m], at least one.
        over: Level found less level drawn at each [m].
    """

    places: tuple[tuple[float, float], ...]
    over: tuple[float, ...]

    def at(self, points: Array) -> Array:
        """The correction at places on the site, shape (n, 2) -> (n,) [m]."""
        away = np.maximum(self._away(points), AT)
        weight = away**-2
        return np.asarray(weight @ np.array(self.over) / weight.sum(axis=1))

    def furthest(self, points: Array) -> float:
        """Distance from the worst placed of some places to the nearest measured one [m]."""
        return float(self._away(points).min(axis=1).max())

    def slope(self, points: Array) -> Array:
        """Rise over distance east and north, shape (n, 2)."""
        east, north = np.array([STEP, 0.0]), np.array([0.0, STEP])
        rises = [self.at(points + step) - self.at(points - step) for step in (east, north)]
        return np.stack(rises, axis=1) / (2 * STEP)

    def _away(self, points: Array) -> Array:
        return np.asarray(np.linalg.norm(points[:, None, :] - np.array(self.places)[None, :, :], axis=2))


@dataclass(frozen=True, eq=False)
class Changed:
    """What a correction changes of a pool below its waterline.

    Attributes:
        volume: More water than drawn [m³].
        wetted: More true area under water than drawn [m²].
        far: From the place of the pool that is furthest from any measured one to the nearest [m].
    """

    volume: float
    wetted: float
    far: float


def changed(laid: Laid, correction: Correction) -> Changed:
    """What a correction changes of a surface: along rings at distances inward, with whose lengths areas are exact.

    Args:
        laid: The surface as drawn.
        correction: How far it was found over that; on the bank as far as the rim.
    """
    volume = wetted = 0.0
    far = correction.furthest(laid.placed.to_site(laid.bowl.pool.shape.coords))
    for index, part in enumerate(laid.bowl.parts):
        rim, top = (laid.rim, laid.level - laid.rim_level) if index == 0 else (0.0, 0.0)
        rings = _rings(part, rim, top)
        if rings is None:
            continue
        own = part.placed.to_site(rings.points)
        site = laid.placed.to_site(own)
        over, slope = correction.at(site), correction.slope(site)
        depths = [one.profile.depth(one.shape.inward(one.placed.to_own(own))) for one in laid.bowl.parts]
        if index == 0:
            # By the pool's rings alone, pits or not: what is deeper than drawn hangs on no part.
            drawn = np.maximum.reduce(depths)
            more = _water(drawn - over, rings.drop) - _water(drawn, rings.drop)
            volume = float(np.sum(more * rings.share * rings.wide))
            far = max(far, correction.furthest(site))
        across = np.einsum("ij,ij->i", slope, _turned(rings.inward, part.placed.turn_deg + laid.placed.turn_deg))
        # The faces' own length, and that which the slope of the correction adds; an upright face is as high as it was.
        flat = np.hypot(rings.wide, rings.drop)
        steep = (slope**2).sum(axis=1) * rings.wide**2 - 2 * rings.drop * across * rings.wide
        true = np.sqrt(np.maximum(flat**2 + steep, 0.0))
        share = rings.share.copy()
        for other, there in enumerate(depths):
            if other != index:  # only where no other part lies deeper; where two are as deep, the first has it
                share *= _under(rings.depth - there + (SLIT if other > index else -SLIT), rings.drop)
        under = true * _under(rings.depth - over, rings.drop) - flat * _under(rings.depth, rings.drop)
        wetted += float(np.sum(share * under))
    return Changed(volume, wetted, far)


@dataclass(frozen=True, eq=False)
class _Rings:
    """Places along a part's outline moved inward, in its own axes, with the strip of surface for which they stand.

    Attributes:
        points: Shape (n, 2) [m].
        inward: Unit vectors inward, shape (n, 2).
        share: Length of its ring that each stands for, shape (n,) [m].
        depth: Of the strip's middle, shape (n,) [m].
        wide: Width of the strip in plan [m]; 0 for an upright face, shape (n,).
        drop: From edge to edge, shape (n,) [m].
    """

    points: Array
    inward: Array
    share: Array
    depth: Array
    wide: Array
    drop: Array


def _rings(part: Part, rim: float, top: float) -> _Rings | None:
    """Rings of a part from ``rim`` outside its outline to its middle, in even strips between breaks.

    Args:
        part: The part.
        rim: How far outside its outline it begins [m].
        top: Depth at which an upright face there begins [m].
    """
    strips = np.array(list(_strips(part, rim, top)))
    if not len(strips):
        return None
    moved = part.shape.moved(strips[:, 0])
    lines, rows = [], []
    for row, polygon in enumerate(moved):
        for ring in getattr(polygon, "geoms", [polygon]):
            if isinstance(ring, Polygon) and not ring.is_empty:
                lines.append(orient(ring).exterior)
                rows.append(row)
    points = np.stack([_evenly(np.asarray(line.coords, dtype=float)) for line in lines])
    ahead = np.roll(points, -1, axis=1) - np.roll(points, 1, axis=1)
    length = np.maximum(np.linalg.norm(ahead, axis=2), SLIT)
    inward = np.stack([-ahead[:, :, 1], ahead[:, :, 0]], axis=2) / length[:, :, None]
    share = np.repeat(shapely.length(lines) / STATIONS, STATIONS)
    _, depth, wide, drop = np.repeat(strips[rows], STATIONS, axis=0).T
    return _Rings(points.reshape(-1, 2), inward.reshape(-1, 2), share, depth, wide, drop)


def _evenly(ring: Array) -> Array:
    """Places at even distances along a closed line, shape (STATIONS, 2) [m]: far faster than the library's own."""
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
    at = (np.arange(STATIONS) + 0.5) / STATIONS * along[-1]
    return np.stack([np.interp(at, along, ring[:, 0]), np.interp(at, along, ring[:, 1])], axis=1)


def _strips(part: Part, rim: float, top: float) -> Iterator[tuple[float, float, float, float]]:
    """(distance inward, depth, width in plan, drop) of each strip, by its middle [m]."""
    profile, end = part.profile, part.shape.inradius * (1 - 1e-9)
    marks = np.concatenate([profile.breaks, [-rim, 0.0, end], part.shape.breaks])
    edges = np.unique(marks[(marks >= -rim - SLIT) & (marks <= end)])
    for low, high in pairwise(edges):
        upper, lower = (float(depth) for depth in profile.depth(np.array([low, high])))
        upright = high - low <= 2 * SLIT
        upper = max(upper, top) if upright else upper
        if upright and lower - upper < 2 * SLIT:
            continue
        wide, drop = (high - low) / STRIPS, (lower - upper) / STRIPS
        for step in range(STRIPS):
            at = (low + high) / 2 if upright else low + (step + 0.5) * wide
            yield at, upper + (step + 0.5) * drop, 0.0 if upright else wide, drop


def _turned(vectors: Array, degrees: float) -> Array:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.asarray(vectors @ np.array([[c, s], [-s, c]]))


def _under(depth: Array, drop: Array) -> Array:
    """Share of a strip that lies under water, by the depth of its middle and its drop from edge to edge."""
    return np.asarray(np.clip(0.5 + depth / np.maximum(drop, SLIT), 0.0, 1.0))


def _water(depth: Array, drop: Array) -> Array:
    """Mean water over a strip, by the depth of its middle and its drop from edge to edge [m]."""
    half = np.maximum(np.abs(drop) / 2, SLIT)
    partly = (np.clip(depth, -half, half) + half) ** 2 / (4 * half)
    return np.asarray(np.where(depth > half, depth, partly))


@dataclass(frozen=True)
class Way:
    """A straight line over the hole.

    Attributes:
        length: Way over the surface from its start to its end, over the ground level with the rims [m].
        beyond: Of it before the first rim, and behind the last [m].
        pools: Indexes of the pools that it crosses.
    """

    length: float
    beyond: tuple[float, float]
    pools: tuple[int, ...]


def way_over(
    laid: Sequence[Laid],
    start: tuple[float, float],
    end: tuple[float, float],
    corrections: Sequence[Correction | None],
) -> Way:
    """The way over surfaces along a straight line from ``start`` to ``end`` (site, metres).

    Args:
        laid: The surfaces as drawn.
        start, end: Apart from each other.
        corrections: Of each surface; None where it is as drawn.
    """
    rays = line_rays([outline for one in laid for outline in one.outlines()], start, end, SAMPLES)
    nodes = trace(rays, laid)
    inside = np.flatnonzero(nodes.inside >= 0)
    total = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if not len(inside):
        return Way(total, (total, 0.0), ())
    ahead = np.array([end[0] - start[0], end[1] - start[1]]) / total
    points = np.array(start) + nodes.station[:, None] * ahead
    level = over_ground(moved_nodes(nodes, points, laid, corrections), laid)
    length = float(np.sum(np.hypot(np.diff(nodes.station), np.diff(level))))
    beyond = float(nodes.station[inside[0]]), total - float(nodes.station[inside[-1]])
    return Way(length, beyond, tuple(int(pool) for pool in np.unique(nodes.inside[inside])))


def moved_nodes(nodes: Trace, points: Array, laid: Sequence[Laid], corrections: Sequence[Correction | None]) -> Trace:
    """Nodes at places on the site, shape (n, 2), whose levels inside each pool are as found, up to its rim."""
    level = nodes.level.copy()
    for pool, correction in enumerate(corrections):
        inside = nodes.inside == pool
        if correction is not None and inside.any():
            level[inside] = np.minimum(level[inside] + correction.at(points[inside]), laid[pool].rim_level)
    return replace(nodes, level=level)


def sheet_found(sheet: Sheet, turn_deg: float, edge: float, corrections: tuple[Correction | None, ...]) -> Sheet:
    """A sheet over the hole as found, see ``sheet.reach``; rims and what lies beyond them are as drawn.

    Args:
        sheet: Over the hole as drawn.
        turn_deg: Its direction.
        edge: How far it lies beyond every rim [m].
        corrections: Of each pool under it; None where it is as drawn.
    """
    nodes = sheet.nodes
    places = np.stack([nodes.station, sheet.all_offsets[nodes.line]], axis=1)
    points = Placed(0.0, 0.0, turn_deg).to_site(places)
    return sheet_over(moved_nodes(nodes, points, sheet.laid, corrections), sheet.all_offsets, sheet.laid, edge)
