"""Relations of the animals' requirements: what the design gives less what is wanted, met at 0 or more."""

from pondkit.core.entry import keeps
from pondkit.core.units import Area, Count, Length, Ratio
from pondkit.trades.animals import cautions as warn


@keeps(warn.BORE_TOO_NARROW)
def bore_margin(clear_bore: Length, clear_way_wanted: Length) -> Length:
    """Clear width to spare: narrowest clear bore less the clear width required.

    Source: the requirement: user input
    """
    return clear_bore - clear_way_wanted


@keeps(warn.SWIM_TOO_LONG)
def swim_margin(longest_wanted: Length, swim: Length) -> Length:
    """Longest swim allowed, less the swim.

    Source: the requirement: user input
    """
    return longest_wanted - swim


@keeps(warn.DEEP_AREA_TOO_SMALL)
def area_margin(deep_areas: tuple[Area, ...], too_deep_areas: tuple[Area, ...], area_wanted: Area) -> Area:
    """Plan area deep enough at the lowest water and not too deep at the highest, less the area required. The areas too
    deep are those among the areas deep enough.

    Source: the areas: geometry, pool by pool; the requirement: user input
    """
    return sum(deep_areas) - sum(too_deep_areas) - area_wanted


@keeps(warn.WATER_TOO_SHALLOW)
def depth_margin(greatest_depth: Length, water_fall: Length, ice: Length, depth_wanted: Length) -> Length:
    """Depth of water below the ice at the deepest place at the lowest water, less the depth required.

    Source: geometry; ice and requirement: user input
    """
    return greatest_depth - water_fall - ice - depth_wanted


@keeps(warn.BANK_TOO_STEEP)
def bank_margin(least_slope: Ratio, slope_wanted: Ratio) -> Ratio:
    """Batter of the steepest part of a bank between the lowest water and the rim, less the steepest allowed
    (horizontal to 1 vertical).

    Source: geometry; the requirement: user input, on a bare liner no steeper than you allow it
    """
    return least_slope - slope_wanted


@keeps(warn.TOO_FEW_WAYS_OUT)
def ways_margin(ways: Count, all_round: Count, ways_wanted: Count) -> Count:
    """Number of ways out that count, less the number required; a bank that can be climbed all round meets any number.

    Source: counted; the requirement: user input
    """
    return ways + all_round * ways_wanted - ways_wanted


@keeps(warn.ENTRANCE_MISPLACED)
def entrance_margin_below(
    level: Length, water_fall: Length, mouth_level: Length, bore: Length, depth_wanted: Length
) -> Length:
    """Depth of a mouth's crown below the lowest water, less the depth required.

    Source: geometry; the requirement: user input
    """
    return level - water_fall - (mouth_level + bore / 2) - depth_wanted


@keeps(warn.ENTRANCE_MISPLACED)
def entrance_margin_above(mouth_level: Length, bore: Length, level: Length, water_rise: Length) -> Length:
    """Height of a mouth's invert above the highest water.

    Source: geometry; the requirement: user input
    """
    return mouth_level - bore / 2 - (level + water_rise)


def mouth_clear_of_ice(mouth_level: Length, bore: Length, ice: Length, lowest: Length, highest: Length) -> Length:
    """Height of a mouth left open by ice, in water or in air, at the water level that leaves least of it.

    Working: ice reaches from the water's level down by its thickness; the height left open is the taller of the part of
    the bore below it and the part above the water. That is least with the ice in the middle of the bore, or as near to
    it as the water comes between lowest and highest.
    Source: geometry; the ice: user input
    """
    level = min(max(mouth_level + ice / 2, lowest), highest)
    above, below = mouth_level + bore / 2 - level, level - ice - (mouth_level - bore / 2)
    return min(max(above, below, 0 * bore), bore)


@keeps(warn.MOUTH_UNDER_ICE_TOO_LOW)
def ice_margin(clear_of_ice: Length, clear_way_wanted: Length) -> Length:
    """Height of a mouth left open by ice, less the clear width required.

    Source: the requirement: user input
    """
    return clear_of_ice - clear_way_wanted


@keeps(warn.TOO_FEW_EXITS)
def exits_margin(mouths: Count, mouths_wanted: Count) -> Count:
    """Number of mouths a den is connected to, less the number required.

    Source: counted; the requirement: user input
    """
    return mouths - mouths_wanted


@keeps(warn.DEN_TOO_WET)
def dry_margin(floor_above_water: Length, dryness_wanted: Length) -> Length:
    """Height of a den's floor above the highest water, less the height required.

    Source: the requirement: user input
    """
    return floor_above_water - dryness_wanted


@keeps(warn.FENCE_TOO_SMALL)
def fence_margin(planned: Length, required: Length) -> Length:
    """Planned dimension of the fence less that required; nothing planned counts as 0.

    Source: both: user input
    """
    return planned - required


def failed(fails: tuple[Count, ...]) -> Count:
    """Number of requirements that are not met.

    Source: counted over the requirements checked
    """
    return sum(fails)


def not_checked(demands: tuple[Count, ...]) -> Count:
    """Number of requirements that could not be checked.

    Source: counted over the requirements entered
    """
    return sum(demands)
