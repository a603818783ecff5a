"""What takes up ground on the plan: outlines, strips and things to keep clear of, on figures worked out by hand."""

import math

import numpy as np
import pytest
import shapely

from pondkit.geometry.footprint import (
    SiteConstraint,
    StonePlan,
    close_pairs,
    dig_footprint,
    distance,
    gap,
    goes_beyond,
    inside,
    inside_of,
    outside,
    plan_ring,
    site_constraint,
    strip,
    way_footprint,
)
from pondkit.geometry.outline import Placed, Shape, shape_of
from pondkit.geometry.shapes import Circle, Ellipse, Points, Rectangle


def circle(across: float) -> Shape:
    return shape_of(Circle.model_validate({"diameter": across}, context={"units": "si"}))


def rectangle(length: float, width: float) -> Shape:
    return shape_of(Rectangle.model_validate({"length": length, "width": width}, context={"units": "si"}))


HOME = Placed(0, 0, 0)


def test_gap_of_two_circles_apart_touching_and_overlapping() -> None:
    one = circle(4)
    assert gap(one, HOME, one, Placed(7, 0, 90)).distance == pytest.approx(3, abs=1e-4)
    assert gap(one, HOME, one, Placed(7, 0, 90)).shared == 0
    # A lens between two circles of radius r, d apart: 2 r² acos(d / 2r) - d / 2 · sqrt(4 r² - d²).
    lens = gap(one, HOME, one, Placed(0, 2, 0))
    assert lens.distance == 0
    assert lens.shared == pytest.approx(2 * 4 * math.acos(0.5) - math.sqrt(16 - 4), rel=1e-4)


def test_a_turned_rectangle_reaches_further() -> None:
    long, short = rectangle(6, 2), rectangle(2, 2)
    assert gap(long, HOME, short, Placed(6, 0, 0)).distance == pytest.approx(2)
    assert gap(long, Placed(0, 0, 90), short, Placed(6, 0, 0)).distance == pytest.approx(4)


def test_close_pairs_miss_no_pair_that_meets() -> None:
    random = np.random.default_rng(5)
    outlines = [
        (rectangle(6, 2), Placed(*random.uniform(-15, 15, 2), float(random.uniform(0, 180)))) for _ in range(30)
    ]
    reach = [0.4] * len(outlines)
    pairs = close_pairs(outlines, reach)
    met = {(i, j) for i in range(30) for j in range(i + 1, 30) if gap(*outlines[i], *outlines[j]).distance < 0.8}
    assert met <= set(pairs)
    assert len(pairs) < 30 * 29 / 2


def test_inside_is_the_room_to_the_outer_outline_or_by_how_far_it_leaves() -> None:
    outer, inner = rectangle(8, 5), rectangle(2, 1)
    assert inside(inner, Placed(1, 0.5, 0), outer) == pytest.approx(1.5)
    assert inside(inner, Placed(1, 0.5, 90), outer) == pytest.approx(1.0)
    assert inside(inner, Placed(3.5, 0, 0), outer) == pytest.approx(-0.5)
    assert inside(inner, Placed(3.0, 0, 0), outer) == pytest.approx(0, abs=1e-12)  # touches from within
    assert inside(inner, Placed(20, 0, 0), outer) == pytest.approx(-17)


def test_goes_beyond() -> None:
    outer, inner = rectangle(8, 5), rectangle(2, 1)
    assert goes_beyond(inner, Placed(1, 0.5, 0), outer, 2.4)
    assert not goes_beyond(inner, Placed(2.5, 0, 0), outer, 2.51)  # no place of the pool is so far inward
    assert not goes_beyond(inner, Placed(0, -1.5, 0), outer, 1.6)


def test_outside_is_the_outline_moved_outward_on_the_site() -> None:
    ring = outside(circle(4), Placed(3, 1, 0), 0.5).points
    assert np.hypot(*(ring - [3, 1]).T) == pytest.approx(2.5, rel=1e-4)
    assert (ring[0] == ring[-1]).all()


SQUARE = [(-10, -10), (10, -10), (10, 10), (-10, 10)]
DIG = dig_footprint(
    "dig", shape_of(Circle.model_validate({"diameter": "4 m"})), Placed(5.0, 0.0, 0.0), 0.5
)  # radius 2.5 about (5, 0)


def thing(
    points: list[tuple[float, float]], clearance: float = 0.0, closed: bool = False, within: bool = False
) -> SiteConstraint:
    made = site_constraint("it", "other", clearance, points, closed, within)
    assert made is not None
    return made


@pytest.mark.parametrize(
    ("points", "closed", "away"),
    [
        ([(5, 10)], False, 7.5),
        ([(0, 20), (20, 20)], False, 17.5),
        ([(12, -5), (12, 5)], False, 4.5),
        ([(5, 1)], False, 0.0),
        ([(-3, -1), (-1, -1), (-1, 1), (-3, 1)], True, 3.5),
        (SQUARE, True, 0.0),  # a building round the dig is entered
    ],
)
def test_distance_from_a_round_dig(points: list[tuple[float, float]], closed: bool, away: float) -> None:
    assert distance(DIG, thing(points, closed=closed)) == pytest.approx(away, abs=2e-3)


def test_a_boundary_is_kept_from_the_inside() -> None:
    assert distance(DIG, thing(SQUARE, closed=True, within=True)) == pytest.approx(2.5, abs=2e-3)
    narrow = [(-10, -10), (7, -10), (7, 10), (-10, 10)]
    assert distance(DIG, thing(narrow, closed=True, within=True)) == pytest.approx(-0.5, abs=2e-3)
    far = [(-30, -10), (-20, -10), (-20, 10), (-30, 10)]
    assert distance(DIG, thing(far, closed=True, within=True)) == pytest.approx(-27.5, abs=2e-2)


def test_a_zone_goes_round_at_the_clearance() -> None:
    (zone,) = thing([(0, 0)], clearance=3.0).zones
    assert np.linalg.norm(zone, axis=1) == pytest.approx(3.0)
    assert thing(SQUARE, 1.0, closed=True, within=True).zones == ()  # it would shade all the site
    assert thing([(0, 0)]).zones == ()


def test_a_way_takes_its_width_along_its_line() -> None:
    way = way_footprint("way", ((-20, 12), (20, 12)), 2.0)
    assert way is not None
    assert distance(way, thing([(0, 0)])) == pytest.approx(11.0)
    assert way_footprint("way", ((0, 0),), 2.0) is None


def test_lines_that_go_round_nothing_are_no_area() -> None:
    assert site_constraint("a", "building", 0, [(0, 0), (1, 1)], True, False) is None
    assert site_constraint("a", "building", 0, [(0, 0), (2, 2), (2, 0), (0, 2)], True, False) is None
    assert site_constraint("a", "tree", 0, [], False, False) is None


HERE = Placed(0.0, 0.0, 0.0)
AWAY = Placed(5.0, -3.0, 30.0)


def dumbbell() -> Shape:
    corners = [
        (-5, -2),
        (-1, -2),
        (-1, -0.4),
        (1, -0.4),
        (1, -2),
        (5, -2),
        (5, 2),
        (1, 2),
        (1, 0.4),
        (-1, 0.4),
        (-1, 2),
        (-5, 2),
    ]
    return shape_of(Points(smooth=False, points=tuple((f"{x} m", f"{y} m") for x, y in corners)))  # type: ignore[arg-type]


@pytest.mark.parametrize("across", [0.1, 0.35, 1.0])
def test_round_a_circle_it_is_a_ring(across: float) -> None:
    # area between two circles; length of the circle half way
    outer, inner = strip(circle(6), HERE, -across), strip(circle(6), HERE, across)
    assert outer.area == pytest.approx(math.pi * ((3 + across) ** 2 - 9), rel=1e-4)
    assert inner.area == pytest.approx(math.pi * (9 - (3 - across) ** 2), rel=1e-4)
    assert outer.middle == pytest.approx(2 * math.pi * (3 + across / 2), rel=1e-4)
    assert inner.middle == pytest.approx(2 * math.pi * (3 - across / 2), rel=1e-4)


@pytest.mark.parametrize("across", [0.1, 0.35, 1.0])
def test_round_a_rectangle_corners_are_round_outside_and_square_inside(across: float) -> None:
    length = 2 * (8 + 5)
    outer, inner = strip(rectangle(8, 5), HERE, -across), strip(rectangle(8, 5), HERE, across)
    assert outer.area == pytest.approx(length * across + math.pi * across**2, rel=1e-4)
    assert outer.middle == pytest.approx(length + math.pi * across, rel=1e-4)
    assert inner.area == pytest.approx(length * across - 4 * across**2, rel=1e-9)
    assert inner.middle == pytest.approx(length - 4 * across, rel=1e-9)


@pytest.mark.parametrize(
    "shape",
    [circle(6), rectangle(8, 5), shape_of(Ellipse()), dumbbell()],
    ids=["circle", "rectangle", "ellipse", "dumbbell"],
)
@pytest.mark.parametrize("across", [-0.4, 0.3])
def test_its_area_is_that_of_offsets_made_by_the_geometry_library(shape: Shape, across: float) -> None:
    moved = shape.polygon.buffer(-across, quad_segs=128)
    assert strip(shape, HERE, across).area == pytest.approx(abs(moved.area - shape.polygon.area), rel=1e-4)


@pytest.mark.parametrize("across", [-0.4, 0.3])
def test_its_rings_cover_it_wherever_the_pool_lies(across: float) -> None:
    for shape in (circle(6), rectangle(8, 5), dumbbell()):
        there, here = strip(shape, AWAY, across), strip(shape, HERE, across)
        drawn = sum(abs(_area(ring)) for ring in there.rings)
        assert drawn == pytest.approx(there.area, rel=2e-2)  # a picture's accuracy
        for a, b in zip(here.rings, there.rings, strict=True):
            assert AWAY.to_site(a) == pytest.approx(b)
            assert b[0] == pytest.approx(b[-1])


def _area(ring: np.ndarray) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2


def test_a_row_that_fills_a_neck_parts_the_water_and_one_too_wide_leaves_none() -> None:
    assert strip(dumbbell(), HERE, 0.3).parts == 1
    assert strip(dumbbell(), HERE, 0.5).parts == 2
    assert strip(circle(6), HERE, 2.9).parts == 1
    assert strip(circle(6), HERE, 3.2).parts == 0


def test_an_ellipse_on_the_site() -> None:
    ring = plan_ring(StonePlan(2.0, 1.0, 3.0, 1.0, ellipse=True))
    assert abs(_area(ring)) == pytest.approx(math.pi / 4 * 3, rel=5e-3)
    assert shapely.Polygon(ring).centroid.coords[0] == pytest.approx((2.0, 1.0))


def test_places_inside_an_outline_that_is_moved_and_turned() -> None:
    shape = rectangle(8, 2)
    own = np.array([[3.9, 0.0], [0.0, 0.9], [0.0, 1.1], [4.1, 0.0]])
    assert inside_of(shape, AWAY, AWAY.to_site(own)) == [True, True, False, False]
