"""Pictures of the lift plan."""

import json

import pytest

from pondkit.core.units import LENGTH, SYSTEMS, System, magnitude
from pondkit.drawing import frame
from pondkit.report.plan import plan
from pondkit.study.evaluate import evaluate
from pondkit.trades.lifting.pictures import alt_lift_loads, lift_loads
from tests.designs import demo, read


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_lift_is_a_point_at_its_radius_and_use(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[1]
    found = result.lifting
    assert found is not None
    figure = lift_loads(result.lifting, system)
    assert figure is not None
    figures = (found.pick_use, found.swing_use, found.place_use)
    for phase, (trace, own) in enumerate(zip(figure["data"], figures, strict=True)):
        assert trace["y"] == pytest.approx([100 * entry.value for entry in own], abs=0.01)
        radii = [magnitude(lift.phases[phase].radius, LENGTH, frame.PLAN_UNIT[system]) for lift in found.lifts]
        assert trace["x"] == pytest.approx(radii, abs=0.01)
    json.dumps(figure)
    assert "basking slab 1 from west bank" in alt_lift_loads(result.lifting, system)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_plan_shows_machines_and_their_reach(system: System) -> None:
    result = evaluate(demo("turtle_yard")).options[1]
    found = result.lifting
    assert found is not None
    drawn = {trace["name"]: trace for trace in plan(result, system)["data"]}
    one = magnitude(1.0, LENGTH, frame.PLAN_UNIT[system])
    at = found.positions[0].at
    assert (drawn["machine"]["x"][0], drawn["machine"]["y"][0]) == pytest.approx([v * one for v in at], abs=0.01)
    assert found.reach is not None
    trace = drawn["machine reach"]
    away = [
        ((x / one - at[0]) ** 2 + (y / one - at[1]) ** 2) ** 0.5
        for x, y, said in zip(trace["x"], trace["y"], trace["hovertext"], strict=True)
        if x is not None and said.startswith("west bank: reach")
    ]
    assert away
    assert away == pytest.approx([found.reach[1]] * len(away), abs=0.01)


def test_without_a_lift_plan_nothing_is_drawn() -> None:
    result = evaluate(read()).options[0]
    assert lift_loads(result.lifting, "us") is None
    assert alt_lift_loads(result.lifting, "us") == "No lifts computed."
    assert "machine" not in {trace["name"] for trace in plan(result, "us")["data"]}
