"""Trenches and pits: closed forms on level and sloping ground, under a dig, and where two lie over each other."""

import numpy as np
import pytest
import shapely

from pondkit.geometry.ground import Plane
from pondkit.geometry.hole import Hole, box_at
from pondkit.geometry.trench import TrenchCut
from tests.by_grid import pool_of, surfaces_of, take_out

LEVEL = Plane(0.0, 0.0, 0.0)


def test_a_level_trench_in_level_ground() -> None:
    found = take_out([TrenchCut("a", (1, 2, -0.8), (7, 10, -0.8), 0.4)], [], LEVEL)
    (one,) = found.each
    assert (one.volume, one.deepest, one.area) == pytest.approx((10 * 0.4 * 0.8, 0.8, 10 * 0.4))
    assert found.together == pytest.approx(one.volume)


def test_a_falling_trench_in_sloping_ground_that_it_comes_out_of() -> None:
    """Ground rises 0.1 a metre eastward; the bottom falls from 0.5 over it at the
    west end to 1.5 under it, 10 m east.
    """
    found = take_out([TrenchCut("a", (0, 0, 0.5), (10, 0, -0.5), 1.0)], [], Plane(0.0, 0.1, 0.0))
    (one,) = found.each
    assert one.area == pytest.approx(7.5, abs=0.2)
    assert one.volume == pytest.approx(7.5 * 1.5 / 2, rel=2e-3)


def test_two_that_cross_have_their_square_once_at_the_deepest() -> None:
    cuts = [TrenchCut("a", (-5, 0, -1.0), (5, 0, -1.0), 1.0), TrenchCut("b", (0, -5, -0.6), (0, 5, -0.6), 1.0)]
    found = take_out(cuts, [], LEVEL)
    assert sum(one.volume for one in found.each) == pytest.approx(10 + 6)
    assert found.together == pytest.approx(16 - 0.6, rel=3e-4)


def test_two_that_cross_askew_share_their_rhomb_at_the_less_deep() -> None:
    """The middle piece is a parallelogram: width times width over the sine of the angle between them."""
    cuts = [
        TrenchCut("a", (-5.3, -1.0, -1.0), (5.1, 1.0, -1.0), 0.5),
        TrenchCut("b", (0.2, -5, -0.6), (-0.3, 5, -0.6), 0.45),
    ]
    found = take_out(cuts, [], LEVEL)
    ways = [np.array([10.4, 2.0]), np.array([-0.5, 10.0])]
    (ax, ay), (bx, by) = (way / np.hypot(*way) for way in ways)
    shared = 0.5 * 0.45 / abs(ax * by - ay * bx) * 0.6
    whole = 0.5 * 1.0 * np.hypot(10.4, 2.0) + 0.45 * 0.6 * np.hypot(0.5, 10.0)
    assert sum(one.volume for one in found.each) == pytest.approx(whole)
    assert found.together == pytest.approx(whole - shared, rel=3e-4)


def test_a_trench_that_ends_in_an_upright_pit_shares_its_end() -> None:
    pit = Hole("pit", box_at((5.0, 0.13), (2.0, 1.5), 17), -1.2)
    trench = TrenchCut("a", (-4.0, 0.0, -0.7), (5.0, 0.0, -0.9), 0.45)
    found = take_out([trench, pit], [], LEVEL)
    over = trench.area.intersection(pit.foot)
    middle = np.array(over.centroid.coords[0])
    shared = over.area * (0.7 + 0.2 * (middle[0] + 4.0) / 9.0)  # its bottom is a plane: exact at the middle of the area
    whole = 0.45 * 9.0 * 0.8 + 2.0 * 1.5 * 1.2
    assert found.together == pytest.approx(whole - shared, rel=3e-4)


def test_what_a_pool_has_dug_is_not_dug_again() -> None:
    """An upright pool 1 m deep from x = -3 to 3: the trench takes 0.5 m more under it, and 1.5 m beside it."""
    pool = pool_of({"shape": "rectangle", "length": 6, "width": 6}, [(1.0, 0, 0)], bank_batter=0, freeboard=0)
    found = take_out([TrenchCut("a", (0, 0, -1.5), (6, 0, -1.5), 0.5)], [surfaces_of(pool).dig], LEVEL)
    assert found.each[0].volume == pytest.approx(0.5 * (3 * 0.5 + 3 * 1.5), rel=2e-2)


def test_without_any_nothing_is_dug() -> None:
    found = take_out([], [], LEVEL)
    assert (found.each, found.together) == ((), 0.0)


def test_distance_from_the_edge_of_a_cut_is_the_geometry_librarys() -> None:
    cut = TrenchCut("a", (1.0, 2.0, -1.0), (4.0, 3.5, -0.5), 0.8)
    places = np.random.default_rng(4).uniform((-1, 0), (6, 6), (400, 2))
    expected = shapely.distance(cut.area.boundary, shapely.points(places))
    assert cut.from_edge(places) == pytest.approx(expected, abs=1e-12)
