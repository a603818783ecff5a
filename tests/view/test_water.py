"""Pictures of the water side, as data."""

import pytest

from pondkit import evaluate
from pondkit.evaluate import Memory
from pondkit.units import FLOW, SYSTEMS, System, magnitude
from pondkit.view import water as view
from tests.designs import demo, read


@pytest.mark.parametrize("system", SYSTEMS)
def test_curves_meet_at_the_operating_point_that_the_takeoff_holds(system: System) -> None:
    result = evaluate(demo("turtle_yard"), Memory()).options[0]
    picture = view.curves(result, system)
    assert picture is not None
    assert result.water is not None
    total = result.water.run.pumping.total_flow
    assert total is not None
    points = [t for t in picture["data"] if t["mode"] == "markers"]
    assert len(points) == 2
    assert points[-1]["x"][0] == pytest.approx(magnitude(total.value, FLOW, view.FLOW_UNIT[system], system), abs=2e-3)
    lines = [t for t in picture["data"] if t["mode"] == "lines"]
    assert all(len(line["x"]) > 5 for line in lines)
    assert "Operating points: 1 pump " in view.alt_curves(result, system)


def test_without_pumps_there_is_nothing_to_draw() -> None:
    result = evaluate(read(), Memory()).options[0]
    assert view.curves(result, "us") is None
    assert view.alt_curves(result, "us") == "No pumps in balance."
