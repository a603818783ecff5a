"""Charts on paper: places are those of the axes, told in words beside ticks."""

import math
import re

import pytest

from pondkit.drawing import frame
from pondkit.drawing.charts import FOOT, HIGH, LEFT, RIGHT, TOP, WIDE, charted
from pondkit.study.evaluate import evaluate
from pondkit.trades.water import pictures
from tests.designs import demo


def figure(**more: object) -> frame.Figure:
    line = {"mode": "lines", "x": [0, 10], "y": [0, 4], "name": "a", "line": {"color": "#000", "width": 1}}
    return frame.figure(
        [line], x={"range": [0, 10], "title": frame.title("flow", "gal/min")}, y={"range": [0, 4]}, **more
    )


def test_a_line_from_corner_to_corner_goes_from_corner_to_corner() -> None:
    chart = charted(figure(), "a line")
    markup = chart.svg
    path = re.findall(r"<path d='M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)' fill='none'", markup)[-1]
    assert [float(p) for p in path] == pytest.approx([LEFT, HIGH - FOOT, WIDE - RIGHT, TOP], abs=0.01)
    assert chart.alt == "a line"
    assert "flow [gal/min]" in markup


def test_ticks_are_round_numbers_that_lie_on_the_axis() -> None:
    markup = charted(figure(), "").svg
    across = {
        text: float(x)
        for x, text in re.findall(rf"<text x='([\d.]+)' y='{HIGH - FOOT + 4.2:.2f}'[^>]*>([\d.]+)<", markup)
    }
    assert list(across) == ["0", "2", "4", "6", "8", "10"]
    for text, x in across.items():
        assert x == pytest.approx(LEFT + float(text) / 10 * (WIDE - LEFT - RIGHT), abs=0.01)


def test_a_right_axis_and_a_share_of_an_axis_have_their_own_places() -> None:
    own = figure(
        yaxis2={"range": [0, 8], "side": "right"},
        shapes=[{"type": "line", "x0": 5, "x1": 5, "y0": 0, "y1": 1, "yref": "paper"}],
    )
    own["data"].append({"mode": "markers", "x": [10], "y": [4], "yaxis": "y2"})
    markup = charted(own, "").svg
    (marker,) = re.findall(r"<circle cx='([\d.]+)' cy='([\d.]+)'", markup)
    assert [float(m) for m in marker] == pytest.approx([WIDE - RIGHT, (TOP + HIGH - FOOT) / 2], abs=0.01)
    middle = (LEFT + WIDE - RIGHT) / 2
    assert f"M{middle:.2f} {HIGH - FOOT:.2f}L{middle:.2f} {TOP:.2f}" in markup


def test_a_note_stands_by_the_axis_that_it_names() -> None:
    """8 of the right axis is the top of the chart; 2 of the left one its middle."""
    notes = [{"x": 5, "y": y, "text": text, "yref": ref} for y, text, ref in ((4, "right", "y2"), (1, "left", "y"))]
    own = figure(yaxis2={"range": [0, 8], "side": "right"}, annotations=[n | {"showarrow": False} for n in notes])
    at = {
        text: float(y)
        for y, text in re.findall(r"<text x='[\d.]+' y='([\d.]+)'[^>]*>(\w+)</text>", charted(own, "").svg)
    }
    high = HIGH - FOOT - TOP
    assert at["left"] - at["right"] == pytest.approx(high / 4, abs=0.05)


def test_words_keep_clear_of_arrows() -> None:
    """A word wished on the middle of a thick arrow moves off it."""
    arrow = {"x": 8, "y": 3, "ax": 2, "ay": 1, "axref": "x", "ayref": "y", "text": "", "showarrow": True}
    word = {"x": 5, "y": 2, "text": "flow", "showarrow": False}
    own = figure(annotations=[arrow | {"arrowwidth": 8}, word])
    (place,) = re.findall(r"<text x='([\d.]+)' y='([\d.]+)'[^>]*>flow</text>", charted(own, "").svg)
    middle = (LEFT + WIDE - RIGHT) / 2, (TOP + HIGH - FOOT) / 2
    assert math.dist(middle, tuple(map(float, place))) > 2.0


def test_the_operating_point_of_the_demo_stands_on_its_print() -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    drawn = pictures.curves(result.water, "us")
    assert drawn
    markup = charted(drawn, pictures.alt_curves(result.water, "us")).svg
    for note in drawn["layout"]["annotations"]:
        assert note["text"].replace("'", "&#x27;") in markup
    colours = set(re.findall(r"(?:fill|stroke)='(#[0-9a-f]+)'", markup))
    assert all(len(c) == 4 or c[1:3] == c[3:5] == c[5:7] for c in colours)
