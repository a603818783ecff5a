"""Tapes over a hole in ground that is higher, lower or slopes: against a chain of short chords
over dig and ground, by plain vectors.
"""

from typing import Any

import numpy as np
import pytest

from pondkit.study.evaluate import OptionResult
from tests.by_grid import dig_track, pool_of
from tests.trades.tunnels.sketch import LINED, cautions, figures, sketch, value

POOL: dict[str, Any] = {"shape": "rectangle", "length": 8, "width": 6}
BARE = LINED | {
    "thickness": "1 mm",
    "underlay": None,
    "overlay": None,
    "edge": "50 cm",
    "allowance": 0,
    "sale_unit": "1 cm",
}
GROUNDS: dict[str, dict[str, Any]] = {
    "higher": {"kind": "level", "level": 0.6},
    "lower": {"kind": "level", "level": -0.4},
    "level": {"kind": "level", "level": 0.1},
    "slope": {"kind": "plane", "level": 0.1, "fall": 0.12, "toward_deg": 90},
    "steep": {"kind": "plane", "level": 0.5, "fall": 0.2, "toward_deg": 90},
}
CREST, OUTER = 0.3, 1.5


def dug(ground: dict[str, Any], taped: float | None, **more: Any) -> OptionResult:
    tape = {"name": "long", "start": [-6, 0], "end": [6, 0]} | ({"taped": taped} if taped is not None else {})
    pool = {
        "name": "pool",
        "outline": POOL,
        "bank_batter": 0.5,
        "freeboard": 0.1,
        "tiers": [{"zone": "deep", "depth": 1.2, "batter": 0.5}],
    }
    earth = {"bank_crest": CREST, "bank_slope": OUTER}
    return sketch(
        (),
        (),
        pools=[pool],
        lining=BARE,
        site={"ground": ground},
        option={"dig": {"tapes": [tape]}, "earth": earth} | more,
    )


def chain(ground: dict[str, Any], off: float = 0.0) -> float:
    """A chain of chords of 1 mm along the middle of the pool: dig within the rims, face up to
    the ground or bank down to it outside.
    """
    x = np.linspace(-6, 6, 12001)
    fall = ground.get("fall", 0.0)
    stands = ground["level"] - fall * x  # falls eastward
    drawn = pool_of(POOL, [(1.2, 0, 0.5)], bank_batter=0.5, freeboard=0.1)
    inward = 4 - np.abs(x)
    track = dig_track(drawn, 0.001)
    face = -np.interp(inward, *track)
    rim = 0.1  # the dig's bank goes through its rim so far out
    out = np.interp(rim, -track[1][::-1], -track[0][::-1])
    bank = rim - np.maximum(-inward - out - CREST, 0) / OUTER
    level = np.where(inward >= -out, np.minimum(face, rim), np.minimum(np.maximum(stands, bank), np.maximum(face, rim)))
    return float(np.sum(np.hypot(np.diff(x), np.diff(level)))) + off


@pytest.mark.parametrize("name", GROUNDS)
def test_a_true_tape_over_a_hole_just_as_drawn_adds_nothing_to_the_liner(name: str) -> None:
    ground = GROUNDS[name]
    taped = chain(ground)
    result = dug(ground, taped)
    assert figures(result, "dug_difference")["long, tape over the hole"].value == pytest.approx(0.0, abs=4e-3)
    wanted = value(dug(ground, None), "liner_length_as_dug", "liner")
    assert value(result, "liner_length_as_dug", "liner") == pytest.approx(wanted, abs=4e-3)


@pytest.mark.parametrize("name", GROUNDS)
def test_what_a_tape_is_longer_in_the_hole_is_added_whatever_the_ground(name: str) -> None:
    ground = GROUNDS[name]
    result = dug(ground, chain(ground, 0.2))
    wanted = value(dug(ground, None), "liner_length_as_dug", "liner")
    assert value(result, "liner_length_as_dug", "liner") == pytest.approx(wanted + 0.2, abs=4e-3)


def test_a_tape_that_ends_far_outside_the_liners_edge_says_so() -> None:
    far = figures(dug(GROUNDS["level"], 14.0), "dug_difference")["long, tape over the hole"]
    assert "outside the liner's edge" in cautions(far)
    near = dug(
        GROUNDS["level"], 12.0, dig={"tapes": [{"name": "long", "start": [-4.6, 0], "end": [4.6, 0], "taped": 12.0}]}
    )
    assert "outside the liner's edge" not in cautions(figures(near, "dug_difference")["long, tape over the hole"])


def test_a_tape_over_ground_that_was_not_surveyed_says_so() -> None:
    points = [[x, y, 0.1 + 0.02 * y] for x in (-5.0, 5.0) for y in (-5.0, 0.0, 5.0)]
    found = dug({"kind": "points", "points": points}, 14.0)
    assert "outside the survey" in cautions(figures(found, "dug_difference")["long, tape over the hole"])
