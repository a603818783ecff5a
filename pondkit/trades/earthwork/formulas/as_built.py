"""Relations of the as-built survey: the hole as it was found."""

import math
from statistics import stdev

from pondkit.core.units import Area, Length, Volume


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
