"""Fill on the existing ground: a level top within a line, and sides of one slope all round down to the ground."""

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

TRIES = 48  # places along each outward line, among which the outermost with the bank above the ground is taken
HALVINGS = 20  # to less than a hair
THREAD = 1e-3  # m²: less than this of a bank is not drawn
SPARE = 0.05  # m further out than a bank reaches
TOUCHES = 1e-6  # m: places nearer to an edge than this are on it
ALONG = 120  # places along a section
CELLS = 20000  # of a heap, which serves many tops, some of them far lower

EDGE = 1e-6  # m: width given to an upright side


@dataclass(frozen=True, eq=False)
class Mound:
    """A mound before the level of its top is known.

    Attributes:
        crest: Edge of its level top, in site axes.
        slope: Horizontal run of its sides per unit of fall.
        standing: Plan of bodies in it, which displace soil.
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
    """Small parts of a mound's plan, as far out as a top at level ``most`` meets the ground.

    Attributes:
        most: Highest level of top covered [m].
        starts: Level of top above which there is soil at each part, shape (n,) [m].
        areas: Area of each part, shape (n,) [m²].
    """

    most: float
    starts: Array
    areas: Array

    @property
    def lowest(self) -> float:
        """Level of the top below which there is no soil [m]."""
        return float(self.starts.min())

    def volume(self, top: float) -> float:
        """Volume of soil below a top at a level, as built in [m³]."""
        return float(np.sum(np.maximum(top - self.starts, 0.0) * self.areas))


@dataclass(frozen=True)
class InvertedGround:
    """The ground upside down, in which a mound is an excavation."""

    ground: Terrain

    def at(self, points: Array) -> Array:
        return -self.ground.at(points)


@dataclass(frozen=True, eq=False)
class Heaped:
    """A fill on the existing ground, for drawing.

    Attributes:
        turned: The fill as an inverted excavation.
        footprint: Its footprint, with its name.
        edges: Closed lines round the footprint, shape (n, 2) each [m].
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
        """(stations, level of the fill, level of the ground) along a straight line, shape (2, 2) [m]; NaN outside the
        fill.
        """
        length = float(np.hypot(*(line[1] - line[0])))
        line_string, area, inverted = LineString(line), self.footprint.area, self.turned
        if inverted.without is not None:
            area = area.difference(inverted.without)
        if not length or not line_string.intersects(area):
            return np.zeros(0), np.zeros(0), np.zeros(0)
        bends = shapely.get_coordinates(
            line_string.intersection(shapely.union_all([area.boundary, inverted.foot.exterior]))
        )
        stations_of_bends = shapely.line_locate_point(line_string, shapely.points(bends))
        stations = np.unique(np.concatenate([np.linspace(0.0, length, ALONG), stations_of_bends]))
        places = line[0] + stations[:, None] / length * (line[1] - line[0])
        spots, stands = shapely.points(places), ground.at(places)
        level = np.maximum(self.top - shapely.distance(inverted.foot, spots) / inverted.batter, stands)
        return stations, np.where(shapely.distance(area, spots) < TOUCHES, level, np.nan), stands


def heaped(name: str, mound_below: Mound, top: float, ground: Terrain, lines: tuple[Traced, ...]) -> Heaped:
    """A mound with its top at a level [m], within its toe lines."""
    return _heap(name, _hole(mound_below, top, ground), spread(lines))


def _heap(name: str, inverted: Hole, area: Plan) -> Heaped:
    return Heaped(inverted, Footprint(name, area), edges(area))


@remembered
def mound(shape: Shape, placed: Placed, slope: float, standing: tuple[Plan, ...]) -> Mound:
    """A mound whose top has an outline as its edge."""
    return Mound(shapely.transform(shape.thin, placed.to_site), slope, standing)


def _hole(mound_below: Mound, top: float, ground: Terrain) -> Hole:
    without = shapely.union_all(mound_below.standing) if mound_below.standing else None
    hole = Hole("", mound_below.crest, -top, mound_below.slope, 0.0, without)
    return Hole("", mound_below.crest, -top, mound_below.slope, reach_of(hole, InvertedGround(ground)), without)


@dataclass(frozen=True)
class Bank:
    """Bank outside the rim line of a pool.

    Attributes:
        name: Name of the pool.
        shape, placed: Its outline, and the placement of that on the site.
        rim, level: Horizontal distance from the outline to the rim of the dig, and level of the rim [m].
    """

    name: str
    shape: Shape
    placed: Placed
    rim: float
    level: float

    def moved(self, distance: float) -> Polygon:
        """Its outline offset outward by a distance, on the site."""
        return _outward(self.shape, self.placed, distance)


def outer_banks(banks: tuple[Bank, ...], crest: float, slope: float, ground: Terrain) -> Trenches:
    """Volumes of banks, as built in: level with their rims for the width of a crest, then falling outward to the
    ground.

    Areas within rim lines are left out; where banks overlap, the higher counts once.

    Raises: TooSteep if a bank's side meets the ground too far out, or never.
    """
    under = InvertedGround(ground)
    holes = bank_holes(banks, crest, slope, ground)
    pairs = zip(holes, over_each_other(holes), strict=True)
    samples = [sampled(hole, under, beside) for hole, beside in pairs]
    return take_out(tuple((sample, top_of(sample, ())) for sample in samples))


@remembered
def bank_holes(banks: tuple[Bank, ...], crest: float, slope: float, ground: Terrain) -> tuple[Hole, ...]:
    """Those banks as excavations in the inverted ground.

    Raises: TooSteep as ``outer_banks``.
    """
    under = InvertedGround(ground)
    rims = [rim_of(bank) for bank in banks]
    holes = []
    for bank in banks:
        hole = Hole(bank.name, bank.moved(bank.rim + crest), -bank.level, slope)
        hole = replace(hole, reach=reach_of(hole, under))
        # Only rims that it meets, so that a pool moved far away leaves the bank unchanged.
        met = [rim for rim in rims if rim.intersects(hole.area)]
        holes.append(replace(hole, without=shapely.union_all(met)))
    return tuple(holes)


def bank_along(
    name: str,
    bed: tuple[Spot, ...],
    inner: Sides,
    high: float,
    outer: tuple[float, float] | None,
    rims: tuple[Plan, ...],
    ground: Terrain,
) -> Ditch:
    """Fill under a bed and the banks beside it, outside rim lines, as a ditch in the inverted ground.

    Args:
        name: Its name.
        bed: Centre line of the bed as dug.
        inner: Profile of bed and inner sides, see ``Ditch``.
        high: Height of the banks above the bed [m]; 0 for a bed without banks.
        outer: Width of their level tops [m], and run of their outer sides per unit of fall; None for inner sides only.
        rims: Area within rim lines, which is left out.
        ground: Existing ground.
    Raises: TooSteep if an outer side meets the ground too far out, or never.
    """
    sides = [(max(distance, index * EDGE), -up) for index, (distance, up) in enumerate(inner)]
    if high > 0 and sides[-1][1] > -high:  # an upright side
        sides.append((sides[-1][0] + EDGE, -high))
    if high > 0 and outer is not None:
        crest, slope = outer
        edge = sides[-1][0] + crest + EDGE
        top = tuple((x, y, -(z + high)) for x, y, z in bed)
        far = meets_within(top, edge, slope, InvertedGround(ground))
        sides += [(edge, -high), (edge + far + EDGE, far / slope - high)]
    ditch = Ditch(name, tuple((x, y, -z) for x, y, z in bed), tuple(sides))
    met = [rim for rim in rims if rim.intersects(ditch.area)]
    return replace(ditch, without=shapely.union_all(met)) if met else ditch


def rim_of(bank: Bank) -> Polygon:
    """Area within its rim line, on the site."""
    return bank.moved(bank.rim)


@remembered
def drawn_bank(bank: Bank, crest: float, slope: float, ground: Terrain) -> Heaped | None:
    """Bank outside one rim line, out to its outermost place above the ground; None if it is never above the ground.

    Raises: TooSteep if its side meets the ground too far out, or never.
    """
    under, rim = InvertedGround(ground), bank.moved(bank.rim)
    hole = Hole(bank.name, bank.moved(bank.rim + crest), -bank.level, slope)
    hole = replace(hole, reach=reach_of(hole, under), without=rim)
    base, away = ways_out(rim, crest + hole.reach + SPARE)

    def stands(distance: Array) -> Array:
        """Whether the bank is above the ground at each distance from the rim, shape (k, n) for n directions."""
        level = bank.level - np.maximum(distance - crest, 0.0) / slope
        places = base + distance[..., None] * away
        return np.asarray(level > ground.at(places.reshape(-1, 2)).reshape(distance.shape))

    tries = np.linspace(0.0, crest + hole.reach + SPARE, TRIES)[:, None] + np.zeros(len(base))
    standing = stands(tries)
    last = TRIES - 1 - np.argmax(standing[::-1], axis=0)
    column = np.arange(len(base))
    inner, outer = tries[last, column], tries[np.minimum(last + 1, TRIES - 1), column]
    for _ in range(HALVINGS):
        middle = (inner + outer) / 2
        over = stands(middle)
        inner, outer = np.where(over, middle, inner), np.where(over, outer, middle)
    stood = standing.any(axis=0)
    inner = np.where(stood, inner, 0.0)
    area = shapely.make_valid(Polygon(base + inner[:, None] * away)).difference(rim)
    # Between directions the area follows chords, which cut slivers off a concave rim where no bank stands.
    within = shapely.multipoints(base[stood] + inner[stood, None] / 2 * away[stood])
    fill = shapely.union_all(
        [part for part in shapely.get_parts(area) if part.area > THREAD and part.intersects(within)]
    )
    return None if fill.is_empty else _heap(f"outer bank of {bank.name}", hole, fill)


@remembered
def _outward(shape: Shape, placed: Placed, distance: float) -> Polygon:
    """An outline offset outward, on the site; it is remembered by outline alone, whatever the bank's name and level."""
    return shapely.transform(shape.thin.buffer(distance, quad_segs=ROUND), placed.to_site)


def heap(mound_below: Mound, most: float, ground: Terrain, cells: int = CELLS) -> Heap:
    """A mound on the ground in about ``cells`` parts, for tops up to a level [m].

    Raises: TooSteep if its sides meet the ground too far out, or never.
    """
    hole = _hole(mound_below, most, ground)
    places, areas = hole.spots(cells)
    return Heap(most, ground.at(places) + hole.away(places) / mound_below.slope, areas)


def toe(mound_below: Mound, top: float, ground: Terrain) -> tuple[Traced, ...]:
    """Toe of a mound with its top at a level [m].

    Raises: TooSteep if its sides meet the ground too far out, or never.
    """
    return edge_of(_hole(mound_below, top, ground), InvertedGround(ground))


def spread(lines: tuple[Traced, ...]) -> Plan:
    """Plan area within closed lines."""
    return shapely.union_all([shapely.make_valid(Polygon(line.points)) for line in lines])


def over_what(plan: Plan, others: tuple[Footprint, ...]) -> tuple[tuple[float, float], ...]:
    """(least distance [m], shared plan area [m²]) between a plan and each of several footprints."""
    return tuple(
        (float(plan.distance(footprint.area)), float(plan.intersection(footprint.area).area)) for footprint in others
    )
