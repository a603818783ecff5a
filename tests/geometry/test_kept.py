"""How near digs come to what is kept clear: closed forms on circles and squares."""

import numpy as np
import pytest

from pondkit.geometry.kept import Kept, dig_footprint, distance, kept, way_footprint
from pondkit.geometry.outline import Placed, shape_of
from pondkit.geometry.shapes import Circle

SQUARE = [(-10, -10), (10, -10), (10, 10), (-10, 10)]
DIG = dig_footprint(
    "dig", shape_of(Circle.model_validate({"diameter": "4 m"})), Placed(5.0, 0.0, 0.0), 0.5
)  # radius 2.5 about (5, 0)


def thing(
    points: list[tuple[float, float]], clearance: float = 0.0, closed: bool = False, within: bool = False
) -> Kept:
    made = kept("it", "other", clearance, points, closed, within)
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
    assert kept("a", "building", 0, [(0, 0), (1, 1)], True, False) is None
    assert kept("a", "building", 0, [(0, 0), (2, 2), (2, 0), (0, 2)], True, False) is None
    assert kept("a", "tree", 0, [], False, False) is None
