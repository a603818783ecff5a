"""The picture of boulder masses, as data."""

import json
from typing import Any

import pytest

from pondkit import load
from pondkit.core.units import MASS, System, magnitude, show
from pondkit.drawing import frame
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.stone.pictures import alt_masses, masses
from tests.designs import option, small

STONE = {
    "boulders": [
        {"name": "step", "count": 6, "axes": ["24 in", "18 in", "8 in"], "form": "block"},
        {"name": "<b>seat</b> & {x}", "count": 2, "axes": ["40 in", "30 in", "20 in"], "axes_within": 0.2},
        {"name": "cobble", "count": 30, "axes": ["9 in", "8 in", "6 in"]},
    ]
}


def result(stone: dict[str, Any] | None) -> OptionResult:
    data = small(options=[option(stone=stone)])
    return evaluate(load(json.dumps(data).encode())).options[0]


@pytest.mark.parametrize(("system", "unit"), [("us", "lb"), ("si", "kg")])
def test_bars_are_typical_masses_heaviest_first_with_whiskers_from_low_to_high(system: System, unit: str) -> None:
    worked = result(STONE)
    assert worked.stone is not None
    figure = masses(worked.stone, system)
    (bars,) = figure["data"]
    kinds = sorted(worked.stone.boulder_mass, key=lambda mass: -mass.most)
    for at, kind in enumerate(kinds):
        typical, low, high = (magnitude(value, MASS, unit) for value in (kind.value, kind.least, kind.most))
        assert bars["y"][at] == at
        assert bars["x"][at] == pytest.approx(typical, abs=1e-3)
        assert bars["x"][at] + bars["error_x"]["array"][at] == pytest.approx(high, abs=2e-3)
        assert bars["x"][at] - bars["error_x"]["arrayminus"][at] == pytest.approx(low, abs=2e-3)
        assert show(kind.most, MASS, system, unit) in bars["hovertext"][at]
    assert figure["layout"]["xaxis"]["title"]["text"].endswith(f"[{unit}]")
    assert figure["layout"]["yaxis"]["range"][0] > figure["layout"]["yaxis"]["range"][1]


def test_the_heaviest_is_marked_with_its_high_figure_and_there_is_room_for_its_label() -> None:
    worked = result(STONE)
    assert worked.stone is not None
    assert worked.stone.heaviest_boulder is not None
    figure = masses(worked.stone, "us")
    (note,) = figure["layout"]["annotations"]
    high = worked.stone.heaviest_boulder.value
    assert note["text"] == f"heaviest: up to {show(high, MASS, 'us', 'lb')}"
    assert note["x"] == pytest.approx(magnitude(high, MASS, "lb"))
    assert figure["layout"]["xaxis"]["range"][1] > note["x"] * 1.3
    assert figure["data"][0]["marker"]["color"] == [frame.MARK, frame.STONE, frame.STONE]


def test_a_name_is_drawn_as_text() -> None:
    worked = result(STONE)
    labels = masses(worked.stone, "us")["layout"]["yaxis"]["ticktext"]
    assert labels[0] == "&lt;b&gt;seat&lt;/b&gt; &amp; {x} × 2"
    assert masses(worked.stone, "us")["data"][0]["hovertext"][0].startswith("&lt;b&gt;seat&lt;/b&gt; &amp; {x} (2): ")
    assert "<b>seat</b> & {x} (2): " in alt_masses(worked.stone, "us")


@pytest.mark.parametrize("stone", [None, {}, {"edging": [{"pool": "pool", "base_level": "0 in"}]}])
def test_without_boulders_there_is_no_picture_but_words_for_it(stone: dict[str, Any] | None) -> None:
    worked = result(stone)
    assert masses(worked.stone, "us") is None
    assert alt_masses(worked.stone, "us") == "No boulders."


def test_the_words_hold_what_the_picture_shows() -> None:
    worked = result(STONE)
    words = alt_masses(worked.stone, "us")
    assert words.index("seat") < words.index("step (6)") < words.index("cobble (30)")
    assert worked.stone is not None
    for mass in worked.stone.boulder_mass:
        assert show(mass.value, MASS, "us", "lb") in words


def test_it_is_plain_json() -> None:
    figure = masses(result(STONE).stone, "si")
    assert json.loads(json.dumps(figure)) == figure
