"""Relations of a gravity wall. Forces and moments are per length of wall; moments about the front edge of the joint,
its toe.
"""

import math

from pondkit.core.units import Angle, Area, Count, Density, Force, Length, Mass, Pressure, Ratio, Thrust, Volume


def wall_pressure_share(friction: Angle, slope: Angle) -> Ratio:
    """Active earth pressure coefficient by Rankine, on a vertical plane behind the wall.

    Working: cos s × (cos s − √(cos² s − cos² f)) / (cos s + √(cos² s − cos² f)), of friction f and slope s of the
    backfill; level: tan² (45° − f / 2)
    Source: Rankine's active pressure (Das, Principles of Geotechnical Engineering, chapter 13)

    Level ground behind a wall, friction of 30°: a third.

    >>> round(wall_pressure_share(30, 0), 6)
    0.333333
    """
    up, friction_cosine = math.cos(math.radians(slope)), math.cos(math.radians(friction))
    root = math.sqrt(up**2 - friction_cosine**2)
    return up * (up - root) / (up + root)


def wall_height(courses: tuple[Length, ...]) -> Length:
    """Height of a wall, from its base to the top of the last course.

    Source: geometry
    """
    return sum(courses)


def wall_overturning(resisting: Force, overturning: Force) -> Ratio:
    """Factor of safety against overturning about the toe of a joint.

    Source: resisting over overturning moments (Das, Principles of Foundation Engineering, example 8.3)
    """
    return resisting / overturning


def wall_sliding(vertical: Thrust, friction: Ratio, adhesion: Pressure, width: Length, thrust: Thrust) -> Ratio:
    """Factor of safety against sliding on a joint; soil in front of the wall is not counted.

    Source: friction and adhesion over thrust (Das, Principles of Foundation Engineering, example 8.3)
    """
    return (vertical * friction + width * adhesion) / thrust


def wall_eccentricity(width: Length, resisting: Force, overturning: Force, vertical: Thrust) -> Length:
    """Eccentricity of the resultant in front of the middle of a joint; negative behind it.

    Source: moments about the toe (Das, Principles of Foundation Engineering, example 8.3)
    """
    return width / 2 - (resisting - overturning) / vertical


def toe_pressure(vertical: Thrust, width: Length, eccentricity: Length) -> Pressure:
    """Greatest contact pressure on a joint: at the toe, or at the heel if the resultant is behind the middle.

    Working: vertical / width × (1 + 6 × |eccentricity| / width) within the middle third; outside it 4 × vertical / (3
    × (width − 2 × |eccentricity|)), as no joint pulls
    Source: Das, Principles of Foundation Engineering, example 8.3 and section on eccentric loads
    """
    aside = abs(eccentricity)
    if aside <= width / 6:
        return vertical / width * (1 + 6 * aside / width)
    return 4 * vertical / (3 * (width - 2 * aside))


def heel_pressure(vertical: Thrust, width: Length, eccentricity: Length) -> Pressure:
    """Least contact pressure on a joint: at the heel, or at the toe if the resultant is behind the middle.

    Working: vertical / width × (1 − 6 × |eccentricity| / width) within the middle third; outside it nothing, as no
    joint pulls
    Source: Das, Principles of Foundation Engineering, example 8.3
    """
    return max(0.0, vertical / width * (1 - 6 * abs(eccentricity) / width))


def wall_thrust(soil: Thrust, surcharge: Thrust, water: Thrust) -> Thrust:
    """Total horizontal thrust on the wall above a joint.

    Source: sum of the level parts
    """
    return soil + surcharge + water


def walls_unsafe(walls: Count, sound: Count) -> Count:
    """Number of walls with a joint that fails, or that press more than the ground may bear.

    Source: count
    """
    return walls - sound


def wall_volume(heights: tuple[Length, ...], plans: tuple[Area, ...]) -> Volume:
    """Bulk volume of a wall, voids included.

    Working: height of each course times its plan area, a strip as wide as the course behind its front
    Source: geometry; courses, line and length: user input
    """
    return sum(height * plan for height, plan in zip(heights, plans, strict=True))


def wall_stone_order(volume: Volume, porosity: Ratio, density: Density) -> Mass:
    """Dry mass of the stone of a wall.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return volume * (1 - porosity) * density
