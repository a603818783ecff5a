"""Relations of the filter: settling chamber, media bed and head loss; ammonia, and the oxygen of pond and filter."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import (
    Acceleration,
    Area,
    ArealRate,
    Concentration,
    Density,
    Flow,
    Length,
    MassRate,
    Ratio,
    SpecificArea,
    Speed,
    Temperature,
    Time,
    Viscosity,
    Volume,
)
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import BED_FAST, BED_OPEN

SMALLEST, LARGEST = 1e-7, 0.02  # m: diameters between which the smallest particle kept is looked for
VISCOUS, INERTIAL = 150.0, 1.75  # Ergun 1952, as printed
MG_A_DAY = 1e-6 / 86400  # kg/s in one milligram a day
# Nitrification in the series reactor that ``ammonia_level`` cites.
MEASURED_AT = 27.2  # °C
MOST_RATE = 1859.0  # mg/m² a day: the rate at a high concentration
LEAST_CONCENTRATION = 0.07  # mg/L: below it nothing is removed
HALF_CONCENTRATION = 1.93  # mg/L: added to the concentration in the denominator


def overflow_rate(flow: Flow, area: Area) -> Speed:
    """Surface overflow rate of the settling chamber: flow over plan area. Particles that settle faster are retained.

    Source: definition; Davidson and Summerfelt 2005 (Aquacultural Engineering 33) ran swirl and radial-flow settlers
    at 4.6 gal/min/ft²
    """
    return flow / area


def settling_velocity(diameter: float, solids: float, water: float, viscosity: float) -> float:
    """Terminal velocity of a sphere in still water [m/s].

    Args:
        diameter: Of the sphere [m].
        solids, water: Densities [kg/m³].
        viscosity: Kinematic, of the water [m²/s].

    Source: drag on a sphere, by the fluids library up to a Reynolds number of a million; Stokes' law where it is slow
    """
    from fluids.drag import v_terminal

    return float(v_terminal(D=diameter, rhop=solids, rho=water, mu=viscosity * water))


def smallest_kept(
    overflow_rate: Speed, working_share: Ratio, solids_density: Density, water_density: Density, viscosity: Viscosity
) -> Length:
    """Smallest particle retained: it settles as fast as the water rises in the effective part of the chamber.

    Working: diameter of the sphere whose terminal velocity, by its drag at that Reynolds number, is the overflow rate
    over the effective share of the chamber
    Source: fluids library, terminal velocity (laws of drag differ by about 3 %)
    """
    from scipy.optimize import brentq

    rate = overflow_rate / working_share

    def excess(log_diameter: float) -> float:
        return math.log(settling_velocity(math.exp(log_diameter), solids_density, water_density, viscosity) / rate)

    least = SMALLEST
    while excess(math.log(least)) > 0:  # a trickle through a large chamber retains finer particles still
        least /= 10
    return math.exp(float(brentq(excess, math.log(least), math.log(LARGEST), xtol=1e-9)))


def sediment_a_day(feed: MassRate, solids: Ratio, dry_part: Density) -> Flow:
    """Volume of sediment collected per unit time.

    Source: feed times the share that settles, over the dry mass in each volume of sediment (user inputs)
    """
    return feed * solids / dry_part


def time_to_clean_out(area: Area, room: Length, sediment: Flow) -> Time:
    """Time until the sediment reaches the clean-out level.

    Source: geometry: area times room over what gathers
    """
    return area * room / sediment


def rise_rate(flow: Flow, area: Area) -> Speed:
    """Superficial velocity of the water rising through the media bed, as if it held no media.

    Source: definition
    """
    return flow / area


def media_volume(area: Area, depth: Length) -> Volume:
    """Bulk volume of the media.

    Source: geometry
    """
    return area * depth


def contact_time(media_volume: Volume, voids: Ratio, flow: Flow) -> Time:
    """Time that the water is between the media.

    Source: volume of the voids over flow
    """
    return media_volume * voids / flow


def media_surface(media_volume: Volume, specific_surface: SpecificArea) -> Area:
    """Surface of all media.

    Source: volume times the surface in each volume
    """
    return media_volume * specific_surface


def media_size(voids: Ratio, media_surface: SpecificArea) -> Length:
    """Equivalent media size: diameter of the sphere with the same ratio of surface to volume as a piece of the media.

    Source: definition: 6 (1 - voids) over the surface in each volume of bed
    """
    return 6 * (1 - voids) / media_surface


@holds(
    lambda rise_rate, media_size, voids, viscosity: rise_rate * media_size / viscosity / (1 - voids) <= 2300, BED_FAST
)
@holds(lambda voids: voids <= 0.6, BED_OPEN)
def media_loss(
    rise_rate: Speed, media_depth: Length, voids: Ratio, media_size: Length, viscosity: Viscosity, gravity: Acceleration
) -> Length:
    """Head loss of the media bed.

    Working: (150 viscosity (1 - voids)² rise rate / size² + 1.75 (1 - voids) rise rate² / size) × depth / (g voids³)
    Source: Ergun, Fluid flow through packed columns, Chem. Eng. Prog. 48 (1952), 89
    """
    return ergun(media_depth, voids, media_size, viscosity, gravity).loss(rise_rate)[0]


def maker_loss(rise_rate: Speed, maker_loss: Length, maker_rate: Speed) -> Length:
    """Head loss of the media bed, from its manufacturer's figure.

    Source: maker's figure (user input), in proportion to the square of the rise rate
    """
    return maker_loss * (rise_rate / maker_rate) ** 2


def passage_velocity(flow: Flow, passage_area: Area) -> Speed:
    """Velocity in the opening between the filter's bodies.

    Source: conservation of mass
    """
    return flow / passage_area


def passage_loss(passage_velocity: Speed, discharge_coefficient: Ratio, gravity: Acceleration) -> Length:
    """Head loss of the opening between the filter's two bodies.

    Source: orifice Q = C A √(2 g h) with C 0.6 for a sharp edge, Ontario LID planning and design guide
    """
    return (passage_velocity / discharge_coefficient) ** 2 / (2 * gravity)


def filter_running_level(level: Length, filter_loss: Length) -> Length:
    """Level of the filter's first body while the water runs, to which the pumps lift.

    Source: level of its last body, and the head that is taken between
    """
    return level + filter_loss


def ergun(depth: float, voids: float, size: float, viscosity: float, gravity: float) -> Resistance:
    """Head loss of a bed by Ergun's formula, as linear and square coefficients over the rise rate [m/s].

    Args:
        depth: Of the bed [m].
        voids: Share of its volume.
        size: Diameter of a piece of the media [m].
        viscosity: Kinematic, of the water [m²/s].
        gravity: [m/s²].
    """
    common = depth / (gravity * voids**3)
    return Resistance(
        0.0, VISCOUS * viscosity * (1 - voids) ** 2 / size**2 * common, INERTIAL * (1 - voids) / size * common
    )


def ammonia_made(feed: MassRate, protein: Ratio, ammonia_share: Ratio, waste: MassRate) -> MassRate:
    """Ammonia nitrogen added to the water, by the feed of water-breathers and the waste of air-breathers.

    Source: feed times protein times a share (Timmons); waste: user input
    """
    return feed * protein * ammonia_share + waste


def temperature_factor(temperature: float, per_degree: float) -> float:
    """Nitrification rate at a temperature [°C] over that at 27.2 °C; ``per_degree``: factor for each degree."""
    return float(per_degree ** (temperature - MEASURED_AT))


def ammonia_removed(
    media_surface: Area, removal_rate: ArealRate, temperature: Temperature, per_degree: Ratio
) -> MassRate:
    """Ammonia nitrogen that the media can remove.

    Working: surface times rate per area, times the factor per degree to the power of the degrees from 27.2 °C, as the
    rates are of warm water
    Source: surface times rate per area; temperature factor by its own source
    """
    return media_surface * removal_rate * temperature_factor(temperature, per_degree)


def ammonia_level(
    ammonia_made: MassRate, media_surface: Area, flow: Flow, temperature: Temperature, per_degree: Ratio
) -> Concentration:
    """Ammonia nitrogen concentration of the pond at which removal equals production.

    Working: the concentration S behind the media at which 1859 (S - 0.07) / (S + 1.93) mg a day on each m², times the
    factor per degree to the power of the degrees from 27.2 °C, removes all that is made; and to it what is made, over
    the flow through the filter. No other removal is counted
    Source: nitrification kinetics of a series reactor at 27.2 °C (abstract; its units, mg/m² a day, from memory, agree
    with the removal rates printed elsewhere), conservation of nitrogen
    """
    rate = ammonia_made / MG_A_DAY / media_surface / temperature_factor(temperature, per_degree)
    return _behind_media(rate) + ammonia_made / flow


def _behind_media(rate: float) -> float:
    """Concentration of the water that leaves the media [kg/m³] at a removal rate [mg/m² a day]. Infinite if the media
    cannot remove that much.
    """
    if rate >= MOST_RATE:
        return math.inf
    return (LEAST_CONCENTRATION * MOST_RATE + HALF_CONCENTRATION * rate) / (MOST_RATE - rate) / 1000


def free_share(ph: Ratio, temperature: Temperature) -> Ratio:
    """Free (un-ionised) share of the ammonia.

    Working: 1 / (1 + 10^(pKa - pH)) with pKa = 0.09018 + 2729.92 / T in kelvin
    Source: Emerson et al. 1975
    """
    return 1 / (1 + 10 ** (0.09018 + 2729.92 / (temperature + 273.15) - ph))


def free_ammonia(ammonia_level: Concentration, free_share: Ratio) -> Concentration:
    """Free (un-ionised) ammonia of the pond, as nitrogen.

    Source: definition
    """
    return ammonia_level * free_share


def ammonia_carried(
    free_limit: Concentration,
    free_share: Ratio,
    media_surface: Area,
    flow: Flow,
    removal_rate: ArealRate,
    temperature: Temperature,
    per_degree: Ratio,
) -> MassRate:
    """Ammonia nitrogen a day that the filter can treat with the free ammonia at its limit.

    Working: what may be made until the pond's concentration, by the same kinetics and flow, is the limit over the free
    share; at most what the media remove by the printed rates, as above about 1 mg/L a higher concentration brings no
    more
    Source: the pond's concentration, solved for what is made; no further gain above about 1 mg/L: Ebeling and Wheaton
    2006
    """
    from scipy.optimize import brentq

    most_allowed = free_limit / free_share
    factor = temperature_factor(temperature, per_degree)
    most_removed = MOST_RATE * MG_A_DAY * media_surface * factor * (1 - 1e-9)
    if _behind_media(0.0) >= most_allowed:
        return 0.0

    def excess(production: float) -> float:
        return _behind_media(production / MG_A_DAY / media_surface / factor) + production / flow - most_allowed

    production_at_limit = float(brentq(excess, 0.0, most_removed, xtol=1e-15, rtol=1e-10))
    return min(production_at_limit, ammonia_removed(media_surface, removal_rate, temperature, per_degree))


def feed_carried(ammonia_carried: MassRate, waste: MassRate, protein: Ratio, ammonia_share: Ratio) -> MassRate:
    """Feed a day that the filter can treat beside the waste of air-breathers; zero if that alone is too much.

    Source: the ammonia made, solved for the feed
    """
    # 0 of the same unit: the printed formula is checked with units.
    return max(ammonia_carried - waste, 0 * waste) / (protein * ammonia_share)


def nitrification_oxygen(ammonia_made: MassRate, oxygen_share: Ratio) -> MassRate:
    """Oxygen that turning all ammonia to nitrate uses.

    Source: stoichiometry
    """
    return ammonia_made * oxygen_share


def alkalinity_used(ammonia_made: MassRate, alkalinity_share: Ratio) -> MassRate:
    """Alkalinity, as calcium carbonate, that turning all ammonia to nitrate uses.

    Source: stoichiometry
    """
    return ammonia_made * alkalinity_share


def oxygen_used(respiration: MassRate, nitrification: MassRate) -> MassRate:
    """Oxygen used in the pond and its filter.

    Source: sum of respiration (user input) and nitrification
    """
    return respiration + nitrification


def oxygen_at_balance(
    saturation: Concentration, used: MassRate, production: MassRate, aerated_by_falls: Flow, aerated_by_surface: Flow
) -> Concentration:
    """Oxygen concentration of the pumped water at which as much is taken up as is used. Above saturation, by day,
    oxygen is given off; below zero, more is used than falls and surface can bring.

    Source: conservation of oxygen: falls and surface take up oxygen in proportion to the deficit, as if they brought
    these flows to saturation
    """
    return saturation - (used - production) / (aerated_by_falls + aerated_by_surface)


def oxygen_time(volume: Volume, aerated_by_falls: Flow, aerated_by_surface: Flow) -> Time:
    """Time until oxygen has come 95 % of the way from one equilibrium to the next, as from day to night.

    Working: -ln(0.05) × volume / (flow that the falls aerate + flow that the surface aerates), both as if brought to
    saturation
    Source: conservation of oxygen in fully mixed water, a first-order change
    """
    return -math.log(0.05) * volume / (aerated_by_falls + aerated_by_surface)
