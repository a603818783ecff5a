"""Where a machine stands to what is buried, heaped and walled, and trenches to
what is kept clear: distances by hand.
"""

from typing import Any

import pytest

from pondkit.drawing.rows import say
from pondkit.geometry.trench import DROP, TrenchCut
from pondkit.study.evaluate import OptionResult
from tests.trades.tunnels.sketch import Node, cautions, figures, sketch

OUTSIDE = 4.5 * 0.0254  # m: 4 in pipe, ASTM D1785
WALL = 1 * 0.0254  # m: of the den's box, the default
# Out of the west end of the pool's 8 m, straight to a den; the last run lies level.
NODES: list[Node] = [
    ("door", "mouth", (-3.7, 0.0, -0.6)),
    ("bend", "junction", (-6.0, 0.0, -0.6)),
    ("den", "chamber", (-12.0, 0.0, -0.6)),
]
RUNS = [("door", "bend"), ("bend", "den")]
SIZE = 1.0  # m: from the machine's middle to its furthest corner
CHART = [
    {"radius": f"{out} m", "height": f"{high} m", "front": "9000 kg", "side": "9000 kg"}
    for out in (2, 20)
    for high in (-4, 8)
]


def worked(at: tuple[float, float], site: dict[str, Any] | None = None, **option: Any) -> OptionResult:
    """A machine at a place, beside the passage; stones wait far from everything."""
    position = {"name": "here", "at": list(at), "pick_up": [at[0] - 6, at[1] + 3]}
    lifting = {"size": SIZE, "positions": [position], "chart": CHART}
    return sketch(NODES, RUNS, site={"soil": "clay"} | (site or {}), option={"lifting": lifting} | option)


def faults(result: OptionResult) -> list[str]:
    return [say(problem.given, "si") for problem in result.problems]


@pytest.mark.parametrize("north", [2.8, 3.5])
def test_the_set_back_from_a_pipe_trench_is_the_slope_of_the_soil(north: float) -> None:
    """Clay stands at 1 to 1 (29 CFR 1926 Subpart P, type B); ground at 0, bottom under the
    pipe; no room beside it is entered.
    """
    result = worked((-9.0, north))
    (spare,) = figures(result, "set_back_spare").values()
    depth = 0.6 + OUTSIDE / 2
    edge = north - OUTSIDE / 2 - SIZE
    assert spare.subject == "here / trench of bend – den"
    assert spare.value == pytest.approx(min(edge - depth, edge - 2 * 0.3048), abs=1e-3)


def test_a_machine_on_a_den_or_over_a_trench_is_placed() -> None:
    assert "the machine stands in 'pit of den'" in faults(worked((-12.2, 0.0)))
    assert "the machine stands in 'trench of bend – den'" in faults(worked((-9.0, 0.0)))
    assert any("too near the dig of 'trench of bend – den'" in text for text in faults(worked((-9.0, 1.2))))
    assert not any("machine" in text for text in faults(worked((-9.0, 5.0))))


def test_a_trench_that_falls_is_no_deeper_than_its_own_places() -> None:
    cut = TrenchCut("run", (0.0, 0.0, -0.4), (10.0, 0.0, -1.4), 0.3)
    holes = cut.as_holes()
    assert sum(hole.foot.area for hole in holes) == pytest.approx(cut.area.area) == pytest.approx(3.0)
    for hole in holes:
        west, _, east, _ = hole.foot.bounds
        assert hole.bottom == pytest.approx(-0.4 - 0.1 * east)
        assert 0.1 * (east - west) <= DROP + 1e-9


def test_a_machine_on_a_berm_is_placed_and_beside_its_toe_it_is_not() -> None:
    """A top of 8 x 2 m at 0.5 m, sides 2 to 1: its toe lies 1 m further out."""
    berm = {
        "outline": {"shape": "rectangle", "length": "8 m", "width": "2 m"},
        "at": ["0 m", "14 m"],
        "side_slope": 2,
        "top_level": "50 cm",
    }
    toe = 14 - 1 - 1
    assert "the machine stands on 'berm'" in faults(worked((0.0, toe - SIZE + 0.05), earth={"berm": berm}))
    assert not any("stands on" in text for text in faults(worked((0.0, toe - SIZE - 0.05), earth={"berm": berm})))


def test_what_is_heaped_after_the_lifts_is_no_hindrance_but_is_said() -> None:
    berm = {
        "outline": {"shape": "rectangle", "length": "8 m", "width": "2 m"},
        "at": ["0 m", "14 m"],
        "side_slope": 2,
        "top_level": "50 cm",
    }
    position = {"name": "here", "at": [0, 14], "pick_up": [-6, 17]}
    plan = {"size": SIZE, "positions": [position], "chart": CHART}
    stone = {"boulders": [{"name": "seat", "axes": ["1 m", "80 cm", "50 cm"], "places": [["0 m", "22 m"]]}]}
    found = {
        when: worked((0.0, 14.0), lifting=plan | {"heaped": when}, earth={"berm": berm}, stone=stone)
        for when in ("before the lifts", "after the lifts")
    }
    assert "the machine stands on 'berm'" in faults(found["before the lifts"])
    assert not any("stands on" in text for text in faults(found["after the lifts"]))
    (swing,) = figures(found["after the lifts"], "swing_use").values()
    assert "where 'berm' is to be heaped" in cautions(swing)


@pytest.mark.parametrize(("north", "presses"), [(10 + 2.35, True), (10 + 2.45, False), (10 - 2.0, False)])
def test_a_machine_within_a_walls_height_behind_it_presses_on_it(north: float, presses: bool) -> None:
    """A wall 2.4 m high along y = 10 m going west to east: backfill on its left, the north.
    ``north`` is the nearer end of its tracks.
    """
    course = {"height": "1.2 m", "width": "0.8 m", "set_back": "0 m"}
    wall = {
        "name": "terrace",
        "base_level": "0 m",
        "points": [["-3 m", "10 m"], ["3 m", "10 m"]],
        "courses": [course, course],
    }
    stone = {"boulders": [{"name": "seat", "axes": ["1 m", "80 cm", "50 cm"], "places": [["0 m", "18 m"]]}]}
    middle = north + SIZE if north > 10 else north - SIZE
    result = worked((0.0, middle), walls={"walls": [wall]}, stone=stone)
    swing = figures(result, "swing_use")
    assert swing
    assert [
        ("nearer to it than the wall is high, and presses on it" in cautions(figure)) for figure in swing.values()
    ] == [presses] * len(swing)


def test_trenches_and_dens_are_held_against_what_is_kept_clear() -> None:
    """A cable from south to north 9 m west of the pool's middle runs over the passage;
    another lies 2 m beyond the den's box.
    """
    beyond = -12.0 - 0.6 - WALL - 2.0
    keep_outs = [
        {
            "name": "cable",
            "kind": "buried service",
            "clearance": "50 cm",
            "points": [["-9 m", "-20 m"], ["-9 m", "20 m"]],
        },
        {
            "name": "gas",
            "kind": "buried service",
            "clearance": "50 cm",
            "points": [[f"{beyond} m", "-20 m"], [f"{beyond} m", "20 m"]],
        },
    ]
    found = figures(worked((-9.0, 9.0), site={"keep_outs": keep_outs}), "keep_out_distance")
    assert found["trench of bend – den / cable"].value == 0
    assert "Runs into 'cable'" in cautions(found["trench of bend – den / cable"])
    assert found["pit of den / gas"].value == pytest.approx(2.0, abs=1e-6)
    assert not found["pit of den / gas"].cautions
    assert {subject for subject in found if subject.startswith(("trench", "pit"))} == {
        "trench of bend – den / cable",
        "pit of den / gas",
    }


@pytest.mark.parametrize(
    ("waits", "said"),
    [
        ((0.0, 0.0), "the staging area lies in 'pool'"),
        ((-9.0, 0.0), "the staging area lies in 'trench of bend – den'"),
        ((0.0, 3.3), "from the edge of the dig of 'pool'"),
        ((0.0, 4.5), ""),
    ],
)
def test_stones_wait_off_every_dig_and_two_feet_from_its_edge(waits: tuple[float, float], said: str) -> None:
    """29 CFR 1926.651(j)(2): materials at least 2 ft from the edge. The pool is 6 m wide, its bank rises 5
    in at 0.5 to 1 to the ground's level.
    """
    position = {"name": "here", "at": [0, 9], "pick_up": list(waits)}
    found = worked((0.0, 9.0), lifting={"size": SIZE, "positions": [position], "chart": CHART})
    told = [say(problem.given, "si") for problem in found.problems if problem.path[-1] == "pick_up"]
    assert len(told) == bool(said)
    assert all(said in text for text in told)
