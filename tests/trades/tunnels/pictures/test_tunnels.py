"""The pictures of the passages, as data."""

import math
from typing import Any

import numpy as np
import pytest

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing.rows import by_tape
from pondkit.report.plan import plan as site_plan
from pondkit.study.evaluate import OptionResult
from pondkit.trades.tunnels import pictures as plans
from pondkit.trades.tunnels import pictures as sections
from tests.report.pictures import area, as_json, named, numbers, strings
from tests.trades.tunnels.sketch import LINED, Node, figures, sketch, value

NODES: list[Node] = [
    ("m", "mouth", (3.7, 0, -0.6)),
    ("<j>", "junction", (6, 0, -0.3)),
    ("g", "gate", (7, 0.5, -0.1)),
    ("den", "chamber", (8, 1, 0.2)),
]
RUNS = [("m", "<j>"), ("<j>", "g"), ("g", "den")]
PER = {"us": 0.3048, "si": 1.0}


def plan(found: OptionResult, system: System) -> Any:
    return plans.plan(found.tunnels, found.pools, system)


def long_section(found: OptionResult, system: System) -> Any:
    nodes = found.option.tunnels.nodes if found.option.tunnels else ()
    return sections.long_section(found.tunnels, nodes, found.pools, system)


def cuts(found: OptionResult, system: System) -> Any:
    return plans.cuts(found.tunnels, system)


@pytest.fixture(scope="module")
def found() -> OptionResult:
    return sketch(NODES, RUNS, lining=LINED)


def spots(found: OptionResult) -> Any:
    """Places of the nodes as fittings set them, shape (4, 3)."""
    assert found.tunnels is not None
    return np.array([place for _, _, place in found.tunnels.places])


def traces(figure: dict[str, Any], symbol: str) -> dict[str, Any]:
    """The one trace of markers whose first symbol, or only one, is this."""
    (one,) = [
        trace
        for trace in figure["data"]
        if trace["mode"] == "markers" and symbol in np.atleast_1d(trace["marker"]["symbol"])[:1].tolist()
    ]
    return dict(one)


@pytest.mark.parametrize("system", ["us", "si"])
@pytest.mark.parametrize("picture", [plan, long_section, cuts])
def test_a_picture_is_sound_json_with_its_unit_on_the_axis_and_no_bare_names(
    found: OptionResult, picture: Any, system: System
) -> None:
    figure = picture(found, system)
    assert as_json(figure)
    title = figure["layout"]["xaxis"]["title"]["text"]
    assert title.endswith(
        {"us": "[ft]", "si": "[m]"}[system] if picture is not cuts else {"us": "[in]", "si": "[cm]"}[system]
    )
    assert not any(
        "<j>" in text for text in strings({"data": figure["data"], "notes": figure["layout"].get("annotations")})
    )


@pytest.mark.parametrize("system", ["us", "si"])
def test_the_plan_draws_every_run_between_its_settled_ends(found: OptionResult, system: System) -> None:
    figure = plan(found, system)
    assert figure is not None and found.tunnels is not None
    assert figure["layout"]["yaxis"]["scaleanchor"] == "x"  # equal scale
    pipe = named(figure, "pipe")
    assert len(pipe["x"]) == 3 * len(found.tunnels.lines)
    for number, (name, start, end, _) in enumerate(found.tunnels.lines):
        for axis, there in enumerate((start, end)):
            x, y = (pipe[key][3 * number + axis] * PER[system] for key in "xy")
            assert (x, y) == pytest.approx(there[:2], abs=1e-3)
        assert f"cut {by_tape(value(found, 'cut_length', name), system)}" in pipe["hovertext"][3 * number]


def test_nodes_have_a_shape_for_each_kind_and_penetrations_their_ring(found: OptionResult) -> None:
    figure = plan(found, "si")
    assert figure is not None
    nodes = named(figure, "nodes")
    assert len(set(nodes["marker"]["symbol"][:4])) == 4
    # The fifth is the ring of the one penetration, in the colour of a mark.
    assert nodes["marker"]["symbol"][4:] == ["circle-open"]
    assert nodes["marker"]["color"][4] != nodes["marker"]["color"][0]
    assert numbers(nodes["x"])[4] == pytest.approx(3.7, abs=0.01)


@pytest.mark.parametrize("system", ["us", "si"])
def test_the_long_section_lays_the_way_out_by_level_distance(found: OptionResult, system: System) -> None:
    figure = long_section(found, system)
    assert figure is not None
    (marks,) = [trace for trace in figure["data"] if trace["mode"] == "markers" and len(trace["x"]) == 4]
    x = np.array(numbers(marks["x"])) * PER[system]
    at = spots(found)
    level = [2.3, *np.hypot(*np.diff(at[1:, :2], axis=0).T)]
    assert np.diff(x) == pytest.approx(level, abs=2e-3)
    assert np.array(numbers(marks["y"])) * PER[system] == pytest.approx(at[:, 2], abs=2e-3)
    assert at[:2, 2] == pytest.approx([-0.6, -0.3])


def test_the_pipe_is_drawn_from_invert_to_crown(found: OptionResult) -> None:
    figure = long_section(found, "si")
    assert figure is not None
    band = named(figure, "pipe m – den: invert to crown")
    x, y = np.split(np.array(numbers(band["x"])), 3), np.split(np.array(numbers(band["y"])), 3)
    bore = 3.998 * 0.0254  # ASTM D1785 4 in, average inside diameter
    lengths = [np.hypot(2.3, 0.3), np.sqrt(1 + 0.25 + 0.04), np.sqrt(1 + 0.25 + 0.09)]
    for xs, ys, long in zip(x, y, lengths, strict=True):
        assert area(xs, ys) == pytest.approx(bore * long, rel=0.02)  # coordinates are rounded to a millimetre


def test_water_ground_and_den_are_shown_and_the_exaggeration_is_said(found: OptionResult) -> None:
    figure = long_section(found, "si")
    assert figure is not None
    water = named(figure, "water")
    assert max(numbers(water["y"])) == pytest.approx(0.0) and min(numbers(water["y"])) == pytest.approx(-1.2)
    den = named(figure, "chamber den")
    assert area(den["x"], den["y"]) == pytest.approx(0.6 * 0.4, rel=0.01)
    assert min(numbers(den["y"])) == pytest.approx(
        spots(found)[3, 2] - 3.998 * 0.0254 / 2, abs=2e-3
    )  # floor at the invert
    times = figure["layout"]["yaxis"]["scaleratio"]
    text = "heights to scale" if times == 1 else f"heights drawn {times} times"
    assert text in [note["text"] for note in figure["layout"]["annotations"]]


def test_the_cutting_plan_shows_every_piece_once_within_its_stock_length(found: OptionResult) -> None:
    figure = cuts(found, "si")
    assert figure is not None
    pieces = [x for trace in figure["data"] if trace["name"] == "piece" for x in numbers(trace["x"])]
    cut = sum(f.value for f in figures(found, "cut_length").values())
    assert sum(pieces) / 100 == pytest.approx(cut, abs=1e-3)
    for trace in figure["data"]:
        if trace["name"] == "piece":
            assert all(base + x <= 300 + 1e-6 for base, x in zip(trace["base"], trace["x"], strict=True))


def test_alike_stock_lengths_stand_together() -> None:
    long = sketch([("a", "junction", (6, 0, -1)), ("b", "junction", (18, 0, -1))], [("a", "b")])
    figure = cuts(long, "si")
    assert figure is not None
    assert any(text.startswith("3 × ") or text.startswith("4 × ") for text in figure["layout"]["yaxis"]["ticktext"])


def test_without_tunnels_or_with_none_laid_out_there_is_no_picture_but_words() -> None:
    bare = sketch([("m", "mouth", (9, 0, -3)), ("den", "chamber", (12, 0, -3))], [("m", "den")])
    assert bare.problems
    for picture, words in (
        (plan, plans.alt_plan),
        (long_section, sections.alt_long_section),
        (cuts, plans.alt_cuts),
    ):
        assert picture(bare, "us") is None and words(bare.tunnels, "us")


def test_the_words_say_what_the_takeoff_says(found: OptionResult) -> None:
    run = show(value(found, "run_length", "g – den"), LENGTH, "us", "ft")
    assert f"g – den, {run}" in plans.alt_plan(found.tunnels, "us")
    depth = show(value(found, "mouth_depth", "m"), LENGTH, "si", "cm")
    assert f"mouth m {depth} under water" in sections.alt_long_section(found.tunnels, "si")
    assert "sch40 4 in" in plans.alt_cuts(found.tunnels, "us")


def test_an_upright_way_has_no_long_section() -> None:
    shaft = sketch([("m", "mouth", (0, 0, -1.3)), ("b", "junction", (0, 0, -2.4))], [("b", "m")])
    assert not shaft.problems and long_section(shaft, "si") is None and plan(shaft, "si") is not None


def test_where_fittings_set_a_node_from_where_it_is_drawn_stands_on_both_plans() -> None:
    """A rise drawn at 27 degrees is made with 22.5; drawn at 22.6 its den moves by 3
    mm, of which no plan says anything.
    """

    def rising(degrees: float) -> OptionResult:
        up = math.radians(degrees)
        nodes = [
            ("m", "mouth", (3.7, 0.0, -0.6)),
            ("j", "junction", (6.0, 0.0, -0.6)),
            ("den", "chamber", (6 + 2 * math.cos(up), 0.0, -0.6 + 2 * math.sin(up))),
        ]
        return sketch(nodes, [("m", "j"), ("j", "den")], most_move="30 cm")

    far, near = rising(27), rising(22.6)
    side = 2 * (math.cos(math.radians(22.5)) - math.cos(math.radians(27)))
    for figure in (plan(far, "si"), site_plan(far, "si")):
        assert figure is not None
        drawn = named(figure, "from where it is drawn to where it is set")
        assert drawn["x"][:2] == pytest.approx([6 + 2 * math.cos(math.radians(a)) for a in (27, 22.5)], abs=6e-3)
        assert f"{show(side, LENGTH, 'si', 'cm')} to the side and" in drawn["hovertext"][0]
        assert "lower than drawn" in drawn["hovertext"][0]
    chord = 2 * 2 * math.sin(math.radians(27 - 22.5) / 2)
    assert f"Nodes that their fittings move: den by {show(chord, LENGTH, 'si', 'cm')}." in plans.alt_plan(
        far.tunnels, "si"
    )
    figure = plan(near, "si")
    assert figure is not None and all("drawn to" not in str(trace.get("name")) for trace in figure["data"])
