"""How a machine stands to a hole with a level bottom: right angles by hand."""

import pytest

from pondkit.geometry.hole import Hole, box_at
from pondkit.geometry.machine import approach, crosses

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
