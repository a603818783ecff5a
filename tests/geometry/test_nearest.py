"""The nearest place of an edge, against the library's own distance."""

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon

from pondkit.geometry.nearest import Edge

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
