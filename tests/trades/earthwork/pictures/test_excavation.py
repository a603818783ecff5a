"""The excavation from above: cut and fill, what is dug besides the pools, and the hole as built."""

import numpy as np
import pytest

from pondkit.core.units import LENGTH, SYSTEMS, System, magnitude
from pondkit.drawing import frame
from pondkit.project.files import put
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork.pictures import AS_BUILT, CUT_FILL
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read
from tests.report.pictures import as_json, named


@pytest.mark.parametrize("name", DEMO_NAMES)
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_demo_has_its_cut_and_fill_with_finite_numbers(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        figure = Scene(result, system).draw(CUT_FILL)
        assert figure is not None
        as_json(figure)
        shades = named(figure, "cut and fill")
        assert len(shades["z"]) == len(shades["y"])
        assert {len(row) for row in shades["z"]} == {len(shades["x"])}
        assert shades["zmin"] == -shades["zmax"] < 0


def banked() -> OptionResult:
    """A pool 2 ft over level ground: all bank, and a floor 6 in under the ground."""
    return evaluate(read(options=[option(pools=[pool(level="24 in", freeboard="4 in")])])).options[0]


def test_cut_is_shown_above_0_and_fill_below() -> None:
    figure = Scene(banked(), "us").draw(CUT_FILL)
    assert figure is not None
    shades = [value for row in named(figure, "cut and fill")["z"] for value in row if value is not None]
    assert max(shades) == pytest.approx(6.0, abs=0.1)
    assert min(shades) == pytest.approx(-28.0, abs=1.5)  # up to the rim
    assert "[in]" in named(figure, "cut and fill")["colorbar"]["title"]["text"]


def test_the_words_say_how_deep_and_how_much() -> None:
    said = Scene(banked(), "us").alt(CUT_FILL)
    assert "pool is cut 6 in deep at most" in said
    assert "of bank built" in said


def test_without_ground_there_is_no_picture() -> None:
    project = read(site={"ground": {"kind": "points"}}, options=[option()])
    assert Scene(evaluate(project).options[0], "us").draw(CUT_FILL) is None


def test_trenches_and_pits_are_drawn_and_named_where_they_are_counted() -> None:
    from tests.trades.tunnels.sketch import sketch

    nodes = [("m", "mouth", (3.7, 0.0, -0.4)), ("den", "chamber", (7.0, 0.0, -0.3))]
    bare, dug = (sketch(nodes, [("m", "den")], **more) for more in ({}, {"trench_room": "10 cm"}))
    figure = Scene(dug, "si").draw(CUT_FILL)
    assert figure is not None
    drawn = named(figure, "pipe trenches and den pits")
    assert {"trench or pit, m – den", "trench or pit, den"} == set(drawn["hovertext"])
    # Pipe 4.5 in outside and 10 cm of room on either side: wide across the run, which lies along y = 0.
    across = [
        y for y, text in zip(drawn["y"], drawn["hovertext"], strict=True) if text.endswith("m – den") and y is not None
    ]
    assert max(across) == pytest.approx((4.5 * 0.0254 + 0.2) / 2, abs=5e-3)  # drawn to 1 cm
    assert "trenches of pipe and pits of dens: m – den, den" in Scene(dug, "si").alt(CUT_FILL)
    assert "trench" not in Scene(bare, "si").alt(CUT_FILL)
    plain = Scene(bare, "si").draw(CUT_FILL)
    assert plain is not None and all(trace.get("name") != "pipe trenches and den pits" for trace in plain["data"])


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_level_found_is_drawn_at_its_place_with_what_it_is_off(system: System) -> None:
    project = demo("turtle_yard")
    result = evaluate(project).options[2]
    figure = Scene(result, system).draw(AS_BUILT)
    assert figure
    as_json(figure)
    drawn, unit, small = named(figure, "levels measured"), *frame.system_units(system)
    measured = project.options[2].dig.measured
    dig = next(pool for pool in result.pools if pool.name == "basking pool").surfaces.dig
    assert len(drawn["x"]) == len(measured)
    for x, y, text, one in zip(drawn["x"], drawn["y"], drawn["text"], measured, strict=True):
        assert (x, y) == pytest.approx(tuple(magnitude(v, LENGTH, unit) for v in one.at), abs=1e-3)
        own = dig.placed.to_own(np.array([one.at], dtype=float))
        over = magnitude(one.level - (dig.level - float(dig.surface.depth_at(own)[0])), LENGTH, small)
        amount, _, way = text.split()
        assert float(amount) == pytest.approx(abs(over), abs=0.05)  # no finer than a tape is read
        assert way == ("high" if over > 0 else "deep")
    assert named(figure, "tape lines")["text"][0] == "east to west"
    assert "Liner to spare: main liner, length" in Scene(result, system).alt(AS_BUILT)


def test_a_level_out_of_tolerance_is_marked() -> None:
    figure = Scene(evaluate(demo("turtle_yard")).options[2], "us").draw(AS_BUILT)
    assert figure
    marker = named(figure, "levels measured")["marker"]
    assert set(marker["color"]) == {frame.MARK, frame.INK}
    assert [c == frame.MARK for c in marker["color"]] == [s == "x" for s in marker["symbol"]]


def test_nothing_measured_draws_nothing() -> None:
    project = full_project()
    for name in ("measured", "tapes"):
        project = put(project, ("options", 0, "dig", name), ())
    result = evaluate(project).options[0]
    assert Scene(result, "us").draw(AS_BUILT) is None
    assert "Nothing has been measured" in Scene(result, "us").alt(AS_BUILT)
