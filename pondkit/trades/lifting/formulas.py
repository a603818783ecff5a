"""Relations of the lift plan. Radii are level, from the middle of slewing; heights
from the ground the machine stands on.
"""

import math

from pondkit.core.units import Count, Length, Mass, Ratio, Share


def chart_rated(tipping: Mass, tipping_share: Ratio, hydraulic: Mass, hydraulic_share: Ratio) -> Mass:
    """Rated load of raw values: the lesser of 75 % of what tips the machine and 87 % of what its hydraulics lift.

    Source: ISO 10567:2007, as three operator manuals quote it
    """
    return min(tipping * tipping_share, hydraulic * hydraulic_share)


def lift_radius(east: Length, north: Length) -> Length:
    """From the machine to where the stone is set.

    Source: geometry
    """
    return math.sqrt(east**2 + north**2)


def lift_use(high_mass: Mass, rated: Mass, bucket: Mass, coupler: Mass, rigging: Mass) -> Share:
    """Mass of the stone over the rated load less bucket, coupler and rigging.

    Source: rated load of the worse of the neighbouring rows of the chart, as entered
    """
    return high_mass / (rated - bucket - coupler - rigging)


def set_back_spare(
    to_place: Length, machine: Length, slope: Ratio, depth: Length, to_edge: Length, least: Length
) -> Length:
    """What the machine stands further back than its soil's slope asks, by the place of the dig that asks
    most, and than the least from the edge.

    Source: the machine stays behind the slope, horizontal per vertical, that the soil would stand at from that place up
    """
    return min(to_place - machine - slope * depth, to_edge - machine - least)


def lift_turn(set_before: Count) -> Count:
    """Number of a stone in the order in which all are set.

    Source: in the basin before rim and ground beyond; furthest from the machine first, position by position from the
        far end to the way in; what bears another before it
    """
    return set_before + 1


def way_out_stones(in_the_way: Count) -> Count:
    """Stones already set that lie in the machine's straight way from a position to the next, or out of the site.

    Source: count
    """
    return in_the_way


def boulders_not_lifted(placed: Count, held: Count) -> Count:
    """Placed boulders that no position lifts within the limit.

    Source: count
    """
    return placed - held
