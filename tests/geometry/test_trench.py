"""Trenches and pits: closed forms on level and sloping ground, under a dig, and where two lie over each other."""

from typing import Any

import numpy as np
import pytest
import shapely

from pondkit.geometry.hole import Hole, box_at
from pondkit.geometry.terrain import Plane
from pondkit.geometry.trench import CutMap, TrenchCut, cut_map
from tests.by_grid import option_of, pool_of, surfaces_of, take_out

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


POOL = pool_of(
    {"shape": "ellipse", "length": 8, "width": 5},
    [(0.3, 0.5, 0.5), (0.8, 0, 0.6)],
    bank_batter=1.0,
    freeboard=0.3,
    level=0.1,
)


@pytest.mark.parametrize(
    "ground",
    [
        {"kind": "level", "level": 0.2},
        {"kind": "plane", "level": 0.2, "fall": 0.06, "toward_deg": 70},
        {"kind": "level", "level": -0.4},
    ],
)
def test_the_map_adds_up_to_cut_and_fill(ground: dict[str, Any]) -> None:
    found = option_of(POOL, ground=ground)
    (pool,) = found.pools
    assert pool.ground and found.land.terrain and found.earthwork.dig_volume and found.earthwork.fill_volume
    made: CutMap = cut_map([pool.surfaces.dig], [pool.ground.reach], found.land.terrain)
    cell = (made.east[1] - made.east[0]) ** 2
    assert np.nansum(np.maximum(made.depth, 0)) * cell == pytest.approx(found.earthwork.dig_volume.value, rel=5e-3)
    assert -np.nansum(np.minimum(made.depth, 0)) * cell == pytest.approx(
        found.earthwork.fill_volume.value, rel=3e-2
    )  # whole cells at the rim line


def test_depths_at_a_place_and_nothing_beyond_the_dig() -> None:
    found = option_of(POOL, ground={"kind": "level", "level": 0.2})
    (pool,) = found.pools
    assert pool.ground and found.land.terrain
    made = cut_map([pool.surfaces.dig], [pool.ground.reach], found.land.terrain)
    middle = made.depth[len(made.north) // 2, len(made.east) // 2]
    assert middle == pytest.approx(0.9)  # 0.8 m under a waterline 0.1 m under the ground
    assert np.isnan(made.depth[0, 0])


def test_trenches_are_cut_in_it_as_deep_as_they_are_dug() -> None:
    """A level trench 1 m wide away from the pool, across the grid: its bottom 0.5 m
    under level ground, its ends upright.
    """
    found = option_of(POOL, ground={"kind": "level", "level": 0.2})
    (pool,) = found.pools
    assert pool.ground and found.land.terrain
    trench = TrenchCut("t", (6.0, 3.0, -0.3), (9.0, 7.0, -0.3), 1.0)
    plain, made = (
        cut_map([pool.surfaces.dig], [pool.ground.reach], found.land.terrain, cuts) for cuts in ((), (trench,))
    )
    cells = [(each.east[1] - each.east[0]) ** 2 for each in (plain, made)]
    dug = [float(np.nansum(np.maximum(each.depth, 0))) * cell for each, cell in zip((plain, made), cells, strict=True)]
    # 5 m long (3, 4, 5), 1 m wide, 0.5 m deep.
    assert dug[1] - dug[0] == pytest.approx(2.5, rel=0.06)
    at = made.depth[np.argmin(abs(made.north - 5.0)), np.argmin(abs(made.east - 7.5))]
    assert at == pytest.approx(0.5) and made.east[-1] > 9.3
