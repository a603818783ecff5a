"""Relations of stone: boulders, the ground under them, edging and slings.

A stone lies on its longest and middle axis, so that its width is the middle axis and its height the shortest. A kind
of boulder is all boulders of one size.
"""

import math

from pondkit.core.units import Acceleration, Angle, Area, Count, Density, Length, Mass, Pressure, Ratio, Share, Volume


def box_volume(shape_factor: Ratio, longest: Length, middle: Length, shortest: Length, axes_factor: Ratio) -> Volume:
    """Volume of a stone, as its form fills the box round it.

    ``shape_factor`` is that share of the box; ``axes_factor`` scales all three axes together.

    Source: geometry; share of the box by form
    """
    return shape_factor * longest * middle * shortest * axes_factor**3


def riprap_volume(shape_factor: Ratio, middle: Length, axes_factor: Ratio) -> Volume:
    """Volume of broken rock by its middle axis b alone: W = 0.85 γ b³, where 0.85 is the typical ``shape_factor``.

    Source: fits every row of FHWA FP-14 table 705-1 at 165 lb/ft³ (secondary source) to 2 %
    """
    return shape_factor * middle**3 * axes_factor**3


def boulder_mass(boulder_volume: Volume, density: Density) -> Mass:
    """Mass of one boulder, dry.

    Source: mass = volume × density
    """
    return boulder_volume * density


def boulder_mass_all(boulder_mass: Mass, boulder_count: Count) -> Mass:
    """Mass of all boulders of a kind, each taken at the same size.

    Source: mass of one times the count
    """
    return boulder_mass * boulder_count


def heaviest_boulder(high_masses: tuple[Mass, ...]) -> Mass:
    """Greatest of the high masses: what machine and slings must hold.

    Source: greatest of the boulders' high figures
    """
    return max(high_masses)


def boulder_displaced(boulder_volume: Volume, boulder_count: Count, under_water: Ratio) -> Volume:
    """Water displaced by all boulders of a kind in their pool.

    ``under_water`` is the share of each that lies below the waterline.

    Source: Archimedes: a body displaces its own volume under water
    """
    return boulder_volume * boulder_count * under_water


def placed_displaced(
    shape_factor: Ratio,
    reference_volume: Volume,
    shortest: Length,
    axes_factor: Ratio,
    depths: tuple[Length, ...],
    unplaced: Count,
    under_water: Ratio,
    *,
    ellipsoid: bool,
) -> Volume:
    """Water displaced by the boulders of a kind; by those with a place from the water depth there.

    ``reference_volume`` is the box round a stone, or the cube of its middle axis, whichever the ``shape_factor`` is a
    share of; ``depths`` are those above the base of each stone with a place, negative on dry ground; of each of the
    ``unplaced`` stones the share ``under_water`` counts.

    Working: shape factor × reference volume × axes factor³ × (the sum over places of the part of a stone that lies
    under water + unplaced × under water); the part of an ellipsoid of height h = shortest × axes factor in water of
    depth d is 3 (d / h)² − 2 (d / h)³, of a block or broken rock d / h, all of it from d = h on
    Source: Archimedes; segment of an ellipsoid, and prism, geometry
    """
    height = shortest * axes_factor
    wet_parts = sum(_wet_part(depth / height, ellipsoid) for depth in depths)
    return shape_factor * reference_volume * axes_factor**3 * (wet_parts + unplaced * under_water)


def _wet_part(depth_over_height: float, ellipsoid: bool) -> float:
    """Share of a stone's volume that lies under water."""
    wet_height = min(max(depth_over_height, 0.0), 1.0)
    return wet_height**2 * (3 - 2 * wet_height) if ellipsoid else wet_height


def boulder_cover(plan_share: Ratio, longest: Length, middle: Length, axes_factor: Ratio, boulder_count: Count) -> Area:
    """Water surface covered by the boulders of a kind, all of which break it.

    ``plan_share`` is the plan area of a stone over longest times middle axis.

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
    unplaced_at_surface: Count,
) -> Area:
    """Water surface covered by the boulders of a kind that break it.

    ``plan_share`` is the plan area of a stone over longest times middle axis; ``depths`` are those above the base of
    each stone with a place; ``unplaced_at_surface`` of the others break the surface.

    Working: plan share × longest × middle × axes factor² × (places where the depth is over 0 and less than shortest ×
    axes factor, + unplaced at surface)
    Source: area of an ellipse, π/4 of the rectangle round it, or of that rectangle, geometry
    """
    breaking = sum(0 < depth < shortest * axes_factor for depth in depths)
    return plan_share * longest * middle * axes_factor**2 * (breaking + unplaced_at_surface)


def boulders_overlapping(however_turned: Count, as_drawn: Count) -> Count:
    """Pairs of placed boulders that overlap: those that do however they are turned, and those that do only as drawn,
    with their longest axes eastward.

    Source: geometry: plans on the longest and middle axis, heights on the shortest
    """
    return however_turned + as_drawn


def bearing_allowed(pressure: Pressure) -> Pressure:
    """Allowable bearing pressure of the ground under the stones.

    Source: allowable pressure of undisturbed ground
    """
    return pressure


def bearing_load(high_mass: Mass, stacked_mass: Mass) -> Mass:
    """Load on the ground under one boulder, as a mass: its own, and that of the stones that rest on it.

    Source: sum of the high masses; nothing is taken off for water, as the pool will be drained
    """
    return high_mass + stacked_mass


def contact_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio
) -> Pressure:
    """Contact pressure under the stone, on the ground or on its bedding.

    ``contact_share`` is the area in contact over longest times middle axis.

    Source: pressure = weight / area of contact; the area by the typical axes
    """
    return bearing_load * gravity / (contact_share * longest * middle)


def spread_pressure(
    bearing_load: Mass, gravity: Acceleration, longest: Length, middle: Length, contact_share: Ratio, bedding: Length
) -> Pressure:
    """Pressure on the ground under the bedding, over which the load spreads from a contact area as long for its width
    as the stone.

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
    root of the contact share; zero where the ground bears the stone without bedding
    Source: 2 vertical to 1 horizontal, pressure = Q / ((B + z)(L + z)), solved for z (two engineering pages citing
    Bowles, Das and NAVFAC DM 7.2); no geotextile is credited with spreading the load
    """
    long, wide = math.sqrt(contact_share) * longest, math.sqrt(contact_share) * middle
    return max(0.0, (math.sqrt((long - wide) ** 2 + 4 * bearing_load * gravity / allowed) - long - wide) / 2)


def bearing_use(pressure: Pressure, allowed: Pressure) -> Share:
    """Pressure on the ground over the allowable one.

    Source: no geotextile is credited with spreading the load, and nothing is taken off the weight for water
    """
    return pressure / allowed


def bedding_volume(count: Count, longest: Length, middle: Length, bedding: Length) -> Volume:
    """Compacted bedding under all boulders of a kind, which is the volume dug for it too.

    Each bed is as long and as wide as it spreads the load: wider than the stone by its own thickness.

    Source: geometry
    """
    return count * (longest + bedding) * (middle + bedding) * bedding


def bed_level(dig_level: Length, bedding: Length) -> Length:
    """Base level of the bedding, above the site datum.

    Source: level of the dig at the place, less the bedding
    """
    return dig_level - bedding


def stand_spare(shelf_width: Length, stone_width: Length) -> Length:
    """Width of the shelf or floor under a stone, less that of the stone, which lies lengthwise along the shelf. On a
    face the shelf is 0 wide.

    Source: geometry
    """
    return shelf_width - stone_width


def shelf_spare(to_front: Length, stone_width: Length, bedding: Length, setback: Length) -> Length:
    """Distance left between a stone and the front of its shelf, beyond the load spread of its bedding and the setback.
    The stone lies lengthwise along the shelf.

    ``to_front`` is measured from the middle of the stone.

    Source: geometry; the bedding spreads by half its thickness each way
    """
    return to_front - stone_width / 2 - bedding / 2 - setback


def edging_count(centre_line: Length, along: Length) -> Count:
    """Number of stones of a row.

    Working: centre line of its strip, half a stone's width from the outline, over the length of one stone, rounded up
    Source: geometry
    """
    # A millionth of a stone is rounding in the outline and asks for no further stone.
    return math.ceil(centre_line / along - 1e-6)


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
    """Water displaced by a row inside the outline: its rock below the waterline.

    Working: plan area of the strip × the height of the stones that is below the waterline × (1 − porosity)
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
    """Rated capacity of one sling in the hitch chosen, its legs plumb.

    ``hitch_factor`` is 1 where the tag prints a rating for this hitch, else the share of the vertical rating;
    ``choker_reduction`` is less than 1 only for a choke tighter than the natural one, by the maker's table.

    Source: rating on the sling's tag
    """
    return tag_rating * hitch_factor * choker_reduction


def sling_use(high_mass: Mass, load_share: Ratio, sling_rated: Mass, leg_angle: Angle) -> Share:
    """Tension in the sling that carries most, over its rated capacity.

    Working: high mass of the stone × the share of the load on this sling, over its rating in this hitch × sine of the
    leg angle
    Source: NAVEDTRA 14080, bridle hitch: tension = load share / sine of the angle from the horizontal

    Half of a tonne on each of two slings rated half a tonne, legs at 30°: twice what plumb legs pull.

    >>> round(sling_use(1000, 0.5, 500, 30), 6)
    2.0
    """
    return high_mass * load_share / (sling_rated * math.sin(math.radians(leg_angle)))


def leg_length(lengthwise: Length, crosswise: Length, leg_angle: Angle) -> Length:
    """Length of one leg, from where it leaves the stone up to the hook.

    ``lengthwise`` and ``crosswise`` are the level distances, along and across the stone, from there to below the hook.

    Working: root of the sum of both distances squared, over cosine of the leg angle
    Source: geometry
    """
    return math.hypot(lengthwise, crosswise) / math.cos(math.radians(leg_angle))


def straight_length(leg: Length) -> Length:
    """Sling length for a straight pull: that of the leg.

    Source: geometry
    """
    return leg


def choker_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Sling length for a choker: once round the box of the stone, square to its longest axis, and up to the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return 2 * (middle + shortest) * axes_factor + leg


def basket_length(middle: Length, shortest: Length, axes_factor: Ratio, leg: Length) -> Length:
    """Sling length for a basket: under the box of the stone and up both sides, square to its longest axis, and both
    parts up to the hook.

    Source: geometry; the box is the most that the girth can be
    """
    return (middle + 2 * shortest) * axes_factor + 2 * leg


def sling_to_use(widths_that_hold: tuple[Length, ...]) -> Length:
    """Width of the narrowest sling that may be used, which is the easiest to draw out from under a placed stone.

    Source: least width of the slings that are below the limit, long enough, at hand in number, and protected at edges
    """
    return min(widths_that_hold)


def boulders_no_sling(kinds: Count, with_sling: Count) -> Count:
    """Number of kinds of boulder that none of the slings may lift as rigged.

    Source: count
    """
    return kinds - with_sling
