"""What lies on the plan: which thing is at a place, and how each is removed."""

from typing import Any

import pytest

from pondkit.core.part import get
from pondkit.page import plan_edit
from pondkit.page.tools import Drawing, draw
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from tests.designs import full_project, option, pool, read


def drawn_site() -> Project:
    """A pool, another above it with a fall, two boulders, a pipe to a den, a wall, a tree and a machine."""
    low = pool("low", outline={"shape": "circle", "diameter": "6 m"})
    high = pool("high", outline={"shape": "circle", "diameter": "3 m"}, at=["10 m", "0 m"], level="40 cm")
    project = read(units="si", options=[option(pools=[low, high])])
    chosen: tuple[Any, ...] = ()
    for tool, places in (
        ("fall", [(10.0, 0.0), (0.0, 0.0)]),
        ("stone", [(0.0, 2.0)]),
        ("stone", [(0.0, -2.0)]),
        ("pipe", [(-2.0, 0.0), (-5.0, 0.0), (-7.0, 2.0)]),
        ("wall", [(5.0, -6.0), (9.0, -6.0)]),
        ("keep", [(12.0, 8.0)]),
        ("machine", [(-9.0, -6.0)]),
    ):
        project, path = draw(project, 0, Drawing(tool, tuple(places), chosen=chosen), "si")
        chosen = plan_edit.path_of_thing(0, path)
    return project


@pytest.fixture(scope="module")
def project() -> Project:
    return drawn_site()


PLACES = {
    "a boulder": ((0.1, 2.0), ("stone", "boulders", 0, "places", 0), "Stone"),
    "its fellow": ((0.0, -1.8), ("stone", "boulders", 0, "places", 1), "Stone"),
    "a node": ((-5.1, 0.1), ("tunnels", "nodes", 1), "Tunnels"),
    "a run": ((-6.0, 1.05), ("tunnels", "runs", 1), "Tunnels"),
    "a fall": ((8.4, 0.0), ("links", 0), "Links"),
    "a wall": ((7.0, -6.1), ("walls", "walls", 0), "Walls"),
    "a tree": ((12.1, 8.0), ("keep_outs", 0), "Site"),
    "a machine": ((-9.0, -6.0), ("lifting", "positions", 0), "Lifting"),
    "a pool": ((1.5, 0.5), ("pools", 0), "Pools"),
    "the other pool": ((10.5, 0.5), ("pools", 1), "Pools"),
    "its edge, from outside": ((11.6, 0.0), ("pools", 1), "Pools"),
    "nothing": ((20.0, 20.0), (), ""),
}


@pytest.mark.parametrize("name", PLACES)
def test_a_tap_finds_what_is_there(project: Project, name: str) -> None:
    place, path, trade = PLACES[name]
    assert plan_edit.thing_at(project, 0, place, 0.2) == path
    assert plan_edit.trade_of(path) == trade


def test_a_fall_is_found_all_along_its_bed_though_only_its_crest_is_drawn() -> None:
    """From a spring north of a pool: the crest at its waterline, the bed down to the pool's, 18 in wide."""
    spring = pool("spring", level="6 in", at=["0 ft", "20 ft"], outline={"shape": "circle", "diameter": "6 ft"})
    fall = {"kind": "fall", "from": "spring", "to": "pool", "at": ["0 ft", "17 ft"]}
    project = read(options=[option(pools=[pool(), spring], links=[fall])])
    (bed,) = evaluate(project).options[0].stream_beds.each
    middle = (bed.line[0][1] + bed.line[-1][1]) / 2
    assert plan_edit.thing_at(project, 0, (bed.half_width + 0.04, middle), 0.05) == ("links", 0)
    assert plan_edit.thing_at(project, 0, (bed.half_width + 0.06, middle), 0.05) == ()


def test_reach_decides_what_is_near(project: Project) -> None:
    for reach, found in ((0.29, ()), (0.31, ("keep_outs", 0))):
        assert plan_edit.thing_at(project, 0, (12.3, 8.0), reach) == found


@pytest.mark.parametrize("name", [name for name in PLACES if PLACES[name][1]])
def test_what_is_removed_is_named_and_gone_with_what_needs_it(project: Project, name: str) -> None:
    path = PLACES[name][1]
    called = plan_edit.thing_name(project, 0, path)
    assert called
    held = plan_edit.project_path(0, path)[:-1]
    after = plan_edit.without_thing(project, 0, path)
    assert len(get(after, held)) == len(get(project, held)) - 1
    # Nothing that is left names what is gone.
    assert not any("is called" in problem.given.text for problem in evaluate(after).options[0].problems)


def test_a_boulder_that_is_removed_is_no_longer_counted_and_the_last_takes_its_kind_along(project: Project) -> None:
    one = plan_edit.without_thing(project, 0, ("stone", "boulders", 0, "places", 0))
    (row,) = one.options[0].stone.boulders
    assert (row.count, [tuple(map(float, place)) for place in row.places]) == (1, [(0.0, -2.0)])
    none = plan_edit.without_thing(one, 0, ("stone", "boulders", 0, "places", 0))
    assert none.options[0].stone.boulders == ()


def test_what_is_no_longer_there_is_told(project: Project) -> None:
    for path in (("links", 7), ("stone", "boulders", 0, "places", 9), ("pools", 5), ("earth", "berm")):
        assert plan_edit.thing_name(project, 0, path) == ""
        with pytest.raises(LookupError):
            plan_edit.without_thing(project, 0, path)


def test_a_thing_is_named_the_same_from_the_project_and_on_the_plan() -> None:
    for path in (("pools", 1), ("keep_outs", 0), ("stone", "boulders", 0, "places", 2)):
        assert plan_edit.path_of_thing(0, plan_edit.project_path(0, path)) == path
    assert plan_edit.path_of_thing(0, ("site",)) == ()


def test_bodies_of_the_water_side_are_found_and_taken_out() -> None:
    project = full_project()
    water = project.options[0].water
    for name in ("intake", "pit", "filter"):
        body = getattr(water, name)
        assert plan_edit.thing_at(project, 0, (float(body.at[0]), float(body.at[1])), 0.05) == ("water", name)
        after = plan_edit.without_thing(project, 0, ("water", name))
        assert getattr(after.options[0].water, name) is None
