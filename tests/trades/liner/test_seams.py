"""Seams go by the highest water, not by the water at rest; by hand on boxes."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from pondkit.core.entry import USER, entry
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.liner import formulas
from pondkit.trades.liner import pictures as view
from pondkit.trades.liner.panels import LOWEST, _shallowest_order, seam_depths, stock_panels
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
    assert any("below the highest water" in c.text for c in stock.cautions)


@pytest.mark.parametrize(("at_rest", "rise", "wet"), [(-0.03, 0.05, True), (-0.05, 0.05, False), (-0.03, 0.02, False)])
def test_one_that_only_running_water_reaches_is_said(at_rest: float, rise: float, wet: bool) -> None:
    figure = entry(formulas.seam_under_water, "a / seam 1", source=USER, at_rest=at_rest, water_rise=rise)
    assert figure.value == pytest.approx(at_rest + rise)
    assert any("maker's method" in c.text for c in figure.cautions) == wet


def crosses_lowest(shelf: float, from_foot: float, lap: float = 0.3) -> bool:
    """Whether a seam right across the box crosses its lowest part: its middle so far from where a shelf 1 m wide
    ends, that stands so high over the floor."""
    tiers = [{"zone": "shelf", "depth": 1 - shelf, "shelf": 1, "batter": 0}, {"zone": "deep", "depth": 1, "batter": 0}]
    outline = {"shape": "rectangle", "length": 6, "width": 4}
    pool = {"name": "low", "freeboard": 0.1, "bank_batter": 0, "outline": outline, "tiers": tiers}
    found = design({"liners": [{"name": "a", "covers": ["low"], "turn_deg": 0}]}, pools=[pool])
    assert found.lining is not None
    sheet = found.lining.liners[0].footprint.along
    middle = sheet.from_left(np.array([-2.0 - from_foot]), np.array([0.0]))
    depth, low = seam_depths(sheet, middle, lap, 0.0)
    assert depth[0] >= 1 - shelf - 1e-6
    return bool(low[0])


def test_a_seam_within_two_centimetres_of_the_lowest_place_crosses_it() -> None:
    assert pytest.approx(0.02) == LOWEST
    assert crosses_lowest(0.019, 0.5) and not crosses_lowest(0.021, 0.5)


def test_a_seam_crosses_the_lowest_part_with_either_edge_of_its_lap() -> None:
    """By hand: from the shelf's end it is 0.1 m down to the floor, 0.08 m to within 2 cm of it; half a lap is 0.15."""
    assert crosses_lowest(0.1, 0.06) and not crosses_lowest(0.1, 0.08)
    assert crosses_lowest(0.1, 0.11, lap=0.4) and not crosses_lowest(0.1, 0.13, lap=0.4)


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
    assert "below the highest water" in notes


@pytest.mark.parametrize("deep_on_the_left", [True, False])
def test_the_least_sheet_lies_in_the_middle_of_what_is_ordered(deep_on_the_left: bool) -> None:
    """Deep on one half of a sheet of 8 m and shallow on the other: of 10 m ordered 1 m lies beyond either end, so that
    the halves meet at 5 m. Stock of 6 m leaves the seam anywhere from 4.1 to 5.9 m.
    """

    @dataclass(frozen=True)
    class Halves:
        length: float

        def under(self, places: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
            deep = (places < self.length / 2) == deep_on_the_left
            return np.where(deep, 1.0, 0.2)[None], np.ones((1, len(places)))

    found = stock_panels(3.0, 10.0, (Halves(3.0), Halves(8.0)), (6.0, 6.0), 0.2, 0.0)  # type: ignore[arg-type]
    (seam,) = found.seams
    assert seam.along and seam.depth == 0.2
    assert seam.place - 0.1 >= 5.0 if deep_on_the_left else seam.place + 0.1 <= 5.0
    # The same from rolls: two strips of 6 m, the first of which ends half a lap beyond the seam's middle.
    strips = ((0, (3.0,)), (1, (3.0,)))
    _, ends, (depth, _) = _shallowest_order(strips, {0: 6.0, 1: 6.0}, 10.0, Halves(8.0), 0.2, 0.0)  # type: ignore[arg-type]
    assert depth.tolist() == [0.2]
    assert ends[0] - 0.2 >= 5.0 if deep_on_the_left else ends[0] <= 5.0


@pytest.mark.parametrize(("off", "meets"), [(0.26, True), (-0.26, True), (0.29, False), (-0.29, False)])
def test_a_seam_meets_a_boulder_within_half_a_lap_and_half_the_boulder(off: float, meets: bool) -> None:
    """By hand: a sheet that is longer than it need be lies out as far on either side, so a seam is its place less half
    the sheet from the middle of a box; half a boulder of 40 cm and half a lap of 15 are 0.275 m.
    """
    found = box(0.0, rolls=ROLLS, allowance="60 cm", seam_lap="15 cm")
    assert found.lining is not None
    (sheet,) = found.lining.liners
    (seam,) = sheet.panels.seams
    assert seam.along and sheet.liner_width_order.value > sheet.liner_width.value + 0.5
    place = [0, f"{seam.place - sheet.liner_width_order.value / 2 + off} m"]
    boulder = {"name": "seat", "axes": ["40 cm"] * 3, "count": 1, "places": [place], "pool": "low"}
    project = put(Project(options=(found.option,)), ("options", 0, "stone"), {"boulders": [boulder]})
    lining = evaluate(project).options[0].lining
    assert lining is not None
    cautions = [caution.text for _, figure in lining.entries() for caution in figure.cautions]
    assert any("boulder seat" in text for text in cautions) == meets
