"""The drawing and print of what is set out."""

import itertools
import math
import re

import pytest

from pondkit.core.units import LENGTH, SYSTEMS, System, magnitude
from pondkit.drawing import frame
from pondkit.drawing.blocks import Room
from pondkit.drawing.rows import TAPE_PLACES
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.earthwork.pictures import setting_out
from tests.designs import demo, full_project
from tests.report.papers import reading
from tests.report.pictures import as_json, named, numbers


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_point_is_drawn_with_its_number_where_it_lies(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    figure = setting_out.plan(result.dig.setting_out, system)
    assert figure and result.dig and result.dig.setting_out
    as_json(figure)
    unit = frame.PLAN_UNIT[system]
    drawn = {
        text.partition(",")[0]: (x, y)
        for trace in figure["data"]
        if str(trace["name"]).startswith("points")
        for text, x, y in zip(trace["hovertext"], trace["x"], trace["y"], strict=True)
    }
    points_ = result.dig.setting_out.points
    assert len(drawn) == len(points_)
    for point in points_:
        place = tuple(magnitude(value, LENGTH, unit) for value in (point.east, point.north))
        assert drawn[str(point.number)] == pytest.approx(place, abs=2e-3)
    shown = named(figure, "numbers")
    assert len({point.line for point in points_ if str(point.number) in shown["text"]}) == len(
        result.dig.setting_out.lines
    )
    for text, *spot in zip(shown["text"], shown["x"], shown["y"], strict=True):
        assert tuple(spot) == pytest.approx(drawn[text], abs=2e-3)
    spots = list(zip(shown["x"], shown["y"], strict=True))
    wide = figure["layout"]["xaxis"]["range"][1] - figure["layout"]["xaxis"]["range"][0]
    assert all(math.dist(a, b) > 0.03 * wide for a, b in itertools.combinations(spots, 2))  # none over another
    west, east = figure["layout"]["xaxis"]["range"]
    for trace in figure["data"]:
        assert all(west <= x <= east for x in numbers(trace["x"]))
    assert named(figure, "stakes A and B")["text"] == ["<b>A</b>", "<b>B</b>"]


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_crew_has_every_point_in_a_table_at_a_true_scale(system: System) -> None:
    results = evaluate(demo("turtle_yard"))
    cells = reading.texts(reading.blocks("crew", results, 0, system))
    found = results.options[0].dig.setting_out
    unit, places = frame.PLAN_UNIT[system], TAPE_PLACES[system]
    said = " ".join(cells)
    for index, line in enumerate(found.lines):
        own = [point for point in found.points if point.line == index]
        taped = all(point.by_tapes for point in own) and len({point.side for point in own}) == 1
        for point in own:
            ways = (point.tape_a, point.tape_b) if taped else (point.along, point.offset)
            row = [str(point.number), *(f"{magnitude(value, LENGTH, unit):.{places}f}" for value in ways)]
            assert " ".join(row) in said, line.name
    for name, place in (("A", found.stakes.a), ("B", found.stakes.b)):
        east, north = (f"{magnitude(float(value), LENGTH, unit):.{places}f} {unit}" for value in place)
        assert f"Stake {name} stands {east} east, {north} north of the site's origin." in said
    for line in found.lines:
        assert cells.count(line.name) == 1
    assert "Setting out" in cells and "Hollow points: not by tapes" in said
    for figure in found.not_by_tapes:
        assert f"{int(figure.value)} points at which the tapes cross" in said


def test_names_of_pools_reach_a_spreadsheet_as_text() -> None:
    project = put(full_project(), ("options", 0, "pools", 0, "name"), "=1+1")
    text = setting_out.setting_out_csv(evaluate(project).options[0].dig.setting_out, "us")
    assert "waterline: =1+1" in text and not re.search(r"(^|,)=", text, re.M)


def test_without_stakes_there_is_no_drawing() -> None:
    result = evaluate(put(full_project(), ("options", 0, "dig", "stakes"), None)).options[0]
    assert setting_out.plan(result.dig.setting_out, "us") is None
    assert setting_out.printed(result.dig.setting_out, "us", Room(180.0, 200.0)) == ()
    assert "enter two stakes" in setting_out.alt_plan(result.dig.setting_out, "us")
