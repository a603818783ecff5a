"""Which fitting stands at a node: by number of runs, angle in space and pipe sizes."""

import math

import pytest

from pondkit.geometry.line_intersection import Spot
from pondkit.trades.tunnels.joints import AvailableFittings, PipeJoint, Reach
from pondkit.trades.tunnels.joints import joint as fitted
from pondkit.trades.tunnels.sizes import BRANCHES, added, angle, centre_to_stop, pipe
from tests.trades.tunnels.sketch import figures, said, sketch

FOUR, SIX, DRAIN = pipe("sch40 4 in"), pipe("sch40 6 in"), pipe("sdr35 4 in")
WEST = (-1.0, 0.0, 0.0)


ELBOWS = ("elbow 22.5", "elbow 45", "elbow 90")


def joint(
    name: str, kind: str, pipes: tuple, away: tuple, reaches: tuple[Reach, ...] | None = None, most: float = 0.1
) -> PipeJoint:
    """What joins pipes at a node of which every leg may move, its furthest place 1 m off."""
    names = {pipe.name for pipe in pipes}
    stops = {
        (part, name): centre_to_stop(part, pipe(name), ()).size.typical
        for part in (*ELBOWS, *BRANCHES)
        for name in names
    }
    return fitted(
        name, kind, pipes, away, reaches or (1.0,) * len(pipes), AvailableFittings(ELBOWS, stops, 0.045, most)
    )


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
    assert made.moves[0].turn.move <= 0.1


def test_where_nothing_may_move_only_bends_in_one_plane_are_made() -> None:
    fixed = (None, None)
    assert joint("n", "junction", (FOUR, FOUR), (WEST, towards(45)), fixed).counted == ("sch40 4 in elbow 45",)
    both = joint("n", "junction", (FOUR, FOUR), (WEST, towards(67.5)), fixed)
    assert sorted(both.counted) == ["sch40 4 in elbow 22.5", "sch40 4 in elbow 45"] and both.moves[0].turn.move == 0
    none = joint("n", "junction", (FOUR, FOUR), (WEST, towards(30)), fixed)
    assert none.fault is not None and "no listed fitting" in none.fault.text


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
    assert made.moves[-1].turn.move == 0 and made.turns[1:] == (22.5,)
    near = joint("n", "junction", (FOUR,) * 3, (WEST, towards(2), towards(91)))
    assert near.counted == ("sch40 4 in tee",) and 0 < sum(move.turn.move for move in near.moves) < 0.06


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
