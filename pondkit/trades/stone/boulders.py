"""Relations of boulders. All are of one boulder, dry, unless they say otherwise."""

import math

from pondkit.core.units import Area, Count, Density, Length, Mass, Ratio, Volume


def box_volume(share: Ratio, longest: Length, middle: Length, shortest: Length, axes_factor: Ratio) -> Volume:
    """Volume of a stone as a share of its box. ``axes_factor`` moves all three axes together.

    Source: geometry; share of the box by form
    """
    return share * longest * middle * shortest * axes_factor**3


def riprap_volume(share: Ratio, middle: Length, axes_factor: Ratio) -> Volume:
    """Volume of broken rock by its middle axis b alone: W = 0.85 γ b³, 0.85 being the typical share.

    Source: fits every row of FHWA FP-14 table 705-1 at 165 lb/ft³ (secondary source) to 2 %
    """
    return share * middle**3 * axes_factor**3


def boulder_mass(boulder_volume: Volume, density: Density) -> Mass:
    """Mass of one boulder, dry.

    Source: mass = volume × density
    """
    return boulder_volume * density


def boulder_mass_all(boulder_mass: Mass, boulder_count: Count) -> Mass:
    """Mass of all boulders of a kind, as if each were of one size.

    Source: mass of one times the count
    """
    return boulder_mass * boulder_count


def heaviest_boulder(high_masses: tuple[Mass, ...]) -> Mass:
    """The greatest of the high masses: what the machine and the slings must hold.

    Source: greatest of the boulders' high figures
    """
    return max(high_masses)


def boulder_displaced(boulder_volume: Volume, boulder_count: Count, under_water: Ratio) -> Volume:
    """Water that all boulders of a kind displace in their pool; ``under_water`` is the share of each below the level.

    Source: Archimedes: a body displaces its own volume under water
    """
    return boulder_volume * boulder_count * under_water


def boulder_cover(longest: Length, middle: Length, axes_factor: Ratio, boulder_count: Count) -> Area:
    """Water surface that the boulders of a kind take: the plan ellipse of each, longest by middle axis.

    Source: area of an ellipse, geometry
    """
    return math.pi / 4 * longest * middle * axes_factor**2 * boulder_count
