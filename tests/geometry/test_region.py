"""Regions of a plan: distances from an edge, and parts in cells, against the library's own."""

import itertools

import numpy as np
import pytest
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.region import Edge, cells_of

EDGES = {
    "box": Polygon([(0, 0), (4, 0), (4, 2), (0, 2)]),
    "round": Point(1, 1).buffer(3, quad_segs=64),
    "hollow": Polygon([(0, 0), (6, 0), (6, 4), (3, 1), (0, 4)]),
}


@pytest.mark.parametrize("polygon", EDGES.values(), ids=EDGES)
def test_distances_are_the_librarys_and_inside_they_count_up(polygon: Polygon) -> None:
    places = np.random.default_rng(5).uniform(-4, 9, (3000, 2))
    inside = shapely.contains_xy(polygon, places[:, 0], places[:, 1])
    away = shapely.distance(polygon.exterior, shapely.points(places))
    found = Edge(polygon).inward(places)
    assert found == pytest.approx(np.where(inside, away, -away), abs=2e-3)
    assert np.median(np.abs(np.abs(found) - away)) < 1e-12
    feet = Edge(polygon).foot(places)
    assert np.linalg.norm(places - feet, axis=1) == pytest.approx(np.abs(found), abs=1e-12)


PLANS = {
    "round": Point(1, 2).buffer(3),
    "ring": Point(0, 0).buffer(3).difference(Point(0.3, 0.2).buffer(2)),
    "box on the lines": box(0, 0, 3, 2),
    "turned box": Polygon([(0, 0), (3, 1), (2, 4), (-1, 3)]),
    "hollow": Polygon([(0, 0), (3, 1), (2, 4), (1, 1.5)]),
    "clockwise": Polygon([(0, 0), (0, 2), (3, 0)]),
    "in parts": MultiPolygon([box(0, 0, 1, 1), Point(4, 1).buffer(0.7)]),
    "sliver": Polygon([(0, 0), (5, 0.001), (5, 0.002)]),
}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("step", [2.5, 0.5, 0.07])
def test_every_cell_has_the_area_and_middle_of_what_it_shares_with_the_plan(plan: BaseGeometry, step: float) -> None:
    middles, areas = cells_of(plan, step)
    west, south, east, north = plan.bounds
    columns, rows = np.ceil((east - west) / step).astype(int), np.ceil((north - south) / step).astype(int)
    x, y = np.linspace(west, east, columns + 1), np.linspace(south, north, rows + 1)
    wanted = [
        part
        for low, high in itertools.pairwise(y)
        for left, right in itertools.pairwise(x)
        if (part := plan.intersection(box(left, low, right, high))).area > 1e-8 * (x[1] - x[0]) * (y[1] - y[0])
    ]
    assert areas.sum() == pytest.approx(plan.area, rel=1e-9)
    kept = areas > 1e-8 * (x[1] - x[0]) * (y[1] - y[0])
    assert areas[kept] == pytest.approx([part.area for part in wanted], rel=1e-6, abs=1e-12)
    assert middles[kept] == pytest.approx(shapely.get_coordinates([part.centroid for part in wanted]), abs=1e-6)
