"""Water and air in the passages, and the part of the vessel outside the liner: filled shares and watertight lengths
against fine grids and closed forms, caught air and water by hand, dens, falls."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit.drawing.rows import say
from pondkit.trades.tunnels.formulas import filled_share
from tests.trades.tunnels.sketch import LINED, Node, cautions, figures, said, sketch, value

BORE = 3.998 * 0.0254  # m: ASTM D1785, 4 in, average inside diameter


def by_grid(start: float, end: float, length: float, bore: float, water: float) -> float:
    """Share of a cylinder's inside that lies below a level, counted over small cells."""
    upright = math.sqrt(1 - ((end - start) / length) ** 2)
    along = (np.arange(500) + 0.5) / 500
    side = (np.arange(200) + 0.5) / 200 * 2 - 1
    across, up = np.meshgrid(side, side)
    inside = across**2 + up**2 <= 1
    heights = (start + along * (end - start))[:, None] + bore / 2 * up[inside][None, :] * upright
    return float((heights < water).mean())


@settings(max_examples=25, deadline=None)
@given(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3), st.floats(0.7, 3.0), st.floats(0.05, 0.3), st.floats(-0.3, 0.3))
def test_filled_share_is_that_of_a_grid(start: float, end: float, length: float, bore: float, water: float) -> None:
    assert filled_share(start, end, length, bore, water) == pytest.approx(
        by_grid(start, end, length, bore, water), abs=0.012
    )


def test_filled_share_of_level_and_upright_pipe() -> None:
    assert filled_share(0, 0, 2, 0.1, 0) == pytest.approx(0.5)
    # A quarter of the diameter deep: acos(1/2) less sin times cos, over pi, as in every handbook of circular segments.
    assert filled_share(0, 0, 2, 0.1, -0.025) == pytest.approx((math.pi / 3 - math.sqrt(3) / 4) / math.pi)
    assert filled_share(0, 2, 2, 0.1, 0.5) == pytest.approx(0.25)
    assert filled_share(0, 0, 2, 0.1, -0.05) == 0 and filled_share(0, 0, 2, 0.1, 0.05) == pytest.approx(1)


NODES: list[Node] = [
    ("m", "mouth", (3.5, 0, -1.0)),
    ("j", "junction", (6.0, 0, -0.6)),
    ("den", "chamber", (9.0, 0, 0.6)),
]
RUNS = [("m", "j"), ("j", "den")]


def test_full_part_full_and_dry_at_three_levels() -> None:
    found = sketch(NODES, RUNS, lining=LINED, option={"water_rise": "10 cm", "water_fall": "30 cm"})
    shares = {name: figure.value for name, figure in figures(found, "run_filled").items()}
    assert shares["m – j, at rest"] == pytest.approx(1) and shares["m – j, lowest"] == pytest.approx(1)
    # j at -0.6 to den at 0.6: the middle of the pipe passes level 0 half way, +0.1 at 7/12, -0.3 at 1/4.
    assert [shares[f"j – den, {state}"] for state in ("lowest", "at rest", "highest")] == pytest.approx(
        [0.25, 0.5, 7 / 12]
    )


def test_behind_a_hump_that_water_does_not_pass_the_pipe_is_dry() -> None:
    hump: list[Node] = [*NODES[:1], ("j", "junction", (6.0, 0, 0.5)), ("den", "chamber", (9.0, 0, -0.5))]
    shares = figures(sketch(hump, RUNS, lining=LINED), "run_filled")
    assert shares["j – den, highest"].value == 0 and 0 < shares["m – j, at rest"].value < 1


def test_fall_towards_the_pool_and_what_falls_away_or_too_little() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.5, 0, -1)),
        ("a", "junction", (5.5, 0, -1.1)),
        ("b", "junction", (8, 0, -1.09)),
        ("den", "chamber", (10, 0, 0.4)),
    ]
    falls = figures(sketch(nodes, [("m", "a"), ("a", "b"), ("den", "b")], lining=LINED), "fall_to_pool")
    assert falls["m – a"].value == pytest.approx(-0.1 / 2.0, rel=1e-3) and "falls away" in cautions(falls["m – a"])
    assert falls["a – b"].value == pytest.approx(0.004) and "by less than your least fall" in cautions(falls["a – b"])
    assert falls["den – b"].value == pytest.approx(1.49 / 2) and not cautions(falls["den – b"])


def test_a_dip_catches_water_and_a_hump_under_water_catches_air() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.5, 0, -1.0)),
        ("dip", "junction", (5, 0, -1.4)),
        ("hump", "junction", (7, 0, -0.5)),
        ("low", "junction", (9, 0, -0.8)),
        ("den", "chamber", (11, 0, 0.6)),
    ]
    found = sketch(nodes, [("m", "dip"), ("dip", "hump"), ("hump", "low"), ("low", "den")], lining=LINED)
    traps, pockets = figures(found, "water_trap"), figures(found, "air_pocket")
    # Water leaves the dip over the mouth, 0.4 m up; that of the low place over the hump, 0.3 m up.
    assert {name: trap.value for name, trap in traps.items()} == pytest.approx({"dip": 0.4, "low": 0.3})
    # The last bend, from 0.3 down to 1.4 up on 2 m each, is made with 45 degrees: the den's run
    # keeps its length and rises by these.
    den = -0.8 + math.hypot(2, 1.4) * math.sin(math.radians(45) - math.atan(0.3 / 2))
    # No vent anywhere: air leaves hump and den by the mouth only, past the dip's -1.4 m.
    assert {name: pocket.value for name, pocket in pockets.items()} == pytest.approx({"hump": 0.9, "den": den + 1.4})
    assert "depend on it to breathe" in cautions(pockets["hump"])


@pytest.mark.parametrize(("crown", "caught"), [(-0.002, True), (0.002, False)])
def test_air_is_caught_once_water_closes_the_mouth_up_to_its_crown(crown: float, caught: bool) -> None:
    """Water at rest at 0, which does not rise; the only way out of the den's air is the mouth."""
    level = crown - BORE / 2
    nodes: list[Node] = [("m", "mouth", (4 + level / 2, 0, level)), ("den", "chamber", (9.0, 0, 0.6))]
    found = sketch(nodes, [("m", "den")], lining=LINED, option={"water_rise": "0 cm"})
    assert ("den" in figures(found, "air_pocket")) == caught


def test_a_vent_lets_the_dens_air_out_and_makes_it_a_breathing_place() -> None:
    plain = sketch(NODES, RUNS, lining=LINED)
    assert "No vent is entered" in cautions(figures(plain, "den_air")["den"]) and "den" in figures(plain, "air_pocket")
    option = plain.option
    assert option.tunnels is not None
    from pondkit.project.files import put
    from pondkit.project.project import Project
    from pondkit.study.evaluate import evaluate

    vented = put(Project(options=(option,)), ("options", 0, "tunnels", "nodes", 2, "vent"), True)
    found = evaluate(vented).options[0]
    assert "No vent" not in cautions(figures(found, "den_air")["den"]) and not figures(found, "air_pocket")


def test_den_by_hand() -> None:
    found = sketch(NODES, RUNS, lining=LINED, option={"water_rise": "10 cm"})
    floor = 0.6 - BORE / 2
    assert figures(found, "den_above_highest")["den"].value == pytest.approx(floor - 0.1)
    assert figures(found, "den_air")["den"].value == pytest.approx(0.6 * 0.45 * 0.4)
    assert figures(found, "den_lid_cover")["den"].value == pytest.approx(-(floor + 0.4))
    assert figures(found, "den_ports")["den"].value == 1


def test_a_den_below_the_highest_water_is_said_to_flood() -> None:
    low: list[Node] = [*NODES[:2], ("den", "chamber", (9.0, 0, 0.1))]
    found = sketch(low, RUNS, lining=LINED, option={"water_rise": "10 cm"})
    assert "floods" in cautions(figures(found, "den_above_highest")["den"])


@pytest.mark.parametrize(("floor", "floods"), [(-0.25, True), (0.25, False)])
def test_a_den_that_water_stands_in_is_named_with_how_deep_and_how_to_mend_it(floor: float, floods: bool) -> None:
    """Water at rest at 0; the floor lies at the pipe's invert, half the bore under its centre line."""
    nodes: list[Node] = [("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (9.0, 0, floor + BORE / 2))]
    found = sketch(nodes, [("m", "den")], lining=LINED)
    told = [say(problem.given, "si") for problem in found.problems]
    assert any("the floor of den 'den' lies 25 cm under" in text for text in told) == floods
    assert figures(found, "cut_length") and found.whole


def test_a_den_beyond_a_high_place_stays_dry() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("top", "junction", (6.0, 0, 0.4)),
        ("den", "chamber", (8.3, 0, -0.6)),
    ]
    found = sketch(nodes, [("m", "top"), ("top", "den")], lining=LINED)
    assert not any("floor of den" in problem.given.text for problem in found.problems)


RISING_NODES = [
    ("m", "mouth", (3.7, 0.0, -0.6)),
    ("j", "junction", (5.7, 0.0, -0.4)),
    ("g", "gate", (7.7, 0.0, 0.0)),
    ("den", "chamber", (9.7, 0.0, 0.4)),
]
RISING_RUNS = [("m", "j"), ("j", "g"), ("g", "den")]
OUTSIDE = 4.5 * 0.0254  # m: ASTM D1785, 4 in
PLAIN = {"option": {"water_rise": "5 cm"}, "seal_margin": "15 cm"}


def test_joints_outside_the_liner_below_highest_water_and_margin_are_watertight() -> None:
    found = sketch(RISING_NODES, RISING_RUNS, lining=LINED, **PLAIN)
    joints = figures(found, "joint_below_seal_line")
    # By hand: 0 + 0.05 + 0.15 less the joint's level and half the outside diameter.
    wanted = {"j": 0.2 + 0.4 + OUTSIDE / 2, "g": 0.2 + OUTSIDE / 2, "den": 0.2 - 0.4 + OUTSIDE / 2}
    assert {name: joint.value for name, joint in joints.items()} == pytest.approx(wanted)
    assert value(found, "sealed_joint_count") == 2
    assert "under pressure" in cautions(joints["j"]) and not cautions(joints["den"])


def test_the_length_outside_the_liner_ends_where_the_underside_leaves_the_seal_line() -> None:
    found = sketch(RISING_NODES, RISING_RUNS, lining=LINED, **PLAIN)
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
            sketch(RISING_NODES, RISING_RUNS, lining=LINED, option={"water_rise": "5 cm"}, seal_margin=f"{m} cm"),
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
    found = sketch(RISING_NODES, runs, lining=LINED)
    assert "gate 'g' closes nothing" in said(found)
    assert "m – j" in figures(found, "run_length") and found.pools


def test_of_two_high_points_at_one_level_the_air_is_caught_once() -> None:
    """A level crown between two bends, both 0.9 m over the dip by which alone the air can leave."""
    nodes: list[Node] = [
        ("m", "mouth", (3.5, 0, -1.0)),
        ("dip", "junction", (5, 0, -1.4)),
        ("near", "junction", (6, 0, -0.5)),
        ("far", "junction", (8, 0, -0.5)),
        ("low", "junction", (9, 0, -0.8)),
    ]
    runs = [("m", "dip"), ("dip", "near"), ("near", "far"), ("far", "low")]
    pockets = figures(sketch(nodes, runs, lining=LINED), "air_pocket")
    assert list(pockets) == ["near"]
