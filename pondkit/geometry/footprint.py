"""What takes up ground on the plan: outlines, strips along them, stones, machines and places to keep clear of; how near
they come to each other and what they share."""

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
    """How two outlines lie to each other on the site."""
    one, other = (shapely.transform(shape.polygon, placed.to_site) for shape, placed in ((a, at_a), (b, at_b)))
    distance = float(one.distance(other))
    return Gap(distance, float(one.intersection(other).area) if distance == 0 else 0.0)


def close_pairs(outlines: Sequence[tuple[Shape, Placed]], reach: Sequence[float]) -> list[tuple[int, int]]:
    """Pairs of outlines that may lie nearer than their reaches together [m], by the circles round them; first one
    lower."""
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
    """Least distance from the outer outline to an inner one that lies in it [m]; negative where it leaves, by how
    far."""
    ring = shapely.transform(inner.polygon, placed.to_site)
    if outer.polygon.contains(ring):
        return float(outer.polygon.exterior.distance(ring))
    corners = shapely.points(placed.to_site(inner.coords))
    return -max(float(shapely.distance(corners, outer.polygon).max()), 1e-9)


def goes_beyond(inner: Shape, placed: Placed, outer: Shape, inward: float) -> bool:
    """True where some place of the inner outline lies further inward than this from the outer one [m]."""
    return bool(outer.moved([inward])[0].intersects(shapely.transform(inner.polygon, placed.to_site)))


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed line on the site, shape (n, 2) [m]."""

    points: Array


@remembered
def outside(shape: Shape, placed: Placed, distance: float) -> Ring:
    """An outline moved outward [m]."""
    return Ring(placed.to_site(np.asarray(shape.moved([-distance])[0].exterior.coords, dtype=float)))


Plan: TypeAlias = BaseGeometry  # an area on the site
COARSE = 16  # segments a quarter circle


@dataclass(frozen=True, eq=False)
class Kept:
    """One thing to keep clear of, on the site.

    Attributes:
        name, kind: As the person calls it, and what it is.
        clearance: Distance to keep [m].
        geometry: A place, a line or an area.
        within: True where all must stay inside, as inside a boundary.
        lines: It as lines for a picture, shape (n, 2) each; of a place, one row.
        zones: Closed lines round it at its clearance; none where that is 0, nor of a boundary.
    """

    name: str
    kind: str
    clearance: float
    geometry: BaseGeometry
    within: bool
    lines: tuple[Array, ...]
    zones: tuple[Array, ...]

    def nearest(self, place: tuple[float, float]) -> tuple[float, float]:
        """The place on it that lies nearest to another [m]."""
        edge = self.geometry.boundary if self.within else self.geometry
        x, y = shapely.get_coordinates(shapely.shortest_line(edge, shapely.Point(place)))[0]
        return float(x), float(y)


@dataclass(frozen=True, eq=False)
class Footprint:
    """What is taken up on the site by a dig, a wall, a machine or a way: its name and its area."""

    name: str
    area: BaseGeometry


def kept(
    name: str, kind: str, clearance: float, points: Sequence[Sequence[float]], closed: bool, within: bool
) -> Kept | None:
    """A thing to keep clear of; None where a closed line goes round no area or crosses itself, or there is no point."""
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
    return Kept(name, kind, clearance, geometry, within, (line,), rings(zone) if zone else ())


@remembered
def within(thing: Kept, box: tuple[float, float, float, float]) -> tuple[list[Array], list[Array]]:
    """Lines and zones of a thing as far as they lie in a box: west, south, east, north [m]."""
    window = shapely.box(*box)
    zones = [shapely.Polygon(zone).intersection(window) for zone in thing.zones]
    lines: list[Array] = []
    for line in thing.lines:
        whole = shapely.Point(line[0]) if len(line) == 1 else shapely.LineString(line)
        parts = shapely.get_parts(whole.intersection(window))
        lines += [np.asarray(part.coords, dtype=float) for part in parts if not part.is_empty]
    return lines, [ring for zone in zones for ring in rings(zone)]


def area_within(one: Footprint, box: tuple[float, float, float, float]) -> tuple[Array, ...]:
    """What a way or a machine takes up, as far as it lies in a box [m]."""
    return rings(one.area.intersection(shapely.box(*box)))


def rings(geometry: BaseGeometry) -> tuple[Array, ...]:
    """Outer lines of areas, closed, shape (n, 2) each."""
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.Polygon) and not part.is_empty]
    return tuple(np.asarray(part.exterior.coords, dtype=float) for part in parts)


def edges(geometry: BaseGeometry) -> tuple[Array, ...]:
    """All lines round areas, closed, shape (n, 2) each: outer ones anticlockwise, those
    of what is left out within clockwise.
    """
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.Polygon) and not part.is_empty]
    return tuple(
        np.asarray(ring.coords, dtype=float) for part in map(orient, parts) for ring in (part.exterior, *part.interiors)
    )


@remembered
def dig_footprint(name: str, shape: Shape, placed: Placed, reach: float) -> Footprint:
    """What a dig takes up: its outline moved out as far as it meets the ground anywhere [m]."""
    return Footprint(name, shapely.transform(shape.thin.buffer(reach, quad_segs=COARSE), placed.to_site))


@remembered
def way_footprint(name: str, points: Sequence[Sequence[float]], width: float) -> Footprint | None:
    """What a way of a width takes up along a line [m]; None where no line is drawn."""
    if len(points) < 2:
        return None
    line = shapely.LineString(np.asarray(points, dtype=float))
    return Footprint(name, line.buffer(width / 2, cap_style="flat", join_style="mitre"))


def line_footprint(name: str, places: Sequence[Sequence[float]], width: float) -> Footprint:
    """What lies within half a width of a line, or of one place [m]."""
    at = np.asarray(places, dtype=float)[:, :2]
    line = shapely.Point(at[0]) if len(at) == 1 else shapely.LineString(at)
    return Footprint(name, line.buffer(width / 2, quad_segs=COARSE))


def ring_footprint(name: str, ring: Array) -> Footprint:
    """What lies within a closed line on the site, shape (n, 2) [m]."""
    return Footprint(name, shapely.Polygon(ring))


@remembered
def edge_footprint(name: str, shape: Shape, within: Placed, placed: Placed) -> Footprint:
    """The line alone of an outline that lies within a pool's axes, on the site."""
    own = shapely.transform(shape.polygon.exterior, within.to_site)
    return Footprint(name, shapely.transform(own, placed.to_site))


def met_by(one: Sequence[Footprint], other: Sequence[Footprint]) -> list[tuple[int, int]]:
    """Pairs, by their places in both, of which more than a touch lies over the other."""
    if not one or not other:
        return []
    tree = shapely.STRtree([each.area for each in other])
    found = tree.query([each.area for each in one], predicate="intersects").T
    return sorted((int(i), int(j)) for i, j in found if not one[i].area.touches(other[j].area))


@remembered
def body_footprint(name: str, at: tuple[float, float], size: float) -> Footprint:
    """What a machine takes up however it faces: all within a distance of its middle [m]."""
    return Footprint(name, shapely.Point(at).buffer(size, quad_segs=COARSE))


@remembered
def swept_footprint(
    name: str, at: tuple[float, float], swings: Sequence[tuple[tuple[float, float], tuple[float, float], float]]
) -> Footprint:
    """What boom and loads sweep over from a place: of each swing the sector between
    its two ends, the shorter way round.

    Args:
        name: What sweeps.
        at: The middle that it slews about [m].
        swings: Two ends of each [m], and how far out it sweeps [m].
    """
    return Footprint(name, shapely.union_all([_sector(at, *swing) for swing in swings]))


def _sector(at: tuple[float, float], start: tuple[float, float], end: tuple[float, float], reach: float) -> Plan:
    first, last = (math.atan2(spot[1] - at[1], spot[0] - at[0]) for spot in (start, end))
    turn = (last - first + math.pi) % (2 * math.pi) - math.pi
    steps = np.linspace(first, first + turn, 2 + math.ceil(abs(turn) / (math.pi / 2 / COARSE)))
    # The arc is drawn outside its chords, so that nothing that is swept is left out.
    out = reach / math.cos(abs(turn) / (2 * (len(steps) - 1)))
    arc = np.stack([at[0] + out * np.cos(steps), at[1] + out * np.sin(steps)], axis=1)
    return shapely.Polygon([at, *arc]) if abs(turn) > 1e-9 else shapely.LineString([at, arc[0]])


def away(footprint: Footprint, at: tuple[float, float]) -> float:
    """Distance of a place from what is taken up, 0 on it [m]."""
    return float(footprint.area.distance(shapely.Point(at)))


def distance(footprint: Footprint, thing: Kept) -> float:
    """Least distance between a footprint and what is kept clear [m]: 0 where it enters it.

    Of a boundary: from the inside; negative where the footprint goes out, by how far.
    """
    if not thing.within:
        return float(footprint.area.distance(thing.geometry))
    if thing.geometry.contains(footprint.area):
        return float(footprint.area.distance(thing.geometry.boundary))
    corners = shapely.points(shapely.get_coordinates(footprint.area))
    return -float(shapely.distance(corners, thing.geometry).max())


DRAWN = 8  # segments a quarter circle, for pictures
ROUND = 48  # corners of an ellipse, for pictures
TOUCH = 1e-6  # m²: stones of which no more lies over another touch it


@dataclass(frozen=True, eq=False)
class Strip:
    """A strip between an outline and the same outline moved.

    Attributes:
        area: Plan area [m²].
        middle: Length of its middle line [m].
        parts: Of how many pieces the edge away from the outline is made; 0 where nothing is left inside.
        rings: Closed lines round it on the site, shape (n, 2) each [m], for pictures. A hole is joined to its ring by a
            slit, so that each ring fills by itself.
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
        placed: Where those lie on the site.
        across: Width [m]: positive inward from the outline, negative outward.
    """
    area, middle = _measures(shape, across)
    moved = shape.thin.buffer(-across, quad_segs=DRAWN)
    between = shape.thin.difference(moved) if across > 0 else moved.difference(shape.thin)
    rings = tuple(
        placed.to_site(_slit(part)) for part in getattr(between, "geoms", [between]) if part.geom_type == "Polygon"
    )
    parts = 0 if moved.is_empty else int(shapely.get_num_geometries(moved))
    return Strip(area, middle, parts, rings)


def _measures(shape: Shape, across: float) -> tuple[float, float]:
    """Plan area of a strip [m²] and length of its middle line [m]."""
    ends, half = np.array([0.0, across]), np.array([across / 2])
    if across > 0:
        areas, middle = shape.area(ends), shape.perimeter(half)
    else:
        # The table of offsets has no breaks outward, where the bays of an outline close.
        areas, middle = shapely.area(shape.moved(ends)), shapely.length(shape.moved(half))
    return abs(float(areas[0] - areas[1])), float(middle[0])


def _slit(polygon: shapely.Polygon) -> Array:
    """One closed line round a polygon and its holes."""
    turned = orient(polygon)  # outer ring one way, holes the other: fills alike under either rule
    line = np.asarray(turned.exterior.coords, dtype=float)
    for hole in turned.interiors:
        inner = np.asarray(hole.coords[:-1], dtype=float)
        inner = np.roll(inner, -int(np.argmin(np.linalg.norm(inner - line[-1], axis=1))), axis=0)  # the shortest slit
        line = np.concatenate([line, inner, inner[:1], line[-1:]])
    return line


class StonePlan(NamedTuple):
    """A stone on the plan: its middle on the site, length eastward and width [m], and
    whether it is an ellipse or a rectangle.
    """

    x: float
    y: float
    length: float
    width: float
    ellipse: bool


def plan_ring(plan: StonePlan) -> Array:
    """Closed line round a stone on the site, shape (n, 2) [m]."""
    *at, length, width, ellipse = plan
    if ellipse:
        angle = np.linspace(0.0, 2 * np.pi, ROUND + 1)
        return np.stack([at[0] + length / 2 * np.cos(angle), at[1] + width / 2 * np.sin(angle)], axis=1)
    corners = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [1.0, 1.0]]) / 2
    return np.asarray(np.array(at) + corners * np.array([length, width]))


@remembered
def overlaps(plans: tuple[StonePlan, ...]) -> tuple[tuple[int, int], ...]:
    """Pairs of stones, by their places in ``plans``, of which more than a touch lies over the other on the plan.

    Args:
        plans: Of each stone.
    """
    areas = [shapely.Polygon(plan_ring(plan)) for plan in plans]
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    pairs = sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
    return tuple((i, j) for i, j in pairs if areas[i].intersection(areas[j]).area > TOUCH)


def inside_of(shape: Shape, placed: Placed, places: Array) -> list[bool]:
    """For each place on the site, shape (n, 2) [m], whether it lies inside the outline."""
    own = placed.to_own(places)
    return [bool(held) for held in shapely.contains_xy(shape.polygon, own[:, 0], own[:, 1])]
