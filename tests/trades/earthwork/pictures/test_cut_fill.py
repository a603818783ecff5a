"""The picture of cut and fill, looked at as data."""

import pytest

from pondkit.core.units import SYSTEMS, System
from pondkit.report.scene import Scene
from pondkit.study.evaluate import OptionResult, evaluate
from pondkit.trades.earthwork.pictures import CUT_FILL
from tests.designs import DEMO_NAMES, demo, option, pool, read
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
