"""Cuts along straight lines: pipe trenches with upright sides, and what they and holes take out of ground and digs;
beds of channels whose bottom falls from place to place, sides upright or sloped, with banks along them.
"""

import itertools
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
from pondkit.geometry.hole import CELLS, HAIR, MOST, PASSES, ROUND, SIDE, Hole, Surface, reach_by
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.region import cells_of
from pondkit.geometry.site_line import Traced
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain, unsurveyed

LONGER = 8.0  # longer along than across are the parts of a straight cut
Spot = tuple[float, float, float]
Sides = tuple[tuple[float, float], ...]  # (distance from the centre line, height above the bed there) [m], outward


@dataclass(frozen=True)
class Ditch:
    """A cut along a line, symmetric about it, with ends square to it.

    Attributes:
        name: Its name.
        line: Centre line of its bed from the upper end, in site axes with the level of the bed [m]; bends are rounded
            on their outside.
        sides: Its profile from the centre line outward.
        without: Plan area that is left out; None for none.
    """

    name: str
    line: tuple[Spot, ...]
    sides: Sides
    without: BaseGeometry | None = None

    @property
    def wide(self) -> float:
        """Reach on each side of its line [m]."""
        return self.sides[-1][0]

    @property
    def area(self) -> BaseGeometry:
        """Greatest plan area of the excavation."""
        strip = _along(self.line).buffer(self.wide, quad_segs=ROUND, cap_style="flat", join_style="round")
        return strip if self.without is None else strip.difference(self.without)

    def level_at(self, places: Array) -> Array:
        """Level of bed and sides at places, shape (n, 2) -> (n,) [m]; inf outside the cut."""
        away, level, beyond = _nearest(np.array(self.line), places)
        outward, high = np.array(self.sides).T
        levels = np.where(beyond | (away > self.wide), np.inf, level + np.interp(away, outward, high))
        if self.without is not None:
            levels[shapely.contains_xy(self.without, places[:, 0], places[:, 1])] = np.inf
        return np.asarray(levels)

    def spots(self, count: int = CELLS) -> tuple[Array, Array]:
        """(centres of about ``count`` small parts of its plan, shape (n, 2), their areas, shape (n,)) [m, m²]."""
        direction = np.array(self.line[-1][:2]) - np.array(self.line[0][:2])
        turn = float(np.degrees(np.arctan2(direction[1], direction[0])))
        forward, backward = Placed(0.0, 0.0, turn), Placed(0.0, 0.0, -turn)
        area = shapely.transform(self.area, backward.to_site)
        if area.is_empty:
            return np.zeros((0, 2)), np.zeros(0)
        west, south, east, north = area.bounds
        # Finer across than along, where all the bends of its profile lie.
        longer = np.array([float(np.clip((east - west) / (north - south) / 3, 1.0, LONGER)), 1.0])
        area = shapely.transform(area, lambda places: places / longer)
        step = math.sqrt(max(area.area / count, (east - west) / longer[0] * (north - south) / MOST))
        middles, areas = cells_of(area, step)
        return forward.to_site(middles * longer), areas * longer[0]


def _along(line: Sequence[Spot]) -> LineString:
    return LineString([place[:2] for place in line])


def _nearest(line: Array, places: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
    """(distance of each place from a line, level of the line there, whether the place is beyond its ends); the line
    has at least two places.
    """
    away, level = np.full(len(places), np.inf), np.zeros(len(places))
    beyond = np.zeros(len(places), dtype=bool)
    last = len(line) - 2
    for index, (start, end) in enumerate(pairwise(line)):
        direction = end[:2] - start[:2]
        share = (places - start[:2]) @ direction / (direction @ direction)
        clipped = np.clip(share, 0.0, 1.0)
        distance = np.linalg.norm(places - start[:2] - clipped[:, None] * direction, axis=1)
        nearer = distance < away
        past = ((share < 0) & (index == 0)) | ((share > 1) & (index == last))
        away = np.where(nearer, distance, away)
        level = np.where(nearer, start[2] + clipped * (end[2] - start[2]), level)
        beyond = np.where(nearer, past, beyond)
    return away, level, beyond


def sides_up(half: float, batter: float, far: float) -> Sides:
    """Profile of a bed with sides: half width of the bed, batter, and reach of the sides; with no width the two sides
    meet [m].
    """
    if batter == 0:
        return ((0.0, 0.0), (half, 0.0))
    if half <= 0:
        return ((0.0, -half / batter), (max(far, HAIR), (max(far, HAIR) - half) / batter))
    return ((0.0, 0.0), (half, 0.0), (half + max(far, HAIR), max(far, HAIR) / batter))


def meets_within(line: Sequence[Spot], half: float, batter: float, ground: Surface) -> float:
    """Greatest distance from its bed at which a cut with sides of a batter meets the ground [m].

    Raises: TooSteep if that is too far, or never.
    """
    if batter == 0:
        return 0.0
    middle, places = _along(line), np.array(line)

    def required_reach(reach: float) -> float:
        area = middle.buffer(max(half, 0.0) + reach + HAIR, quad_segs=ROUND, cap_style="flat", join_style="round")
        edge = shapely.get_coordinates(area.segmentize(SIDE))
        over = ground.at(edge) - _nearest(places, edge)[1]
        return batter * max(float(over.max()), 0.0) + min(half, 0.0)

    return reach_by(required_reach)


@remembered
def bed_of(line: Sequence[Spot], half: float) -> tuple[Traced, ...]:
    """Edge of a bed."""
    return _rings(_along(line).buffer(max(half, HAIR), quad_segs=ROUND, cap_style="flat", join_style="round"))


@remembered
def edge_along(line: tuple[Spot, ...], half: float, batter: float, ground: Surface) -> tuple[Traced, ...]:
    """Line where a cut meets the ground, on the site; empty if its bed is above the ground.

    Args:
        line: Centre line of its bed.
        half: Half width of the bed [m].
        batter: Horizontal run of its sides per unit of rise.
        ground: Existing ground.
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
    reach = np.zeros(len(base))
    for _ in range(PASSES if batter else 0):
        further = np.maximum(batter * (ground.at(base + reach[:, None] * away) - level) + min(half, 0.0), 0.0)
        converged = float(np.abs(further - reach).max()) < HAIR / 10
        reach = further
        if converged:
            break
    area = shapely.make_valid(Polygon(base + reach[:, None] * away))
    far = bed + float(reach.max()) + 1.0
    strips = [part.buffer(far, quad_segs=ROUND, cap_style="flat", join_style="round") for part in dug]
    return _rings(area.intersection(shapely.union_all(strips)))


def _dug(line: tuple[Spot, ...], ground: Surface) -> list[LineString]:
    """Parts of a line below the ground."""
    line_string = _along(line)
    places = shapely.get_coordinates(line_string.segmentize(SIDE / 5))
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
    """A line from one outline through places to another, each end at the nearest place of the waterline, shape (n, 2)
    [m].

    Args:
        upper, lower: Outlines with their placements on the site.
        points: At least one place, in order. A place within an outline ends the line there.
    Returns: the line, and the index in it of the first of ``points``.
    """
    places = np.array(points, dtype=float).reshape(-1, 2)
    rows = [place for place, _ in [_end(*upper, places[0])] if place is not None]
    before = len(rows)
    rows += [*places, *(place for place, _ in [_end(*lower, places[-1])] if place is not None)]
    distinct = [0, *(index for index in range(1, len(rows)) if np.linalg.norm(rows[index] - rows[index - 1]) > HAIR)]
    return np.array([rows[index] for index in distinct]), min(before, len(distinct) - 1)


def _end(shape: Shape, placed: Placed, place: Array) -> tuple[Array | None, float]:
    local = placed.to_own(place.reshape(1, 2))
    inward = float(shape.inward(local)[0])
    return (None, inward) if inward >= 0 else (placed.to_site(shape.foot(local))[0], inward)


@remembered
def ditch_footprint(cut: Ditch) -> Footprint:
    """Footprint of a cut, as far out as it meets the ground anywhere."""
    return Footprint(cut.name, cut.area)


ALONG, ACROSS = 60, 4  # samples of a cut
FINE = 6  # division each way of a sample that the edge of another cut may cross
DROP = 0.2  # m: fall of the bottom within each of the excavations that stand for a cut
WIDER = 0.2  # factor and metres added to a circle round centres of cells, which are half a cell inside


@dataclass(frozen=True)
class TrenchCut:
    """A cut of a width along a straight centre line, with the level of its bottom at each end [m], site axes."""

    name: str
    start: Spot
    end: Spot
    width: float

    @property
    def _way(self) -> Array:
        return np.array([self.end[0] - self.start[0], self.end[1] - self.start[1]])

    @property
    def _side(self) -> Array:
        x, y = self._way
        return np.asarray(np.array([-y, x]) / np.hypot(x, y))

    def as_holes(self) -> tuple[Hole, ...]:
        """The cut as excavations with level bottoms in a row, none deeper than the cut by more than ``DROP``."""
        start, end = np.array(self.start), np.array(self.end)
        count = max(math.ceil(abs(end[2] - start[2]) / DROP), 1)
        marks = [start + (end - start) * index / count for index in range(count + 1)]
        parts = [TrenchCut(self.name, _spot(a), _spot(b), self.width) for a, b in itertools.pairwise(marks)]
        return tuple(Hole(self.name, part.area, min(part.start[2], part.end[2])) for part in parts)

    def level_at(self, places: Array) -> Array:
        """Level of the bottom at places, shape (n, 2) -> (n,) [m]; inf outside the cut."""
        direction, away = self._way, places - np.array(self.start[:2])
        along = away @ direction / (direction @ direction)
        inside = (along >= 0) & (along <= 1) & (np.abs(away @ self._side) <= self.width / 2)
        return np.where(inside, self.start[2] + along * (self.end[2] - self.start[2]), np.inf)

    @property
    def area(self) -> Polygon:
        """Plan area of the excavation."""
        half = self._side * self.width / 2
        start, end = np.array(self.start[:2]), np.array(self.end[:2])
        return Polygon([start - half, end - half, end + half, start + half])

    def from_edge(self, places: Array) -> Array:
        """Distance of places from the edge of its plan, shape (n, 2) -> (n,) [m]."""
        direction, away = self._way, places - np.array(self.start[:2])
        long = float(np.hypot(*direction))
        # Distance outside the sides of a box round its centre, negative inside.
        x = np.abs(away @ direction / long - long / 2) - long / 2
        y = np.abs(away @ self._side) - self.width / 2
        beyond, within = np.hypot(np.maximum(x, 0.0), np.maximum(y, 0.0)), np.minimum(np.maximum(x, y), 0.0)
        return np.asarray(np.abs(beyond + within))

    def spots(self, beside: Sequence["TrenchCut | Hole | Ditch"] = ()) -> tuple[Array, Array]:
        """(centres of cells, shape (n, 2), their areas, shape (n,)) [m, m²]; cells are smaller along the edges of
        ``beside`` in plan.
        """
        long = float(np.hypot(*self._way))
        size = np.array([long / ALONG, self.width / ACROSS])
        middles = COARSE * size + np.array([0.0, -self.width / 2])
        areas = np.full(len(middles), size[0] * size[1])
        if beside:
            places = self._placed(middles, long)
            crossed = (
                np.minimum.reduce([_from_edge(neighbour, places) for neighbour in beside]) <= float(np.hypot(*size)) / 2
            )
            smaller = SMALLER * size / FINE - size / 2
            fine = (middles[crossed, None] + smaller).reshape(-1, 2)
            middles = np.concatenate([middles[~crossed], fine])
            areas = np.concatenate([areas[~crossed], np.full(len(fine), size[0] * size[1] / FINE**2)])
        return self._placed(middles, long), areas

    def _placed(self, local: Array, long: float) -> Array:
        """Places from their distance along the cut and to the left of its centre line, shape (n, 2) [m]."""
        return np.asarray(np.array(self.start[:2]) + local[:, :1] / long * self._way + local[:, 1:] * self._side)


def _from_edge(cut: "TrenchCut | Hole | Ditch", places: Array) -> Array:
    if isinstance(cut, TrenchCut):
        return cut.from_edge(places)
    return np.asarray(shapely.distance(cut.area.boundary, shapely.points(places)))


def _middles(along: int, across: int) -> Array:
    """Centres of a number of cells each way, from 0 on, shape (n, 2) [cells]."""
    axes = (np.arange(count) + 0.5 for count in (along, across))
    return np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)


COARSE, SMALLER = _middles(ALONG, ACROSS), _middles(FINE, FINE)


@remembered
def cut_footprint(cut: TrenchCut) -> Footprint:
    """Footprint of a cut."""
    return Footprint(cut.name, cut.area)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


@dataclass(frozen=True)
class CutMeasure:
    """Excavation of one cut by itself: volume [m³], greatest depth [m], and plan area [m²]."""

    name: str
    volume: float
    deepest: float
    area: float


@dataclass(frozen=True, eq=False)
class Trenches:
    """Excavation of all cuts: each by itself, and all together, with shared ground counted once [m³]."""

    each: tuple[CutMeasure, ...]
    together: float


@dataclass(frozen=True, eq=False)
class Sampled:
    """A cut in small parts, which depend on no dig.

    Attributes:
        cut: The cut.
        places: Centres of the parts, shape (n, 2) [m].
        areas: Area of each, shape (n,) [m²].
        stands: Level of the existing ground, shape (n,) [m].
        bottoms: Level of the cut's bottom or sides, shape (n,) [m].
        circle: Centre and radius of a circle round them [m].
        unknown: True if any of them is outside the survey.
        beside: Other cuts that overlap it in plan.
    """

    cut: TrenchCut | Hole | Ditch
    places: Array
    areas: Array
    stands: Array
    bottoms: Array
    circle: tuple[float, float, float]
    unknown: bool
    beside: "tuple[TrenchCut | Hole | Ditch, ...]"

    def near(self, x: float, y: float, radius: float) -> bool:
        """True if it may come within a circle."""
        return float(np.hypot(x - self.circle[0], y - self.circle[1])) < radius + self.circle[2]


@dataclass(frozen=True, eq=False)
class Inward:
    """Inward distance at places from the outline of a pool, and of each of its pits, shape (n,) each [m]."""

    each: tuple[Array, ...]


@dataclass(frozen=True, eq=False)
class DugFrom:
    """Surface that a cut is dug from: the existing ground, or a pool's dig where that is lower, shape (n,) [m].

    ``under``: indexes of the digs it reaches into.
    """

    levels: Array
    under: tuple[int, ...]


Outlines = tuple[tuple[Shape, Placed], ...]


@remembered
def sampled(
    cut: TrenchCut | Hole | Ditch, ground: Surface, beside: tuple[TrenchCut | Hole | Ditch, ...] = ()
) -> Sampled:
    """A cut in small parts on the ground, smaller ones where overlapping cuts begin and end."""
    places, areas = cut.spots(beside) if isinstance(cut, TrenchCut) else cut.spots()
    if not len(places):  # all of it is in the area left out
        return Sampled(cut, places, areas, areas, areas, (0.0, 0.0, 0.0), False, beside)
    middle = (places.min(axis=0) + places.max(axis=0)) / 2
    radius = float(np.linalg.norm(places - middle, axis=1).max()) * (1 + WIDER) + WIDER
    circle = float(middle[0]), float(middle[1]), radius
    bottoms = cut.level_at(places)
    return Sampled(cut, places, areas, ground.at(places), bottoms, circle, unsurveyed(places, ground), beside)


@remembered
def inward_at(sample: Sampled, placed: Placed, outlines: Outlines) -> Inward:
    """Inward distances at the parts of a cut, from a pool's outline and from those of its pits in the
    pool's own axes.
    """
    local = placed.to_own(sample.places)
    return Inward(tuple(shape.inward(pit_axes.to_own(local)) for shape, pit_axes in outlines))


@remembered
def top_of(sample: Sampled, digs: tuple[tuple[int, SiteSurface, Inward], ...]) -> DugFrom:
    """Surface that a cut is dug from; ``digs``: those that may come near it, each with its index."""
    levels, under = sample.stands, []
    for index, dig, inward in digs:
        parts = zip(dig.surface.parts, inward.each, strict=True)
        lower = dig.level - np.maximum.reduce([part.profile.depth(away) for part, away in parts])
        if (lower < sample.stands).any():
            under.append(index)
        levels = np.minimum(levels, lower)
    return DugFrom(levels, tuple(under))


def tops(
    cuts: Sequence[TrenchCut | Hole | Ditch], digs: Sequence[tuple[SiteSurface, float]], ground: Terrain
) -> tuple[tuple[Sampled, DugFrom], ...]:
    """Cuts in small parts, each with the surface it is dug from.

    Args:
        cuts: The cuts.
        digs: Digs of the pools, each with its greatest reach to the ground [m].
        ground: Existing ground.
    """
    sampled_cuts = []
    for cut, beside in zip(cuts, over_each_other(tuple(cuts)), strict=True):
        sample = sampled(cut, ground, beside)
        near = []
        for index, (dig, reach) in enumerate(digs):
            x, y, radius = dig.surface.pool.shape.circle
            (centre,) = dig.placed.to_site(np.array([[x, y]]))
            if sample.near(float(centre[0]), float(centre[1]), radius + reach):
                inward = inward_at(sample, dig.placed, tuple((part.shape, part.placed) for part in dig.surface.parts))
                near.append((index, dig, inward))
        sampled_cuts.append((sample, top_of(sample, tuple(near))))
    return tuple(sampled_cuts)


@remembered
def over_each_other(cuts: tuple[TrenchCut | Hole | Ditch, ...]) -> tuple[tuple[TrenchCut | Hole | Ditch, ...], ...]:
    """For each cut the others that overlap it in plan."""
    plans = np.array([cut.area for cut in cuts], dtype=object)
    overlaps: list[list[TrenchCut | Hole | Ditch]] = [[] for _ in cuts]
    for first, second in shapely.STRtree(plans).query(plans, predicate="intersects").T:
        if first != second:
            overlaps[first].append(cuts[second])
    return tuple(map(tuple, overlaps))


@remembered
def take_out(cuts: Sequence[tuple[Sampled, DugFrom]]) -> Trenches:
    """Volumes of cuts below the surfaces they are dug from. Where several overlap, the deepest counts."""
    volumes, together = [], 0.0
    for sample, top in cuts:
        deep = np.maximum(top.levels - sample.bottoms, 0.0)
        dug = deep > 0
        volumes.append(
            CutMeasure(
                sample.cut.name,
                float(np.sum(deep * sample.areas)),
                float(deep.max(initial=0.0)),
                float(np.sum(sample.areas[dug])),
            )
        )
        deepest, covers = deep, dug.astype(float)
        for neighbour in sample.beside:
            beside = np.maximum(top.levels - neighbour.level_at(sample.places), 0.0)
            deepest, covers = np.maximum(deepest, beside), covers + (beside > 0)
        # Each cut at a place gets its share of the deepest there, so that together they count it once.
        together += float(np.sum((deepest * sample.areas)[dug] / covers[dug]))
    return Trenches(tuple(volumes), together)


def lowest(cut: tuple[Sampled, DugFrom], thick: float) -> float:
    """Volume of the lowest layer of a cut, of a thickness, below the surface it is dug from [m³]."""
    sample, top = cut
    return float(np.sum(np.clip(top.levels - sample.bottoms, 0.0, thick) * sample.areas))


MAP_CELLS = 150  # cells along the longer side


@dataclass(frozen=True, eq=False)
class CutMap:
    """Centres of the cells, shape (k,) eastward and (m,) northward, and depth of cut (positive) or fill (negative),
    NaN for neither, (m, k) [m].
    """

    east: Array
    north: Array
    depth: Array


def cut_map(
    digs: Sequence[SiteSurface],
    reach: Sequence[float],
    ground: Terrain,
    holes: Sequence[Hole | Ditch | TrenchCut] = (),
    banks: Sequence[Ditch] = (),
) -> CutMap:
    """Map of cut down to the deepest dig or other cut, out to where each meets the ground (``reach`` [m]), and of fill
    for banks inside the rim lines and for ``banks`` (inverted excavations).
    """
    far = [max(reach_of_dig, dig.rim) for dig, reach_of_dig in zip(digs, reach, strict=True)]
    rings = [dig.placed.to_site(dig.surface.pool.shape.coords) for dig in digs]
    boxes = [np.array(hole.area.bounds) for hole in (*holes, *banks) if not hole.area.is_empty]
    low = np.min(
        [
            *(ring.min(axis=0) - reach_of_dig for ring, reach_of_dig in zip(rings, far, strict=True)),
            *(box[:2] for box in boxes),
        ],
        axis=0,
    )
    high = np.max(
        [
            *(ring.max(axis=0) + reach_of_dig for ring, reach_of_dig in zip(rings, far, strict=True)),
            *(box[2:] for box in boxes),
        ],
        axis=0,
    )
    step = float((high - low).max()) / MAP_CELLS
    east, north = (np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True))
    places = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    stands = ground.at(places)
    cut, fill = np.zeros(len(places)), np.zeros(len(places))
    for dig, reach_of_dig in zip(digs, far, strict=True):
        local = dig.placed.to_own(places)
        inward = dig.surface.pool.shape.inward(local, far=reach_of_dig + step)
        near = np.flatnonzero(inward >= -reach_of_dig)
        over = stands[near] - dig.level + dig.surface.depth_at(local[near])
        cut[near] = np.maximum(cut[near], over)
        inside = inward[near] >= -dig.rim
        fill[near] = np.maximum(fill[near], np.where(inside, -over, 0.0))
    for hole in holes:
        cut = np.maximum(cut, stands - hole.level_at(places))
    for bank in banks:
        fill = np.maximum(fill, -bank.level_at(places) - stands)
    depth = np.where(cut > 0, cut, np.where(fill > 0, -fill, np.nan))
    return CutMap(east, north, depth.reshape(len(north), len(east)))
