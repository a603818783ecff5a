"""Strips, pads, folds, edges and groundwater round a liner, by hand."""

import json
import math
from typing import Any

import pytest

from pondkit import load
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner import pictures as view
from pondkit.trades.liner.pictures import LAYOUT

SITE = {"groundwater": "-50 cm"}


def design(lining: dict[str, Any] | None = None, site: dict[str, Any] | None = None, **more: Any) -> OptionResult:
    """A lower circle of 6 m and an upper one of 2 m, 10 m apart, on one liner each."""
    pools = [
        {
            "name": "low",
            "level": 0,
            "freeboard": 0.1,
            "bank_batter": 0,
            "outline": {"shape": "circle", "diameter": 6},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0, "gravel": 0.1}],
        },
        {
            "name": "high",
            "level": 0.5,
            "at": [10, 0],
            "outline": {"shape": "circle", "diameter": 2},
            "tiers": [{"zone": "deep", "depth": 0.4, "batter": 0}],
        },
    ]
    own = {"liners": [{"name": "a", "covers": ["low"]}, {"name": "b", "covers": ["high"]}], "edge": "60 cm"} | (
        lining or {}
    )
    file = {
        "pondkit": 1,
        "units": "si",
        "site": site or {},
        "options": [{"name": "A", "pools": pools, "lining": own} | more],
    }
    return evaluate(load(json.dumps(file).encode())).options[0]


def figures(found: OptionResult, key: str) -> dict[str, Any]:
    return {figure.subject: figure for name, figure in found.entries() if name == key}


def test_a_strip_goes_over_the_lip_down_the_drop_and_laps_both() -> None:
    link = {"from": "high", "to": "low", "at": [8, 0], "crest_width": "50 cm", "crest_level": 0.55}
    found = design({"link_lap": "30 cm", "link_beside": "25 cm"}, links=[link])
    # From the upper waterline at x = 9 to the crest at 8, on to the lower waterline at 3, and 0.55 m down.
    assert figures(found, "link_strip_length")["high – low"].value == pytest.approx(1 + 5 + 0.55 + 0.6, abs=1e-3)
    assert figures(found, "link_strip_width")["high – low"].value == pytest.approx(1.0)
    assert figures(found, "link_strip_area")["high – low"].value == pytest.approx(7.15, abs=1e-3)


def test_pads_are_footprints_with_a_margin() -> None:
    stone = {
        "boulders": [
            {"name": "seat", "axes": ["90 cm", "40 cm", "60 cm"], "count": 3, "pool": "low"},
            {"name": "lawn", "axes": ["1 m", "1 m", "1 m"]},
            {"name": "cap", "axes": ["1 m", "1 m", "1 m"], "pool": "low", "rests_on": "seat"},
        ]
    }
    pads = figures(design({"pad_margin": "10 cm"}, stone=stone), "pad_area")
    assert {name: pad.value for name, pad in pads.items()} == pytest.approx({"seat": 3 * 1.1 * 0.8})


def pool(outline: dict[str, Any], batter: float, depth: float = 1.0) -> list[dict[str, Any]]:
    return [
        {
            "name": "low",
            "freeboard": 0,
            "outline": outline,
            "tiers": [{"zone": "deep", "depth": depth, "batter": batter}],
        }
    ]


def folds_of(outline: dict[str, Any], batter: float) -> list[float]:
    found = design({"liners": [{"name": "a", "covers": ["low"]}]}, pools=pool(outline, batter))
    return [fold.value for fold in figures(found, "rim_fold").values()]


def test_folds_round_a_circle_are_those_of_the_two_circles() -> None:
    # Upright, 1 m deep: the sheet's edge is a circle of 3 + 1 m, the rim one of 3 m.
    upright = folds_of({"shape": "circle", "diameter": 6}, 0)
    assert sum(upright) == pytest.approx(2 * math.pi * (4 - 3), rel=1e-6) and upright == pytest.approx(
        [math.pi / 4] * 8, rel=0.02
    )
    # A face of 2 to 1: the way down it is √5, its run 2.
    assert sum(folds_of({"shape": "circle", "diameter": 6}, 2)) == pytest.approx(
        2 * math.pi * (math.sqrt(5) - 2), rel=1e-6
    )


def test_folds_of_a_rectangle_lie_at_its_corners() -> None:
    folds = folds_of({"shape": "rectangle", "length": 8, "width": 4}, 0)
    assert sum(folds) == pytest.approx(2 * math.pi) and sorted(folds) == pytest.approx(
        [0.0] * 4 + [math.pi / 2] * 4, abs=1e-6
    )


def test_round_an_inner_corner_the_liner_is_drawn_tight() -> None:
    points = [[0, 0], [6, 0], [6, 6], [4, 6], [4, 2], [0, 2]]
    folds = folds_of({"shape": "points", "points": points, "smooth": False}, 0)
    assert min(folds) < 0 and sum(folds) == pytest.approx(2 * math.pi, rel=1e-6)


@pytest.mark.parametrize(
    ("edge", "kind", "spare"),
    [
        ("60 cm", "laid flat", 0.6),
        ("60 cm", "turned up", 0.6 - 0.2 - 0.15),
    ],
)
def test_what_is_left_of_the_edge(edge: str, kind: str, spare: float) -> None:
    found = design(
        {
            "edge": edge,
            "edge_kind": kind,
            "edge_back": "20 cm",
            "edge_rise": "15 cm",
        }
    )
    assert figures(found, "edge_spare")["a"].value == pytest.approx(spare)


def test_groundwater_over_the_floor_less_what_the_gravel_holds() -> None:
    found = design({"gravel_density": "1600 kg/m^3"}, site=SITE)
    figure = figures(found, "liner_uplift")["low"]
    # The liner lies 1.1 m down under 10 cm of gravel; the groundwater stands 0.6 m over it.
    assert figure.value == pytest.approx(0.6 - 0.1 * 1.6)
    assert any("never empty it" in c.text for c in figure.cautions)
    assert "high" not in figures(found, "liner_uplift") and not figures(design(), "liner_uplift")


def test_folds_are_marked_on_the_layout_larger_where_there_is_more() -> None:
    found = design(
        {"liners": [{"name": "a", "covers": ["low"], "turn_deg": 0}]},
        pools=pool({"shape": "rectangle", "length": 8, "width": 4}, 0),
    )
    lining = found.lining
    assert lining is not None
    figure = view.layout(lining.liners[0], "si", lap=0.15, folds=lining.extras.rim_fold)
    marks = next(trace for trace in figure["data"] if trace.get("name") == "liner in folds")
    assert len(marks["x"]) == 8 and "in folds" in marks["hovertext"][0]
    values = [fold.value for fold in lining.extras.rim_fold]
    assert marks["marker"]["size"][values.index(max(values))] == max(marks["marker"]["size"])
    assert marks["text"] == [f"{value:.3f} m" if value > 1e-4 else "" for value in values]


def test_penetrations_and_boulders_stand_on_the_liner_where_they_lie_in_the_pool() -> None:
    """A liner along the axes of an 8 x 4 m pool that lies at (10, 5) m: its middle is the middle of the order."""
    outline = {"shape": "rectangle", "length": 8, "width": 4}
    stones = {
        "boulders": [
            {"name": "seat", "axes": [1, 0.8, 0.5], "pool": "low", "places": [[12, 6]]},
            {"name": "away", "axes": [1, 0.8, 0.5], "places": [[30, 30]]},
        ]
    }
    found = design(
        {"liners": [{"name": "a", "covers": ["low"], "turn_deg": 0}]},
        pools=[pool(outline, 0)[0] | {"at": [10, 5]}],
        stone=stones,
    )
    assert found.lining is not None
    liner = found.lining.liners[0]
    figure = Scene(found, "si").draw(LAYOUT)
    assert figure
    marks = next(trace for trace in figure["data"] if trace.get("name") == "boulders")
    middle = liner.liner_length_order.value / 2, liner.liner_width_order.value / 2
    assert list(marks["text"]) == ["seat"]
    assert (marks["x"][0], marks["y"][0]) == pytest.approx((middle[0] + 2, middle[1] + 1), abs=1e-2)
