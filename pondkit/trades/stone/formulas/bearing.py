"""Relations of bearing: what presses on the ground under a boulder. Loads are masses, dry, at the high figure."""

import math

from pondkit.core.units import Acceleration, Count, Length, Mass, Pressure, Ratio, Share, Volume


def bearing_allowed(pressure: Pressure) -> Pressure:
    """What the ground may bear.

    Source: allowable pressure of undisturbed ground
    """
    return pressure


def bearing_load(high_mass: Mass, stacked_mass: Mass) -> Mass:
    """Mass that the ground under one boulder bears: its own and that of what rests on it.

    Source: sum of the high masses; nothing is taken off for water, as the pool will be drained
    """
    return high_mass + stacked_mass


def contact_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio
) -> Pressure:
    """Pressure where the stone, or its bedding, is touched.

    Source: pressure = weight / area of contact; the area by the axes as entered
    """
    return bearing_load * gravity / (contact_share * longest * middle)


def spread_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio, bedding: Length
) -> Pressure:
    """Pressure on the ground under the bedding; the area of contact has the stone's own proportions.

    Source: 2 vertical to 1 horizontal, pressure = Q / ((B + z)(L + z)) (two engineering pages
        citing Bowles, Das and NAVFAC DM 7.2)
    """
    return (
        bearing_load
        * gravity
        / ((math.sqrt(contact_share) * longest + bedding) * (math.sqrt(contact_share) * middle + bedding))
    )


def bedding_needed(
    bearing_load: Mass,
    gravity: Acceleration,
    longest: Length,
    middle: Length,
    contact_share: Ratio,
    allowed: Pressure,
) -> Length:
    """Least bedding under which the ground bears no more than it may.

    Working: z from (B + z)(L + z) = bearing load × gravity / allowed, where B and L are middle and longest times the
        root of the contact share; nothing where it holds without
    Source: 2 vertical to 1 horizontal, pressure = Q / ((B + z)(L + z)), solved for z (two engineering pages citing
        Bowles, Das and NAVFAC DM 7.2); no geotextile is credited with spreading the load
    """
    long, wide = math.sqrt(contact_share) * longest, math.sqrt(contact_share) * middle
    return max(0.0, (math.sqrt((long - wide) ** 2 + 4 * bearing_load * gravity / allowed) - long - wide) / 2)


def bearing_use(pressure: Pressure, allowed: Pressure) -> Share:
    """Pressure on the ground over what it may bear.

    Source: pressure on the ground over the allowable one; no geotextile is credited with spreading the load, and
        nothing of the weight is left to the water
    """
    return pressure / allowed


def bedding_volume(count: Count, longest: Length, middle: Length, bedding: Length) -> Volume:
    """Compacted bedding under all boulders of a kind, and what is dug for it: as wide as it spreads the load.

    Source: geometry
    """
    return count * (longest + bedding) * (middle + bedding) * bedding


def bed_level(dig_level: Length, bedding: Length) -> Length:
    """Base level of the bedding, above the site datum.

    Source: level of the dig at the place less the bedding
    """
    return dig_level - bedding


def stand_spare(width: Length, middle: Length) -> Length:
    """Width of the level part that a stone lies on, less that of the stone, which lies
    lengthwise along it; on a face there is none.

    Source: geometry
    """
    return width - middle


def shelf_spare(to_front: Length, middle: Length, bedding: Length, set_back: Length) -> Length:
    """What is left between stone, spread of its bedding and set-back, and the front of
    its shelf; it lies along the shelf.

    Source: geometry; the bedding spreads by half its thickness each way
    """
    return to_front - middle / 2 - bedding / 2 - set_back
