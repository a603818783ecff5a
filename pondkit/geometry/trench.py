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


ALONG, ACROSS = 60, 4  # samples of a cut
FINE = 6  # each way, of a sample that the edge of another cut may run through
DROP = 0.2  # m: of a bottom that falls, over each hole that a cut is taken as
WIDER = 0.2  # of a circle round middles of cells, which lie half a cell inside it; and metres


@dataclass(frozen=True)
class TrenchCut:
    """A cut of a width from one end of its middle line to the other, each with the level of its bottom [m], site
    axes."""

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
        """It as holes with level bottoms, one behind the other, none of them deeper than the cut by more than
        ``DROP``."""
        start, end = np.array(self.start), np.array(self.end)
        count = max(math.ceil(abs(end[2] - start[2]) / DROP), 1)
        marks = [start + (end - start) * at / count for at in range(count + 1)]
        parts = [TrenchCut(self.name, _spot(a), _spot(b), self.width) for a, b in itertools.pairwise(marks)]
        return tuple(Hole(self.name, part.area, min(part.start[2], part.end[2])) for part in parts)

    def level_at(self, places: Array) -> Array:
        """Level of the bottom at places, shape (n, 2) -> (n,) [m]; inf beside the cut."""
        way, away = self._way, places - np.array(self.start[:2])
        along = away @ way / (way @ way)
        inside = (along >= 0) & (along <= 1) & (np.abs(away @ self._side) <= self.width / 2)
        return np.where(inside, self.start[2] + along * (self.end[2] - self.start[2]), np.inf)

    @property
    def area(self) -> Polygon:
        """What is dug in plan."""
        half = self._side * self.width / 2
        start, end = np.array(self.start[:2]), np.array(self.end[:2])
        return Polygon([start - half, end - half, end + half, start + half])

    def from_edge(self, places: Array) -> Array:
        """Distance of places from the edge of its plan, shape (n, 2) -> (n,) [m]."""
        way, away = self._way, places - np.array(self.start[:2])
        long = float(np.hypot(*way))
        # Beyond the sides of a box round its middle, negative within.
        x = np.abs(away @ way / long - long / 2) - long / 2
        y = np.abs(away @ self._side) - self.width / 2
        beyond, within = np.hypot(np.maximum(x, 0.0), np.maximum(y, 0.0)), np.minimum(np.maximum(x, y), 0.0)
        return np.asarray(np.abs(beyond + within))

    def spots(self, beside: Sequence["TrenchCut | Hole | Ditch"] = ()) -> tuple[Array, Array]:
        """Middles of cells, shape (n, 2), and their areas, shape (n,) [m²]; smaller ones along the edges of others in
        plan."""
        long = float(np.hypot(*self._way))
        size = np.array([long / ALONG, self.width / ACROSS])
        middles = COARSE * size + np.array([0.0, -self.width / 2])
        areas = np.full(len(middles), size[0] * size[1])
        if beside:
            places = self._placed(middles, long)
            crossed = np.minimum.reduce([_from_edge(other, places) for other in beside]) <= float(np.hypot(*size)) / 2
            smaller = SMALLER * size / FINE - size / 2
            fine = (middles[crossed, None] + smaller).reshape(-1, 2)
            middles = np.concatenate([middles[~crossed], fine])
            areas = np.concatenate([areas[~crossed], np.full(len(fine), size[0] * size[1] / FINE**2)])
        return self._placed(middles, long), areas

    def _placed(self, own: Array, long: float) -> Array:
        """Places by their distance along the cut and to the left of its middle line, shape (n, 2) [m]."""
        return np.asarray(np.array(self.start[:2]) + own[:, :1] / long * self._way + own[:, 1:] * self._side)


def _from_edge(cut: "TrenchCut | Hole | Ditch", places: Array) -> Array:
    if isinstance(cut, TrenchCut):
        return cut.from_edge(places)
    return np.asarray(shapely.distance(cut.area.boundary, shapely.points(places)))


def _middles(along: int, across: int) -> Array:
    """Middles of so many cells each way, from 0 on, shape (n, 2) [cells]."""
    ways = (np.arange(count) + 0.5 for count in (along, across))
    return np.stack(np.meshgrid(*ways), axis=-1).reshape(-1, 2)


COARSE, SMALLER = _middles(ALONG, ACROSS), _middles(FINE, FINE)


@remembered
def cut_footprint(cut: TrenchCut) -> Footprint:
    """What a cut takes up."""
    return Footprint(cut.name, cut.area)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


@dataclass(frozen=True)
class Taken:
    """What one cut or hole takes out by itself: volume [m³], greatest depth [m], and plan area of what is dug [m²]."""

    name: str
    volume: float
    deepest: float
    area: float


@dataclass(frozen=True, eq=False)
class Trenches:
    """What all cuts and holes take out: each by itself, and all together, ground that several share once [m³]."""

    each: tuple[Taken, ...]
    together: float


@dataclass(frozen=True, eq=False)
class Sampled:
    """A cut or hole in small parts, which depend on no dig.

    Attributes:
        cut: What is dug.
        places: Middles of the parts, shape (n, 2) [m].
        areas: Of each, shape (n,) [m²].
        stands: Level of the ground as it is, shape (n,) [m].
        bottoms: Level of the cut's bottom or sides, shape (n,) [m].
        circle: Middle and radius of a circle round them [m].
        unknown: Whether any of them lies where no survey reaches.
        beside: The others that lie over it in plan.
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
        """Whether it may come within a circle."""
        return float(np.hypot(x - self.circle[0], y - self.circle[1])) < radius + self.circle[2]


@dataclass(frozen=True, eq=False)
class Inward:
    """Distance inward at some places from the outline of a pool, and of each of its pits, shape (n,) each [m]."""

    each: tuple[Array, ...]


@dataclass(frozen=True, eq=False)
class DugFrom:
    """Level of what a cut is dug from: the ground as it is, or a pool's dig where that lies lower, shape (n,) [m].

    ``under`` are the indexes of the digs that it reaches into.
    """

    levels: Array
    under: tuple[int, ...]


Outlines = tuple[tuple[Shape, Placed], ...]


@remembered
def sampled(
    cut: TrenchCut | Hole | Ditch, ground: Surface, beside: tuple[TrenchCut | Hole | Ditch, ...] = ()
) -> Sampled:
    """A cut or hole in small parts on the ground; a cut in smaller ones where others that lie over it begin and end."""
    places, areas = cut.spots(beside) if isinstance(cut, TrenchCut) else cut.spots()
    if not len(places):  # all of it lies in what is left out
        return Sampled(cut, places, areas, areas, areas, (0.0, 0.0, 0.0), False, beside)
    middle = (places.min(axis=0) + places.max(axis=0)) / 2
    radius = float(np.linalg.norm(places - middle, axis=1).max()) * (1 + WIDER) + WIDER
    circle = float(middle[0]), float(middle[1]), radius
    bottoms = cut.level_at(places)
    return Sampled(cut, places, areas, ground.at(places), bottoms, circle, unsurveyed(places, ground), beside)


@remembered
def inward_at(sample: Sampled, placed: Placed, outlines: Outlines) -> Inward:
    """Distances inward at the parts of a cut, from a pool's outline and those of its pits in the pool's own axes."""
    own = placed.to_own(sample.places)
    return Inward(tuple(shape.inward(at.to_own(own)) for shape, at in outlines))


@remembered
def top_of(sample: Sampled, digs: tuple[tuple[int, SiteSurface, Inward], ...]) -> DugFrom:
    """What a cut is dug from; ``digs`` are those that may come near it, each with its index."""
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
    """Cuts and holes in small parts, each with what it is dug from.

    Args:
        cuts: What is dug.
        digs: Digs of the pools, each with how far out it meets the ground [m].
        ground: As it is.
    """
    found = []
    for cut, beside in zip(cuts, over_each_other(tuple(cuts)), strict=True):
        sample = sampled(cut, ground, beside)
        near = []
        for index, (dig, reach) in enumerate(digs):
            x, y, radius = dig.surface.pool.shape.circle
            (at,) = dig.placed.to_site(np.array([[x, y]]))
            if sample.near(float(at[0]), float(at[1]), radius + reach):
                inward = inward_at(sample, dig.placed, tuple((part.shape, part.placed) for part in dig.surface.parts))
                near.append((index, dig, inward))
        found.append((sample, top_of(sample, tuple(near))))
    return tuple(found)


@remembered
def over_each_other(cuts: tuple[TrenchCut | Hole | Ditch, ...]) -> tuple[tuple[TrenchCut | Hole | Ditch, ...], ...]:
    """The others that lie over each, in plan."""
    plans = np.array([cut.area for cut in cuts], dtype=object)
    found: list[list[TrenchCut | Hole | Ditch]] = [[] for _ in cuts]
    for here, there in shapely.STRtree(plans).query(plans, predicate="intersects").T:
        if here != there:
            found[here].append(cuts[there])
    return tuple(map(tuple, found))


@remembered
def take_out(cuts: Sequence[tuple[Sampled, DugFrom]]) -> Trenches:
    """What cuts and holes take out of what they are dug from. Where several lie over each other, the deepest counts."""
    each, together = [], 0.0
    for sample, top in cuts:
        deep = np.maximum(top.levels - sample.bottoms, 0.0)
        dug = deep > 0
        each.append(
            Taken(
                sample.cut.name,
                float(np.sum(deep * sample.areas)),
                float(deep.max(initial=0.0)),
                float(np.sum(sample.areas[dug])),
            )
        )
        deepest, covers = deep, dug.astype(float)
        for other in sample.beside:
            beside = np.maximum(top.levels - other.level_at(sample.places), 0.0)
            deepest, covers = np.maximum(deepest, beside), covers + (beside > 0)
        # Every one that digs at a place has its share of the deepest there: together they have it once.
        together += float(np.sum((deepest * sample.areas)[dug] / covers[dug]))
    return Trenches(tuple(each), together)


def lowest(cut: tuple[Sampled, DugFrom], thick: float) -> float:
    """How much of the lowest part of a cut, so thick, lies under what it is dug from [m³]."""
    sample, top = cut
    return float(np.sum(np.clip(top.levels - sample.bottoms, 0.0, thick) * sample.areas))


MAP_CELLS = 150  # cells along the longer side


@dataclass(frozen=True, eq=False)
class CutMap:
    """Middles of the cells, shape (k,) eastward and (m,) northward, and cut above 0, fill below 0, NaN where neither,
    (m, k) [m]."""

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
    """Cut down to the deepest dig, hole or trench, out to where each meets the ground (``reach`` [m]); fill up to the
    bank inside the rim lines, and ``banks``, upside down."""
    far = [max(out, dig.rim) for dig, out in zip(digs, reach, strict=True)]
    rings = [dig.placed.to_site(dig.surface.pool.shape.coords) for dig in digs]
    boxes = [np.array(hole.area.bounds) for hole in (*holes, *banks) if not hole.area.is_empty]
    low = np.min(
        [*(ring.min(axis=0) - out for ring, out in zip(rings, far, strict=True)), *(box[:2] for box in boxes)], axis=0
    )
    high = np.max(
        [*(ring.max(axis=0) + out for ring, out in zip(rings, far, strict=True)), *(box[2:] for box in boxes)], axis=0
    )
    step = float((high - low).max()) / MAP_CELLS
    east, north = (np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True))
    places = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    stands = ground.at(places)
    cut, fill = np.zeros(len(places)), np.zeros(len(places))
    for dig, out in zip(digs, far, strict=True):
        own = dig.placed.to_own(places)
        inward = dig.surface.pool.shape.inward(own, far=out + step)
        near = np.flatnonzero(inward >= -out)
        over = stands[near] - dig.level + dig.surface.depth_at(own[near])
        cut[near] = np.maximum(cut[near], over)
        inside = inward[near] >= -dig.rim
        fill[near] = np.maximum(fill[near], np.where(inside, -over, 0.0))
    for hole in holes:
        cut = np.maximum(cut, stands - hole.level_at(places))
    for bank in banks:
        fill = np.maximum(fill, -bank.level_at(places) - stands)
    depth = np.where(cut > 0, cut, np.where(fill > 0, -fill, np.nan))
    return CutMap(east, north, depth.reshape(len(north), len(east)))
