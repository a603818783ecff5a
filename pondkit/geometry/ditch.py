"""Cuts along a line whose bottom falls from place to place, sides upright or sloped, such as beds of channels; and
banks along them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import Footprint
from pondkit.geometry.hole import CELLS, HAIR, MOST, PASSES, ROUND, SIDE, Surface, reach_by
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.region import cells_of
from pondkit.geometry.site_line import Traced

LONGER = 8.0  # along than across are the parts of a straight cut
Spot = tuple[float, float, float]
Sides = tuple[tuple[float, float], ...]  # (distance from the middle line, height over the bed there) [m], outward


@dataclass(frozen=True)
class Ditch:
    """A cut along a line, the same on both sides of it, its ends square to it.

    Attributes:
        name: What it is dug for.
        line: Middle of its bed from the upper end, site axes with the level of the bed [m]; bends are rounded outside.
        sides: Its profile from the middle outward.
        without: Plan that is left out; None for nothing.
    """

    name: str
    line: tuple[Spot, ...]
    sides: Sides
    without: BaseGeometry | None = None

    @property
    def wide(self) -> float:
        """How far it reaches on each side of its line [m]."""
        return self.sides[-1][0]

    @property
    def area(self) -> BaseGeometry:
        """What is dug in plan, at most."""
        whole = _along(self.line).buffer(self.wide, quad_segs=ROUND, cap_style="flat", join_style="round")
        return whole if self.without is None else whole.difference(self.without)

    def level_at(self, places: Array) -> Array:
        """Level of bed and sides at places, shape (n, 2) -> (n,) [m]; inf where it does not come."""
        away, level, beyond = _nearest(np.array(self.line), places)
        outward, high = np.array(self.sides).T
        out = np.where(beyond | (away > self.wide), np.inf, level + np.interp(away, outward, high))
        if self.without is not None:
            out[shapely.contains_xy(self.without, places[:, 0], places[:, 1])] = np.inf
        return np.asarray(out)

    def spots(self, count: int = CELLS) -> tuple[Array, Array]:
        """Middles of some ``count`` small parts of its plan, shape (n, 2), and their areas, shape (n,) [m²]."""
        way = np.array(self.line[-1][:2]) - np.array(self.line[0][:2])
        turn = float(np.degrees(np.arctan2(way[1], way[0])))
        here, there = Placed(0.0, 0.0, turn), Placed(0.0, 0.0, -turn)
        area = shapely.transform(self.area, there.to_site)
        if area.is_empty:
            return np.zeros((0, 2)), np.zeros(0)
        west, south, east, north = area.bounds
        # Finer across than along, where all the bends of its profile lie.
        longer = np.array([float(np.clip((east - west) / (north - south) / 3, 1.0, LONGER)), 1.0])
        area = shapely.transform(area, lambda places: places / longer)
        step = math.sqrt(max(area.area / count, (east - west) / longer[0] * (north - south) / MOST))
        middles, areas = cells_of(area, step)
        return here.to_site(middles * longer), areas * longer[0]


def _along(line: Sequence[Spot]) -> LineString:
    return LineString([place[:2] for place in line])


def _nearest(line: Array, places: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """For each place its distance from a line of at least two places, the level of the line there, and whether it
    lies beyond its ends."""
    away, level = np.full(len(places), np.inf), np.zeros(len(places))
    beyond = np.zeros(len(places), dtype=bool)
    last = len(line) - 2
    for at, (start, end) in enumerate(pairwise(line)):
        way = end[:2] - start[:2]
        share = (places - start[:2]) @ way / (way @ way)
        held = np.clip(share, 0.0, 1.0)
        off = np.linalg.norm(places - start[:2] - held[:, None] * way, axis=1)
        nearer = off < away
        past = ((share < 0) & (at == 0)) | ((share > 1) & (at == last))
        away = np.where(nearer, off, away)
        level = np.where(nearer, start[2] + held * (end[2] - start[2]), level)
        beyond = np.where(nearer, past, beyond)
    return away, level, beyond


def sides_up(half: float, batter: float, far: float) -> Sides:
    """A bed so wide on each side and its sides going up so far out; beds of no width are the meeting of two sides
    [m]."""
    if batter == 0:
        return ((0.0, 0.0), (half, 0.0))
    if half <= 0:
        return ((0.0, -half / batter), (max(far, HAIR), (max(far, HAIR) - half) / batter))
    return ((0.0, 0.0), (half, 0.0), (half + max(far, HAIR), max(far, HAIR) / batter))


def meets_within(line: Sequence[Spot], half: float, batter: float, ground: Surface) -> float:
    """How far out from its bed a cut with sides of a batter meets the ground, at most [m].

    Raises: TooSteep where that is too far, or nowhere.
    """
    if batter == 0:
        return 0.0
    middle, places = _along(line), np.array(line)

    def asked(out: float) -> float:
        area = middle.buffer(max(half, 0.0) + out + HAIR, quad_segs=ROUND, cap_style="flat", join_style="round")
        edge = shapely.get_coordinates(area.segmentize(SIDE))
        over = ground.at(edge) - _nearest(places, edge)[1]
        return batter * max(float(over.max()), 0.0) + min(half, 0.0)

    return reach_by(asked)


@remembered
def bed_of(line: Sequence[Spot], half: float) -> tuple[Traced, ...]:
    """The edge of a bed."""
    return _rings(_along(line).buffer(max(half, HAIR), quad_segs=ROUND, cap_style="flat", join_style="round"))


@remembered
def edge_along(line: tuple[Spot, ...], half: float, batter: float, ground: Surface) -> tuple[Traced, ...]:
    """Where a cut meets the ground, on the site; nothing where its bed lies over it.

    Args:
        line: Middle of its bed.
        half: Half the width of that [m].
        batter: Horizontal run of its sides per unit of rise.
        ground: As it is.
    """
    bed = max(half, HAIR)
    foot = _along(line).buffer(bed, quad_segs=ROUND, cap_style="flat", join_style="round")
    dug = _dug(line, ground)
    if not dug or not isinstance(foot, Polygon):
        return ()
    start = np.asarray(orient(foot).buffer(1.0, quad_segs=ROUND).exterior.segmentize(SIDE).coords)[:-1]
    near = shapely.line_interpolate_point(
        foot.exterior, shapely.line_locate_point(foot.exterior, shapely.points(start))
    )
    base = shapely.get_coordinates(near)
    level = _nearest(np.array(line), base)[1]
    away = start - base
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    out = np.zeros(len(base))
    for _ in range(PASSES if batter else 0):
        further = np.maximum(batter * (ground.at(base + out[:, None] * away) - level) + min(half, 0.0), 0.0)
        known = float(np.abs(further - out).max()) < HAIR / 10
        out = further
        if known:
            break
    area = shapely.make_valid(Polygon(base + out[:, None] * away))
    far = bed + float(out.max()) + 1.0
    strips = [part.buffer(far, quad_segs=ROUND, cap_style="flat", join_style="round") for part in dug]
    return _rings(area.intersection(shapely.union_all(strips)))


def _dug(line: tuple[Spot, ...], ground: Surface) -> list[LineString]:
    """The parts of a line that lie under the ground."""
    whole = _along(line)
    places = shapely.get_coordinates(whole.segmentize(SIDE / 5))
    deep = ground.at(places) - _nearest(np.array(line), places)[1] > 0
    both = deep[1:] & deep[:-1]
    starts = np.flatnonzero(both & ~np.append(False, both[:-1]))
    ends = np.flatnonzero(both & ~np.append(both[1:], False)) + 1
    return [LineString(places[a : b + 1]) for a, b in zip(starts, ends, strict=True)]


def _rings(area: BaseGeometry) -> tuple[Traced, ...]:
    parts = [
        part for part in shapely.get_parts(shapely.get_parts(area)) if isinstance(part, Polygon) and part.area > HAIR
    ]
    return tuple(Traced(np.asarray(orient(part).exterior.coords)) for part in parts)


def line_between(
    upper: tuple[Shape, Placed], lower: tuple[Shape, Placed], points: Sequence[tuple[float, float]]
) -> tuple[Array, int]:
    """A line from one outline through places to another, each end the nearest place of its waterline, shape (n, 2) [m].

    Args:
        upper, lower: Outlines with where they lie on the site.
        points: At least one, in order. One within an outline ends the line there by itself.
    Returns: the line, and the index in it of the first of ``points``.
    """
    places = np.array(points, dtype=float).reshape(-1, 2)
    rows = [place for place, _ in [_end(*upper, places[0])] if place is not None]
    before = len(rows)
    rows += [*places, *(place for place, _ in [_end(*lower, places[-1])] if place is not None)]
    kept = [0, *(at for at in range(1, len(rows)) if np.linalg.norm(rows[at] - rows[at - 1]) > HAIR)]
    return np.array([rows[at] for at in kept]), min(before, len(kept) - 1)


def _end(shape: Shape, placed: Placed, place: Array) -> tuple[Array | None, float]:
    own = placed.to_own(place.reshape(1, 2))
    inward = float(shape.inward(own)[0])
    return (None, inward) if inward >= 0 else (placed.to_site(shape.foot(own))[0], inward)


@remembered
def ditch_footprint(cut: Ditch) -> Footprint:
    """What a cut takes up, as far out as it meets the ground anywhere."""
    return Footprint(cut.name, cut.area)
