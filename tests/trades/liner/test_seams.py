"""Seams go by the highest water, not by the water at rest; by hand on boxes."""

from typing import Any

import pytest

from pondkit.core.entry import USER, entry
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner.formulas import purchase
from pondkit.trades.liner.pictures import lining as view
from tests.trades.liner.test_extras import design, figures


def box(rise: float, **more: Any) -> OptionResult:
    """A box of 6 x 4 m, 1 m deep, upright, 0.1 m of freeboard, under stock that wants seams across its floor."""
    pools = [
        {
            "name": "low",
            "freeboard": 0.1,
            "bank_batter": 0,
            "outline": {"shape": "rectangle", "length": 6, "width": 4},
            "tiers": [{"zone": "deep", "depth": 1, "batter": 0}],
        }
    ]
    own = {"liners": [{"name": "a", "covers": ["low"], "turn_deg": 0}], "stock_width": "5 m", "stock_length": "50 m"}
    found = design(own | more, pools=pools)
    project = put(Project(options=(found.option,)), ("options", 0, "water_rise"), f"{rise} m")
    return evaluate(project).options[0]


ROLLS = [{"name": "r", "width": 5, "length": 20, "price": 100}]


@pytest.mark.parametrize("rise", [0.0, 0.05, 0.25])
def test_a_seam_on_the_floor_lies_under_depth_and_rise(rise: float) -> None:
    bought = box(rise, rolls=ROLLS)
    depths = [figure.value for figure in figures(bought, "panel_seam_depth").values()]
    # Every line that runs the length of the floor crosses the one seam there: 1 m under rest.
    assert depths and max(depths) == pytest.approx(1 + rise, abs=1e-3)
    assert figures(bought, "seam_depth")["a"].value == pytest.approx(max(depths))
    stock = figures(box(rise), "seam_depth")["a"]
    assert stock.value == pytest.approx(1 + rise, abs=1e-3)
    assert any("Under the highest water" in c.text for c in stock.cautions)


@pytest.mark.parametrize(("at_rest", "rise", "wet"), [(-0.03, 0.05, True), (-0.05, 0.05, False), (-0.03, 0.02, False)])
def test_one_that_only_running_water_reaches_is_said(at_rest: float, rise: float, wet: bool) -> None:
    figure = entry(purchase.seam_under_water, "a / seam 1", source=USER, at_rest=at_rest, water_rise=rise)
    assert figure.value == pytest.approx(at_rest + rise)
    assert any("maker's method" in c.text for c in figure.cautions) == wet


def test_the_same_seams_lie_deeper_by_the_rise() -> None:
    low = box(0.0)
    high = box(0.05)
    for found in (low, high):
        assert found.lining is not None
    seams = [found.lining.liners[0].panels.seams for found in (low, high) if found.lining]
    assert [seam.place for seam in seams[0]] == [seam.place for seam in seams[1]]
    assert [b.depth - a.depth for a, b in zip(*seams, strict=True)] == pytest.approx([0.05] * len(seams[0]))


def test_the_layout_says_which_water() -> None:
    lined = box(0.05).lining
    assert lined is not None
    notes = " ".join(note["text"] for note in view.layout(lined.liners[0], "si", lap=0.15)["layout"]["annotations"])
    assert "under the highest water" in notes
