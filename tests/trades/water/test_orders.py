"""What the lines are made of: counts by hand, price lines, the order."""

import math
from typing import Any

import fluids
import pytest

from pondkit.core.entry import Entry
from pondkit.core.units import COUNT, LENGTH
from pondkit.project.files import put
from pondkit.report.papers.order import bought
from pondkit.study.evaluate import Results, evaluate
from pondkit.trades.cost.inputs import item_kind, items, ordered
from tests.loops import for_each
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
        project = put(project, ("prices",), {"lines": list(lines)})
    return evaluate(project)


def test_what_all_lines_need_by_hand() -> None:
    found = results().options[0].water
    assert found is not None
    got = {(key, e.subject): e.value for key, e in found.orders.entries()}
    two, three = "sch40 1 1/2 in", "sch40 3 in"
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
    bed = {
        "level": "80 cm",
        "media_area": "2 m^2",
        "media_depth": "60 cm",
        "media_sale": "55 L",
        "covered": True,
        "plan_size": ["2 m", "2 m"],
        "second_size": ["1 m", "1 m"],
    }
    found = evaluate(design(intake={}, pit={"covered": True}, filter=bed)).options[0].water
    assert found is not None and found.orders.media_order is not None
    assert {e.subject for e in found.orders.body_order} == {"intake basin", "pump pit", "filter", "filter, second body"}
    assert {e.subject for e in found.orders.lid_order} == {"pump pit", "filter", "filter, second body"}
    assert found.orders.media_order.value == pytest.approx(22 * 0.055)
    loose = evaluate(design(filter=bed | {"media_sale": None})).options[0].water
    assert loose is not None and loose.orders.media_order is not None
    assert loose.orders.media_order.value == pytest.approx(1.2)


OWN = {"name": "own", "to": "filter", "length": "40 m", "own_pipe": "hose 50"}
HOSE = {"name": "hose 50", "outside": "60 mm", "bore": "50 mm", "bore_within": "2 %", "stock_length": "25 m"}


def test_an_own_pipe_takes_the_place_of_a_size_and_is_ordered_by_its_name() -> None:
    own = evaluate(design(branches=[OWN], own_pipes=[HOSE])).options[0]
    assert own.problems == () and own.water is not None
    bought = {(key, e.subject): e.value for key, e in own.water.orders.entries()}
    assert bought["line_pipe_order", "hose 50"] == pytest.approx(50)
    assert bought["line_fitting_order", "hose 50 coupling"] == 1
    (speed,) = [e for e in own.water.run.pumping.line_velocity if e.subject == "own"]
    (flow,) = own.water.run.pumping.branch_flow
    assert speed.value == pytest.approx(flow.value / (math.pi / 4 * 0.05**2))
    left_out = HOSE | {"stock_length": None}
    as_others = evaluate(design(branches=[OWN], own_pipes=[left_out], stock_length="3 m")).options[0].water
    assert as_others is not None
    assert {(key, e.subject): e.value for key, e in as_others.orders.entries()}[
        "line_pipe_order", "hose 50"
    ] == pytest.approx(42)  # 14 lengths of 3 m for 40 m


def test_an_own_pipe_takes_least_head_where_it_is_widest() -> None:
    """Its bore, 2 % more or less, moves flow as pipes that much wider or narrower do."""

    def flow(pipe: dict[str, Any]) -> Entry:
        found = evaluate(design(branches=[OWN], own_pipes=[pipe])).options[0].water
        assert found is not None
        return found.run.pumping.branch_flow[0]

    spread = flow(HOSE)
    wide, narrow = (flow(HOSE | {"bore": f"{bore} mm", "bore_within": 0}) for bore in (51, 49))
    assert (spread.least, spread.most) == pytest.approx((narrow.least, wide.most))
    assert narrow.least < flow(HOSE | {"bore_within": 0}).least


@for_each(
    case=[
        ({"own_pipes": []}, ("water", "branches", 0, "own_pipe"), "no own pipe is called 'hose 50'"),
        ({"main": {"own_pipe": "bog"}}, ("water", "main", "own_pipe"), "no own pipe is called 'bog'"),
        ({"own_pipes": [HOSE | {"outside": "50 mm"}]}, ("water", "own_pipes", 0, "bore"), " inside and "),
        ({"own_pipes": [HOSE, HOSE]}, ("water", "own_pipes", 1, "name"), "'hose 50' stands twice"),
        (
            {"own_pipes": [HOSE | {"name": "sch40 2 in"}, HOSE]},
            ("water", "own_pipes", 0, "name"),
            "has the name of a pipe of the table",
        ),
    ]
)
def test_an_own_pipe_that_cannot_be_is_named(case: tuple[dict[str, Any], tuple[str | int, ...], str]) -> None:
    change, path, given = case
    found = evaluate(design(**({"branches": [OWN], "own_pipes": [HOSE]} | change))).options[0]
    assert [p.path for p in found.problems] == [path]
    assert given in found.problems[0].given.text


def test_a_flexible_hose_takes_more_head_than_pipe_of_its_bore() -> None:
    """C 130 for C 150: 1.303 times the friction (Hazen-Williams: (150/130)^1.852)."""

    def lost(**more: Any) -> float:
        found = evaluate(design(branches=[OWN | more], own_pipes=[HOSE], hose_friction=1.303)).options[0].water
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
        {"item": "line_pipe", "of": "sch40 1 1/2 in", "unit": "m", "price": 4},
        {"item": "line_valve_order", "of": "sch40 1 1/2 in gate valve", "price": 30},
        {"item": "pump_order", "price": 200},
    ).options[0]
    assert priced.problems == ()
    assert priced.price is not None and priced.price.total_price is not None
    assert priced.price.total_price.value == pytest.approx(14.5 * 4 + 30 + 2 * 200)


def test_they_stand_in_the_order_before_the_pipe_is_laid() -> None:
    assert ordered("line_pipe_order") and ordered("pump_order")
    rows = [row for row in bought(results().options[0], "si") if row.goods == "Pumps, pipe and valves"]
    assert {row.size for row in rows} >= {"sch40 1 1/2 in", "sch40 1 1/2 in gate valve"}
    assert any(row.what == "Pump" and row.of == "two" for row in rows)
