"""Strips of liner under falls and channels."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry, holds
from pondkit.core.units import Area, Length, Ratio
from pondkit.geometry.path import Laid
from pondkit.trades.liner.cautions import (
    CHANNEL_TOO_SHORT,
    CHANNEL_WITHOUT_BANK,
    CHANNEL_WITHOUT_LENGTH,
    CHANNEL_WITHOUT_SIDES,
    LAP_OVER_LOWER,
)
from pondkit.trades.liner.inputs import Lining


@dataclass(frozen=True)
class Channel:
    """A channel as its strip sees it.

    Attributes:
        length: Along its bed [m]; None where not entered.
        slope: Fall of the bed over its length; None where it takes the whole drop.
        bed_width: [m].
        side_batter: Of both sides, horizontal per vertical.
        bank_height: Over the bed [m]; None where not entered.
        depth: Of the water that runs in it [m]; None where not known.
    """

    length: float | None
    slope: float | None
    bed_width: float
    side_batter: float
    bank_height: float | None
    depth: float | None


@dataclass(frozen=True)
class Fall:
    """A link as the liner sees it: name, crest's place on the site, width and level, the levels of its two waters [m]; its channel."""

    name: str
    at: tuple[float, float]
    width: float
    crest: float
    upper: Laid
    lower: Laid
    channel: Channel | None = None


def strip_length(upper_gap: Length, drop: Length, lower_gap: Length, lap: Length) -> Length:
    """Length of the strip under a fall: over the lip, down the drop, and lapped onto both liners.

    Source: level way from the upper waterline to the crest and on to the lower one, plus the drop: never shorter than the way over any steps
    """
    return upper_gap + drop + lower_gap + 2 * lap


@holds(lambda bed, straight: bed >= straight - 1e-9, CHANNEL_TOO_SHORT)
def channel_strip_length(upper_gap: Length, bed: Length, straight: Length, end_drop: Length, lap: Length) -> Length:
    """Length of the strip under a channel: over the lip, along the bed, down what the bed leaves of the drop, lapped onto both liners.

    Source: length along the bed: user input; never less than the straight way from the crest to the lower waterline: geometry
    """
    return upper_gap + max(bed, straight) + end_drop + 2 * lap


def strip_width(crest_width: Length, beside: Length) -> Length:
    """Width of the strip under a fall.

    Source: crest and what is turned up beside it: user input
    """
    return crest_width + 2 * beside


def channel_strip_width(bed_width: Length, bank_height: Length, side_batter: Ratio, beside: Length) -> Length:
    """Width of the strip under a channel: its bed, both sides along their slope to the top of the bank, and what lies beyond on each.

    Source: girth of a trapezoid: geometry; edge beside it: user input
    """
    return bed_width + 2 * bank_height * math.sqrt(1 + side_batter**2) + 2 * beside


def strip_area(length: Length, width: Length) -> Area:
    """Liner in one strip; an offcut may serve.

    Source: geometry
    """
    return length * width


def strips(lining: Lining, falls: tuple[Fall, ...]) -> Iterator[tuple[Entry, Entry, Entry]]:
    """Length, width and area of the strip under each link."""
    for fall in falls:
        length = _length(lining, fall)
        width = _width(lining, fall)
        yield length, width, entry(strip_area, fall.name, length=length, width=width)


def _length(lining: Lining, fall: Fall) -> Entry:
    upper, lower = _gap(fall.upper, fall.at), _gap(fall.lower, fall.at)
    drop = max(fall.crest - fall.lower.level, 0.0)
    bed = fall.channel
    if bed is None or bed.length is None:
        notes = [LAP_OVER_LOWER(), *([CHANNEL_WITHOUT_LENGTH()] if bed else [])]
        return entry(strip_length, fall.name, source=USER, cautions=notes, upper_gap=upper, drop=drop, lower_gap=lower, lap=lining.link_lap)  # fmt: skip
    along = drop if bed.slope is None else min(bed.slope * bed.length, drop)
    return entry(
        channel_strip_length, fall.name, source=USER, cautions=[LAP_OVER_LOWER()], upper_gap=upper, bed=bed.length, straight=math.hypot(lower, along),
        end_drop=drop - along, lap=lining.link_lap,
    )  # fmt: skip


def _width(lining: Lining, fall: Fall) -> Entry:
    bed = fall.channel
    if bed is None:
        return entry(strip_width, fall.name, source=USER, crest_width=fall.width, beside=lining.link_beside)
    notes: list[Caution] = []
    if bed.bank_height is None:
        notes = [CHANNEL_WITHOUT_SIDES() if bed.depth is None else CHANNEL_WITHOUT_BANK()]
    high = bed.bank_height if bed.bank_height is not None else bed.depth or 0.0
    return entry(
        channel_strip_width, fall.name, source=USER, cautions=notes, bed_width=bed.bed_width, bank_height=high, side_batter=bed.side_batter,
        beside=lining.link_beside,
    )  # fmt: skip


def _gap(laid: Laid, at: tuple[float, float]) -> float:
    """Level distance from a place to a pool's waterline [m]; 0 inside it."""
    own = laid.placed.to_own(np.array([at]))
    return max(-float(laid.bowl.pool.shape.inward(own)[0]), 0.0)
