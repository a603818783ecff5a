"""Relations of a liner beyond its rims: edge, anchor trench, folds, strips under falls and channels, groundwater."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Acceleration, Angle, Area, Density, Force, Length, Mass, Pressure, Ratio, Volume
from pondkit.trades.liner.cautions import CHANNEL_TOO_SHORT, EDGE_TOO_SHORT, FOLDS, LINER_LIFTS


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

    A face 2 m long over 1 m of level run, round half a circle:

    >>> round(fold(2.0, 1.0, 180), 4)
    3.1416
    """
    return (way - run) * math.radians(turned)


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


@holds(
    lambda groundwater, floor_level, gravel, gravel_density, water_density: (
        gravel * gravel_density >= (groundwater - floor_level) * water_density
    ),
    LINER_LIFTS,
)
def liner_uplift(
    groundwater: Length, floor_level: Length, gravel: Length, gravel_density: Density, water_density: Density
) -> Length:
    """Head of groundwater under the liner of an empty pool, less what the gravel on it holds down, at the level part
    where most is left; 0 or less is held.

    Source: hydrostatics; gravel full of air (drained), its density: user input
    """
    return groundwater - floor_level - gravel * gravel_density / water_density


def uplift_pressure(
    groundwater: Length, floor_level: Length, water_density: Density, gravity: Acceleration
) -> Pressure:
    """Pressure of groundwater under the liner of an empty pool, at the level part where most is left of it.

    Source: hydrostatics
    """
    return (groundwater - floor_level) * water_density * gravity


def gravel_holds(gravel: Length, gravel_density: Density, gravity: Acceleration) -> Pressure:
    """Pressure with which the gravel on that part alone holds the liner down.

    Source: weight over area; gravel full of air (drained), its density: user input
    """
    return gravel * gravel_density * gravity


def stone_holds(masses: tuple[Mass, ...], gravity: Acceleration) -> Force:
    """Weight of all stone that stands on the liner of a pool where groundwater pushes, by its low mass, dry as the
    pool is empty.

    Source: weight = mass × gravity
    """
    return sum(masses) * gravity
