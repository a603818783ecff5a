"""The stone by the load, looked at as data, and as it is printed."""

import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.study.evaluate import evaluate
from pondkit.trades.earthwork.pictures import excavation
from tests.designs import demo, full_project, option, read
from tests.report.papers import reading
from tests.report.pictures import as_json


@pytest.mark.parametrize("system", SYSTEMS)
def test_bars_stand_in_turn_with_low_to_high(system: System) -> None:
    result = evaluate(full_project()).options[0]
    figure = excavation.loads(result.haul, system)
    assert figure is not None
    as_json(figure)
    assert result.haul is not None
    (bars,) = figure["data"]
    assert len(bars["x"]) == len(result.haul.classes) == len(figure["layout"]["annotations"])
    assert all(value > 0 for value in bars["error_x"]["array"])
    assert [text.split(" · ")[0] for text in figure["layout"]["yaxis"]["ticktext"]] == [
        str(at + 1) for at in range(len(bars["x"]))
    ]


def test_words_and_prints_name_every_class_with_its_loads() -> None:
    results = evaluate(demo("turtle_yard"))
    result = results.options[1]
    assert result.haul is not None
    said = excavation.alt_loads(result.haul, "us")
    words = reading.texts(reading.blocks("crew", results, 1, "us"))
    table = words[words.index("Stone in the order in which it is set") :]
    for each in result.haul.classes:
        assert each.class_mass.subject in table
        assert each.class_mass.subject in said
    assert "load" in said


def test_without_the_part_there_is_neither_picture_nor_table() -> None:
    result = evaluate(read(options=[option(stone={}, earth={})])).options[0]
    assert excavation.loads(result.haul, "us") is None
    assert excavation.loads_table(result.haul, "us") == ()
    assert excavation.alt_loads(result.haul, "us") == "No stone to haul."
