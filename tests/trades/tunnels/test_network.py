"""What is joined: waters that would drain, names, places, and what is left out where a part is in trouble."""

import pytest

from pondkit.core.remembered import Memory
from pondkit.trades.tunnels.network import Outlet, draining_mouths, reached, run_graph
from tests.designs import demo
from tests.memory import asked
from tests.trades.tunnels.sketch import POOL, Node, figures, said, sketch

UPPER = POOL | {"name": "upper", "level": 0.8, "at": [14, 0]}


def joined(top: float, kind: str = "junction", level: float = 0.8) -> str:
    """Problems of two pools joined over a node at a level."""
    nodes: list[Node] = [("a", "mouth", (3.8, 0, -0.4)), ("t", kind, (7, 0, top)), ("b", "mouth", (10.2, 0, 0.4))]
    return said(sketch(nodes, [("a", "t"), ("t", "b")], [POOL, UPPER | {"level": level}]))


def test_two_waters_joined_below_the_upper_one_drain_it_and_a_gate_does_not_mend_it() -> None:
    assert "would drain" in joined(0.0) and "would drain" in joined(0.0, "gate")
    assert "a gate does not mend this" in joined(0.0, "gate")


def test_it_is_the_invert_that_holds_the_water_back() -> None:
    # 4 in Sch 40: the bore reaches 5.08 cm below the centre line. The upper water stands at 0.80 m.
    assert "would drain" in joined(0.84) and "would drain" not in joined(0.86)


def test_one_level_drains_nothing_and_land_below_the_water_does() -> None:
    nodes: list[Node] = [("a", "mouth", (3.8, 0, -0.4)), ("b", "mouth", (10.2, 0, -0.4))]
    assert "drain" not in said(sketch(nodes, [("a", "b")], [POOL, UPPER | {"level": 0}]))
    out: list[Node] = [("a", "mouth", (3.8, 0, -0.4)), ("b", "mouth", (12, 0, -1.0))]
    ground = {"ground": {"kind": "plane", "level": 0, "fall": 0.1, "toward_deg": 90}}
    assert "to the land" in said(sketch(out, [("a", "b")], site=ground))


def test_water_goes_only_through_nodes_below_it() -> None:
    class NetworkRun:
        def __init__(self, *nodes: int) -> None:
            self.nodes = nodes

    made = run_graph([NetworkRun(0, 1), NetworkRun(1, 2), NetworkRun(2, 3)], [1.0, 1.0, 1.0], 4)  # type: ignore[list-item]
    levels = {0: -1.0, 1: -0.5, 2: 0.2, 3: -1.0}
    assert reached(made, (0,), levels, 0.0) == {0, 1}
    assert reached(made, (0,), levels, 0.3) == {0, 1, 2, 3}
    assert reached(made, (2,), levels, 0.0) == set()
    upper, lower = Outlet(0, -1.0, 0.3, "up"), Outlet(3, -1.0, -0.2, "down")
    assert list(draining_mouths(made, [upper, lower], levels)) == [(upper, lower)]


PLAIN: list[Node] = [("m", "mouth", (3.7, 0, -0.4)), ("j", "junction", (6, 0, -0.2)), ("den", "chamber", (8, 1.5, 0.3))]


@pytest.mark.parametrize(
    ("nodes", "runs", "words", "path"),
    [
        (PLAIN, [("m", "j"), ("j", "dem")], "write 'den'", ("tunnels", "runs", 1, "to")),
        (PLAIN, [("j", "j")], "from a node to itself", ("tunnels", "runs", 0, "to")),
        (PLAIN, [("m", "j"), ("j", "m")], "stands twice", ("tunnels", "runs", 1)),
        ([*PLAIN, ("k", "junction", (6, 0, -0.2))], [("m", "j")], "lie in one place", ("tunnels", "nodes", 3, "at")),
        (
            [*PLAIN, ("k", "junction", (6, 0.05, -0.2))],
            [("j", "k"), ("m", "j")],
            "longer than its fittings",
            ("tunnels", "runs", 0),
        ),
        ([*PLAIN, ("j", "junction", (6, 3, -0.2))], [("m", "j")], "'j' stands twice", ("tunnels", "nodes", 3, "name")),
    ],
)
def test_a_fault_names_its_place_and_its_mend(
    nodes: list[Node], runs: list[tuple[str, str]], words: str, path: tuple[object, ...]
) -> None:
    found = sketch(nodes, runs)
    assert words in said(found) and path in [problem.path for problem in found.problems]
    assert not figures(found, "tunnel_volume") and not figures(found, "total_pipe_order")  # no sum lacks a part
    assert figures(found, "gross_volume")


def test_a_run_to_nowhere_leaves_out_the_cuts_at_its_known_end_and_net_volumes() -> None:
    found = sketch(PLAIN, [("m", "j"), ("j", "den"), ("j", "nowhere")])
    assert set(figures(found, "run_length")) == {"m – j", "j – den"}
    assert not figures(found, "cut_length") and not figures(found, "net_volume")


def test_a_mouth_in_a_pool_that_is_in_trouble_is_no_second_problem() -> None:
    broken = POOL | {"tiers": [{"zone": "a", "depth": 0.5}, {"zone": "b", "depth": 0.3}]}
    found = sketch(PLAIN, [("m", "j"), ("j", "den")], [broken])
    assert all(problem.path[0] == "pools" for problem in found.problems) and found.problems


def test_braces_and_marks_in_names_do_no_harm() -> None:
    nodes: list[Node] = [("{x}", "mouth", (3.7, 0, -0.4)), ("<b>", "junction", (6, 0, -0.2))]
    found = sketch(nodes, [("{x}", "<b>")])
    assert not found.problems and "{x} – <b>" in figures(found, "cut_length")


def test_a_moved_tier_of_another_pool_works_no_pipe_out_again() -> None:
    from pondkit.project.files import put

    project = demo("turtle_yard")
    memory = Memory()
    asked(project, memory)
    option = project.options[0]
    drawn = {node.name: node.at for node in option.tunnels.nodes} if option.tunnels else {}
    assert drawn
    far = max(
        range(len(option.pools)), key=lambda at: min(abs(option.pools[at].at[0] - place[0]) for place in drawn.values())
    )
    memory.worked.clear()
    depth = float(option.pools[far].tiers[0].depth) * 1.01
    asked(put(project, ("options", 0, "pools", far, "tiers", 0, "depth"), depth), memory)
    assert memory.worked.count("line_intersections") == 2  # the lines as drawn, and those that fittings move
    assert "run_figures" not in memory.worked
