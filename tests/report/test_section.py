"""The section, looked at as data."""

import json
from typing import Any

import numpy as np
import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.report import plan, section
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, option, pool, read
from tests.report.pictures import area, as_json, named, numbers, strings

FOOT = 0.3048
LEVEL = {"kind": "level"}
ROUND = pool(outline={"shape": "circle", "diameter": "20 ft"}, level="-6 in", freeboard="4 in", bank_batter=0.5)
LINE = ((-12 * FOOT, 0.0), (12 * FOOT, 0.0))
UNIT = {"us": "ft", "si": "m"}


def cut(system: System = "us", line: section.Line = LINE, ground: Any = LEVEL, **settings: Any) -> dict[str, Any]:
    project = read(site={"ground": ground}, options=[option(pools=[ROUND])])
    return section.section(evaluate(project).options[0], line, system, **settings)


def path(figure: dict[str, Any], name: str) -> tuple[list[float], list[float]]:
    """Stations and levels of a line, gaps left out."""
    trace = named(figure, name)
    met = [(x, y) for x, y in zip(np.asarray(trace["x"]).tolist(), trace["y"], strict=True) if y is not None]
    return [x for x, _ in met], [y for _, y in met]


def stated(figure: dict[str, Any]) -> str:
    return next(note["text"] for note in figure["layout"]["annotations"] if note["text"].startswith("heights"))


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_number_of_a_section_is_finite_and_lies_inside_it(name: str, system: System) -> None:
    project = demo(name)
    for result in evaluate(project).options:
        line = plan.shown_section(result, project.site.section)
        assert line is not None
        figure = section.section(result, line, system)
        as_json(figure)
        for side, axis in (("x", "xaxis"), ("y", "yaxis")):
            low, high = figure["layout"][axis]["range"]
            every = [value for trace in figure["data"] for value in numbers(trace[side])]
            assert low - 1e-9 <= min(every)
            assert max(every) <= high + 1e-9


@pytest.mark.parametrize("system", SYSTEMS)
def test_both_axes_are_lengths_in_the_unit_on_show(system: System) -> None:
    layout = cut(system)["layout"]
    assert layout["xaxis"]["title"]["text"] == f"along the section, from A to B [{UNIT[system]}]"
    assert layout["yaxis"]["title"]["text"] == f"level [{UNIT[system]}]"
    assert layout["xaxis"]["range"] == pytest.approx([0, {"us": 24, "si": 24 * FOOT}[system]], abs=1e-3)


@pytest.mark.parametrize("half", [3, 6, 12, 40, 120])
def test_the_exaggeration_drawn_is_the_one_stated(half: float) -> None:
    figure = cut(line=((-half * FOOT, 0.0), (half * FOOT, 0.0)))
    axis = figure["layout"]["yaxis"]
    assert axis["scaleanchor"] == "x"
    times = axis["scaleratio"]
    assert stated(figure) == ("heights to scale" if times == 1 else f"heights drawn {times} times")


def test_a_long_section_is_exaggerated_and_a_short_one_not() -> None:
    assert cut(line=((-3 * FOOT, 0.0), (3 * FOOT, 0.0)))["layout"]["yaxis"]["scaleratio"] == 1
    assert cut(line=((-120 * FOOT, 0.0), (120 * FOOT, 0.0)))["layout"]["yaxis"]["scaleratio"] > 1


def test_the_water_drawn_has_the_area_of_the_closed_form() -> None:
    """A line through the middle of a circle cuts trapezoids: a face of 0.375 ft down to 0.75 ft, a shelf of 2 ft, a
    face of 0.875 ft down to 2.5 ft, and the floor up to the middle."""
    half = 0.375 * 0.75 / 2 + 2 * 0.75 + 0.875 * (0.75 + 2.5) / 2 + (10 - 0.375 - 2 - 0.875) * 2.5
    water = named(cut(), "water")
    assert area(water["x"], water["y"]) == pytest.approx(2 * half, rel=5e-3)
    assert max(numbers(water["y"])) == pytest.approx(-0.5, abs=1e-3)
    assert min(numbers(water["y"])) == pytest.approx(-0.5 - 2.5, abs=1e-3)
    assert [min(numbers(water["x"])), max(numbers(water["x"]))] == pytest.approx([2, 22], abs=0.12)


def test_the_rim_stands_above_the_water_by_the_freeboard() -> None:
    stations, levels = path(cut(), "liner")
    assert max(levels) == pytest.approx(-0.5 + 4 / 12, abs=0.02)
    # The bank leans outward: 4 in of freeboard at a batter of 0.5.
    assert min(stations) == pytest.approx(2 - 2 / 12, abs=0.03)


def test_the_dig_lies_under_the_liner_and_the_liner_under_the_gravel() -> None:
    lined = ROUND | {"tiers": [{"zone": "deep", "depth": "30 in", "gravel": "3 in"}]}
    result = evaluate(
        read(options=[option(pools=[lined], lining={"liners": [{"name": "main", "covers": ["pool"]}], "overlay": {}})])
    ).options[0]
    figure = section.section(result, LINE, "us")
    low = {name: min(numbers(named(figure, name)["y"])) for name in ("dig", "liner", "top of gravel")}
    assert low["dig"] < low["liner"] < low["top of gravel"]
    assert low["top of gravel"] - low["liner"] == pytest.approx(0.25, abs=1e-3)  # 3 in of gravel


def test_without_gravel_none_is_drawn() -> None:
    assert not [trace for trace in cut()["data"] if "gravel" in trace["name"]]


def test_turned_about_the_picture_is_its_mirror() -> None:
    forth, back = (path(cut(line=line), "liner") for line in (LINE, LINE[::-1]))
    stations = np.linspace(3, 21, 40)
    assert np.interp(stations, *forth) == pytest.approx(np.interp(24 - stations, *back), abs=2e-2)


def test_both_systems_show_one_section() -> None:
    us, si = (path(cut(system), "liner") for system in SYSTEMS)
    assert np.array(us) * FOOT == pytest.approx(np.array(si), abs=1e-3)


def test_sloping_ground_falls_as_it_is_entered() -> None:
    falling = {"kind": "plane", "level": "1 ft", "fall": 0.05, "toward_deg": 90}
    ground = named(cut(ground=falling), "ground as it is")
    assert ground["y"][0] == pytest.approx(1 + 12 * 0.05, abs=1e-3)  # west of the origin, downhill is east
    assert ground["y"][-1] == pytest.approx(1 - 12 * 0.05, abs=1e-3)


def test_surveyed_ground_is_followed_from_point_to_point() -> None:
    """A ridge of 2 ft along x = 3 ft, between points at 0 ft."""
    points = [[f"{x} ft", f"{y} ft", f"{2 if x == 3 else 0} ft"] for x in (-20, 3, 20) for y in (-20, 20)]
    ground = named(cut(ground={"kind": "points", "points": points}), "ground as it is")
    shown = np.interp([5.0, 15.0, 20.0], np.array(ground["x"], dtype=float), np.array(ground["y"], dtype=float))
    assert shown == pytest.approx([2 * 13 / 23, 2.0, 2 * 12 / 17], abs=0.02)


def test_a_line_beside_the_pool_shows_the_ground_alone() -> None:
    figure = cut(line=((-12 * FOOT, 30 * FOOT), (12 * FOOT, 30 * FOOT)))
    assert [trace["name"] for trace in figure["data"]] == ["ground as it is"]


def test_a_line_of_no_length_is_drawn_without_failing() -> None:
    as_json(cut(line=((0.0, 0.0), (0.0, 0.0))))


def test_side_by_side_sections_share_length_heights_and_exaggeration() -> None:
    deep = ROUND | {"tiers": [{"zone": "deep", "depth": "60 in", "batter": 0.2}]}
    results = evaluate(read(options=[option("A", pools=[ROUND]), option("B", pools=[deep])])).options
    reaches = [section.reach(result, LINE) for result in results]
    shared = max(r[0] for r in reaches), min(r[1] for r in reaches), max(r[2] for r in reaches)
    layouts = [section.section(result, LINE, "us", shared, bare=True)["layout"] for result in results]
    for axis in ("xaxis", "yaxis"):
        assert json.dumps(layouts[0][axis]) == json.dumps(layouts[1][axis])


def test_names_are_shown_as_text() -> None:
    result = evaluate(read(options=[option(pools=[ROUND | {"name": "<b>a & b</b>"}])])).options[0]
    met = [text for text in strings(section.section(result, LINE, "us")) if "a &" in text]
    assert met
    assert not [text for text in met if "<b>a & b" in text]


def test_the_words_for_a_section_name_depth_and_level() -> None:
    said = section.alt_section(evaluate(read(options=[option(pools=[ROUND])])).options[0], "us")
    assert "pool: 30 in deep, water at -6 in" in said
