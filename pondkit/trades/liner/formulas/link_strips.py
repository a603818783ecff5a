"""Relations of strips of liner under falls and channels."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import (
    Area,
    Length,
    Ratio,
)
from pondkit.trades.liner.cautions import CHANNEL_TOO_SHORT


def strip_length(upper_gap: Length, drop: Length, lower_gap: Length, lap: Length) -> Length:
    """Length of the strip under a fall: over the lip, down the drop, and lapped onto both liners.

    Source: level way from the upper waterline to the crest and on to the lower one, plus the drop: never shorter than
    the way over any steps
    """
    return upper_gap + drop + lower_gap + 2 * lap


@holds(lambda bed, straight: bed >= straight - 1e-9, CHANNEL_TOO_SHORT)
def channel_strip_length(upper_gap: Length, bed: Length, straight: Length, end_drop: Length, lap: Length) -> Length:
    """Length of the strip under a channel: over the lip, along the bed, down what the bed leaves of the drop, lapped
    onto both liners.

    Source: length along the bed: user input; never less than the straight way from the crest to the lower waterline:
    geometry
    """
    return upper_gap + max(bed, straight) + end_drop + 2 * lap


def strip_width(crest_width: Length, beside: Length) -> Length:
    """Width of the strip under a fall.

    Source: crest and what is turned up beside it: user input
    """
    return crest_width + 2 * beside


def channel_strip_width(bed_width: Length, bank_height: Length, side_batter: Ratio, beside: Length) -> Length:
    """Width of the strip under a channel: its bed, both sides along their slope to the top of the bank, and what lies
    beyond on each.

    Source: girth of a trapezoid: geometry; edge beside it: user input
    """
    return bed_width + 2 * bank_height * math.sqrt(1 + side_batter**2) + 2 * beside


def strip_area(length: Length, width: Length) -> Area:
    """Liner in one strip; an offcut may serve.

    Source: geometry
    """
    return length * width
