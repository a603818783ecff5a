"""Banks outside the rim lines: a closed form on level ground, a grid of two pools on falling
ground, and what they take off the spoil.
"""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from pondkit.geometry.outline import shape_of
from pondkit.study.evaluate import OptionResult
from tests.by_grid import cells, option_of, pool_of

CLAY = {"bank_crest": "0.5 m", "bank_slope": 2}


def found(result: OptionResult) -> dict[str, float]:
    assert result.earth
    return {f"{key} {figure.subject}".strip(): figure.value for key, figure in result.earth.entries()}


def test_round_a_round_pool_it_is_a_frustum_less_the_cylinder_within_the_rim() -> None:
    """Smith's frustum, pi h (R² + R r + r²) / 3; the rim stands 0.6 m over level ground, its bank is upright."""
    pool = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], bank_batter=0, freeboard=0.2, level=0.4)
    at = found(option_of(pool, earth=CLAY))
    rim, crest = 3.0, 3.5
    toe = crest + 2 * 0.6
    whole = math.pi * 0.6 * (crest**2 + crest * toe + toe**2) / 3 - math.pi * rim**2 * 0.6
    assert at["outer_bank_volume pool"] == pytest.approx(whole, rel=1e-3)
    assert at["total_outer_bank"] == pytest.approx(whole, rel=1e-3)


def pools() -> tuple[Any, Any]:
    upper = pool_of(
        {"shape": "ellipse", "length": 5, "width": 4},
        [(1.2, 0, 0.5)],
        bank_batter=0.5,
        freeboard=0.1,
        level=0.35,
        at=[4.3, 0.5],
        name="upper",
    )
    lower = pool_of(
        {"shape": "rectangle", "length": 4, "width": 3},
        [(1.0, 0, 0.5)],
        bank_batter=0.5,
        freeboard=0.1,
        level=0.2,
        at=[-1.0, 0],
        name="lower",
    )
    return upper, lower


FALLS = {"kind": "plane", "level": 0, "fall": 0.05, "toward_deg": 90}


def test_two_on_falling_ground_are_those_of_a_fine_grid_and_share_what_lies_over_what() -> None:
    step, slope, crest = 0.04, 2.0, 0.5
    points = cells(np.array([-8.0, -7.0]), np.array([14.0, 8.0]), step)
    ground = -0.05 * points[:, 0]
    outlines = [translate(shape_of(pool.outline).polygon, *map(float, pool.at)) for pool in pools()]
    rims = [outline.buffer(0.5 * 0.1, quad_segs=64) for outline in outlines]  # the freeboard on a bank of 0.5
    outside = ~shapely.contains_xy(shapely.union_all(rims), points[:, 0], points[:, 1])
    high = []
    for rim, top in zip(rims, (0.45, 0.3), strict=True):
        away = np.maximum(shapely.distance(rim, shapely.points(points)) - crest, 0.0)
        high.append(np.where(outside, np.maximum(top - away / slope - ground, 0.0), 0.0))
    alone = [float(one.sum()) * step**2 for one in high]
    together = float(np.maximum(*high).sum()) * step**2
    at = found(option_of(*pools(), ground=FALLS, earth=CLAY))
    assert at["outer_bank_volume upper"] == pytest.approx(alone[0], rel=2e-3)
    assert at["outer_bank_volume lower"] == pytest.approx(alone[1], rel=2e-3)
    assert at["total_outer_bank"] == pytest.approx(together, rel=2e-3)
    assert together < 0.99 * sum(alone)


def test_the_spoil_loses_what_it_takes_and_nothing_where_it_is_not_asked_for() -> None:
    pool = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], bank_batter=0, freeboard=0.1, level=0.1)
    bare, built = (found(option_of(pool, earth=earth)) for earth in ({}, CLAY))
    assert "total_outer_bank" not in bare
    assert bare["left_bank"] - built["left_bank"] == pytest.approx(built["total_outer_bank"] / 0.9)


def test_pools_that_lie_in_the_ground_have_none() -> None:
    deep = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], level=-0.5)
    at = found(option_of(deep, earth=CLAY))
    assert at["total_outer_bank"] == 0
    assert not any(key.startswith("outer_bank_volume") for key in at)


def test_a_bank_that_never_comes_down_is_named() -> None:
    (problem,) = option_of(*pools(), ground=FALLS | {"fall": 0.15}, earth=CLAY | {"bank_slope": 8}).problems
    assert problem.path == ("earth", "bank_slope")
    assert "does not meet the ground" in problem.given.text
