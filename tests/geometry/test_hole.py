"""Holes with sloped sides against closed forms, on level ground and on a plane; strips beside a line."""

import math

import numpy as np
import pytest
import shapely

from pondkit.geometry.hole import Hole, approach, box_at, crosses, edge_of, reach_of, strip_beside
from pondkit.geometry.terrain import Plane, TooSteep
from pondkit.geometry.trench import TrenchCut
from tests.by_grid import take_out

LEVEL = Plane(0.0, 0.0, 0.0)


def hole(length: float, width: float, deep: float, batter: float, turn: float = 0.0, ground: Plane = LEVEL) -> Hole:
    own = Hole("a", box_at((3.0, -2.0), (length, width), turn), -deep, batter)
    return Hole("a", own.foot, own.bottom, batter, reach_of(own, ground))


@pytest.mark.parametrize("turn", [0.0, 31.0])
@pytest.mark.parametrize(("deep", "batter"), [(0.9, 0.0), (0.9, 0.5), (1.6, 1.5)])
def test_a_hole_in_level_ground_is_a_box_with_a_bank_all_round_and_rounded_corners(
    deep: float, batter: float, turn: float
) -> None:
    """Steiner's formula for the area of a box moved out by b z, integrated over z."""
    long, wide = 2.0, 1.2
    whole = long * wide * deep + (long + wide) * batter * deep**2 + math.pi * batter**2 * deep**3 / 3
    (one,) = take_out([hole(long, wide, deep, batter, turn)], [], LEVEL).each
    assert one.volume == pytest.approx(whole, rel=1e-3)
    assert one.deepest == pytest.approx(deep, rel=1e-3)
    out = batter * deep
    assert one.area == pytest.approx(long * wide + 2 * (long + wide) * out + math.pi * out**2, rel=2e-3)


def test_an_upright_hole_in_falling_ground_takes_the_depth_at_its_middle() -> None:
    ground = Plane(0.2, 0.1, -0.05)
    (one,) = take_out([hole(2.0, 1.2, 1.0, 0.0, 20.0)], [], ground).each
    assert one.volume == pytest.approx(2.4 * (0.2 + 0.1 * 3 + 0.05 * 2 + 1.0), rel=1e-9)


@pytest.mark.parametrize("fall", [0.0, 0.1, 0.3])
def test_the_edge_lies_where_sides_and_falling_ground_meet(fall: float) -> None:
    ground = Plane(0.0, fall, 0.0)
    own = hole(2.0, 1.0, 1.0, 1.0, ground=ground)
    (edge,) = edge_of(own, ground)
    high = ground.at(edge.points)
    away = shapely.distance(own.foot, shapely.points(edge.points))
    assert np.abs(away - (high - own.bottom)).max() < 2e-3
    # Uphill of the foot's upper side the sides gain (1 - fall) on the ground for each metre out.
    assert away.max() <= own.reach + 2e-3
    assert float(edge.points[:, 0].max()) == pytest.approx(4.0 + (1.0 + fall * 4.0) / (1 - fall), abs=2e-3)


def test_sides_that_never_meet_rising_ground_are_too_steep_for_it() -> None:
    with pytest.raises(TooSteep):
        hole(2.0, 1.0, 1.0, 2.0, ground=Plane(0.0, 0.5, 0.0))


def test_two_holes_and_a_trench_have_what_they_share_once() -> None:
    """A trench 0.4 m wide and 0.5 m deep runs 1 m into a hole 1 m deep; another hole
    0.6 m deep overlaps it by 0.5 x 1 m.
    """
    holes = [Hole("a", box_at((0, 0), (2, 1), 0), -1.0), Hole("b", box_at((1.5, 0), (2, 1), 0), -0.6)]
    found = take_out([*holes, TrenchCut("t", (0.0, 3.0, -0.5), (0.0, 0.0, -0.5), 0.4)], [], LEVEL)
    assert sum(one.volume for one in found.each) == pytest.approx(2 + 1.2 + 0.6)
    assert found.together == pytest.approx(2 + 1.2 + 0.6 - 0.5 * 0.6 - 0.5 * 0.4 * 0.5, rel=1e-2)


def test_a_round_body_has_the_area_of_its_ellipse() -> None:
    assert box_at((1, 1), (2, 1.5), 12, oval=True).area == pytest.approx(math.pi * 2 * 1.5 / 4, rel=1e-9)


def test_a_strip_lies_beside_its_line_with_mitred_bends() -> None:
    """Legs of 4 m along x and 3 m along y to the left of it: the strip is on the
    inner side, so its bend counts once.
    """
    found = strip_beside([(0, 0), (4, 0), (4, 3)], 0.0, 0.5, 0.0)
    assert found is not None and found.area == pytest.approx((4 + 3) * 0.5 - 0.25)
    both = strip_beside([(0, 0), (4, 0)], 0.2, 0.7, 0.2)
    assert both is not None and both.area == pytest.approx(4.4 * 0.9)
    assert both.bounds == pytest.approx((-0.2, -0.2, 4.2, 0.7))


@pytest.mark.parametrize("points", [[(0, 0)], [(0, 0), (0, 0)], [(0, 0), (4, 0), (4, 2), (2, -2)]])
def test_a_line_that_is_none_has_no_strip(points: list[tuple[float, float]]) -> None:
    assert strip_beside(points, 0.0, 0.5, 0.0) is None


BOX = box_at((0.0, 0.0), (2.0, 1.0), 0.0)  # from -1 to 1 and from -0.5 to 0.5


def test_an_upright_hole_asks_for_room_from_the_foot_of_its_side() -> None:
    near = approach(Hole("a", BOX, -1.5), (4.0, 0.0), 0.5, 1.0)
    assert (near.outside, near.to_place, near.depth, near.to_edge) == pytest.approx((3.0, 3.0, 2.0, 3.0))


def test_sides_flatter_than_the_soil_stands_ask_for_room_from_their_edge() -> None:
    """2 m deep at 1.25 to 1 the sides come up 2.5 m out of the foot, 0.5 m before the machine."""
    own = Hole("a", BOX, -1.5, 1.25, 2.5)
    near = approach(own, (4.0, 0.0), 0.5, 1.0)
    assert (near.outside, near.to_place, near.depth, near.to_edge) == pytest.approx((0.5, 0.5, 0.0, 0.5))
    steep = approach(own, (4.0, 0.0), 0.5, 1.5)
    assert (steep.to_place, steep.depth, steep.to_edge) == pytest.approx((3.0, 2.0, 0.5))


def test_a_machine_in_a_hole_is_inside_it() -> None:
    assert approach(Hole("a", BOX, -1.0), (0.5, 0.2), 0.0, 1.0).outside < 0
    assert approach(Hole("a", BOX, -1.0, 1.0, 1.0), (1.5, 0.0), 0.0, 1.5).outside == pytest.approx(-0.5)


def test_a_hole_over_the_machines_ground_asks_for_no_slope() -> None:
    near = approach(Hole("a", BOX, 1.0), (4.0, 0.0), 0.0, 1.0)
    assert (near.depth, near.to_edge) == pytest.approx((0.0, 3.0))


def test_a_way_that_comes_nearer_than_half_the_machine_crosses_the_hole() -> None:
    own = Hole("a", BOX, -1.0, 1.0, 1.0)
    assert crosses(own, (-5.0, 2.0), (5.0, 2.0), 0.6)
    assert not crosses(own, (-5.0, 2.0), (5.0, 2.0), 0.4)
