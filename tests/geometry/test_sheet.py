"""Sheets against lines laid every centimetre, and in closed form."""

import math

import numpy as np
import pytest
from shapely.geometry import Polygon

from pondkit.geometry.lines import turns_of
from pondkit.geometry.outline import Placed, shape_from
from pondkit.geometry.sheet_fit import Fit, Ways, fit
from tests.bench.liners import design, differences


@pytest.mark.parametrize(
    "seed", [3, 4, 13, 15, 22, 28]
)  # tests/bench/liners.py tries 200; these were up to 190 mm short
def test_no_liner_is_short_of_lines_laid_every_two_centimetres(seed: int) -> None:
    under = design(seed, size=0.5, pools=(1, 1, 2))
    assert under is not None
    found = differences(under, spacing=0.02)
    assert found.min() >= -2e-3
    assert found.max() <= 60e-3  # between lines 2 cm apart the longest way may be so much longer, where faces are steep


@pytest.mark.parametrize("seed", [2, 31, 93])  # short by 11 to 113 mm where a pool's tip or a bay lay between samples
def test_no_liner_is_short_where_an_outline_turns_back(seed: int) -> None:
    under = design(seed)
    assert under is not None
    assert differences(under, spacing=0.05).min() >= -2e-3


def ways_over(offsets: np.ndarray, half: np.ndarray) -> Ways:
    """A flat sheet: lines of given half lengths to both sides of station 0."""
    count, span = len(offsets), 100.0
    station = np.stack([-half, half], axis=1)
    keys = (np.arange(count)[:, None] * span + 50 + station).ravel()
    way = np.stack([0 * half, 2 * half], axis=1).ravel()
    return Ways(span, offsets, keys, way, np.arange(count), 50 - half, 50 + half, 2 * half)


@pytest.mark.parametrize("peak", [0.13, 0.5, 0.777])
def test_a_peak_between_two_lines_is_found(peak: float) -> None:
    # Closed form: ways that rise by 0.8 and 1.7 for 1 across to a peak of 3 each side, between lines 0.5 apart.
    def half(offset: np.ndarray) -> np.ndarray:
        return np.where(offset < peak, 3 - 0.8 * (peak - offset), 3 - 1.7 * (offset - peak))

    def between(gaps: list[tuple[tuple[float, float], ...]]) -> list[Ways]:
        found = np.concatenate([np.linspace(*gap, 9)[1:-1] for gap in gaps[0]])
        return [ways_over(found, half(found))]

    coarse = np.linspace(-0.9, 1.6, 6)
    found = fit([ways_over(coarse, half(coarse))], between)[0]
    assert isinstance(found, Fit) and found.left + found.right == pytest.approx(6.0, abs=2e-3)


def test_where_an_outline_turns_back_moves_with_it() -> None:
    # Closed form: a right angle that points along the lines moves by the distance along
    # them, a bay's corner straight across.
    notched = shape_from(Polygon([(-2, -2), (2, -2), (2, 2), (0, 0.5), (-2, 2)]))
    offsets, rates = turns_of(notched, Placed(0.0, 0.0, 0.0), 0.0)
    bay = int(np.argmin(np.abs(offsets - 0.5)))
    assert rates[bay] == pytest.approx(-1.0)
    turned = shape_from(Polygon([(1, 0), (0, 1), (-1, 0), (0, -1)]))
    offsets, rates = turns_of(turned, Placed(0.0, 0.0, 0.0), 0.0)
    tip = int(np.argmax(offsets))
    assert rates[tip] == pytest.approx(-math.sqrt(2))
