"""Relations of what is bought for a liner: rolls, panels, seams, offcuts."""

from pondkit.core.entry import holds, rounded_up
from pondkit.core.units import (
    Area,
    Count,
    Density,
    Length,
    Mass,
    Money,
    PriceEach,
)
from pondkit.trades.liner.cautions import PANEL_TOO_HEAVY, SEAM_UNDER_WATER


def plan_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the rolls that make the liner up, the least over both directions and every mix of them.

    Working: sum of rolls times their prices
    Source: search over every mix of strips, each kind's joined end to end from what its rolls leave, neighbours' joins
    apart; prices: user input
    """
    return sum(count * price for count, price in zip(rolls, prices, strict=True))


def fewest_seams_cost(rolls: tuple[Count, ...], prices: tuple[PriceEach, ...]) -> Money:
    """Cost of the rolls that make the liner up with the least length of seams.

    Working: sum of rolls times their prices
    Source: search over every mix of strips in both directions, the cheapest of those with as little seam; prices: user
    input
    """
    return sum(count * price for count, price in zip(rolls, prices, strict=True))


def fewest_seams_pieces(pieces: Count) -> Count:
    """Panels of that plan.

    Source: the plan with the least length of seams
    """
    return pieces


def fewest_seams_length(seams: Length) -> Length:
    """Length of all its seams.

    Source: the plan with the least length of seams
    """
    return seams


def rolls_to_buy(rolls: Count) -> Count:
    """Rolls or sheets of this kind to buy.

    Source: the cheapest cutting plan
    """
    return rolls


def panel_area(along: Length, across: Length) -> Area:
    """Area of a panel as it is cut, laps among it.

    Source: geometry
    """
    return along * across


def panel_mass(thickness: Length, density: Density, area: Area) -> Mass:
    """Mass of a panel.

    Source: geometry; thickness as printed: ASTM D4637 admits 10 % less than nominal (UFGS 07530 text); its range and
    density's: user input
    """
    return thickness * density * area


@holds(lambda mass, carry: mass <= 4 * carry, PANEL_TOO_HEAVY)
def panel_carriers(mass: Mass, carry: Mass) -> Count:
    """People who carry a panel at the load each is asked to carry.

    Source: load per person: user input
    """
    return rounded_up(mass / carry)


def seam_run(run: Length) -> Length:
    """Length of one seam.

    Source: geometry
    """
    return run


@holds(lambda at_rest, water_rise: at_rest + water_rise <= 1e-9, SEAM_UNDER_WATER)
def seam_under_water(at_rest: Length, water_rise: Length) -> Length:
    """Greatest depth of a seam under the highest water; negative above it.

    Source: geometry of the sheet over the liner's surface; highest water over rest: user input
    """
    return at_rest + water_rise


def offcut_area(along: Length, across: Length) -> Area:
    """Area of a piece that is left over.

    Source: geometry
    """
    return along * across
