"""Berm and outer banks as drawn: areas and distances in closed form, a grid on
falling ground, sections as trapezoids.
"""

import math
from typing import Any

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from pondkit.core.remembered import Memory
from pondkit.geometry.mound import Heaped
from pondkit.geometry.outline import shape_of
from pondkit.report.plan import alt_plan, plan, site_plan
from pondkit.report.section import reach, section
from pondkit.study.evaluate import OptionResult, evaluate
from tests.by_grid import cells, option_of, pool_of, project_of
from tests.memory import asked
from tests.report.pictures import area, as_json, named
from tests.trades.tunnels.sketch import POOL, cautions, figures, sketch

CLAY = {"bank_crest": "0.5 m", "bank_slope": 2}
BERM = {
    "outline": {"shape": "rectangle", "length": "8 m", "width": "2 m"},
    "at": ["0 m", "12 m"],
    "side_slope": 2,
    "top_level": "0.3 m",
}
ROUND = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], bank_batter=0, freeboard=0.2, level=0.4)
RIM, CREST, TOE, HIGH = 3.0, 3.5, 4.7, 0.6  # m: of that pool on level ground, with a bank of that kind


def heap(result: OptionResult, name: str) -> Heaped:
    assert result.earth
    return next(one for one in result.earth.heaped if one.footprint.name == name)


def test_a_bank_round_a_round_pool_is_drawn_as_a_ring() -> None:
    drawn = heap(option_of(ROUND, earth=CLAY), "outer bank of pool")
    assert drawn.footprint.area.area == pytest.approx(math.pi * (TOE**2 - RIM**2), rel=2e-3)
    assert drawn.top == pytest.approx(HIGH)
    outer, inner = drawn.edges
    assert np.linalg.norm(outer, axis=1) == pytest.approx(TOE, abs=5e-3)
    assert np.linalg.norm(inner, axis=1) == pytest.approx(RIM, abs=5e-3)


def test_on_falling_ground_it_is_drawn_where_a_grid_finds_it() -> None:
    pool = pool_of(
        {"shape": "rectangle", "length": 4, "width": 3},
        [(1.0, 0, 0.5)],
        bank_batter=0.5,
        freeboard=0.1,
        level=0.1,
        at=[1, 0],
    )
    drawn = heap(
        option_of(pool, ground={"kind": "plane", "level": 0.2, "fall": 0.08, "toward_deg": 90}, earth=CLAY),
        "outer bank of pool",
    )
    step = 0.02
    spots = cells(np.array([-5.0, -6.0]), np.array([9.0, 6.0]), step)
    rim = translate(shape_of(pool.outline).polygon, 1, 0).buffer(0.05, quad_segs=64)
    away = shapely.distance(rim, shapely.points(spots))
    stands = (away > 0) & (0.2 - np.maximum(away - 0.5, 0.0) / 2 > 0.2 - 0.08 * spots[:, 0])
    assert drawn.footprint.area.area == pytest.approx(float(stands.sum()) * step**2, rel=5e-3)
    inside = shapely.contains_xy(drawn.footprint.area, spots[:, 0], spots[:, 1])
    assert float((inside != stands).mean()) < 2e-3
    assert (
        drawn.footprint.area.bounds[0] > -0.3
    )  # the ground falls under the rim's level at x = 0, a place and a place stand 0.25 m apart


def test_a_pool_in_the_ground_has_no_bank_to_draw() -> None:
    deep = pool_of({"shape": "circle", "diameter": 6}, [(1.4, 0, 0)], level=-0.5)
    result = option_of(deep, earth=CLAY)
    assert result.earth and not result.earth.heaped


KEEP = [
    {"name": "oak", "kind": "tree", "clearance": "2 m", "points": [["0 m", "15 m"]]},
    {"name": "cable", "kind": "buried service", "clearance": "1 m", "points": [["-9 m", "12.5 m"], ["9 m", "12.5 m"]]},
    {
        "name": "yard",
        "kind": "boundary",
        "points": [["-20 m", "-20 m"], ["20 m", "-20 m"], ["20 m", "13.4 m"], ["-20 m", "13.4 m"]],
    },
]


def test_a_berm_is_held_against_what_is_kept_clear() -> None:
    """Its toe lies 0.6 m outside its top, so at 13.6 m north; 3.6 m down to the ground lies 15 m north."""
    result = sketch((), (), pools=[POOL], site={"soil": "clay", "keep_outs": KEEP}, option={"earth": {"berm": BERM}})
    shown = site_plan(result, "si")
    assert shown and named(shown, "berm and outer bank")
    far = figures(result, "keep_out_distance")
    assert far["berm / oak"].value == pytest.approx(1.4, abs=5e-3)
    assert "smothers" in cautions(far["berm / oak"])
    assert far["berm / cable"].value == 0
    assert "Runs into 'cable'" in cautions(far["berm / cable"])
    assert far["berm / yard"].value == pytest.approx(-0.2, abs=5e-3)
    entered = figures(result, "keep_outs_entered")[""]
    assert all(f"berm / {name}" in cautions(entered) for name in ("oak", "cable", "yard"))


def test_an_outer_bank_is_held_against_what_is_kept_clear() -> None:
    tree = [{"name": "oak", "kind": "tree", "clearance": "50 cm", "points": [["5 m", "0 m"]]}]
    project = project_of(ROUND, earth=CLAY)
    site = project.site.changed(
        keep_outs=type(project.site).model_validate({"keep_outs": tree}, context={"units": "si"}).keep_outs
    )
    (result,) = evaluate(project.changed(site=site)).options
    far = figures(result, "keep_out_distance")
    assert far["outer bank of pool / oak"].value == pytest.approx(5 - TOE, abs=5e-3)
    assert "smothers" in cautions(far["outer bank of pool / oak"])
    assert far["pool / oak"].value == pytest.approx(5 - RIM, abs=5e-3)  # the dig alone lies further away


def soil(figure: dict[str, Any]) -> list[tuple[np.ndarray[Any, Any], np.ndarray[Any, Any]]]:
    """Closed lines of what is heaped in a section."""
    trace = named(figure, "heaped soil")
    x, y = (np.array([np.nan if v is None else v for v in trace[side]], dtype=float) for side in ("x", "y"))
    ends = np.flatnonzero(np.isnan(x))
    return list(
        zip(
            np.split(np.delete(x, ends), ends - np.arange(len(ends))),
            np.split(np.delete(y, ends), ends - np.arange(len(ends))),
            strict=True,
        )
    )


def test_sections_of_berm_and_bank_are_trapezoids() -> None:
    result = sketch((), (), pools=[POOL], site={"soil": "clay"}, option={"earth": {"berm": BERM}})
    across = ((0.0, 8.0), (0.0, 16.0))
    (berm,) = soil(section(result, across, "si"))
    assert area(*berm) == pytest.approx((2 + 3.2) / 2 * 0.3, rel=2e-3)
    assert reach(result, across)[2] >= 0.3 - 1e-9
    bank = option_of(ROUND, earth=CLAY)
    figure = section(bank, ((-6.0, 0.0), (6.0, 0.0)), "si")
    sides = soil(figure)
    assert len(sides) == 2
    for side in sides:
        assert area(*side) == pytest.approx(0.5 * HIGH + HIGH * 1.2 / 2, rel=5e-3)
    assert "outer bank of pool" in str(named(figure, "heaped soil")["hovertext"])
    assert not any(
        trace["name"] == "heaped soil" for trace in section(result, ((0.0, -2.0), (1.0, -2.0)), "si")["data"]
    )


def test_the_plan_shows_berm_and_bank_in_one_trace_and_in_words() -> None:
    result = option_of(ROUND, earth=CLAY | {"berm": BERM})
    figure = plan(result, "si")
    as_json(figure)
    trace = named(figure, "berm and outer bank")
    assert {"berm", "outer bank of pool"} <= {text.split(",")[0] for text in trace["hovertext"]}
    assert min(v for v in trace["x"] if v is not None) == pytest.approx(-TOE, abs=0.01)
    low, high = figure["layout"]["yaxis"]["range"]
    assert low < -TOE and high > 13.6
    said = alt_plan(result, "si")
    assert "a berm of" in said and "an outer bank of pool of" in said


def test_a_moved_tier_draws_no_bank_anew() -> None:
    from pondkit.project.files import put

    memory, project = Memory(), project_of(ROUND, earth=CLAY)
    asked(project, memory)
    memory.worked.clear()
    asked(put(project, ("options", 0, "pools", 0, "tiers", 0, "depth"), "1.5 m"), memory)
    assert "drawn_bank" not in memory.worked
    assert "soil.compute" in memory.worked
