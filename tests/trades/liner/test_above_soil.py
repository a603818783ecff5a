"""The turned-up edge against the ground beside it: by hand on level ground and a
slope, and against an own dense line.
"""

import math
from typing import Any

import pytest

from pondkit.study.evaluate import OptionResult
from tests.trades.liner.test_extras import design, figures

UP = {"edge_kind": "turned up", "edge_back": "50 cm", "edge_rise": "15 cm"}


def ground(**fields: Any) -> dict[str, Any]:
    return {"ground": {"kind": "plane", "level": 0, "fall": 0, "toward_deg": 90} | fields}


def above(found: OptionResult) -> dict[str, Any]:
    return figures(found, "edge_above_soil")


def test_over_level_ground_it_stands_by_rim_and_rise() -> None:
    found = above(design(UP, site=ground(level=0.05)))
    # The rim of 'low' lies 0.1 m up.
    assert found["a / low"].value == pytest.approx(0.1 + 0.15 - 0.05) and not found["a / low"].cautions


def test_higher_ground_is_said_with_how_much_and_where() -> None:
    # Downhill toward the west by 1 in 10: at x = 3.5, where the liner is turned up, it stands 0.35 m up.
    figure = above(design(UP, site=ground(fall=0.1, toward_deg=270)))["a / low"]
    assert figure.value == pytest.approx(0.25 - 0.35, abs=1e-4)
    said = next(c for c in figure.cautions if "highest" in c.text)
    terms = {term.name: term.value for term in said.terms}
    assert terms["under"] == pytest.approx(0.1, abs=1e-4)
    assert terms["east"] == pytest.approx(3.5, abs=1e-3) and terms["north"] == pytest.approx(0, abs=0.1)
    assert any("draws and washes water" in c.text for c in figure.cautions)


def test_a_little_lower_than_the_edge_is_not_said() -> None:
    figure = above(design(UP | {"edge_rise": "26 cm"}, site=ground(fall=0.1, toward_deg=270)))["a / low"]
    assert figure.value == pytest.approx(0.01, abs=1e-3) and not figure.cautions


def test_where_a_pool_of_the_same_liner_lies_no_ground_is_looked_at() -> None:
    near = [
        {
            "name": "low",
            "level": 0,
            "freeboard": 0.1,
            "bank_batter": 0,
            "outline": {"shape": "circle", "diameter": 6},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0}],
        },
        {
            "name": "high",
            "level": 0,
            "freeboard": 0.1,
            "bank_batter": 0,
            "at": [4.5, 0],
            "outline": {"shape": "circle", "diameter": 2},
            "tiers": [{"zone": "deep", "depth": 0.4, "batter": 0}],
        },
    ]
    lining = UP | {"liners": [{"name": "a", "covers": ["low", "high"]}]}
    figure = above(design(lining, pools=near, site=ground(fall=0.1, toward_deg=270)))["a / low"]
    # Of the circle of 3.5 m only what lies outside that of 1 m round (4.5, 0): by the circles' crossing.
    x = (3.5**2 - 1 + 4.5**2) / (2 * 4.5)
    assert figure.value == pytest.approx(0.25 - 0.1 * x, abs=5e-3)


def test_uneven_ground_against_an_own_line() -> None:
    def level(x: float, y: float) -> float:
        return 0.2 * math.sin(x) + 0.1 * math.cos(y)

    points = [[x, y, level(x, y)] for x in range(-14, 15) for y in range(-8, 9)]
    found = above(design(UP, site={"ground": {"kind": "points", "points": points}}))
    # The survey's own triangles differ from the smooth surface by at most an eighth of curvature times spacing squared.
    own = max(level(3.5 * math.cos(t), 3.5 * math.sin(t)) for t in [2 * math.pi * i / 5000 for i in range(5000)])
    assert found["a / low"].value == pytest.approx(0.25 - own, abs=(0.2 + 0.1) / 8 * 2)


def test_only_a_turned_up_edge_is_held_against_the_ground() -> None:
    assert not above(design(site=ground(level=0.5))) and not above(design({"edge_kind": "anchor trench"}))
