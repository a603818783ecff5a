"""One line round several outlines, against closed forms and an own hull."""

import math

import numpy as np
import pytest
import shapely

from pondkit.geometry.footprint import Rim
from pondkit.geometry.outline import Placed, Shape, shape_of
from pondkit.geometry.shapes import Circle, Rectangle
from pondkit.geometry.site_line import length_of, ring_round


def drawn(what: type[Circle] | type[Rectangle], **sizes: float) -> Shape:
    return shape_of(what.model_validate(sizes, context={"units": "si"}))


def circle(x: float, radius: float, away: float) -> Rim:
    return drawn(Circle, diameter=2 * radius), Placed(x, 0.0, 0.0), away


def test_round_one_circle() -> None:
    assert length_of(ring_round((circle(4, 2, 0.5),))) == pytest.approx(2 * math.pi * 2.5, rel=1e-4)


def test_circles_that_run_into_each_other_have_the_outline_of_both() -> None:
    ring = ring_round((circle(0, 2, 0.5), circle(4, 2, 0.5)))
    # Each circle of 2.5 m loses the arc inside the other: half angle acos(2 / 2.5).
    assert length_of(ring) == pytest.approx(2 * 2.5 * (2 * math.pi - 2 * math.acos(2 / 2.5)), rel=1e-3)


def test_circles_apart_are_joined_by_their_tangents() -> None:
    ring = ring_round((circle(0, 2, 0.5), circle(10, 1, 0.5)))
    # A belt round two pulleys of 2.5 and 1.5 m, 10 m apart.
    lean = math.asin((2.5 - 1.5) / 10)
    belt = 2 * 10 * math.cos(lean) + 2.5 * (math.pi + 2 * lean) + 1.5 * (math.pi - 2 * lean)
    assert length_of(ring) == pytest.approx(belt, rel=1e-3)


def test_three_in_an_angle_are_joined_neighbour_to_neighbour_and_not_across() -> None:
    corner = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0)]
    rims = tuple((drawn(Rectangle, length=2, width=2), Placed(x, y, 0.0), 0.0) for x, y in corner)
    area = shapely.Polygon(ring_round(rims).points)
    assert area.area == pytest.approx(12 * 2 + 10 * 2) and length_of(ring_round(rims)) == pytest.approx(2 * (12 + 12))
    assert area.contains(shapely.Point(5, 0)) and not area.contains(shapely.Point(5, 5))


def test_all_of_each_outline_is_within() -> None:
    rng = np.random.default_rng(4)
    rims = tuple(
        (drawn(Circle, diameter=float(rng.uniform(1, 5))), Placed(*rng.uniform(-12, 12, 2), 0.0), 0.3) for _ in range(5)
    )
    area = shapely.Polygon(ring_round(rims).points).buffer(1e-6)
    assert area.is_valid
    for shape, placed, away in rims:
        assert area.contains(shapely.transform(shape.moved([-away])[0], placed.to_site))
