"""How a machine stands to a dig, or to a hole: how far from its outline, and which place of it asks for most room."""

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Point

from pondkit.geometry.hole import Hole
from pondkit.geometry.path import Laid
from pondkit.geometry.pool_surface import Basin

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


def approach(dig: Laid | Hole, at: Spot, ground: float, slope: float) -> Approach:
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
    for part in dig.bowl.parts:
        away = -float(part.shape.inward(part.placed.to_own(own))[0])
        if part.reached > start:
            edge = min(edge, away + min(float(part.profile.inward(np.array(start))), part.shape.inradius))
        for inward, depth in _corners(part, start):
            below = ground - dig.level + depth
            if worst is None or away + inward - slope * below < worst[0] - slope * worst[1]:
                worst = away + inward, below
    outside = -float(dig.bowl.pool.shape.inward(own)[0])
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
        found.append((reach, part.reached))
        found.append((min(float(part.profile.inward(np.array(start))), reach), start))
    return found


def crosses(dig: Laid | Hole, start: Spot, end: Spot, wide: float) -> bool:
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
