"""Relations of stone: boulders, bearing, edging and slings."""

import math

from pondkit.core.units import Acceleration, Angle, Area, Count, Density, Length, Mass, Pressure, Ratio, Share, Volume


def box_volume(share: Ratio, longest: Length, middle: Length, shortest: Length, axes_factor: Ratio) -> Volume:
    """Volume of a stone as a share of its bounding box. ``axes_factor`` scales all three axes together.

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
    """Mass of all boulders of a kind, all taken at one size.

    Source: mass of one times the count
    """
    return boulder_mass * boulder_count


def heaviest_boulder(high_masses: tuple[Mass, ...]) -> Mass:
    """Greatest of the high masses, which machine and slings must hold.

    Source: greatest of the boulders' high figures
    """
    return max(high_masses)


def boulder_displaced(boulder_volume: Volume, boulder_count: Count, under_water: Ratio) -> Volume:
    """Water displaced by all boulders of a kind in their pool; ``under_water``: share of each below the level.

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
    """Water displaced by the boulders of a kind; for placed ones from the depth at their place.

    A stone lies on its longest and middle axes, with the shortest vertical. ``whole``: reference volume for ``share``;
    ``depths``: water depth above the base of each, negative on dry ground.

    Working: share × whole × axes factor³ × (the sum over places of the part of a stone that lies under water +
    unplaced × under water); the part of an ellipsoid of height h = shortest × axes factor in water of depth d is 3 (d
    / h)² − 2 (d / h)³, of a block or broken rock d / h, all of it from d = h on
    Source: Archimedes; segment of an ellipsoid, and prism, geometry
    """
    height = shortest * axes_factor
    parts = sum(_under_water(depth / height, round_form) for depth in depths)
    return share * whole * axes_factor**3 * (parts + unplaced * under_water)


def _under_water(share_of_height: float, round_form: bool) -> float:
    wet = min(max(share_of_height, 0.0), 1.0)
    return wet**2 * (3 - 2 * wet) if round_form else wet


def boulder_cover(plan_share: Ratio, longest: Length, middle: Length, axes_factor: Ratio, boulder_count: Count) -> Area:
    """Water surface covered by the boulders of a kind: plan of each, a share of longest by middle axis.

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
    """Water surface covered by the boulders of a kind; placed ones count only if they break the surface.

    ``depths``: water depth above the base of each; ``unplaced``: number without a place that break the surface.

    Working: plan share × longest × middle × axes factor² × (places where the depth is over 0 and less than shortest ×
    axes factor, + unplaced)
    Source: area of an ellipse, π/4 of the rectangle round it, or of that rectangle, geometry
    """
    breaking = sum(0 < depth < shortest * axes_factor for depth in depths)
    return plan_share * longest * middle * axes_factor**2 * (breaking + unplaced)


def boulders_overlapping(certain: Count, as_drawn: Count) -> Count:
    """Pairs of placed boulders that overlap: certainly, whatever their rotation, and as entered.

    Source: geometry: plans on the longest and middle axis, heights on the shortest
    """
    return certain + as_drawn


def bearing_allowed(pressure: Pressure) -> Pressure:
    """Allowable bearing pressure.

    Source: allowable pressure of undisturbed ground
    """
    return pressure


def bearing_load(high_mass: Mass, stacked_mass: Mass) -> Mass:
    """Load on the ground under one boulder, as mass: its own and that of stones resting on it.

    Source: sum of the high masses; nothing is taken off for water, as the pool will be drained
    """
    return high_mass + stacked_mass


def contact_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio
) -> Pressure:
    """Contact pressure under the stone, or under its bedding.

    Source: pressure = weight / area of contact; the area by the axes as entered
    """
    return bearing_load * gravity / (contact_share * longest * middle)


def spread_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio, bedding: Length
) -> Pressure:
    """Pressure on the ground under the bedding; the contact area has the stone's own proportions.

    Source: 2 vertical to 1 horizontal, pressure = Q / ((B + z)(L + z)) (two engineering pages citing Bowles, Das and
    NAVFAC DM 7.2)
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
    """Least thickness of bedding at which the pressure on the ground is allowable.

    Working: z from (B + z)(L + z) = bearing load × gravity / allowed, where B and L are middle and longest times the
    root of the contact share; nothing where it holds without
    Source: 2 vertical to 1 horizontal, pressure = Q / ((B + z)(L + z)), solved for z (two engineering pages citing
    Bowles, Das and NAVFAC DM 7.2); no geotextile is credited with spreading the load
    """
    long, wide = math.sqrt(contact_share) * longest, math.sqrt(contact_share) * middle
    return max(0.0, (math.sqrt((long - wide) ** 2 + 4 * bearing_load * gravity / allowed) - long - wide) / 2)


def bearing_use(pressure: Pressure, allowed: Pressure) -> Share:
    """Bearing, percent of allowable: pressure on the ground over the allowable one.

    Source: pressure on the ground over the allowable one; no geotextile is credited with spreading the load, and
    nothing of the weight is left to the water
    """
    return pressure / allowed


def bedding_volume(count: Count, longest: Length, middle: Length, bedding: Length) -> Volume:
    """Compacted bedding under all boulders of a kind, equal to its excavation; as wide as it spreads the load.

    Source: geometry
    """
    return count * (longest + bedding) * (middle + bedding) * bedding


def bed_level(dig_level: Length, bedding: Length) -> Length:
    """Base level of the bedding, above the site datum.

    Source: level of the dig at the place less the bedding
    """
    return dig_level - bedding


def stand_spare(width: Length, middle: Length) -> Length:
    """Shelf width to spare: width of the level part under a stone, less that of the stone, which lies lengthwise along
    it; on a face there is none.

    Source: geometry
    """
    return width - middle


def shelf_spare(to_front: Length, middle: Length, bedding: Length, set_back: Length) -> Length:
    """Distance to spare between stone, load spread of its bedding and setback, and the front of its shelf; the stone
    lies along the shelf.

    Source: geometry; the bedding spreads by half its thickness each way
    """
    return to_front - middle / 2 - bedding / 2 - set_back


def edging_count(middle_line: Length, along: Length) -> Count:
    """Stones of a row: centre line of its strip over the length of one stone, rounded up.

    Working: centre line of the strip, half a stone's width from the outline, over the length of one stone, rounded up
    Source: geometry
    """
    # A millionth of a stone is rounding in the outline, no stone more.
    return math.ceil(middle_line / along - 1e-6)


def edging_mass(
    edging_count: Count, along: Length, across: Length, height: Length, porosity: Ratio, density: Density
) -> Mass:
    """Dry mass of a row as bought: bulk volume of its stones less voids, times the density of the rock.

    Source: bulk density = density of the rock × (1 − porosity), definition of porosity as voids over bulk volume
    """
    return edging_count * along * across * height * (1 - porosity) * density


def edging_displaced(
    strip_area: Area, base_level: Length, height: Length, water_level: Length, porosity: Ratio
) -> Volume:
    """Water displaced by a row inside the outline: its rock below the level.

    Working: plan area of the strip × the height of the stones that is below the level × (1 − porosity)
    Source: Archimedes; definition of porosity as voids over bulk volume
    """
    return strip_area * min(max(water_level - base_level, 0.0), height) * (1 - porosity)


def edging_cover(strip_area: Area) -> Area:
    """Water surface covered by a row inside the outline.

    Working: plan area between the outline and the outline moved inward by the width of the row
    Source: geometry
    """
    return strip_area


def sling_rated(tag_rating: Mass, hitch_factor: Ratio, choker_reduction: Ratio) -> Mass:
    """Rated capacity of one sling in this hitch, legs vertical.

    ``hitch_factor`` is 1 if the tag prints a rating for this hitch, which is then not reduced a second time.

    Source: rating on the sling's tag
    """
    return tag_rating * hitch_factor * choker_reduction


def sling_use(high_mass: Mass, load_share: Ratio, sling_rated: Mass, leg_angle: Angle) -> Share:
    """Tension in the most heavily loaded sling, over its rated capacity.

    Working: high mass of the stone × the share of the load on this sling, over its rating in this hitch × sine of the
    leg angle
    Source: NAVEDTRA 14080, bridle hitch: tension = load share / sine of the angle from the horizontal

    Half of a tonne on each of two slings rated half a tonne, legs at 30°: twice what plumb legs pull.

    >>> round(sling_use(1000, 0.5, 500, 30), 6)
    2.0
    """
    return high_mass * load_share / (sling_rated * math.sin(math.radians(leg_angle)))


def leg_length(lengthwise: Length, crosswise: Length, leg_angle: Angle) -> Length:
    """Length of one leg, from the stone up to the hook; the two distances are horizontal, from below the hook to its
    foot.

    Working: root of the sum of both distances squared, over cosine of the leg angle
    Source: geometry
    """
    return math.hypot(lengthwise, crosswise) / math.cos(math.radians(leg_angle))


def straight_length(leg: Length) -> Length:
    """Sling length for a straight pull: the leg itself.

    Source: geometry
    """
    return leg


def choker_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Sling length for a choker: once round the stone's box, across its longest axis, and up to the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return 2 * (middle + shortest) * axes_factor + leg


def basket_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Sling length for a basket: under the stone's box and up both sides, across its longest axis, both parts up to
    the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return (middle + 2 * shortest) * axes_factor + 2 * leg


def sling_to_use(widths_that_hold: tuple[Length, ...]) -> Length:
    """The narrowest sling that holds, which is the easiest to remove from under a placed stone.

    Source: least of the widths of the slings below the limit, long enough, enough of them, with their edges protected
    """
    return min(widths_that_hold)


def boulders_no_sling(kinds: Count, with_sling: Count) -> Count:
    """Number of kinds of boulder that no sling holds.

    Source: count
    """
    return kinds - with_sling
