"""Excavations with a level bottom of any plan and upright or sloped sides: round structures, and under walls."""

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

CELLS, MOST = 5000, 40000  # samples required over an excavation, and most over its bounding box
ROUND = 16  # segments a quarter circle
HAIR = 1e-3  # m: a reach has converged when it grows by less
PASSES = 200  # iterations for a reach; it converges if ground and sides meet at all
SIDE = 0.25  # m: spacing of places along an excavation's edge
CORNERS = 48  # of a round body


class Surface(Protocol):
    """A surface with a level at places, shape (n, 2) -> (n,) [m]."""

    def at(self, points: Array) -> Array: ...


@dataclass(frozen=True)
class Hole:
    """An excavation from the ground down to a level bottom.

    Attributes:
        name: Its name.
        foot: Its bottom in site axes.
        bottom: Level of its bottom [m].
        batter: Horizontal run of its sides per unit of rise; 0 is upright.
        reach: Greatest distance from its foot at which it meets the ground, see ``reach_of`` [m].
        without: Plan area that is left out; None for none.
    """

    name: str
    foot: Polygon
    bottom: float
    batter: float = 0.0
    reach: float = 0.0
    without: BaseGeometry | None = None

    @property
    def area(self) -> BaseGeometry:
        """Greatest plan area of the excavation."""
        plan = self.foot.buffer(self.reach, quad_segs=ROUND) if self.reach > 0 else self.foot
        return plan if self.without is None else plan.difference(self.without)

    @cached_property
    def _edge(self) -> Edge:
        return Edge(self.foot)

    def away(self, places: Array) -> Array:
        """Distance of places from its bottom, 0 on it, shape (n, 2) -> (n,) [m]."""
        return np.maximum(-self._edge.inward(places), 0.0)

    def level_at(self, places: Array) -> Array:
        """Level of bottom and sides at places, shape (n, 2) -> (n,) [m]; inf outside the excavation."""
        if self.batter == 0:
            inside = shapely.contains_xy(self.area, places[:, 0], places[:, 1])
            return np.where(inside, self.bottom, np.inf)
        levels = np.full(len(places), np.inf)
        west, south, east, north = self.area.bounds
        x, y = places.T
        near = np.flatnonzero((x >= west) & (x <= east) & (y >= south) & (y <= north))
        if self.without is not None:
            near = near[~shapely.contains_xy(self.without, x[near], y[near])]
        levels[near] = self.bottom + self.away(places[near]) / self.batter
        return levels

    def spots(self, count: int = CELLS) -> tuple[Array, Array]:
        """(centres of about ``count`` small parts of its plan, shape (n, 2), their areas, shape (n,)) [m, m²]."""
        turn = _turn(self.foot)
        forward, backward = Placed(0.0, 0.0, turn), Placed(0.0, 0.0, -turn)
        area = shapely.transform(self.area, backward.to_site)
        if area.is_empty:
            return np.zeros((0, 2)), np.zeros(0)
        west, south, east, north = area.bounds
        step = math.sqrt(max(area.area / count, (east - west) * (north - south) / MOST))
        middles, areas = cells_of(area, step)
        return forward.to_site(middles), areas


def _turn(foot: Polygon) -> float:
    """Direction of the longer side of the narrowest rectangle round a foot [degrees anticlockwise from east]."""
    corners = np.asarray(foot.minimum_rotated_rectangle.exterior.coords)[:3]
    sides = np.diff(corners, axis=0)
    x, y = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    return math.degrees(math.atan2(y, x))


def box_at(
    place: Sequence[float], size: Sequence[float], turn_deg: float, more: float = 0.0, *, oval: bool = False
) -> Polygon:
    """Plan of a body: a rectangle of a length and width, or the ellipse in it (``oval``), rotated, each side offset
    outward by ``more`` [m].
    """
    x, y = size[0] / 2 + more, size[1] / 2 + more
    if oval:
        turns = np.linspace(0.0, 2 * np.pi, CORNERS, endpoint=False)
        # A polygon inscribed in an ellipse has less area: widened to the ellipse's area.
        wide = math.sqrt(2 * np.pi / (CORNERS * math.sin(2 * np.pi / CORNERS)))
        corners = wide * np.stack([x * np.cos(turns), y * np.sin(turns)], axis=1)
    else:
        corners = np.array([(-x, -y), (x, -y), (x, y), (-x, y)])
    return Polygon(Placed(float(place[0]), float(place[1]), float(turn_deg)).to_site(corners))


def strip_beside(points: Sequence[Sequence[float]], right: float, left: float, ends: float) -> Polygon | None:
    """Area along a line to its right and left, and beyond its ends, by given distances [m]; None if that is not a
    single area.
    """
    line = np.asarray(points, dtype=float).reshape(-1, 2)
    sides = np.linalg.norm(np.diff(line, axis=0), axis=1)
    if len(line) < 2 or not (sides > HAIR).all():
        return None
    extended = LineString(
        [
            line[0] - (line[1] - line[0]) / sides[0] * ends,
            *line[1:-1],
            line[-1] + (line[-1] - line[-2]) / sides[-1] * ends,
        ]
    )
    if not extended.is_simple:
        return None
    parts = [
        extended.buffer(by, single_sided=True, cap_style="flat", join_style="mitre")
        for by in (left, -right)
        if abs(by) > 0
    ]
    area = shapely.union_all(parts, grid_size=1e-9)
    return orient(area) if isinstance(area, Polygon) and area.area > 0 and not area.interiors else None


@remembered
def reach_of(hole: Hole, ground: Surface) -> float:
    """Greatest distance from its foot at which an excavation meets the ground [m].

    Raises: TooSteep if that is too far, or never.
    """
    if hole.batter == 0:
        return 0.0

    def required_reach(reach: float) -> float:
        edge = hole.foot.buffer(reach + HAIR, quad_segs=ROUND).exterior
        high = float(ground.at(np.asarray(edge.segmentize(SIDE).coords)).max())
        return hole.batter * max(high - hole.bottom, 0.0)

    return reach_by(required_reach)


def reach_by(required: Callable[[float], float]) -> float:
    """Distance at which sides meet the ground, solved by iteration: ``required`` gives the distance required for the
    highest ground along an edge at a distance [m].

    Raises: TooSteep if that is too far, or never.
    """
    reach = 0.0
    for _ in range(PASSES):
        further = required(reach)
        if further > FAR_BANK:
            break
        if further <= reach + HAIR:
            return max(further, reach)
        reach = further
    raise TooSteep(reach)


@remembered
def foot_of(hole: Hole) -> Traced:
    """Edge of an excavation's bottom."""
    return Traced(np.asarray(orient(hole.foot).exterior.coords))


def span_over(plan: Polygon, surface: Surface) -> tuple[float, float]:
    """Lowest and highest level of a surface along the edge of a plan and at its middle [m]."""
    levels = surface.at(_round(plan))
    return float(levels.min()), float(levels.max())


def lowest_over(plan: Polygon, site_surface: SiteSurface) -> float:
    """Lowest level of a pool's surface, or of its bank extended upward, along the edge of a plan and at
    its middle [m].
    """
    return site_surface.level - float(site_surface.surface.depth_at(site_surface.placed.to_own(_round(plan))).max())


def depth_over(place: Sequence[float], site_surface: SiteSurface) -> float:
    """Depth of a pool at a place on the site [m]; negative on its bank."""
    return float(
        site_surface.surface.depth_at(site_surface.placed.to_own(np.array([[float(place[0]), float(place[1])]])))[0]
    )


def _round(plan: Polygon) -> Array:
    edge = np.asarray(plan.exterior.segmentize(SIDE).coords)
    return np.concatenate([edge, [[plan.centroid.x, plan.centroid.y]]])


@remembered
def hole_footprint(hole: Hole) -> Footprint:
    """Footprint of an excavation, as far out as it meets the ground anywhere."""
    return Footprint(hole.name, hole.area)


def ways_out(foot: Polygon, far: float) -> tuple[Array, Array]:
    """(places on the edge of a plan, unit vectors outward), shape (n, 2) each: the nearest edge place of points at a
    distance outside.
    """
    start = np.asarray(orient(foot).buffer(far, quad_segs=ROUND).exterior.segmentize(SIDE).coords)[:-1]
    line = foot.exterior
    base = shapely.get_coordinates(
        shapely.line_interpolate_point(line, shapely.line_locate_point(line, shapely.points(start)))
    )
    away = start - base
    return base, away / np.linalg.norm(away, axis=1, keepdims=True)


@remembered
def edge_of(hole: Hole, ground: Surface) -> tuple[Traced, ...]:
    """Line where an excavation meets the ground, on the site; empty if it is above the ground all round."""
    foot = orient(hole.foot)
    if hole.batter == 0:
        ring = np.asarray(foot.exterior.coords)
        return (Traced(ring),) if (ground.at(ring) > hole.bottom).any() else ()
    base, away = ways_out(foot, 1.0)
    reach = np.zeros(len(base))
    for _ in range(PASSES):  # converges by the factor slope of the ground times batter
        further = hole.batter * np.maximum(ground.at(base + reach[:, None] * away) - hole.bottom, 0.0)
        converged = float(np.abs(further - reach).max()) < HAIR / 10
        reach = further
        if converged:
            break
    if not reach.any():
        return ()
    area: BaseGeometry = shapely.make_valid(Polygon(base + reach[:, None] * away))
    parts = [part for part in shapely.get_parts(area) if isinstance(part, Polygon) and part.area > HAIR]
    return tuple(Traced(np.asarray(orient(part).exterior.coords)) for part in parts)


SAME = 1e-9
Spot = tuple[float, float]


@dataclass(frozen=True)
class Approach:
    """Position of a machine relative to one dig.

    Attributes:
        outside: Distance from the waterline, or from an excavation's edge [m]; negative inside it.
        to_place: Level distance to the governing place of the dig, which requires the greatest setback [m].
        depth: Depth of that place below the ground at the machine [m].
        to_edge: Level distance to the cut at the level of the machine's ground [m], or to the waterline if it does not
            reach that level.
    """

    outside: float
    to_place: float
    depth: float
    to_edge: float


def approach(dig: SiteSurface | Hole, place: Spot, ground: float, slope: float) -> Approach:
    """Position of a machine relative to a dig or an excavation.

    The setback that a corner of the dig's profile below the machine requires is the slope times its depth, from the
    corner; between corners it is linear.

    Args:
        dig: The dig or excavation on the site.
        place: Centre of the machine on the site [m].
        ground: Level of the ground there [m].
        slope: Horizontal per vertical at which the soil is stable.
    """
    if isinstance(dig, Hole):
        return _to_hole(dig, place, ground, slope)
    local = dig.placed.to_own(np.array([place], dtype=float))
    worst: tuple[float, float] | None = None
    start, edge = dig.level - ground, math.inf
    for part in dig.surface.parts:
        away = -float(part.shape.inward(part.placed.to_own(local))[0])
        if part.reached > start:
            edge = min(edge, away + min(float(part.profile.inward(np.array(start))), part.shape.inradius))
        for inward, depth in _corners(part, start):
            below = ground - dig.level + depth
            if worst is None or away + inward - slope * below < worst[0] - slope * worst[1]:
                worst = away + inward, below
    outside = -float(dig.surface.pool.shape.inward(local)[0])
    near = max(outside, 0.0)
    return Approach(outside, *(worst or (near, 0.0)), edge if math.isfinite(edge) else near)


def _to_hole(hole: Hole, machine: Spot, ground: float, slope: float) -> Approach:
    """Position relative to an excavation: its foot governs, or its edge if the sides are flatter than
    the stable slope.
    """
    foot, depth = float(hole.foot.distance(Point(machine))), max(ground - hole.bottom, 0.0)
    edge = foot - hole.batter * depth
    place = (foot, depth) if hole.batter < slope else (edge, 0.0)
    return Approach(edge if foot > 0 else -1.0, *place, edge)


def _corners(part: Basin, start: float) -> list[Spot]:
    """(inward, depth) of each corner deeper than ``start``, of the place at that depth, and of the deepest place."""
    reach = part.shape.inradius
    corners = [(float(t), float(z)) for t, z in part.profile.corners if z > start + SAME and t < reach]
    if part.reached > start:
        corners.append((reach, part.middle))
        corners.append((min(float(part.profile.inward(np.array(start))), reach), start))
    return corners


def crosses(dig: SiteSurface | Hole, start: Spot, end: Spot, wide: float) -> bool:
    """True if a strip ``wide`` on either side of the straight line between two places meets the rim of a dig, or an
    excavation.
    """
    if isinstance(dig, Hole):
        return bool(LineString([start, end]).distance(dig.area) < wide)
    return bool(LineString([start, end]).distance(dig.outline) < wide + dig.rim)


def off_line(place: Spot, start: Spot, end: Spot) -> float:
    """Distance of a place from the straight line between two others [m]."""
    east, north = end[0] - start[0], end[1] - start[1]
    long = east * east + north * north
    share = ((place[0] - start[0]) * east + (place[1] - start[1]) * north) / long if long > 0 else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.hypot(place[0] - start[0] - share * east, place[1] - start[1] - share * north)
