"""Where something new finds room: free places on the site, facing places of outlines, the widest spot of an area."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.footprint import Footprint, Kept
from pondkit.geometry.outline import Array
from pondkit.geometry.site_surface import SiteSurface

Spot = tuple[float, float]
DIRECTIONS = 24  # in which a free place is looked for, at each distance
FAR = 300.0  # m: no free place is looked for further out
SAMPLES = 180  # places of a waterline that a crest may lie at


@dataclass(frozen=True, eq=False)
class OccupiedGround:
    """What stands on the site already.

    Attributes:
        taken: Areas, lines and places that something new keeps off.
        within: Areas that it stays inside: boundaries.
    """

    taken: BaseGeometry
    within: tuple[BaseGeometry, ...]

    def clear(self, at: Spot) -> float:
        """Distance from a place to the nearest of all that stands [m]; 0 or less on it, or outside a boundary."""
        return float(self._clear(np.array([at]))[0])

    def _clear(self, places: Array) -> Array:
        points = shapely.points(places)
        away = np.full(len(places), math.inf)
        if not self.taken.is_empty:
            away = np.asarray(shapely.distance(points, self.taken), dtype=float)
        for area in self.within:
            edge = np.asarray(shapely.distance(points, area.boundary), dtype=float)
            away = np.minimum(away, np.where(shapely.contains(area, points), edge, -edge))
        return away

    def near(self, wanted: Spot, clear: float, allowed: Callable[[Spot], bool] = lambda at: True) -> Spot | None:
        """The place nearest to a wanted one that is so far from all that stands [m], and allowed; None where there is
        none.
        """
        turns = 2 * math.pi * np.arange(DIRECTIONS) / DIRECTIONS
        ways = np.column_stack([np.cos(turns), np.sin(turns)])
        out, step = 0.0, max(clear / 4, 0.15)
        while out < FAR:
            places = np.asarray(wanted) + out * ways if out else np.array([wanted])
            for at in places[self._clear(places) >= clear]:
                if allowed((float(at[0]), float(at[1]))):
                    return float(at[0]), float(at[1])
            out += step if out < 12 else 4 * step
        return None


def room_of(taken: Iterable[Footprint], things: Iterable[Kept]) -> OccupiedGround:
    """The room that is left by what is taken up, and by what is kept clear at its clearance [m]."""
    held = [each.area for each in taken]
    inside: list[BaseGeometry] = []
    for thing in things:
        if thing.within:
            inside.append(thing.geometry.buffer(-thing.clearance) if thing.clearance else thing.geometry)
        else:
            held.append(thing.geometry.buffer(thing.clearance) if thing.clearance else thing.geometry)
    return OccupiedGround(shapely.union_all(held) if held else shapely.GeometryCollection(), tuple(inside))


def facing(
    upper: SiteSurface, lower: SiteSurface, others: Sequence[Spot] = (), apart: float = 0.0
) -> tuple[Spot, Spot] | None:
    """The places of two waterlines that lie nearest to each other, the first of them so far from other places [m].

    Returns: (on the upper waterline, on the lower one); None where all of the upper one is near those others.
    """
    ring, other = upper.outline.exterior, lower.outline.exterior
    if not others:
        first, second = shapely.ops.nearest_points(ring, other)
        return (first.x, first.y), (second.x, second.y)
    places = [ring.interpolate(share, normalized=True) for share in np.linspace(0, 1, SAMPLES, endpoint=False)]
    free = [at for at in places if all(math.dist((at.x, at.y), spot) >= apart for spot in others)]
    if not free:
        return None
    first = min(free, key=other.distance)
    second = shapely.ops.nearest_points(first, other)[1]
    return (first.x, first.y), (second.x, second.y)


def gap_between(one: SiteSurface, other: SiteSurface) -> float:
    """Least distance between two waterlines [m]."""
    return float(one.outline.distance(other.outline))


def nearest_on(laid: SiteSurface, at: Spot, inward: float) -> tuple[Spot, Spot]:
    """The place of a pool, so far inward from its waterline, that is nearest to a place; and the way out of the pool
    there, as a vector of length 1.
    """
    ring = laid.outline.buffer(-inward).exterior if inward else laid.outline.exterior
    spot = ring.interpolate(ring.project(shapely.Point(at)))
    foot = laid.outline.exterior.interpolate(laid.outline.exterior.project(spot))
    out = np.array([foot.x - spot.x, foot.y - spot.y]) if inward else np.array(at) - (spot.x, spot.y)
    size = float(np.linalg.norm(out)) or 1.0
    return (spot.x, spot.y), (float(out[0]) / size, float(out[1]) / size)


def widest_spot(laid: SiteSurface, inward: float, wanted: Spot | None = None) -> tuple[Spot, float] | None:
    """Where the widest circle fits on the level part that begins so far inward, in the pool's own axes, beside all
    pits: (its middle, its radius [m]). The wanted place is taken where the circle round it is half as wide at least.
    """
    bowl = laid.surface
    if inward >= bowl.pool.shape.inradius:
        return None
    region = bowl.pool.shape.moved([inward])[0]
    for pit in bowl.pits:
        region = region.difference(pit.outline)
    if region.is_empty:
        return None
    circle = shapely.maximum_inscribed_circle(region, tolerance=0.01)
    (x, y), *_ = circle.coords
    radius = float(circle.length)
    if wanted is not None:
        own = laid.placed.to_own(np.array([wanted]))[0]
        point = shapely.Point(own)
        if region.contains(point) and (free := float(region.boundary.distance(point))) >= radius / 2:
            return (float(own[0]), float(own[1])), free
    return (x, y), radius
