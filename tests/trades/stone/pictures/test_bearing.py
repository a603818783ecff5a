"""The picture of bearing."""

import json

import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.study.evaluate import evaluate
from pondkit.trades.stone.pictures import alt_pressures, pressures
from tests.designs import demo, read


@pytest.mark.parametrize("system", SYSTEMS)
def test_each_pressure_stands_with_its_range_against_what_is_allowed(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[1]
    assert result.bearing is not None
    assert result.bearing.bearing_allowed is not None
    figure = pressures(result.bearing, system)
    assert figure is not None
    touched, under = figure["data"]
    (line,) = figure["layout"]["shapes"]
    one = line["x0"] / result.bearing.bearing_allowed.value
    for trace, figures in (
        (touched, result.bearing.contact_pressure),
        (under, result.bearing.bearing_pressure),
    ):
        for x, up, down, entry in zip(
            trace["x"], trace["error_x"]["array"], trace["error_x"]["arrayminus"], figures, strict=True
        ):
            assert [x - down, x, x + up] == pytest.approx(
                [v * one for v in (entry.least, entry.value, entry.most)], abs=0.02
            )
    assert "basking slab" in alt_pressures(result.bearing, system)
    json.dumps(figure)


def test_without_bearing_there_is_no_picture() -> None:
    result = evaluate(read()).options[0]
    assert pressures(result.bearing, "us") is None
    assert alt_pressures(result.bearing, "us") == "No bearing computed."
