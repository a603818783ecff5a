"""Uneven ground: triangles against scipy's own interpolation, cut and fill against the grid of ``tests/by_grid.py``."""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import shapely
from scipy.interpolate import LinearNDInterpolator

from pondkit.geometry.outline import Placed
from pondkit.geometry.terrain import Mesh, length_above, mesh_of
from pondkit.trades.pools.results import PoolResult
from tests.by_grid import Array, cut_and_fill, option_of, pool_of

ELLIPSE = {"shape": "ellipse", "length": 8, "width": 5}
TIERS = [(0.3, 0.5, 0.5), (0.8, 0.0, 0.6)]
Height = Callable[[float, float], float]


def wavy(x: float, y: float) -> float:
    return 0.1 + 0.05 * x + 0.12 * math.sin(x * 0.7) + 0.1 * math.cos(y * 0.9)


def sloping(x: float, y: float) -> float:
    """The plane that falls 0.05 toward a bearing of 30 degrees from a level of 0.1."""
    return 0.1 - 0.05 * math.sin(math.radians(30)) * x - 0.05 * math.cos(math.radians(30)) * y


def survey(count: int, height: Height, span: float = 14.0) -> list[list[float]]:
    inner = np.random.default_rng(7).uniform(-span, span, (count, 2))
    places = np.vstack([inner, span * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])])
    return [[float(x), float(y), height(float(x), float(y))] for x, y in places]


def points(count: int, height: Height, span: float = 14.0) -> dict[str, Any]:
    return {"kind": "points", "points": survey(count, height, span)}


def mesh(count: int, height: Height) -> Mesh:
    rows = np.array(survey(count, height))
    return mesh_of(rows[:, :2], rows[:, 2], range(len(rows)))


def test_levels_between_points_are_those_of_scipy() -> None:
    rows = np.array(survey(200, wavy))
    made = mesh_of(rows[:, :2], rows[:, 2], range(len(rows)))
    places = np.random.default_rng(2).uniform(-13, 13, (500, 2))
    assert made.at(places) == pytest.approx(LinearNDInterpolator(rows[:, :2], rows[:, 2])(places), abs=1e-12)
    assert made.at(rows[:, :2]) == pytest.approx(rows[:, 2])
    assert made.level_at((3.0, 4.0, 99.0)) == pytest.approx(float(made.at(np.array([[3.0, 4.0]]))[0]))


def test_beyond_the_survey_the_level_is_that_of_its_nearest_edge() -> None:
    made = mesh_of(np.array([[0.0, 0], [4, 0], [4, 4], [0, 4]]), np.array([0.0, 1, 2, 1]), range(4))
    outside = np.array([[2.0, -3], [7, 3], [6, 6], [-1, -1]])
    assert made.at(outside) == pytest.approx([0.5, 1.75, 2.0, 0.0])
    assert made.beyond(outside).all()
    assert not made.beyond(np.array([[2.0, 2], [4, 4], [0, 2], [2, 0]])).any()


def test_a_survey_far_from_the_origin_loses_no_digits() -> None:
    rows, far = np.array(survey(40, sloping)), np.array([500.0, -400.0])
    made = mesh_of(rows[:, :2] + far, rows[:, 2], range(len(rows)))
    places = np.random.default_rng(4).uniform(-13, 13, (50, 2))
    assert made.at(places + far) == pytest.approx([sloping(x, y) for x, y in places], abs=1e-12)


def test_a_survey_of_a_plane_gives_the_planes_figures() -> None:
    pool = pool_of(ELLIPSE, TIERS, bank_batter=1.0, freeboard=0.15, at=(1.0, -2.0), turn_deg=25)
    other = pool_of(ELLIPSE, TIERS, bank_batter=1.5, freeboard=0.1, at=(1.5, 3.6), turn_deg=20, name="other")
    one = option_of(pool, other, ground=points(60, sloping))
    two = option_of(pool, other, ground={"kind": "plane", "level": 0.1, "fall": 0.05, "toward_deg": 30})
    for key in ("dig_volume", "fill_volume"):
        assert getattr(one.earthwork, key).value == pytest.approx(getattr(two.earthwork, key).value, rel=1e-9)
    for a, b in zip(one.pools, two.pools, strict=True):
        assert a.rim_above_ground and b.rim_above_ground and a.dig_depth and b.dig_depth
        assert a.rim_above_ground.value == pytest.approx(b.rim_above_ground.value, rel=1e-6, abs=1e-6)
        assert a.dig_depth.value == pytest.approx(b.dig_depth.value)
        assert a.outside_survey is None


def test_on_a_survey_the_cut_is_as_deep_as_where_a_bank_followed_by_hand_meets_the_highest_ground() -> None:
    """Outward from the waterline on 720 bearings, up a bank of 1 to 1, until the ground is no higher."""

    def height(x: float, y: float) -> float:
        return 0.3 + 0.1 * x + 0.15 * math.sin(y) + 0.3 * math.exp(-((x - 3.3) ** 2) - y**2)

    pool = pool_of({"shape": "circle", "diameter": 6}, [(0.8, 0.0, 0.5)], bank_batter=1.0, freeboard=0.1)
    found = option_of(pool, ground=points(500, height)).pools[0]
    terrain = mesh(500, height)
    out = np.arange(0.0, 3.0, 0.002)
    edges = []
    for bearing in np.radians(np.arange(0.0, 360.0, 0.5)):
        way = np.array([math.cos(bearing), math.sin(bearing)])
        levels = terrain.at((3.0 + out)[:, None] * way)
        edges.append(float(levels[np.argmax(levels <= out)]))
    assert found.dig_depth
    assert found.dig_depth.value == pytest.approx(0.8 + max(edges), abs=0.02)
    waterline = max(terrain.at(3.0 * np.array([[math.cos(a), math.sin(a)] for a in np.radians(np.arange(360))])))
    assert max(edges) > waterline + 0.04  # the edge of the cut stands clearly higher


def on(height: Height) -> Height:
    return lambda x, y: height(x, y) - 0.6


@pytest.mark.parametrize("level", [0.3, 0.0, -0.4])
@pytest.mark.parametrize("batter", [0.0, 0.5, 1.5])
def test_cut_and_fill_on_uneven_ground_agree_with_the_grid(batter: float, level: float) -> None:
    pool = pool_of(ELLIPSE, TIERS, bank_batter=batter, freeboard=0.25, level=level, at=(1.0, -2.0), turn_deg=25)
    found = option_of(pool, ground=points(200, wavy))
    (worked,) = found.pools
    assert isinstance(found.land.terrain, Mesh)
    assert worked.ground and found.earthwork.dig_volume and found.earthwork.fill_volume
    rim = worked.surfaces.dig.rim
    _, cut, fill = cut_and_fill([pool], found.land.terrain.at, [rim], 0, max(worked.ground.reach, rim) + 0.1, 300)
    assert found.earthwork.dig_volume.value == pytest.approx(cut, rel=1e-3)
    assert found.earthwork.fill_volume.value == pytest.approx(fill, rel=2e-3, abs=4e-3)  # as near as the grid


def test_ground_that_runs_through_the_floor_agrees_with_the_grid() -> None:
    pool = pool_of(ELLIPSE, TIERS, bank_batter=0.5, freeboard=0.1, at=(0.5, 0.5))
    found = option_of(pool, ground=points(200, on(wavy)))
    assert isinstance(found.land.terrain, Mesh)
    assert found.earthwork.dig_volume and found.earthwork.fill_volume
    rim = found.pools[0].surfaces.dig.rim
    _, cut, fill = cut_and_fill([pool], found.land.terrain.at, [rim], 0, rim + 0.3, 300)
    assert found.earthwork.dig_volume.value == pytest.approx(cut, rel=1e-3)
    assert found.earthwork.fill_volume.value == pytest.approx(fill, rel=2e-3)


def test_uneven_ground_that_two_digs_share_is_counted_once() -> None:
    pair = [
        pool_of(ELLIPSE, TIERS, bank_batter=1.0, freeboard=0.1, name="a"),
        pool_of(
            {"shape": "rectangle", "length": 4, "width": 3, "corner_radius": 0.5},
            TIERS,
            bank_batter=1.5,
            freeboard=0.2,
            level=-0.1,
            at=(6.4, 0.4),
            turn_deg=20,
            name="b",
        ),
    ]
    found = option_of(*pair, ground=points(200, lambda x, y: 0.5 + wavy(x, y)))
    assert isinstance(found.land.terrain, Mesh)
    reach = max(pool.ground.reach for pool in found.pools if pool.ground) + 0.1
    alone, together, _ = cut_and_fill(pair, found.land.terrain.at, [0, 0], 0.0, reach, 250)
    assert sum(alone) - together > 0.1
    assert found.earthwork.dig_volume and found.earthwork.dig_volume.value == pytest.approx(together, rel=1e-3)


def pool_on(ground: dict[str, Any], **more: Any) -> PoolResult:
    return option_of(pool_of(ELLIPSE, TIERS, bank_batter=1.0, **more), ground=ground).pools[0]


def test_what_lies_outside_the_survey_is_said_with_its_area() -> None:
    """The survey ends at x = 1, level: the dig to the west of it is known, that to the east is not."""
    rows = [[x, y, 0.5] for x in (-9.0, -3.0, 1.0) for y in (-9.0, 0.0, 9.0)]
    found = pool_on({"kind": "points", "points": rows}, freeboard=0.1)
    whole = pool_on({"kind": "level", "level": 0.5}, freeboard=0.1)
    assert found.ground and whole.ground and found.outside_survey and found.dig_depth
    assert found.ground.cut + found.cut_below == pytest.approx(whole.ground.cut + whole.cut_below, rel=1e-6)
    a, b = 4.5, 3.0  # the dig's edge, half a metre up a bank of 1 to 1; an offset ellipse is not an ellipse
    cap = a * b * (math.acos(1 / a) - 1 / a * math.sqrt(1 - 1 / a**2))
    assert found.outside_survey.value == pytest.approx(cap, rel=5e-3)
    for figure in (found.outside_survey, found.dig_depth, found.rim_above_ground):
        assert figure and any("outside the survey" in caution.text for caution in figure.cautions)


@pytest.mark.parametrize(("ends", "bearing"), [(-2.5, 20.0), (0.7, 130.0), (2.2, 75.0), (2.9, 160.0)])
def test_what_lies_outside_a_survey_is_cut_off_at_its_edge(ends: float, bearing: float) -> None:
    """Level ground half a metre up a bank of 1 to 1: the dig is the outline grown by as much, a survey a half-plane."""
    turned = Placed(0.0, 0.0, bearing)
    places = turned.to_site(np.array([[x, y] for x in (-30.0, -9.0, ends) for y in (-30.0, 0.0, 30.0)]))
    found = pool_on({"kind": "points", "points": [[*place, 0.5] for place in places.tolist()]}, freeboard=0.1)
    assert found.surfaces and found.outside_survey
    shape, placed = found.surfaces.dig.surface.pool.shape, found.surfaces.dig.placed
    dig = shapely.transform(shapely.Polygon(shape.coords).buffer(0.5, quad_segs=64), placed.to_site)
    beyond = dig.difference(shapely.MultiPoint(places).convex_hull).area
    assert found.outside_survey.value == pytest.approx(beyond, rel=4e-3)


def test_length_of_rim_above_uneven_ground() -> None:
    """Ground falls from 1 at x = 0 to 0 at x = 2 and rises to 1 again at x = 4:
    half of each long side is lower than 0.5.
    """
    places = np.array([[x, y] for x in (0.0, 2.0, 4.0) for y in (-5.0, 5.0)])
    ground = mesh_of(places, np.abs(places[:, 0] - 2) / 2, range(6))
    ring: Array = np.array([[0.0, -1], [4, -1], [4, 1], [0, 1], [0, -1]])
    assert length_above(ring, 0.5, ground) == pytest.approx(4.0, abs=1e-6)


def test_the_bank_is_followed_as_far_out_as_it_goes() -> None:
    """A hillside that a flat bank meets far beyond the first look at the ground."""
    found = pool_on(points(80, lambda x, y: 1.0 + 0.3 * x, 40.0), freeboard=0.1)
    flat = pool_on({"kind": "plane", "level": 1.0, "fall": 0.3, "toward_deg": 270}, freeboard=0.1)
    assert found.ground and flat.ground
    assert flat.ground.reach > 2.5
    assert found.ground.reach == pytest.approx(flat.ground.reach, rel=0.05)
    assert found.ground.cut + found.cut_below == pytest.approx(flat.ground.cut + flat.cut_below, rel=1e-6)
