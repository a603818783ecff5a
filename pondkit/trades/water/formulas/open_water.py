"""Relations of open water: crests, falls and their oxygen, channels, levels with the pumps on and off; and of the
year's water: rain and overflow, filling, evaporation, make-up, leaks, turnover, doses.
"""

import math
from dataclasses import dataclass

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import holds
from pondkit.core.units import (
    Acceleration,
    Area,
    Concentration,
    Density,
    Flow,
    FlowPerWidth,
    HeatFlux,
    HeatPerMass,
    Length,
    Mass,
    Ratio,
    Speed,
    Temperature,
    Time,
    Volume,
)
from pondkit.trades.water.cautions import CHANNEL_STEEP, CREST_NARROW, DROP_HIGH, FALL_DROWNED

NARROWEST = 4.0  # least width over head: Francis' form for contracted ends is given for crests of 4 to 8 heads
ROUNDS = 60  # at most, to the head over a contracted crest
SHARP_EDGE = 0.6  # discharge coefficient of an orifice: Ontario LID planning and design guide, flow through riser
KM_A_DAY = 1000 / 86400  # m/s
CM_A_DAY = 0.01 / 86400  # m/s


def effective_width(head: float, width: float, contraction: float) -> float:
    """Effective width of a crest [m]: its width less the contraction of the stream at its ends.

    Args:
        head: Over the crest [m].
        width: Of the crest [m].
        contraction: Width lost at both ends together, per unit of head; 0 between side walls.

    Source: Francis, L - 0.2 H with both ends contracted; for a head above the width, the loss is that at the width
    """
    return width - contraction * min(max(head, 0.0), width)


def crest_flow(head: float, width: float, coefficient: float, contraction: float = 0.0) -> float:
    """Flow over a level crest [m³/s]: coefficient · √g · effective width · head^1.5; 0 if the water is below the crest.

    Args:
        head, width, contraction: As for ``effective_width``.
        coefficient: Discharge coefficient C in Q = C √g b h^1.5 [-].
    """
    effective = effective_width(head, width, contraction)
    return float(coefficient * math.sqrt(GRAVITY) * effective * max(head, 0.0) ** 1.5)


def crest_head(flow: float, width: float, coefficient: float, contraction: float) -> float:
    """Head over a crest [m] at which it passes a flow [m³/s]; the other way round of ``crest_flow``."""
    product = max(flow, 0.0) / (coefficient * math.sqrt(GRAVITY))
    head = float((product / width) ** (2 / 3))
    for _ in range(ROUNDS if contraction else 0):
        before, head = head, float((product / effective_width(head, width, contraction)) ** (2 / 3))
        if abs(head - before) <= 1e-15:
            break
    return head


@holds(
    lambda flow, width, coefficient, contraction: (
        contraction == 0 or width >= NARROWEST * crest_head(flow, width, coefficient, contraction)
    ),
    CREST_NARROW,
)
def head_over_crest(flow: Flow, width: Length, coefficient: Ratio, contraction: Ratio) -> Length:
    """Height of the water over the crest, upstream of where it draws down.

    Working: the head h at which coefficient √g (width - contraction h) h^1.5 is the flow, approach velocity left out
    Source: weir formula Q = C √g b h^1.5, ends as Francis gives them
    """
    return crest_head(flow, width, coefficient, contraction)


def flow_per_width(flow: Flow, width: Length) -> FlowPerWidth:
    """Flow per unit length of crest.

    Source: conservation of mass
    """
    return flow / width


@holds(lambda drop: drop <= 4.5, DROP_HIGH)
@holds(lambda drop: drop >= 0.0, FALL_DROWNED)
def deficit_ratio(a: Ratio, b: Ratio, drop: Length, temperature: Temperature) -> Ratio:
    """Deficit ratio of one drop: oxygen deficit above it over the deficit below it.

    Working: 1 + 0.38 a b h (1 - 0.11 h) (1 + 0.046 T), with the drop h in metres and T in °C
    Source: Water Research Laboratory 1973, as Butts and Evans 1983 give it
    """
    h = max(drop, 0.0)
    return 1 + 0.38 * a * b * h * (1 - 0.11 * h) * (1 + 0.046 * temperature)


def oxygen_saturation(temperature: Temperature, altitude: Length) -> Concentration:
    """Saturation concentration of oxygen in fresh water, at its temperature and altitude.

    Working: Benson and Krause's formula in kelvin at one atmosphere, times the pressure correction for vapour and for
    the standard atmosphere's pressure at the altitude
    Source: Benson and Krause, as adopted by APHA (SWAT+ theoretical documentation); standard atmosphere, ISO 2533
    """
    t, kelvin = temperature, temperature + 273.15
    at_sea = math.exp(
        -139.34411 + 1.575701e5 / kelvin - 6.642308e7 / kelvin**2 + 1.243800e10 / kelvin**3 - 8.621949e11 / kelvin**4
    )
    pressure = (1 - 0.0065 * altitude / 288.15) ** 5.25588  # in atmospheres
    vapour = math.exp(11.8571 - 3840.70 / kelvin - 216961 / kelvin**2)
    theta = 9.75e-4 - 1.426e-5 * t + 6.436e-8 * t**2
    share = (1 - vapour / pressure) * (1 - theta * pressure) / ((1 - vapour) * (1 - theta))
    return float(at_sea * pressure * share / 1000)


def oxygen_below(
    saturation: Concentration, oxygen_above: Concentration, deficit_ratio: Ratio, steps: Ratio
) -> Concentration:
    """Oxygen below the last of several equal drops.

    Source: definition of the deficit ratio, one drop after the other
    """
    return saturation - (saturation - oxygen_above) / deficit_ratio**steps  # type: ignore[no-any-return]


def mixed(concentrations: tuple[float, ...], flows: tuple[float, ...]) -> float:
    """Concentration in a pool that several inflows mix in: their mean, weighted by flow. What the pool itself adds or
    uses is left out.
    """
    return sum(c * q for c, q in zip(concentrations, flows, strict=True)) / sum(flows)


def link_flow(level: Length, crest_level: Length, width: Length, coefficient: Ratio, contraction: Ratio) -> Flow:
    """Flow over the crest of a link with all flows in equilibrium.

    Working: coefficient √g (width - contraction h) h^1.5 with h = level - crest level, at the level at which the crests
    of the pool together pass its inflow
    Source: weir formula Q = C √g b h^1.5, ends as Francis gives them

    0.1 m of water over 1 m of crest, its ends not contracted:

    >>> round(link_flow(0.1, 0.0, 1.0, 0.6, 0.0), 4)
    0.0594
    """
    return crest_flow(level - crest_level, width, coefficient, contraction)


def link_drop(upper_level: Length, lower_level: Length) -> Length:
    """Drop from the running water level above the link to that below it.

    Source: geometry
    """
    return upper_level - lower_level


def step_drop(link_drop: Length, steps: Ratio) -> Length:
    """Height of each of the equal steps.

    Source: geometry
    """
    return link_drop / steps


@dataclass(frozen=True)
class FlowSection:
    """Cross-section of the flow in a trapezoidal channel: area [m²], wetted perimeter and width of the surface [m]."""

    area: float
    perimeter: float
    top: float


def flow_section(depth: float, bed_width: float, side_batter: float) -> FlowSection:
    """Cross-section of the flow in a trapezoidal channel.

    Args:
        depth: Of the water [m].
        bed_width: Of the bed [m].
        side_batter: Of both sides, horizontal per vertical.
    """
    return FlowSection(
        depth * (bed_width + side_batter * depth),
        bed_width + 2 * depth * (1 + side_batter**2) ** 0.5,
        bed_width + 2 * side_batter * depth,
    )


def channel_slope(link_drop: Length, channel_length: Length) -> Ratio:
    """Slope of the bed, if it takes up the whole drop of the link evenly over its length.

    Source: geometry
    """
    return link_drop / channel_length


@holds(lambda channel_slope: channel_slope <= 0.1, CHANNEL_STEEP)
def channel_depth(flow: Flow, bed_width: Length, side_batter: Ratio, channel_slope: Ratio, roughness: Ratio) -> Length:
    """Normal depth of uniform flow in the channel.

    Working: depth at which area^(5/3) / wetted perimeter^(2/3) × √slope / n is the flow, in metres and seconds;
    area = depth × (bed width + side batter × depth), wetted perimeter = bed width + 2 depth √(1 + side batter²)
    Source: Manning's formula (Chow 1959, Open-Channel Hydraulics)
    """

    from scipy.optimize import brentq

    def excess(depth: float) -> float:
        section = flow_section(depth, bed_width, side_batter)
        return float(section.area ** (5 / 3) / section.perimeter ** (2 / 3) * channel_slope**0.5 / roughness - flow)

    high = 0.05
    while excess(high) < 0:
        high *= 2
    return float(brentq(excess, 0.0, high, xtol=1e-12))


def channel_velocity(flow: Flow, channel_depth: Length, bed_width: Length, side_batter: Ratio) -> Speed:
    """Mean velocity in the channel.

    Source: conservation of mass
    """
    return flow / (channel_depth * (bed_width + side_batter * channel_depth))


def channel_froude(
    flow: Flow, channel_depth: Length, bed_width: Length, side_batter: Ratio, gravity: Acceleration
) -> Ratio:
    """Froude number of the channel: velocity over that of a small wave. Above 1 the flow is supercritical.

    Working: velocity / √(g area / width of the surface)
    Source: definition (Chow 1959, Open-Channel Hydraulics)
    """
    section = flow_section(channel_depth, bed_width, side_batter)
    return float(flow / section.area / (gravity * section.area / section.top) ** 0.5)


def channel_freeboard(bank_height: Length, channel_depth: Length) -> Length:
    """Freeboard of the channel: height of its bank above the water.

    Source: geometry
    """
    return bank_height - channel_depth


def running_level(crest_level: Length, rise: Length) -> Length:
    """Level of a pool's water while the pumps run, above the site datum.

    Source: level of its lowest crest, and the head that passes the flow over its crests
    """
    return crest_level + rise


def lowest_running_level(level: Length, drawdown: Length) -> Length:
    """Level of the pool that the pumps draw from while they run, if it was full at rest and has not been topped up
    since.

    Source: conservation of volume
    """
    return level - drawdown


def water_in_transit(surface_area: Area, rise: Length) -> Volume:
    """Water stored above a pool's crest while the pumps run, which runs down when they stop.

    Source: geometry, banks taken as upright over the small change of level
    """
    return surface_area * rise


def drains_back(surface_area: Area, water_level: Length, open_end: Length) -> Volume:
    """Water that runs back through a branch when the pumps stop: all above the level of its open end.

    Source: geometry, sides taken as upright
    """
    return surface_area * (water_level - open_end)


def pipe_drains(bore: Length, length: Length) -> Volume:
    """Water in a line that drains back when the pumps stop. All of the line is counted, as if it lay above the water
    that the pumps draw from.

    Source: geometry
    """
    return math.pi / 4 * bore**2 * length


def drawdown(return_volume: Volume, surface_area: Area) -> Length:
    """Drawdown of the pool that the pumps draw from when they start: all water in transit comes out of it.

    Source: conservation of volume, banks taken as upright over the small change of level
    """
    return return_volume / surface_area


def level_after_stop(level: Length, drawdown: Length) -> Length:
    """Level of the pool that the pumps draw from after they stop, if it was topped up to its level at rest while they
    ran.

    Source: conservation of volume, banks taken as upright over the small change of level
    """
    return level + drawdown


def storm_flow(rain: Speed, water_area: Area, roof_area: Area, ground_area: Area, ground_share: Ratio) -> Flow:
    """Storm inflow to the pool with the overflow: rain on all pools and roofs, and the share of it that runs off the
    ground.

    Source: conservation of mass; the share that runs off the ground: user input
    """
    return rain * (water_area + roof_area + ground_area * ground_share)


def highest_level(overflow_level: Length, head: Length) -> Length:
    """Highest level of the pool with the overflow during the design storm.

    Source: level of the overflow's lip and the head over it
    """
    return overflow_level + head


def margin(planned: Length, change: Length) -> Length:
    """Margin between the change of level that the option plans for and the change that occurs; negative if that is
    more.

    Source: comparison with the option's own highest and lowest water over rest (user input)
    """
    return planned - change


def outfall_bore(flow: Flow, head: Length) -> Length:
    """Bore required of an outfall pipe with a square-edged inlet, for a flow under a head over its centre.

    Working: √(4 flow / (π 0.6 √(2 g head))), a sharp-edged orifice
    Source: orifice Q = C A √(2 g h) with C 0.6, Ontario LID planning and design guide
    """
    return math.sqrt(4 * flow / (math.pi * SHARP_EDGE * math.sqrt(2 * GRAVITY * head)))


def time_of_volume(volume: Volume, flow: Flow) -> Time:
    """Time in which a flow fills or empties a volume.

    Source: volume over flow
    """
    return volume / flow


def vapour_pressure(temperature: float) -> float:
    """Saturation pressure of water vapour [Pa] in air at a temperature [°C].

    Source: FAO Irrigation and Drainage Paper 56, eq. 11
    """
    return 610.8 * math.exp(17.27 * temperature / (temperature + 237.3))


def evaporation(air_temperature: Temperature, humidity: Ratio, wind: Speed, site_factor: Ratio) -> Speed:
    """Evaporation as depth of water per unit time, by mass transfer.

    Working: (0.013 + 0.00016 wind in km a day) × saturation pressure at the air's temperature in mbar × (1 - humidity),
    in cm a day, times the site factor: 1, and its range for constants that differ from site to site
    Source: mass transfer, Dunne's form (San Diego State University, engineering hydrology); saturation pressure: FAO
    Irrigation and Drainage Paper 56, eq. 11
    """
    wind_run = wind / KM_A_DAY
    return (
        site_factor * (0.013 + 0.00016 * wind_run) * vapour_pressure(air_temperature) / 100 * (1 - humidity) * CM_A_DAY
    )


def latent_heat(temperature: float) -> float:
    """Latent heat of evaporation [J/kg] at a temperature [°C].

    Source: FAO Irrigation and Drainage Paper 56, Annex 3, eq. 3-1
    """
    return (2.501 - 2.361e-3 * temperature) * 1e6


def weight_of_sun(temperature: float, altitude: float) -> float:
    """Slope of the saturation pressure over the psychrometric constant: Penman's weight of radiation against wind.

    Source: FAO Irrigation and Drainage Paper 56, eq. 7, 8 and 13, latent heat at the air's temperature
    """
    slope = 4098 * vapour_pressure(temperature) / (temperature + 237.3) ** 2
    pressure = 101300 * ((293 - 0.0065 * altitude) / 293) ** 5.26
    return float(slope / (1013 * pressure / (0.622 * latent_heat(temperature))))


def evaporation_sun(net_radiation: HeatFlux, water_density: Density, latent_heat: HeatPerMass) -> Speed:
    """Depth of water per unit time that net radiation alone would evaporate.

    Source: net radiation over the heat that evaporating takes (Penman; San Diego State University, engineering
    hydrology)
    """
    return net_radiation / (water_density * latent_heat)


def evaporation_penman(evaporation_sun: Speed, evaporation: Speed, weight_of_sun: Ratio) -> Speed:
    """Evaporation as depth of water per unit time, by radiation and wind combined.

    Source: Penman's combination, as San Diego State University, engineering hydrology, gives it; weight of the sun:
    slope of the saturation pressure over the psychrometric constant, FAO Irrigation and Drainage Paper 56, eq. 7, 8
    and 13
    """
    return (weight_of_sun * evaporation_sun + evaporation) / (weight_of_sun + 1)


def make_up(evaporation: Speed, water_area: Area) -> Flow:
    """Make-up water for evaporation; splash and plants are not included.

    Source: geometry
    """
    return evaporation * water_area


def leak(measured_fall: Length, evaporation: Speed, day: Time, evaporating_area: Area, read_area: Area) -> Length:
    """Fall of the measured pool in a day that evaporation does not explain.

    With the pumps off each pool is on its own, and both areas are those of the measured pool. With the pumps on the
    other pools stay at their crests, so that the pool that the pumps draw from loses the evaporation of all of them.

    Source: conservation of volume
    """
    return measured_fall - evaporation * day * evaporating_area / read_area


def leak_volume(leak: Length, read_area: Area) -> Volume:
    """Leakage in a day.

    Source: geometry: the fall that evaporation does not explain, times the surface of the measured pool
    """
    return leak * read_area


def dose(concentration: Concentration, volume: Volume) -> Mass:
    """Mass that brings a volume of water to a concentration.

    Source: definition
    """
    return concentration * volume


def time_to_replace(share: Ratio, turnover: Time) -> Time:
    """Time until a share of the water has been replaced, fully mixed.

    Working: -ln(1 - share) × turnover, for fully mixed water; corners that stand still take longer
    Source: mixing C / C0 = exp(-Q t / V) (Journal of Water and Health 16(3), swimming-pool hydraulics: 63, 86, 95 % by
    1, 2, 3 turnovers)
    """
    return -math.log(1 - share) * turnover
