"""Relations of setting out."""

import math

from pondkit.core.units import Count, Length


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
