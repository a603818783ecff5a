"""As-built surface: the design surface shifted by the surveyed differences, taped lines over it, and the change in
volume and wetted area, summed over rings that depend only on the outline.
"""

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

AT = 1e-4  # m: places nearer to a surveyed place than this coincide with it
SAMPLES = 240  # along a tape line
NEAR = 0.005  # m: spacing of places on a line outside the rims


@dataclass(frozen=True)
class Correction:
    """Height of an as-built excavation above its design, interpolated between the surveyed places.

    Inverse-distance weighting with power 2: the interpolation passes through every surveyed place, reproduces a
    uniform difference, and stays within the range of the measurements.

    Attributes:
        places: Surveyed places on the site [m], at least one.
        over: Surveyed less design level at each [m].
    """

    places: tuple[tuple[float, float], ...]
    over: tuple[float, ...]

    def at(self, points: Array) -> Array:
        """The correction at places on the site, shape (n, 2) -> (n,) [m]."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        return np.asarray(weight @ np.array(self.over) / weight.sum(axis=1))

    def furthest(self, points: Array) -> float:
        """Distance from the place furthest from the survey to the nearest surveyed place [m]."""
        return float(np.sqrt(self._square(points).min(axis=1).max()))

    def slope(self, points: Array) -> Array:
        """Gradient of the correction, east and north, shape (n, 2)."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        total = weight.sum(axis=1)
        numerator = (np.array(self.over) - (weight @ np.array(self.over) / total)[:, None]) * -2.0 * weight**2
        places = np.array(self.places)
        # Derivative of a weight: minus twice its square times the distance; the derivative of their sum is subtracted.
        rises = [(numerator * (points[:, k : k + 1] - places[:, k])).sum(axis=1) / total for k in (0, 1)]
        return np.stack(rises, axis=1)

    def _square(self, points: Array) -> Array:
        """Squared distance of each point from each surveyed place, shape (n, m) [m²]."""
        places = np.array(self.places)
        return np.asarray((points[:, :1] - places[:, 0]) ** 2 + (points[:, 1:] - places[:, 1]) ** 2)


@dataclass(frozen=True)
class Way:
    """A straight line over the excavation.

    Attributes:
        length: Length along the surface from its start to its end [m].
        beyond: Level distance before the first rim, and after the last [m].
        pools: Indexes of the pools it crosses.
        unknown: True if part of it runs over unsurveyed ground.
    """

    length: float
    beyond: tuple[float, float]
    pools: tuple[int, ...]
    unknown: bool = False


@dataclass(frozen=True)
class Surroundings:
    """Ground and banks outside the rims.

    Attributes:
        ground: Existing ground, where it is neither excavated nor filled.
        crest, slope: Banks where a rim is above the ground: level width outside the rim [m], and horizontal run per
            unit of fall beyond.
    """

    ground: Terrain
    crest: float
    slope: float

    def at(self, points: Array, surfaces: Sequence[SiteSurface]) -> Array:
        """Level outside the rims, shape (n, 2) -> (n,) [m]: ground, the dig's face up to it, or the bank down to it."""
        level = self.ground.at(points)
        inward = [
            site_surface.surface.pool.shape.inward(site_surface.placed.to_own(points)) for site_surface in surfaces
        ]
        for site_surface, away in zip(surfaces, inward, strict=True):
            level = np.maximum(
                level, site_surface.rim_level - np.maximum(-away - site_surface.rim - self.crest, 0.0) / self.slope
            )
        for site_surface, away in zip(surfaces, inward, strict=True):
            batter = site_surface.surface.pool.profile.lines[0].batter
            if batter > 0:
                level = np.minimum(level, site_surface.rim_level + np.maximum(-away - site_surface.rim, 0.0) / batter)
        return np.asarray(level)


surroundings_of = remembered(Surroundings)


@remembered
def way_over(
    surfaces: Sequence[SiteSurface],
    start: tuple[float, float],
    end: tuple[float, float],
    corrections: Sequence[Correction | None],
    surroundings: Surroundings | None = None,
) -> Way:
    """Length over surfaces along a straight line from ``start`` to ``end`` (site, metres).

    Args:
        surfaces: The design surfaces.
        start, end: Two distinct places.
        corrections: Correction of each surface; None for the design surface.
        surroundings: Ground and banks outside the rims; None to take both level with the rims.
    """
    total = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if not surfaces:
        return Way(total, (total, 0.0), ())
    rays = line_rays(
        tuple(outline for site_surface in surfaces for outline in site_surface.outlines()), start, end, SAMPLES
    )
    nodes = trace(rays, surfaces)
    inside = np.flatnonzero(nodes.inside >= 0)
    if not len(inside):
        return Way(total, (total, 0.0), ())
    ahead = np.array([end[0] - start[0], end[1] - start[1]]) / total
    points = np.array(start) + nodes.station[:, None] * ahead
    surface_nodes = moved_nodes(nodes, points, surfaces, corrections)
    if surroundings is None:
        station, level, unknown = surface_nodes.station, over_ground(surface_nodes, surfaces), False
    else:
        station, level = _through(
            surface_nodes, total, lambda along: surroundings.at(np.array(start) + along[:, None] * ahead, surfaces)
        )
        unknown = unsurveyed(np.array(start) + station[:, None] * ahead, surroundings.ground)
    length = float(np.sum(np.hypot(np.diff(station), np.diff(level))))
    beyond = float(nodes.station[inside[0]]), total - float(nodes.station[inside[-1]])
    return Way(length, beyond, tuple(int(pool) for pool in np.unique(nodes.inside[inside])), unknown)


def _through(nodes: Trace, total: float, outside: Callable[[Array], Array]) -> tuple[Array, Array]:
    """(stations, levels) of one line from its start to its end: by its nodes inside the rims, by closely spaced places
    outside.

    At the change from one to the other there are two places at one station, so a vertical face counts with its height.
    """
    within = nodes.inside >= 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], within, [False]])))  # start and end of each stretch within
    stations, levels, station = [], [], 0.0
    for first, last in edges.reshape(-1, 2):
        gap = _near(station, float(nodes.station[first]))
        stations += [gap, nodes.station[first:last]]
        levels += [outside(gap), nodes.level[first:last]]
        station = float(nodes.station[last - 1])
    gap = _near(station, total)
    return np.concatenate([*stations, gap]), np.concatenate([*levels, outside(gap)])


def _near(start: float, end: float) -> Array:
    return np.linspace(start, end, max(int(np.ceil((end - start) / NEAR)), 1) + 1)


def moved_nodes(
    nodes: Trace, points: Array, surfaces: Sequence[SiteSurface], corrections: Sequence[Correction | None]
) -> Trace:
    """Nodes with as-built levels inside each pool, up to its rim. ``points``: their places on the site, shape (n, 2).

    Where the as-built surface reaches the rim between two nodes a node is added, as a steep bank would otherwise be
    cut short.
    """
    level = nodes.level.copy()
    over = np.zeros(len(level))
    for pool, correction in enumerate(corrections):
        inside = nodes.inside == pool
        if correction is not None and inside.any():
            level[inside] += correction.at(points[inside])
            over[inside] = level[inside] - surfaces[pool].rim_level
    crossings = np.flatnonzero(over[:-1] * over[1:] < 0)
    crossings = crossings[
        (nodes.line[crossings] == nodes.line[crossings + 1]) & (nodes.inside[crossings] == nodes.inside[crossings + 1])
    ]
    more = Between(len(level), crossings, over[crossings] / (over[crossings] - over[crossings + 1]))
    rims = np.array([pool.rim_level for pool in surfaces])
    inside = more.same(nodes.inside)
    level = more(level)
    surveyed = (inside >= 0) & np.array([correction is not None for correction in corrections])[inside]
    level[surveyed] = np.minimum(level[surveyed], rims[inside[surveyed]])
    return Trace(
        more.same(nodes.line), more(nodes.station), level, inside, tuple(more(inward) for inward in nodes.inward)
    )


STATIONS = 64  # places along each ring
STRIPS = 4  # even strips between two breaks of a profile
ROWS = 48  # distances inward at which an outline has rings, at the least
APART = 1e-6  # m: a row just before and one just behind a distance at which the outline changes its number of parts
MARGIN = 0.25  # m: step of the distance to which rings extend outside the outline


@dataclass(frozen=True, eq=False)
class Changed:
    """Change of a pool below its waterline by a correction.

    Attributes:
        volume: Volume as built less by design [m³].
        wetted: Wetted area as built less by design [m²].
        far: Distance from the surveyed places to the place of the pool furthest from all of them [m].
    """

    volume: float
    wetted: float
    far: float


@dataclass(frozen=True, eq=False)
class Rings:
    """Places along offsets of an outline at several inward distances, on the site; along all parts where the outline
    breaks up.

    Attributes:
        inward: The inward distances, ascending, shape (j,) [m].
        points: The places, shape (j, k, 2) [m].
        toward: Unit vectors inward, shape (j, k, 2).
        share: Length of ring represented by each, 0 where a row has fewer places, shape (j, k) [m].
        beside: Distance inward from each outline of the pool, shape (j, k) [m].
    """

    inward: Array
    points: Array
    toward: Array
    share: Array
    beside: tuple[Array, ...]

    def rows(self, inward: Array) -> tuple[NDArray[np.int64], Array]:
        """(the two rows adjacent to each distance, their weights), shape (n, 2) each."""
        upper = np.clip(np.searchsorted(self.inward, inward), 1, len(self.inward) - 1)
        low, high = self.inward[upper - 1], self.inward[upper]
        part = np.clip((inward - low) / (high - low), 0.0, 1.0)
        return np.stack([upper - 1, upper], axis=1), np.stack([1 - part, part], axis=1)


def margin_round(rim: float) -> float:
    """Distance outside its outline at which a pool's rings begin [m], in whole steps so that it is unchanged when a
    tier moves the rim a little.
    """
    return float(np.ceil(rim / MARGIN + 1e-9)) * MARGIN


@remembered
def rings_of(outlines: tuple[tuple[Shape, Placed], ...], index: int, margin: float) -> Rings:
    """Rings of one of a pool's outlines, from ``margin`` outside it to its middle.

    Args:
        outlines: Outlines of the pool and its pits, with their placements on the site.
        index: Index of the outline.
        margin: At least the rim's distance from the pool's outline [m]; 0 for a pit.
    """
    shape, placed = outlines[index]
    end = shape.inradius * (1 - 1e-9)
    sides = [
        position + side for position in shape.breaks for side in (-APART, APART) if -margin < position + side < end
    ]
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
    for position, row in enumerate(rows):
        for number, ring in enumerate(row):
            points[position, number], share[position, number] = _evenly(ring)
    ahead = np.roll(points, -1, axis=2) - np.roll(points, 1, axis=2)
    length = np.maximum(np.linalg.norm(ahead, axis=3), SLIT)
    toward = np.stack([-ahead[..., 1], ahead[..., 0]], axis=3) / length[..., None]
    site = placed.to_site(points.reshape(-1, 2))
    directions = placed.to_site(toward.reshape(-1, 2)) - placed.to_site(np.zeros((1, 2)))
    size = (len(rows), most * STATIONS)
    return Rings(
        inward,
        site.reshape(*size, 2),
        directions.reshape(*size, 2),
        share.reshape(size),
        tuple(outline_shape.inward(axes.to_own(site)).reshape(size) for outline_shape, axes in outlines),
    )


@remembered
def changed(site_surface: SiteSurface, correction: Correction, rings: tuple[Rings, ...]) -> Changed:
    """Change in volume and wetted area between two surfaces of a pool, summed over strips along rings, with lengths of
    rings from exact areas.

    Args:
        site_surface: The design surface.
        correction: Height of the as-built surface above it inside the waterline; the bank outside is taken as designed.
        rings: Rings of the pool's outline and of each pit's.
    """
    volume = wetted = 0.0
    far = correction.furthest(site_surface.placed.to_site(site_surface.surface.pool.shape.coords))
    for index, (part, part_rings) in enumerate(zip(site_surface.surface.parts, rings, strict=True)):
        rim, top = (site_surface.rim, site_surface.level - site_surface.rim_level) if index == 0 else (0.0, 0.0)
        strips = np.array(list(_strips(part, rim, top)))
        if not len(strips):
            continue
        flat = part_rings.points.reshape(-1, 2)
        over, slope = (
            correction.at(flat).reshape(part_rings.share.shape),
            correction.slope(flat).reshape(part_rings.points.shape),
        )
        rows, counts = part_rings.rows(strips[:, 0])
        depth, wide, drop = (column[:, None, None] for column in strips[:, 1:].T)
        beyond = strips[:, 0] < 0
        share, over = part_rings.share[rows] * counts[:, :, None], over[rows]
        over[beyond] = 0.0
        depths = [
            np.broadcast_to(depth, over.shape)
            if number == index
            else neighbour.profile.depth(part_rings.beside[number][rows])
            for number, neighbour in enumerate(site_surface.surface.parts)
        ]
        if index == 0:
            # From the pool's rings alone, with or without pits: the deviation does not depend on the part.
            design_depth = np.maximum.reduce(depths)
            more = _water(design_depth - over, drop) - _water(design_depth, drop)
            volume = float(np.sum(more * share * wide))
            inside = (part_rings.share > 0) & (part_rings.inward >= -site_surface.rim)[:, None]
            far = max(far, correction.furthest(part_rings.points[inside]))
        across = np.einsum("jki,jki->jk", slope, part_rings.toward)[rows]
        steepness = (slope**2).sum(axis=2)[rows]
        across[beyond] = steepness[beyond] = 0.0
        # Length of the faces, with that added by the gradient of the correction; a vertical face keeps its height.
        faces = np.hypot(wide, drop)
        true = np.sqrt(np.maximum(faces**2 + steepness * wide**2 - 2 * drop * across * wide, 0.0))
        for number, other_depth in enumerate(depths):
            if number != index:  # only where no other part is deeper; at equal depths the first counts
                share = share * _under(depth - other_depth + (SLIT if number > index else -SLIT), drop)
        under = true * _under(depth - over, drop) - faces * _under(depth, drop)
        wetted += float(np.sum(share * under))
    return Changed(volume, wetted, far)


def _evenly(ring: Array) -> tuple[Array, float]:
    """(evenly spaced places on a closed line, shape (STATIONS, 2), their spacing [m])."""
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))
    stations = (np.arange(STATIONS) + 0.5) / STATIONS * along[-1]
    places = np.stack([np.interp(stations, along, ring[:, 0]), np.interp(stations, along, ring[:, 1])], axis=1)
    return places, float(along[-1]) / STATIONS


def _strips(part: Basin, rim: float, top: float) -> Iterator[tuple[float, float, float, float]]:
    """(distance inward, depth, width in plan, drop) of each strip, at its middle [m]."""
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
            middle = (low + high) / 2 if upright else low + (step + 0.5) * wide
            yield middle, upper + (step + 0.5) * drop, 0.0 if upright else wide, drop


def _under(depth: Array, drop: Array) -> Array:
    """Submerged share of a strip, from the depth of its middle and its drop from edge to edge."""
    return np.asarray(np.clip(0.5 + depth / np.maximum(drop, SLIT), 0.0, 1.0))


def _water(depth: Array, drop: Array) -> Array:
    """Mean depth of water over a strip, from the depth of its middle and its drop from edge to edge [m]."""
    half = np.maximum(np.abs(drop) / 2, SLIT)
    partly = (np.clip(depth, -half, half) + half) ** 2 / (4 * half)
    return np.asarray(np.where(depth > half, depth, partly))
