"""Fittings at nodes and bends made of them: by number of runs, angle in space and pipe sizes; against enumeration over
all pairs and all ways to turn them, and on whole lines."""

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pondkit.geometry.line_intersection import Spot
from pondkit.study.evaluate import OptionResult
from pondkit.trades.tunnels import joints
from pondkit.trades.tunnels.joints import (
    BRANCHES,
    AvailableFittings,
    FarDistance,
    PipeJoint,
    added,
    angle,
    centre_to_stop,
    pipe,
)
from pondkit.trades.tunnels.joints import joint as fitted
from tests.trades.tunnels.sketch import LINED, POOL, Node, cautions, figures, said, sketch, value

FOUR, SIX, DRAIN = pipe("sch40 4 in"), pipe("sch40 6 in"), pipe("sdr35 4 in")
WEST = (-1.0, 0.0, 0.0)


ELBOWS = ("elbow 22.5", "elbow 45", "elbow 90")


def joint(
    name: str,
    kind: str,
    pipes: tuple,
    away: tuple,
    reaches: tuple[FarDistance, ...] | None = None,
    most: float = 0.1,
    take_up: float = 0.00635,
) -> PipeJoint:
    """What joins pipes at a node of which every leg may move, its furthest place 1 m off."""
    names = {pipe.name for pipe in pipes}
    stops = {
        (part, name): centre_to_stop(part, pipe(name), ()).size.typical
        for part in (*ELBOWS, *BRANCHES)
        for name in names
    }
    available = AvailableFittings(ELBOWS, stops, 0.045, most, take_up)
    return fitted(name, kind, pipes, away, reaches or (1.0,) * len(pipes), available)


def towards(bearing: float, rise: float = 0.0) -> Spot:
    """Unit vector at an angle from east in plan and a rise [degrees]."""
    a, b = math.radians(bearing), math.radians(rise)
    return math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.sin(b)


def pair(bend: float, kind: str = "junction") -> PipeJoint:
    """A pipe that comes from the west and bends by an angle."""
    return joint("n", kind, (FOUR, FOUR), (WEST, towards(bend)))


@pytest.mark.parametrize(
    ("bend", "fitting"),
    [(0, "coupling"), (1.9, "coupling"), (22.5, "elbow 22.5"), (24, "elbow 22.5"), (45, "elbow 45"), (90, "elbow 90")],
)
def test_a_bend_near_a_listed_fitting_gets_it_without_a_word(bend: float, fitting: str) -> None:
    made = pair(bend)
    assert made.counted == (f"sch40 4 in {fitting}",) and not made.cautions
    assert made.stops == (((fitting, FOUR),),) * 2


@pytest.mark.parametrize("bend", [10, 31, 70, 130])
def test_a_bend_further_off_takes_two_fittings_turned_against_each_other(bend: float) -> None:
    made = pair(bend)
    assert len(made.counted) == 2 and len(made.stubs) == 1 and made.fault is None
    assert "turned against each other" in made.cautions[0].text
    assert made.moves[0].bend.move <= 0.1


def test_where_nothing_may_move_only_bends_in_one_plane_are_made() -> None:
    fixed = (None, None)
    assert joint("n", "junction", (FOUR, FOUR), (WEST, towards(45)), fixed).counted == ("sch40 4 in elbow 45",)
    both = joint("n", "junction", (FOUR, FOUR), (WEST, towards(67.5)), fixed)
    assert sorted(both.counted) == ["sch40 4 in elbow 22.5", "sch40 4 in elbow 45"] and both.moves[0].bend.move == 0
    none = joint("n", "junction", (FOUR, FOUR), (WEST, towards(30)), fixed)
    assert none.fault is not None and "no listed fitting" in none.fault.text


@pytest.mark.parametrize("take_up", [0.0, 0.00635, 0.02])
def test_where_nothing_may_move_a_bend_is_off_by_what_setting_out_takes_up(take_up: float) -> None:
    """A place 1 m off moves by 2 sin of half the angle; the branch of a tee likewise."""
    most = math.degrees(2 * math.asin(take_up / 2))
    for off, made in ((most - 0.01, True), (most + 0.01, False)):
        pair = joint("n", "junction", (FOUR, FOUR), (WEST, towards(45 + off)), (None, None), take_up=take_up)
        three = (WEST, towards(0), towards(90 + off))
        branch = joint("n", "junction", (FOUR,) * 3, three, (None, None, None), take_up=take_up)
        assert [pair.fault is None, branch.fault is None] == [made and off >= 0] * 2


def test_the_angle_is_that_in_space() -> None:
    # Level run in, then north while rising at 45°: cos = 0, so a quarter bend; the plan angle alone says so too.
    assert joint("n", "junction", (FOUR, FOUR), (WEST, towards(90, 45))).counted == ("sch40 4 in elbow 90",)
    # Straight on in plan, rising at 22.5°: only the space angle sees it.
    assert joint("n", "junction", (FOUR, FOUR), (WEST, towards(0, 22.5))).counted == ("sch40 4 in elbow 22.5",)


def test_a_branch_at_a_right_angle_is_a_tee_and_one_at_45_a_wye_with_its_stem_opposite() -> None:
    tee = joint("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(90)))
    assert tee.counted == ("sch40 4 in tee",) and not tee.cautions
    assert tee.stops == ((("tee", FOUR),),) * 3
    wye = joint("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(45)))
    assert wye.counted == ("sch40 4 in wye",) and not wye.cautions
    # The branch leans to the east run: these two meet at 45°, the west run is the stem.
    assert [ends[0][0] for ends in wye.stops] == ["wye stem", "wye", "wye"]


def test_a_branch_off_the_listed_angles_takes_an_elbow_behind_the_branch() -> None:
    made = joint("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(67.5)))
    # A tee less a 22.5, or a wye and a 22.5, in one plane: nothing moves.
    assert made.counted[0] in ("sch40 4 in wye", "sch40 4 in tee") and made.counted[1:] == ("sch40 4 in elbow 22.5",)
    assert made.moves[-1].bend.move == 0 and made.turns[1:] == (22.5,)
    near = joint("n", "junction", (FOUR,) * 3, (WEST, towards(2), towards(91)))
    assert near.counted == ("sch40 4 in tee",) and 0 < sum(move.bend.move for move in near.moves) < 0.06


def test_a_branch_that_nothing_makes_where_nothing_may_move_is_a_fault() -> None:
    made = joint("n", "junction", (FOUR,) * 3, (WEST, towards(10), towards(100)), (None, None, None))
    assert made.fault is not None and "three pipes meet" in made.fault.text


def test_sizes_that_differ_take_a_reducer() -> None:
    straight = joint("n", "junction", (SIX, FOUR), (WEST, towards(0)))
    assert straight.counted == ("sch40 6 in to sch40 4 in reducer",)
    assert straight.stops == ((), (("reducer", FOUR),))
    bent = joint("n", "junction", (FOUR, SIX), (WEST, towards(90)))
    assert set(bent.counted) == {"sch40 6 in elbow 90", "sch40 6 in to sch40 4 in reducer"}
    assert bent.stops[0] == (("elbow 90", SIX), ("reducer", FOUR))
    # ASTM D1785 4.500 in and D3034 4.215 in outside: never one socket for both.
    assert joint("n", "junction", (FOUR, DRAIN), (WEST, towards(0))).counted == ("sch40 4 in to sdr35 4 in reducer",)


def test_ends_gates_mouths_and_chambers() -> None:
    assert joint("n", "mouth", (FOUR,), (WEST,)) == PipeJoint((), ((),))
    assert joint("n", "chamber", (FOUR, SIX), (WEST, towards(0))).counted == (
        "sch40 4 in chamber entry",
        "sch40 6 in chamber entry",
    )
    blind = joint("n", "junction", (FOUR,), (WEST,))
    assert blind.counted == ("sch40 4 in cap",) and "blind end" in blind.cautions[0].text
    assert pair(0, "gate").counted == ("sch40 4 in gate",) and not pair(0, "gate").cautions
    assert "A gate is straight" in pair(20, "gate").cautions[0].text


def test_a_bend_that_no_listed_fittings_make_is_named_placed_and_mended_and_the_rest_stands() -> None:
    nodes = [
        ("m", "mouth", (3.8, 0, -0.4)),
        ("j", "junction", (6, 0, -0.4)),
        ("k", "junction", (8, 0.9, -0.4)),
        ("e", "chamber", (10, 0.9, 0.3)),
    ]
    found = sketch(nodes, [("m", "j"), ("j", "k"), ("k", "e")], elbows="90", most_move="1 cm")
    assert "at 'j': no listed fitting" in said(found) and "list more elbows" in said(found)
    assert found.problems[0].path == ("tunnels", "nodes", 1, "at")
    assert "m – j" in figures(found, "run_length") and "k – e" not in figures(found, "line_move")


@pytest.mark.parametrize(("kind", "runs"), [("junction", 4), ("gate", 3), ("mouth", 2)])
def test_more_runs_than_a_node_can_join_are_a_problem(kind: str, runs: int) -> None:
    ends = [(f"e{n}", "junction", (6 + 2 * math.cos(n), 2 * math.sin(n), -0.4)) for n in range(runs)]
    found = sketch([("n", kind, (6, 0, -0.4)), *ends], [("n", name) for name, _, _ in ends])
    assert f"runs meet at {kind} 'n'" in said(found)


def test_stops_of_one_end_add_up_with_their_ranges() -> None:
    both = added(
        [centre_to_stop("elbow 90", pipe("sch40 6 in"), ()), centre_to_stop("reducer", pipe("sch40 4 in"), ())]
    )
    one, other = (
        centre_to_stop("elbow 90", pipe("sch40 6 in"), ()).size,
        centre_to_stop("reducer", pipe("sch40 4 in"), ()).size,
    )
    assert (both.low, both.typical, both.high) == pytest.approx(
        (one.low + other.low, one.typical + other.typical, one.high + other.high)
    )


def test_angles_of_the_table_are_those_in_the_names() -> None:
    assert [angle(name) for name in ("elbow 22.5", "elbow 45", "elbow 90", "tee", "wye", "coupling")] == [
        22.5,
        45,
        90,
        90,
        45,
        0,
    ]


LISTED = {"elbow 22.5": 22.5, "elbow 45": 45.0, "elbow 90": 90.0}
FIRSTS = [("coupling", 0.0), *LISTED.items()]


def by_turning(bend: float, a: float, b: float, spacing: float) -> float | None:
    """Least shift at right angles to the bend by which two elbows join the lines: the first is turned in small steps.

    The line comes in along x, goes out in the x-y plane. The piece between the elbows makes ``a`` with the first; it is
    kept where it makes ``b`` with the second.
    """
    turns = np.radians(np.arange(0.0, 360.0, 0.002))
    sin, cos = math.sin(math.radians(a)), math.cos(math.radians(a))
    piece = np.stack([np.full_like(turns, cos), sin * np.cos(turns), sin * np.sin(turns)], axis=1)
    out = np.array([math.cos(math.radians(bend)), math.sin(math.radians(bend)), 0.0])
    makes = np.degrees(np.arccos(np.clip(piece @ out, -1, 1)))
    kept = np.abs(makes - b) < 0.01
    return float(np.abs(piece[kept, 2]).min()) * spacing if kept.any() else None


@settings(max_examples=24, deadline=None)
@given(st.floats(3, 175), st.floats(0.2, 4))
def test_no_enumerated_way_has_fewer_fittings_or_moves_less(bend: float, far: float) -> None:
    spacing = dict.fromkeys(itertools.product(LISTED, LISTED), 0.15)
    most = 0.12
    found = joints.best_bend(list(joints.possible_bends(bend, FIRSTS, list(LISTED.items()), spacing, far)), most)
    # One fitting: the line beyond swings by what its angle is off; two: the least shift over all ways to turn them.
    ones = [2 * far * math.sin(math.radians(abs(made - bend)) / 2) for _, made in FIRSTS]
    twos = [
        move
        for a, b in itertools.combinations_with_replacement(LISTED.values(), 2)  # either order shifts alike
        if (move := by_turning(bend, a, b, 0.15)) is not None
    ]
    good_ones, good_twos = [m for m in ones if m <= most], [m for m in twos if m <= most]
    assume(all(abs(move - most) > 0.004 for move in (*ones, *twos)))  # the steps of the enumeration leave these open
    if good_ones:
        assert found is not None and len(found.fittings) == 1 and found.move == pytest.approx(min(good_ones))
    elif good_twos:
        assert found is not None and len(found.fittings) == 2 and found.move == pytest.approx(min(good_twos), abs=0.004)
    else:
        assert found is None


@settings(max_examples=60, deadline=None)
@given(st.floats(2, 178), st.sampled_from(list(itertools.product(LISTED.values(), repeat=2))))
def test_two_fittings_close_the_line(bend: float, pair: tuple[float, float]) -> None:
    made = joints.bend_of_two(bend, ("a", pair[0]), ("b", pair[1]), 0.2)
    assert (made is not None) == (abs(pair[0] - pair[1]) <= bend <= sum(pair))
    if made is None:
        return
    into = np.array([1.0, 0.0, 0.0])
    out = np.array([math.cos(math.radians(bend)), math.sin(math.radians(bend)), 0.0])
    first = -made.setback[0] * into
    second = made.setback[1] * out + np.array([0.0, 0.0, made.move])
    piece = second - first
    assert np.linalg.norm(piece) == pytest.approx(0.2, rel=1e-5)
    assert piece @ into / 0.2 == pytest.approx(math.cos(math.radians(pair[0])), abs=1e-5)
    assert piece @ out / 0.2 == pytest.approx(math.cos(math.radians(pair[1])), abs=1e-5)


def test_in_one_plane_two_eighth_bends_are_those_of_an_offset() -> None:
    made = joints.bend_of_two(90, ("a", 45), ("b", 45), 0.2)
    # Reference notes 9.2: the travel of an offset is 1.4142 times the offset.
    assert made is not None and made.move == 0 and made.setback == pytest.approx((0.2 / math.sqrt(2),) * 2)


def line(bend: float, second: float = 0.0) -> list[Node]:
    """A mouth, two bends in plan, and a blind end, each leg 2 m."""
    a, b = math.radians(bend), math.radians(bend + second)
    k = (6 + 2 * math.cos(a), 2 * math.sin(a), -0.4)
    den = (k[0] + 2 * math.cos(b), k[1] + 2 * math.sin(b), -0.4)
    return [
        ("m", "mouth", (3.8, 0, -0.4)),
        ("j", "junction", (6, 0, -0.4)),
        ("k", "junction", k),
        ("den", "junction", den),
    ]


RUNS = [("m", "j"), ("j", "k"), ("k", "den")]


def shape(found: OptionResult) -> dict[str, tuple[float, float, float]]:
    assert found.tunnels is not None
    return {name: place for name, _, place in found.tunnels.places}


def test_the_line_beyond_is_turned_as_one_and_the_mouth_stays() -> None:
    found = sketch(line(44, 23), RUNS, most_move="20 cm")
    pipes = found.tunnels
    assert pipes is not None and not found.problems
    placed = shape(found)
    assert placed["m"] == shape(sketch(line(45, 22.5), RUNS))["m"] and placed["j"] == pytest.approx((6, 0, -0.4))
    # Made from 45 and 22.5 exactly: the places of a line that is drawn so.
    for name, _, place in line(45, 22.5)[2:]:
        assert placed[name] == pytest.approx(place, abs=1e-9)
    moves = figures(found, "line_move")
    assert moves["k"].value == pytest.approx(2 * 2 * math.sin(math.radians(0.5) / 2))
    assert figures(found, "node_moved")["den"].value == pytest.approx(math.dist(placed["den"], line(44, 23)[3][2]))


def rising(at: float) -> list[Node]:
    """A passage that is level up to a node and rises to its den from there, drawn as steep as ``at`` degrees."""
    up = math.radians(at)
    return [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("j", "junction", (6, 0, -0.6)),
        ("den", "chamber", (6 + 2 * math.cos(up), 0, -0.6 + 2 * math.sin(up))),
    ]


WORKS: dict[str, Any] = {
    "site": {"groundwater": -0.2, "ground": {"kind": "level", "level": 0.4}},
    "option": {
        "water_rise": 0,
        "dig": {"benchmark": 0, "bedding": "10 cm"},
        "earth": {},
        "animals": {"kinds": [{"name": "turtle", "den_dryness": "20 cm"}]},
    },
    "lining": LINED,
    "trench_room": "15 cm",
    "most_move": "30 cm",
}


def test_every_figure_holds_for_the_line_as_fittings_make_it() -> None:
    """A line drawn at 27 degrees is built at 22.5: each figure is that of the line drawn so, and
    what says the move is all that is left.
    """
    places_drawn, as_built = (sketch(rising(at), [*RUNS[:1], ("j", "den")], **WORKS) for at in (27, 22.5))
    own = {"line_move", "node_moved"}
    drawn = {(key, figure.subject): figure for key, figure in places_drawn.entries() if key not in own}
    built = {(key, figure.subject): figure for key, figure in as_built.entries() if key not in own}
    assert drawn.keys() == built.keys() and {"den_above_highest", "pipe_trench_volume", "demand_dry", "dig_level"} <= {
        key for key, _ in drawn
    }
    for name, figure in drawn.items():
        assert figure.value == pytest.approx(built[name].value, rel=1e-6, abs=1e-9), name
    # By hand: the den's floor is half the bore (3.998 in) under its node, 2 m up the run at 22.5 degrees.
    floor = -0.6 + 2 * math.sin(math.radians(22.5)) - 3.998 * 0.0254 / 2
    assert drawn["den_above_highest", "den"].value == pytest.approx(floor)
    assert not figures(as_built, "node_moved") and list(figures(places_drawn, "node_moved")) == ["den"]


def test_the_levels_to_dig_by_are_those_of_the_node_as_it_is_set() -> None:
    found = sketch(rising(27), [*RUNS[:1], ("j", "den")], **WORKS)
    levels = {figure.subject: figure.value for key, figure in found.entries() if key == "dig_level"}
    # Outside diameter 4.5 in, bedding 10 cm under it.
    under = -0.6 + 2 * math.sin(math.radians(22.5)) - 4.5 * 0.0254 / 2
    assert levels["den: trench"] == pytest.approx(under - 0.1)


def test_a_shifted_line_starts_beside_its_node_and_keeps_its_length() -> None:
    """Two elbows of 22.5 make 30 in plan: the line beyond lies higher by what of their spacing leaves the plane."""
    found = sketch(line(30), RUNS, most_move="20 cm", elbows="22.5, 45", socket="4 cm")
    assert not found.problems and found.tunnels is not None
    # The piece between lies over the bisector, and makes 22.5 with both legs, which make 15 with the bisector.
    aside = math.sqrt(1 - (math.cos(math.radians(22.5)) / math.cos(math.radians(15))) ** 2)
    shift = (2 * centre_to_stop("elbow 22.5", pipe("sch40 4 in"), ()).size.typical + 2 * 0.04) * aside
    assert shift > 0.02 and figures(found, "line_move")["j"].value == pytest.approx(shift)
    start, end = next((start, end) for name, start, end, _ in found.tunnels.lines if name == "j – k")
    assert start == pytest.approx((6, 0, -0.4 + shift)) and shape(found)["j"] == pytest.approx((6, 0, -0.4))
    assert end == shape(found)["k"] == pytest.approx((*line(30)[2][2][:2], -0.4 + shift))
    assert math.dist(start, end) == pytest.approx(2.0) and value(found, "run_length", "j – k") == pytest.approx(2.0)


def test_a_run_that_fittings_bring_into_a_pool_is_measured_and_said() -> None:
    """Drawn 20 degrees off, the line beyond is made straight on: through the liner
    of a pool that it passes by as drawn.
    """
    off = math.radians(20)
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.4)),
        ("j", "junction", (6, 0, -0.4)),
        ("e", "junction", (6 + 2.6 * math.cos(off), 2.6 * math.sin(off), -0.4)),
    ]
    beside = POOL | {"name": "beside", "at": [8.6, -0.6], "outline": {"shape": "rectangle", "length": 2, "width": 1.8}}
    beside["tiers"] = [{"zone": "deep", "depth": 0.8, "batter": 0.5}]
    lining = {"liners": [{"name": "liner", "covers": ["pool", "beside"]}]}
    by, into = (
        sketch(nodes, [("m", "j"), ("j", "e")], [POOL, beside], lining, elbows="90", most_move=most)
        for most in ("1 cm", "1 m")
    )
    assert "without moving the line" in said(by) and not into.problems
    assert "j – e / beside" not in figures(by, "penetration_depth")
    assert figures(into, "penetration_depth")["j – e / beside"].value == pytest.approx(0.4)
    assert "its fittings moved it" in cautions(figures(into, "penetration_depth")["j – e / beside"])
    # Straight on at y = 0 its end lies at x = 8.6; the face there, 0.4 down a batter of 0.5, begins at 7.6 + 0.2.
    assert value(into, "run_in_water", "j – e") == pytest.approx(8.6 - 7.8, abs=1e-3)
    assert value(by, "run_in_water", "j – e") == 0


def test_angles_that_fit_move_nothing() -> None:
    found = sketch(line(45, 22.5), RUNS)
    assert not figures(found, "line_move") and not figures(found, "node_moved")
    assert value(found, "sharpest_bend", "j") == 45


def test_two_elbows_shorten_both_runs_and_add_their_piece_to_the_cuts() -> None:
    found, plain = sketch(line(67.5), RUNS, most_move="2 cm", socket="4 cm"), sketch(line(90), RUNS, socket="4 cm")
    assert {"sch40 4 in elbow 22.5", "sch40 4 in elbow 45"} <= set(figures(found, "fitting_count"))
    cuts = figures(found, "cut_length")
    assert cuts["j, between fittings"].value == pytest.approx(0.08)
    assert cuts["m – j"].value < plain.tunnels.runs.run_length[0].value  # type: ignore[union-attr]
    assert figures(found, "pipe_lengths_to_buy") and not found.problems


def test_a_cut_shorter_than_its_sockets_is_named_and_mended() -> None:
    nodes = line(45, 22.5)
    nodes[2] = ("k", "junction", (6 + 0.17 * math.cos(math.pi / 4), 0.17 * math.sin(math.pi / 4), -0.4))
    nodes[3] = (
        "den",
        "chamber",
        (nodes[2][2][0] + math.cos(math.radians(67.5)), nodes[2][2][1] + math.sin(math.radians(67.5)), -0.4),
    )
    found = sketch(nodes, RUNS, socket="5 cm")
    assert "depth of its sockets" in said(found) and "k – den" in figures(found, "cut_length")


def test_the_tightest_way_round_a_branch_is_said() -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.8, 0, -0.4)),
        ("y", "junction", (6, 0, -0.4)),
        ("den", "chamber", (9, 0, -0.4)),
        ("b", "chamber", (8, 2, -0.4)),
    ]
    found = sketch(nodes, [("m", "y"), ("y", "den"), ("y", "b")])
    assert value(found, "tightest_branch", "y") == 135


@pytest.mark.parametrize("bearing", [55.0, 67.5, 112.5, 120.0])
def test_a_branch_set_along_the_pipe_takes_from_one_leg_what_it_gives_the_other(bearing: float) -> None:
    """Moved along a straight pipe, a branch leaves the pipe as long as it was."""
    made = joint("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(bearing)))
    assert made.fault is None and len(made.turns) == 2
    assert made.setbacks[0] == pytest.approx(-made.setbacks[1]) and abs(made.setbacks[0]) > 0.01


@pytest.mark.parametrize("aside", [0.0, 1e-12, 1e-9])
def test_two_runs_upon_each_other_are_named_not_divided_by_nothing(aside: float) -> None:
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("j", "junction", (6, 0, -0.6)),
        ("back", "junction", (4.5, aside, -0.6)),
    ]
    found = sketch(nodes, [("m", "j"), ("j", "back")], most_move="1.8 m")
    assert "at 'j': no listed fitting" in said(found) and figures(found, "run_length")
