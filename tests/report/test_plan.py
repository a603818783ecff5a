"""The plan, looked at as data."""

import itertools
import math
import re
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely

from pondkit.core.caution import ACT, Caution
from pondkit.core.units import SYSTEMS, System
from pondkit.drawing import frame
from pondkit.page import edits
from pondkit.project.files import put
from pondkit.report import plan
from pondkit.report.plan import faults_at
from pondkit.study.evaluate import evaluate
from pondkit.trades.clearances.pictures import constraint_labels
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read
from tests.report.pictures import area, as_json, lightness, named, numbers, strings

FOOT = {"us": 1.0, "si": 0.3048}
UNIT = {"us": "ft", "si": "m"}
LINE = ((-3.0, 0.0), (3.0, 0.5))
ODD = "<b>a & b</b>"


def drawn(system: System = "us", **settings: Any) -> dict[str, Any]:
    return plan.plan(evaluate(read()).options[0], system, **settings)


def fills(figure: dict[str, Any]) -> list[dict[str, Any]]:
    """Areas of depth, in the order in which they are painted."""
    return [trace for trace in figure["data"] if trace.get("fill") == "toself" and "deep" in trace["name"]]


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_number_of_a_plan_is_finite_and_lies_inside_it(name: str, system: System) -> None:
    project = demo(name)
    for result in evaluate(project).options:
        figure = plan.plan(result, system, section=plan.shown_section(result, project.site.section))
        as_json(figure)
        for side, axis in (("x", "xaxis"), ("y", "yaxis")):
            low, high = figure["layout"][axis]["range"]
            every = [value for trace in figure["data"] for value in numbers(trace[side])]
            assert low <= min(every)
            assert max(every) <= high


def test_dark_is_deep_all_the_way_down_the_scale() -> None:
    shades = [lightness(frame.shade(depth / 100, 2.0)) for depth in range(201)]
    steps = [a - b for a, b in pairwise(shades)]
    assert all(step > 0 for step in steps)
    assert shades[0] > 90
    assert shades[-1] < 20
    # No jump that would read as an edge: no hundredth of the scale takes more than three times its even part.
    assert max(steps) < 3 * (shades[0] - shades[-1]) / len(steps)


@pytest.mark.parametrize(("depth", "deepest", "same_as"), [(-1.0, 2.0, 0.0), (9.0, 2.0, 2.0), (1.0, 0.0, 0.0)])
def test_a_depth_off_the_scale_has_the_colour_of_its_end(depth: float, deepest: float, same_as: float) -> None:
    assert frame.shade(depth, deepest) == frame.shade(same_as, deepest or 1.0)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_depth_shading_gets_darker_from_the_bank_inward(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        shades = [lightness(trace["fillcolor"]) for trace in fills(plan.plan(result, system))]
        assert 3 <= len(shades) <= plan.MOST_BANDS
        assert shades == sorted(shades, reverse=True)
        assert shades[0] > shades[-1]


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("scale", [0.02, 0.3, 0.762, 1.0, 3.66])
def test_shading_changes_at_round_depths_of_even_steps(scale: float, system: System) -> None:
    bands = plan.depth_bands(scale, system)
    assert bands[0] == 0
    assert bands[-1] < scale
    assert len(bands) <= plan.MOST_BANDS
    if len(bands) > 1:
        step = bands[1] / {"us": 0.0254, "si": 0.01}[system]
        assert step == pytest.approx(round(step))
        assert [b - a for a, b in pairwise(bands)] == pytest.approx([bands[1]] * (len(bands) - 1))


def test_each_band_of_shading_covers_all_that_is_so_deep() -> None:
    """Of an ellipse of 18 x 12 ft down to 30 in: the area of the band at the floor is that of the floor."""
    bands = fills(drawn())
    areas = [area(trace["x"], trace["y"]) for trace in bands]
    assert areas == sorted(areas, reverse=True)
    assert areas[0] == pytest.approx(math.pi / 4 * 18 * 12, rel=4e-3)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_scale_is_equal_east_and_north_and_the_axes_name_their_unit(system: System) -> None:
    layout = drawn(system)["layout"]
    assert (layout["yaxis"]["scaleanchor"], layout["yaxis"]["scaleratio"]) == ("x", 1)
    assert layout["xaxis"]["title"]["text"] == f"east [{UNIT[system]}]"
    assert layout["yaxis"]["title"]["text"] == f"north [{UNIT[system]}]"


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_waterline_is_drawn_in_the_unit_on_show(system: System) -> None:
    line = named(drawn(system), "pool: waterline")
    length, width = 18 * FOOT[system], 12 * FOOT[system]
    for side, size in ((line["x"], length), (line["y"], width)):
        assert max(numbers(side)) - min(numbers(side)) == pytest.approx(size, rel=2e-3)
    # Drawn as a ring of chords.
    assert area(line["x"], line["y"]) == pytest.approx(math.pi / 4 * length * width, rel=4e-3)


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_scale_bar_is_as_long_as_it_says(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        layout = plan.plan(result, system)["layout"]
        (path,) = [shape["path"] for shape in layout["shapes"] if shape["type"] == "path"]
        east = [float(x) for x in re.findall(r"[ML](-?[\d.e-]+),", path)]
        (said,) = [note["text"] for note in layout["annotations"] if re.fullmatch(r"[\d.]+ (ft|m)", note["text"])]
        number, unit = said.split()
        assert unit == UNIT[system]
        assert max(east) - min(east) == pytest.approx(float(number), rel=1e-9)
        assert str(float(number)).strip("0.")[:1] in "125"
        assert layout["xaxis"]["range"][0] <= min(east)
        assert max(east) <= layout["xaxis"]["range"][1]


def test_north_is_up() -> None:
    layout = drawn()["layout"]
    assert any(note["text"].startswith("N<br>↑") for note in layout["annotations"])
    assert layout["yaxis"]["range"][0] < layout["yaxis"]["range"][1]


def test_the_section_line_is_drawn_between_its_marks() -> None:
    (line,) = [shape for shape in drawn(section=LINE)["layout"]["shapes"] if shape.get("name") == "section"]
    ends = [line[key] for key in ("x0", "y0", "x1", "y1")]
    assert ends == pytest.approx([v / 0.3048 for end in LINE for v in end], abs=0.01)
    marks = {
        note["text"]: (note["x"], note["y"])
        for note in drawn(section=LINE)["layout"]["annotations"]
        if note["text"] in "AB"
    }
    assert marks == {"A": tuple(ends[:2]), "B": tuple(ends[2:])}
    assert not any(shape.get("name") == "section" for shape in drawn()["layout"]["shapes"])


@pytest.mark.parametrize(("limit", "there"), [(0.5, True), (2.0, False)])
def test_the_depth_limit_is_drawn_where_the_water_is_deeper(limit: float, there: bool) -> None:
    result = evaluate(read(site={"depth_limit": f"{limit} m"})).options[0]
    lines = [trace for trace in plan.plan(result, "us")["data"] if trace["name"].startswith("deeper than")]
    assert bool(lines) is there
    if there:
        inner, outer = lines[0], named(drawn(), "pool: waterline")
        assert 0 < area(inner["x"], inner["y"]) < area(outer["x"], outer["y"])


def test_the_chosen_pool_has_the_heavier_waterline() -> None:
    result = evaluate(full_project()).options[0]
    figure = plan.plan(result, "us", chosen=1)
    widths = [named(figure, f"{name}: waterline")["line"]["width"] for name in ("lower", "upper")]
    assert widths[1] > widths[0]


def test_each_pool_can_be_picked() -> None:
    picked = {
        tuple(trace["meta"])
        for trace in plan.plan(evaluate(full_project()).options[0], "us")["data"]
        if "meta" in trace
    }
    assert picked == {("pools", 0), ("pools", 1)}


def test_side_by_side_one_depth_has_one_colour_and_one_foot_one_length() -> None:
    deep = pool(
        tiers=[
            {"zone": "marsh", "depth": "9 in", "shelf": "2 ft", "batter": 0.5},
            {"zone": "deep", "depth": "60 in", "batter": 0.2},
        ]
    )
    results = list(evaluate(read(options=[option("A"), option("B", pools=[deep])])).options)
    scale, span = plan.deepest(results), plan.extent(results)
    figures = [plan.plan(result, "us", scale_to=scale, span=span, look="bare") for result in results]
    assert figures[0]["layout"]["xaxis"]["range"] == figures[1]["layout"]["xaxis"]["range"]
    assert figures[0]["layout"]["yaxis"]["range"] == figures[1]["layout"]["yaxis"]["range"]
    colours = [{trace["name"]: trace["fillcolor"] for trace in fills(figure)} for figure in figures]
    shared = colours[0].keys() & colours[1].keys()
    assert shared
    assert all(colours[0][name] == colours[1][name] for name in shared)
    floors = [min(lightness(colour) for colour in found.values()) for found in colours]
    assert floors[0] > floors[1]  # the shallower option ends lighter


def test_a_small_plan_has_no_names_and_no_titles() -> None:
    figure = drawn(look="bare")
    assert figure["layout"]["xaxis"]["title"]["text"] == figure["layout"]["yaxis"]["title"]["text"] == ""
    assert not any(trace["name"] == "labels" for trace in figure["data"])


@pytest.mark.parametrize(("system", "depths"), [("us", ["9 in", "30 in"]), ("si", ["23 cm", "76 cm"])])
def test_level_parts_bear_their_depth_and_pools_their_name(system: System, depths: list[str]) -> None:
    labels = named(drawn(system), "labels")
    assert labels["text"] == [*depths, "<b>pool</b>"]
    outline = named(drawn(system), "pool: waterline")
    for x, y, text in zip(labels["x"], labels["y"], labels["text"], strict=True):
        assert min(numbers(outline["x"])) <= x <= max(numbers(outline["x"]))
        assert y <= max(numbers(outline["y"])) + 1e-9, text


@pytest.mark.parametrize(("line", "at"), [(None, "top"), (((-9, 0), (9, 0)), "top"), (((0, -9), (0, 9)), "middle")])
def test_a_name_stands_where_the_section_s_line_does_not_go_over_it(line: Any, at: str) -> None:
    """North of the water as a rule; a line from south to north leaves the east and the west free."""
    foot = 0.3048
    ends = line and tuple((x * foot, y * foot) for x, y in line)
    figure = drawn(section=ends)
    (labels,) = [trace for trace in figure["data"] if trace.get("name") == "labels"]
    place = labels["textposition"][labels["text"].index("<b>pool</b>")]
    assert place.split()[0] == at


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_no_name_and_no_depth_of_a_demo_lies_under_the_section_s_line(name: str) -> None:
    """By the words' box at the narrowest plan, 600 px, against points along the line; half the words' height clear."""
    for result in evaluate(demo(name)).options:
        line = plan.shown_section(result, result.site.section)
        assert line
        figure = plan.plan(result, "us", section=line)
        (labels,) = [trace for trace in figure["data"] if trace.get("name") == "labels"]
        low, high = figure["layout"]["xaxis"]["range"]
        pixel = (high - low) / 600
        ends = np.array([[s[f"{axis}{end}"] for axis in "xy"] for s in shapes_of(figure) for end in (0, 1)])
        points, depths = shapely.LineString(ends), 0
        for x, y, text, where in zip(*(labels[k] for k in ("x", "y", "text", "textposition")), strict=True):
            if text.startswith("<b>") or re.fullmatch(r"[\d.½¼¾⅛⅜⅝⅞ ]+ (in|cm)", text):
                depths += text[:1] != "<"
                wide, tall = 6.0 * len(re.sub("<.*?>", "", text)) * pixel, 13 * pixel
                left = {"left": x - wide, "right": x}.get(where.split()[1], x - wide / 2)
                foot = {"top": y, "bottom": y - tall}.get(where.split()[0], y - tall / 2)
                words = shapely.box(left, foot, left + wide, foot + tall)
                assert words.distance(points) > 0, (name, text, where)
        assert depths


def shapes_of(figure: dict[str, Any]) -> list[dict[str, Any]]:
    return [shape for shape in figure["layout"]["shapes"] if shape.get("name") == "section"]


def test_all_that_the_option_holds_is_drawn() -> None:
    figure = plan.plan(evaluate(full_project()).options[0], "us")
    names = [trace["name"] for trace in figure["data"]]
    assert {"rim", "lower: waterline", "upper: waterline", "boulders", "edging", "links", "pipe", "nodes"} <= set(names)
    said = list(strings(figure["data"]))
    for wanted in ("boulder seat", "edging, ", "fall from upper to lower", "upper: level at"):
        assert any(wanted in text for text in said), wanted
    nodes = next(
        trace
        for trace in plan.plan(evaluate(full_project()).options[0], "us")["data"]
        if "markers" in trace.get("mode", "")
    )
    # The bend of 44.8° is made by an elbow of 45°: the den swings about it in the plane of
    # both runs, as far away as before.
    door, bend, den = np.array([-6, 0, -14 / 12]), np.array([-14, 0, -6 / 12]), np.array([-19, 5, 4 / 12])
    along, out = (bend - door) / np.linalg.norm(bend - door), den - bend
    aside = out - (out @ along) * along
    swung = bend + np.linalg.norm(out) * (along + aside / np.linalg.norm(aside)) / math.sqrt(2)
    assert list(numbers(nodes["x"]))[1:3] == pytest.approx([-14, swung[0]], abs=1e-3)


def test_names_are_shown_as_text() -> None:
    project = full_project()
    for path in (("pools", 0), ("pools", 1), ("stone", "boulders", 0), *(("tunnels", "nodes", i) for i in range(3))):
        project = edits.rename(project, ("options", 0, *path), f"{ODD} {path[-1]}")
    project = put(project, ("site", "depth_limit"), "0.3 m")
    figure = plan.plan(evaluate(project).options[0], "us")
    met = [text for text in strings(figure) if "a &" in text]
    assert len(met) > 20
    assert not [text for text in met if ODD in text]


def test_zoom_stays_while_a_figure_changes() -> None:
    revisions = {
        plan.plan(evaluate(read(options=[option(pools=[pool(level=level)])])).options[0], "us")["layout"]["uirevision"]
        for level in ("0 in", "5 in")
    }
    assert len(revisions) == 1


def test_an_option_without_a_pool_that_holds_is_an_empty_plan() -> None:
    crossing = pool(
        outline={
            "shape": "points",
            "smooth": False,
            "points": [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]],
        }
    )
    result = evaluate(read(options=[option(pools=[crossing])])).options[0]
    assert result.pools == ()
    as_json(plan.plan(result, "us"))
    assert plan.shown_section(result, None) is None
    assert "no pool could be worked out" in plan.alt_plan(result, "us")


def test_the_section_line_is_the_one_entered_or_runs_through_the_pools() -> None:
    result = evaluate(read()).options[0]
    assert plan.shown_section(result, LINE) == LINE
    found = plan.shown_section(result, None)
    assert found is not None
    (x0, y0), (x1, y1) = found
    # Along the longer axis of the ellipse, from beyond one end to beyond the other.
    assert abs(x1 - x0) > 18 * 0.3048
    assert abs(y0) + abs(y1) < 0.3


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_words_for_a_plan_name_pools_areas_and_depths(system: System) -> None:
    said = plan.alt_plan(evaluate(read()).options[0], system)
    assert "pool" in said
    assert {"us": "30 in deep", "si": "76.2 cm deep"}[system] in said


@pytest.mark.parametrize(
    ("length", "nice"), [(7.3, 5), (2.0, 2), (0.34, 0.2), (1.0, 1), (99, 50), (0, 1), (math.inf, 1)]
)
def test_a_scale_bar_has_a_round_length(length: float, nice: float) -> None:
    assert frame.round_length(length) == pytest.approx(nice)


def test_names_of_what_is_kept_clear_of_stay_in_the_picture_and_off_its_scale_bar() -> None:
    """A letter of 12 px is 7 px wide at most, and the plan at 1280 px 550 px wide by 340 px high."""
    result = evaluate(demo("turtle_yard")).options[0]
    span = west, south, east, north = plan.extent([result])
    labels = constraint_labels(result.clearances, "m", span)
    assert {"museum wall", "old oak", "water main"} <= {text for _, _, text, _, _ in labels}
    boxes = []
    for x, y, text, _, side in labels:
        wide = (east - west) / 550 * 7 * len(text)
        left = {"left": x - wide, "center": x - wide / 2, "right": x}[side.split()[1]]
        assert west - 0.02 <= left <= left + wide <= east + 0.02, text
        low = y - (12 if side.startswith("bottom") else 0) * (north - south) / 340
        assert low > south + 30 * (north - south) / 340 or left > west + 0.24 * (east - west), text
        boxes.append(shapely.box(left, low, left + wide, low + 12 * (north - south) / 340))
        if text == "water main":  # a buried service is named at its line
            assert y == pytest.approx(-14 * 0.3048, abs=0.02)
    assert not any(one.intersects(other) for one, other in itertools.combinations(boxes, 2))


def test_what_asks_to_be_acted_on_is_marked_at_its_place() -> None:
    """A stone on a face, against the same stone on the floor of its pool."""

    def marks(north: str) -> list[dict[str, Any]]:
        stones = {"boulders": [{"name": "seat", "axes": ["20 in", "16 in", "12 in"], "places": [["0 ft", north]]}]}
        result = evaluate(read(site={}, options=[option(stone=stones)])).options[0]
        return [trace for trace in plan.plan(result, "us")["data"] if trace.get("name") == "to act on"]

    assert marks("0 ft") == []
    (mark,) = marks("5.8 ft")
    assert (mark["x"], mark["y"]) == ([pytest.approx(0.0)], [pytest.approx(5.8)])
    assert "face" in mark["hovertext"][0]


@pytest.mark.parametrize(("count", "last"), [(3, "caution 3"), (4, "and 1 more"), (6, "and 3 more")])
def test_a_mark_says_how_many_cautions_it_does_not_write_out(count: int, last: str) -> None:
    cautions = [Caution(f"caution {number}", rank=ACT, key=str(number)) for number in range(1, count + 1)]
    lines = plan._mark_text(cautions, "us").split("<br>")
    assert len(lines) == min(count, 4)
    assert lines[-1].startswith(last)


def test_two_stones_in_one_place_and_a_tree_too_near_are_marked_where_they_are() -> None:
    two = [["-20 ft", "3 ft"], ["-20 ft", "3.2 ft"]]
    stones = {"boulders": [{"name": "seat", "count": 2, "axes": ["20 in", "16 in", "12 in"], "places": two}]}
    oak = {"name": "oak", "clearance": "12 ft", "points": [["0 ft", "16 ft"]]}
    result = evaluate(read(site={"keep_outs": [oak]}, options=[option(stone=stones)])).options[0]
    marked = {(round(x / 0.3048, 1), round(y / 0.3048, 1)): told for (x, y), told in faults_at(result).items()}
    assert set(marked) == {(-20.0, 3.0), (-20.0, 3.2), (0.0, 16.0)}
    assert {each.key for each in marked[-20.0, 3.2]} == {"stones_overlap"}
    assert "keep_out_near" in {each.key for each in marked[0.0, 16.0]}
