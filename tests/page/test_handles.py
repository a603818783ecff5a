"""What can be taken hold of on the plan, and what it moves."""

import math
from typing import Any

import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.drawing import frame
from pondkit.page import handles, plan_edit
from pondkit.page.handles import Handle
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, option, pool, read

LINE = ((-3.0, 0.0), (5.0, 1.0))
CORNERS = [[f"{x} ft", f"{y} ft"] for x, y in ((-9, -4), (9, -5), (10, 5), (-8, 6))]
SHAPES: dict[str, dict[str, Any]] = {
    "circle": {"shape": "circle", "diameter": "14 ft"},
    "ellipse": {"shape": "ellipse", "length": "18 ft", "width": "12 ft"},
    "rectangle": {"shape": "rectangle", "length": "18 ft", "width": "12 ft", "corner_radius": "2 ft"},
    "points": {"shape": "points", "points": CORNERS},
    "offsets": {
        "shape": "offsets",
        "left": [["0 ft", "3 ft"], ["16 ft", "4 ft"]],
        "right": [["0 ft", "4 ft"], ["16 ft", "5 ft"]],
    },
}
TRADES = ("Pools", "Links", "Stone", "Lifting", "Walls", "Tunnels", "Water", "Site")


def turned(outline: dict[str, Any]) -> Project:
    """One pool away from the origin and turned, so that the two kinds of axes differ."""
    return read(options=[option(pools=[pool(at=["7 ft", "-4 ft"], turn_deg=25, outline=outline)])])


def grasps(project: Project, trade: str = "Pools", at: int = 0) -> dict[str, Handle]:
    found = handles.plan_handles(project, at, trade, 0, LINE)
    return {handle.id: handle for handle in found.handles}


def drag(project: Project, handle: str, to: tuple[float, float], system: System = "us") -> Project:
    path, value = handles.drag_edit(project, 0, handle, to, LINE, system)
    return put(project, path, value, system)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("trade", TRADES)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_handle_that_is_dragged_lies_where_it_was_let_go(name: str, trade: str, system: System) -> None:
    project = demo(name)
    for id_, handle in grasps(project, trade).items():
        if handle.kind in ("add", "turn", "size") or id_.startswith("section"):
            continue
        to = handle.at[0] + 0.4, handle.at[1] - 0.3
        after = grasps(drag(project, id_, to, system), trade)[id_].at
        # Numbers are written with two decimals of a foot or a metre.
        assert after == pytest.approx(to, abs=0.006), id_


@pytest.mark.parametrize("shape", SHAPES)
def test_the_whole_pool_moves_and_its_figures_stay(shape: str) -> None:
    project = turned(SHAPES[shape])
    handle = grasps(project)["pools/0/at"]
    after = drag(project, "pools/0/at", (handle.at[0] + 3.048, handle.at[1] + 1.524))
    was, now = (p.options[0].pools[0].at for p in (project, after))
    assert (now[0] - was[0], now[1] - was[1]) == pytest.approx((3.048, 1.524), abs=0.004)
    volumes = [evaluate(p).options[0].pools[0].gross_volume.value for p in (project, after)]
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-9)


@pytest.mark.parametrize("degrees", [-120.0, 0.0, 40.0, 179.0])
def test_a_turn_is_the_bearing_of_its_handle_from_the_pools_place(degrees: float) -> None:
    project = turned(SHAPES["ellipse"])
    at = project.options[0].pools[0].at
    to = at[0] + 4 * math.cos(math.radians(degrees)), at[1] + 4 * math.sin(math.radians(degrees))
    after = drag(project, "pools/0/turn_deg", to)
    assert after.options[0].pools[0].turn_deg == pytest.approx(degrees, abs=0.051)


@pytest.mark.parametrize(
    ("shape", "field"), [("circle", "diameter"), ("ellipse", "length"), ("ellipse", "width"), ("rectangle", "width")]
)
def test_a_size_follows_its_handle_on_both_sides(shape: str, field: str) -> None:
    project = turned(SHAPES[shape])
    at, handle = project.options[0].pools[0].at, grasps(project)[f"pools/0/outline/{field}"].at
    outward = handle[0] - at[0], handle[1] - at[1]
    half = math.hypot(*outward)
    assert 2 * half == pytest.approx(getattr(project.options[0].pools[0].outline, field), abs=1e-9)
    for share in (1.25, -0.75):
        after = drag(project, f"pools/0/outline/{field}", (at[0] + share * outward[0], at[1] + share * outward[1]))
        assert getattr(after.options[0].pools[0].outline, field) == pytest.approx(2 * abs(share) * half, abs=0.004)


def test_a_point_is_added_between_two_and_taken_away_again() -> None:
    project = turned(SHAPES["points"])
    handle = grasps(project)["pools/0/outline/points/1+"]
    more = handles.with_point(project, 0, handle.id, handle.at, "us")
    places = [tuple(float(v) for v in point) for point in more.options[0].pools[0].outline.points]
    assert len(places) == 5
    assert places[2] == pytest.approx(((9 + 10) / 2 * 0.3048, 0.0), abs=0.004)
    fewer = plan_edit.without_thing(more, 0, ("pools", 0, "outline", "points", 2))
    assert fewer.options[0].pools[0].outline == project.options[0].pools[0].outline


def test_a_triangle_keeps_its_corners() -> None:
    project = turned({"shape": "points", "points": CORNERS[:3]})
    assert not any(handle.removable for handle in grasps(project).values())


@pytest.mark.parametrize("shape", SHAPES)
def test_the_guide_passes_the_points_that_can_be_taken_hold_of(shape: str) -> None:
    found = handles.plan_handles(turned(SHAPES[shape]), 0, "Pools", 0, LINE)
    for handle in found.handles:
        if handle.kind == "point":
            assert handle.corner is not None
            assert found.guide[handle.corner] == pytest.approx(handle.at)


def test_an_end_of_the_section_line_moves_alone_and_its_middle_moves_both() -> None:
    project = demo("turtle_yard")
    end = drag(project, "section/1", (9.0, 2.0)).site.section
    assert [tuple(map(float, place)) for place in end] == [
        pytest.approx(LINE[0], abs=0.004),
        pytest.approx((9, 2), abs=0.004),
    ]
    both = drag(project, "section", (2.0, 1.5)).site.section
    assert [tuple(map(float, place)) for place in both] == [
        pytest.approx((-2, 1), abs=0.004),
        pytest.approx((6, 2), abs=0.004),
    ]


def test_a_node_keeps_its_level() -> None:
    project = demo("turtle_yard")
    node = project.options[0].tunnels.nodes[1]
    after = drag(project, "tunnels/nodes/1/at", (node.at[0] + 1, node.at[1])).options[0].tunnels.nodes[1]
    assert after.at[2] == node.at[2]
    assert after.at[2].text == node.at[2].text


def test_what_is_no_longer_there_is_said() -> None:
    for id_ in ("stone/boulders/0/places/99", "section"):
        with pytest.raises(LookupError):
            handles.drag_edit(demo("turtle_yard"), 0, id_, (0.0, 0.0), None, "us")


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_grid_is_given_in_the_unit_of_the_plan(system: System) -> None:
    assert handles.grid_size(None, system) == 0
    one = frame.magnitude_of(frame.PLAN_UNIT[system])
    assert handles.grid_size({"us": "6 in", "si": "25 cm"}[system], system) * one == pytest.approx(
        {"us": 0.1524, "si": 0.25}[system]
    )


def test_words_say_what_a_handle_is_and_where() -> None:
    handle = grasps(demo("turtle_yard"))["pools/0/outline/points/0"]
    assert handles.describe(handle, "us") == "point 1 of basking pool: -8 ft east, -3 ft north"
