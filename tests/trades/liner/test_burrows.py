"""Pads against burrowing: the liner's true area in a zone, by hand for a box with faces at 45 degrees."""

import math
from typing import Any

import pytest

from pondkit.study.evaluate import OptionResult
from tests.by_grid import option_of, pit_of, pool_of

# Outlines of a box moved inward stay boxes: 6 x 4 m at the waterline, 5.4 x 3.4 m at the foot of the first face,
# 4.4 x 2.4 m at the end of its shelf.
FACE, SHELF = (6 * 4 - 5.4 * 3.4) * math.sqrt(2), 5.4 * 3.4 - 4.4 * 2.4


def lined(*burrows: dict[str, Any], **more: Any) -> OptionResult:
    pool = pool_of({"shape": "rectangle", "length": 6, "width": 4}, [(0.3, 0.5, 1.0), (0.8, 0, 0.5)], **more)
    return option_of(pool, lining={"liners": [{"name": "main", "covers": ["pool"]}], "burrows": burrows})


def pads(result: OptionResult) -> dict[str, float]:
    assert result.lining
    return {figure.subject: figure.value for figure in result.lining.extras.burrow_pad_area}


def test_a_zone_is_its_face_and_its_shelf_by_their_true_area() -> None:
    found = pads(lined({"pool": "pool", "zone": "zone 0"}))
    assert found == {"pool / zone 0": pytest.approx(FACE + SHELF, rel=1e-4)}


def test_a_stretch_is_its_share() -> None:
    found = pads(lined({"pool": "pool", "zone": "zone 0", "stretch": "25 %"}))
    assert found["pool / zone 0"] == pytest.approx((FACE + SHELF) / 4, rel=1e-4)


def test_a_pit_is_a_frustum_and_its_floor() -> None:
    """1 m across at 0.8 m, 0.76 m at 1.2 m: pi (R + r) times the slant, and the round floor."""
    pits = [pit_of((0, 0), {"shape": "circle", "diameter": 1}, [(1.2, 0, 0.3)], top=0.8)]
    found = pads(lined({"pool": "pool", "zone": "pit 0"}, pits=pits))
    whole = math.pi * (0.5 + 0.38) * 0.4 * math.hypot(1, 0.3) + math.pi * 0.38**2
    assert found["pool / pit 0"] == pytest.approx(whole, rel=1e-3)


@pytest.mark.parametrize(
    ("burrow", "field", "says"),
    [
        ({"pool": "pond", "zone": "zone 0"}, "pool", "no pool is called 'pond'"),
        ({"pool": "pool", "zone": "marsh"}, "zone", "no zone is called 'marsh'"),
    ],
)
def test_a_zone_that_is_not_there_is_named_and_the_liner_stands(burrow: dict[str, Any], field: str, says: str) -> None:
    result = lined(burrow)
    (problem,) = result.problems
    assert problem.path == ("lining", "burrows", 0, field)
    assert says in problem.given.text
    assert result.lining and result.lining.liners and not pads(result)


def test_what_fabric_does_not_stop_is_said() -> None:
    result = lined({"pool": "pool", "zone": "zone 0"})
    assert result.lining and "does not stop" in result.lining.extras.burrow_pad_area[0].cautions[0].text
