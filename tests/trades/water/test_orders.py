"""What the lines are made of: counts by hand, price lines, the order."""

import math
from typing import Any

import fluids
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
    got = {(key, e.subject): e.value for key, e in found.orders.entries()}
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
        ("body_order", "filter"): 1,
    }


def test_bodies_lids_and_media_are_counted_for_the_order() -> None:
    """A bed of 2 m² by 60 cm is 1.2 m³: in sacks of 50 L 24 of them."""
    bed = {"level": "80 cm", "media_area": "2 m^2", "media_depth": "60 cm", "media_sale": "55 L", "covered": True,
           "plan_size": ["2 m", "2 m"], "second_size": ["1 m", "1 m"]}  # fmt: skip
    found = evaluate(design(intake={}, pit={"covered": True}, filter=bed)).options[0].water
    assert found is not None and found.orders.media_order is not None
    assert {e.subject for e in found.orders.body_order} == {"intake basin", "pump pit", "filter", "filter, second body"}
    assert {e.subject for e in found.orders.lid_order} == {"pump pit", "filter", "filter, second body"}
    assert found.orders.media_order.value == pytest.approx(22 * 0.055)
    loose = evaluate(design(filter=bed | {"media_sale": None})).options[0].water
    assert loose is not None and loose.orders.media_order is not None
    assert loose.orders.media_order.value == pytest.approx(1.2)


OWN = {
    "name": "own",
    "to": "filter",
    "length": "40 m",
    "own_bore": "50 mm",
    "own_outside": "60 mm",
    "own_name": "hose 50",
    "own_stock": "25 m",
}


def test_an_own_pipe_takes_the_place_of_a_size_and_is_ordered_by_its_name() -> None:
    own = evaluate(design(branches=[OWN])).options[0]
    assert own.problems == () and own.water is not None
    bought = {(key, e.subject): e.value for key, e in own.water.orders.entries()}
    assert bought["line_pipe_order", "hose 50"] == pytest.approx(50)
    assert bought["line_fitting_order", "hose 50 coupling"] == 1
    (speed,) = [e for e in own.water.run.pumping.line_velocity if e.subject == "own"]
    (flow,) = own.water.run.pumping.branch_flow
    assert speed.value == pytest.approx(flow.value / (math.pi / 4 * 0.05**2))
    wrong = evaluate(
        design(branches=[OWN | {"own_outside": "49 mm"}, OWN | {"name": "b", "own_bore": "40 mm"}])
    ).options[0]
    assert [p.path[2:] for p in wrong.problems] == [(0, "own_outside"), (1, "own_name")]


def test_a_flexible_hose_takes_more_head_than_pipe_of_its_bore() -> None:
    """C 130 for C 150: 1.303 times the friction (Hazen-Williams: (150/130)^1.852)."""

    def lost(**more: Any) -> float:
        found = evaluate(design(branches=[OWN | more], hose_friction=1.303)).options[0].water
        assert found is not None
        (factor,) = [e for e in found.run.pumping.line_friction_factor if e.subject == "own"]
        (speed,) = [e for e in found.run.pumping.line_velocity if e.subject == "own"]
        return factor.value / fluids.friction_factor(
            Re=speed.value * 0.05 / 1.003e-6, eD=1.524e-6 / 0.05, Method="Colebrook"
        )

    assert lost() == pytest.approx(1.0, rel=2e-3)
    assert lost(hose=True) == pytest.approx((150 / 130) ** 1.852, rel=2e-3)


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
