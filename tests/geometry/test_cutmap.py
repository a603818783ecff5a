"""The map of cut and fill: depths at places, and its sum against the volumes worked out by slices."""

from typing import Any

import numpy as np
import pytest

from pondkit.geometry.cutmap import CutMap, cut_map
from pondkit.geometry.trench import TrenchCut
from tests.by_grid import option_of, pool_of

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
    assert pool.ground and found.land.terrain and found.totals.dig_volume and found.totals.fill_volume
    made: CutMap = cut_map([pool.surfaces.dig], [pool.ground.reach], found.land.terrain)
    cell = (made.east[1] - made.east[0]) ** 2
    assert np.nansum(np.maximum(made.depth, 0)) * cell == pytest.approx(found.totals.dig_volume.value, rel=5e-3)
    assert -np.nansum(np.minimum(made.depth, 0)) * cell == pytest.approx(
        found.totals.fill_volume.value, rel=3e-2
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
