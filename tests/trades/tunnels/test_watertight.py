"""What is part of the vessel, by closed forms: a straight rising run out of a lined
pool, and what a grid of places says.
"""

import math

import pytest

from tests.trades.tunnels.sketch import LINED, cautions, figures, said, sketch, value

NODES = [
    ("m", "mouth", (3.7, 0.0, -0.6)),
    ("j", "junction", (5.7, 0.0, -0.4)),
    ("g", "gate", (7.7, 0.0, 0.0)),
    ("den", "chamber", (9.7, 0.0, 0.4)),
]
RUNS = [("m", "j"), ("j", "g"), ("g", "den")]
OUTSIDE = 4.5 * 0.0254  # m: ASTM D1785, 4 in
PLAIN = {"option": {"water_rise": "5 cm"}, "seal_margin": "15 cm"}


def test_joints_outside_the_liner_below_highest_water_and_margin_are_watertight() -> None:
    found = sketch(NODES, RUNS, lining=LINED, **PLAIN)
    joints = figures(found, "joint_below_seal_line")
    # By hand: 0 + 0.05 + 0.15 less the joint's level and half the outside diameter.
    wanted = {"j": 0.2 + 0.4 + OUTSIDE / 2, "g": 0.2 + OUTSIDE / 2, "den": 0.2 - 0.4 + OUTSIDE / 2}
    assert {name: joint.value for name, joint in joints.items()} == pytest.approx(wanted)
    assert value(found, "sealed_joint_count") == 2
    assert "under pressure" in cautions(joints["j"]) and not cautions(joints["den"])


def test_the_length_outside_the_liner_ends_where_the_underside_leaves_the_seal_line() -> None:
    found = sketch(NODES, RUNS, lining=LINED, **PLAIN)
    vessel = figures(found, "vessel_length")
    # The last run rises 0.4 m over 2 m: its centre passes the line and half a diameter at a share of its length.
    share = (0.2 + OUTSIDE / 2) / 0.4
    assert vessel["g – den"].value == pytest.approx(share * math.hypot(2, 0.4), abs=1e-6)
    assert vessel["j – g"].value == pytest.approx(math.hypot(2, 0.4))
    # The first run passes the liner where it comes out of the face: all of it lies outside.
    assert vessel["m – j"].value == pytest.approx(math.hypot(2, 0.2), abs=0.03)


def test_a_higher_water_or_margin_never_needs_fewer_joints() -> None:
    counts = [
        value(
            sketch(NODES, RUNS, lining=LINED, option={"water_rise": "5 cm"}, seal_margin=f"{m} cm"),
            "sealed_joint_count",
        )
        for m in (0, 15, 60)
    ]
    assert counts == sorted(counts) and counts[0] < counts[-1]


def test_a_joint_inside_the_liner_needs_no_seal() -> None:
    inside = [
        ("m", "mouth", (-3.7, 0.0, -0.6)),
        ("j", "junction", (0.0, 0.0, -0.5)),
        ("den", "chamber", (8.0, 0.0, 0.4)),
    ]
    found = sketch(inside, [("m", "j"), ("j", "den")], lining=LINED)
    assert "j" not in figures(found, "joint_below_seal_line")


def test_a_passage_that_opens_to_no_water_is_no_vessel() -> None:
    dry = [("a", "mouth", (9.0, 0.0, 0.0)), ("den", "chamber", (12.0, 0.0, 0.0))]
    found = sketch(dry, [("a", "den")], lining=LINED)
    assert not figures(found, "joint_below_seal_line") and not figures(found, "vessel_length")


def test_couplings_inside_a_long_run_are_joints_too() -> None:
    long = [("m", "mouth", (3.7, 0.0, -0.6)), ("den", "chamber", (12.0, 0.0, -0.2))]
    found = sketch(long, [("m", "den")], lining=LINED)
    assert {"m – den, coupling 1", "m – den, coupling 2", "den"} == set(figures(found, "joint_below_seal_line"))


@pytest.mark.parametrize("runs", [[("m", "j"), ("j", "den")], [("m", "j"), ("j", "den"), ("den", "g")]])
def test_a_gate_that_parts_no_run_is_named_and_the_rest_stands(runs: list[tuple[str, str]]) -> None:
    found = sketch(NODES, runs, lining=LINED)
    assert "gate 'g' stands nowhere" in said(found)
    assert "m – j" in figures(found, "run_length") and found.pools
