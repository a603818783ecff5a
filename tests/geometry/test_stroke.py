"""Lines drawn by hand: how near the smooth outline keeps, how few points it takes, and what is no outline."""

import math
import time

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon

from pondkit.drawing.rows import say
from pondkit.geometry.outline import NoOutline, through
from pondkit.geometry.stroke import SHARE, TRIMMED, ring_of, smoothed, thinned, tolerance_of

TURNS = np.linspace(0.0, 2 * np.pi, 160)


def ellipse(length: float = 8.0, width: float = 5.0, turns: np.ndarray = TURNS) -> np.ndarray:
    return np.column_stack([length / 2 * np.cos(turns), width / 2 * np.sin(turns)])


def kidney(turns: np.ndarray = TURNS) -> np.ndarray:
    """r = 3 + cos 2t - 0.8 sin t: bent in on one side."""
    reach = 3 + 0.8 * np.cos(2 * turns) - 0.9 * np.sin(turns)
    return np.column_stack([1.4 * reach * np.cos(turns), reach * np.sin(turns)])


def eight() -> np.ndarray:
    return np.column_stack([4 * np.sin(TURNS), 2 * np.sin(2 * TURNS)])


SHAPES = {"ellipse": ellipse(), "kidney": kidney(), "circle": ellipse(3.0, 3.0)}


@pytest.mark.parametrize("name", SHAPES)
def test_the_smooth_outline_keeps_within_the_stated_tolerance_by_few_points(name: str) -> None:
    stroke = SHAPES[name]
    points = smoothed(stroke)
    curve = Polygon(through(points, smooth=True))
    allowed = SHARE * np.ptp(stroke, axis=0).max()
    assert tolerance_of(stroke) == pytest.approx(allowed)
    # The stroke's own places, held against the curve by distances to it.
    away = shapely.distance(curve.exterior, shapely.points(stroke))
    assert away.max() <= allowed * 1.05
    assert len(points) <= 14
    assert curve.area == pytest.approx(Polygon(stroke).area, rel=0.02)


def test_an_ellipses_area_is_the_closed_forms() -> None:
    curve = Polygon(through(smoothed(ellipse()), smooth=True))
    assert curve.area == pytest.approx(math.pi * 4.0 * 2.5, rel=0.01)


def test_a_hand_that_trembles_does_not_show() -> None:
    jitter = np.random.default_rng(7).normal(0.0, 0.02, (160, 2))
    points = smoothed(kidney() + jitter)
    curve = Polygon(through(points, smooth=True))
    assert len(points) <= 20
    assert shapely.hausdorff_distance(curve.exterior, LineString(kidney())) < 0.02 * np.ptp(kidney(), axis=0).max()


@pytest.mark.parametrize("over", [-0.15, 0.2, 0.5])
def test_ends_that_do_not_meet_or_overlap_are_joined(over: float) -> None:
    turns = np.linspace(0.0, 2 * np.pi + over, 170)
    # Spiralling a little, as a hand does: the end crosses the start or runs beside it.
    stroke = kidney(turns) * (1 + 0.01 * turns[:, None])
    area = ring_of(stroke).area
    assert area == pytest.approx(Polygon(kidney()).area, rel=0.1)
    assert Polygon(through(smoothed(stroke), smooth=True)).is_valid


def test_a_line_that_crosses_itself_is_refused_with_the_place() -> None:
    with pytest.raises(NoOutline) as refused:
        smoothed(eight() + np.array([10.0, 3.0]))
    assert "crosses itself near 10 m east, 3 m north" in say(refused.value.given, "si")
    assert "Backspace" in say(refused.value.mend, "si")


@pytest.mark.parametrize(("size", "sound"), [(0.9, True), (1.1, False)])
def test_a_loop_is_cut_off_up_to_a_share_of_the_area(size: float, sound: bool) -> None:
    """A square of 10 by 10 with a square loop beyond one corner, just under and just over the share."""
    side = math.sqrt(size * TRIMMED) * 10
    stroke = np.array([[0, 0], [10, 0], [10, 10 + side], [10 + side, 10 + side], [10 + side, 10], [0, 10]], float)
    if sound:
        assert ring_of(stroke).area == pytest.approx(100.0)
    else:
        with pytest.raises(NoOutline):
            ring_of(stroke)


@pytest.mark.parametrize("stroke", [[], [[0, 0]], [[0, 0], [1, 1]], [[0, 0], [1, 1], [2, 2]], [[1, 1]] * 9])
def test_what_goes_round_nothing_is_refused(stroke: list[list[float]]) -> None:
    with pytest.raises(NoOutline) as refused:
        smoothed(np.array(stroke, float).reshape(-1, 2))
    assert "no area" in say(refused.value.given, "us")


def test_straight_sides_need_their_corners_only() -> None:
    along = np.linspace(0, 1, 30)[:-1, None]
    corners = np.array([[0, 0], [9, 0], [9, 4], [0, 4]], float)
    stroke = np.vstack([a + along * (b - a) for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True)])
    found = thinned(stroke)
    assert len(found) == 4
    assert {tuple(corner) for corner in found} == {tuple(corner) for corner in corners}


def test_it_is_done_before_the_hand_is_back() -> None:
    stroke = kidney() + np.random.default_rng(1).normal(0.0, 0.05, (160, 2))
    smoothed(stroke)  # the first loads what it needs
    start = time.process_time()
    smoothed(stroke)
    assert time.process_time() - start < 0.8
