"""How placed stones lie where no bearing is entered: by hand on a round pool, whose
shelf runs from 9.625 to 14.625 ft out.
"""

import json
from typing import Any

import pytest

from pondkit import load
from pondkit.core.entry import Entry
from pondkit.core.remembered import Memory
from pondkit.drawing.rows import say
from pondkit.study.evaluate import OptionResult, evaluate
from tests.designs import option, pool, small
from tests.memory import asked
from tests.trades.stone.test_bearing import BLOCK, SHELF

INCH = 0.0254


def found(
    *places: float, tiers: Any = None, bearing: dict[str, Any] | None = None, more: Any = (), **changes: Any
) -> OptionResult:
    spots = [[f"{x} ft", "0 ft"] for x in places]
    drawn = BLOCK | {"pool": "pond", "count": max(len(spots), 1), "places": spots} | changes
    pools = [pool("pond", outline={"shape": "circle", "diameter": "30 ft"}, tiers=tiers or SHELF)]
    stone = {"boulders": [drawn, *more]} | ({"bearing": bearing} if bearing is not None else {})
    data = small(options=[option(pools=pools, stone=stone)])
    return evaluate(load(json.dumps(data).encode())).options[0]


def seats(result: OptionResult) -> dict[str, Entry]:
    return {figure.subject: figure for figure in result.seating.stand_spare} if result.seating else {}


def said(figure: Entry) -> str:
    return " ".join(say(words, "us") for words in figure.cautions)


def test_a_stone_in_the_middle_of_a_wide_shelf_needs_no_word() -> None:
    figure = seats(found(12))["slab 1"]
    assert figure.value == pytest.approx((60 - 30) * INCH) and not figure.cautions


@pytest.mark.parametrize(
    ("place", "words", "short"),
    [
        (14.8, "lies on a face of 'pond'", None),
        (10.0, "overhangs the front of its shelf in 'pond'", 10.5),  # 4.5 in to the front, 15 in of stone
        (14.0, "into the face behind, in 'pond'", 7.5),  # 7.5 in to the face
        (9.0, "lies on a face of 'pond'", None),  # of the tier below
    ],
)
def test_a_stone_on_a_face_over_a_front_or_into_a_face_is_said(place: float, words: str, short: float | None) -> None:
    result = found(place)
    figure = seats(result)["slab 1"]
    assert words in said(figure) and not result.problems
    (caution,) = figure.cautions
    told = [term.value for term in caution.terms]
    assert told == ([] if short is None else [pytest.approx(short * INCH, abs=0.005 * INCH)])  # the ring has corners


def test_a_shelf_and_a_floor_that_are_too_narrow_are_said() -> None:
    narrow = [SHELF[0] | {"shelf": "20 in"}, SHELF[1]]
    figure = seats(found(14, tiers=narrow))["slab 1"]
    assert figure.value == pytest.approx(-10 * INCH) and "shelf of 'pond' is narrower" in said(figure)
    # 15 ft less a face of 14 ft leaves a floor of 2 ft
    deep = [{"zone": "deep", "depth": "7 ft", "batter": 2}]
    wide = found(0, tiers=deep, axes=["40 in", "30 in", "30 in"])
    assert "floor of 'pond' is narrower" in said(seats(wide)["slab 1"])
    assert seats(wide)["slab 1"].value == pytest.approx((2 * 12 - 30) * INCH, abs=0.005 * INCH)


def test_stones_beyond_the_rim_on_others_or_without_a_place_lie_on_no_shelf() -> None:
    assert not seats(found(30))
    assert not seats(found())
    top = BLOCK | {"name": "top", "pool": "pond", "rests_on": "slab", "places": [["14.8 ft", "0 ft"]]}
    assert set(seats(found(12, more=[top]))) == {"slab 1"}


def test_a_stone_of_no_pool_is_told_by_the_one_it_lies_in() -> None:
    assert "on a face of 'pond'" in said(seats(found(14.8, pool=None))["slab 1"])
    assert "on a face of 'pond'" in said(seats(found(14.8, pool=None, bearing={}))["slab 1"])


def test_with_bearing_the_place_is_refused_instead_and_where_no_pressure_holds_it_is_still_said() -> None:
    refused = found(14.8, bearing={})
    assert not seats(refused)
    assert any("lies on a face" in problem.given.text for problem in refused.problems)
    mud = found(14.8, bearing={"ground": "mud, organic soil, peat, fresh fill"})
    assert "lies on a face" in said(seats(mud)["slab 1"])


def test_a_tier_that_moves_no_shelf_works_no_seat_out_again() -> None:
    from pondkit.project.files import put

    pools = [pool("pond", outline={"shape": "circle", "diameter": "30 ft"}, tiers=SHELF)]
    stone = {"boulders": [BLOCK | {"pool": "pond", "places": [["12 ft", "0 ft"]]}]}
    project = load(json.dumps(small(options=[option(pools=pools, stone=stone)])).encode())
    memory = Memory()
    asked(project, memory)
    memory.worked.clear()
    asked(put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in"), memory)
    assert "seating_figures" not in memory.worked
