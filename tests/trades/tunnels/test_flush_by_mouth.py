"""Flushing mouth by mouth, by hand."""

import math

import pytest

from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from tests.trades.tunnels.sketch import LINED, Node, cautions, figures, said, sketch

BORE = 3.998 * 0.0254  # m: ASTM D1785, 4 in, average inside diameter
SMALL = 2.049 * 0.0254  # m: 2 in
NODES: list[Node] = [
    ("a", "mouth", (3.7, 0, -0.6)),
    ("j", "junction", (6.0, 0, -0.6)),
    ("den", "chamber", (9.0, 0, -0.6)),
    ("cap", "junction", (6.0, 3, -0.6)),
]
RUNS = [("a", "j"), ("j", "den"), ("j", "cap", "sch40 2 in")]
FLOW = 300 / 60000  # m³/s


def test_velocity_time_and_the_flow_that_would_be_needed() -> None:
    found = sketch(NODES, RUNS, flush_from="cap", flush_flow="300 L/min", flush_speed="1 m/s")
    speeds = figures(found, "flush_velocity")
    assert {name: speed.value for name, speed in speeds.items()} == pytest.approx(
        {"j – cap": FLOW / (math.pi / 4 * SMALL**2), "a – j": FLOW / (math.pi / 4 * BORE**2)}
    )
    assert not cautions(speeds["j – cap"]) and "stays" in cautions(speeds["a – j"])
    volume = math.pi / 4 * (SMALL**2 * 3 + BORE**2 * 2.3)
    assert figures(found, "flush_time")["a"].value == pytest.approx(3 * volume / FLOW, rel=1e-3)
    assert figures(found, "flush_flow_needed")[""].value == pytest.approx(math.pi / 4 * BORE**2)
    assert set(figures(found, "unswept_length")) == {"j – den"}


def test_the_flow_that_is_needed_sweeps_every_run_on_a_way() -> None:
    first = sketch(NODES, RUNS, flush_from="den", flush_flow="300 L/min")
    needed = figures(first, "flush_flow_needed")[""].most  # in the widest that the bore may be
    found = sketch(NODES, RUNS, flush_from="den", flush_flow=f"{needed * 60000 + 0.01} L/min")
    assert not any("stays" in cautions(speed) for speed in figures(found, "flush_velocity").values())


@pytest.mark.parametrize("check", [True, False])
def test_cautions_of_the_flush(check: bool) -> None:
    found = sketch(NODES, RUNS, flush_from="cap", flush_flow="300 L/min", flush_check=check)
    told = cautions(figures(found, "flush_time")["a"])
    assert "Animals out" in told and "every gate on the way" in told and ("runs back" in told) != check


@pytest.mark.parametrize(
    ("start", "fault"), [("nowhere", "no node is called 'nowhere'"), ("a", "no mouth is joined to 'a'")]
)
def test_a_flush_from_nowhere_is_named_and_the_rest_stands(start: str, fault: str) -> None:
    found = sketch(NODES, RUNS, flush_from=start, flush_flow="300 L/min")
    assert fault in said(found) and figures(found, "run_length") and not figures(found, "flush_time")


def test_a_rod_meets_the_bends_between_its_ways_in() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("a", "junction", (6, 0, -0.6)),
        ("b", "junction", (6, 2, -0.6)),
        ("c", "junction", (8, 2, -0.6)),
        ("den", "chamber", (10, 2, -0.6)),
    ]
    bends = figures(sketch(nodes, [("m", "a"), ("a", "b"), ("b", "c"), ("c", "den")]), "rod_bends")
    assert bends["m – den"].value == pytest.approx(180) and "may not pass" in cautions(bends["m – den"])
    straight = figures(sketch([*nodes[:1], ("den", "chamber", (9, 0, -0.6))], [("m", "den")]), "rod_bends")
    assert straight["m – den"].value == 0 and not cautions(straight["m – den"])


def test_a_shut_gate_on_the_way_of_a_flush_is_named() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0.0, -0.6)),
        ("g", "gate", (6.0, 0.0, -0.3)),
        ("den", "chamber", (9.0, 0.0, 0.09)),
    ]
    opened = sketch(nodes, [("m", "g"), ("g", "den")], lining=LINED, flush_from="den", flush_flow="100 L/min")
    project = put(Project(options=(opened.option,)), ("options", 0, "tunnels", "nodes", 1, "shut"), True)
    found = evaluate(project).options[0]
    before, after = figures(opened, "flush_time")["m"], figures(found, "flush_time")["m"]
    assert after.value == before.value
    assert "Gate 'g' on this way is drawn shut" in after.cautions[0].text
    assert not any("drawn shut" in note.text for note in before.cautions)


@pytest.mark.parametrize(
    ("branch", "wanted"),
    [
        # A tee: straight on meets no bend, into the branch 90 degrees from either side.
        ((6.0, 3.0), {"m – den": 0.0, "m – cap": 90.0, "den – cap": 90.0}),
        # A wye of 45 degrees: back into it from the other side it is the rest of 180.
        ((8.0, 2.0), {"m – den": 0.0, "m – cap": 45.0, "den – cap": 135.0}),
        # Branch at 60.255 degrees from the den: a wye and an elbow of 22.5 on it, as counted in the order.
        ((4.8, 2.1), {"m – den": 0.0, "m – cap": 135.0 + 22.5, "den – cap": 45.0 + 22.5}),
    ],
)
def test_a_rod_meets_in_a_branch_what_lies_on_its_own_way(
    branch: tuple[float, float], wanted: dict[str, float]
) -> None:
    nodes: list[Node] = [*NODES[:3], ("cap", "junction", (*branch, -0.6))]
    found = sketch(nodes, [("a", "j"), ("j", "den"), ("j", "cap")])
    bends = {name.replace("a –", "m –"): bend.value for name, bend in figures(found, "rod_bends").items()}
    assert bends == pytest.approx(wanted)
