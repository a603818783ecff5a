"""A berm with an outline: closed forms on level ground and on a plane, a grid on survey
points, what it hides and keeps clear of.
"""

import math
from typing import Any

import numpy as np
import pytest
import shapely

from pondkit.geometry.hole import box_at
from pondkit.geometry.mound import heap, mound, toe
from pondkit.geometry.outline import Placed, shape_from
from pondkit.geometry.terrain import Plane, mesh_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.compute.berms import _heap_for
from tests.trades.tunnels.sketch import POOL, cautions, figures, said, sketch

LEVEL = Plane(0.0, 0.0, 0.0)
BOX = {"shape": "rectangle", "length": "8 m", "width": "2 m"}
BERM = {"outline": BOX, "at": ["0 m", "12 m"], "side_slope": 2}


def prismoid(long: float, wide: float, high: float, slope: float) -> float:
    """Steiner's formula for a box moved out by slope z, integrated from its top down: rounded
    corners, as true distances make them.
    """
    return long * wide * high + (long + wide) * slope * high**2 + math.pi * slope**2 * high**3 / 3


def berm(
    site: dict[str, Any] | None = None, water: dict[str, Any] | None = None, lining: Any = None, **own: Any
) -> OptionResult:
    option: dict[str, Any] = {"earth": {"berm": BERM | own}, "water": water}
    if lining:
        option["lining"] = lining
    return sketch((), (), pools=[POOL], site={"soil": "clay"} | (site or {}), option=option)


def found(result: OptionResult) -> dict[str, float]:
    return {key: figure.value for key, figure in result.earth.entries()} if result.earth else {}


@pytest.mark.parametrize(("high", "slope"), [(0.5, 2.0), (1.2, 3.0)])
def test_on_level_ground_it_is_a_prismoid_with_rounded_corners(high: float, slope: float) -> None:
    made = mound(shape_from(box_at((0, 0), (8, 2), 0)), Placed(3, 4, 30), slope, ())
    assert heap(made, high, LEVEL).volume(high) == pytest.approx(prismoid(8, 2, high, slope), rel=1e-3)
    assert heap(made, 3 * high, LEVEL).volume(high) == pytest.approx(
        prismoid(8, 2, high, slope), rel=2e-3
    )  # looked at from further out
    (line,) = toe(made, high, LEVEL)
    assert shapely.Polygon(line.points).area == pytest.approx(
        16 + 20 * slope * high + math.pi * (slope * high) ** 2, rel=2e-3
    )


def test_a_round_berm_is_a_frustum_of_a_cone() -> None:
    """Smith's frustum: pi h (R² + R r + r²) / 3."""
    turns = np.linspace(0, 2 * np.pi, 512, endpoint=False)
    made = mound(
        shape_from(shapely.Polygon(3 * np.stack([np.cos(turns), np.sin(turns)], axis=1))), Placed(0, 0, 0), 2.0, ()
    )
    whole = math.pi * 1.5 * (3**2 + 3 * 6 + 6**2) / 3
    assert heap(made, 1.5, LEVEL).volume(1.5) == pytest.approx(whole, rel=1e-3)


def test_on_uneven_ground_it_is_that_of_a_fine_grid() -> None:
    rng = np.random.default_rng(5)
    places = rng.uniform(-12, 12, (60, 2))
    ground = mesh_of(places, 0.03 * places[:, 0] + rng.normal(0, 0.1, 60), range(60))
    body = box_at((1.0, 0.5), (1.5, 1.0), 20)
    crest = box_at((0, 0), (5, 1.5), 35)
    made = mound(shape_from(box_at((0, 0), (5, 1.5), 0)), Placed(0, 0, 35), 2.5, (body,))
    top = 1.0
    step = 0.03
    axes = np.arange(-9 + step / 2, 9, step)
    spots = np.stack(np.meshgrid(axes, axes), axis=-1).reshape(-1, 2)
    high = top - shapely.distance(crest, shapely.points(spots)) / 2.5 - ground.at(spots)
    high[shapely.contains_xy(body, spots[:, 0], spots[:, 1])] = 0.0
    whole = float(np.maximum(high, 0.0).sum()) * step**2
    assert heap(made, top, ground).volume(top) == pytest.approx(whole, rel=1e-3)
    (line,) = toe(made, top, ground)
    away = shapely.distance(crest, shapely.points(line.points))
    assert np.abs(top - away / 2.5 - ground.at(line.points)).max() < 2e-3


def test_a_solved_top_uses_all_the_spoil_and_a_drawn_one_leaves_the_rest_to_haul() -> None:
    solved = found(berm())
    assert solved["berm_volume"] == pytest.approx(solved["left_compacted"])
    assert solved["berm_volume"] == pytest.approx(prismoid(8, 2, solved["berm_top"], 2), rel=2e-3)
    assert "haul_bank" not in solved
    low = found(berm(top_level="30 cm"))
    assert low["berm_volume"] == pytest.approx(prismoid(8, 2, 0.3, 2), rel=1e-3)
    assert low["haul_bank"] == pytest.approx(low["left_bank"] - low["berm_volume"] / 0.9)
    assert low["berm_area"] == pytest.approx(16 + 20 * 0.6 + math.pi * 0.36, rel=2e-3)


FILTER = {
    "filter": {"at": ["0 m", "12 m"], "plan_size": ["1.2 m", "1 m"], "underside": "0 m", "seat": "0 m", "rim": "50 cm"}
}


def test_a_filter_inside_is_taken_out_and_its_rim_caps_the_top() -> None:
    result = berm(water=FILTER)
    at = found(result)
    assert at["berm_top_allowed"] == pytest.approx(0.5 - 0.1016)
    assert at["berm_top_allowed"] < at["berm_top"]
    assert at["berm_volume"] == pytest.approx(prismoid(8, 2, 0.3984, 2) - 1.2 * 0.3984, rel=2e-3)
    assert at["haul_bank"] > 0
    (figure,) = figures(result, "berm_top_allowed").values()
    assert "in reach" in cautions(figure)


def test_beside_the_level_top_the_berm_may_be_higher_by_its_fall() -> None:
    """The body's near face lies 1 m from the edge of the top: at a slope of 2 the berm has fallen 0.5 m there."""
    beside = {"filter": FILTER["filter"] | {"at": ["0 m", "14.5 m"]}}
    at = found(berm(water=beside, top_level="60 cm"))
    assert at["berm_top_allowed"] == pytest.approx(0.5 - 0.1016 + 0.5)


def test_a_body_without_a_rim_is_said() -> None:
    bare = {"filter": {key: value for key, value in FILTER["filter"].items() if key != "rim"}}
    (figure,) = figures(berm(water=bare), "berm_volume").values()
    assert "whose rim is not entered" in cautions(figure)


@pytest.mark.parametrize(
    ("own", "water", "field", "says"),
    [
        ({"top_level": "4 m"}, None, "top_level", "does not fill"),
        ({"top_level": "-1 m"}, None, "top_level", "is not above the ground anywhere"),
        ({"top_level": "45 cm"}, FILTER, "top_level", "buries the rim of the filter"),
        ({"at": ["0 m", "4.5 m"], "top_level": "30 cm"}, None, "at", "comes onto the liner's edge of"),
        ({"body": "140 m^3", "top_level": "30 cm"}, None, "body", "body inside"),
        (
            {
                "outline": {
                    "shape": "points",
                    "smooth": False,
                    "points": [["0 m", "0 m"], ["2 m", "2 m"], ["2 m", "0 m"], ["0 m", "2 m"]],
                }
            },
            None,
            "outline",
            "cross",
        ),
    ],
)
def test_what_cannot_be_is_named(own: dict[str, Any], water: Any, field: str, says: str) -> None:
    result = berm(water=water, **own)
    (problem,) = result.earth.problems if result.earth else ()
    assert problem.path[:3] == ("earth", "berm", field)
    assert says in said(result)
    assert "truck_loads" not in found(result)


def test_sides_that_never_come_down_are_named() -> None:
    steep = {"ground": {"kind": "plane", "level": "0 m", "fall": 0.4, "toward_deg": 0}}
    result = berm(site=steep, side_slope=4, at=["0 m", "0 m"])
    assert result.earth and "do not bring the berm down" in said(result)


def test_the_toe_counts_from_the_liners_edge() -> None:
    lining = {"edge": "30 cm", "liners": [{"name": "main", "covers": [POOL["name"]]}]}
    bare, lined = (berm(top_level="30 cm"), berm(top_level="30 cm", lining=lining))
    near, far = (found(result)["berm_toe_clearance"] for result in (lined, bare))
    assert 0 < near < far
    # The rim of a lined pool lies where the liner does; both have the same finished rim, so only the edge comes off.
    assert far - near == pytest.approx(0.3, abs=0.05)


@pytest.mark.parametrize("volume", [0.5, 40.0, 900.0])
def test_a_heap_is_looked_at_high_enough_for_what_it_is_to_hold(volume: float) -> None:
    made = mound(shape_from(box_at((0, 0), (8, 2), 0)), Placed(3, 4, 30), 1.0, ())
    looked_at = _heap_for(made, LEVEL, volume, None)
    assert looked_at.volume(looked_at.most) >= volume
