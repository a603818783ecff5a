"""Holes with a level bottom of any plan, sides upright or sloped: round bodies that stand in the ground, and under
walls."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import Footprint
from pondkit.geometry.outline import Array, Placed
from pondkit.geometry.pool_surface import Basin
from pondkit.geometry.region import Edge, cells_of
from pondkit.geometry.site_line import Traced
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import FAR_BANK, TooSteep

CELLS, MOST = 5000, 40000  # samples wanted over a hole, and most over the box that it lies in
ROUND = 16  # segments a quarter circle
HAIR = 1e-3  # m: a reach is known when it grows by less
PASSES = 200  # until a reach is known; it grows less and less where ground and sides meet at all
SIDE = 0.25  # m: from place to place along a hole's edge
CORNERS = 48  # of a round body


class Surface(Protocol):
    """Whatever has a level at places, shape (n, 2) -> (n,) [m]."""

    def at(self, points: Array) -> Array: ...


@dataclass(frozen=True)
class Hole:
    """A hole that is dug from the ground down.

    Attributes:
        name: What it is dug for.
        foot: Its bottom in site axes.
        bottom: Level of that [m].
        batter: Horizontal run of its sides per unit of rise; 0 is upright.
        reach: How far out from its foot it meets the ground at most, see ``reach_of`` [m].
        without: Plan that is left out; None for nothing.
    """

    name: str
    foot: Polygon
    bottom: float
    batter: float = 0.0
    reach: float = 0.0
    without: BaseGeometry | None = None

    @property
    def area(self) -> BaseGeometry:
        """What is dug in plan, at most."""
        whole = self.foot.buffer(self.reach, quad_segs=ROUND) if self.reach > 0 else self.foot
        return whole if self.without is None else whole.difference(self.without)

    @cached_property
    def _edge(self) -> Edge:
        return Edge(self.foot)

    def away(self, places: Array) -> Array:
        """Distance of places from its bottom, 0 on it, shape (n, 2) -> (n,) [m]."""
        return np.maximum(-self._edge.inward(places), 0.0)

    def level_at(self, places: Array) -> Array:
        """Level of bottom and sides at places, shape (n, 2) -> (n,) [m]; inf where the hole does not come."""
        if self.batter == 0:
            inside = shapely.contains_xy(self.area, places[:, 0], places[:, 1])
            return np.where(inside, self.bottom, np.inf)
        out = np.full(len(places), np.inf)
        west, south, east, north = self.area.bounds
        x, y = places.T
        near = np.flatnonzero((x >= west) & (x <= east) & (y >= south) & (y <= north))
        if self.without is not None:
            near = near[~shapely.contains_xy(self.without, x[near], y[near])]
        out[near] = self.bottom + self.away(places[near]) / self.batter
        return out

    def spots(self, count: int = CELLS) -> tuple[Array, Array]:
        """Middles of some ``count`` small parts of its plan, shape (n, 2), and their areas, shape (n,) [m²]."""
        turn = _turn(self.foot)
        here, there = Placed(0.0, 0.0, turn), Placed(0.0, 0.0, -turn)
        area = shapely.transform(self.area, there.to_site)
        if area.is_empty:
            return np.zeros((0, 2)), np.zeros(0)
        west, south, east, north = area.bounds
        step = math.sqrt(max(area.area / count, (east - west) * (north - south) / MOST))
        middles, areas = cells_of(area, step)
        return here.to_site(middles), areas


def _turn(foot: Polygon) -> float:
    """Bearing of the longer side of the narrowest box round a foot [degrees anticlockwise from east]."""
    corners = np.asarray(foot.minimum_rotated_rectangle.exterior.coords)[:3]
    sides = np.diff(corners, axis=0)
    x, y = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    return math.degrees(math.atan2(y, x))


def box_at(
    at: Sequence[float], size: Sequence[float], turn_deg: float, more: float = 0.0, *, oval: bool = False
) -> Polygon:
    """The plan of a body: a box of a length and width, or the ellipse in it, turned, each side moved out by ``more``
    [m]."""
    x, y = size[0] / 2 + more, size[1] / 2 + more
    if oval:
        turns = np.linspace(0.0, 2 * np.pi, CORNERS, endpoint=False)
        # As many corners out of a true ellipse have less area: widened to have its own.
        wide = math.sqrt(2 * np.pi / (CORNERS * math.sin(2 * np.pi / CORNERS)))
        corners = wide * np.stack([x * np.cos(turns), y * np.sin(turns)], axis=1)
    else:
        corners = np.array([(-x, -y), (x, -y), (x, y), (-x, y)])
    return Polygon(Placed(float(at[0]), float(at[1]), float(turn_deg)).to_site(corners))


def strip_beside(points: Sequence[Sequence[float]], right: float, left: float, ends: float) -> Polygon | None:
    """What lies along a line, so far to its right and left, and so far beyond its ends [m]; None where that is no one
    area."""
    line = np.asarray(points, dtype=float).reshape(-1, 2)
    sides = np.linalg.norm(np.diff(line, axis=0), axis=1)
    if len(line) < 2 or not (sides > HAIR).all():
        return None
    whole = LineString(
        [
            line[0] - (line[1] - line[0]) / sides[0] * ends,
            *line[1:-1],
            line[-1] + (line[-1] - line[-2]) / sides[-1] * ends,
        ]
    )
    if not whole.is_simple:
        return None
    parts = [
        whole.buffer(by, single_sided=True, cap_style="flat", join_style="mitre")
        for by in (left, -right)
        if abs(by) > 0
    ]
    found = shapely.union_all(parts, grid_size=1e-9)
    return orient(found) if isinstance(found, Polygon) and found.area > 0 and not found.interiors else None


@remembered
def reach_of(hole: Hole, ground: Surface) -> float:
    """How far out from its foot a hole meets the ground, at most [m].

    Raises: TooSteep where that is too far, or nowhere.
    """
    if hole.batter == 0:
        return 0.0

    def asked(out: float) -> float:
        edge = hole.foot.buffer(out + HAIR, quad_segs=ROUND).exterior
        high = float(ground.at(np.asarray(edge.segmentize(SIDE).coords)).max())
        return hole.batter * max(high - hole.bottom, 0.0)

    return reach_by(asked)


def reach_by(asked: Callable[[float], float]) -> float:
    """How far out sides meet the ground, by how far the highest ground along an edge so far out asks them to go [m].

    Raises: TooSteep where that is too far, or nowhere.
    """
    out = 0.0
    for _ in range(PASSES):
        further = asked(out)
        if further > FAR_BANK:
            break
        if further <= out + HAIR:
            return max(further, out)
        out = further
    raise TooSteep(out)


@remembered
def foot_of(hole: Hole) -> Traced:
    """The edge of a hole's bottom."""
    return Traced(np.asarray(orient(hole.foot).exterior.coords))


def span_over(plan: Polygon, surface: Surface) -> tuple[float, float]:
    """Lowest and highest level of a surface along the edge of a plan and at its middle [m]."""
    levels = surface.at(_round(plan))
    return float(levels.min()), float(levels.max())


def lowest_over(plan: Polygon, laid: SiteSurface) -> float:
    """Lowest level of a pool's surface, or of its bank gone on with, along the edge of a plan and at its middle [m]."""
    return laid.level - float(laid.surface.depth_at(laid.placed.to_own(_round(plan))).max())


def depth_over(at: Sequence[float], laid: SiteSurface) -> float:
    """Depth of a pool at a place on the site; negative on its bank [m]."""
    return float(laid.surface.depth_at(laid.placed.to_own(np.array([[float(at[0]), float(at[1])]])))[0])


def _round(plan: Polygon) -> Array:
    edge = np.asarray(plan.exterior.segmentize(SIDE).coords)
    return np.concatenate([edge, [[plan.centroid.x, plan.centroid.y]]])


@remembered
def hole_footprint(hole: Hole) -> Footprint:
    """What a hole takes up, as far out as it meets the ground anywhere."""
    return Footprint(hole.name, hole.area)


def ways_out(foot: Polygon, far: float) -> tuple[Array, Array]:
    """Places on the edge of a plan, and unit vectors straight out from there, shape (n, 2) each: of places so far out
    the nearest."""
    start = np.asarray(orient(foot).buffer(far, quad_segs=ROUND).exterior.segmentize(SIDE).coords)[:-1]
    line = foot.exterior
    base = shapely.get_coordinates(
        shapely.line_interpolate_point(line, shapely.line_locate_point(line, shapely.points(start)))
    )
    away = start - base
    return base, away / np.linalg.norm(away, axis=1, keepdims=True)


@remembered
def edge_of(hole: Hole, ground: Surface) -> tuple[Traced, ...]:
    """Where a hole meets the ground, on the site; nothing where it lies over it all round."""
    foot = orient(hole.foot)
    if hole.batter == 0:
        ring = np.asarray(foot.exterior.coords)
        return (Traced(ring),) if (ground.at(ring) > hole.bottom).any() else ()
    base, away = ways_out(foot, 1.0)
    out = np.zeros(len(base))
    for _ in range(PASSES):  # shrinks by the ground's slope times the batter each time
        further = hole.batter * np.maximum(ground.at(base + out[:, None] * away) - hole.bottom, 0.0)
        known = float(np.abs(further - out).max()) < HAIR / 10
        out = further
        if known:
            break
    if not out.any():
        return ()
    area: BaseGeometry = shapely.make_valid(Polygon(base + out[:, None] * away))
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and part.area > HAIR]
    return tuple(Traced(np.asarray(orient(part).exterior.coords)) for part in parts)


SAME = 1e-9
Spot = tuple[float, float]


@dataclass(frozen=True)
class Approach:
    """How a machine stands to one dig.

    Attributes:
        outside: Distance from the waterline, or from a hole's edge [m]; negative inside it.
        to_place: Level distance to the place of the dig that asks for most room [m].
        depth: How deep that place lies under the ground of the machine [m].
        to_edge: Level distance to where the cut comes up to the ground of the machine [m]; to the waterline where it
            does not.
    """

    outside: float
    to_place: float
    depth: float
    to_edge: float


def approach(dig: SiteSurface | Hole, at: Spot, ground: float, slope: float) -> Approach:
    """How a machine at a place stands to a dig, or to a hole.

    Every corner of the dig's profile that lies lower than the machine asks for its distance inward, and for the slope
    times its depth beyond; in between both run straight.

    Args:
        dig: The dig or hole on the site.
        at: Middle of the machine on the site [m].
        ground: Level of the ground there [m].
        slope: Horizontal per vertical at which the soil stands.
    """
    if isinstance(dig, Hole):
        return _to_hole(dig, at, ground, slope)
    own = dig.placed.to_own(np.array([at], dtype=float))
    worst: tuple[float, float] | None = None
    start, edge = dig.level - ground, math.inf
    for part in dig.surface.parts:
        away = -float(part.shape.inward(part.placed.to_own(own))[0])
        if part.reached > start:
            edge = min(edge, away + min(float(part.profile.inward(np.array(start))), part.shape.inradius))
        for inward, depth in _corners(part, start):
            below = ground - dig.level + depth
            if worst is None or away + inward - slope * below < worst[0] - slope * worst[1]:
                worst = away + inward, below
    outside = -float(dig.surface.pool.shape.inward(own)[0])
    near = max(outside, 0.0)
    return Approach(outside, *(worst or (near, 0.0)), edge if math.isfinite(edge) else near)


def _to_hole(hole: Hole, at: Spot, ground: float, slope: float) -> Approach:
    """The foot of its sides asks for most room, or its edge where the sides are flatter than the soil stands."""
    foot, depth = float(hole.foot.distance(Point(at))), max(ground - hole.bottom, 0.0)
    edge = foot - hole.batter * depth
    place = (foot, depth) if hole.batter < slope else (edge, 0.0)
    return Approach(edge if foot > 0 else -1.0, *place, edge)


def _corners(part: Basin, start: float) -> list[Spot]:
    """(inward, depth) of each corner that lies deeper than ``start``, of the place at that depth, and of the
    deepest."""
    reach = part.shape.inradius
    found = [(float(t), float(z)) for t, z in part.profile.corners if z > start + SAME and t < reach]
    if part.reached > start:
        found.append((reach, part.middle))
        found.append((min(float(part.profile.inward(np.array(start))), reach), start))
    return found


def crosses(dig: SiteSurface | Hole, start: Spot, end: Spot, wide: float) -> bool:
    """True where a strip ``wide`` either side of the straight way between two places meets the rim of a dig, or a
    hole."""
    if isinstance(dig, Hole):
        return bool(LineString([start, end]).distance(dig.area) < wide)
    return bool(LineString([start, end]).distance(dig.outline) < wide + dig.rim)


def off_line(at: Spot, start: Spot, end: Spot) -> float:
    """Distance of a place from the straight way between two others [m]."""
    east, north = end[0] - start[0], end[1] - start[1]
    long = east * east + north * north
    share = ((at[0] - start[0]) * east + (at[1] - start[1]) * north) / long if long > 0 else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.hypot(at[0] - start[0] - share * east, at[1] - start[1] - share * north)
