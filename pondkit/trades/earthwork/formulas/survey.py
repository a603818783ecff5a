"""Relations of setting out, levelling and the as-built survey."""

import math
from statistics import stdev

from pondkit.core.entry import holds
from pondkit.core.units import Area, Count, Length, Volume
from pondkit.trades.earthwork.cautions import OVER_LINE_OF_SIGHT, ROD_UPSIDE_DOWN


def baseline_length(a_east: Length, a_north: Length, b_east: Length, b_north: Length) -> Length:
    """Level distance from stake A to stake B.

    Source: geometry
    """
    return math.sqrt((b_east - a_east) ** 2 + (b_north - a_north) ** 2)


def mark_length(length: Length) -> Length:
    """Length of a line that is marked, all round.

    Working: along the line on the site
    Source: geometry
    """
    return length


def mark_count(points: Count) -> Count:
    """Points along a line.

    Working: at corners and bends, and between them no further apart than the spacing
    Source: spacing and bends: user input
    """
    return points


def not_by_tapes(points: Count) -> Count:
    """Points whose tapes cross under 30 or over 150 degrees.

    Working: points at which the angle between the two tapes is under 30 or over 150 degrees
    Source: common practice, no source: flatter tapes turn small errors of length into large ones of place
    """
    return points


@holds(lambda backsight: backsight >= 0, ROD_UPSIDE_DOWN)
def height_of_instrument(benchmark: Length, backsight: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where the benchmark is counted from elsewhere.

    Source: level book, height of instrument = reduced level + backsight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return benchmark + backsight - datum


def height_as_entered(height: Length, datum: Length) -> Length:
    """Level of the line of sight above the site datum, where it is known without a backsight.

    Source: user input
    """
    return height - datum


def level_drawn(level: Length) -> Length:
    """A level of the drawing above the site datum; low and high are its tolerance.

    Working: the pool's level less the depth of the surface, or as drawn
    Source: the drawing
    """
    return level


@holds(lambda height_of_instrument, level: level <= height_of_instrument, OVER_LINE_OF_SIGHT)
def rod_reading(height_of_instrument: Length, level: Length) -> Length:
    """What the rod reads on a level.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - level


@holds(lambda rod: rod >= 0, ROD_UPSIDE_DOWN)
def cut_to_level(height_of_instrument: Length, rod: Length, level: Length) -> Length:
    """How far the ground under the rod stands above the level drawn; negative where it lies below.

    Source: level book, reduced level = height of instrument - foresight (N. N. Basak, Surveying and Levelling, ch. 5)
    """
    return height_of_instrument - rod - level


def difference(found: Length, drawn: Length) -> Length:
    """By how much what was found differs from the drawing; a level that is negative was dug too deep.

    Source: user input against the drawing
    """
    return found - drawn


def dug_mean_within(differences: tuple[Length, ...], tolerance: Length) -> Length:
    """How far the mean of a hole's levels may be off what the levels found say, eight times in ten.

    Working: differences from the drawing, with the drawing itself as one more (0): Student's t for 80 % times their
    standard deviation,
    or the tolerance of floors where that is more, over the square root of their number
    Source: confidence interval of a mean, Student's distribution; that the drawing counts as one level: common
    practice, no source
    """
    from scipy.special import stdtrit

    every = (*differences, 0.0)
    spread = max(stdev(every), tolerance)
    return float(stdtrit(len(every) - 1, 0.9)) * spread / math.sqrt(len(every))


def volume_found(drawn: Volume, more: Volume, area: Area, off: Length) -> Volume:
    """Gross volume of the hole as found; low and high by how far the mean of its levels may be off.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline;
    between the levels found the
    hole is taken as drawn and moved by the mean of their differences, nearer ones counting more (inverse square of
    the distance)
    """
    return drawn + more + area * off


def wetted_found(drawn: Area, more: Area, outline: Length, off: Length) -> Area:
    """True area under water of the hole as found; low and high by how much higher its faces may be.

    Source: the drawing, and the difference measured, integrated along rings at distances inward from the outline;
    between the levels found the
    hole is taken as drawn and moved by the mean of their differences, nearer ones counting more (inverse square of
    the distance)
    """
    return drawn + more + outline * off


def liner_found(over: Length, longer: Length, off: Length) -> Length:
    """Net length of the liner over the hole as found, and by how much a tape over the hole was longer than its levels
    say; low and
    high by twice how far the mean of each hole's levels may be off, down and up again.

    Source: geometry of a sheet that folds and does not stretch; levels and tape: user input
    """
    return over + longer + 2 * off


def line_liner(way: Length, before: Length, behind: Length, edge: Length, off: Length) -> Length:
    """Liner along a line over the hole: from rim to rim, and the edge beyond both; low and high as of the liner's
    length.

    Source: geometry; the way taped where a tape was longer than the levels say
    """
    return way - before - behind + 2 * edge + 2 * off


def liner_spare(ordered: Length, found: Length) -> Length:
    """Liner ordered beyond what the hole as found needs; negative where it does not cover.

    Source: conservation of length
    """
    return ordered - found
