"""Relations of a liner beyond its rims: its edge, anchor trench and folds."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import (
    Angle,
    Length,
    Volume,
)
from pondkit.trades.liner.cautions import EDGE_TOO_SHORT, FOLDS


def trench_edge(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Liner beyond the rim that ends in an anchor trench: back to it, down, across its floor and up its far side; the
    edge entered where more.

    Source: geometry; sizes: user input
    """
    return max(edge, back + 2 * depth + width)


def edge_needed_flat(edge: Length) -> Length:
    """Liner beyond the rim for an edge that is laid flat.

    Source: user input
    """
    return edge


@holds(lambda edge, back, rise: edge >= back + rise - 1e-9, EDGE_TOO_SHORT)
def edge_spare_up(edge: Length, back: Length, rise: Length) -> Length:
    """Edge that is left once the liner is turned up behind the edging, above the soil that could draw water over it.

    Source: turned up behind the edging to the rim or higher: common practice, no source; sizes: user input
    """
    return edge - back - rise


def edge_spare_trench(edge: Length, back: Length, depth: Length, width: Length) -> Length:
    """Edge that is left once the liner goes back to the anchor trench, down its side, across its floor and up its far
    side.

    Source: geometry; sizes: user input
    """
    return edge - back - 2 * depth - width


def edge_above_soil(rim_level: Length, rise: Length, soil: Length) -> Length:
    """Upper edge of the turned-up liner over the highest ground beside it, as it is before the dig; negative where the
    ground stands higher.

    Source: turned up above all soil that could draw water over it: common practice, no source; rise: user input
    """
    return rim_level + rise - soil


def trench_volume(middle: Length, depth: Length, width: Length) -> Volume:
    """Soil out of the anchor trench, bank measure, along its middle line; it is filled in again over the liner.

    Working: length of the line that runs round all pools of the liner, by how far back the trench lies and half its
    width outside their rims, times depth and width; depth is under the level of the rim
    Source: geometry; sizes: user input
    """
    return middle * depth * width


@holds(lambda turned: turned <= 0, FOLDS)
def fold(way: Length, run: Length, turned: Angle) -> Length:
    """How much more liner than rim there is along a stretch of the rim: it goes into folds; negative where it is drawn
    tight.

    Working: way over the surface from the rim to the floor less its level run, times the angle in radians by which the
    stretch turned
    Source: geometry: round a floor that lies flat the sheet's edge is a line at the way's distance, the rim one at the
    run's
    """
    return (way - run) * math.radians(turned)
