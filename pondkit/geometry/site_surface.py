"""A pool's surface where it lies on the site: its level along lines and under places, and its contours for pictures."""

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

REACH = 0.25  # m: step of the distances inward within which lines have samples


@dataclass(frozen=True, eq=False)
class SiteSurface:
    """A pool's surface where it lies on the site, in site levels.

    Attributes:
        surface: The surface.
        placed: Where the pool's axes lie.
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
        at = self.placed.to_site(np.array([[x, y]]))[0]
        return float(at[0]), float(at[1]), radius

    def holds(self, at: tuple[float, float]) -> bool:
        """True for a place inside the waterline."""
        return bool(self.surface.pool.shape.inward(self.placed.to_own(np.array([at])))[0] > 0)

    def inward_at(self, depth: float) -> float:
        """Distance inward from the waterline at which the pool's own profile reaches a depth [m]."""
        return float(self.surface.pool.profile.inward(np.array(depth)))

    def _placed(self, own: Placed) -> Placed:
        at = self.placed.to_site(np.array([[own.x, own.y]]))[0]
        return Placed(float(at[0]), float(at[1]), self.placed.turn_deg + own.turn_deg)


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


def trace(lines: Rays, laid: Sequence[SiteSurface], edge: float = 0.0) -> Trace:
    """Where lines run over surfaces on the site, with a node at every sample and at every break of a surface.

    Args:
        lines: With distances for the outlines of each surface in turn (``SiteSurface.outlines``).
        laid: The surfaces. Where two reach one place, the lower surface is there.
        edge: Further nodes where the strip of this width beyond a rim ends [m].
    """
    return _trace(lines, _marks(laid, edge), laid)


def _trace(lines: Rays, marks: Sequence[Array], laid: Sequence[SiteSurface]) -> Trace:
    more = Between(len(lines.line), *lines.crossings(marks))
    line, station, fields = more.same(lines.line), more(lines.station), [more(field) for field in lines.inward]
    inward, depths = [], []
    for pool in laid:
        own, fields = fields[: len(pool.surface.parts)], fields[len(pool.surface.parts) :]
        inward.append(own[0])
        depths.append([part.profile.depth(field) for part, field in zip(pool.surface.parts, own, strict=True)])
    behind, share = _meetings(laid, line, depths, inward)
    if len(behind):
        more = Between(len(line), behind, share)
        line, station, inward = more.same(line), more(station), [more(field) for field in inward]
        depths = [[more(depth) for depth in own] for own in depths]
    level, inside = np.full(len(line), np.nan), np.full(len(line), -1)
    for index, (pool, parts, away) in enumerate(zip(laid, depths, inward, strict=True)):
        # An upright bank stands at the rim itself, where the depth is that of its foot or any above it.
        here = np.minimum(pool.level - np.maximum.reduce(parts), pool.rim_level)
        lower = (away >= -pool.rim - SLIT / 4) & ~(level <= here)
        level[lower], inside[lower] = here[lower], index
    return Trace(line, station, level, inside, tuple(inward))


def traces(lines: Sequence[Rays], laid: Sequence[SiteSurface], edge: float, floors: bool = False) -> list[Trace]:
    """``trace`` of several records at once, which costs less; without nodes amid a floor, which is level, and those
    far outside all rims, unless ``floors``."""
    marks, parts = _marks(laid, edge), tuple(lines)
    # Whole steps, so that the samples left out stay the same when a tier moves a little.
    reaches = tuple(
        (math.floor(own[0] / REACH) * REACH - SLIT, math.ceil(own[-1] / REACH) * REACH + SLIT) for own in marks
    )
    nodes = _trace(stacked(parts) if floors else among(parts, reaches), marks, laid)
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


def _marks(laid: Sequence[SiteSurface], edge: float) -> list[Array]:
    """For every outline, the distances inward at which nodes are wanted."""
    marks = []
    for pool in laid:
        for index, part in enumerate(pool.surface.parts):
            breaks = part.profile.breaks
            if index == 0:
                ends = [-pool.rim, -pool.rim - SLIT, -pool.rim - edge]
                breaks = np.unique(np.append(breaks[breaks > -pool.rim], ends))
            marks.append(breaks)
    return marks


def _meetings(
    laid: Sequence[SiteSurface], line: Ints, depths: list[list[Array]], inward: list[Array]
) -> tuple[Ints, Array]:
    """Where, between two nodes, one surface goes under another: node before, share of the way to the next."""
    gaps = []
    for index, (pool, own) in enumerate(zip(laid, depths, strict=True)):
        gaps += [own[i] - own[j] for i in range(len(own)) for j in range(i)]
        for other in range(index):
            both = (inward[index] >= -pool.rim) & (inward[other] >= -laid[other].rim)
            if both.any():
                high = [laid[k].level - np.maximum.reduce(depths[k]) for k in (index, other)]
                gaps.append(np.where(both, high[0] - high[1], 0.0))
    behind, share = [np.zeros(0, dtype=int)], [np.zeros(0)]
    for gap in gaps:
        found = np.flatnonzero(gap[:-1] * gap[1:] < 0)
        part = gap[found] / (gap[found] - gap[found + 1])
        # Where an upright face ends on the other surface, they meet at the node itself.
        kept = (line[found] == line[found + 1]) & (part > CLOSE) & (part < 1 - CLOSE)
        behind.append(found[kept])
        share.append(part[kept])
    where, part = np.concatenate(behind), np.concatenate(share)
    order = np.lexsort((part, where))
    return where[order], part[order]


def narrowest_turn(points: Array, own: Sequence[float] = ()) -> float:
    """Direction of the long side of the narrowest rectangle round points: degrees in [0, 180).

    Args:
        points: Shape (n, 2) [m].
        own: Directions [degrees] that are taken where a rectangle along or across them is as narrow, to 1 in 10,000:
            the sides of a curve's polygon lie near its axes, but not on them, and a circle has none.
    """
    hull = np.asarray(shapely.linestrings(points).convex_hull.exterior.coords, dtype=float)
    sides = np.diff(hull, axis=0)
    wanted = np.radians([turn for given in own for turn in (given, given + 90.0)])
    angles = np.concatenate([wanted, np.arctan2(sides[:, 1], sides[:, 0])]) % np.pi
    across = hull @ np.stack([-np.sin(angles), np.cos(angles)])
    widths = across.max(axis=0) - across.min(axis=0)
    near = np.flatnonzero(widths <= widths.min() * (1 + 1e-4))
    if near[0] < len(wanted):
        near = near[near < len(wanted)]
    # Of directions as narrow as each other the one nearest to east: it does not jump about.
    off_east = np.round(np.minimum(angles[near], np.pi - angles[near]), 9)
    return float(np.degrees(angles[near[np.argmin(off_east)]])) % 180.0


def ring_outside(laid: SiteSurface, distance: float) -> Array:
    """The waterline moved outward, on the site, closed, shape (n, 2) [m]."""
    return outside(laid.surface.pool.shape, laid.placed, distance).points


def grounded(nodes: Trace, laid: Sequence[SiteSurface]) -> Trace:
    """Nodes whose levels outside the rims are those of the ground between and beyond."""
    return Trace(nodes.line, nodes.station, over_ground(nodes, laid), nodes.inside, nodes.inward)


def over_ground(nodes: Trace, laid: Sequence[SiteSurface]) -> Array:
    """Levels of the nodes; outside the rims the lower of the rim levels before and after on the line."""
    rims = np.array([pool.rim_level for pool in laid])
    return np.where(nodes.inside < 0, rims[pool_beside(nodes, laid)], nodes.level)


def pool_beside(nodes: Trace, laid: Sequence[SiteSurface]) -> Ints:
    """The pool in whose rim each node lies; outside all rims the one before or
    after on the line, that of the lower rim.

    On a line that meets no rim, only strips beyond, it is the pool of the lowest rim:
    there the line lies level as a whole.
    """
    rims = np.array([pool.rim_level for pool in laid])
    known = np.flatnonzero(nodes.inside >= 0)
    out = np.flatnonzero(nodes.inside < 0)
    beside = nodes.inside.copy()
    beside[out] = int(np.argmin(rims))
    if not len(known):
        return beside
    ahead = np.searchsorted(known, out)
    lower = np.full(len(out), np.inf)
    for near in (known[np.maximum(ahead - 1, 0)], known[np.minimum(ahead, len(known) - 1)]):
        better = (nodes.line[near] == nodes.line[out]) & (rims[nodes.inside[near]] < lower)
        beside[out[better]] = nodes.inside[near[better]]
        lower[better] = rims[nodes.inside[near[better]]]
    return beside


SAME = 1e-6  # m


@dataclass(frozen=True)
class Stand:
    """The ground under one place.

    Attributes:
        level: Site level of the surface there [m]; of the existing ground outside the rim.
        flat: True on a level part, or outside the rim.
        width: Width of the level part [m], of a floor at its widest; inf outside the rim.
        front: Distance to where the ground falls away [m]; inf where it does not.
        back: Distance to the face behind the level part, or to a lip [m]; inf outside the rim.
    """

    level: float
    flat: bool
    width: float
    front: float
    back: float


@remembered
def stands(laid: SiteSurface, ground: Terrain, places: tuple[tuple[float, float], ...]) -> tuple[Stand, ...]:
    """The ground of one surface, or the existing one outside its rim, under places on the site [m], in their order."""
    own = laid.placed.to_own(np.array(places, dtype=float).reshape(-1, 2))
    inward = [part.shape.inward(part.placed.to_own(own)) for part in laid.surface.parts]
    return tuple(
        _stand(laid, [float(row[at]) for row in inward], ground.level_at(places[at])) for at in range(len(own))
    )


@remembered
def depths_at(laid: SiteSurface, places: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    """Depth of a surface under the water at rest, at places on the site [m]; negative on the bank and beyond it."""
    own = laid.placed.to_own(np.array(places, dtype=float).reshape(-1, 2))
    return tuple(float(depth) for depth in laid.surface.depth_at(own))


def _stand(laid: SiteSurface, inward: list[float], outside: float) -> Stand:
    if inward[0] < -laid.rim - SAME:
        return Stand(outside, True, math.inf, -inward[0] - laid.rim, math.inf)
    depths = [float(part.profile.depth(np.array(at))) for part, at in zip(laid.surface.parts, inward, strict=True)]
    # A pit counts within its outline and where it is the deeper.
    owner = max(
        (number for number in range(len(depths)) if number == 0 or inward[number] > 0), key=lambda at: depths[at]
    )
    part = laid.surface.parts[owner]
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
    return Stand(laid.level - depths[owner], flat, width, front, back)


def _levels(part: Basin) -> Iterator[tuple[float, float, bool, bool]]:
    """(start, end) inward of each level part, the end inf where nothing falls away behind it; and whether it begins
    over a lip, and ends against one."""
    lips = {lip.run for _, _, lip in part.profile.lips}
    for start, end, line in part.profile.levels:
        if line.level is not None and start < part.shape.inradius:
            yield start, end if end < part.shape.inradius else math.inf, start in lips, end in lips


Rings = tuple[Array, ...]
COARSE = 8  # segments a quarter circle


def level_depths(laid: SiteSurface) -> list[float]:
    """Depths of the level parts, each once, from shallow to deep."""
    return sorted(
        {
            round(line.level, 6)
            for part in laid.surface.parts
            for _, _, line in part.profile.levels
            if line.level is not None
        }
    )


@remembered
def rings_at(laid: SiteSurface, depth: float) -> Rings:
    """Rings on the site of all that is at least so deep; deeper than 0 on the waterline itself."""
    stacks = [_region(part, depth) for part in laid.surface.parts]
    found = [stack for stack in stacks if stack is not None]
    return _rings(shapely.union_all(found) if len(found) > 1 else found[0], laid.placed) if found else ()


def _region(part: Basin, depth: float) -> BaseGeometry | None:
    inward = float(part.profile.inward(np.array([depth]))[0]) if depth > 0 else 0.0
    if inward >= part.shape.inradius or (depth <= 0 and part.clear > 0):
        return None
    return _region_within(part.shape, part.placed, inward)


@remembered
def _region_within(shape: Shape, placed: Placed, inward: float) -> BaseGeometry:
    """What lies so far within an outline, on the site: a moved tier draws its own ring anew and no other."""
    return shapely.transform(shape.thin.buffer(-inward, quad_segs=COARSE), placed.to_site)


@remembered
def rim_rings(laid: SiteSurface) -> Rings:
    """The rim line on the site."""
    return _rings(laid.surface.pool.shape.thin.buffer(laid.rim, quad_segs=COARSE), laid.placed)


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
    """A line for the section: through the deepest parts of the two largest pools, or along the longest way of a
    single one."""
    sized = sorted(pools, key=lambda pool: -pool.surface.pool.shape.polygon.area)
    middles = [pool.placed.to_site(np.array([pool.surface.pool.shape.pole]))[0] for pool in sized]
    rings = np.concatenate([pool.placed.to_site(pool.surface.pool.shape.coords) for pool in sized[:2]])
    if len(sized) > 1 and np.linalg.norm(middles[1] - middles[0]) > 0.1:
        towards = middles[1] - middles[0]
    else:
        turn = np.radians(narrowest_turn(rings))
        towards = np.array([np.cos(turn), np.sin(turn)])
    towards = towards / np.linalg.norm(towards)
    if towards[0] < -1e-9:
        towards = -towards  # from west to east, as it is read
    along = (rings - middles[0]) @ towards
    room = 0.08 * (along.max() - along.min())
    start, end = middles[0] + towards * (along.min() - room), middles[0] + towards * (along.max() + room)
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))
