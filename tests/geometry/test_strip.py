"""Strips along outlines against closed forms; what stands inside."""

import math

import numpy as np
import pytest
import shapely

from pondkit.geometry.outline import Placed, Shape, shape_of
from pondkit.geometry.shapes import Circle, Ellipse, Points, Rectangle
from pondkit.geometry.strip import StonePlan, inside_of, plan_ring, strip

HERE = Placed(0.0, 0.0, 0.0)
AWAY = Placed(5.0, -3.0, 30.0)


def circle(diameter: float) -> Shape:
    return shape_of(Circle(diameter=f"{diameter} m"))  # type: ignore[arg-type]


def rectangle(length: float, width: float) -> Shape:
    return shape_of(Rectangle(length=f"{length} m", width=f"{width} m"))  # type: ignore[arg-type]


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
