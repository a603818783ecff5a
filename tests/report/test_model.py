"""The view in three dimensions, tested as data."""

import time
from typing import Any

import numpy as np
import pytest

from pondkit.drawing import frame
from pondkit.report import model
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read
from tests.report.pictures import as_json


def traces(figure: Any) -> dict[str, Any]:
    return {trace["name"]: trace for trace in figure["data"]}


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_demo_is_whole_to_scale_and_soon_there(name: str) -> None:
    for result in evaluate(demo(name)).options:
        figure = model.model(result, 1.5, "us")  # the first works out what it shows
        start = time.process_time()
        figure = model.model(result, 1.5, "us")
        assert time.process_time() - start < 1.0
        as_json(figure)
        scene = figure["layout"]["scene"]
        assert (scene["aspectmode"], scene["uirevision"], scene["dragmode"]) == ("manual", "keep", "turntable")
        long = [np.ptp(scene[f"{axis}axis"]["range"]) / scene["aspectratio"][axis] for axis in "xyz"]
        assert long == pytest.approx([long[0]] * 3)  # to scale, heights too
        found = traces(figure)
        bar = found["scale"]
        assert float(bar["text"][1].removesuffix(" ft")) == pytest.approx(bar["x"][2] - bar["x"][0], abs=2e-3)
        assert found["names"]["text"][-1] == "N ↑"
        for trace in figure["data"]:
            if trace["type"] == "mesh3d":
                count = len(trace["x"])
                assert max(max(trace[side]) for side in "ijk") < count
                assert all(np.isfinite(trace[side]).all() for side in "xyz")
        assert len(model.alt_model(result, "us")) > 40


def test_what_a_client_asks_after_is_there_and_in_the_plans_colours() -> None:
    result = evaluate(full_project()).options[0]
    found = traces(model.model(result, 2.0, "us"))
    assert {"ground", "banks", "water", "stones", "falls and streams", "pipe", "dens", "names"} <= set(found)
    assert found["stones"]["color"] == frame.STONE
    assert found["pipe"]["color"] == frame.PIPE
    for one in result.pools:
        bed = found[one.name]
        for share, colour in bed["colorscale"]:
            assert colour == frame.shade(2.0 * share, 2.0)
        assert max(bed["intensity"]) == pytest.approx(one.max_depth.value, abs=2e-3)
        assert bed["cmax"] == 2.0
        # Heights to scale: level less depth.
        foot = frame.magnitude_of("ft")
        assert np.array(bed["z"]) * foot + bed["intensity"] == pytest.approx(one.surfaces.finished.level, abs=2e-3)


def test_plants_stand_in_the_shallows_and_float_over_what_is_deeper() -> None:
    result = evaluate(demo("turtle_yard")).options[0]
    marks = {name: trace for name, trace in traces(model.model(result, 1.5, "si")).items() if name.startswith("plants")}
    zones = {tier.zone for pool in result.option.pools for tier in pool.tiers if tier.depth <= model.FLOATS}
    assert {name.removeprefix("plants: ") for name in marks} <= zones
    assert "plants: marsh" in marks
    water = max(pool.surfaces.finished.level for pool in result.pools)
    for trace in marks.values():
        assert max(trace["z"]) <= water + model.STALK + 1e-6
    assert "marsh" in model.alt_model(result, "si")


def test_stones_lie_on_what_is_under_them() -> None:
    result = evaluate(full_project()).options[0]
    placed = [kind for kind in result.stone.kinds if kind.plans]
    assert placed
    stones = traces(model.model(result, 2.0, "si"))["stones"]
    low = min(pool.surfaces.finished.level - pool.max_depth.value for pool in result.pools)
    high = max(float(max(kind.boulder.axes)) for kind in placed)
    assert low - high < min(stones["z"])
    assert max(stones["z"]) < max(pool.surfaces.finished.rim_level for pool in result.pools) + 3 * high


def test_edging_stands_on_its_base_round_its_pool_stone_by_stone() -> None:
    """Outside the outline as many as the takeoff counts, but for the last that is cut: 12 faces each."""
    result = evaluate(full_project()).options[0]
    (row,) = [row for row in result.stone.rows if row.edging.seat == "outside"][:1]
    found = traces(model.model(result, 2.0, "si"))["edging"]
    low, high = float(row.edging.base_level), float(row.edging.base_level + row.edging.height)
    assert min(found["z"]) == pytest.approx(low, abs=2e-3) and max(found["z"]) == pytest.approx(high, abs=2e-3)
    assert abs(len(found["i"]) / 12 - sum(each.count.value for each in result.stone.rows)) <= len(result.stone.rows)
    laid = next(pool for pool in result.pools if pool.name == row.edging.pool).surfaces.finished
    own = laid.placed.to_own(np.column_stack([found["x"], found["y"]]))
    across = float(row.edging.across)
    beyond = -laid.surface.pool.shape.inward(own)
    assert -0.1 * across < beyond.min() and beyond.max() < 1.2 * across  # a straight stone on a curved line


def test_options_beside_each_other_are_in_one_frame_at_one_scale() -> None:
    """A pool twice as large looks twice as large: plotly draws an axis' range as long as its share of the frame."""
    sized = [{"shape": "circle", "diameter": f"{feet} ft"} for feet in (10, 20)]
    options = [option(name, pools=[pool(outline=outline)]) for name, outline in zip("AB", sized, strict=True)]
    results = list(evaluate(read(options=[*options, option("C", pools=[])])).options)
    small, large, none = model.models(results, 1.0, "us")
    assert small and large and none is None
    scenes = [figure["layout"]["scene"] for figure in (small, large)]
    for axis in "xyz":
        assert scenes[0][f"{axis}axis"] == scenes[1][f"{axis}axis"]
        low, high = scenes[0][f"{axis}axis"]["range"]
        places = np.concatenate([trace[axis] for figure in (small, large) for trace in figure["data"]])
        assert low < places.min() and places.max() < high
    assert scenes[0]["camera"] == scenes[1]["camera"] and scenes[0]["aspectratio"] == scenes[1]["aspectratio"]
    (one, other) = (traces(figure)["scale"] for figure in (small, large))
    assert list(one["x"]) == list(other["x"]) and one["text"] == other["text"]
    alone = model.model(results[0], 1.0, "us")
    assert alone
    wide, shared = (np.ptp(scene["xaxis"]["range"]) for scene in (alone["layout"]["scene"], scenes[0]))
    assert wide < 0.7 * shared


def test_a_blank_plan_has_no_view_and_says_so() -> None:
    result = evaluate(read(options=[option(pools=[])])).options[0]
    assert model.model(result, 1.0, "us") is None
    assert "no pool yet" in model.alt_model(result, "us")


def test_names_are_shown_as_text() -> None:
    odd = "<b>a & b</b>"
    result = evaluate(read(options=[option(odd, pools=[pool(odd)])])).options[0]
    text = as_json(model.model(result, 1.0, "us"))
    assert "<b>" not in text
    assert "&lt;b&gt;a &amp; b" in text
