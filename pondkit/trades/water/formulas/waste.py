"""Relations of waste: ammonia made, taken and left, its free part, oxygen that taking it costs."""

import math

from pondkit.core.units import Area, ArealRate, Concentration, Flow, MassRate, Ratio, Temperature, Time, Volume

MG_A_DAY = 1e-6 / 86400  # kg/s in one milligram a day
MEASURED = 27.2  # °C of the series reactor
MOST_RATE, LEAST_S, HALF_S = 1859.0, 0.07, 1.93  # mg/m² a day and mg/L, of the series reactor at 27.2 °C


def ammonia_made(feed: MassRate, protein: Ratio, ammonia_share: Ratio, waste: MassRate) -> MassRate:
    """Ammonia nitrogen that comes into the water: from the feed of water-breathers and the waste of air-breathers.

    Source: feed times protein times a share (Timmons); waste: user input
    """
    return feed * protein * ammonia_share + waste


def pace(temperature: float, per_degree: float) -> float:
    """How fast nitrification goes at a temperature [°C], over its pace at 27.2 °C; ``per_degree``: its factor for
    each degree.
    """
    return float(per_degree ** (temperature - MEASURED))


def ammonia_removed(
    media_surface: Area, removal_rate: ArealRate, temperature: Temperature, per_degree: Ratio
) -> MassRate:
    """Ammonia nitrogen that the media may take up.

    Working: surface times rate for each area, times the factor per degree to the power of the degrees from 27.2 °C,
    for warm
    water as the rates are
    Source: surface times rate for each area; temperature factor by its own source
    """
    return media_surface * removal_rate * pace(temperature, per_degree)


def ammonia_level(
    ammonia_made: MassRate, media_surface: Area, flow: Flow, temperature: Temperature, per_degree: Ratio
) -> Concentration:
    """Ammonia nitrogen of the pond once as much is taken as is made.

    Working: the level behind the media at which 1859 (S - 0.07) / (S + 1.93) mg a day on each m², times the factor
    per degree to
    the power of the degrees from 27.2 °C, takes what is made, and what the flow through the filter gains in the
    pond; no other
    taking is counted
    Source: nitrification kinetics of a series reactor at 27.2 °C (abstract; its units, mg/m² a day, from memory,
    agree with the
    removal rates printed elsewhere), conservation of nitrogen
    """
    rate = ammonia_made / MG_A_DAY / media_surface / pace(temperature, per_degree)
    return _behind(rate) + ammonia_made / flow


def _behind(rate: float) -> float:
    """Level behind the media at a rate [mg/m² a day]; as kg/m³. Infinite where the media cannot take it."""
    if rate >= MOST_RATE:
        return math.inf
    return (LEAST_S * MOST_RATE + HALF_S * rate) / (MOST_RATE - rate) / 1000


def free_share(ph: Ratio, temperature: Temperature) -> Ratio:
    """Free (un-ionised) share of the ammonia.

    Working: 1 / (1 + 10^(pKa - pH)) with pKa = 0.09018 + 2729.92 / T in kelvin
    Source: Emerson et al. 1975
    """
    return 1 / (1 + 10 ** (0.09018 + 2729.92 / (temperature + 273.15) - ph))


def free_ammonia(ammonia_level: Concentration, free_share: Ratio) -> Concentration:
    """Free ammonia of the pond, as nitrogen.

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
    """Ammonia nitrogen a day that the filter can take with the free ammonia at its limit.

    Working: what may be made until the pond's level, by the same kinetics and flow, is the limit over the free
    share; at most what
    media take by the rates printed, as over about 1 mg/L a higher level brings no more
    Source: as the pond's level, turned round; no further gain over about 1 mg/L: Ebeling and Wheaton 2006
    """
    from scipy.optimize import brentq

    wanted = free_limit / free_share
    fast = pace(temperature, per_degree)
    most = MOST_RATE * MG_A_DAY * media_surface * fast * (1 - 1e-9)
    if _behind(0.0) >= wanted:
        return 0.0

    def over(made: float) -> float:
        return _behind(made / MG_A_DAY / media_surface / fast) + made / flow - wanted

    held = float(brentq(over, 0.0, most, xtol=1e-15, rtol=1e-10))
    return min(held, ammonia_removed(media_surface, removal_rate, temperature, per_degree))


def feed_carried(ammonia_carried: MassRate, waste: MassRate, protein: Ratio, ammonia_share: Ratio) -> MassRate:
    """Feed a day that the filter can carry beside the waste of air-breathers; none where that alone is too much.

    Source: as the ammonia made, turned round
    """
    return max(ammonia_carried - waste, 0 * waste) / (protein * ammonia_share)


def nitrification_oxygen(ammonia_made: MassRate, oxygen_share: Ratio) -> MassRate:
    """Oxygen that turning all ammonia to nitrate takes.

    Source: stoichiometry
    """
    return ammonia_made * oxygen_share


def alkalinity_used(ammonia_made: MassRate, alkalinity_share: Ratio) -> MassRate:
    """Alkalinity, as calcium carbonate, that turning all ammonia to nitrate takes.

    Source: stoichiometry
    """
    return ammonia_made * alkalinity_share


def oxygen_used(respiration: MassRate, nitrification: MassRate) -> MassRate:
    """Oxygen used in the pond and its filter at night.

    Source: sum of respiration (user input) and nitrification
    """
    return respiration + nitrification


def oxygen_at_balance(
    saturation: Concentration, used: MassRate, made: MassRate, falls: Flow, surface: Flow
) -> Concentration:
    """Oxygen of the pumped water once as much is taken up as is used; over saturation, by day, it is given off.

    Source: conservation of oxygen: falls and surface take up in step with what is missing to saturation
    """
    return saturation - (used - made) / (falls + surface)


def oxygen_time(volume: Volume, falls: Flow, surface: Flow) -> Time:
    """Time until oxygen has come 95 % of the way from one balance to the next, as from that of the day to that of
    the night.

    Working: -ln(0.05) × volume / (what falls bring to saturation + what the surface does)
    Source: conservation of oxygen in fully mixed water, a first-order change
    """
    return -math.log(0.05) * volume / (falls + surface)
