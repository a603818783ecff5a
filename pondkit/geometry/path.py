"""Straight lines over one or more bowls: where they run at which level."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.apart import outside
from pondkit.geometry.lines import CLOSE, Between, Ints, Rays, stacked
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import PoolSurface
from pondkit.geometry.profile import SLIT


@dataclass(frozen=True, eq=False)
class Laid:
    """A bowl as it lies on the site, in site levels.

    Attributes:
        bowl: The surface.
        placed: Where the pool's axes lie.
        level: Site level of the waterline [m].
        rim: Horizontal distance from the outline out to the rim [m].
        rim_level: Site level of the rim [m].
    """

    bowl: PoolSurface
    placed: Placed
    level: float
    rim: float
    rim_level: float

    def outlines(self) -> tuple[tuple[Shape, Placed], ...]:
        """Outlines of pool and pits with their places on the site, in the order of the distances in ``trace``."""
        return tuple((part.shape, self._placed(part.placed)) for part in self.bowl.parts)

    @cached_property
    def outline(self) -> BaseGeometry:
        """The waterline on the site."""
        return shapely.transform(self.bowl.pool.shape.polygon, self.placed.to_site)

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


def trace(lines: Rays, laid: Sequence[Laid], edge: float = 0.0) -> Trace:
    """Where lines run over laid bowls, with a node at every sample and at every break of a surface.

    Args:
        lines: With distances for the outlines of each bowl in turn (``Laid.outlines``).
        laid: The bowls. Where two reach one place, the lower surface is there.
        edge: Further nodes where the strip of this width beyond a rim ends [m].
    """
    more = Between(len(lines.line), *lines.crossings(_marks(laid, edge)))
    line, station, fields = more.same(lines.line), more(lines.station), [more(field) for field in lines.inward]
    inward, depths = [], []
    for pool in laid:
        own, fields = fields[: len(pool.bowl.parts)], fields[len(pool.bowl.parts) :]
        inward.append(own[0])
        depths.append([part.profile.depth(field) for part, field in zip(pool.bowl.parts, own, strict=True)])
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


def traces(lines: Sequence[Rays], laid: Sequence[Laid], edge: float) -> list[Trace]:
    """``trace`` of several records at once, which costs less."""
    nodes = trace(stacked(tuple(lines)), laid, edge)
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


def _marks(laid: Sequence[Laid], edge: float) -> list[Array]:
    """For every outline, the distances inward at which nodes are wanted."""
    marks = []
    for pool in laid:
        for index, part in enumerate(pool.bowl.parts):
            breaks = part.profile.breaks
            if index == 0:
                ends = [-pool.rim, -pool.rim - SLIT, -pool.rim - edge]
                breaks = np.unique(np.append(breaks[breaks > -pool.rim], ends))
            marks.append(breaks)
    return marks


def _meetings(laid: Sequence[Laid], line: Ints, depths: list[list[Array]], inward: list[Array]) -> tuple[Ints, Array]:
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


def ring_outside(laid: Laid, distance: float) -> Array:
    """The waterline moved outward, on the site, closed, shape (n, 2) [m]."""
    return outside(laid.bowl.pool.shape, laid.placed, distance).points
