"""The water side on the page: a valve moves the operating point, a bad curve is explained, points are added."""

import sys

import pytest
from sketch import Sketch

from tests.designs import demo

FLUSH = ("options", 0, "water", "branches", 1, "opening")


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch) -> Sketch:
    monkeypatch.setattr(sys, "argv", ["app.py"])
    sketch = Sketch()
    sketch.desk.open(demo("turtle_yard"))
    sketch.run()
    return sketch.choose("trade", "Water")


def operating_point(page: Sketch) -> tuple[float, float]:
    points = [
        trace
        for trace in page.picture("picture Pump and lines")["figure"]["data"]
        if "operating point" in trace["name"]
    ]
    return points[-1]["x"][0], points[-1]["y"][0]


def test_closing_the_flush_valve_moves_the_operating_point(page: Sketch) -> None:
    page.choose("list:water", 1).unfold()
    flow, head = operating_point(page)
    page.slide(FLUSH, "0")
    after = operating_point(page)
    assert after[0] < flow
    assert after[1] > head
    page.slide(FLUSH, "1", drag=2)
    assert operating_point(page)[0] > after[0]


def test_a_rising_curve_is_explained_and_the_rest_stands(page: Sketch) -> None:
    page.slide(("options", 0, "water", "pumps", 0, "curve", 2, "head"), "30 ft")
    (problem,) = [text for text in page.html("pk-problem") if "curve" in text]
    assert "rises" in problem
    assert "To mend it" in problem


def test_a_point_is_added_behind_the_curve_and_the_pumps_still_run(page: Sketch) -> None:
    page.unfold()
    before = len(page.desk.project.options[0].water.pumps[0].curve)  # type: ignore[union-attr]
    page.press(":options/0/water/pumps/0/curve:plus")
    curve = page.desk.project.options[0].water.pumps[0].curve  # type: ignore[union-attr]
    assert len(curve) == before + 1
    assert (curve[-1].flow, curve[-1].head) == (None, None)  # to be read off the sheet: none is made up
    assert not page.html("pk-problem")


@pytest.mark.parametrize("part", ["intake", "main", "filter", "load", "storm", "season", "dosing"])
def test_a_part_of_the_water_is_taken_out_and_put_back(page: Sketch, part: str) -> None:
    path = f"options/0/water/{part}"
    page.unfold().press(f":{path}:drop")
    assert getattr(page.desk.project.options[0].water, part) is None
    page.press(f":{path}:add")
    assert getattr(page.desk.project.options[0].water, part) is not None


def test_water_is_added_to_an_option_that_has_none(page: Sketch) -> None:
    page.choose("option", 2)
    page.press("Add water")
    assert page.desk.project.options[2].water is not None
    page.press("Add a pump")
    page.choose("list:water", 1)
    page.press("Add a branch")
    assert page.html("pk-problem") == []
    assert any("curve" in text for text in page.html("pk-fill"))  # a first pump has no curve yet, and says so
