"""Footprints on the plan: outlines, strips along them, stones, machines and keep-out areas; their
distances and overlaps.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, TypeAlias

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape

Rim = tuple[Shape, Placed, float]  # outline, its place, horizontal distance out to the rim [m]


@dataclass(frozen=True)
class Gap:
    """Least distance between two outlines [m], and the plan area that is inside both [m²]."""

    distance: float
    shared: float


@remembered
def gap(a: Shape, at_a: Placed, b: Shape, at_b: Placed) -> Gap:
    """Distance and overlap of two outlines on the site."""
    first, second = (shapely.transform(shape.polygon, placed.to_site) for shape, placed in ((a, at_a), (b, at_b)))
    distance = float(first.distance(second))
    return Gap(distance, float(first.intersection(second).area) if distance == 0 else 0.0)


def close_pairs(outlines: Sequence[tuple[Shape, Placed]], reach: Sequence[float]) -> list[tuple[int, int]]:
    """Pairs of outlines that may be nearer than the sum of their reaches [m], judged by the circles round them; the
    lower index first.
    """
    if len(outlines) < 2:
        return []
    x, y, radius = np.array([shape.circle for shape, _ in outlines]).T
    turn = np.radians([placed.turn_deg for _, placed in outlines])
    east = np.array([placed.x for _, placed in outlines]) + x * np.cos(turn) - y * np.sin(turn)
    north = np.array([placed.y for _, placed in outlines]) + x * np.sin(turn) + y * np.cos(turn)
    size = radius + np.asarray(reach)
    near = np.hypot(east[:, None] - east, north[:, None] - north) <= size[:, None] + size
    return [(int(i), int(j)) for i, j in np.argwhere(np.triu(near, 1))]


@remembered
def inside(inner: Shape, placed: Placed, outer: Shape) -> float:
    """Least distance between the outer outline and an inner one inside it [m]; negative if the inner one leaves it, by
    how much.
    """
    ring = shapely.transform(inner.polygon, placed.to_site)
    if outer.polygon.contains(ring):
        return float(outer.polygon.exterior.distance(ring))
    corners = shapely.points(placed.to_site(inner.coords))
    return -max(float(shapely.distance(corners, outer.polygon).max()), 1e-9)


def goes_beyond(inner: Shape, placed: Placed, outer: Shape, inward: float) -> bool:
    """True if some place of the inner outline is further inward from the outer one than a distance [m]."""
    return bool(outer.moved([inward])[0].intersects(shapely.transform(inner.polygon, placed.to_site)))


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed line on the site, shape (n, 2) [m]."""

    points: Array


@remembered
def outside(shape: Shape, placed: Placed, distance: float) -> Ring:
    """An outline offset outward [m]."""
    return Ring(placed.to_site(np.asarray(shape.moved([-distance])[0].exterior.coords, dtype=float)))


Plan: TypeAlias = BaseGeometry  # an area on the site
COARSE = 16  # segments a quarter circle


@dataclass(frozen=True, eq=False)
class SiteConstraint:
    """One thing to keep clear of, on the site.

    Attributes:
        name, kind: Its name, and its kind.
        clearance: Required clearance [m].
        geometry: A place, a line or an area.
        within: True for a boundary, inside which everything must stay.
        lines: Lines for a picture, shape (n, 2) each; one row for a place.
        zones: Closed lines round it at its clearance; empty if that is 0, and for a boundary.
    """

    name: str
    kind: str
    clearance: float
    geometry: BaseGeometry
    within: bool
    lines: tuple[Array, ...]
    zones: tuple[Array, ...]

    def nearest(self, place: tuple[float, float]) -> tuple[float, float]:
        """Its place nearest to another place [m]."""
        edge = self.geometry.boundary if self.within else self.geometry
        x, y = shapely.get_coordinates(shapely.shortest_line(edge, shapely.Point(place)))[0]
        return float(x), float(y)


@dataclass(frozen=True, eq=False)
class Footprint:
    """Plan area taken up by a dig, a wall, a machine or a route, with its name."""

    name: str
    area: BaseGeometry


def site_constraint(
    name: str, kind: str, clearance: float, points: Sequence[Sequence[float]], closed: bool, within: bool
) -> SiteConstraint | None:
    """A thing to keep clear of; None if a closed line has no area or crosses itself, or if there is no point."""
    places = np.asarray(points, dtype=float).reshape(-1, 2)
    geometry: BaseGeometry
    if closed:
        if len(places) < 3:
            return None
        geometry = shapely.Polygon(places)
        if not geometry.is_valid or geometry.area <= 0:
            return None
        line = np.concatenate([places, places[:1]])
    elif not len(places):
        return None
    else:
        geometry = shapely.Point(places[0]) if len(places) == 1 else shapely.LineString(places)
        line = places
    zone = geometry.buffer(clearance, quad_segs=COARSE) if clearance and not within else None
    return SiteConstraint(name, kind, clearance, geometry, within, (line,), rings(zone) if zone else ())


@remembered
def within(thing: SiteConstraint, box: tuple[float, float, float, float]) -> tuple[list[Array], list[Array]]:
    """(lines, zones) of a thing within a box: west, south, east, north [m]."""
    window = shapely.box(*box)
    zones = [shapely.Polygon(zone).intersection(window) for zone in thing.zones]
    lines: list[Array] = []
    for line in thing.lines:
        shape = shapely.Point(line[0]) if len(line) == 1 else shapely.LineString(line)
        parts = shapely.get_parts(shape.intersection(window))
        lines += [np.asarray(part.coords, dtype=float) for part in parts if not part.is_empty]
    return lines, [ring for zone in zones for ring in rings(zone)]


def area_within(footprint: Footprint, box: tuple[float, float, float, float]) -> tuple[Array, ...]:
    """Footprint of a route or a machine within a box [m]."""
    return rings(footprint.area.intersection(shapely.box(*box)))


def rings(geometry: BaseGeometry) -> tuple[Array, ...]:
    """Outer lines of areas, closed, shape (n, 2) each."""
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.Polygon) and not part.is_empty]
    return tuple(np.asarray(part.exterior.coords, dtype=float) for part in parts)


def edges(geometry: BaseGeometry) -> tuple[Array, ...]:
    """All edges of areas, closed, shape (n, 2) each: outer ones anticlockwise, those of holes clockwise."""
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.Polygon) and not part.is_empty]
    return tuple(
        np.asarray(ring.coords, dtype=float) for part in map(orient, parts) for ring in (part.exterior, *part.interiors)
    )


@remembered
def dig_footprint(name: str, shape: Shape, placed: Placed, reach: float) -> Footprint:
    """Footprint of a dig: its outline offset by the greatest distance at which it meets the ground [m]."""
    return Footprint(name, shapely.transform(shape.thin.buffer(reach, quad_segs=COARSE), placed.to_site))


@remembered
def way_footprint(name: str, points: Sequence[Sequence[float]], width: float) -> Footprint | None:
    """Footprint of a route of a width along a line [m]; None without a line."""
    if len(points) < 2:
        return None
    line = shapely.LineString(np.asarray(points, dtype=float))
    return Footprint(name, line.buffer(width / 2, cap_style="flat", join_style="mitre"))


def line_footprint(name: str, places: Sequence[Sequence[float]], width: float) -> Footprint:
    """Footprint within half a width of a line, or of one place [m]."""
    points = np.asarray(places, dtype=float)[:, :2]
    line = shapely.Point(points[0]) if len(points) == 1 else shapely.LineString(points)
    return Footprint(name, line.buffer(width / 2, quad_segs=COARSE))


def ring_footprint(name: str, ring: Array) -> Footprint:
    """Footprint inside a closed line on the site, shape (n, 2) [m]."""
    return Footprint(name, shapely.Polygon(ring))


@remembered
def edge_footprint(name: str, shape: Shape, within: Placed, placed: Placed) -> Footprint:
    """Footprint of an outline's line only, for an outline within a pool's axes, on the site."""
    edge = shapely.transform(shape.polygon.exterior, within.to_site)
    return Footprint(name, shapely.transform(edge, placed.to_site))


def met_by(first: Sequence[Footprint], second: Sequence[Footprint]) -> list[tuple[int, int]]:
    """Pairs of indexes of footprints that overlap by more than a touch."""
    if not first or not second:
        return []
    tree = shapely.STRtree([footprint.area for footprint in second])
    pairs = tree.query([footprint.area for footprint in first], predicate="intersects").T
    return sorted((int(i), int(j)) for i, j in pairs if not first[i].area.touches(second[j].area))


@remembered
def body_footprint(name: str, place: tuple[float, float], size: float) -> Footprint:
    """Footprint of a machine in any direction: all within a distance of its centre [m]."""
    return Footprint(name, shapely.Point(place).buffer(size, quad_segs=COARSE))


@remembered
def swept_footprint(
    name: str, place: tuple[float, float], swings: Sequence[tuple[tuple[float, float], tuple[float, float], float]]
) -> Footprint:
    """Area swept by boom and loads from a place: for each swing the sector between its two ends, the shorter way round.

    Args:
        name: Its name.
        place: Centre of slewing [m].
        swings: Two ends of each swing [m], and its radius [m].
    """
    return Footprint(name, shapely.union_all([_sector(place, *swing) for swing in swings]))


def _sector(place: tuple[float, float], start: tuple[float, float], end: tuple[float, float], reach: float) -> Plan:
    first, last = (math.atan2(spot[1] - place[1], spot[0] - place[0]) for spot in (start, end))
    turn = (last - first + math.pi) % (2 * math.pi) - math.pi
    steps = np.linspace(first, first + turn, 2 + math.ceil(abs(turn) / (math.pi / 2 / COARSE)))
    # The polygon is circumscribed about the arc, so that all of the swept area is included.
    radius = reach / math.cos(abs(turn) / (2 * (len(steps) - 1)))
    arc = np.stack([place[0] + radius * np.cos(steps), place[1] + radius * np.sin(steps)], axis=1)
    return shapely.Polygon([place, *arc]) if abs(turn) > 1e-9 else shapely.LineString([place, arc[0]])


def away(footprint: Footprint, place: tuple[float, float]) -> float:
    """Distance of a place from a footprint, 0 inside it [m]."""
    return float(footprint.area.distance(shapely.Point(place)))


def distance(footprint: Footprint, thing: SiteConstraint) -> float:
    """Least distance between a footprint and a thing to keep clear of [m]; 0 if it enters the thing.

    For a boundary: distance from its inside; negative if the footprint leaves it, by how much.
    """
    if not thing.within:
        return float(footprint.area.distance(thing.geometry))
    if thing.geometry.contains(footprint.area):
        return float(footprint.area.distance(thing.geometry.boundary))
    corners = shapely.points(shapely.get_coordinates(footprint.area))
    return -float(shapely.distance(corners, thing.geometry).max())


DRAWN = 8  # segments a quarter circle, for pictures
ROUND = 48  # corners of an ellipse, for pictures
TOUCH = 1e-6  # m²: stones that overlap by no more than this only touch


@dataclass(frozen=True, eq=False)
class Strip:
    """A strip between an outline and its offset.

    Attributes:
        area: Plan area [m²].
        middle: Length of its centre line [m].
        parts: Number of pieces of the offset edge; 0 if nothing is left inside.
        rings: Closed lines round it on the site, shape (n, 2) each [m], for pictures. A hole is connected to its ring
            by a slit, so that each ring can be filled by itself.
    """

    area: float
    middle: float
    parts: int
    rings: tuple[Array, ...]


@remembered
def strip(shape: Shape, placed: Placed, across: float) -> Strip:
    """The strip along an outline.

    Args:
        shape: The outline, in its own axes.
        placed: Placement of those axes on the site.
        across: Width [m]: positive inward from the outline, negative outward.
    """
    area, middle = _measures(shape, across)
    offset_outline = shape.thin.buffer(-across, quad_segs=DRAWN)
    between = shape.thin.difference(offset_outline) if across > 0 else offset_outline.difference(shape.thin)
    rings = tuple(
        placed.to_site(_slit(part)) for part in getattr(between, "geoms", [between]) if part.geom_type == "Polygon"
    )
    parts = 0 if offset_outline.is_empty else int(shapely.get_num_geometries(offset_outline))
    return Strip(area, middle, parts, rings)


def _measures(shape: Shape, across: float) -> tuple[float, float]:
    """(plan area of a strip [m²], length of its centre line [m])."""
    ends, half = np.array([0.0, across]), np.array([across / 2])
    if across > 0:
        areas, middle = shape.area(ends), shape.perimeter(half)
    else:
        # The table of offsets has no breaks outward, where concave parts of an outline close up.
        areas, middle = shapely.area(shape.moved(ends)), shapely.length(shape.moved(half))
    return abs(float(areas[0] - areas[1])), float(middle[0])


def _slit(polygon: shapely.Polygon) -> Array:
    """One closed line round a polygon and its holes."""
    oriented = orient(polygon)  # outer ring one way, holes the other: fills alike under either rule
    line = np.asarray(oriented.exterior.coords, dtype=float)
    for hole in oriented.interiors:
        inner = np.asarray(hole.coords[:-1], dtype=float)
        inner = np.roll(inner, -int(np.argmin(np.linalg.norm(inner - line[-1], axis=1))), axis=0)  # the shortest slit
        line = np.concatenate([line, inner, inner[:1], line[-1:]])
    return line


class StonePlan(NamedTuple):
    """A stone in plan: centre on the site, length eastward and width [m], and whether it is an ellipse
    or a rectangle.
    """

    x: float
    y: float
    length: float
    width: float
    ellipse: bool


def plan_ring(plan: StonePlan) -> Array:
    """Closed line round a stone on the site, shape (n, 2) [m]."""
    *centre, length, width, ellipse = plan
    if ellipse:
        angle = np.linspace(0.0, 2 * np.pi, ROUND + 1)
        return np.stack([centre[0] + length / 2 * np.cos(angle), centre[1] + width / 2 * np.sin(angle)], axis=1)
    corners = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [1.0, 1.0]]) / 2
    return np.asarray(np.array(centre) + corners * np.array([length, width]))


@remembered
def overlaps(plans: tuple[StonePlan, ...]) -> tuple[tuple[int, int], ...]:
    """Pairs of indexes of stones that overlap in plan by more than a touch.

    Args:
        plans: Plan of each stone.
    """
    areas = [shapely.Polygon(plan_ring(plan)) for plan in plans]
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    pairs = sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
    return tuple((i, j) for i, j in pairs if areas[i].intersection(areas[j]).area > TOUCH)


def inside_of(shape: Shape, placed: Placed, places: Array) -> list[bool]:
    """For each place on the site, shape (n, 2) [m], whether it lies inside the outline."""
    local = placed.to_own(places)
    return [bool(is_inside) for is_inside in shapely.contains_xy(shape.polygon, local[:, 0], local[:, 1])]
