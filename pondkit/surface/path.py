"""Straight lines over one or more bowls: where they run at which level, and how long the way over the surface is."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from pondkit.surface.bowl import Bowl
from pondkit.surface.outline import Array, Placed, Shape
from pondkit.surface.profile import SLIT

Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Rays:
    """Parallel lines, each sampled at the same stations, with the distance inward from every outline at every sample.

    Attributes:
        origin: Site place of station 0 on line offset 0, shape (2,) [m].
        turn_deg: Direction of the lines, anticlockwise from east.
        stations: Distance along a line, ascending, shape (n,) [m].
        offsets: Distance of each line to the left of the origin, shape (k,) [m].
        inward: For each outline: distance inward from it (negative outside), shape (k, n) [m].
    """

    origin: Array
    turn_deg: float
    stations: Array
    offsets: Array
    inward: tuple[Array, ...]


def rays(outlines: Sequence[tuple[Shape, Placed]], turn_deg: float, margin: float, lines: int, samples: int) -> Rays:
    """Lines across all outlines and a margin round them.

    Args:
        outlines: Shapes with where their own axes lie on the site.
        turn_deg: Direction of the lines, anticlockwise from east.
        margin: How far the lines reach beyond the outlines on every side [m].
        lines, samples: How many lines, and samples on each.
    """
    axes = Placed(0.0, 0.0, turn_deg)
    corners = np.concatenate([axes.to_own(placed.to_site(shape.coords)) for shape, placed in outlines])
    low, high = corners.min(axis=0) - margin, corners.max(axis=0) + margin
    stations, offsets = np.linspace(low[0], high[0], samples), np.linspace(low[1], high[1], lines)
    return sampled(outlines, axes, stations, offsets)


def line_rays(outlines: Sequence[tuple[Shape, Placed]], start: tuple[float, float], end: tuple[float, float], samples: int) -> Rays:
    """One line from ``start`` to ``end`` (site, metres), station 0 at its start."""
    across = np.array(end) - np.array(start)
    turn = float(np.degrees(np.arctan2(across[1], across[0])))
    placed = Placed(start[0], start[1], turn)
    return sampled(outlines, placed, np.linspace(0.0, float(np.hypot(*across)), samples), np.zeros(1))


def sampled(outlines: Sequence[tuple[Shape, Placed]], axes: Placed, stations: Array, offsets: Array) -> Rays:
    """Lines parallel to the x axis of ``axes``, at given stations and offsets."""
    grid = np.stack(np.meshgrid(stations, offsets), axis=-1).reshape(-1, 2)
    site = axes.to_site(grid)
    inward = tuple(shape.inward(placed.to_own(site)).reshape(len(offsets), len(stations)) for shape, placed in outlines)
    return Rays(np.array([axes.x, axes.y]), axes.turn_deg, stations, offsets, inward)


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

    bowl: Bowl
    placed: Placed
    level: float
    rim: float
    rim_level: float

    def outlines(self) -> tuple[tuple[Shape, Placed], ...]:
        """Outlines of pool and pits with their places on the site, in the order that ``Trace`` wants their distances."""
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
    """Nodes of lines over the surface, in order along each line; shape (m,) each.

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

    def of(self, line: int) -> slice:
        """Nodes of one line."""
        low, high = np.searchsorted(self.line, [line, line + 1])
        return slice(int(low), int(high))


def trace(lines: Rays, laid: Sequence[Laid], edge: float = 0.0) -> Trace:
    """Where lines run over laid bowls, with a node at every sample and at every break of a surface.

    Args:
        lines: With distances for the outlines of each bowl in turn (``Laid.outlines``).
        laid: The bowls.
        edge: Further nodes where the strip of this width beyond a rim ends [m].
    """
    wanted: list[Array] = []
    for pool in laid:
        for index, part in enumerate(pool.bowl.parts):
            marks = part.profile.breaks
            if index == 0:
                ends = np.array([-pool.rim, -pool.rim - SLIT, -pool.rim - edge])
                marks = np.append(marks[marks > -pool.rim], ends)
            wanted.append(marks)
    row, cell, part_of_cell = _crossings(lines, wanted)
    k, n = len(lines.offsets), len(lines.stations)
    line = np.concatenate([np.repeat(np.arange(k), n), row])
    at = np.concatenate([np.tile(np.arange(n), k), cell])
    share = np.concatenate([np.zeros(k * n), part_of_cell])
    nxt = np.minimum(at + 1, n - 1)
    station = lines.stations[at] + share * (lines.stations[nxt] - lines.stations[at])
    order = np.lexsort((station, line))
    line, at, nxt, share, station = line[order], at[order], nxt[order], share[order], station[order]
    inward = [field[line, at] + share * (field[line, nxt] - field[line, at]) for field in lines.inward]
    level, inside, own = np.full(line.shape, np.nan), np.full(line.shape, -1), []
    taken = 0
    for index, pool in enumerate(laid):
        parts = pool.bowl.parts
        depth = parts[0].profile.depth(inward[taken])
        for offset, pit in enumerate(parts[1:], 1):
            depth = np.maximum(depth, pit.profile.depth(inward[taken + offset]))
        here = pool.level - depth
        within = inward[taken] >= -pool.rim - SLIT / 4
        lower = within & ~(level <= here)
        level[lower], inside[lower] = here[lower], index
        own.append(inward[taken])
        taken += len(parts)
    return Trace(line, station, level, inside, tuple(own))


def _crossings(lines: Rays, wanted: Sequence[Array]) -> tuple[Ints, Ints, Array]:
    """Cells between samples in which a distance passes one of its marks: line, sample before, share of the cell."""
    rows, cells, shares = [], [], []
    for field, marks in zip(lines.inward, wanted, strict=True):
        before, after = field[:, :-1], field[:, 1:]
        low, high = np.minimum(before, after), np.maximum(before, after)
        for mark in marks:
            r, c = np.nonzero((low < mark) & (mark < high))
            rows.append(r)
            cells.append(c)
            shares.append((mark - before[r, c]) / (after[r, c] - before[r, c]))
    if not rows:
        return np.zeros(0, int), np.zeros(0, int), np.zeros(0)
    return np.concatenate(rows), np.concatenate(cells), np.concatenate(shares)


@dataclass(frozen=True, eq=False)
class Sheet:
    """How far a sheet that covers all pools reaches along one direction: see ``reach``.

    Attributes:
        length: Least length of the sheet in this direction [m].
        reference: Station of the reference line [m].
        left, right: Length from the reference line to either end [m].
        offsets: Offset of each line that meets the sheet [m], shape (k,).
        paths: Length of the way over the surface on each, end to end [m], shape (k,).
        starts, ends: Stations of the sheet's ends on each [m], shape (k,).
    """

    length: float
    reference: float
    left: float
    right: float
    offsets: Array
    paths: Array
    starts: Array
    ends: Array


def reach(lines: Rays, laid: Sequence[Laid], edge: float) -> Sheet:
    """Length that a sheet needs in the direction of the lines, to lie on every surface and ``edge`` beyond every rim.

    A sheet has straight ends, folds, and does not stretch. Over all lines, the longest way from one straight reference
    line to the left end plus the longest from it to the right end, the reference line placed to make the sum least. Between
    two rims the way runs level over the lower ground and drops or climbs at the higher rim.
    """
    nodes = trace(lines, laid, edge)
    covered = np.zeros(nodes.line.shape, dtype=bool)
    for pool, inward in zip(laid, nodes.inward, strict=True):
        covered |= inward >= -pool.rim - edge - 1e-9
    level = _over_ground(nodes, laid)
    starts, ends, ways, kept = [], [], [], []
    for index in range(len(lines.offsets)):
        part = nodes.of(index)
        on = np.flatnonzero(covered[part])
        if not len(on):
            continue
        part = slice(part.start + int(on[0]), part.start + int(on[-1]) + 1)
        station = nodes.station[part]
        way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(station), np.diff(level[part])))])
        starts.append(station[0])
        ends.append(station[-1])
        ways.append((station, way))
        kept.append(lines.offsets[index])
    low, high = np.array(starts), np.array(ends)
    full = np.array([way[-1] for _, way in ways])
    tries = np.linspace(low.min(), high.max(), 161)
    for _ in range(3):
        left, right = _to_ends(tries, ways, low, high, full)
        best = int(np.argmin(left + right))
        span = tries[min(best + 1, len(tries) - 1)] - tries[max(best - 1, 0)]
        found = float(tries[best]), float(left[best]), float(right[best])
        tries = np.linspace(found[0] - span / 2, found[0] + span / 2, 21)
    return Sheet(found[1] + found[2], found[0], found[1], found[2], np.array(kept), full, low, high)


def _to_ends(tries: Array, ways: list[tuple[Array, Array]], low: Array, high: Array, full: Array) -> tuple[Array, Array]:
    """Longest way from each tried reference line to the left and to the right end, shape (tries,) each [m]."""
    left, right = np.zeros(len(tries)), np.zeros(len(tries))
    for (station, way), start, end, whole in zip(ways, low, high, full, strict=True):
        # Off its own stretch a line lies flat on the ground.
        here = np.interp(tries, station, way) + np.minimum(tries - start, 0) + np.maximum(tries - end, 0)
        left = np.maximum(left, np.where(tries > start, here, 0.0))
        right = np.maximum(right, np.where(tries < end, whole - here, 0.0))
    return left, right


def _over_ground(nodes: Trace, laid: Sequence[Laid]) -> Array:
    """Levels of the nodes; outside the rims the lower of the rim levels before and after on the line."""
    rims = np.array([pool.rim_level for pool in laid])
    count = len(nodes.line)
    at = np.arange(count)
    known = nodes.inside >= 0
    before = np.maximum.accumulate(np.where(known, at, -1))
    after = np.minimum.accumulate(np.where(known, at, count)[::-1])[::-1]
    before_ok = (before >= 0) & (nodes.line[np.maximum(before, 0)] == nodes.line)
    after_ok = (after < count) & (nodes.line[np.minimum(after, count - 1)] == nodes.line)
    rim_before = np.where(before_ok, rims[nodes.inside[np.maximum(before, 0)]], np.inf)
    rim_after = np.where(after_ok, rims[nodes.inside[np.minimum(after, count - 1)]], np.inf)
    lower = np.minimum(rim_before, rim_after)
    # A line that meets no rim, only strips beyond, lies level as a whole.
    return np.where(known, nodes.level, np.where(np.isfinite(lower), lower, rims.min()))


def narrowest_turn(points: Array) -> float:
    """Direction of the long side of the narrowest rectangle round points, shape (n, 2) [m]: degrees in [0, 180)."""
    hull = np.asarray(shapely.MultiPoint(points).convex_hull.exterior.coords, dtype=float)
    sides = np.diff(hull, axis=0)
    angles = np.arctan2(sides[:, 1], sides[:, 0])
    across = hull @ np.stack([-np.sin(angles), np.cos(angles)])
    widths = across.max(axis=0) - across.min(axis=0)
    least = widths.min()
    # Of directions as narrow as each other (a circle, a square) the one nearest to east: it does not jump about.
    near = angles[widths <= least * (1 + 1e-6)] % np.pi
    return float(np.degrees(near[np.argmin(np.minimum(near, np.pi - near))])) % 180.0


def ring_outside(laid: Laid, distance: float) -> Array:
    """The waterline moved outward, on the site, closed, shape (n, 2) [m]."""
    moved = laid.bowl.pool.shape.moved(np.array([-distance]))[0]
    return laid.placed.to_site(np.asarray(moved.exterior.coords, dtype=float))


def shared_area(a: Laid, b: Laid) -> float:
    """Plan area inside both waterlines [m²]."""
    return float(a.outline.intersection(b.outline).area)


def near(a: Laid, b: Laid, reach: float) -> bool:
    """True where two waterlines lie nearer than ``reach`` [m]."""
    return bool(a.outline.distance(b.outline) < reach)


def inside(inner: Shape, placed: Placed, outer: Shape) -> float:
    """Least distance from the outer outline to an inner one that lies in it [m]; -1 where it does not."""
    ring = shapely.transform(inner.polygon, placed.to_site)
    return float(outer.polygon.exterior.distance(ring)) if outer.polygon.contains(ring) else -1.0


def holds_point(shape: Shape, point: tuple[float, float]) -> bool:
    """True where a place in the shape's own axes lies inside it."""
    return bool(shapely.contains_xy(shape.polygon, *point))
