"""Soil heaped on the ground as it is: a level top within a line, sides of one slope all round down to the ground."""

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from pondkit.core.remembered import remembered
from pondkit.geometry.footprint import Footprint, Plan, edges
from pondkit.geometry.hole import ROUND, Hole, edge_of, reach_of, ways_out
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.site_line import Traced
from pondkit.geometry.terrain import Terrain
from pondkit.geometry.trench import (
    Ditch,
    Sides,
    Spot,
    Trenches,
    meets_within,
    over_each_other,
    sampled,
    take_out,
    top_of,
)

TRIES = 48  # places along each way outward, of which the outermost at which a bank stands over the ground is taken
HALVINGS = 20  # to less than a hair
THREAD = 1e-3  # m²: less than this of a bank is not drawn
SPARE = 0.05  # m further out than a bank reaches
TOUCHES = 1e-6  # m: nearer to an edge than this is on it
ALONG = 120  # places along a section
CELLS = 20000  # of a heap: it is looked at once for many tops, some of them far lower

EDGE = 1e-6  # m: an upright side is as wide as this


@dataclass(frozen=True, eq=False)
class Mound:
    """A heap before its top is known.

    Attributes:
        crest: Edge of its level top, in site axes.
        slope: Horizontal run of its sides per unit of fall.
        standing: What stands in it and takes the place of soil, in plan.
    """

    crest: Polygon
    slope: float
    standing: tuple[Plan, ...]

    @property
    def line(self) -> Array:
        """The edge of its top, closed, shape (n, 2) [m]."""
        return np.asarray(self.crest.exterior.coords, dtype=float)

    def beyond_crest(self, plan: Plan) -> float:
        """Least distance of a plan from the level top [m]."""
        return float(self.crest.distance(plan))


@dataclass(frozen=True, eq=False)
class Heap:
    """Small parts of a mound's plan, out to where a top at ``most`` meets the ground.

    Attributes:
        most: Level of the highest top that it is good for [m].
        starts: Level of the top from which on there is soil at each, shape (n,) [m].
        areas: Of each, shape (n,) [m²].
    """

    most: float
    starts: Array
    areas: Array

    @property
    def lowest(self) -> float:
        """Level of a top under which there is no soil at all [m]."""
        return float(self.starts.min())

    def volume(self, top: float) -> float:
        """Soil under a top at a level, as built in [m³]."""
        return float(np.sum(np.maximum(top - self.starts, 0.0) * self.areas))


@dataclass(frozen=True)
class InvertedGround:
    """The ground upside down: a mound on it is a hole in this."""

    ground: Terrain

    def at(self, points: Array) -> Array:
        return -self.ground.at(points)


@dataclass(frozen=True, eq=False)
class Heaped:
    """Soil heaped on the ground as it is drawn.

    Attributes:
        turned: It as a hole upside down.
        footprint: What it takes up, with its name.
        edges: Closed lines round that, shape (n, 2) each [m].
    """

    turned: Hole
    footprint: Footprint
    edges: tuple[Array, ...]

    @property
    def top(self) -> float:
        """Level of its level top [m]."""
        return -self.turned.bottom

    @property
    def crest(self) -> Array:
        """The edge of its level top, closed, shape (n, 2) [m]."""
        return np.asarray(self.turned.foot.exterior.coords, dtype=float)

    def along(self, ground: Terrain, line: Array) -> tuple[Array, Array, Array]:
        """Stations, and there its level and the ground's, on a straight line, shape (2, 2) [m]; level NaN where it
        does not lie."""
        length = float(np.hypot(*(line[1] - line[0])))
        way, area, turned = LineString(line), self.footprint.area, self.turned
        if turned.without is not None:
            area = area.difference(turned.without)
        if not length or not way.intersects(area):
            return np.zeros(0), np.zeros(0), np.zeros(0)
        bends = shapely.get_coordinates(way.intersection(shapely.union_all([area.boundary, turned.foot.exterior])))
        own = shapely.line_locate_point(way, shapely.points(bends))
        stations = np.unique(np.concatenate([np.linspace(0.0, length, ALONG), own]))
        places = line[0] + stations[:, None] / length * (line[1] - line[0])
        spots, stands = shapely.points(places), ground.at(places)
        level = np.maximum(self.top - shapely.distance(turned.foot, spots) / turned.batter, stands)
        return stations, np.where(shapely.distance(area, spots) < TOUCHES, level, np.nan), stands


def heaped(name: str, made: Mound, top: float, ground: Terrain, lines: tuple[Traced, ...]) -> Heaped:
    """A mound with its top at a level [m], within the lines of its toe."""
    return _drawn(name, _hole(made, top, ground), spread(lines))


def _drawn(name: str, turned: Hole, area: Plan) -> Heaped:
    return Heaped(turned, Footprint(name, area), edges(area))


@remembered
def mound(shape: Shape, placed: Placed, slope: float, standing: tuple[Plan, ...]) -> Mound:
    """A mound with the edge of its top at an outline."""
    return Mound(shapely.transform(shape.thin, placed.to_site), slope, standing)


def _hole(made: Mound, top: float, ground: Terrain) -> Hole:
    without = shapely.union_all(made.standing) if made.standing else None
    own = Hole("", made.crest, -top, made.slope, 0.0, without)
    return Hole("", made.crest, -top, made.slope, reach_of(own, InvertedGround(ground)), without)


@dataclass(frozen=True)
class Bank:
    """What is built outside the rim line of a pool.

    Attributes:
        name: The pool.
        shape, placed: Its outline, and where that lies on the site.
        rim, level: Horizontal distance from the outline out to the rim of the dig, and that rim's level [m].
    """

    name: str
    shape: Shape
    placed: Placed
    rim: float
    level: float

    def moved(self, out: float) -> Polygon:
        """Its outline moved so far out, on the site."""
        return _outward(self.shape, self.placed, out)


def outer_banks(banks: tuple[Bank, ...], crest: float, slope: float, ground: Terrain) -> Trenches:
    """Soil between the ground and banks level with their rims for the width of a crest, then falling outward, as
    built in.

    Within no rim line; what lies over what counts once, by the higher.

    Raises: TooSteep where a bank's side meets the ground too far out, or nowhere.
    """
    under = InvertedGround(ground)
    holes = bank_holes(banks, crest, slope, ground)
    pairs = zip(holes, over_each_other(holes), strict=True)
    samples = [sampled(hole, under, beside) for hole, beside in pairs]
    return take_out(tuple((sample, top_of(sample, ())) for sample in samples))


def bank_holes(banks: tuple[Bank, ...], crest: float, slope: float, ground: Terrain) -> tuple[Hole, ...]:
    """Those banks as holes in the ground upside down.

    Raises: TooSteep as ``outer_banks``.
    """
    under = InvertedGround(ground)
    rims = [rim_of(bank) for bank in banks]
    found = []
    for bank in banks:
        own = Hole(bank.name, bank.moved(bank.rim + crest), -bank.level, slope)
        own = replace(own, reach=reach_of(own, under))
        # Only rims that it meets: a pool moved far away then leaves it as it was.
        met = [rim for rim in rims if rim.intersects(own.area)]
        found.append(replace(own, without=shapely.union_all(met)))
    return tuple(found)


def bank_along(
    name: str,
    bed: tuple[Spot, ...],
    inner: Sides,
    high: float,
    outer: tuple[float, float] | None,
    rims: tuple[Plan, ...],
    ground: Terrain,
) -> Ditch:
    """What a bed stands on and the banks beside it, as a ditch in the ground upside down, outside rim lines.

    Args:
        name: What it is built for.
        bed: Middle of the bed as dug.
        inner: Profile of bed and inner sides, see ``Ditch``.
        high: How far the banks stand over the bed [m]; 0 for a bed alone.
        outer: Width of their level tops [m], and run of their outer sides per unit of fall; None for inner sides alone.
        rims: What lies within rim lines, and is left out.
        ground: As it is.
    Raises: TooSteep where an outer side meets the ground too far out, or nowhere.
    """
    sides = [(max(out, at * EDGE), -up) for at, (out, up) in enumerate(inner)]
    if high > 0 and sides[-1][1] > -high:  # an upright side
        sides.append((sides[-1][0] + EDGE, -high))
    if high > 0 and outer is not None:
        crest, slope = outer
        edge = sides[-1][0] + crest + EDGE
        top = tuple((x, y, -(z + high)) for x, y, z in bed)
        far = meets_within(top, edge, slope, InvertedGround(ground))
        sides += [(edge, -high), (edge + far + EDGE, far / slope - high)]
    whole = Ditch(name, tuple((x, y, -z) for x, y, z in bed), tuple(sides))
    met = [rim for rim in rims if rim.intersects(whole.area)]
    return replace(whole, without=shapely.union_all(met)) if met else whole


def rim_of(bank: Bank) -> Polygon:
    """What lies within its rim line, on the site."""
    return bank.moved(bank.rim)


@remembered
def drawn_bank(bank: Bank, crest: float, slope: float, ground: Terrain) -> Heaped | None:
    """The bank outside one rim line, from there out to where it last stands over the ground; None where it nowhere
    does.

    Raises: TooSteep where its side meets the ground too far out, or nowhere.
    """
    under, rim = InvertedGround(ground), bank.moved(bank.rim)
    own = Hole(bank.name, bank.moved(bank.rim + crest), -bank.level, slope)
    own = replace(own, reach=reach_of(own, under), without=rim)
    base, away = ways_out(rim, crest + own.reach + SPARE)

    def stands(out: Array) -> Array:
        """Whether the bank stands over the ground so far out of the rim on each way, shape (k, n) for n ways."""
        level = bank.level - np.maximum(out - crest, 0.0) / slope
        places = base + out[..., None] * away
        return np.asarray(level > ground.at(places.reshape(-1, 2)).reshape(out.shape))

    tries = np.linspace(0.0, crest + own.reach + SPARE, TRIES)[:, None] + np.zeros(len(base))
    held = stands(tries)
    last = TRIES - 1 - np.argmax(held[::-1], axis=0)
    column = np.arange(len(base))
    inner, out = tries[last, column], tries[np.minimum(last + 1, TRIES - 1), column]
    for _ in range(HALVINGS):
        middle = (inner + out) / 2
        over = stands(middle)
        inner, out = np.where(over, middle, inner), np.where(over, out, middle)
    inner = np.where(held.any(axis=0), inner, 0.0)
    area = shapely.make_valid(Polygon(base + inner[:, None] * away)).difference(rim)
    whole = shapely.union_all([part for part in shapely.get_parts(area) if part.area > THREAD])
    return None if whole.is_empty else _drawn(f"outer bank of {bank.name}", own, whole)


@remembered
def _outward(shape: Shape, placed: Placed, out: float) -> Polygon:
    """An outline moved so far out, on the site; neither a bank's name nor its level has a part in it."""
    return shapely.transform(shape.thin.buffer(out, quad_segs=ROUND), placed.to_site)


def heap(made: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    """Some ``cells`` parts of a mound on the ground, for tops up to a level [m].

    Raises: TooSteep where its sides meet the ground too far out, or nowhere.
    """
    hole = _hole(made, most, ground)
    places, areas = hole.spots(cells)
    return Heap(most, ground.at(places) + hole.away(places) / made.slope, areas)


def toe(made: Mound, top: float, ground: Terrain) -> tuple[Traced, ...]:
    """Where the sides of a mound with its top at a level [m] meet the ground.

    Raises: TooSteep where they meet it too far out, or nowhere.
    """
    return edge_of(_hole(made, top, ground), InvertedGround(ground))


def spread(lines: tuple[Traced, ...]) -> Plan:
    """The plan within closed lines."""
    return shapely.union_all([shapely.make_valid(Polygon(line.points)) for line in lines])


def over_what(plan: Plan, others: tuple[Footprint, ...]) -> tuple[tuple[float, float], ...]:
    """(least distance [m], plan area of both [m²]) of a plan and each of some footprints."""
    return tuple((float(plan.distance(one.area)), float(plan.intersection(one.area).area)) for one in others)
