"""Strips under channels, by hand: along the bed, over bed, sides and banks."""

import itertools
import math
from typing import Any

import pytest

from pondkit.study.evaluate import OptionResult
from tests.trades.liner.test_extras import design, figures

CHANNEL = {"kind": "channel", "from": "high", "to": "low", "at": [8, 0], "crest_width": "50 cm", "crest_level": 0.5}
OWN = {"link_lap": "30 cm", "link_beside": "25 cm"}


def strip(found: OptionResult) -> tuple[Any, Any]:
    return figures(found, "link_strip_length")["high – low"], figures(found, "link_strip_width")["high – low"]


def test_the_strip_under_a_channel_goes_along_its_bed_and_over_its_sides() -> None:
    shape = {"length": 9, "bed_width": "40 cm", "side_batter": 1.5, "bank_height": "20 cm"}
    length, width = strip(design(OWN, links=[CHANNEL | shape]))
    # From the upper waterline at x = 9 to the crest at 8, then 9 m of bed that take the whole drop.
    assert length.value == pytest.approx(1 + 9 + 0.6, abs=1e-3)
    # Girth of the trapezoid, its corners laid out: from the top of one bank to that of the other.
    corners = [(-0.5, 0.2), (-0.2, 0.0), (0.2, 0.0), (0.5, 0.2)]
    girth = sum(math.dist(a, b) for a, b in itertools.pairwise(corners))
    assert width.value == pytest.approx(girth + 0.5)
    assert not any("not entered" in c.text or "shorter" in c.text for c in (*length.cautions, *width.cautions))


def test_what_the_bed_leaves_of_the_drop_is_added() -> None:
    length, _ = strip(design(OWN, links=[CHANNEL | {"length": 9, "slope": 0.02}]))
    assert length.value == pytest.approx(1 + 9 + (0.5 - 0.18) + 0.6, abs=1e-3)
    # A bed that ends under the lower water has no drop left.
    length, _ = strip(design(OWN, links=[CHANNEL | {"length": 9, "slope": 0.2}]))
    assert length.value == pytest.approx(1 + 9 + 0.6, abs=1e-3)


def test_a_channel_shorter_than_the_straight_way_is_said_and_the_way_counted() -> None:
    length, _ = strip(design(OWN, links=[CHANNEL | {"length": 3}]))
    assert length.value == pytest.approx(1 + math.hypot(5, 0.5) + 0.6, abs=1e-3)
    assert any("shorter than the straight way" in c.text for c in length.cautions)


def test_a_channel_without_length_and_bank_says_so() -> None:
    length, width = strip(design(OWN, links=[CHANNEL]))
    assert length.value == pytest.approx(1 + 5 + 0.5 + 0.6, abs=1e-3) and width.value == pytest.approx(1.0)
    assert any("length is not entered" in c.text for c in length.cautions)
    assert any("too narrow" in c.text for c in width.cautions)


def test_without_a_bank_the_sides_go_as_high_as_the_water_runs() -> None:
    water = {
        "intake": {"pool": "low", "at": [0, 0]},
        "pumps": [
            {
                "name": "p",
                "pipe": "sch40 2 in",
                "length": 3,
                "curve": [{"flow": "0 L/min", "head": 3}, {"flow": "200 L/min", "head": 1}],
            }
        ],
        "branches": [{"name": "b", "pipe": "sch40 2 in", "length": 8, "to": "pool", "pool": "high"}],
    }
    found = design(OWN, links=[CHANNEL | {"length": 9}], water=water)
    depth = figures(found, "channel_depth")["high – low"]
    _, width = strip(found)
    assert depth.value > 0.005 and width.value == pytest.approx(0.5 + 2 * depth.high + 0.5)
    assert any("only as high as the water" in c.text for c in width.cautions)
