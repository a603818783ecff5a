"""Holes of bodies and walls: against a fine grid beside a pool in falling ground, and where they are seen."""

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

from pondkit import Project
from pondkit.geometry.outline import shape_of
from pondkit.project.files import put
from pondkit.report.plan import alt_plan
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork import formulas
from tests.by_grid import cells, dig_track, distance, pool_of
from tests.designs import full_project

GROUND = {"kind": "plane", "level": 0.1, "fall": 0.04, "toward_deg": 90}  # falls eastward
POOL = pool_of(
    {"shape": "ellipse", "length": 6, "width": 4}, [(0.3, 0.5, 0.5), (0.9, 0, 0.6)], bank_batter=0.5, freeboard=0.1
)
INTAKE = {"at": [3.4, 0.4], "turn_deg": 25, "plan_size": [0.9, 0.7], "underside": -1.3, "seat": 0.1}
FILTER = {
    "at": [-5.0, 1.0],
    "plan_size": [1.5, 1.0],
    "underside": -0.4,
    "turn_deg": 10,
    "second_size": [1.0, 1.0],
    "second_at": [-6.6, 1.2],
}
WATER = {
    "intake": INTAKE,
    "filter": FILTER,
    "pit": {"at": [4.1, 0.8], "underside": -1.0, "plan_size": [0.6, 0.6]},
    "hole_room": 0.2,
    "hole_sides": 0.5,
}
WALLS = {
    "walls": [{"name": "bank", "base_level": -0.2, "points": [[-2, 3.5], [2, 3.9]], "courses": [{"width": 0.6}]}],
    "footing": 0.15,
    "footing_room": 0.1,
}


def option(water: dict[str, Any] | None = None, walls: dict[str, Any] | None = None, **more: Any) -> OptionResult:
    site = {"ground": GROUND} | more.pop("site", {})
    data = {
        "units": "si",
        "site": site,
        "options": [{"name": "A", "pools": [POOL], "water": water, "walls": walls} | more],
    }
    return evaluate(Project.model_validate(data, context={"units": "si"})).options[0]


def ground_at(points: Any) -> Any:
    return 0.1 - 0.04 * points[:, 0]


def box(at: Any, size: Any, turn: float = 0.0) -> Polygon:
    """A turned box by another way than the code's."""
    x, y = size[0] / 2, size[1] / 2
    return translate(rotate(shapely.box(-x, -y, x, y), turn, origin=(0, 0)), at[0], at[1])


def test_cut_of_pool_holes_and_wall_together_is_that_of_a_fine_grid() -> None:
    room, sides, seat = 0.2, 0.5, 0.1016
    feet = [
        (box(INTAKE["at"], (0.9 + 2 * room, 0.7 + 2 * room), 25), -1.3 - 0.1, sides),
        (box((4.1, 0.8), (0.6 + 2 * room, 0.6 + 2 * room)), -1.0 - seat, sides),
        (box((-5.0, 1.0), (1.5 + 2 * room, 1.0 + 2 * room), 10), -0.4 - seat, sides),
        (box((-6.6, 1.2), (1.0 + 2 * room, 1.0 + 2 * room), 10), -0.4 - seat, sides),
    ]
    way = np.array([4.0, 0.4]) / np.hypot(4.0, 0.4)
    left = np.array([-way[1], way[0]])
    start, end = np.array([-2, 3.5]) - 0.1 * way, np.array([2, 3.9]) + 0.1 * way
    feet.append(
        (Polygon([start - 0.1 * left, end - 0.1 * left, end + 0.7 * left, start + 0.7 * left]), -0.2 - 0.15, 0.0)
    )
    step = 0.05
    points = cells(np.array([-9.0, -4.0]), np.array([7.0, 6.0]), step)
    stands = ground_at(points)
    lowest = np.minimum(
        stands, 0.0 - np.interp(distance(shape_of(POOL.outline).polygon, points), *dig_track(POOL, 0.0))
    )
    pool_alone = float(np.sum(stands - lowest)) * step**2
    alone = []
    together = lowest.copy()
    for foot, bottom, batter in feet:
        away = shapely.distance(foot, shapely.points(points))
        down = np.where(away == 0, bottom, bottom + away / batter if batter else np.inf)
        alone.append(float(np.sum(np.maximum(lowest - down, 0.0))) * step**2)
        together = np.minimum(together, down)
    whole = float(np.sum(stands - together)) * step**2
    found = option(WATER, WALLS)
    assert not found.problems
    assert found.excavation and found.excavation.trench_dig_volume and found.earthwork.dig_volume
    assert [e.subject for e in found.excavation.body_hole_volume] == [
        "intake basin",
        "pump pit",
        "filter",
        "filter, second body",
    ]
    figures = [*found.excavation.body_hole_volume, *found.excavation.footing_volume]
    for figure, grid in zip(figures, alone, strict=True):
        assert figure.value == pytest.approx(grid, rel=3e-3), figure.subject
    assert found.earthwork.dig_volume.value == pytest.approx(whole, rel=1e-3)
    assert found.excavation.trench_dig_volume.value == pytest.approx(whole - pool_alone, rel=2e-3)
    assert sum(alone) > 1.05 * (whole - pool_alone)  # they do share ground


def test_what_goes_back_is_less_bodies_and_seats() -> None:
    """In level ground, upright: hole less the basin up to the ground and the bedding on the hole's bottom."""
    level = {"ground": {"kind": "level", "level": 0.2}}
    water = {"intake": INTAKE | {"at": [9, 0]}, "hole_room": 0.2}
    found = option(water, site=level).excavation
    assert found and found.trench_dig_volume and found.backfill_volume
    foot = 1.3 * 1.1
    assert found.trench_dig_volume.value == pytest.approx(foot * 1.6, rel=1e-6)
    assert found.seat_volume[0].value == pytest.approx(foot * 0.1, rel=1e-9)
    assert found.backfill_volume.value == pytest.approx(foot * 1.6 - 0.9 * 0.7 * 1.5 - foot * 0.1, rel=1e-6)
    round_one = option({"intake": INTAKE | {"at": [9, 0], "round": True}, "hole_room": 0.2}, site=level).excavation
    assert round_one and round_one.backfill_volume
    left = round_one.backfill_volume.value - found.backfill_volume.value
    assert left == pytest.approx(0.9 * 0.7 * 1.5 * (1 - np.pi / 4), rel=1e-3)


def test_nothing_is_dug_where_no_size_and_no_line_is_entered() -> None:
    bare = option({"intake": {}, "filter": {}}, {"walls": [{"name": "w", "courses": [{}]}]})
    assert bare.excavation is None and bare.structures.each == ()
    assert bare.earthwork.dig_volume


@pytest.mark.parametrize(
    ("water", "walls", "path", "says"),
    [
        ({"intake": {"plan_size": [1, 1]}}, None, ("water", "intake", "underside"), "underside is not entered"),
        ({"filter": {"plan_size": [1, 1]}}, None, ("water", "filter", "underside"), "underside is not entered"),
        (
            None,
            {"walls": [{"name": "w", "points": [[0, 9], [3, 9]], "courses": [{}]}]},
            ("walls", "walls", 0, "base_level"),
            "base is not entered",
        ),
        (
            None,
            {"walls": [{"name": "w", "base_level": 0, "points": [[0, 9]], "courses": [{}]}]},
            ("walls", "walls", 0, "points"),
            "makes no single trench",
        ),
        (
            {"pit": {"underside": -1, "at": [-9, 0]}, "hole_sides": 4},
            None,
            ("water", "hole_sides"),
            "do not meet the ground",
        ),
    ],
)
def test_what_cannot_be_dug_is_named_and_leaves_the_sum_out(water: Any, walls: Any, path: Any, says: str) -> None:
    steep = {"ground": GROUND | {"fall": 0.4}} if says.startswith("do not") else {}
    found = option(water, walls, site=steep)
    (problem,) = [p for p in found.problems if says in p.given.text]
    assert problem.path == path
    assert found.earthwork.dig_volume is None
    assert found.totals.total_gross_volume


def test_they_stand_in_levels_setting_out_keep_outs_and_the_plan_in_words() -> None:
    keep = [{"name": "oak", "clearance": "3 m", "points": [["-8 m", "1 m"]]}]
    found = option(WATER, WALLS, site={"keep_outs": keep}, dig={"stakes": {"a": [-9, -6], "b": [8, -6]}})
    assert found.dig and found.dig.setting_out and found.clearances
    rows = {level.row: (level.finished, level.dig) for level in found.dig.levels.levels}
    assert rows["intake basin: seat"] == pytest.approx((-1.3, -1.4))
    assert rows["bank: footing"] == pytest.approx((-0.2, -0.35))
    lines = [line.name for line in found.dig.setting_out.lines]
    assert "seat, edge: intake basin" in lines and "footing, edge: bank" in lines
    edges = [name for name in lines if name.startswith("dig meets the ground")]
    assert any("pool" in name and "intake basin" in name and "pump pit" in name for name in edges)
    near = {figure.subject: figure.value for figure in found.clearances.keep_out_distance}
    # From the oak to the second body's foot, and its sides come on by their depth and batter.
    assert 0 < near["filter, second body / oak"] < 1.4 - 0.5 - 0.2
    assert "pump pit (stands at" in alt_plan(found, "si")


def test_their_cautions_name_pool_groundwater_depth_and_upright_sides() -> None:
    deep = {"intake": INTAKE | {"underside": -1.8}, "hole_room": 0.2}
    found = option(deep, site={"groundwater": -1.0}).excavation
    assert found
    said = " ".join(caution.text for caution in found.body_hole_volume[0].cautions)
    for words in ("dig of 'pool'", "Groundwater may stand", "protective system", "upright sides", "services"):
        assert words in said
    shallow = option(
        {"intake": INTAKE | {"at": [9, 0], "underside": -0.3}, "hole_sides": 1}, site={"groundwater": -5.0}
    ).excavation
    assert shallow
    said = " ".join(caution.text for caution in shallow.body_hole_volume[0].cautions)
    assert not any(words in said for words in ("dig of", "Groundwater", "protective", "upright"))


def test_a_renamed_wall_keeps_its_readings() -> None:
    from pondkit.page.edits import rename

    project = full_project()
    row = {"row": "bank: footing", "rod": "5 ft"}
    project = put(project, ("options", 0, "dig", "readings"), (*project.options[0].dig.readings, row))  # type: ignore[union-attr]
    project = rename(project, ("options", 0, "walls", "walls", 0), "north wall")
    assert project.options[0].dig.readings[-1].row == "north wall: footing"  # type: ignore[union-attr]


def test_what_goes_back_over_pipe_is_less_its_bedding() -> None:
    """All volumes of one trench: 10 m³ dug, of which pipe, box, body, seat, stream bed and bedding take one each."""
    assert formulas.backfill_volume(10.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0) == 4.0


def test_a_baseline_is_as_long_as_the_level_way_between_its_stakes() -> None:
    assert formulas.baseline_length(1.0, 2.0, 4.0, 6.0) == 5.0  # 3, 4, 5
