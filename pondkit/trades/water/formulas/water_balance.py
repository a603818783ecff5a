"""Relations of the year's water: rain and overflow, filling, evaporation, make-up, leaks, turnover, doses."""

import math

from pondkit.core.constants import GRAVITY
from pondkit.core.units import (
    Area,
    Concentration,
    Density,
    Flow,
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

ORIFICE = 0.6  # discharge coefficient of a sharp edge: Ontario LID planning and design guide, flow through riser
KM_A_DAY = 1000 / 86400  # m/s
CM_A_DAY = 0.01 / 86400  # m/s


def storm_flow(rain: Speed, water_area: Area, roof_area: Area, ground_area: Area, ground_share: Ratio) -> Flow:
    """Rain that comes to the pool with the overflow: on all pools, off roofs, and a share of what falls on the ground.

    Source: conservation of mass; the share that runs off the ground: user input
    """
    return rain * (water_area + roof_area + ground_area * ground_share)


def highest_level(overflow_level: Length, head: Length) -> Length:
    """Level of the pool with the overflow in the downpour.

    Source: level of the overflow's lip and the head over it
    """
    return overflow_level + head


def margin(planned: Length, change: Length) -> Length:
    """What the option is planned for over what the water does; negative where it does more.

    Source: comparison with the option's own highest and lowest water over rest (user input)
    """
    return planned - change


def outfall_bore(flow: Flow, head: Length) -> Length:
    """Bore of an outfall pipe's square mouth that takes the flow under a head over its middle.

    Working: √(4 flow / (π 0.6 √(2 g head))), a sharp-edged orifice
    Source: orifice Q = C A √(2 g h) with C 0.6, Ontario LID planning and design guide
    """
    return math.sqrt(4 * flow / (math.pi * ORIFICE * math.sqrt(2 * GRAVITY * head)))


def time_of_volume(volume: Volume, flow: Flow) -> Time:
    """Time that a flow takes for a volume.

    Source: volume over flow
    """
    return volume / flow


def vapour_pressure(temperature: float) -> float:
    """Saturation pressure of water vapour [Pa] in air at a temperature [°C].

    Source: FAO Irrigation and Drainage Paper 56, eq. 11
    """
    return 610.8 * math.exp(17.27 * temperature / (temperature + 237.3))


def evaporation(air_temperature: Temperature, humidity: Ratio, wind: Speed, of_formula: Ratio) -> Speed:
    """Depth of water that goes into the air in a time.

    Working: (0.013 + 0.00016 wind in km a day) × saturation pressure at the air's temperature in mbar × (1 -
    humidity), in cm a
    day, times the share of the formula that holds at this site
    Source: mass transfer, Dunne's form (San Diego State University, engineering hydrology); saturation pressure: FAO
    Irrigation and Drainage Paper 56, eq. 11
    """
    run = wind / KM_A_DAY
    return of_formula * (0.013 + 0.00016 * run) * vapour_pressure(air_temperature) / 100 * (1 - humidity) * CM_A_DAY


def latent_heat(temperature: float) -> float:
    """Heat that evaporating water takes [J/kg] at a temperature [°C].

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
    """Depth of water that the net radiation alone would evaporate in a time.

    Source: net radiation over the heat that evaporating takes (Penman; San Diego State University, engineering
    hydrology)
    """
    return net_radiation / (water_density * latent_heat)


def evaporation_penman(evaporation_sun: Speed, evaporation: Speed, weight_of_sun: Ratio) -> Speed:
    """Depth of water that goes into the air in a time, by sun and wind together.

    Source: Penman's combination, as San Diego State University, engineering hydrology, gives it; weight of the sun:
    slope of the
    saturation pressure over the psychrometric constant, FAO Irrigation and Drainage Paper 56, eq. 7, 8 and 13
    """
    return (weight_of_sun * evaporation_sun + evaporation) / (weight_of_sun + 1)


def make_up(evaporation: Speed, water_area: Area) -> Flow:
    """Water that evaporation takes; splash and plants come on top.

    Source: geometry
    """
    return evaporation * water_area


def leak(measured_fall: Length, evaporation: Speed, day: Time, evaporating_area: Area, read_area: Area) -> Length:
    """Fall in a day of the pool that was read that evaporation does not explain.

    With the pumps off each pool stands by itself: both areas are those of the pool that was read. With them on the
        other pools stand at
    their crests, so that the pool that the pumps draw from falls by what evaporates from all of them.

    Source: conservation of volume
    """
    return measured_fall - evaporation * day * evaporating_area / read_area


def leak_volume(leak: Length, read_area: Area) -> Volume:
    """Water that the leak loses in a day.

    Source: geometry: the fall that evaporation does not explain, over the pool that was read
    """
    return leak * read_area


def dose(concentration: Concentration, volume: Volume) -> Mass:
    """Mass that brings a volume to a concentration.

    Source: definition
    """
    return concentration * volume


def time_to_replace(share: Ratio, turnover: Time) -> Time:
    """Time until a share of fully mixed water has been through.

    Working: -ln(1 - share) × turnover, for fully mixed water; corners that stand still take longer
    Source: mixing C / C0 = exp(-Q t / V) (Journal of Water and Health 16(3), swimming-pool hydraulics: 63, 86, 95 %
    by 1, 2, 3 turnovers)
    """
    return -math.log(1 - share) * turnover
