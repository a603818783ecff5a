"""A pool's surface placed on the site: its level along lines and under places, and its contours for pictures."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import outside
from pondkit.geometry.lines import CLOSE, Between, Ints, Rays, among, stacked
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import Basin, PoolSurface
from pondkit.geometry.profile import SLIT
from pondkit.geometry.terrain import Terrain

REACH = 0.25  # m: step of the inward distances within which lines have samples


@dataclass(frozen=True, eq=False)
class SiteSurface:
    """A pool's surface placed on the site, in site levels.

    Attributes:
        surface: The surface.
        placed: Placement of the pool's axes.
        level: Site level of the waterline [m].
        rim: Horizontal distance from the outline out to the rim [m].
        rim_level: Site level of the rim [m].
    """

    surface: PoolSurface
    placed: Placed
    level: float
    rim: float
    rim_level: float

    def outlines(self) -> tuple[tuple[Shape, Placed], ...]:
        """Outlines of pool and pits with their places on the site, in the order of the distances in ``trace``."""
        return tuple((part.shape, self._placed(part.placed)) for part in self.surface.parts)

    @cached_property
    def outline(self) -> BaseGeometry:
        """The waterline on the site."""
        return shapely.transform(self.surface.pool.shape.polygon, self.placed.to_site)

    @property
    def pole(self) -> tuple[float, float]:
        """The place furthest inward from the waterline, on the site [m]."""
        x, y = self.placed.to_site(np.array([self.surface.pool.shape.pole]))[0]
        return float(x), float(y)

    @property
    def circle(self) -> tuple[float, float, float]:
        """A circle round the waterline: x, y of its middle on the site and its radius [m]."""
        x, y, radius = self.surface.pool.shape.circle
        centre = self.placed.to_site(np.array([[x, y]]))[0]
        return float(centre[0]), float(centre[1]), radius

    def holds(self, place: tuple[float, float]) -> bool:
        """True if a place is inside the waterline."""
        return bool(self.surface.pool.shape.inward(self.placed.to_own(np.array([place])))[0] > 0)

    def inward_at(self, depth: float) -> float:
        """Distance inward from the waterline at which the pool's own profile reaches a depth [m]."""
        return float(self.surface.pool.profile.inward(np.array(depth)))

    def _placed(self, pit_axes: Placed) -> Placed:
        origin = self.placed.to_site(np.array([[pit_axes.x, pit_axes.y]]))[0]
        return Placed(float(origin[0]), float(origin[1]), self.placed.turn_deg + pit_axes.turn_deg)


@dataclass(frozen=True, eq=False)
class Trace:
    """Nodes of lines over the surface, in order along each line, the surface straight between them; shape (n,) each.

    Attributes:
        line: Index of the line.
        station: Distance along it [m].
        level: Site level of the surface [m]; NaN outside all rims.
        inside: Index of the pool whose surface it is; -1 outside all rims.
        inward: Per pool, distance inward from its outline [m].
    """

    line: Ints
    station: Array
    level: Array
    inside: Ints
    inward: tuple[Array, ...]


def trace(lines: Rays, surfaces: Sequence[SiteSurface], edge: float = 0.0) -> Trace:
    """Levels of surfaces along lines on the site, with a node at every sample and at every break of a surface.

    Args:
        lines: Lines with distances from the outlines of each surface in turn (``SiteSurface.outlines``).
        surfaces: The surfaces. Where two overlap, the lower one counts.
        edge: Width of the strip beyond a rim, whose end gets further nodes [m].
    """
    return _trace(lines, _marks(surfaces, edge), surfaces)


def _trace(lines: Rays, marks: Sequence[Array], surfaces: Sequence[SiteSurface]) -> Trace:
    more = Between(len(lines.line), *lines.crossings(marks))
    line, station, fields = more.same(lines.line), more(lines.station), [more(field) for field in lines.inward]
    inward, depths = [], []
    for pool in surfaces:
        pool_depths, fields = fields[: len(pool.surface.parts)], fields[len(pool.surface.parts) :]
        inward.append(pool_depths[0])
        depths.append([part.profile.depth(field) for part, field in zip(pool.surface.parts, pool_depths, strict=True)])
    behind, share = _meetings(surfaces, line, depths, inward)
    if len(behind):
        more = Between(len(line), behind, share)
        line, station, inward = more.same(line), more(station), [more(field) for field in inward]
        depths = [[more(depth) for depth in pool_depths] for pool_depths in depths]
    level, inside = np.full(len(line), np.nan), np.full(len(line), -1)
    for index, (pool, parts, away) in enumerate(zip(surfaces, depths, inward, strict=True)):
        # A vertical bank is at the rim itself, where the depth is ambiguous between its foot and its top.
        levels = np.minimum(pool.level - np.maximum.reduce(parts), pool.rim_level)
        lower = (away >= -pool.rim - SLIT / 4) & ~(level <= levels)
        level[lower], inside[lower] = levels[lower], index
    return Trace(line, station, level, inside, tuple(inward))


def traces(lines: Sequence[Rays], surfaces: Sequence[SiteSurface], edge: float, floors: bool = False) -> list[Trace]:
    """``trace`` of several records at once, which takes less time. Unless ``floors``, nodes within a level floor and
    those far outside all rims are left out.
    """
    marks, parts = _marks(surfaces, edge), tuple(lines)
    # Whole steps, so that the samples left out stay the same when a tier moves a little.
    reaches = tuple(
        (math.floor(mark[0] / REACH) * REACH - SLIT, math.ceil(mark[-1] / REACH) * REACH + SLIT) for mark in marks
    )
    nodes = _trace(stacked(parts) if floors else among(parts, reaches), marks, surfaces)
    first = np.cumsum([0, *(len(part.offsets) for part in lines)])
    ends = np.searchsorted(nodes.line, first)
    return [
        Trace(
            nodes.line[a:b] - start,
            nodes.station[a:b],
            nodes.level[a:b],
            nodes.inside[a:b],
            tuple(field[a:b] for field in nodes.inward),
        )
        for a, b, start in zip(ends[:-1], ends[1:], first, strict=False)
    ]


def _marks(surfaces: Sequence[SiteSurface], edge: float) -> list[Array]:
    """For every outline, the inward distances that get nodes."""
    marks = []
    for pool in surfaces:
        for index, part in enumerate(pool.surface.parts):
            breaks = part.profile.breaks
            if index == 0:
                ends = [-pool.rim, -pool.rim - SLIT, -pool.rim - edge]
                breaks = np.unique(np.append(breaks[breaks > -pool.rim], ends))
            marks.append(breaks)
    return marks


def _meetings(
    surfaces: Sequence[SiteSurface], line: Ints, depths: list[list[Array]], inward: list[Array]
) -> tuple[Ints, Array]:
    """Places between two nodes where one surface passes below another: (node before, share of the way to the next)."""
    gaps = []
    for index, (pool, pool_depths) in enumerate(zip(surfaces, depths, strict=True)):
        gaps += [pool_depths[i] - pool_depths[j] for i in range(len(pool_depths)) for j in range(i)]
        for number in range(index):
            both = (inward[index] >= -pool.rim) & (inward[number] >= -surfaces[number].rim)
            if both.any():
                high = [surfaces[k].level - np.maximum.reduce(depths[k]) for k in (index, number)]
                gaps.append(np.where(both, high[0] - high[1], 0.0))
    behind, share = [np.zeros(0, dtype=int)], [np.zeros(0)]
    for gap in gaps:
        crossings = np.flatnonzero(gap[:-1] * gap[1:] < 0)
        part = gap[crossings] / (gap[crossings] - gap[crossings + 1])
        # Where an upright face ends on the other surface, they meet at the node itself.
        valid = (line[crossings] == line[crossings + 1]) & (part > CLOSE) & (part < 1 - CLOSE)
        behind.append(crossings[valid])
        share.append(part[valid])
    where, part = np.concatenate(behind), np.concatenate(share)
    order = np.lexsort((part, where))
    return where[order], part[order]


def narrowest_turn(points: Array, preferred: Sequence[float] = ()) -> float:
    """Direction of the long side of the narrowest rectangle round points [degrees], from 0 to below 180.

    Args:
        points: The points, shape (n, 2) [m].
        preferred: Preferred directions [degrees], taken if a rectangle along or across them is as narrow, to 1 in
            10,000: the sides of a curve's polygon are near its axes but not parallel to them, and a circle has none.
    """
    hull = np.asarray(shapely.linestrings(points).convex_hull.exterior.coords, dtype=float)
    sides = np.diff(hull, axis=0)
    preferred_radians = np.radians([turn for direction in preferred for turn in (direction, direction + 90.0)])
    angles = np.concatenate([preferred_radians, np.arctan2(sides[:, 1], sides[:, 0])]) % np.pi
    across = hull @ np.stack([-np.sin(angles), np.cos(angles)])
    widths = across.max(axis=0) - across.min(axis=0)
    near = np.flatnonzero(widths <= widths.min() * (1 + 1e-4))
    if near[0] < len(preferred_radians):
        near = near[near < len(preferred_radians)]
    # Of equally narrow directions the one nearest to east, for a stable result.
    off_east = np.round(np.minimum(angles[near], np.pi - angles[near]), 9)
    return float(np.degrees(angles[near[np.argmin(off_east)]])) % 180.0


def ring_outside(site_surface: SiteSurface, distance: float) -> Array:
    """The waterline offset outward, on the site, closed, shape (n, 2) [m]."""
    return outside(site_surface.surface.pool.shape, site_surface.placed, distance).points


def grounded(nodes: Trace, surfaces: Sequence[SiteSurface]) -> Trace:
    """The nodes with levels outside the rims set to those of the ground between and beyond."""
    return Trace(nodes.line, nodes.station, over_ground(nodes, surfaces), nodes.inside, nodes.inward)


def over_ground(nodes: Trace, surfaces: Sequence[SiteSurface]) -> Array:
    """Levels of the nodes; outside the rims the lower of the rim levels before and after on the line."""
    rims = np.array([pool.rim_level for pool in surfaces])
    return np.where(nodes.inside < 0, rims[pool_beside(nodes, surfaces)], nodes.level)


def pool_beside(nodes: Trace, surfaces: Sequence[SiteSurface]) -> Ints:
    """Index of the pool in whose rim each node is; outside all rims that of the pool before or after on the line with
    the lower rim.

    On a line that meets only strips beyond rims, it is the pool with the lowest rim, as all of the line is level there.
    """
    rims = np.array([pool.rim_level for pool in surfaces])
    inside = np.flatnonzero(nodes.inside >= 0)
    outside = np.flatnonzero(nodes.inside < 0)
    beside = nodes.inside.copy()
    beside[outside] = int(np.argmin(rims))
    if not len(inside):
        return beside
    ahead = np.searchsorted(inside, outside)
    lower = np.full(len(outside), np.inf)
    for near in (inside[np.maximum(ahead - 1, 0)], inside[np.minimum(ahead, len(inside) - 1)]):
        better = (nodes.line[near] == nodes.line[outside]) & (rims[nodes.inside[near]] < lower)
        beside[outside[better]] = nodes.inside[near[better]]
        lower[better] = rims[nodes.inside[near[better]]]
    return beside


SAME = 1e-6  # m


@dataclass(frozen=True)
class Stand:
    """Ground conditions at one place.

    Attributes:
        level: Site level of the surface there [m]; of the existing ground outside the rim.
        flat: True on a shelf or floor, or outside the rim.
        width: Width of the shelf, or greatest width of the floor [m]; inf outside the rim.
        front: Distance to the edge where the ground falls away [m]; inf if it does not.
        back: Distance to the face behind the shelf, or to a lip [m]; inf outside the rim.
    """

    level: float
    flat: bool
    width: float
    front: float
    back: float


@remembered
def stands(site_surface: SiteSurface, ground: Terrain, places: tuple[tuple[float, float], ...]) -> tuple[Stand, ...]:
    """Ground conditions under places on the site [m], in their order: of one surface, or of the existing ground
    outside its rim.
    """
    inward = _inward(site_surface, places)
    return tuple(
        _stand(site_surface, [float(row[index]) for row in inward], ground.level_at(place))
        for index, place in enumerate(places)
    )


@remembered
def depths_at(site_surface: SiteSurface, places: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    """Depth of a surface below the water at rest, at places on the site [m]; negative on the bank and outside it."""
    inward = zip(site_surface.surface.parts, _inward(site_surface, places), strict=True)
    return tuple(np.maximum.reduce([part.profile.depth(distances) for part, distances in inward]).tolist())


def _inward(site_surface: SiteSurface, places: tuple[tuple[float, float], ...]) -> tuple[Array, ...]:
    """Distance inward from each outline of pool and pits at places on the site, shape (n,) each [m]."""
    outlines = tuple((part.shape, part.placed) for part in site_surface.surface.parts)
    return _inward_of(outlines, site_surface.placed, places)


@remembered
def _inward_of(
    outlines: tuple[tuple[Shape, Placed], ...], placed: Placed, places: tuple[tuple[float, float], ...]
) -> tuple[Array, ...]:
    local = placed.to_own(np.array(places, dtype=float).reshape(-1, 2))
    return tuple(shape.inward(placement.to_own(local)) for shape, placement in outlines)


def _stand(site_surface: SiteSurface, inward: list[float], outside: float) -> Stand:
    if inward[0] < -site_surface.rim - SAME:
        return Stand(outside, True, math.inf, -inward[0] - site_surface.rim, math.inf)
    depths = [
        float(part.profile.depth(np.array(distance)))
        for part, distance in zip(site_surface.surface.parts, inward, strict=True)
    ]
    # A pit counts within its outline where it is deeper.
    owner = max(
        (number for number in range(len(depths)) if number == 0 or inward[number] > 0),
        key=lambda distance: depths[distance],
    )
    part = site_surface.surface.parts[owner]
    width, front, back, flat = 0.0, 0.0, 0.0, False
    for start, end, over, against in _levels(part):
        if start - SAME <= inward[owner] <= end + SAME:
            before, ahead = max(inward[owner] - start, 0.0), max(end - inward[owner], 0.0)
            flat, width = True, end - start if math.isfinite(end) else 2 * (part.shape.inradius - start)
            front = min(before if over else math.inf, math.inf if against else ahead)
            back = min(math.inf if over else before, ahead if against else math.inf)
    for number in range(1, len(depths)):
        if number != owner and inward[number] <= 0:
            front = min(front, -inward[number])
    return Stand(site_surface.level - depths[owner], flat, width, front, back)


def _levels(part: Basin) -> Iterator[tuple[float, float, bool, bool]]:
    """(inward start, inward end, begins over a lip, ends against a lip) of each level part; the end is inf if nothing
    falls away behind it.
    """
    lips = {lip.run for _, _, lip in part.profile.lips}
    for start, end, line in part.profile.levels:
        if line.level is not None and start < part.shape.inradius:
            yield start, end if end < part.shape.inradius else math.inf, start in lips, end in lips


Rings = tuple[Array, ...]
COARSE = 8  # segments a quarter circle


def level_depths(site_surface: SiteSurface) -> list[float]:
    """Depths of the level parts, each once, from shallow to deep."""
    return sorted(
        {
            round(line.level, 6)
            for part in site_surface.surface.parts
            for _, _, line in part.profile.levels
            if line.level is not None
        }
    )


@remembered
def rings_at(site_surface: SiteSurface, depth: float) -> Rings:
    """Rings on the site of the area at least a depth deep; for 0, of the waterline itself."""
    stacks = [_region(part, depth) for part in site_surface.surface.parts]
    regions = [stack for stack in stacks if stack is not None]
    return (
        _rings(shapely.union_all(regions) if len(regions) > 1 else regions[0], site_surface.placed) if regions else ()
    )


def _region(part: Basin, depth: float) -> BaseGeometry | None:
    inward = float(part.profile.inward(np.array([depth]))[0]) if depth > 0 else 0.0
    if inward >= part.shape.inradius or (depth <= 0 and part.clear > 0):
        return None
    return _region_within(part.shape, part.placed, inward)


@remembered
def _region_within(shape: Shape, placed: Placed, inward: float) -> BaseGeometry:
    """Area at least a distance inside an outline, on the site; remembered by ring, so that a moved tier needs only its
    own anew.
    """
    return shapely.transform(shape.thin.buffer(-inward, quad_segs=COARSE), placed.to_site)


@remembered
def rim_rings(site_surface: SiteSurface) -> Rings:
    """The rim line on the site."""
    return _rings(site_surface.surface.pool.shape.thin.buffer(site_surface.rim, quad_segs=COARSE), site_surface.placed)


def _rings(geometry: BaseGeometry, placed: Placed) -> Rings:
    parts = getattr(geometry, "geoms", [geometry])
    lines = [
        ring
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]
    return tuple(placed.to_site(np.asarray(line.coords, dtype=float)) for line in lines)


def section_line(pools: Sequence[SiteSurface]) -> tuple[tuple[float, float], tuple[float, float]]:
    """A section line: through the deepest parts of the two largest pools, or along the longest
    direction of a single one.
    """
    return _line_through(tuple((pool.surface.pool.shape, pool.placed) for pool in pools))


@remembered
def _line_through(
    outlines: tuple[tuple[Shape, Placed], ...],
) -> tuple[tuple[float, float], tuple[float, float]]:
    sized = sorted(outlines, key=lambda outline: -outline[0].polygon.area)
    middles = [placed.to_site(np.array([shape.pole]))[0] for shape, placed in sized]
    rings = np.concatenate([placed.to_site(shape.coords) for shape, placed in sized[:2]])
    if len(sized) > 1 and np.linalg.norm(middles[1] - middles[0]) > 0.1:
        towards = middles[1] - middles[0]
    else:
        turn = np.radians(narrowest_turn(rings))
        towards = np.array([np.cos(turn), np.sin(turn)])
    towards = towards / np.linalg.norm(towards)
    if towards[0] < -1e-9:
        towards = -towards  # from west to east, in reading order
    along = (rings - middles[0]) @ towards
    room = 0.08 * (along.max() - along.min())
    start, end = middles[0] + towards * (along.min() - room), middles[0] + towards * (along.max() + room)
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
