"""Sheets against lines laid every few centimetres, nearer beside the longest, and in closed form."""

import math

import numpy as np
import pytest
from shapely.geometry import Polygon

from pondkit.geometry.lines import rays, turns_of
from pondkit.geometry.outline import Placed, shape_from, shape_of
from pondkit.geometry.shapes import Circle, Ellipse
from pondkit.geometry.sheet import Fit, Ways, fit
from tests.bench.liners import design, differences


@pytest.mark.parametrize(
    "seed", [3, 4, 13, 15, 22, 28]
)  # tests/bench/liners.py tries 200; these were up to 190 mm short
def test_no_liner_is_short_of_lines_laid_every_two_centimetres(seed: int) -> None:
    under = design(seed, size=0.5, pools=(1, 1, 2))
    assert under is not None
    found = differences(under, spacing=0.02)
    assert found[:, 0].min() >= -2e-3
    assert found[:, 1].max() <= 10e-3


# Short by 11 to 113 mm where a pool's tip or a bay lay between samples (2, 31, 93), by 4 to 16 mm where a distance had
# its peak within a cell (121) or a steep face runs nearly as the lines do (51).
@pytest.mark.parametrize("seed", [2, 31, 51, 93, 121])
def test_no_liner_is_short_where_an_outline_turns_back(seed: int) -> None:
    under = design(seed)
    assert under is not None
    found = differences(under, spacing=0.05)
    assert found[:, 0].min() >= -2e-3
    assert found[:, 1].max() <= 10e-3


def test_along_lines_the_greatest_distance_is_true_and_no_other_is_far_off() -> None:
    """Of a notched outline, a round one and a small pit, lines with 200 samples against places a millimetre apart."""
    notched = shape_from(Polygon([(-4, -2), (1, -2.5), (4, -2), (2.5, 1.5), (0.3, 0.4), (-2, 2.4), (-3.2, 0.2)]))
    round_ = shape_of(Ellipse.model_validate({"shape": "ellipse", "length": 5, "width": 3}, context={"units": "si"}))
    pit = shape_of(Circle.model_validate({"shape": "circle", "diameter": 0.7}, context={"units": "si"}))
    outlines = ((notched, Placed(0, 0, 17)), (round_, Placed(7, 1, 40)), (pit, Placed(-0.5, -0.6, 0)))
    made = rays(outlines, 12.0, 0.5, 60, 200)
    axes = Placed(0, 0, 12.0)
    for row in range(0, len(made.offsets), 3):
        own = made.line == row
        at = np.arange(made.station[own][0], made.station[own][-1], 1e-3)
        site = axes.to_site(np.stack([at, np.full(len(at), made.offsets[row])], axis=1))
        for (shape, placed), field in zip(outlines, made.inward, strict=True):
            true = shape.inward(placed.to_own(site))
            found = np.interp(at, made.station[own], field[own])
            near = true > -0.45
            assert np.abs(found - true)[near].max(initial=0.0) < 1.5e-3
            if true.max() > 0:
                assert found.max() == pytest.approx(true.max(), abs=1.5e-4)


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


def test_a_way_that_soars_beside_a_jump_is_followed_to_it() -> None:
    # Closed form: half ways of 2 that grow by 200 for 1 across from 0.3 mm before an offset on, and fall to 1 there.
    jump = 0.4321

    def half(offset: np.ndarray) -> np.ndarray:
        return np.where(offset <= jump, 2 + 200 * np.maximum(offset - jump + 3e-4, 0), 1.0)

    def between(gaps: list[tuple[tuple[float, float], ...]]) -> list[Ways]:
        found = np.unique(np.concatenate([np.linspace(*gap, 9)[1:-1] for gap in gaps[0]]))
        return [ways_over(found, half(found))]

    coarse = np.array([-0.5, 0.0, 0.4, 0.43, jump - 2e-4, jump - 1e-4, jump + 2e-4, 0.5, 0.9])
    found = fit([ways_over(coarse, half(coarse))], between)[0]
    assert found.left + found.right == pytest.approx(2 * (2 + 200 * 3e-4), abs=2e-3)


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
