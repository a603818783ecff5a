"""Closed lines for pictures: they lie where the surface has their depth; the line
of a section.
"""

import numpy as np
import pytest

from pondkit.geometry.outline import Placed
from pondkit.geometry.site_surface import rim_rings, rings_at, section_line
from tests.by_grid import pit_of, pool_of, surfaces_of

TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]
PIT = pit_of((0.5, 0.3), {"shape": "circle", "diameter": 2}, [(1.4, 0, 0.4)], top=0.8)
POOL = pool_of(
    {"shape": "ellipse", "length": 8, "width": 5},
    TIERS,
    pits=[PIT],
    at=(3, -1),
    turn_deg=30,
    bank_batter=0.5,
    freeboard=0.2,
)
LAID = surfaces_of(POOL).finished
WAIST = [
    (-4, -1.5),
    (-1, -1.5),
    (-1, -0.4),
    (1, -0.4),
    (1, -1.5),
    (4, -1.5),
    (4, 1.5),
    (1, 1.5),
    (1, 0.4),
    (-1, 0.4),
    (-1, 1.5),
    (-4, 1.5),
]


@pytest.mark.parametrize("depth", [0.15, 0.3, 0.5, 0.8, 1.1])
def test_rings_lie_where_the_surface_has_their_depth(depth: float) -> None:
    for ring in rings_at(LAID, depth):
        found = LAID.surface.depth_at(LAID.placed.to_own(ring))
        assert found == pytest.approx(depth, abs=0.02)  # simplified to 2 thousandths of the pool's half width


def test_no_rings_deeper_than_the_pool() -> None:
    assert rings_at(LAID, 1.41) == ()


def test_a_floor_in_two_parts_has_two_rings() -> None:
    laid = surfaces_of(pool_of({"shape": "points", "smooth": False, "points": WAIST}, [(1.0, 0, 1)])).finished
    assert [len(rings_at(laid, depth)) for depth in (0.2, 0.6)] == [1, 2]


def test_the_rim_lies_freeboard_times_batter_outside() -> None:
    (ring,) = rim_rings(LAID)
    away = LAID.surface.pool.shape.inward(LAID.placed.to_own(ring))
    assert away == pytest.approx(-0.1, abs=0.01)


def test_a_section_of_one_pool_runs_along_it_from_west_to_east() -> None:
    start, end = section_line([LAID])
    assert np.degrees(np.arctan2(end[1] - start[1], end[0] - start[0])) == pytest.approx(
        30, abs=1
    )  # of an ellipse with 512 corners
    assert np.hypot(end[0] - start[0], end[1] - start[1]) == pytest.approx(8 * 1.16, rel=1e-2)
    assert (np.array(start) + np.array(end)) / 2 == pytest.approx([3, -1], abs=0.02)


def test_a_section_of_several_pools_runs_through_the_middles_of_the_two_largest() -> None:
    small = surfaces_of(pool_of({"shape": "circle", "diameter": 1}, TIERS, at=(0, 20))).finished
    other = surfaces_of(pool_of({"shape": "circle", "diameter": 4}, TIERS, at=(-6, 4))).finished
    start, end = section_line([small, LAID, other])
    axis = Placed(start[0], start[1], float(np.degrees(np.arctan2(end[1] - start[1], end[0] - start[0]))))
    assert axis.to_own(np.array([[3.0, -1.0], [-6.0, 4.0]]))[:, 1] == pytest.approx([0, 0], abs=0.05)
    assert start[0] < end[0]
