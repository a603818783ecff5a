"""Uplift: the published figures of the notes for pipe, boxes by hand."""

import math

import pytest

from pondkit.core import flotation as buoyancy
from pondkit.study.evaluate import OptionResult
from pondkit.trades.tunnels import formulas as water_formulas
from pondkit.trades.tunnels.joints import pipe
from tests.trades.tunnels.sketch import Node, cautions, figures, sketch

IN, FT, LB = 0.0254, 0.3048, 0.45359237
WATER, SOIL = 62.4 * LB / FT**3, 120 * LB / FT**3


@pytest.mark.parametrize(
    ("name", "safety", "cover"),
    [("sch40 4 in", 1.0, 0.226), ("sch40 4 in", 1.5, 0.386), ("sch40 6 in", 1.0, 0.359), ("sch40 6 in", 1.5, 0.593)],
)
def test_cover_as_published(name: str, safety: float, cover: float) -> None:
    # Reference notes 9.4: 4 and 6 in Sch 40, saturated soil of 120 lb/ft³, in feet
    made = pipe(name)
    found = water_formulas.pipe_cover_needed(made.outside, made.mass, 1.0, safety, SOIL, WATER)
    assert found == pytest.approx(cover * FT, abs=0.0006 * FT)


@pytest.mark.parametrize(
    ("name", "net"), [("sch40 2 in", 1.24), ("sch40 4 in", 4.89), ("sch40 6 in", 11.40), ("sdr35 4 in", 5.02)]
)
def test_net_uplift_of_empty_pipe_as_published(name: str, net: float) -> None:
    # Reference notes 9.4, lb/ft: the water pushed aside less the pipe. The cover that just
    # holds it weighs as much under water.
    made = pipe(name)
    cover = water_formulas.pipe_cover_needed(made.outside, made.mass, 1.0, 1.0, SOIL, WATER)
    assert cover * made.outside * (SOIL - WATER) == pytest.approx(net * LB / FT, abs=0.006 * LB / FT)


NODES: list[Node] = [("m", "mouth", (3.7, 0, -0.6)), ("den", "chamber", (9.0, 0, -0.5))]
BOX = {
    "name": "den",
    "kind": "chamber",
    "at": [9.0, 0, -0.5],
    "size": ["60 cm", "45 cm", "40 cm"],
    "wall": "5 cm",
    "mass": "30 kg",
    "ballast": "20 kg",
}


def boxed(site: dict[str, str] | None) -> OptionResult:
    """The passage with a den of known walls, mass and ballast."""
    drawn = {
        "pipe": "sch40 4 in",
        "nodes": [{"name": "m", "kind": "mouth", "at": [3.7, 0, -0.6]}, BOX],
        "runs": [{"from": "m", "to": "den"}],
        "cover_density": "2000 kg/m^3",
        "uplift_safety": 1.5,
    }
    return sketch(NODES, [("m", "den")], site=site, option={"tunnels": drawn})


FLOOR = -0.5 - 3.998 * IN / 2


def test_a_box_under_water_and_what_is_still_wanted_by_hand() -> None:
    found = boxed({"groundwater": "0 m"})
    lift, hold = figures(found, "den_uplift")["den"], figures(found, "den_held_down")["den"]
    assert lift.value == pytest.approx(1000 * 0.7 * 0.55 * 0.5)
    cover = 0 - (FLOOR + 0.4 + 0.05)
    assert hold.value == pytest.approx(30 + 20 + 1000 * cover * 0.7 * 0.55)
    ballast = figures(found, "den_ballast")["den"]
    assert ballast.value == pytest.approx(1.5 * lift.value - hold.value) and "may float" in cautions(ballast)


def test_what_holds_a_stretch_of_pipe_is_its_own_mass_and_the_soil_over_it() -> None:
    """By hand: 10 kg on 2 m, 0.1 m wide under 0.5 m of soil of 1,600 kg/m³: (5 + 600 x 0.05) kg/m over 3 m."""
    held = water_formulas.pipe_held_down(10.0, 2.0, 3.0, 0.1, 0.5, 1600.0, 1000.0)
    assert held == pytest.approx(105.0)


def test_low_groundwater_lifts_only_what_stands_in_it() -> None:
    found = boxed({"groundwater": "-50 cm"})
    part = -0.5 - (FLOOR - 0.05)
    assert figures(found, "den_uplift")["den"].value == pytest.approx(1000 * 0.7 * 0.55 * part)
    dry = boxed({"groundwater": "-3 m"})
    assert figures(dry, "den_uplift")["den"].value == 0 and figures(dry, "den_ballast")["den"].value == 0
    assert not figures(dry, "pipe_cover_spare") and not cautions(figures(dry, "den_ballast")["den"])


def test_unknown_groundwater_is_taken_at_the_ground_and_said() -> None:
    found = boxed(None)
    assert "groundwater's highest level is not entered" in cautions(figures(found, "den_uplift")["den"])


@pytest.mark.parametrize(("over", "lifted"), [(0.004, True), (-0.004, False)])
def test_cover_counts_once_groundwater_reaches_the_pipe_from_below(over: float, lifted: bool) -> None:
    """A pipe that lies level 50 cm down: its underside is half its outside diameter lower."""
    water = -0.5 - 4.5 * IN / 2 + over
    level: list[Node] = [("m", "mouth", (3.75, 0, -0.5)), ("den", "chamber", (9.0, 0, -0.5))]
    found = sketch(level, [("m", "den")], site={"groundwater": f"{water:.6f} m"})
    assert bool(figures(found, "pipe_cover_spare")) == lifted


def test_cover_that_is_spare() -> None:
    found = sketch(NODES, [("m", "den")], site={"groundwater": "0 m"})
    spare, needed = figures(found, "pipe_cover_spare")["m – den"], figures(found, "pipe_cover_needed")["sch40 4 in"]
    assert spare.value == pytest.approx(0.5 - 4.5 * IN / 2 - needed.value) and not cautions(spare)
    high: list[Node] = [("m", "mouth", (3.9, 0, -0.2)), ("den", "chamber", (9.0, 0, -0.1))]
    shallow = figures(sketch(high, [("m", "den")], site={"groundwater": "0 m"}), "pipe_cover_spare")["m – den"]
    assert shallow.value < 0 and "float up" in cautions(shallow)


@pytest.mark.parametrize(
    ("name", "lift", "net"),
    [("sch40 2 in", 1.92, 1.24), ("sch40 4 in", 6.89, 4.89), ("sch40 6 in", 14.94, 11.40), ("sdr35 4 in", 6.05, 5.02)],
)
def test_uplift_of_a_foot_of_pipe_and_its_net_as_published(name: str, lift: float, net: float) -> None:
    # Reference notes 9.4, lb/ft
    made = pipe(name)
    up = water_formulas.pipe_uplift(made.outside, FT, WATER)
    down = water_formulas.pipe_held_down(made.mass, 1.0, FT, made.outside, 0.0, SOIL, WATER)
    assert up == pytest.approx(lift * LB, abs=0.006 * LB)
    assert buoyancy.ballast_wanted(up, down, 1.0) == pytest.approx(net * LB, abs=0.011 * LB)


@pytest.mark.parametrize("safety", [1.0, 1.5, 2.2])
def test_the_cover_that_is_needed_leaves_no_ballast_wanted(safety: float) -> None:
    made = pipe("sch40 6 in")
    cover = water_formulas.pipe_cover_needed(made.outside, made.mass, 1.0, safety, SOIL, WATER)
    up = water_formulas.pipe_uplift(made.outside, 3.0, WATER)
    for depth, wanted in ((cover + 1e-9, False), (cover * 0.9, True)):
        down = water_formulas.pipe_held_down(made.mass, 1.0, 3.0, made.outside, depth, SOIL, WATER)
        assert (buoyancy.ballast_wanted(up, down, safety) > 1e-6) == wanted


def test_a_run_in_wet_ground_by_hand() -> None:
    high: list[Node] = [("m", "mouth", (3.9, 0, -0.2)), ("den", "chamber", (9.0, 0, -0.2))]
    found = sketch(high, [("m", "den")], site={"groundwater": "0 m"}, cover_density="2000 kg/m^3", uplift_safety=1.5)
    long, made = figures(found, "run_in_ground")["m – den"].value, pipe("sch40 4 in")
    lift = math.pi / 4 * made.outside**2 * 1000 * long
    hold = (made.mass + 1000 * made.outside * (0.2 - made.outside / 2)) * long
    assert figures(found, "pipe_uplift")["m – den"].value == pytest.approx(lift)
    assert figures(found, "pipe_held_down")["m – den"].value == pytest.approx(hold)
    assert figures(found, "pipe_ballast")["m – den"].value == pytest.approx(max(1.5 * lift - hold, 0))
    assert not figures(sketch(high, [("m", "den")], site={"groundwater": "-3 m"}), "pipe_ballast")


def test_only_the_part_of_a_run_that_stands_in_groundwater_is_lifted() -> None:
    drop: list[Node] = [("a", "junction", (8, 0, -2.0)), ("b", "junction", (12, 0, -0.6))]
    half = pipe("sch40 4 in").outside / 2
    found = sketch(drop, [("a", "b")], site={"groundwater": "-1.3 m"})
    share = (-1.3 + half + 2.0) / 1.4
    lift = figures(found, "pipe_uplift")["a – b"].value
    assert lift == pytest.approx(1000 * math.pi * half**2 * share * math.hypot(4, 1.4))


def test_a_capped_run_in_the_water_is_lifted_by_the_pool_and_an_open_one_is_not() -> None:
    capped: list[Node] = [("a", "junction", (-2, 0, -0.6)), ("b", "junction", (2, 0, -0.6))]
    found = sketch(capped, [("a", "b")], site={"groundwater": "-5 m"})
    made = pipe("sch40 4 in")
    ballast = figures(found, "pipe_ballast")["a – b / pool"]
    lift = 1000 * math.pi / 4 * made.outside**2 * 4
    assert ballast.value == pytest.approx(1.5 * lift - made.mass * 4)
    assert "may float up" in cautions(ballast) and "No mouth lets water" in cautions(ballast)
    opened: list[Node] = [("a", "mouth", (-2, 0, -0.6)), ("b", "junction", (2, 0, -0.6))]
    assert "a – b / pool" not in figures(sketch(opened, [("a", "b")], site={"groundwater": "-5 m"}), "pipe_ballast")


def test_soil_over_the_ground_stretch_does_not_hold_down_the_stretch_in_the_water() -> None:
    capped: list[Node] = [("a", "junction", (2, 0, -1.0)), ("b", "junction", (12, 0, -1.0))]
    found = sketch(capped, [("a", "b")], site={"groundwater": "0 m"})
    ballast = figures(found, "pipe_ballast")
    assert ballast["a – b"].value == 0
    assert ballast["a – b / pool"].value > 0


def test_a_box_in_the_pool_is_lifted_by_the_pools_water_with_no_soil_over_it() -> None:
    nodes: list[Node] = [("a", "junction", (-2, 0, -0.8)), ("den", "chamber", (2, 0, -0.8))]
    found = sketch(nodes, [("a", "den")], site={"groundwater": "-5 m"})
    wall = 0.0254
    outer = (0.6 + 2 * wall) * (0.45 + 2 * wall) * (0.4 + 2 * wall)
    assert figures(found, "den_uplift")["den"].value == pytest.approx(1000 * outer)
    assert figures(found, "den_held_down")["den"].value == 0


def test_the_least_cover_is_found_in_a_swale_between_two_nodes() -> None:
    """Ground at 0, but 0.4 m lower along x = 7: a survey of three lines across a level run with its centre at -0.6."""
    survey = [[x, y, -0.4 if x == 7 else 0] for x in (-10, 5, 7, 9, 20) for y in (-10, 10)]
    nodes: list[Node] = [("a", "junction", (5.5, 0, -0.6)), ("b", "junction", (8.5, 0, -0.6))]
    outside = pipe("sch40 4 in").outside
    level = sketch(nodes, [("a", "b")], site={"groundwater": "0 m"})
    swale = sketch(nodes, [("a", "b")], site={"groundwater": "0 m", "ground": {"kind": "points", "points": survey}})
    for found, ground in ((level, 0.0), (swale, -0.4)):
        spare = figures(found, "pipe_cover_spare")["a – b"].value
        needed = figures(found, "pipe_cover_needed")["sch40 4 in"].value
        assert spare + needed == pytest.approx(ground + 0.6 - outside / 2, abs=1e-9)
    shallow: list[Node] = [("a", "junction", (5.5, 0, -0.3)), ("b", "junction", (8.5, 0, -0.3))]
    bare = sketch(shallow, [("a", "b")], site={"ground": {"kind": "points", "points": survey}})
    assert "needs fill" in cautions(figures(bare, "run_in_ground")["a – b"])
    assert not cautions(figures(sketch(shallow, [("a", "b")]), "run_in_ground")["a – b"])


def test_a_dry_den_in_a_pool_displaces_the_water_that_lifts_it() -> None:
    """Its lid 0.1 m over the water at rest, and under the highest: 0.7 m x 0.55 m outside, by hand."""
    nodes: list[Node] = [("den", "chamber", (2, 0, -0.25)), ("end", "junction", (0, 0, -0.25))]
    made = [BOX | {"at": [2, 0, -0.25]}, {"name": "end", "kind": "junction", "at": [0, 0, -0.25]}]
    drawn = {"pipe": "sch40 4 in", "nodes": made, "runs": [{"from": "den", "to": "end"}]}
    found = sketch(nodes, [], option={"tunnels": drawn, "water_rise": "0.3 m"})
    underside = -0.25 - 3.998 * IN / 2 - 0.05
    pipe_part = math.pi / 4 * pipe("sch40 4 in").outside ** 2 * 2
    displaced = figures(found, "pipe_displaced")["pool"].value
    assert displaced == pytest.approx(0.7 * 0.55 * -underside + pipe_part, rel=1e-6)
    lift = figures(found, "den_uplift")["den"].value
    assert lift == pytest.approx(1000 * 0.7 * 0.55 * 0.5, rel=2e-3)  # wholly under the highest water
