"""Which fitting stands at a node: by number of runs, angle in space and pipe sizes."""

import math

import pytest

from pondkit.surface.thread import Spot
from pondkit.tunnels.joins import Join, join
from pondkit.tunnels.sizes import added, angle, pipe, stop
from tests.tunnels.sketch import cautions, figures, said, sketch

FOUR, SIX, DRAIN = pipe("sch40 4 in"), pipe("sch40 6 in"), pipe("sdr35 4 in")
WEST = (-1.0, 0.0, 0.0)


def towards(bearing: float, rise: float = 0.0) -> Spot:
    """Unit vector at an angle from east in plan and a rise [degrees]."""
    a, b = math.radians(bearing), math.radians(rise)
    return math.cos(a) * math.cos(b), math.sin(a) * math.cos(b), math.sin(b)


def pair(bend: float, kind: str = "junction") -> Join:
    """A pipe that comes from the west and bends by an angle."""
    return join("n", kind, (FOUR, FOUR), (WEST, towards(bend)))


@pytest.mark.parametrize(
    ("bend", "fitting"),
    [(0, "coupling"), (1.9, "coupling"), (22.5, "elbow 22.5"), (24, "elbow 22.5"), (45, "elbow 45"), (90, "elbow 90")],
)
def test_a_bend_near_a_listed_fitting_gets_it_without_a_word(bend: float, fitting: str) -> None:
    made = pair(bend)
    assert made.counted == (f"sch40 4 in {fitting}",) and not made.cautions
    assert made.stops == (((fitting, "sch40 4 in"),),) * 2


@pytest.mark.parametrize(
    ("bend", "near"),
    [(10, ("coupling", "elbow 22.5")), (30, ("elbow 22.5", "elbow 45")), (70, ("elbow 90", "elbow 45"))],
)
def test_a_bend_that_no_fitting_makes_names_the_two_nearest(bend: float, near: tuple[str, str]) -> None:
    (note,) = pair(bend).cautions
    assert "no single listed fitting" in note.text and all(name in note.text for name in near)
    assert note.terms[0].value == pytest.approx(bend)


def test_the_angle_is_that_in_space() -> None:
    # Level run in, then north while rising at 45°: cos = 0, so a quarter bend; the plan angle alone says so too.
    assert join("n", "junction", (FOUR, FOUR), (WEST, towards(90, 45))).counted == ("sch40 4 in elbow 90",)
    # Straight on in plan, rising at 22.5°: only the space angle sees it.
    assert join("n", "junction", (FOUR, FOUR), (WEST, towards(0, 22.5))).counted == ("sch40 4 in elbow 22.5",)


def test_a_branch_at_a_right_angle_is_a_tee_and_one_at_45_a_wye_with_its_stem_opposite() -> None:
    tee = join("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(90)))
    assert tee.counted == ("sch40 4 in tee",) and not tee.cautions
    assert tee.stops == ((("tee", "sch40 4 in"),),) * 3
    wye = join("n", "junction", (FOUR,) * 3, (WEST, towards(0), towards(45)))
    assert wye.counted == ("sch40 4 in wye",) and not wye.cautions
    # The branch leans to the east run: these two meet at 45°, the west run is the stem.
    assert [ends[0][0] for ends in wye.stops] == ["wye stem", "wye", "wye"]


def test_a_branch_at_no_listed_angle_is_said() -> None:
    made = join("n", "junction", (FOUR,) * 3, (WEST, towards(10), towards(100)))
    assert len(made.cautions) == 2 and "run through bend" in made.cautions[0].text  # bent by 10°, branch 80° off
    assert not join("n", "junction", (FOUR,) * 3, (WEST, towards(2), towards(91))).cautions


def test_sizes_that_differ_take_a_reducer() -> None:
    straight = join("n", "junction", (SIX, FOUR), (WEST, towards(0)))
    assert straight.counted == ("sch40 6 in to sch40 4 in reducer",)
    assert straight.stops == ((), (("reducer", "sch40 4 in"),))
    bent = join("n", "junction", (FOUR, SIX), (WEST, towards(90)))
    assert set(bent.counted) == {"sch40 6 in elbow 90", "sch40 6 in to sch40 4 in reducer"}
    assert bent.stops[0] == (("elbow 90", "sch40 6 in"), ("reducer", "sch40 4 in"))
    # ASTM D1785 4.500 in and D3034 4.215 in outside: never one socket for both.
    assert join("n", "junction", (FOUR, DRAIN), (WEST, towards(0))).counted == ("sch40 4 in to sdr35 4 in reducer",)


def test_ends_gates_mouths_and_chambers() -> None:
    assert join("n", "mouth", (FOUR,), (WEST,)) == Join((), ((),))
    assert join("n", "chamber", (FOUR, SIX), (WEST, towards(0))).counted == (
        "sch40 4 in chamber entry",
        "sch40 6 in chamber entry",
    )
    blind = join("n", "junction", (FOUR,), (WEST,))
    assert blind.counted == ("sch40 4 in cap",) and "blind end" in blind.cautions[0].text
    assert pair(0, "gate").counted == ("sch40 4 in gate",) and not pair(0, "gate").cautions
    assert "A gate is straight" in pair(20, "gate").cautions[0].text


def test_a_caution_of_a_bend_stands_at_the_fitting_and_at_the_cuts_that_hang_on_it() -> None:
    found = sketch(
        [("m", "mouth", (3.8, 0, -0.4)), ("j", "junction", (6, 0, -0.4)), ("e", "chamber", (7, 0.577, -0.4))],
        [("m", "j"), ("j", "e")],
    )
    assert "no single listed fitting" in cautions(figures(found, "fitting_count")["sch40 4 in elbow 22.5"])
    assert all("no single listed fitting" in cautions(cut) for cut in figures(found, "cut_length").values())


@pytest.mark.parametrize(("kind", "runs"), [("junction", 4), ("gate", 3), ("mouth", 2)])
def test_more_runs_than_a_node_can_join_are_a_problem(kind: str, runs: int) -> None:
    ends = [(f"e{n}", "junction", (6 + 2 * math.cos(n), 2 * math.sin(n), -0.4)) for n in range(runs)]
    found = sketch([("n", kind, (6, 0, -0.4)), *ends], [("n", name) for name, _, _ in ends])
    assert f"runs meet at {kind} 'n'" in said(found)


def test_stops_of_one_end_add_up_with_their_ranges() -> None:
    both = added([stop("elbow 90", "sch40 6 in", ()), stop("reducer", "sch40 4 in", ())])
    one, other = stop("elbow 90", "sch40 6 in", ()).size, stop("reducer", "sch40 4 in", ()).size
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
