"""Relations of boulders. All are of one boulder, dry, unless they say otherwise."""

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


def placed_displaced(
    share: Ratio,
    whole: Volume,
    shortest: Length,
    axes_factor: Ratio,
    depths: tuple[Length, ...],
    unplaced: Count,
    under_water: Ratio,
    *,
    round_form: bool,
) -> Volume:
    """Water that the boulders of a kind displace: of each that has a place, by the depth where it stands.

    A stone lies on its longest and middle axis, its shortest upright. ``whole`` is what ``share`` is a share of;
    ``depths`` are of the water over what each stands on, negative where that lies dry.

    Working: share × whole × axes factor³ × (the sum over places of the part of a stone that lies under water + unplaced
    × under water); the part of an ellipsoid of height h = shortest × axes factor in water of depth d is 3 (d / h)² − 2
    (d / h)³, of a block or broken rock d / h, all of it from d = h on
    Source: Archimedes; segment of an ellipsoid, and prism, geometry
    """
    height = shortest * axes_factor
    parts = sum(_under_water(depth / height, round_form) for depth in depths)
    return share * whole * axes_factor**3 * (parts + unplaced * under_water)


def _under_water(share_of_height: float, round_form: bool) -> float:
    wet = min(max(share_of_height, 0.0), 1.0)
    return wet**2 * (3 - 2 * wet) if round_form else wet


def boulder_cover(plan_share: Ratio, longest: Length, middle: Length, axes_factor: Ratio, boulder_count: Count) -> Area:
    """Water surface that the boulders of a kind take: the plan of each, a share of longest by middle axis.

    Source: area of an ellipse, π/4 of the rectangle round it, or of that rectangle, geometry
    """
    return plan_share * longest * middle * axes_factor**2 * boulder_count


def placed_cover(
    plan_share: Ratio,
    longest: Length,
    middle: Length,
    shortest: Length,
    axes_factor: Ratio,
    depths: tuple[Length, ...],
    unplaced: Count,
) -> Area:
    """Water surface that the boulders of a kind take, of those with a place only where the stone breaks the surface.

    ``depths`` are of the water over what each stands on; ``unplaced`` is the count
    without a place that breaks the surface.

    Working: plan share × longest × middle × axes factor² × (places where the depth is over 0 and less than
        shortest × axes factor, + unplaced)
    Source: area of an ellipse, π/4 of the rectangle round it, or of that rectangle, geometry
    """
    breaking = sum(0 < depth < shortest * axes_factor for depth in depths)
    return plan_share * longest * middle * axes_factor**2 * (breaking + unplaced)


def boulders_overlapping(certain: Count, as_drawn: Count) -> Count:
    """Pairs of placed boulders that stand in one place: certain however they are turned, and as they are drawn.

    Source: geometry: plans on the longest and middle axis, heights on the shortest
    """
    return certain + as_drawn
