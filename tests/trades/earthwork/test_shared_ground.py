"""Ground that several digs share is dug once: digs that reach each other only in part, against a fine grid."""

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from pondkit.geometry.hole import Hole
from pondkit.geometry.outline import shape_of
from pondkit.geometry.terrain import Plane
from pondkit.geometry.trench import TrenchCut, take_out, tops
from tests.by_grid import cells, dig_track, distance, option_of, pool_of

BANK = {"bank_batter": 1.0, "freeboard": 0.2}


def pool(name: str, east: float, deep: float):  # type: ignore[no-untyped-def]
    return pool_of({"shape": "circle", "diameter": 2}, [(deep, 0, 0.5)], name=name, at=[east, 0], **BANK)


def test_three_pools_in_a_row_share_what_their_banks_have_in_common_and_no_more() -> None:
    """The banks of the first two run into each other, those of the last two only where the ground
    stands higher; the ends never meet.
    """
    pools = (pool("west", 0, 1.0), pool("middle", 2.6, 0.6), pool("east", 5.4, 0.8))
    ground = {"kind": "plane", "level": 0.5, "fall": 0.04, "toward_deg": 0}  # falls northward
    step = 0.02
    points = cells(np.array([-2.5, -2.5]), np.array([8.0, 2.5]), step)
    stands = 0.5 - 0.04 * points[:, 1]
    lows = [
        np.interp(distance(translate(shape_of(one.outline).polygon, *map(float, one.at)), points), *dig_track(one, 0.0))
        for one in pools
    ]
    digs = [np.maximum(stands + low, 0.0) for low in lows]
    whole, alone = (float(np.sum(each)) * step**2 for each in (np.maximum.reduce(digs), np.sum(digs, axis=0)))
    overlaps = [
        float(np.sum(np.minimum(a, b))) * step**2
        for a, b in ((digs[0], digs[1]), (digs[1], digs[2]), (digs[0], digs[2]))
    ]
    assert overlaps[0] > 4 * overlaps[1] > 0 == overlaps[2]
    found = option_of(*pools, ground=ground)
    assert found.earthwork.dig_volume
    assert sum(figure.value for figure in found.earthwork.pool_dig_volume) == pytest.approx(alone, rel=5e-4)
    assert alone - found.earthwork.dig_volume.value == pytest.approx(alone - whole, rel=2e-2)


def test_a_trench_a_crossing_one_and_a_hole_that_overlap_in_part_are_dug_once() -> None:
    """The second trench falls from over the first one's bottom to under it; the hole
    takes in the crossing only in part.
    """
    ground = Plane(0.0, 0.0, 0.0)
    cuts = [
        TrenchCut("along", (-3.0, 0.0, -0.8), (3.0, 0.0, -0.8), 0.6),
        TrenchCut("across", (-1.0, -2.0, -0.4), (1.0, 2.0, -1.2), 0.5),
        Hole("hole", shapely.box(0.1, -1.0, 1.6, 0.1), -0.6),
    ]
    step = 0.01
    points = cells(np.array([-3.5, -3.0]), np.array([3.5, 3.0]), step)
    deep = [np.maximum(-one.level_at(points), 0.0) for one in cuts]
    whole = float(np.sum(np.maximum.reduce(deep))) * step**2
    found = take_out(tops(cuts, [], ground))
    for one, low in zip(found.each, deep, strict=True):
        assert one.volume == pytest.approx(float(np.sum(low)) * step**2, rel=5e-3), one.name
    shared = sum(one.volume for one in found.each) - found.together
    assert shared == pytest.approx(float(np.sum(deep)) * step**2 - whole, rel=2e-2)
