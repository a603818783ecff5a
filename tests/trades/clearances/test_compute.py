"""Keep-outs and the way in: which dig enters which, how far, and what comes through."""

from typing import Any

import pytest

from pondkit import Project
from pondkit.drawing.rows import say_problem
from pondkit.report.plan import plan
from pondkit.study.evaluate import OptionResult, evaluate
from tests.by_grid import pool_of
from tests.report.pictures import as_json, named

GAS = {"name": "gas line", "kind": "buried service", "clearance": 1.5, "points": [[-20, 4], [20, 4]]}
OAK = {"name": "oak", "kind": "tree", "clearance": 2.0, "points": [[9, 9]]}
LAND = {"name": "plot", "kind": "boundary", "clearance": 1.0, "points": [[-20, -20], [20, -20], [20, 20], [-20, 20]]}


def project(*things: dict[str, Any], **site: Any) -> Project:
    """A round pool of 6 m across with upright banks on level ground: its dig reaches y = 3."""
    pool = pool_of({"shape": "circle", "diameter": 6}, [(0.8, 0, 0.5)], bank_batter=0)
    boulders = [
        {"name": "seat", "count": 1, "axes": [1.2, 0.9, 0.5], "axes_within": 0.1},
        {"name": "step", "count": 2, "axes": [0.7, 0.4, 0.3]},
    ]
    data = {
        "units": "si",
        "site": {"keep_outs": things} | site,
        "options": [{"name": "A", "pools": [pool], "stone": {"boulders": boulders}}],
    }
    return Project.model_validate(data, context={"units": "si"})


def option(*things: dict[str, Any], **site: Any) -> OptionResult:
    return evaluate(project(*things, **site)).options[0]


def test_each_dig_has_its_distance_to_each_keep_out() -> None:
    found = option(GAS, OAK, LAND).clearances
    assert found is not None
    away = {figure.subject: figure.value for figure in found.keep_out_distance}
    assert away == pytest.approx({"pool / gas line": 1.0, "pool / oak": 162**0.5 - 3, "pool / plot": 17.0}, abs=5e-3)


def test_one_that_is_too_near_is_named_with_its_distance_and_what_to_do() -> None:
    found = option(GAS, OAK, LAND).clearances
    assert found is not None
    near = [figure for figure in found.keep_out_distance if figure.cautions]
    assert [figure.subject for figure in near] == ["pool / gas line"]
    said = " ".join(caution.text for caution in near[0].cautions)
    assert "Nearer to 'gas line'" in said
    assert "located and marked before any dig" in said
    assert found.keep_outs_entered
    assert found.keep_outs_entered.value == 1
    assert found.keep_outs_entered.cautions[0].text.startswith("pool / gas line: ")


def test_a_keep_out_whose_name_ends_like_another_counts_alone() -> None:
    north = GAS | {"name": "north / gas line"}
    far = GAS | {"points": [[-9, 9], [9, 9]]}
    found = option(north, far).clearances
    assert found is not None and found.keep_outs_entered
    assert [figure.subject for figure in found.keep_out_distance if figure.cautions] == ["pool / north / gas line"]
    assert found.keep_outs_entered.value == 1


def test_clear_of_all_there_is_nothing_to_heed() -> None:
    found = option(OAK, LAND).clearances
    assert found is not None
    assert found.keep_outs_entered
    assert found.keep_outs_entered.value == 0
    assert not any(figure.cautions for figure in (*found.keep_out_distance, found.keep_outs_entered))


def test_without_any_the_site_costs_and_shows_nothing() -> None:
    assert option().clearances is None


def test_what_cannot_be_drawn_is_a_problem_and_the_rest_stands() -> None:
    crossed = {"name": "shed", "kind": "building", "points": [[0, 9], [2, 11], [2, 9], [0, 11]]}
    bare = {"name": "pole", "kind": "overhead service", "points": []}
    made = project(crossed, bare, OAK)
    results = evaluate(made)
    told = [say_problem(made, path, problem, "si") for path, problem in results.problems]
    assert "'shed' cannot be drawn: its line crosses itself" in told[0]
    assert "'pole' cannot be drawn: 0 places given" in told[1]
    kept = results.options[0].clearances
    assert kept is not None
    assert [figure.subject for figure in kept.keep_out_distance] == ["pool / oak"]
    assert results.options[0].earthwork.dig_volume


WAY = {"clear_width": 1.6, "machine_width": 1.2, "room": 0.1, "slope": 0.1, "points": [[0, -20], [0, -5]]}


def test_the_way_in_says_what_comes_through() -> None:
    found = option(GAS, way_in=WAY | {"machine_slope": 0.2}).clearances
    assert found is not None
    assert found.way_spare and found.way_stone_width
    assert found.way_spare.value == pytest.approx(1.6 - 1.2 - 0.2)
    assert found.way_spare.cautions == ()
    assert found.way_stone_width.value == pytest.approx(1.4)
    assert found.way_stone_width.cautions == ()


def test_a_way_that_is_too_narrow_or_too_steep_is_told() -> None:
    found = option(way_in=WAY | {"clear_width": 1.1, "machine_slope": 0.05}).clearances
    assert found is not None
    assert found.way_spare and found.way_stone_width
    said = " ".join(caution.text for caution in found.way_spare.cautions)
    assert "does not pass" in said
    assert "steeper than the machine may climb" in said
    (wide,) = found.way_stone_width.cautions  # 0.9 m within a tenth: 0.99 m for 0.9 m of room; the step is narrower
    assert wide.text.startswith("'seat' is too wide")
    assert wide.terms[0].value == pytest.approx(0.99)


def test_the_way_in_is_as_wide_as_the_machine_with_its_room_on_both_sides() -> None:
    """1.2 m and 0.1 m of room each side about x = 0: its edge lies at 0.7 m, the tree at 3 m."""
    oak = OAK | {"points": [[3, -12]], "clearance": 0.5}
    kept = option(oak, way_in=WAY).clearances
    assert kept is not None
    away = {figure.subject: figure.value for figure in kept.keep_out_distance}
    assert away["way in / oak"] == pytest.approx(2.3, abs=5e-3)


def test_the_way_in_keeps_clear_too_but_crosses_the_boundary() -> None:
    pipe = {"name": "drain", "kind": "buried service", "clearance": 0.0, "points": [[-5, -12], [5, -12]]}
    found = option(pipe, LAND, way_in=WAY | {"points": [[0, -30], [0, -5]]}).clearances
    assert found is not None
    near = {figure.subject: figure.value for figure in found.keep_out_distance if figure.cautions}
    assert near == {"way in / drain": 0.0}


def test_keep_outs_are_on_the_plan() -> None:
    figure = plan(
        option(GAS | {"points": [[-20, 3.2], [20, 3.2]]}, OAK, LAND, way_in=WAY | {"points": [[0, -20], [0, -2]]}), "si"
    )
    as_json(figure)
    assert {"keep-outs", "clearances", "way in"} <= {trace["name"] for trace in figure["data"]}
    assert any("gas line" in str(said) for said in named(figure, "keep-outs")["hovertext"])


def test_a_dig_that_runs_into_a_thing_or_beyond_a_boundary_is_told_so() -> None:
    """The dig reaches x, y = 3: over a shed that begins at 1, and 0.5 m out of a plot that ends at 2.5."""
    shed = {"name": "shed", "kind": "building", "points": [[1, 1], [5, 1], [5, 5], [1, 5]]}
    plot = {"name": "plot", "kind": "boundary", "points": [[-9, -9], [2.5, -9], [2.5, 9], [-9, 9]]}
    found = option(shed, plot).clearances
    assert found is not None
    away = {figure.subject: figure for figure in found.keep_out_distance}
    assert away["pool / shed"].value == 0
    assert away["pool / shed"].cautions[0].text == "Runs into 'shed'."
    assert away["pool / plot"].value == pytest.approx(-0.5, abs=5e-3)
    assert away["pool / plot"].cautions[0].text == "Goes beyond 'plot'."


def test_a_way_that_its_own_room_fills_lets_nothing_through() -> None:
    found = option(way_in=WAY | {"clear_width": 0.5, "room": 0.3}).clearances
    assert found is not None
    assert found.way_stone_width and found.way_stone_width.value == pytest.approx(-0.1)
    assert any("Nothing passes" in caution.text for caution in found.way_stone_width.cautions)


def test_a_way_of_one_place_is_told_to_be_none() -> None:
    one, two = (option(way_in=WAY | {"points": places}).clearances for places in ([[0, -5]], WAY["points"]))
    assert one and two and one.way is None and two.way
    assert one.way_spare and any(
        "One place does not make a way in" in caution.text for caution in one.way_spare.cautions
    )
    assert two.way_spare and not any("One place" in caution.text for caution in two.way_spare.cautions)
