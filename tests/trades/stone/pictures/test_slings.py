"""The picture of the slings, as data."""

import json

import pytest

from pondkit.core.units import System
from pondkit.study.evaluate import evaluate
from pondkit.trades.stone.pictures import alt_sling_loads, sling_loads
from tests.designs import demo, read


@pytest.mark.parametrize("system", ["us", "si"])
def test_every_use_is_a_dot_at_its_per_cent_and_hollow_where_something_speaks_against_it(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    assert result.slings is not None
    figure = sling_loads(result.slings, system)
    assert figure is not None
    dots = {
        (name, trace["name"]): (x, symbol)
        for trace in figure["data"]
        for x, y, symbol in zip(trace["x"], trace["y"], trace["marker"]["symbol"], strict=True)
        for name in [figure["layout"]["yaxis"]["ticktext"][y]]
    }
    assert len(dots) == len(result.slings.sling_use)
    for use in result.slings.sling_use:
        boulder, sling = use.subject.split(" / ")
        x, symbol = dots[boulder, sling]
        assert x == pytest.approx(use.value * 100, abs=0.01)
        assert symbol.endswith("-open") == bool(use.cautions)
    assert {line["x0"] for line in figure["layout"]["shapes"]} == {80.0, 100.0}
    assert "long web" in alt_sling_loads(result.slings, system)
    json.dumps(figure)


def test_without_slings_there_is_no_picture() -> None:
    result = evaluate(read()).options[0]
    assert sling_loads(result.slings, "us") is None
    assert alt_sling_loads(result.slings, "us") == "No sling loads computed."
