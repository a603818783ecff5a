"""Pictures of the water side, as data."""

import pytest

from pondkit.core.units import FLOW, LENGTH, SYSTEMS, System, magnitude, show
from pondkit.study.evaluate import evaluate
from pondkit.trades.water import pictures
from pondkit.trades.water import pictures as view
from tests.designs import demo, read


@pytest.mark.parametrize("system", SYSTEMS)
def test_curves_meet_at_the_operating_point_that_the_takeoff_holds(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    picture = view.curves(result.water, system)
    assert picture is not None
    assert result.water is not None
    total = result.water.run.pumping.total_flow
    assert total is not None
    points = [t for t in picture["data"] if t["mode"] == "markers"]
    assert len(points) == 2
    assert points[-1]["x"][0] == pytest.approx(magnitude(total.value, FLOW, view.FLOW_UNIT[system], system), abs=2e-3)
    lines = [t for t in picture["data"] if t["mode"] == "lines"]
    assert all(len(line["x"]) > 5 for line in lines)
    assert "Operating points: 1 pump " in view.alt_curves(result.water, system)


def test_without_pumps_there_is_nothing_to_draw() -> None:
    result = evaluate(read()).options[0]
    assert view.curves(result.water, "us") is None
    assert view.alt_curves(result.water, "us") == "No pumps in balance."


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_flow_diagram_says_every_stream_of_the_takeoff(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    picture = pictures.diagram(result.water, result.waters, system)
    assert picture is not None
    assert result.water is not None
    texts = [note["text"] for note in picture["layout"]["annotations"]]
    run = result.water.run
    for figure in (*run.pumping.pump_flow, *run.pumping.branch_flow):
        assert f"{figure.subject}: {show(figure.value, FLOW, system, view.FLOW_UNIT[system])}" in texts
        assert figure.subject in pictures.alt_diagram(result.water, system)
    for figure in run.links.link_flow:
        assert show(figure.value, FLOW, system, view.FLOW_UNIT[system]) in texts
    arrows = [note for note in picture["layout"]["annotations"] if note["showarrow"]]
    assert len(arrows) == len(run.streams)


def test_streams_are_kept_at_every_place() -> None:
    run = evaluate(demo("turtle_yard")).options[0].water.run  # type: ignore[union-attr]
    for place in {stream.start for stream in run.streams} & {stream.end for stream in run.streams}:
        came = sum(s.flow for s in run.streams if s.end == place)
        left = sum(s.flow for s in run.streams if s.start == place)
        assert came == pytest.approx(left, rel=1e-5)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_profile_holds_levels_and_oxygen_of_the_takeoff(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    picture = pictures.profile(result.water, result.waters, system)
    assert picture is not None
    assert result.water is not None
    running = next(t for t in picture["data"] if t["name"] == "running level")
    unit = "ft" if system == "us" else "m"
    for figure in result.water.run.levels.running_level:
        assert any(
            y == pytest.approx(magnitude(figure.value, LENGTH, unit, system), abs=2e-3)
            for y in running["y"]
            if y is not None
        )
    oxygen = next(t for t in picture["data"] if t["name"] == "oxygen")
    assert all(c is None or 0 < c < 15 for c in oxygen["y"])
    assert "Running levels" in pictures.alt_profile(result.water, system)


def test_without_running_water_nothing_is_drawn() -> None:
    result = evaluate(read()).options[0]
    assert pictures.diagram(result.water, result.waters, "us") is None
    assert pictures.profile(result.water, result.waters, "us") is None
    assert pictures.alt_diagram(result.water, "us") == "No water runs."
