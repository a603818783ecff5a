"""A hole as surveyed: the drawn surface moved up or down by what was measured, taped lines over it, and the change in
volume and wetted area, summed over rings that depend only on the outline."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.lines import Between, line_rays
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import Basin
from pondkit.geometry.profile import SLIT
from pondkit.geometry.site_surface import SiteSurface, Trace, over_ground, trace
from pondkit.geometry.terrain import Terrain, unsurveyed

AT = 1e-4  # m: nearer to a measured place than this is at it
SAMPLES = 240  # along a tape line
NEAR = 0.005  # m: from place to place along one outside the rims


@dataclass(frozen=True)
class Correction:
    """How far a hole as found stands over the one drawn, between the places where it was measured.

    The mean of all that was measured, weighted by the inverse square of the distance: it passes through every
    measured place,
    keeps a difference that is the same everywhere, and never leaves the range of what was measured.

    Attributes:
        places: On the site [m], at least one.
        over: Level found less level drawn at each [m].
    """

    places: tuple[tuple[float, float], ...]
    over: tuple[float, ...]

    def at(self, points: Array) -> Array:
        """The correction at places on the site, shape (n, 2) -> (n,) [m]."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        return np.asarray(weight @ np.array(self.over) / weight.sum(axis=1))

    def furthest(self, points: Array) -> float:
        """Distance from the worst placed of some places to the nearest measured one [m]."""
        return float(np.sqrt(self._square(points).min(axis=1).max()))

    def slope(self, points: Array) -> Array:
        """Rise over distance east and north, shape (n, 2)."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        whole = weight.sum(axis=1)
        off = (np.array(self.over) - (weight @ np.array(self.over) / whole)[:, None]) * -2.0 * weight**2
        places = np.array(self.places)
        # Each weight falls by twice its square times the distance; their common fall is taken off again.
        rises = [(off * (points[:, k : k + 1] - places[:, k])).sum(axis=1) / whole for k in (0, 1)]
        return np.stack(rises, axis=1)

    def _square(self, points: Array) -> Array:
        """Square of the distance of each point from each measured place, shape (n, m) [m²]."""
        places = np.array(self.places)
        return np.asarray((points[:, :1] - places[:, 0]) ** 2 + (points[:, 1:] - places[:, 1]) ** 2)


@dataclass(frozen=True)
class Way:
    """A straight line over the hole.

    Attributes:
        length: Way over the surface from its start to its end [m].
        beyond: Level distance before the first rim, and behind the last [m].
        pools: Indexes of the pools that it crosses.
        unknown: True where part of it runs over ground that was not surveyed.
    """

    length: float
    beyond: tuple[float, float]
    pools: tuple[int, ...]
    unknown: bool = False


@dataclass(frozen=True)
class Surroundings:
    """What lies round the rims.

    Attributes:
        ground: As it is, where it is not dug away nor built over.
        crest, slope: Of banks where a rim stands over it: level width outside the rim [m], and run for one of fall
        from there.
    """

    ground: Terrain
    crest: float
    slope: float

    def at(self, points: Array, laid: Sequence[SiteSurface]) -> Array:
        """Level of what is there outside the rims, shape (n, 2) -> (n,) [m]: the dig's face up to the ground, or the
        bank down to it."""
        level = self.ground.at(points)
        inward = [one.surface.pool.shape.inward(one.placed.to_own(points)) for one in laid]
        for one, away in zip(laid, inward, strict=True):
            level = np.maximum(level, one.rim_level - np.maximum(-away - one.rim - self.crest, 0.0) / self.slope)
        for one, away in zip(laid, inward, strict=True):
            batter = one.surface.pool.profile.lines[0].batter
            if batter > 0:
                level = np.minimum(level, one.rim_level + np.maximum(-away - one.rim, 0.0) / batter)
        return np.asarray(level)


surroundings_of = remembered(Surroundings)


@remembered
def way_over(
    laid: Sequence[SiteSurface],
    start: tuple[float, float],
    end: tuple[float, float],
    corrections: Sequence[Correction | None],
    surroundings: Surroundings | None = None,
) -> Way:
    """The way over surfaces along a straight line from ``start`` to ``end`` (site, metres).

    Args:
        laid: The surfaces as drawn.
        start, end: Apart from each other.
        corrections: Of each surface; None where it is as drawn.
        surroundings: What lies outside the rims; None to take it level with them.
    """
    total = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if not laid:
        return Way(total, (total, 0.0), ())
    rays = line_rays(tuple(outline for one in laid for outline in one.outlines()), start, end, SAMPLES)
    nodes = trace(rays, laid)
    inside = np.flatnonzero(nodes.inside >= 0)
    if not len(inside):
        return Way(total, (total, 0.0), ())
    ahead = np.array([end[0] - start[0], end[1] - start[1]]) / total
    points = np.array(start) + nodes.station[:, None] * ahead
    moved = moved_nodes(nodes, points, laid, corrections)
    if surroundings is None:
        station, level, unknown = moved.station, over_ground(moved, laid), False
    else:
        station, level = _through(moved, total, lambda at: surroundings.at(np.array(start) + at[:, None] * ahead, laid))
        unknown = unsurveyed(np.array(start) + station[:, None] * ahead, surroundings.ground)
    length = float(np.sum(np.hypot(np.diff(station), np.diff(level))))
    beyond = float(nodes.station[inside[0]]), total - float(nodes.station[inside[-1]])
    return Way(length, beyond, tuple(int(pool) for pool in np.unique(nodes.inside[inside])), unknown)


def _through(nodes: Trace, total: float, outside: Callable[[Array], Array]) -> tuple[Array, Array]:
    """Stations and levels of one line from its start to its end, in the rims by its nodes, outside them by places
    near each other.

    Where one ends and the other begins there are two places at one station: a face between them is as long as it is
    high.
    """
    within = nodes.inside >= 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], within, [False]])))  # start and end of each stretch within
    stations, levels, at = [], [], 0.0
    for first, last in edges.reshape(-1, 2):
        gap = _near(at, float(nodes.station[first]))
        stations += [gap, nodes.station[first:last]]
        levels += [outside(gap), nodes.level[first:last]]
        at = float(nodes.station[last - 1])
    gap = _near(at, total)
    return np.concatenate([*stations, gap]), np.concatenate([*levels, outside(gap)])


def _near(start: float, end: float) -> Array:
    return np.linspace(start, end, max(int(np.ceil((end - start) / NEAR)), 1) + 1)


def moved_nodes(
    nodes: Trace, points: Array, laid: Sequence[SiteSurface], corrections: Sequence[Correction | None]
) -> Trace:
    """Nodes at places on the site, shape (n, 2), whose levels inside each pool are as found, up to its rim.

    Where the surface as found comes up to the rim between two nodes there is one more: a steep bank would be cut
    short there.
    """
    level = nodes.level.copy()
    over = np.zeros(len(level))
    for pool, correction in enumerate(corrections):
        inside = nodes.inside == pool
        if correction is not None and inside.any():
            level[inside] += correction.at(points[inside])
            over[inside] = level[inside] - laid[pool].rim_level
    found = np.flatnonzero(over[:-1] * over[1:] < 0)
    found = found[(nodes.line[found] == nodes.line[found + 1]) & (nodes.inside[found] == nodes.inside[found + 1])]
    more = Between(len(level), found, over[found] / (over[found] - over[found + 1]))
    rims = np.array([pool.rim_level for pool in laid])
    inside = more.same(nodes.inside)
    level = more(level)
    held = (inside >= 0) & np.array([correction is not None for correction in corrections])[inside]
    level[held] = np.minimum(level[held], rims[inside[held]])
    return Trace(
        more.same(nodes.line), more(nodes.station), level, inside, tuple(more(inward) for inward in nodes.inward)
    )


STATIONS = 64  # places along each ring
STRIPS = 4  # even strips between two breaks of a profile
ROWS = 48  # distances inward at which an outline has rings, at the least
APART = 1e-6  # m: a row just before and one just behind a distance at which the outline changes its number of parts
MARGIN = 0.25  # m: step of how far outside the outline rings go


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


@dataclass(frozen=True, eq=False)
class Rings:
    """Places along an outline moved inward to each of some distances, on the site; where it falls apart, along all
    its parts.

    Attributes:
        inward: The distances, ascending, shape (j,) [m].
        points: Shape (j, k, 2) [m].
        toward: Unit vectors inward, shape (j, k, 2).
        share: Length of its ring that each stands for, 0 where a row has fewer, shape (j, k) [m].
        beside: For each outline of the pool, distance inward from it, shape (j, k) [m].
    """

    inward: Array
    points: Array
    toward: Array
    share: Array
    beside: tuple[Array, ...]

    def rows(self, inward: Array) -> tuple[NDArray[np.int64], Array]:
        """The two rows round each distance, shape (n, 2), and how much each of them counts."""
        upper = np.clip(np.searchsorted(self.inward, inward), 1, len(self.inward) - 1)
        low, high = self.inward[upper - 1], self.inward[upper]
        part = np.clip((inward - low) / (high - low), 0.0, 1.0)
        return np.stack([upper - 1, upper], axis=1), np.stack([1 - part, part], axis=1)


def margin_round(rim: float) -> float:
    """How far outside its outline a pool's rings begin [m]: in whole steps, so that they stay when a tier moves the
    rim a little."""
    return float(np.ceil(rim / MARGIN + 1e-9)) * MARGIN


@remembered
def rings_of(outlines: tuple[tuple[Shape, Placed], ...], index: int, margin: float) -> Rings:
    """Rings of one of a pool's outlines, from ``margin`` outside it to its middle.

    Args:
        outlines: Of the pool and its pits, with where their axes lie on the site.
        index: Which of them.
        margin: At least the rim's distance from the pool's outline [m]; 0 for a pit.
    """
    shape, placed = outlines[index]
    end = shape.inradius * (1 - 1e-9)
    sides = [at + side for at in shape.breaks for side in (-APART, APART) if -margin < at + side < end]
    inward = np.unique(np.concatenate([np.linspace(-margin, end, ROWS), [0.0], sides]))
    rows = []
    for polygon in shape.moved(inward):
        parts = [
            part for part in getattr(polygon, "geoms", [polygon]) if isinstance(part, Polygon) and not part.is_empty
        ]
        rows.append([np.asarray(orient(part).exterior.coords, dtype=float) for part in parts])
    most = max(len(row) for row in rows)
    points = np.zeros((len(rows), most, STATIONS, 2))
    share = np.zeros((len(rows), most, STATIONS))
    for at, row in enumerate(rows):
        for number, ring in enumerate(row):
            points[at, number], share[at, number] = _evenly(ring)
    ahead = np.roll(points, -1, axis=2) - np.roll(points, 1, axis=2)
    length = np.maximum(np.linalg.norm(ahead, axis=3), SLIT)
    toward = np.stack([-ahead[..., 1], ahead[..., 0]], axis=3) / length[..., None]
    site = placed.to_site(points.reshape(-1, 2))
    turned = placed.to_site(toward.reshape(-1, 2)) - placed.to_site(np.zeros((1, 2)))
    size = (len(rows), most * STATIONS)
    return Rings(
        inward,
        site.reshape(*size, 2),
        turned.reshape(*size, 2),
        share.reshape(size),
        tuple(other.inward(own.to_own(site)).reshape(size) for other, own in outlines),
    )


@remembered
def changed(laid: SiteSurface, correction: Correction, rings: tuple[Rings, ...]) -> Changed:
    """What a correction changes of a surface: by strips along rings, with whose lengths areas are exact.

    Args:
        laid: The surface as drawn.
        correction: How far it was found over that, inside the waterline; the bank beyond it is taken as drawn.
        rings: Of the pool's outline and of each pit's.
    """
    volume = wetted = 0.0
    far = correction.furthest(laid.placed.to_site(laid.surface.pool.shape.coords))
    for index, (part, own) in enumerate(zip(laid.surface.parts, rings, strict=True)):
        rim, top = (laid.rim, laid.level - laid.rim_level) if index == 0 else (0.0, 0.0)
        strips = np.array(list(_strips(part, rim, top)))
        if not len(strips):
            continue
        flat = own.points.reshape(-1, 2)
        over, slope = correction.at(flat).reshape(own.share.shape), correction.slope(flat).reshape(own.points.shape)
        rows, counts = own.rows(strips[:, 0])
        depth, wide, drop = (column[:, None, None] for column in strips[:, 1:].T)
        beyond = strips[:, 0] < 0
        share, over = own.share[rows] * counts[:, :, None], over[rows]
        over[beyond] = 0.0
        depths = [
            np.broadcast_to(depth, over.shape) if other == index else one.profile.depth(own.beside[other][rows])
            for other, one in enumerate(laid.surface.parts)
        ]
        if index == 0:
            # By the pool's rings alone, pits or not: what is deeper than drawn depends on no part.
            drawn = np.maximum.reduce(depths)
            more = _water(drawn - over, drop) - _water(drawn, drop)
            volume = float(np.sum(more * share * wide))
            inside = (own.share > 0) & (own.inward >= -laid.rim)[:, None]
            far = max(far, correction.furthest(own.points[inside]))
        across = np.einsum("jki,jki->jk", slope, own.toward)[rows]
        steepness = (slope**2).sum(axis=2)[rows]
        across[beyond] = steepness[beyond] = 0.0
        # The faces' own length, and that which the slope of the correction adds; an upright face is as high as it was.
        faces = np.hypot(wide, drop)
        true = np.sqrt(np.maximum(faces**2 + steepness * wide**2 - 2 * drop * across * wide, 0.0))
        for other, there in enumerate(depths):
            if other != index:  # only where no other part lies deeper; where two are as deep, the first has it
                share = share * _under(depth - there + (SLIT if other > index else -SLIT), drop)
        under = true * _under(depth - over, drop) - faces * _under(depth, drop)
        wetted += float(np.sum(share * under))
    return Changed(volume, wetted, far)


def _evenly(ring: Array) -> tuple[Array, float]:
    """Places at even distances along a closed line, shape (STATIONS, 2), and the length that each stands for [m]."""
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
    at = (np.arange(STATIONS) + 0.5) / STATIONS * along[-1]
    places = np.stack([np.interp(at, along, ring[:, 0]), np.interp(at, along, ring[:, 1])], axis=1)
    return places, float(along[-1]) / STATIONS


def _strips(part: Basin, rim: float, top: float) -> Iterator[tuple[float, float, float, float]]:
    """(distance inward, depth, width in plan, drop) of each strip, by its middle [m]."""
    profile, end = part.profile, part.shape.inradius * (1 - 1e-9)
    marks = np.concatenate([profile.breaks, [-rim, 0.0, end], part.shape.breaks])
    edges = np.unique(marks[(marks >= -rim - SLIT) & (marks <= end)])
    for low, high in pairwise(edges):
        upper, lower = (float(depth) for depth in profile.depth(np.array([low, high])))
        upright = high - low <= 2 * SLIT
        if upright:
            upper, lower = max(min(upper, lower), top), max(upper, lower)
        if upright and lower - upper < 2 * SLIT:
            continue
        wide, drop = (high - low) / STRIPS, (lower - upper) / STRIPS
        for step in range(STRIPS):
            at = (low + high) / 2 if upright else low + (step + 0.5) * wide
            yield at, upper + (step + 0.5) * drop, 0.0 if upright else wide, drop


def _under(depth: Array, drop: Array) -> Array:
    """Share of a strip that lies under water, by the depth of its middle and its drop from edge to edge."""
    return np.asarray(np.clip(0.5 + depth / np.maximum(drop, SLIT), 0.0, 1.0))


def _water(depth: Array, drop: Array) -> Array:
    """Mean water over a strip, by the depth of its middle and its drop from edge to edge [m]."""
    half = np.maximum(np.abs(drop) / 2, SLIT)
    partly = (np.clip(depth, -half, half) + half) ** 2 / (4 * half)
    return np.asarray(np.where(depth > half, depth, partly))
