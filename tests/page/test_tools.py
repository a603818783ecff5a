"""What the tools of the plan put: pure functions, from places to parts."""

import math
from typing import Any

import numpy as np
import pytest
from shapely.geometry import Polygon

from pondkit.core.part import get
from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS, System
from pondkit.geometry.outline import shape_of
from pondkit.page import tools
from pondkit.page.tools import MAKERS, MANY, TOOLS, Drawing, pool_at
from pondkit.project.files import load, save
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from tests.designs import option, pool, read

TURNS = np.linspace(0.0, 2 * np.pi, 90)
WRITTEN = 0.006  # m: places are written with two decimals of a foot or a metre
CORNERS = ((0.0, 0.0), (6.0, -1.0), (7.0, 3.0), (2.0, 4.0))


def blank(**changes: Any) -> Project:
    return read(options=[option(pools=[])], **changes)


def pair() -> Project:
    """A pool round the origin, and a higher one 10 m east of it."""
    low = pool("low", outline={"shape": "circle", "diameter": "6 m"})
    high = pool("high", outline={"shape": "circle", "diameter": "3 m"}, at=["10 m", "0 m"], level="40 cm")
    return read(units="si", options=[option(pools=[low, high])])


def draw(project: Project, tool: str, *places: tuple[float, float], system: System = "us", **more: Any) -> Any:
    """The design and the part that was drawn."""
    after, path = tools.draw(project, 0, Drawing(tool, tuple(places), **more), system)
    return after, get(after, path)


def site(pool: Any) -> Polygon:
    """A pool's waterline on the site."""
    turn = math.radians(pool.turn_deg)
    spin = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    return Polygon(shape_of(pool.outline).coords @ spin + np.array(pool.at, dtype=float))


@pytest.mark.parametrize("system", SYSTEMS)
def test_an_outline_lies_where_its_points_were_tapped(system: System) -> None:
    after, made = draw(blank(units=system), "outline", *CORNERS, system=system)
    placed = np.array(made.outline.points, dtype=float) + np.array(made.at, dtype=float)
    assert placed == pytest.approx(np.array(CORNERS), abs=2 * WRITTEN)
    assert made.outline.smooth
    assert not evaluate(after).options[0].problems
    assert evaluate(after).options[0].totals.total_net_volume.value > 0


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_stroke_becomes_few_points_near_to_it(system: System) -> None:
    reach = 3 + 0.8 * np.cos(2 * TURNS) - 0.9 * np.sin(TURNS)
    stroke = np.column_stack([20 + 1.4 * reach * np.cos(TURNS), -8 + reach * np.sin(TURNS)])
    after, made = draw(blank(), "outline", *map(tuple, stroke), stroke=True, system=system)
    assert len(made.outline.points) <= 14
    assert site(made).exterior.hausdorff_distance(Polygon(stroke).exterior) <= 0.011 * np.ptp(stroke[:, 0]) + WRITTEN
    assert not evaluate(after).options[0].problems


@pytest.mark.parametrize("stroke", [True, False])
def test_what_crosses_itself_is_refused_in_words(stroke: bool) -> None:
    eight = [(4 * math.sin(t), 2 * math.sin(2 * t)) for t in TURNS[:: 1 if stroke else 9]]
    with pytest.raises(Refused, match=r"crosses itself near .* east, .* north: draw it again"):
        draw(blank(), "outline", *eight, stroke=stroke)


def test_an_oval_is_as_large_as_the_corners_it_was_drawn_by() -> None:
    _, made = draw(blank(units="si"), "oval", (5.0, 1.0), (-1.0, 5.0), system="si")
    assert (made.outline.length, made.outline.width) == pytest.approx((6.0, 4.0))
    assert tuple(made.at) == pytest.approx((2.0, 3.0))
    _, circle = draw(blank(units="si"), "oval", (0.0, 0.0), (4.0, 4.2), system="si")
    assert circle.outline.diameter == pytest.approx(4.1)
    _, box = draw(blank(units="si"), "box", (0.0, 0.0), (4.0, 2.0), system="si")
    assert (box.outline.shape, float(box.outline.length), float(box.outline.width)) == ("rectangle", 4.0, 2.0)


def test_an_oval_without_size_is_refused_with_what_is_allowed() -> None:
    with pytest.raises(Refused, match=r"Length|Diameter"):
        draw(blank(), "oval", (1.0, 1.0), (1.0, 1.0))


def test_far_outside_is_refused_with_the_bounds() -> None:
    with pytest.raises(Refused, match="as far as 1,000 ft"):
        draw(blank(), "oval", (5000.0, 0.0), (5004.0, 3.0))
    for tool in TOOLS:
        if tool.keeps:
            with pytest.raises(Refused):
                draw(pair(), tool.id, *((305.0, float(number)) for number in range(4)))


@pytest.mark.parametrize("turned", [False, True])
def test_a_fall_runs_from_the_higher_pool_whichever_way_it_was_drawn(turned: bool) -> None:
    ends = [(10.0, 0.0), (0.0, 0.0)]
    after, link = draw(pair(), "fall", *(reversed(ends) if turned else ends), system="si")
    assert (link.kind, link.from_, link.to, link.points) == ("fall", "high", "low", ())
    # Where the line leaves the upper water: 1.5 m from its middle.
    assert tuple(link.at) == pytest.approx((8.5, 0.0), abs=0.03)
    assert not [problem for problem in evaluate(after).options[0].problems if problem.path[0] == "links"]


def test_a_stream_keeps_its_bends_between_the_waters() -> None:
    _, link = draw(pair(), "stream", (10.0, 0.0), (9.5, 0.1), (7.0, 2.0), (5.0, 1.5), (0.0, 0.0), system="si")
    assert link.kind == "channel"
    assert [tuple(map(float, place)) for place in link.points] == [(7.0, 2.0), (5.0, 1.5)]


@pytest.mark.parametrize("places", [[(0.0, 0.0), (1.0, 0.0)], [(0.0, 0.0), (5.0, 5.0)], [(20.0, 20.0), (0.0, 0.0)]])
def test_a_fall_that_joins_no_two_pools_is_refused(places: list[tuple[float, float]]) -> None:
    with pytest.raises(Refused, match="from one pool to another"):
        draw(pair(), "fall", *places)


def test_stones_of_one_kind_are_tapped_one_after_the_other() -> None:
    project = pair()
    chosen: tuple[Any, ...] = ()
    for number, place in enumerate([(2.0, 0.0), (-2.0, 0.0), (0.0, 2.0)], 1):
        project, path = tools.draw(project, 0, Drawing("stone", (place,), chosen=chosen), "si")
        row = get(project, path[:-2])
        assert (len(row.places), row.count, row.pool) == (number, number, "low")
        assert tuple(map(float, get(project, path))) == place
        chosen = path[2:]
    assert len(project.options[0].stone.boulders) == 1
    # In other water, and on land, stones are of a kind of their own: they displace what they stand in.
    for place, name in (((10.0, 0.0), "high"), ((5.0, 5.0), None)):
        project, path = tools.draw(project, 0, Drawing("stone", (place,), chosen=chosen), "si")
        assert (get(project, path[:-2]).pool, get(project, path[:-2]).count) == (name, 1)
    assert [row.count for row in project.options[0].stone.boulders] == [3, 1, 1]
    names = [row.name for row in project.options[0].stone.boulders]
    assert len(set(names)) == 3


def test_a_pipe_gets_a_mouth_in_the_water_and_a_den_at_its_dry_end() -> None:
    after, _ = draw(pair(), "pipe", (-2.0, 0.0), (-5.0, 0.0), (-7.0, 2.0), system="si")
    tunnels = after.options[0].tunnels
    assert [node.kind for node in tunnels.nodes] == ["mouth", "junction", "chamber"]
    assert [(run.from_, run.to) for run in tunnels.runs] == [
        (a.name, b.name) for a, b in zip(tunnels.nodes, tunnels.nodes[1:], strict=False)
    ]
    assert [tuple(map(float, node.at[:2])) for node in tunnels.nodes[1:]] == [(-5.0, 0.0), (-7.0, 2.0)]
    # The mouth is in a face that the pipe goes through, west of the pool's middle.
    east, north = map(float, tunnels.nodes[0].at[:2])
    assert -3.0 < east < -2.0 and north == pytest.approx(0.0, abs=0.01)
    # A second one begins at the node that is there, and no pipe is laid twice.
    more, _ = draw(after, "pipe", (-5.1, 0.1), (-5.0, -3.0), system="si", reach=0.3)
    assert len(more.options[0].tunnels.nodes) == 4
    assert len(more.options[0].tunnels.runs) == 3
    with pytest.raises(Refused, match="there already"):
        draw(after, "pipe", (-5.0, 0.0), (-7.0, 2.0), system="si")


@pytest.mark.parametrize(
    ("count", "kind"), [(1, "tree"), (2, "buried service"), (3, "keep-out area"), (4, "keep-out area")]
)
def test_what_is_to_be_kept_clear_goes_by_its_places(count: int, kind: str) -> None:
    _, keep = draw(pair(), "keep", *CORNERS[:count], system="si")
    assert keep.kind == kind
    assert [tuple(map(float, place)) for place in keep.points] == list(CORNERS[:count])


def test_walls_machines_and_the_section_lie_where_they_were_drawn() -> None:
    project, wall = draw(pair(), "wall", (5.0, -3.0), (8.0, -3.0), system="si")
    assert [tuple(map(float, place)) for place in wall.points] == [(5.0, -3.0), (8.0, -3.0)]
    project, position = draw(project, "machine", (-9.0, 4.0), system="si")
    assert math.dist(position.at, (-9.0, 4.0)) < WRITTEN
    assert math.dist(position.at, position.pick_up) > 1
    project, drawn_site = draw(project, "section", (-4.0, 0.0), (12.0, 1.0), system="si")
    assert [tuple(map(float, end)) for end in drawn_site.section] == [(-4.0, 0.0), (12.0, 1.0)]
    assert save(load(save(project).encode())) == save(project)
    with pytest.raises(Refused, match="no length"):
        draw(project, "section", (1.0, 1.0), (1.0, 1.0))


def test_every_tool_that_keeps_something_makes_it_and_refuses_too_few_places() -> None:
    assert set(MAKERS) == {tool.id for tool in TOOLS if tool.keeps}
    for tool in TOOLS:
        with pytest.raises(Refused):
            draw(pair(), tool.id, *CORNERS[: tool.least - 1])
    with pytest.raises(Refused):
        draw(pair(), "tape", *CORNERS)
    assert all(tool.least <= tool.most <= MANY for tool in TOOLS)


def test_a_pool_on_another_is_drawn_and_said() -> None:
    after, _ = draw(pair(), "oval", (-2.0, -1.0), (1.0, 1.0), system="si")
    assert len(after.options[0].pools) == 3
    assert any("overlaps" in problem.given.text for problem in evaluate(after).options[0].problems)


def test_the_pool_at_a_place_is_the_one_whose_water_is_there_else_the_nearest_within_reach() -> None:
    project, here = pair(), ("options", 0)
    assert pool_at(project, here, (2.9, 0.0)).name == "low"
    assert pool_at(project, here, (3.2, 0.0)) is None
    assert pool_at(project, here, (3.2, 0.0), 0.3).name == "low"
    assert pool_at(blank(), here, (0.0, 0.0), 10.0) is None
