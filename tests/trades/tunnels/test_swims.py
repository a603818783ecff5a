"""Swims under water, by hand and against a plain search over all simple ways."""

import itertools
import math
import random

import networkx as nx
import pytest

from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study.evaluate import OptionResult, evaluate
from tests.trades.tunnels.sketch import LINED, Node, figures, sketch, value

STILL = {"option": {"water_rise": "0 cm", "water_fall": "0 cm"}}


def vented(nodes: list[Node], runs: list[tuple[str, str]]) -> OptionResult:
    """The passages with every den vented."""
    project = Project(options=(sketch(nodes, runs, lining=LINED, **STILL).option,))
    for index, (_, kind, _) in enumerate(nodes):
        if kind == "chamber":
            project = put(project, ("options", 0, "tunnels", "nodes", index, "vent"), True)
    return evaluate(project).options[0]


NODES: list[Node] = [
    ("m", "mouth", (3.7, 0, -0.6)),
    ("g", "gate", (6.0, 0, -0.3)),
    ("den", "chamber", (9.0, 0, 0.3)),
]
RUNS = [("m", "g"), ("g", "den")]


def test_from_the_water_over_the_mouth_to_the_waters_edge_on_the_way_to_a_vented_den() -> None:
    found = vented(NODES, RUNS)
    first, second = math.hypot(2.3, 0.3), math.hypot(3.0, 0.6)
    (longest,) = figures(found, "longest_swim").values()
    assert longest.value == pytest.approx(0.6 + first + second / 2)
    assert longest.subject == "m to the water's edge in g – den"
    blocked = figures(found, "blocked_swim")
    assert blocked["m blocked"].value == pytest.approx(2 * (first + second / 2))
    assert blocked["g shut"].value == pytest.approx(2 * max(0.6 + first, second / 2))


def test_air_without_a_vent_is_no_end_of_a_swim() -> None:
    found = sketch(NODES, RUNS, lining=LINED, **STILL)
    (longest,) = figures(found, "longest_swim").values()
    # Into the den, which is blind, and back the same way.
    assert longest.value == pytest.approx(2 * (0.6 + math.hypot(2.3, 0.3) + math.hypot(3.0, 0.6)))


def shut(found: OptionResult, name: str = "g") -> OptionResult:
    """The same passages with a gate shut."""
    project = Project(options=(found.option,))
    index = [node.name for node in found.option.tunnels.nodes].index(name)  # type: ignore[union-attr]
    changed = put(project, ("options", 0, "tunnels", "nodes", index, "shut"), True)
    return evaluate(changed).options[0]


def test_a_swim_turns_back_at_a_gate_that_is_shut() -> None:
    found = shut(vented(NODES, RUNS))
    first, second = math.hypot(2.3, 0.3), math.hypot(3.0, 0.6)
    (longest,) = figures(found, "longest_swim").values()
    assert longest.subject == "m to g"
    assert longest.value == pytest.approx(2 * max(0.6 + first, second / 2))
    assert "Drawn shut: 'g'" in longest.cautions[0].text
    assert figures(found, "blocked_swim")["g shut"].cautions
    assert found.tunnels is not None and ("g", "shut gate") in [place[:2] for place in found.tunnels.places]
    assert (
        figures(found, "den_above_highest")["den"].value
        == figures(vented(NODES, RUNS), "den_above_highest")["den"].value
    )


def test_no_air_comes_by_a_gate_that_is_shut() -> None:
    """The pipe beyond the gate lies dry, and its den has no vent: open, it breathes by
    the mouth on land; shut, by nothing.
    """
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("j", "junction", (6.0, 0, 0.3)),
        ("g", "gate", (7.0, 0, 0.3 + 0.9 / 2.3)),
        ("land", "mouth", (9.0, 0, 0.3 + 2.7 / 2.3)),
    ]
    runs = [("m", "j"), ("j", "g"), ("g", "land")]
    first = math.hypot(2.3, 0.9)
    opened = sketch(nodes, runs, lining=LINED, **STILL)
    assert figures(opened, "longest_swim")["m to the water's edge in m – j"].value == pytest.approx(0.6 + 2 / 3 * first)
    (closed,) = figures(shut(opened), "longest_swim").values()
    # To the gate, which is blind, and back: none of what is dry on this side can be breathed.
    assert closed.subject == "m to g"
    assert closed.value == pytest.approx(2 * (0.6 + first + math.hypot(1.0, 0.9 / 2.3)))


def test_a_mark_on_what_is_no_gate_shuts_nothing() -> None:
    found = shut(vented(NODES, RUNS), "den")
    assert not found.problems
    assert figures(found, "longest_swim").keys() == {"m to the water's edge in g – den"}


def plain_search(graph: nx.Graph, airs: dict[int, float]) -> float:
    """The longest of all simple ways between two airs, or to a blind end and back, that comes up nowhere between."""
    blind = [v for v in graph if graph.degree(v) == 1 and v not in airs]
    best = 0.0
    for a, b in itertools.product(airs, [*airs, *blind]):
        if a == b:
            continue
        for path in nx.all_simple_paths(graph, a, b):
            if not set(path[1:-1]) & set(airs):
                length = airs[a] + sum(graph[p][q]["length"] for p, q in itertools.pairwise(path))
                best = max(best, length + airs[b] if b in airs else 2 * length)
    return best


@pytest.mark.parametrize("seed", range(8))
def test_longest_swim_is_that_of_a_plain_search(seed: int) -> None:
    rng = random.Random(seed)
    inner = [(f"j{i}", "junction", (rng.uniform(6, 12), rng.uniform(-6, 6), rng.uniform(-0.9, -0.4))) for i in range(7)]
    mouths: list[Node] = [(f"m{i}", "mouth", (4 - 0.3, y, -0.6)) for i, y in enumerate((-1.5, 0.0, 1.5))]
    nodes: list[Node] = [*mouths, *inner]
    runs = [(f"m{i}", f"j{i}") for i in range(3)] + [(f"j{i}", f"j{i + 1}") for i in range(6)]
    runs.append(("j6", "j1") if seed % 2 else ("j4", "j1"))  # a ring; junctions take three pipes at most
    found = sketch(nodes, runs, lining=LINED, **STILL)
    assert found.tunnels is not None
    # Fittings turn and shift runs, but each keeps the length that it is drawn with.
    places = {name: place for (name, _, _), place in zip(nodes, found.tunnels.alignment.places_drawn, strict=True)}
    graph = nx.Graph()
    for a, b in runs:
        graph.add_edge(a, b, length=math.dist(places[a], places[b]))
    airs = {name: -places[name][2] for name, _, _ in mouths}
    (longest,) = figures(found, "longest_swim").values()
    assert longest.value == pytest.approx(plain_search(graph, airs))


def test_the_narrowest_way_counts_measured_fittings_on_the_passage_only() -> None:
    nodes: list[Node] = [
        *NODES[:1],
        ("j", "junction", (6.0, 0, -0.3)),
        ("den", "chamber", (9.0, 0, -0.3 + 3 * 0.3 / 2.3)),
        ("cap", "junction", (6.0, 2, -0.3)),
    ]
    runs = [("m", "j"), ("j", "den"), ("j", "cap", "sch40 2 in")]
    wide = sketch(nodes, runs, lining=LINED)
    assert next(iter(figures(wide, "clear_bore").values())).value == pytest.approx(3.998 * 0.0254)
    size = {"name": "tee", "pipe": "sch40 4 in", "centre_to_stop": "7 cm", "clear_bore": "80 mm"}
    found = sketch(nodes, runs, lining=LINED, fittings=[size])
    assert {k: v.value for k, v in figures(found, "clear_bore").items()} == {"tee at j": pytest.approx(0.08)}


def test_where_rings_leave_too_many_routes_all_of_the_pipe_is_taken_and_said() -> None:
    # A ladder of 16 rungs has more than 20,000 routes from end to end.
    rungs = 16
    nodes: list[Node] = [("a", "mouth", (3.7, -0.5, -0.6)), ("b", "mouth", (3.7, 0.5, -0.6))]
    nodes += [
        (f"{side}{i}", "junction", (5.0 + i, at, -0.6)) for i in range(rungs) for side, at in (("s", -0.5), ("n", 0.5))
    ]
    runs = [("a", "s0"), ("b", "n0")]
    runs += [(f"{side}{i}", f"{side}{i + 1}") for i in range(rungs - 1) for side in "sn"] + [
        (f"s{i}", f"n{i}") for i in range(rungs)
    ]
    found = sketch(nodes, runs, lining=LINED, **STILL)
    (longest,) = figures(found, "longest_swim").values()
    assert any("not all routes" in c.text for c in longest.cautions)
    assert longest.value == pytest.approx(2 * 1.3 + 2 * (rungs - 1) + rungs + 2 * 0.6, rel=0.02)


def test_water_that_passes_over_a_sill_is_swum_and_counted_beyond_it() -> None:
    """The sill's invert lies under the water, its centre 0.03 m over it; beyond it the pipe dips by 1 m to a den."""
    nodes: list[Node] = [
        ("m", "mouth", (3.7, 0, -0.6)),
        ("sill", "junction", (6, 0, 0.03)),
        ("dip", "junction", (9, 0, -1.0)),
        ("den", "chamber", (12, 0, 0.5)),
    ]
    found = vented(nodes, [("m", "sill"), ("sill", "dip"), ("dip", "den")])
    assert found.tunnels is not None
    mouth, sill, dip, den = found.tunnels.alignment.places  # as their fittings set them
    assert 0 < sill[2] < 3.998 * 0.0254 / 2
    up, over, down = math.dist(mouth, sill), math.dist(sill, dip), math.dist(dip, den)
    edge = down * dip[2] / (dip[2] - den[2])
    # The air over the sill comes from nowhere: all of it is swum, from the surface over the mouth to the water's edge.
    swim = figures(found, "longest_swim")["m to the water's edge in dip – den"]
    assert swim.value == pytest.approx(-mouth[2] + up + over + edge, rel=1e-3)
    beyond = over * dip[2] / (dip[2] - sill[2])
    under = up * mouth[2] / (mouth[2] - sill[2]) + beyond + edge  # m of centre line below the water
    area = math.pi / 4 * (3.998 * 0.0254) ** 2
    assert value(found, "flooded_pipe_volume") == pytest.approx(area * under, rel=0.01)
    assert value(found, "run_filled", "sill – dip, at rest") == pytest.approx(beyond / over, rel=1e-2)
