"""Stones over other works on the plan: distances by hand to a mouth, a pipe, a den, a body and the edge of a pit."""

from typing import Any

import pytest

from pondkit.core.entry import Entry
from pondkit.trades.clearances import cautions as rules
from tests.cautions import cases, edge, told
from tests.trades.tunnels.sketch import POOL, figures, sketch

# Out of the west end of the pool's 8 m, straight to a den of 0.6 x 0.45 m; 4 in pipe is 4.5 in outside (ASTM D1785).
NODES: Any = [
    ("door", "mouth", (-3.7, 0.0, -0.6)),
    ("bend", "junction", (-6.0, 0.0, -0.6)),
    ("den", "chamber", (-12.0, 0.0, -0.6)),
]
RUNS = [("door", "bend"), ("bend", "den")]
HALF_PIPE = 4.5 * 0.0254 / 2
SLAB = {"name": "slab", "axes": ["1 m", "0.8 m", "0.5 m"], "axes_within": 0, "form": "block"}
PIT = {
    "at": [2, 0],
    "outline": {"shape": "circle", "diameter": 1.6},
    "tiers": [{"zone": "winter", "depth": 1.5, "batter": 0.2}],
}


def over(x: float, y: float, **option: Any) -> Entry:
    """A block of 1 x 0.8 m, its length eastward, with its middle at a place."""
    stone = {"boulders": [SLAB | {"places": [[x, y]]}]}
    result = sketch(NODES, RUNS, pools=[POOL | {"pits": [PIT]}], option={"stone": stone} | option)
    return figures(result, "boulders_on_works")[""]


def test_a_stone_over_a_pipe_a_mouth_or_a_den_is_named() -> None:
    edge(rules.STONE_ON_PIPE, lambda y: over(-8.0, y), inside=0.4 + HALF_PIPE + 0.004, outside=0.4 + HALF_PIPE - 0.004)
    # the mouth lies on the face at 0.6 m depth, 0.3 m in from the outline: half the slab's length, and half a pipe
    edge(
        rules.STONE_ON_MOUTH,
        lambda x: over(x, 0.0),
        inside=-3.7 - 0.5 - HALF_PIPE - 0.04,
        outside=-3.7 - 0.5 - HALF_PIPE + 0.04,
    )
    found = over(-8.0, 0.0)
    assert found.value == 1
    assert "slab 1 on bend – den" in told(found)["stone_on_pipe"].text
    # a den 0.45 m wide inside, with walls of 1 in
    edge(
        rules.STONE_ON_DEN,
        lambda y: over(-12.3, y),
        inside=0.4 + 0.225 + 0.0254 + 0.006,
        outside=0.4 + 0.225 + 0.0254 - 0.006,
    )


def test_a_stone_wholly_below_a_mouth_is_not_named() -> None:
    """At the foot of an upright face, on a floor at 1.2 m: the mouth's lower edge lies half a pipe under 0.6 m, so that
    a stone of 0.6 m less half a pipe stands below it. Over the pipe itself it is none.
    """

    def as_high(height: float, within: float = 0.0) -> Entry:
        block = SLAB | {"axes": ["1 m", "0.8 m", height], "axes_within": within, "pool": "pool", "places": [[-3.47, 0]]}
        upright = {"tiers": [{"zone": "deep", "depth": 1.2, "batter": 0}], "bank_batter": 0}
        result = sketch(NODES, RUNS, pools=[POOL | upright], option={"stone": {"boulders": [block]}})
        return figures(result, "boulders_on_works")[""]

    free = 0.6 - HALF_PIPE
    edge(rules.STONE_ON_MOUTH, as_high, inside=free - 0.004, outside=free + 0.004)
    edge(rules.STONE_ON_MOUTH, lambda h: as_high(h, 0.1), inside=(free - 0.004) / 1.1, outside=(free + 0.004) / 1.1)


def test_a_stone_over_the_edge_of_a_pit_is_named_and_one_within_it_is_not() -> None:
    edge(rules.STONE_OVER_PIT_EDGE, lambda x: over(x, 0.0), inside=2 - 0.8 - 0.5 - 0.006, outside=2 - 0.8 - 0.5 + 0.006)
    small = {"boulders": [SLAB | {"axes": ["0.5 m", "0.4 m", "0.3 m"], "places": [[2, 0]]}]}
    assert over(0, 0, stone=small).value == 0


def test_a_stone_on_a_filter_is_named() -> None:
    clean = {"plan_size": ["1 m", "1 m"], "at": [0, 8], "underside": "-1 m", "rim": "0.2 m"}
    water = {"filter": clean}
    edge(
        rules.STONE_ON_BODY,
        lambda y: over(0.0, y, water=water),
        inside=8 - 0.5 - 0.4 - 0.01,
        outside=8 - 0.5 - 0.4 + 0.01,
    )
    assert "slab 1 on filter" in told(over(0.0, 8.0, water=water))["stone_on_body"].text


def test_without_a_place_or_anything_to_stand_on_there_is_no_figure() -> None:
    bare = sketch(NODES, RUNS, option={"stone": {"boulders": [SLAB]}})
    assert not figures(bare, "boulders_on_works")
    cases(rules.STONE_ON_PIPE, without=over(0.0, 2.5), with_it=over(-8.0, 0.0))


@pytest.mark.parametrize(("count", "listed"), [(12, ""), (14, "; and 2 more")])
def test_of_many_pairs_twelve_are_named(count: int, listed: str) -> None:
    stone = {"boulders": [SLAB | {"count": count, "places": [[-8.0, 0.0]] * count}]}
    text = told(over(0, 0, stone=stone))["stone_on_pipe"].text
    assert text.count("slab") == 12
    assert listed in text
