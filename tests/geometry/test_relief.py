"""Surfaces as triangles: held against areas and volumes by other methods, and bodies against closed forms."""

import math

import numpy as np
import pytest
import shapely

from pondkit.geometry import relief
from pondkit.geometry.relief import ModelMesh
from pondkit.geometry.terrain import Plane
from pondkit.study.evaluate import evaluate
from tests.by_grid import pit_of, pool_of, surfaces_of
from tests.designs import DEMO_NAMES, demo

SLOPE = Plane(0.2, 0.03, 0.01)
KIDNEY = {
    "shape": "points",
    "points": [[-4, -2], [0, -2.5], [4, -2], [4.5, 1.5], [1.5, 1], [-1.5, 1], [-4.5, 1.5]],
}
SHAPES = {
    "circle": pool_of({"shape": "circle", "diameter": 6}, [(0.3, 0.5, 0.5), (0.9, 0.0, 0.6)]),
    "kidney": pool_of(KIDNEY, [(0.2, 0.4, 0.4), (0.6, 0.3, 0.5), (1.0, 0.0, 0.4)], at=(8, -3)),
    "upright": pool_of({"shape": "rectangle", "length": 6, "width": 4}, [(0.3, 0.6, 0.0), (0.8, 0.0, 0.0)]),
    "pit": pool_of(
        {"shape": "circle", "diameter": 6},
        [(0.6, 0.0, 0.5)],
        pits=[pit_of((0.5, 0.0), {"shape": "circle", "diameter": 2}, [(1.2, 0.0, 0.3)])],
    ),
}


def over(surface: ModelMesh) -> np.ndarray:
    """Plan area of each triangle [m²]."""
    a, b, c = (surface.points[surface.faces[:, side], :2] for side in range(3))
    u, v = b - a, c - a
    return np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2


def area(surface: ModelMesh) -> float:
    a, b, c = (surface.points[surface.faces[:, side]] for side in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)


def volume(surface: ModelMesh) -> float:
    """Under a body's faces, by the divergence theorem; either way round [m³]."""
    middle = surface.points.mean(axis=0)
    corners = surface.points[surface.faces] - middle
    return float(np.abs(np.linalg.det(corners)).sum() / 6)


@pytest.mark.parametrize("name", SHAPES)
def test_the_bed_holds_the_water_that_the_surface_does_and_covers_its_outline(name: str) -> None:
    laid = surfaces_of(SHAPES[name]).finished
    bed = relief.bed_of(laid)
    plan = over(bed)
    assert plan.sum() == pytest.approx(laid.outline.area, rel=5e-3)
    # Prisms under each triangle, against the volume by slices.
    held = (plan * bed.depth[bed.faces].mean(axis=1)).sum()
    assert held == pytest.approx(float(laid.surface.volume(0.0)), rel=1.5e-2)
    assert bed.depth.max() == pytest.approx(laid.surface.deepest, abs=1e-6)
    assert bed.points[:, 2] == pytest.approx(laid.level - bed.depth)


@pytest.mark.parametrize("name", SHAPES)
def test_no_bank_is_jagged(name: str) -> None:
    """Every corner lies at the depth that the surface has there; on an upright face at its head or foot."""
    laid = surfaces_of(SHAPES[name]).finished
    bed = relief.bed_of(laid)
    depth = laid.surface.depth_at(laid.placed.to_own(bed.points[:, :2]))
    tolerance = relief.FINE * laid.surface.pool.shape.inradius
    if name == "upright":
        assert set(np.round(bed.depth, 6)) == {0.0, 0.15, 0.3, 0.55, 0.8}  # each face in two
    else:
        batter = 0.3  # the least of them: depth over a step to the side
        assert np.abs(depth - bed.depth).max() < tolerance / batter + 0.02


def test_an_upright_face_is_a_wall() -> None:
    bed = relief.bed_of(surfaces_of(SHAPES["upright"]).finished)
    walls = area(bed) - over(bed).sum()
    assert walls == pytest.approx(0.3 * 20 + 0.5 * (4.8 + 2.8) * 2, rel=1e-2)


def test_water_is_level_and_as_large_as_the_outline() -> None:
    laid = surfaces_of(SHAPES["kidney"]).finished
    water = relief.water_of(laid)
    assert set(water.points[:, 2]) == {laid.level}
    assert over(water).sum() == pytest.approx(laid.outline.area, rel=5e-3)


def test_a_bank_runs_from_the_waterline_to_the_rim() -> None:
    laid = surfaces_of(SHAPES["circle"]).finished
    bank = relief.bank_of(laid)
    radius = np.hypot(*bank.points[:, :2].T)
    rim = bank.points[:, 2] > laid.level + 1e-9
    assert radius[rim] == pytest.approx(3 + laid.rim, rel=5e-3)
    assert radius[~rim] == pytest.approx(3, rel=5e-3)
    assert set(np.round(bank.points[rim, 2], 9)) == {round(laid.rim_level, 9)}


def test_the_ground_is_open_over_the_pools_and_lies_as_it_does() -> None:
    laid = [surfaces_of(SHAPES[name]).finished for name in ("circle", "kidney")]
    span = (-6.0, -8.0, 15.0, 6.0)
    land = relief.ground_round(laid, SLOPE, span)
    rims = shapely.union_all(
        [shapely.transform(one.surface.pool.shape.polygon.buffer(one.rim), one.placed.to_site) for one in laid]
    )
    assert over(land).sum() == pytest.approx(21 * 14 - rims.area, rel=5e-3)
    places = shapely.points(land.points[:, :2])
    beyond = shapely.distance(rims, places) > relief.STRIP * 0.95
    assert land.points[beyond, 2] == pytest.approx(SLOPE.at(land.points[beyond, :2]), abs=1e-6)
    at_rim = shapely.distance(rims.boundary, places) < 0.01
    assert at_rim.any()
    for one in laid:
        near = at_rim & (shapely.distance(one.outline, places) < one.rim + 0.05)
        assert land.points[near, 2] == pytest.approx(one.rim_level, abs=1e-6)


def test_ground_without_pools_is_whole() -> None:
    land = relief.ground_round([], SLOPE, (0.0, 0.0, 10.0, 6.0))
    assert over(land).sum() == pytest.approx(60.0)


def test_bodies_are_as_large_as_their_closed_forms() -> None:
    box = relief.box((1.0, 2.0, 3.0), (2.0, 1.0, 0.5))
    assert (area(box), volume(box)) == pytest.approx((2 * (2 + 1 + 0.5), 1.0))
    pipe = relief.tube((0.0, 0.0, 0.0), (3.0, 4.0, 0.0), 0.2)
    sides = relief.SIDES
    assert area(pipe) == pytest.approx(5.0 * sides * 0.2 * math.sin(math.pi / sides))
    upright = relief.tube((0.0, 0.0, 0.0), (0.0, 0.0, -2.0), 0.1)
    assert np.ptp(upright.points, axis=0) == pytest.approx([0.1, 0.1, 2.0], abs=0.01)
    stone = relief.rounded((0.0, 0.0, 1.0), (1.2, 0.8, 0.6))
    assert len(stone.faces) == 80
    assert volume(stone) == pytest.approx(math.pi / 6 * 1.2 * 0.8 * 0.6, rel=0.15)
    assert np.ptp(stone.points, axis=0) == pytest.approx([1.2, 0.8, 0.6], rel=0.06)


def test_a_ribbon_is_as_wide_as_asked_and_falls_upright() -> None:
    band = relief.ribbon([(0.0, 0.0, 1.0), (2.0, 0.0, 1.0)], 0.5)
    assert area(band) == pytest.approx(1.0)
    fall = relief.ribbon([(0.0, 0.0, 1.0), (1.0, 0.0, 1.0), (1.01, 0.0, 0.0)], 0.5)
    assert area(fall) == pytest.approx(0.5 * (1.0 + math.hypot(0.01, 1.0)), rel=1e-3)


@pytest.mark.parametrize("most", [5, 200])
def test_places_are_spread_inside_an_area_up_to_a_number(most: int) -> None:
    disc = shapely.Point(0, 0).buffer(3)
    places = relief.spread(disc, 0.5, most)
    assert 0 < len(places) <= most
    assert shapely.contains_xy(disc, places[:, 0], places[:, 1]).all()
    apart = np.linalg.norm(places[:, None] - places[None], axis=2)
    assert apart[apart > 0].min() >= 0.5 * 0.99
    assert not len(relief.spread(shapely.Polygon(), 0.5, most))


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_demos_beds_hold_their_gross_volume(name: str) -> None:
    for option in evaluate(demo(name)).options:
        for pool in option.pools:
            bed = relief.bed_of(pool.surfaces.finished)
            held = (over(bed) * bed.depth[bed.faces].mean(axis=1)).sum()
            assert held == pytest.approx(pool.gross_volume.value, rel=2e-2)


def test_the_ground_is_open_over_the_bed_of_a_stream_and_led_to_it() -> None:
    laid = [surfaces_of(SHAPES["circle"]).finished]
    line = [(6.0, 0.0, 0.1), (9.0, 0.0, -0.2)]
    span = (-6.0, -6.0, 12.0, 6.0)
    land = relief.ground_round(laid, SLOPE, span, [(line, 0.8)])
    whole = relief.ground_round(laid, SLOPE, span)
    assert over(whole).sum() - over(land).sum() == pytest.approx(3 * 0.8, rel=1e-2)
    edge = (np.abs(np.abs(land.points[:, 1]) - 0.4) < 1e-3) & (land.points[:, 0] > 6.001) & (land.points[:, 0] < 8.999)
    ends = land.points[np.hypot(land.points[:, 0] - 6.0, np.abs(land.points[:, 1]) - 0.4) < 1e-3]
    assert len(ends)
    assert ends[:, 2] == pytest.approx(0.1, abs=1e-6)
    assert land.points[edge, 2] == pytest.approx(np.interp(land.points[edge, 0], [6, 9], [0.1, -0.2]), abs=1e-6)
