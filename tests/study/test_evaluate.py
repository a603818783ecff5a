"""The memory, and problems: each names place, value, what is allowed and the mend, and the rest stands."""

import time
from collections.abc import Iterator
from typing import Any

import pytest

from pondkit.core.refusal import place
from pondkit.core.remembered import Memory
from pondkit.core.result import Path, Problem
from pondkit.drawing.rows import say
from pondkit.page.contents import PLAN, SECTION
from pondkit.project.files import load, put, save
from pondkit.report.plan import shown_section
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, evaluate, with_earth
from tests.by_grid import pit_of, pool_of, project_of
from tests.designs import DEMO_NAMES, demo, full_design, full_project, option, pool, read
from tests.memory import asked

CIRCLE = {"shape": "circle", "diameter": 6}
TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]
GOOD = pool_of(CIRCLE, TIERS, name="good", at=(40, 0))


# Memory.


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_same_project_twice_gives_the_same_objects(name: str) -> None:
    memory = Memory()
    first = asked(demo(name), memory)
    memory.worked.clear()
    second = asked(demo(name), memory)  # read anew: equal by value only
    assert all(a is b for a, b in zip(first.options, second.options, strict=True))
    assert not memory.worked


def pools(count: int) -> list[dict[str, Any]]:
    return [pool(f"pool {i}", at=[f"{32 * (i % 8)} ft", f"{24 * (i // 8)} ft"]) for i in range(count)]


@pytest.mark.parametrize("count", [1, 30])
def test_one_changed_tier_works_out_one_pool_and_nothing_else(count: int) -> None:
    memory, project = Memory(), read(options=[option(pools=pools(count))])
    asked(project, memory)
    memory.worked.clear()
    asked(put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in"), memory)
    assert sorted(memory.worked) == [
        "OptionResult",
        "compute_earthwork",
        "lay_out",
        "pool_figures",
        "totals.compute",
        "unnamed",
    ]  # the pool, and the option's totals


def test_a_moved_pool_keeps_its_outline() -> None:
    memory, project = Memory(), read(options=[option(pools=pools(3))])
    asked(project, memory)
    memory.worked.clear()
    asked(put(project, ("options", 0, "pools", 0, "at"), ["0 ft", "-2 ft"]), memory)
    assert "entered_shape" not in memory.worked
    assert memory.worked.count("lay_out") == 1


def test_an_option_that_stays_is_not_worked_out_again() -> None:
    memory, project = Memory(), read(options=[option("A"), option("B")])
    before = asked(project, memory)
    after = asked(put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in"), memory)
    assert after.options[0] is not before.options[0]
    assert after.options[1] is before.options[1]


def test_plan_section_and_totals_of_water_ask_for_no_volume_of_the_dig_and_no_figure_of_the_pumps() -> None:
    """They are what a drag waits for. The flush needs the pumps' lines in balance, but none of their figures."""
    memory = Memory()
    moved = put(full_design(), ("options", 0, "pools", 0, "outline", "points", 0), ["-149 in", "-40 in"])
    with memory:
        option = evaluate(moved).options[0]
        scene = Scene(option.given(earth=None), "us", None, 0, shown_section(option, None))
        assert scene.draw(PLAN)
        assert scene.draw(SECTION)
        assert option.totals.total_net_volume
        assert option.tunnels
        assert option.tunnels.flush.flush_time
    assert "_equilibrium" in memory.worked
    assert not {"_running", "running_water", "compute_earthwork"} & set(memory.worked)
    assert all(pool.ground and not {"cut", "fill"} & set(vars(pool.ground)) for pool in option.pools)
    assert option.earthwork.dig_volume
    assert all(pool.ground and {"cut", "fill"} <= set(vars(pool.ground)) for pool in option.pools)


def test_a_moved_tier_measures_nothing_anew_that_depends_on_outlines_alone() -> None:
    memory, project = Memory(), full_design()

    def draw(depth: str) -> None:
        moved = put(project, ("options", 0, "pools", 0, "tiers", 1, "depth"), depth)
        with memory:
            option = with_earth(evaluate(moved).options[0], None)
            scene = Scene(option, "us", None, 0, shown_section(option, None))
            assert scene.draw(PLAN)
            assert scene.draw(SECTION)

    draw("20 in")
    of_outlines = {"_samples", "_inward_of", "bank_holes", "far_sides", "available_fittings", "_bed"}
    assert of_outlines <= set(memory.worked)
    memory.worked.clear()
    draw("21 in")
    assert "drawn_alignment" in memory.worked
    assert not of_outlines & set(memory.worked)


def test_where_no_use_of_the_soil_is_entered_a_plan_asks_for_no_volume_of_the_dig() -> None:
    memory, project = Memory(), demo("frog_garden")
    with memory:
        option = evaluate(project).options[0]
        assert option.earth is None
        assert Scene(option, "us", None, 0, shown_section(option, None)).draw(PLAN)
    assert "lay_out" in memory.worked
    assert "compute_earthwork" not in memory.worked


def test_another_use_of_the_soil_leaves_the_rest_of_an_option_as_it_is() -> None:
    option = evaluate(full_design()).options[0]
    assert option.pools
    other = with_earth(option, None)
    assert other is with_earth(option, None)
    assert other.earth is None
    assert option.earth
    assert all(a is b for a, b in zip(option.pools, other.pools, strict=True))
    results = evaluate(full_design()).given(0, other)
    assert results.options[0] is other


def test_failures_are_remembered() -> None:
    bad = pool_of({"shape": "points", "smooth": False, "points": [(0, 0), (2, 2), (2, 0), (0, 2)]}, TIERS)
    memory = Memory()
    first = asked(project_of(bad), memory).options[0]
    memory.worked.clear()
    again = asked(project_of(bad, note="another note"), memory).options[0]
    assert "entered_shape" not in memory.worked
    assert again.problems == first.problems


def test_a_small_memory_forgets_and_gives_the_same_figures() -> None:
    project = full_project()
    small, large = Memory(3), Memory()
    for _ in range(2):
        one, other = asked(project, small).options[0], asked(project, large).options[0]
        assert [(k, e.subject, e.value) for k, e in one.entries()] == [
            (k, e.subject, e.value) for k, e in other.entries()
        ]


def test_sixty_pools_are_worked_out_within_two_seconds() -> None:
    project = read(options=[option(pools=pools(60))])
    started = time.process_time()
    found = asked(project, Memory()).options[0]
    assert time.process_time() - started < 2
    assert len(found.pools) == 60
    assert found.problems == ()


# Problems.


def outcome(*drawn: Any, **more: Any) -> OptionResult:
    return evaluate(project_of(*drawn, GOOD, **more)).options[0]


def outline(*points: tuple[float, float]) -> dict[str, Any]:
    return {"shape": "points", "smooth": False, "points": points}


BAD_POOLS: dict[str, tuple[Any, Path, str]] = {
    "crossing outline": (
        pool_of(outline((0, 0), (2, 2), (2, 0), (0, 2)), TIERS),
        ("outline",),
        "crosses itself near 1 m along",
    ),
    "outline without area": (pool_of(outline((0, 0), (1, 1), (2, 2)), TIERS), ("outline",), "no area"),
    "two points in one place": (
        pool_of(outline((0, 0), (3, 0), (3, 0), (0, 3)), TIERS),
        ("outline",),
        "points 2 and 3",
    ),
    "corners too round": (
        pool_of({"shape": "rectangle", "length": 8, "width": 5, "corner_radius": 3}, TIERS),
        ("outline", "corner_radius"),
        "3 m",
    ),
    "tiers out of order": (pool_of(CIRCLE, [(0.8, 0.5, 0.5), (0.3, 0, 0.6)]), ("tiers", 1, "depth"), "30 cm"),
    "pit that leaves its pool": (
        pool_of(CIRCLE, TIERS, pits=[pit_of((2.5, 0), CIRCLE, [(1.2, 0, 0.3)], top=0.5)]),
        ("pits", 0, "at"),
        "2.5 m",
    ),
    "pit without a top on a slope": (
        pool_of(CIRCLE, TIERS, pits=[pit_of((1.5, 0), {"shape": "circle", "diameter": 2}, [(1.2, 0, 0.3)])]),
        ("pits", 0, "top"),
        "no top",
    ),
    "pit's own outline": (
        pool_of(CIRCLE, TIERS, pits=[pit_of((0, 0), outline((0, 0), (1, 1), (1, 0), (0, 1)), [(1.2, 0, 0.3)])]),
        ("pits", 0, "outline"),
        "crosses itself",
    ),
}


def texts(problem: Problem) -> Iterator[str]:
    for part in (problem.given, problem.allowed, problem.mend):
        yield say(part, "si")


@pytest.mark.parametrize("name", BAD_POOLS)
def test_a_pool_in_trouble_is_named_and_left_out_and_the_rest_stands(name: str) -> None:
    bad, path, given = BAD_POOLS[name]
    found = outcome(bad)
    (problem,) = found.problems
    assert problem.path == ("pools", 0, *path)
    assert given in say(problem.given, "si")
    assert all(texts(problem))
    assert place(project_of(bad, GOOD), ("options", 0, *problem.path)).startswith("option 'A', pool 'pool'")
    assert [pool.name for pool in found.pools] == ["good"]
    assert not found.whole
    for total in (
        found.totals.total_gross_volume,
        found.totals.total_net_volume,
        found.earthwork.dig_volume,
        found.earthwork.fill_volume,
    ):
        assert total is None
    assert [figure.subject for figure in found.totals.net_volume] == ["good"]


@pytest.mark.parametrize(("fall", "batter", "words"), [(0.5, 2.0, "nowhere"), (0.499, 2.0, "only")])
def test_ground_as_steep_as_the_bank_rises_is_said_without_a_hang(fall: float, batter: float, words: str) -> None:
    started = time.process_time()
    found = outcome(
        pool_of(CIRCLE, TIERS, bank_batter=batter), ground={"kind": "plane", "level": 0, "fall": fall, "toward_deg": 10}
    )
    assert time.process_time() - started < 2
    (problem,) = [problem for problem in found.problems if problem.path[1] == 0]
    assert problem.path == ("pools", 0, "bank_batter")
    said = say(problem.given, "si")
    assert words in said
    assert "2 horizontal" in said
    assert all(texts(problem))


def test_overlapping_pools_say_with_which_and_by_how_much() -> None:
    found = outcome(pool_of(CIRCLE, TIERS, name="one"), pool_of(CIRCLE, TIERS, name="two", at=(4, 0)))
    (problem,) = found.problems
    assert problem.path == ("pools", 1, "at")
    # The lens of two circles of radius 3 m, 4 m apart: 2·9·acos(2/3) - 2·sqrt(36 - 16) = 6.195 m².
    assert say(problem.given, "si") == "it overlaps 'one' by 6.195 m²"
    assert len(found.pools) == 3
    assert found.totals.total_gross_volume is None


def test_pools_that_only_touch_do_not_overlap() -> None:
    side = {"shape": "rectangle", "length": 4, "width": 3}
    assert outcome(pool_of(side, TIERS, name="one"), pool_of(side, TIERS, name="two", at=(4, 0))).problems == ()


def test_two_pools_of_one_name() -> None:
    (problem,) = outcome(pool_of(CIRCLE, TIERS, name="good")).problems
    assert problem.path == ("pools", 1, "name")
    assert say(problem.given, "si") == "'good' stands twice"


@pytest.mark.parametrize(
    ("lines", "where"),
    [
        ({"main": {"name": "x", "length": "9 ft"}}, ("water", "main")),
        ({"branches": [{"name": "x", "length": "9 ft"}]}, ("water", "branches", 0)),
        ({"passage": {"name": "x", "length": "9 ft"}}, ("water", "passage")),
    ],
)
def test_two_lines_of_one_name_whatever_each_is(lines: dict[str, object], where: tuple[str | int, ...]) -> None:
    """Velocities and friction of lines are told apart by name alone."""
    water = {"pumps": [{"name": "x"}], **lines}
    problems = evaluate(read(options=[option(water=water)])).options[0].problems
    twice = [problem for problem in problems if "stands twice" in problem.given.text]
    assert [problem.path for problem in twice] == [(*where, "name")]
    water["pumps"] = [{"name": "y"}]
    problems = evaluate(read(options=[option(water=water)])).options[0].problems
    assert not [problem for problem in problems if "stands twice" in problem.given.text]


LINKS = {
    "to nowhere": ({"from": "good", "to": "god", "at": [0, 0]}, ("to",), "no pool is called 'god'"),
    "from nowhere": ({"from": "x", "to": "good", "at": [0, 0]}, ("from_",), "no pool is called 'x'"),
    "to itself": ({"from": "good", "to": "good", "at": [0, 0]}, ("to",), "itself"),
    "uphill": ({"from": "good", "to": "high", "at": [0, 0]}, ("from_",), "uphill, from 0 cm to 1 m"),
}


@pytest.mark.parametrize("name", LINKS)
def test_links_to_nowhere_to_itself_and_uphill(name: str) -> None:
    link, path, given = LINKS[name]
    found = outcome(pool_of(CIRCLE, TIERS, name="high", level=1), links=[link])
    (problem,) = (problem for problem in found.problems if problem.path[0] == "links")
    assert problem.path == ("links", 0, *path)
    assert given in say(problem.given, "si")
    assert all(texts(problem))
    if name == "to nowhere":
        assert "'good'" in say(problem.mend, "si")
    # No figure depends on a link so far.
    assert found.totals.total_gross_volume is not None


def test_problems_of_a_project_carry_their_option() -> None:
    bad = project_of(pool_of(CIRCLE, [(0.8, 0, 0.5), (0.3, 0, 0.5)])).options[0]
    project = project_of(GOOD)
    project = project.changed(options=(*project.options, bad.changed(name="B")))
    assert [path for path, _ in evaluate(project).problems] == [("options", 1, "pools", 0, "tiers", 1, "depth")]


def test_an_option_without_pools_is_sound_and_has_no_totals() -> None:
    blank = read(options=[option(pools=[])])
    result = evaluate(blank).options[0]
    assert result.whole
    assert not result.problems
    assert not list(result.entries())
    assert save(load(save(blank).encode())) == save(blank)
    # The first pool brings them.
    drawn = put(blank, ("options", 0, "pools"), read(options=[option()]).options[0].pools)
    assert evaluate(drawn).options[0].totals.total_net_volume is not None
