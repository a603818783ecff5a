"""What the lines are made of: counts by hand, price lines, the order."""

from typing import Any

import pytest

from pondkit.core.units import COUNT, LENGTH
from pondkit.project.files import put
from pondkit.report.orders import bought
from pondkit.study.evaluate import Results, evaluate
from pondkit.trades.cost.inputs.items import item_kind, items, ordered
from tests.trades.water.test_pumping import design, pump

FOOT = 0.3048
LINES: dict[str, Any] = {
    "stock_length": "3 m",
    "pumps": [pump(length="3.5 m"), pump("two", check_valve=False)],
    "main": {"pipe": "sch40 3 in", "length": "3 m", "sweeps_90": 2},
    "branches": [
        {"name": "filter", "to": "filter", "length": "6 m", "elbows_90": 2, "tees_branch": 1, "valve": "gate"},
        {"name": "flush", "to": "flush", "length": "2 m", "tees_through": 1, "valve": "none", "check_valve": True},
    ],
}


def results(*lines: dict[str, Any]) -> Results:
    project = design(**LINES)
    if lines:
        project = put(project, ("options", 0, "rates"), {"lines": list(lines)})
    return evaluate(project)


def test_what_all_lines_need_by_hand() -> None:
    found = results().options[0].water
    assert found is not None
    got = {(key, e.subject): e.value for key, e in found.buying.entries()}
    two, three = "sch40 2 in", "sch40 3 in"
    assert got == {
        ("line_pipe", two): pytest.approx(3.5 + 3 + 6 + 2),
        ("line_pipe", three): pytest.approx(3.0),
        ("line_pipe_order", two): pytest.approx(15.0),  # 14.5 m in lengths of 3 m
        ("line_pipe_order", three): pytest.approx(3.0),
        ("line_fitting_order", f"{two} elbow 90"): 4,
        ("line_fitting_order", f"{two} tee"): 2,
        ("line_fitting_order", f"{two} coupling"): 2,  # 3.5 m takes two lengths, 6 m takes two
        ("line_fitting_order", f"{three} sweep 90"): 2,
        ("line_valve_order", f"{two} gate valve"): 1,
        ("line_valve_order", f"{two} check valve"): 2,
        ("pump_order", "one"): 1,
        ("pump_order", "two"): 1,
    }


def test_pipe_fittings_valves_and_pumps_can_be_priced_by_name() -> None:
    assert {"line_pipe", "line_fitting_order", "line_valve_order", "pump_order"} <= set(items())
    assert item_kind("line_pipe") is LENGTH and item_kind("pump_order") is COUNT
    priced = results(
        {"item": "line_pipe", "of": "sch40 2 in", "unit": "m", "price": 4},
        {"item": "line_valve_order", "of": "sch40 2 in gate valve", "price": 30},
        {"item": "pump_order", "price": 200},
    ).options[0]
    assert priced.problems == ()
    assert priced.price is not None and priced.price.total_price is not None
    assert priced.price.total_price.value == pytest.approx(14.5 * 4 + 30 + 2 * 200)


def test_they_stand_in_the_order_before_the_pipe_is_laid() -> None:
    assert ordered("line_pipe_order") and ordered("pump_order")
    rows = [row for row in bought(results().options[0], "si") if row.goods == "Pumps, pipe and valves"]
    assert {row.of for row in rows} >= {"sch40 2 in", "sch40 2 in gate valve", "two"}
