"""How outlines lie to each other, on figures that can be worked out by hand."""

import math

import numpy as np
import pytest

from pondkit.geometry.apart import close_pairs, gap, goes_beyond, inside, outside
from pondkit.geometry.outline import Placed, Shape, shape_of
from pondkit.geometry.shapes import Circle, Rectangle


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
