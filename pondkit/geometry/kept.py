"""Places, lines and areas to keep clear of, and how near the outline of a dig, wall or machine comes to them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape

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
