"""Outlines: areas and lengths against closed forms and print, offsets against the library's own, faults in words."""

import math
import time
from collections.abc import Callable

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.special import ellipe
from shapely.geometry import Polygon

from pondkit.core.part import Part
from pondkit.geometry.outline import NoOutline, Placed, Shape, shape_from, shape_of
from pondkit.geometry.region import SHIFT, Array, OffsetRegions
from pondkit.geometry.shapes import Circle, Ellipse, Offsets, Points, Rectangle
from tests.by_grid import distance

KIDNEY = ((-3, -1), (-1.5, -2), (0, -1), (1.5, -2), (3, -1), (3, 1), (1.5, 2.2), (0, 2), (-1.5, 2.2), (-3, 1))
DUMBBELL = (
    (-4, -1.5),
    (-1, -1.5),
    (-1, -0.4),
    (1, -0.4),
    (1, -2),
    (4, -2),
    (4, 2),
    (1, 2),
    (1, 0.4),
    (-1, 0.4),
    (-1, 1.5),
    (-4, 1.5),
)


def shaped(kind: type[Part], **fields: object) -> Shape:
    """The shape of an outline given in metres."""
    return shape_of(kind.model_validate(fields, context={"units": "si"}))  # type: ignore[arg-type]


def straight(*corners: tuple[float, float]) -> Shape:
    return shaped(Points, points=corners, smooth=False)


def fault(kind: type[Part], **fields: object) -> NoOutline:
    with pytest.raises(NoOutline) as raised:
        shaped(kind, **fields)
    return raised.value


def test_circle_has_the_area_and_nearly_the_length_of_the_curve() -> None:
    shape = shaped(Circle, diameter=5)
    assert shape.polygon.area == pytest.approx(math.pi * 2.5**2, rel=1e-9)
    assert shape.polygon.length == pytest.approx(math.pi * 5, rel=2e-5)


def test_acres_of_a_round_pond_from_its_shoreline() -> None:
    """Acres = P² / 547,390, P in feet: 520 ft round are 0.4939 acre (Ohio State
    University Extension, fact sheet A-2).
    """
    foot, acre = 0.3048, 4046.8564224  # both exact but for the survey foot: NIST SP 811, App. B
    shape = shaped(Circle, diameter=520 / math.pi * foot)
    assert shape.polygon.area / acre == pytest.approx(0.4939, abs=1e-4)


def test_ellipse_has_the_area_and_nearly_the_length_of_the_curve() -> None:
    shape = shaped(Ellipse, length=12, width=8)
    assert shape.polygon.area == pytest.approx(math.pi * 6 * 4, rel=1e-9)
    assert shape.polygon.length == pytest.approx(
        4 * 6 * ellipe(1 - (4 / 6) ** 2), rel=2e-5
    )  # complete elliptic integral


@pytest.mark.parametrize("radius", [0, 0.5, 1.0, 2.5])
def test_rectangle_with_round_corners(radius: float) -> None:
    shape = shaped(Rectangle, length=8, width=5, corner_radius=radius)
    assert shape.polygon.area == pytest.approx(8 * 5 - (4 - math.pi) * radius**2, rel=1e-6)
    assert shape.polygon.length == pytest.approx(2 * (8 + 5) - (8 - 2 * math.pi) * radius, rel=2e-5)
    assert shape.inradius == pytest.approx(2.5, rel=1e-5)


def test_baseline_with_offsets_on_both_sides() -> None:
    """Basak, Surveying and Levelling, Tata McGraw-Hill 1994, p. 207 (computed in a public companion): 6,975 m²."""
    shape = shaped(Offsets, left=[(0, 0), (20, 42), (65, 58), (110, 0)], right=[(40, 20), (90, 60)])
    assert shape.polygon.area == pytest.approx(6975, abs=1e-6)


@pytest.mark.parametrize(
    ("spacing", "offsets", "area"),
    [
        (10, [0, 2.5, 3.5, 5.0, 4.6, 3.2, 0], 188.0),  # Basak p. 214, trapezoidal rule
        (15, [3.5, 4.3, 6.75, 5.25, 7.5, 8.8, 7.9, 6.4, 4.4, 3.25], 820.125),  # Basak p. 216, trapezoidal rule
    ],
)
def test_offsets_at_even_spacing_follow_the_trapezoidal_rule(spacing: float, offsets: list[float], area: float) -> None:
    """Basak, Surveying and Levelling, Tata McGraw-Hill 1994 (computed in a public companion)."""
    left = [(spacing * index, offset) for index, offset in enumerate(offsets)]
    ends = [] if offsets[0] == 0 else [(0, 0), (left[-1][0], 0)]
    shape = shaped(Offsets, left=left, right=ends)
    assert shape.polygon.area == pytest.approx(area, abs=1e-6)


def test_area_of_a_section_by_coordinates() -> None:
    """Basak, Surveying and Levelling, 1994, p. 251: 21.1375 m² (with x and y of three points exchanged, 21.0375)."""
    shape = straight((-3, 0), (-5.5, 2.2), (-3, 1.75), (0, 1.5), (5.25, 4.75), (7.3, 6.4), (3, 0))
    assert shape.polygon.area == pytest.approx(21.1375, abs=1e-6)


def test_a_smooth_curve_has_its_own_area_and_passes_through_its_points() -> None:
    """Area of the same curve (periodic cubic spline, centripetal) from 65,536 points, worked out here."""
    shape = shaped(Points, points=KIDNEY)
    points = np.array([*KIDNEY, KIDNEY[0]], dtype=float)
    knots = np.concatenate([[0], np.cumsum(np.sqrt(np.linalg.norm(np.diff(points, axis=0), axis=1)))])
    x, y = CubicSpline(knots, points, bc_type="periodic")(np.linspace(0, knots[-1], 65537)).T
    assert shape.polygon.area == pytest.approx(abs(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2, rel=1e-7)
    assert shape.polygon.exterior.distance(shapely.points(np.array(KIDNEY, dtype=float))).max() < 1e-3


def test_points_on_a_circle_make_a_circle() -> None:
    angle = 2 * np.pi * np.arange(40) / 40
    shape = shaped(Points, points=np.column_stack([3 * np.cos(angle), 3 * np.sin(angle)]).tolist())
    assert shape.polygon.area == pytest.approx(math.pi * 9, rel=1e-5)
    assert shape.inradius == pytest.approx(3, rel=1e-4)


def test_the_order_round_the_outline_makes_no_difference() -> None:
    one, other = straight(*DUMBBELL), straight(*reversed(DUMBBELL))
    assert other.polygon.equals(one.polygon)
    assert other.polygon.exterior.is_ccw


@pytest.mark.parametrize("away", [-0.7, 0.4, 1.0, 2.4])
def test_a_rectangle_moved_is_a_rectangle_inward_and_has_round_corners_outward(away: float) -> None:
    area = (8 - 2 * away) * (5 - 2 * away) - (4 - math.pi) * away**2 * (away < 0)
    length = 2 * (8 + 5 - 4 * away) - (8 - 2 * math.pi) * -away * (away < 0)
    shape = shaped(Rectangle, length=8, width=5)
    assert shape.area(np.array([away])) == pytest.approx(area, rel=1e-5)
    assert shape.perimeter(np.array([away])) == pytest.approx(length, rel=1e-4)


# Its small lobe falls off 1.986 m inward and is used up at 1.999 m.
LATE = ((-3.7, -0.9), (-2.1, -2.3), (0, -2), (2.1, -2.4), (4, -0.6), (3.4, 1.5), (0.9, 2.4), (-1.5, 1.8), (-3.4, 1.2))
SHAPES = {
    "ellipse": shaped(Ellipse, length=8, width=5),
    "kidney": shaped(Points, points=KIDNEY),
    "dumbbell": straight(*DUMBBELL),
    "triangle": straight((0, 0), (6, 0), (1, 4)),
    "seven corners, used up one by one": straight((0, 0), (5, -0.5), (7, 1), (6, 4), (3.5, 4.8), (1, 4), (-1, 2)),
    "hand-drawn": shaped(Points, points=LATE),
}


@pytest.mark.parametrize("name", SHAPES)
def test_the_table_of_offsets_agrees_with_offsets_made_one_by_one(name: str) -> None:
    shape = SHAPES[name]
    inward = np.concatenate([np.linspace(-1.5, 0, 12), np.linspace(0, shape.inradius * 0.99, 150)])
    made = shape.moved(inward)
    wrong = shape.area(inward) - shapely.area(made)
    assert np.abs(wrong).max() < 1e-4 * shape.polygon.area
    assert abs(wrong[12:].mean()) < 5e-6 * shapely.area(made[12:]).mean()  # what a volume adds up
    assert shape.perimeter(inward) == pytest.approx(shapely.length(made), abs=4e-3 * shape.polygon.length)


def test_offsets_beyond_both_ends_of_the_table() -> None:
    shape = shaped(Rectangle, length=2, width=1)
    assert shape.area(np.array([-20.0, 0.5, 0.6])) == pytest.approx([2 + 6 * 20 + math.pi * 400, 0, 0], rel=2e-4)


def test_a_dumbbell_breaks_where_its_neck_closes_and_where_the_smaller_lobe_is_used_up() -> None:
    assert straight(*DUMBBELL).breaks == pytest.approx([0.4, 1.5], abs=3e-3)  # half the neck's width; half the lobe's
    # The circle in the larger lobe touches its end wall and the two corners of the neck: (3 - r)² = r² - 0.4².
    assert straight(*DUMBBELL).inradius == pytest.approx(9.16 / 6, rel=1e-5)


def test_an_ellipse_breaks_at_its_least_radius_of_curvature() -> None:
    assert shaped(Ellipse, length=8, width=5).breaks == pytest.approx([2.5**2 / 4])  # b²/a


@pytest.mark.parametrize(
    ("corners", "inradius"),
    [
        (((0, 0), (3, 0), (0, 4)), 1.0),  # right triangle: (3 + 4 - 5) / 2
        (
            ((0, 0), (6, 0), (6, 1), (1, 1), (1, 6), (0, 6)),
            2 - math.sqrt(2),
        ),  # two arms 1 wide: the corner holds a wider circle
        # A slot 2 m wide, far longer than a square lobe 2.02 m wide.
        (
            (
                (0, 0),
                (6, 0),
                (6, 0.9),
                (8, 0.9),
                (8, 0),
                (10.02, 0),
                (10.02, 2.02),
                (8, 2.02),
                (8, 1.1),
                (6, 1.1),
                (6, 2),
                (0, 2),
            ),
            1.01,
        ),
        (((0, 0), (40, 0), (40, 0.4), (0, 0.4)), 0.2),
    ],
    ids=["triangle", "elbow", "two lobes", "ditch"],
)
def test_inradius(corners: tuple[tuple[float, float], ...], inradius: float) -> None:
    shape = straight(*corners)
    assert shape.inradius == pytest.approx(inradius, rel=1e-6)
    assert shape.polygon.exterior.distance(shapely.Point(shape.pole)) == pytest.approx(inradius, rel=1e-6)
    assert shape.polygon.contains(shapely.Point(shape.pole))


def test_distance_inward_agrees_with_the_library() -> None:
    shape = shaped(Points, points=KIDNEY)
    points = np.random.default_rng(2).uniform(-4, 4, (3000, 2))
    assert shape.inward(points) == pytest.approx(distance(shape.polygon, points), abs=2e-4)
    assert shape.inward(np.array([[0.0, 0.5], [0.0, 5.0]])) == pytest.approx([1.5, -3.0], abs=0.05)


def test_the_circle_round_an_outline_holds_all_of_it() -> None:
    x, y, radius = shaped(Points, points=KIDNEY).circle
    assert (np.hypot(*(np.array(KIDNEY) - [x, y]).T) <= radius + 1e-3).all()


def test_places_there_and_back() -> None:
    placed = Placed(3.0, -2.0, 30.0)
    points = np.array([[1.0, 0.0], [0.0, 2.0]])
    assert placed.to_own(placed.to_site(points)) == pytest.approx(points)
    assert Placed(1.0, 2.0, 90.0).to_site(np.array([[3.0, 0.0]])) == pytest.approx(
        np.array([[1.0, 5.0]])
    )  # anticlockwise


def test_an_outline_that_crosses_itself_says_where() -> None:
    error = fault(Points, points=[(0, 0), (2, 2), (2, 0), (0, 2)], smooth=False)
    assert "crosses itself near" in error.given.text
    assert [(term.name, term.value) for term in error.given.terms] == [("east", 1.0), ("north", 1.0)]
    assert error.allowed.text == "a closed line round some area, that crosses itself nowhere"
    assert (
        "crosses itself" in fault(Points, points=[(0, 0), (4, 0), (2, 0), (2, 3)], smooth=False).given.text
    )  # goes back


def test_an_outline_on_one_line_has_no_area() -> None:
    assert fault(Points, points=[(0, 0), (1, 1), (2, 2)], smooth=False).given.text == "the outline has no area"


def test_two_points_in_one_place_are_counted() -> None:
    assert "points 2 and 3" in fault(Points, points=[(0, 0), (3, 0), (3, 0), (0, 3)]).given.text
    assert "points 3 and 1" in fault(Points, points=[(0, 0), (3, 0), (0, 0)]).given.text


def test_offsets_of_too_few_points() -> None:
    assert fault(Offsets, left=[(0, 0)], right=[(3, 1)]).given.text == "the outline has 2 points"


def test_corners_too_round_name_their_field() -> None:
    error = fault(Rectangle, length=8, width=5, corner_radius=2.6)
    assert error.field == ("corner_radius",)
    assert [term.value for term in (*error.given.terms, *error.allowed.terms)] == [2.6, 2.5]


def test_a_polygon_with_doubled_corners_is_taken_as_one_without() -> None:
    shape = shape_from(Polygon([(0, 0), (4, 0), (4, 0), (4, 3), (0, 3), (0, 3)]))
    assert shape.inward(np.array([[2.0, 1.0], [5.0, 1.0]])) == pytest.approx([1.0, -1.0])


def jagged(points: int, out: float, smooth: bool = False) -> Shape:
    """A ring of 4 m radius with every second point moved outward [m]."""
    angle, radius = 2 * np.pi * np.arange(points) / points, 4 + out * (np.arange(points) % 2)
    ring = np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])
    return shaped(Points, points=ring.tolist(), smooth=smooth)


@pytest.mark.parametrize(
    ("points", "out", "smooth"), [(80, 0.3, False), (200, 0.05, False), (200, 0.3, False), (200, 0.3, True)]
)
def test_offsets_of_a_jagged_outline_by_stages_are_those_made_at_once(points: int, out: float, smooth: bool) -> None:
    """Against one offset of the whole distance by the library with four times as many segments."""
    shape = jagged(points, out, smooth)
    assert shape.jagged
    away = np.array([-1.5, -0.6, -0.05, 0.03, 0.25, 0.8, 2.5])
    at_once = np.array([shape.polygon.buffer(-t, quad_segs=256).area for t in away])
    assert np.abs(shape.area(away) - at_once).max() <= SHIFT * shape.polygon.area
    assert np.abs(shapely.area(shape.moved(away)) - at_once).max() <= SHIFT * shape.polygon.area


def test_an_outline_that_is_not_jagged_is_moved_in_one_step() -> None:
    shape = shaped(Points, points=KIDNEY)
    assert not shape.jagged
    assert shape.moved([0.3])[0].equals_exact(shape.polygon.buffer(-0.3, quad_segs=64))


def test_a_traced_outline_of_200_points_costs_no_seconds() -> None:
    """Shape and table from a metre outside to the middle; made in one step each, the offsets took 7 to 12 s, by stages
    0.17 s where a whole table was worked out at once, and now 0.1 s."""

    def cost() -> float:
        start = time.process_time()
        assert jagged(200, 0.3).area(np.linspace(-1.0, 4.0, 51)).max() > 60
        return time.process_time() - start

    assert min(cost() for _ in range(3)) < 0.3


@pytest.mark.parametrize("name", ["ellipse", "dumbbell", "hand-drawn", "jagged"])
def test_the_table_is_the_same_to_the_last_digit_in_whatever_order_it_is_asked(name: str) -> None:
    """Its pieces are worked out when they are first asked for."""
    polygon = jagged(80, 0.3).polygon if name == "jagged" else SHAPES[name].polygon
    at_once, bit_by_bit = shape_from(polygon), shape_from(polygon)
    inward = np.linspace(-at_once.inradius - 2.0, at_once.inradius * 1.1, 60)
    areas, lengths = at_once.area(inward), at_once.perimeter(inward)
    for place in np.random.default_rng(3).permutation(len(inward)):
        assert bit_by_bit.area(inward[place]) == areas[place]
        assert bit_by_bit.perimeter(inward[place]) == lengths[place]


def offsets_made(work: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> int:
    """Number of offsets that a piece of work makes."""
    made: list[int] = []
    at = OffsetRegions.at

    def counted(regions: OffsetRegions, inward: Array) -> NDArray[np.object_]:
        made.append(inward.size)
        return at(regions, inward)

    with monkeypatch.context() as patched:
        patched.setattr(OffsetRegions, "at", counted)
        work()
    return sum(made)


def test_parts_are_looked_for_only_from_the_narrowest_neck_on(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bean, whose neck of 3.6 m closes near the end, and the dumbbell, whose neck of 0.8 m closes at a quarter."""
    bean = Polygon([(-4, -2), (0, -1.6), (4, -2), (4, 2), (-4, 2)])
    assert offsets_made(lambda: shape_from(bean), monkeypatch) < 40
    assert shape_from(bean).breaks == pytest.approx([1.8], abs=6e-3)
    assert offsets_made(lambda: shape_from(SHAPES["dumbbell"].polygon), monkeypatch) > 120


def test_what_lies_beyond_the_places_asked_for_costs_no_offset(monkeypatch: pytest.MonkeyPatch) -> None:
    shape = shape_from(SHAPES["dumbbell"].polygon)
    assert offsets_made(lambda: shape.area(np.array([0.1, 0.3])), monkeypatch) == 5  # its neck closes at 0.4
    assert offsets_made(lambda: shape.area(np.array([0.2])), monkeypatch) == 0
