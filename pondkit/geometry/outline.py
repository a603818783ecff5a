"""Outlines: from the document's shapes to polygons, and their offsets inward.

Pools keep their own axes here (metres, x and y of the pool); ``Placed`` transforms to site axes and back.
"""

import math
import re
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Trouble
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH, System, Typed
from pondkit.geometry.region import QUARTER, STAGE_FINE, Edge, OffsetRegions, OffsetTable
from pondkit.geometry.region import Array as Array
from pondkit.geometry.shapes import Circle, Ellipse, Offsets, Outline, Points, Rectangle

VERTICES = 512
COARSE = 3e-3  # of the inradius: outlines are simplified to this where only their parts are counted
SAME_PLACE = 1e-9  # m: points nearer than this coincide
LEAST_AREA = 1e-4  # m²: below this an outline has no area
CLOSED = Words("a closed line round some area, that crosses itself nowhere")
IN_OWN_AXES = "the outline crosses itself near {east} along, {north} across in the pool's own axes"
MOVE = Words("move or remove points until it does not, or change its sizes")


class NoOutline(ValueError):
    """An outline without area, or one that crosses itself: the value given, what is allowed, the remedy, and the field
    at fault.
    """

    def __init__(self, given: Words, allowed: Words = CLOSED, mend: Words = MOVE, field: tuple[str, ...] = ()) -> None:
        super().__init__(given.text)
        self.given, self.allowed, self.mend, self.field = given, allowed, mend, field


@dataclass(frozen=True, eq=False)
class Shape:
    """A simple polygon with its offsets inward and outward.

    Attributes:
        polygon: Outline, anticlockwise, in its own axes [m].
        inradius: Greatest inward offset that leaves an area [m].
        pole: A point at that distance from the outline [m].
        breaks: Inward distances between 0 and the inradius at which the rate of change of area has a break, as the
            number of parts changes or round corners vanish [m].
    """

    polygon: Polygon
    inradius: float
    pole: tuple[float, float]
    breaks: tuple[float, ...]

    @cached_property
    def coords(self) -> Array:
        """Vertices, closed, shape (n, 2) [m]."""
        return np.asarray(self.polygon.exterior.coords, dtype=float)

    @cached_property
    def circle(self) -> tuple[float, float, float]:
        """A circle round the outline: x, y of its centre and its radius [m]."""
        middle = (self.coords.min(axis=0) + self.coords.max(axis=0)) / 2
        return float(middle[0]), float(middle[1]), float(np.linalg.norm(self.coords - middle, axis=1).max())

    @cached_property
    def thin(self) -> Polygon:
        """The outline with as few corners as a picture needs."""
        return self.polygon.simplify(2e-3 * self.inradius)

    @cached_property
    def table(self) -> OffsetTable:
        return OffsetTable(self._offsets, self.polygon, self.inradius, self.breaks)

    @property
    def jagged(self) -> bool:
        """True if offsets are made in stages, so that areas are accurate to ``SHIFT`` of the outline's own."""
        return self._offsets.jagged

    @cached_property
    def _offsets(self) -> OffsetRegions:
        return OffsetRegions(self.polygon, QUARTER, STAGE_FINE)

    def moved(self, inward: Array | list[float]) -> NDArray[np.object_]:
        """Polygons offset inward (negative: outward) by true horizontal distances, shape (n,)."""
        return self._offsets.at(np.asarray(inward, dtype=float))

    @cached_property
    def _edge(self) -> Edge:
        return Edge(self.polygon)

    def inward(self, points: Array, far: float = np.inf) -> Array:
        """True distance inward from the outline at places in its own axes (negative outside), shape (n, 2) -> (n,) [m].

        As exact as ``Edge``. Places further outside than ``far`` get -``far``, which takes less time.
        """
        if np.isfinite(far):
            low, high = self.coords.min(axis=0) - far, self.coords.max(axis=0) + far
            near_by = ((points >= low) & (points <= high)).all(axis=1)
            distance = np.full(len(points), -far)
            distance[near_by] = np.maximum(self.inward(points[near_by]), -far)
            return distance
        return self._edge.inward(points)

    def foot(self, points: Array) -> Array:
        """The nearest place of the outline to each place in its own axes, shape (n, 2) -> (n, 2) [m]; as exact as
        ``inward``."""
        return self._edge.foot(points)

    def area(self, inward: Array) -> Array:
        """Plan area inside the outline offset inward, shape as given [m²]."""
        return self.table.area(np.asarray(inward, dtype=float))

    def perimeter(self, inward: Array) -> Array:
        """Length of the outline offset inward, shape as given [m], which is the rate at which its area shrinks."""
        return self.table.perimeter(np.asarray(inward, dtype=float))


def shape_of(outline: Outline) -> Shape:
    """The polygon of a document's outline, in its own axes, with its offsets.

    Raises: NoOutline if the outline crosses itself or has no area.
    """
    polygon = Polygon(_coords(outline))
    if polygon.convex_hull.area < LEAST_AREA:
        raise NoOutline(
            words("the outline has no area"), mend=words("move or add points until it goes round some area")
        )
    if not polygon.is_valid:
        raise NoOutline(crossing(polygon, IN_OWN_AXES))
    if polygon.area < LEAST_AREA:
        raise NoOutline(
            words("the outline has no area"), mend=words("move or add points until it goes round some area")
        )
    middle = (0.0, 0.0) if isinstance(outline, (Circle, Ellipse, Rectangle)) else None
    return shape_from(polygon, _kinks(outline), middle)


ROUND_POINTS = 12  # points of a curve for a full circle; a rectangle's corners take three each
FINE_STEP = {"us": 0.01, "si": 0.005}  # of feet and metres, in which its points are written


def as_points(outline: Outline, system: System) -> Points:
    """The same outline as points that can be moved one by one: points on a curve for a round one, the
    corners of another.
    """
    match outline:
        case Circle() | Ellipse():
            sides = (outline.diameter,) * 2 if isinstance(outline, Circle) else (outline.length, outline.width)
            long, wide = sides
            turns = [2 * math.pi * number / ROUND_POINTS for number in range(ROUND_POINTS)]
            smooth, places = True, [(long / 2 * math.cos(turn), wide / 2 * math.sin(turn)) for turn in turns]
        case Rectangle():
            corners = _rectangle(outline.length, outline.width, outline.corner_radius)
            step = VERTICES // 4 // 3 if outline.corner_radius else 1
            smooth, places = False, [(float(x), float(y)) for x, y in _thinned(corners, step)]
        case Offsets():
            right = [(float(along), -float(offset)) for along, offset in reversed(outline.right)]
            smooth, places = outline.smooth, [(float(along), float(offset)) for along, offset in outline.left] + right
        case _:
            return outline
    typed = Typed(system)
    values = {"smooth": smooth, "points": [typed.place(place, FINE_STEP[system]) for place in places]}
    return Points.model_validate(values, context={"units": system})


def _thinned(corners: Array, step: int) -> Array:
    """Every ``step``-th point of the rounding of each of four corners, with both its ends."""
    if step == 1:
        return corners
    rounding = corners.reshape(4, -1, 2)
    return np.concatenate([arc[[*range(0, len(arc) - 1, step), len(arc) - 1]] for arc in rounding])


@remembered
def entered_shape(outline: Outline, path: Path) -> Shape:
    """Shape of an outline of the document; ``path``: its path in the option.

    Raises: Trouble if the outline crosses itself or has no area.
    """
    try:
        return shape_of(outline)
    except NoOutline as fault:
        raise Trouble(Problem((*path, *fault.field), fault.given, fault.allowed, fault.mend)) from None


def _kinks(outline: Outline) -> tuple[float, ...]:
    match outline:
        case Ellipse():
            long, short = max(outline.length, outline.width), min(outline.length, outline.width)
            return (short**2 / (2 * long),)  # least radius of curvature
        case Rectangle():
            return (outline.corner_radius,)
        case _:
            return ()


def crossing(polygon: Polygon, text: str) -> Words:
    """Place where a polygon crosses itself, as {east} and {north} of a sentence."""
    place = re.search(r"\[(\S+) (\S+)\]", str(shapely.is_valid_reason(polygon)))
    if not place:
        return words("the outline crosses itself")
    east, north = (round(float(each), 3) + 0.0 for each in place.groups())  # "near" to the millimetre
    return words(text, east=(east, LENGTH), north=(north, LENGTH))


def shape_from(polygon: Polygon, kinks: tuple[float, ...] = (), middle: tuple[float, float] | None = None) -> Shape:
    """Shape of a simple polygon, with its inradius and breaks.

    Args:
        polygon: Any valid polygon without holes.
        kinks: Inward distances [m] known to be breaks, such as the least radius of a convex curve.
        middle: The place furthest inward, if known [m].
    """
    polygon = orient(shapely.remove_repeated_points(polygon, SAME_PLACE))
    inradius, pole = (float(polygon.exterior.distance(shapely.Point(middle))), middle) if middle else _inradius(polygon)
    breaks = sorted(t for t in (*_splits(polygon, inradius), *kinks) if 1e-6 * inradius < t < inradius * (1 - 1e-6))
    return Shape(polygon, inradius, pole, tuple(breaks))


def _inradius(polygon: Polygon) -> tuple[float, tuple[float, float]]:
    """(greatest inward offset that leaves an area, the point there) [m].

    Bisection gives it to 1 %. Closer to the end an offset can take seconds (as can the library's largest inscribed
    circle where many are equally large), so the last steps move a point away from the outline instead.
    """
    from scipy.optimize import minimize

    low, high, last = 0.0, math.sqrt(polygon.area / math.pi), polygon
    offsets = OffsetRegions(polygon.simplify(1e-3 * high), 2, 1e-3)
    while high - low > 0.01 * high:
        middle = (low + high) / 2
        left = offsets.at(np.array([middle]))[0]
        if left.is_empty:
            high = middle
        else:
            low, last = middle, left
    edge, candidates = polygon.exterior, []
    for part in getattr(last, "geoms", [last]):  # two lobes may be as wide as each other to 1 %
        start = part.centroid if part.contains(part.centroid) else part.representative_point()
        spread = high * 0.02
        best = minimize(
            lambda point: -edge.distance(shapely.Point(point)),
            (start.x, start.y),
            method="Nelder-Mead",
            options={
                "initial_simplex": np.array(
                    [[start.x, start.y], [start.x + spread, start.y], [start.x, start.y + spread]]
                ),
                "xatol": 1e-7 * high,
                "fatol": 1e-8 * high,
                "maxfev": 200,
            },
        )
        candidates.append((float(-best.fun), (float(best.x[0]), float(best.x[1]))))
    return max(candidates)


# Offsets for counting have arcs of few segments, and may pinch off where the outline has no neck but nearly one:
NECK = 0.05  # of the inradius: they are counted from this before the narrowest neck, and over this before the end,
NEARLY = 0.1  # and a circle that reaches over the outline, or touches it off its diameter, by this share is one yet


def _splits(polygon: Polygon, inradius: float) -> tuple[float, ...]:
    """Inward distances at which the number of parts changes."""
    if polygon.area > polygon.convex_hull.area * (1 - 1e-9):
        return ()  # offsets of a convex outline never break into parts
    thin = polygon.simplify(COARSE * inradius)
    coarse, fine = OffsetRegions(thin, 4, COARSE), OffsetRegions(polygon.simplify(1e-3 * inradius), 4, 1e-3)
    # A small lobe may separate and vanish within a hundredth of the inradius: many tries, with few corners each.
    tries = np.linspace(0.0, inradius * (1 - 1e-3), 160)
    # Among the many corners of a jagged outline, to look for its necks takes longer than to count.
    neck = 0.0 if coarse.jagged else min(_narrowest_neck(thin, inradius), inradius)
    first = int(np.searchsorted(tries, neck - NECK * inradius))
    counts = np.ones(len(tries), dtype=np.int64)
    counts[first:] = shapely.get_num_geometries(coarse.at(tries[first:]))
    change, beside = np.diff(counts), COARSE * inradius
    return tuple(
        _place_of_change(fine, tries[index] - beside, tries[index + 1] + beside, int(np.sign(change[index])))
        for index in np.flatnonzero(change)
    )


EIGHTH = 64
WHOLE = 8 * EIGHTH  # parts in which a change of the number of parts is found


def _place_of_change(offsets: OffsetRegions, low: float, high: float, sign: int) -> float:
    """Distance inward, between two, at which the number of parts grows (sign 1) or falls (-1): where it does so
    several times the outermost found; the middle where it does not [m].
    """

    @cache
    def count(place: int) -> int:
        return int(shapely.get_num_geometries(offsets.at(np.array([low + (high - low) * place / WHOLE]))[0]))

    def changes(start: int, end: int) -> bool:
        return (count(end) - count(start)) * sign > 0

    first, last = 0, WHOLE
    if not changes(first, last):  # it also changes the other way
        eighths = (start for start in range(0, WHOLE, EIGHTH) if changes(start, start + EIGHTH))
        first = next(eighths, WHOLE)
        if first == WHOLE:
            return float((low + high) / 2)
        last = first + EIGHTH
    while last - first > 1:
        middle = (first + last) // 2
        first, last = (first, middle) if changes(first, middle) else (middle, last)
    return float(low + (high - low) * (first + last) / 2 / WHOLE)


def _narrowest_neck(polygon: Polygon, inradius: float) -> float:
    """Half the width of the narrowest neck of an anticlockwise outline [m]: no offset inward by less breaks into parts.
    Infinite if there is none.

    Where an offset breaks, a circle inside the outline touches it at both ends of a diameter, once at an inward corner
    (between parallel sides, which a neck has along some way, at an end of that).
    """
    from scipy.spatial import cKDTree

    corners = shapely.get_coordinates(polygon.exterior)[:-1]
    sides, back = np.roll(corners, -1, axis=0) - corners, np.roll(corners, 1, axis=0) - corners
    (x, y), (along, up), (x_back, y_back) = corners.T, sides.T, back.T
    inward = np.flatnonzero(x_back * up - y_back * along > 0)
    # From every inward corner to the nearest place of every side, unless that is the side's end.
    east, north = x[inward, None] - x, y[inward, None] - y
    share = np.maximum((east * along + north * up) / (along**2 + up**2), 0.0)
    east, north = share * along - east, share * up - north
    width = np.hypot(east, north)
    number, side = np.nonzero((share < 1) & (width > COARSE * inradius) & (width < 2 * inradius * (1 + NECK)))
    corner, share, width = inward[number], share[number, side], width[number, side]
    across = np.stack([east[number, side], north[number, side]], axis=1)

    def beyond(vectors: Array, corner: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Whether vectors of those widths lead from corners away from both sides that meet there."""
        ahead, behind = (
            (vectors * line[corner]).sum(axis=1) <= NEARLY * width * np.hypot(*line.T)[corner] for line in (sides, back)
        )
        return np.asarray(ahead & behind)

    necks = beyond(across, corner) & ((share > 0) | beyond(-across, side))
    middle, half = corners[corner[necks]] + across[necks] / 2, width[necks] / 2
    if not len(half):
        return math.inf
    free = cKDTree(corners).query(middle)[0] >= half * (1 - NEARLY)
    middle, half = middle[free], half[free]
    free = shapely.distance(polygon.exterior, shapely.points(middle)) >= half * (1 - NEARLY)
    return float(half[free].min(initial=math.inf))


def _coords(outline: Outline) -> Array:
    match outline:
        case Circle():
            return _ellipse(outline.diameter, outline.diameter)
        case Ellipse():
            return _ellipse(outline.length, outline.width)
        case Rectangle():
            return _rectangle(outline.length, outline.width, outline.corner_radius)
        case Points():
            return through(np.array(outline.points, dtype=float), outline.smooth)
        case Offsets():
            left = [(along, offset) for along, offset in outline.left]
            right = [(along, -offset) for along, offset in reversed(outline.right)]
            return through(np.array(left + right, dtype=float), outline.smooth)


def _ellipse(length: float, width: float) -> Array:
    """512 points of an ellipse, moved outward so that the polygon has the curve's area (points on the curve would lack
    4e-5 of it).
    """
    angle = 2 * np.pi * np.arange(VERTICES) / VERTICES
    scale = math.sqrt(2 * np.pi / (VERTICES * math.sin(2 * np.pi / VERTICES)))
    return np.column_stack([np.cos(angle) * length, np.sin(angle) * width]) * scale / 2


def _rectangle(length: float, width: float, radius: float) -> Array:
    if radius > min(length, width) / 2 * (1 + 1e-9):
        raise NoOutline(
            words("the corners have a radius of {radius}", radius=(radius, LENGTH)),
            words("at most half the shorter side, {most}", most=(min(length, width) / 2, LENGTH)),
            words("make the radius smaller, or the rectangle larger"),
            ("corner_radius",),
        )
    corners = np.array([[1, 1], [-1, 1], [-1, -1], [1, -1]]) * np.array([length, width]) / 2
    if radius == 0:
        return np.asarray(corners)
    count = VERTICES // 4
    quarter = np.pi / 2 * np.arange(count + 1) / count
    # Each arc's polygon gets the area of its quarter circle.
    grown = radius * math.sqrt(np.pi / 2 / (count * math.sin(np.pi / 2 / count)))
    arcs = []
    for index, corner in enumerate(corners):
        centre = corner - np.sign(corner) * radius
        turn = quarter + index * np.pi / 2
        reach = np.full(count + 1, grown)
        reach[[0, -1]] = radius
        arcs.append(centre + np.column_stack([np.cos(turn), np.sin(turn)]) * reach[:, None])
    return np.concatenate(arcs)


def through(points: Array, smooth: bool) -> Array:
    """Closed line through points, shape (n, 2) -> (m, 2) [m]: straight from point to point, or a smooth curve.

    Raises: NoOutline if there are fewer than three points, or two consecutive points coincide.
    """
    from scipy.interpolate import CubicSpline

    if len(points) < 3:
        raise NoOutline(words(f"the outline has {len(points)} points"), words("three or more"), words("add points"))
    steps = np.linalg.norm(np.diff(points, axis=0, append=points[:1]), axis=1)
    if (steps < 1e-6).any():
        first = int(np.argmin(steps))
        text = (
            f"points {first + 1} and {(first + 1) % len(points) + 1} of the outline, counted round it, are in one place"
        )
        raise NoOutline(words(text), words("points that lie apart"), words("remove one of the two, or move it"))
    if not smooth:
        return points
    along = np.concatenate([[0.0], np.cumsum(np.sqrt(steps))])  # centripetal: no loops at uneven spacing
    curve = CubicSpline(along, np.vstack([points, points[:1]]), bc_type="periodic")
    on_curve = np.asarray(curve(np.linspace(0, along[-1], VERTICES, endpoint=False)), dtype=float)
    # A polygon on the curve lacks its bulges: each vertex is moved out by curvature times step² / 12, which makes
    # them up.
    return np.asarray(on_curve - (np.roll(on_curve, 1, axis=0) - 2 * on_curve + np.roll(on_curve, -1, axis=0)) / 12)


@dataclass(frozen=True)
class Placed:
    """Placement of a part's own axes on the site: origin [m] and rotation anticlockwise [degrees]."""

    x: float
    y: float
    turn_deg: float

    def to_site(self, coords: Array) -> Array:
        """Own axes to site axes, shape (n, 2)."""
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        return np.asarray(coords @ np.array([[c, s], [-s, c]]) + np.array([self.x, self.y]))

    def to_own(self, coords: Array) -> Array:
        """Site axes to own axes, shape (n, 2)."""
        c, s = math.cos(math.radians(self.turn_deg)), math.sin(math.radians(self.turn_deg))
        return np.asarray((coords - np.array([self.x, self.y])) @ np.array([[c, -s], [s, c]]))
