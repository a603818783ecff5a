"""Relations of the lift plan. Radii are level, from the middle of slewing; heights
from the ground the machine stands on.
"""

import math

from pondkit.core.units import Count, Length, Mass, Ratio, Share


def chart_rated(tipping: Mass, tipping_share: Ratio, hydraulic: Mass, hydraulic_share: Ratio) -> Mass:
    """Rated load from raw values: the lesser of 75 % of the tipping load and 87 % of the hydraulic capacity.

    Source: ISO 10567:2007, as three operator manuals quote it
    """
    return min(tipping * tipping_share, hydraulic * hydraulic_share)


def lift_radius(east: Length, north: Length) -> Length:
    """Lift radius at the place of the stone.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2)


def lift_use(high_mass: Mass, rated: Mass, bucket: Mass, coupler: Mass, rigging: Mass) -> Share:
    """Lift load, percent of chart: mass of the stone over the rated load less bucket, coupler and rigging.

    Source: rated load of the worse of the neighbouring rows of the chart, as entered
    """
    return high_mass / (rated - bucket - coupler - rigging)


def set_back_spare(
    to_place: Length, machine: Length, slope: Ratio, depth: Length, to_edge: Length, least: Length
) -> Length:
    """Setback to spare of the machine, beyond that required by the soil's slope at the governing place of the dig, and
    beyond the least from the edge.

    Source: the machine stays behind the slope, horizontal per vertical, that the soil would stand at from that place up
    """
    return min(to_place - machine - slope * depth, to_edge - machine - least)


def lift_turn(set_before: Count) -> Count:
    """Setting order of a stone.

    Source: in the basin before rim and ground beyond; furthest from the machine first, position by position from the
    far end to the way in; what bears another before it
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
