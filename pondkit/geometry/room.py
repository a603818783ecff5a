"""Placing of new parts: free places on the site, facing places of outlines, the widest spot of an area."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.footprint import Footprint, SiteConstraint
from pondkit.geometry.outline import Array
from pondkit.geometry.site_surface import SiteSurface

Spot = tuple[float, float]
DIRECTIONS = 24  # directions in which a free place is searched for, at each distance
FAR = 300.0  # m: limit of the search for a free place
SAMPLES = 180  # number of places of a waterline considered for a crest


@dataclass(frozen=True, eq=False)
class OccupiedGround:
    """Occupied parts of the site.

    Attributes:
        taken: Areas, lines and places that new parts must avoid.
        within: Boundaries, inside which new parts must stay.
    """

    taken: BaseGeometry
    within: tuple[BaseGeometry, ...]

    def clear(self, place: Spot) -> float:
        """Distance from a place to the nearest occupied part [m]; 0 or less on one, or outside a boundary."""
        return float(self._clear(np.array([place]))[0])

    def _clear(self, places: Array) -> Array:
        points = shapely.points(places)
        away = np.full(len(places), math.inf)
        if not self.taken.is_empty:
            away = np.asarray(shapely.distance(points, self.taken), dtype=float)
        for area in self.within:
            edge = np.asarray(shapely.distance(points, area.boundary), dtype=float)
            away = np.minimum(away, np.where(shapely.contains(area, points), edge, -edge))
        return away

    def near(self, target: Spot, clear: float, allowed: Callable[[Spot], bool] = lambda place: True) -> Spot | None:
        """The nearest place to ``target`` with a clearance [m], among those ``allowed``; None if there is none."""
        turns = 2 * math.pi * np.arange(DIRECTIONS) / DIRECTIONS
        directions = np.column_stack([np.cos(turns), np.sin(turns)])
        radius, step = 0.0, max(clear / 4, 0.15)
        while radius < FAR:
            places = np.asarray(target) + radius * directions if radius else np.array([target])
            for place in places[self._clear(places) >= clear]:
                if allowed((float(place[0]), float(place[1]))):
                    return float(place[0]), float(place[1])
            radius += step if radius < 12 else 4 * step
        return None


def room_of(footprints: Iterable[Footprint], things: Iterable[SiteConstraint]) -> OccupiedGround:
    """The site with occupied parts, and with things to keep clear of at their clearances [m]."""
    areas = [footprint.area for footprint in footprints]
    inside: list[BaseGeometry] = []
    for thing in things:
        if thing.within:
            inside.append(thing.geometry.buffer(-thing.clearance) if thing.clearance else thing.geometry)
        else:
            areas.append(thing.geometry.buffer(thing.clearance) if thing.clearance else thing.geometry)
    return OccupiedGround(shapely.union_all(areas) if areas else shapely.GeometryCollection(), tuple(inside))


def facing(
    upper: SiteSurface, lower: SiteSurface, others: Sequence[Spot] = (), apart: float = 0.0
) -> tuple[Spot, Spot] | None:
    """The two nearest places of two waterlines, the upper one at a distance from other places [m].

    Returns: (place on the upper waterline, place on the lower one); None if all of the upper one is near those others.
    """
    ring, lower_ring = upper.outline.exterior, lower.outline.exterior
    if not others:
        first, second = shapely.ops.nearest_points(ring, lower_ring)
        return (first.x, first.y), (second.x, second.y)
    places = [ring.interpolate(share, normalized=True) for share in np.linspace(0, 1, SAMPLES, endpoint=False)]
    free = [point for point in places if all(math.dist((point.x, point.y), spot) >= apart for spot in others)]
    if not free:
        return None
    first = min(free, key=lower_ring.distance)
    second = shapely.ops.nearest_points(first, lower_ring)[1]
    return (first.x, first.y), (second.x, second.y)


def gap_between(first: SiteSurface, second: SiteSurface) -> float:
    """Least distance between two waterlines [m]."""
    return float(first.outline.distance(second.outline))


def nearest_on(site_surface: SiteSurface, place: Spot, inward: float) -> tuple[Spot, Spot]:
    """(place of a pool nearest to a place, at a distance inward from its waterline; unit vector pointing out of the
    pool there).
    """
    ring = site_surface.outline.buffer(-inward).exterior if inward else site_surface.outline.exterior
    spot = ring.interpolate(ring.project(shapely.Point(place)))
    foot = site_surface.outline.exterior.interpolate(site_surface.outline.exterior.project(spot))
    outward = np.array([foot.x - spot.x, foot.y - spot.y]) if inward else np.array(place) - (spot.x, spot.y)
    size = float(np.linalg.norm(outward)) or 1.0
    return (spot.x, spot.y), (float(outward[0]) / size, float(outward[1]) / size)


def widest_spot(site_surface: SiteSurface, inward: float, target: Spot | None = None) -> tuple[Spot, float] | None:
    """(centre, radius [m]) of the widest circle on the level part that begins at an inward distance, outside all pits,
    in the pool's own axes. The place ``target`` is used if the circle round it is at least half as wide.
    """
    bowl = site_surface.surface
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
    if target is not None:
        local = site_surface.placed.to_own(np.array([target]))[0]
        point = shapely.Point(local)
        if region.contains(point) and (free := float(region.boundary.distance(point))) >= radius / 2:
            return (float(local[0]), float(local[1])), free
    return (x, y), radius
