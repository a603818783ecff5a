"""Relations of the lift plan. Radii are level, from the centre of slewing; heights are over the ground that the machine
stands on.
"""

import math

from pondkit.core.units import Count, Length, Mass, Ratio, Share


def chart_rated(tipping: Mass, tipping_share: Ratio, hydraulic: Mass, hydraulic_share: Ratio) -> Mass:
    """Rated load from raw values: the lesser of 75 % of the tipping load and 87 % of the hydraulic capacity.

    Source: ISO 10567:2007, as three operator manuals quote it
    """
    return min(tipping * tipping_share, hydraulic * hydraulic_share)


def lift_radius(east: Length, north: Length) -> Length:
    """Level distance from the centre of slewing to the place of the stone.

    ``east`` and ``north`` are those of the stone from the machine.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2)


def lift_use(high_mass: Mass, rated: Mass, bucket: Mass, coupler: Mass, rigging: Mass) -> Share:
    """Mass of the stone over what the chart leaves for it: the rated load less bucket, coupler and rigging.

    Source: rated load of the worse of the neighbouring rows of the chart, as entered
    """
    return high_mass / (rated - bucket - coupler - rigging)


def set_back_spare(
    to_place: Length, machine_reach: Length, slope: Ratio, depth: Length, to_edge: Length, least_from_edge: Length
) -> Length:
    """Setback to spare of the machine, beyond what the slope of the soil requires at the place of the dig that requires
    most, and beyond the least distance from the edge.

    ``to_place`` and ``to_edge`` are measured from the centre of slewing, ``depth`` is that place's below the machine's
    ground; ``machine_reach`` is the distance from the centre of slewing to the furthest corner of the tracks.

    Source: the machine stays behind the slope, horizontal per vertical, that the soil would stand at from that place up
    """
    return min(to_place - machine_reach - slope * depth, to_edge - machine_reach - least_from_edge)


def lift_turn(set_before: Count) -> Count:
    """Setting order of a stone.

    Source: stones in a basin before those on its rim and beyond; position by position from the furthest to the way in,
    at each the furthest from the machine first; a stone before those that rest on it
    """
    return set_before + 1


def way_out_stones(in_the_way: Count) -> Count:
    """Number of stones already set in the machine's straight way from a position to the next, or out of the site.

    Source: count
    """
    return in_the_way


def boulders_not_lifted(placed: Count, lifted: Count) -> Count:
    """Number of placed boulders that no position lifts within the limit.

    Source: count
    """
    return placed - lifted
