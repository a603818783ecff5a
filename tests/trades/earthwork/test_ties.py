"""Ties to fixed points: two tape lengths that lead back to the place."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pondkit.trades.earthwork.compute.setting_out import ties

HOUSE = [("house, corner 1", (0.0, 0.0)), ("house, corner 2", (8.0, 0.0)), ("house, corner 3", (8.0, 6.0))]


@given(x=st.floats(-15, 15), y=st.floats(-15, 15))
def test_two_circles_round_the_fixed_points_meet_at_the_place(x: float, y: float) -> None:
    """Intersection of two circles by their radical line: an exact other way; within 1 mm."""
    found = ties((x, y), HOUSE)
    if found is None:
        return
    one, two = found
    (a, b), (c, d) = one.fixed, two.fixed
    apart = math.hypot(c - a, d - b)
    along = (one.length**2 - two.length**2 + apart**2) / (2 * apart)
    aside = math.sqrt(max(one.length**2 - along**2, 0.0))
    way = np.array([c - a, d - b]) / apart
    across = np.array([-way[1], way[0]])
    meets = [np.array([a, b]) + along * way + sign * aside * across for sign in (1, -1)]
    assert min(np.hypot(*(meet - (x, y))) for meet in meets) < 1e-3
    # The law of cosines: tapes that cross from 30 to 150 degrees.
    cosine = (one.length**2 + two.length**2 - apart**2) / (2 * one.length * two.length)
    assert abs(cosine) <= math.cos(math.radians(30)) + 1e-9


def test_the_nearest_corners_that_cross_well_are_taken() -> None:
    """By hand: 3-4-5 triangles. In line with two corners no pair of those two crosses, so that the third is taken."""
    first, second = ties((3.0, 4.0), HOUSE[:2])  # type: ignore[misc]
    assert (first.name, first.length) == ("house, corner 1", pytest.approx(5.0))
    assert second.length == pytest.approx(math.hypot(5, 4))
    pair = ties((12.0, 0.0), HOUSE)
    assert pair is not None
    assert {tie.name for tie in pair} == {"house, corner 2", "house, corner 3"}
    assert ties((20.0, 0.0), HOUSE[:2]) is None
    assert ties((90.0, 90.0), HOUSE) is None  # further than a tape reaches
