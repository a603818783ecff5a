"""Relations of edging: a row of stones along an outline.

Porosity is voids over bulk volume of the laid row. The boxes of its stones, along × across × height, make up the row;
what is no rock in them (gaps between stones, rounded corners) is its voids. So the rock of the row, which weighs and
displaces, is its bulk less its voids.
"""

import math

from pondkit.core.units import Area, Count, Density, Length, Mass, Ratio, Volume


def edging_count(middle_line: Length, along: Length) -> Count:
    """Stones of a row: middle line of its strip over the length of one stone, rounded up.

    Working: middle line of the strip, half a stone's width from the outline, over the length of one stone, rounded up
    Source: geometry
    """
    # A millionth of a stone is rounding in the outline, no stone more.
    return math.ceil(middle_line / along - 1e-6)


def edging_mass(
    edging_count: Count, along: Length, across: Length, height: Length, porosity: Ratio, density: Density
) -> Mass:
    """Mass of a row as it is bought, dry: bulk of all its stones less the voids, times the density of the rock.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return edging_count * along * across * height * (1 - porosity) * density


def edging_displaced(
    strip_area: Area, base_level: Length, height: Length, water_level: Length, porosity: Ratio
) -> Volume:
    """Water that a row inside the outline displaces: its rock below the level.

    Working: plan area of the strip × the height of the stones that is below the level × (1 − porosity)
    Source: Archimedes; definition of porosity as voids over bulk volume
    """
    return strip_area * min(max(water_level - base_level, 0.0), height) * (1 - porosity)


def edging_cover(strip_area: Area) -> Area:
    """Water surface that a row inside the outline takes.

    Working: plan area between the outline and the outline moved inward by the width of the row
    Source: geometry
    """
    return strip_area
