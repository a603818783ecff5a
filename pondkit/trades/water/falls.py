"""Relations of links: head over crest, flow per width, drops, oxygen gained."""

import math

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import holds
from pondkit.core.units import Concentration, Flow, FlowPerWidth, Length, Ratio, Temperature

AIR = 101325.0  # Pa, standard atmosphere (ISO 2533)


def crest_flow(head: float, width: float, coefficient: float) -> float:
    """Flow over a level crest [m³/s]: coefficient · sqrt(g) · width · head^1.5; 0 where the water is below it."""
    return float(coefficient * math.sqrt(GRAVITY) * width * max(head, 0.0) ** 1.5)


def head_over_crest(flow: Flow, width: Length, coefficient: Ratio) -> Length:
    """Height of the water over the crest, upstream of where it draws down.

    Working: (flow / (coefficient √g width))^(2/3), approach velocity left out
    Source: weir formula Q = C √g b h^1.5
    """
    return float((max(flow, 0.0) / (coefficient * math.sqrt(GRAVITY) * width)) ** (2 / 3))


def flow_per_width(flow: Flow, width: Length) -> FlowPerWidth:
    """Flow over each length of crest.

    Source: conservation of mass
    """
    return flow / width


@holds(lambda drop: drop <= 4.5, "Past a drop of 4.5 m this formula gives less oxygen for more height: do not use it.")
@holds(lambda drop: drop >= 0.0, "The lower pool stands above the crest: the fall is drowned.")
def deficit_ratio(a: Ratio, b: Ratio, drop: Length, temperature: Temperature) -> Ratio:
    """Oxygen missing above one drop over oxygen missing below it.

    Working: 1 + 0.38 a b h (1 - 0.11 h) (1 + 0.046 T), with the drop h in metres and T in °C
    Source: Water Research Laboratory 1973, as Butts and Evans 1983 give it
    """
    h = max(drop, 0.0)
    return 1 + 0.38 * a * b * h * (1 - 0.11 * h) * (1 + 0.046 * temperature)


def oxygen_saturation(temperature: Temperature, altitude: Length) -> Concentration:
    """Oxygen that fresh water holds in balance with the air at its temperature and altitude.

    Working: Benson and Krause's formula in kelvin at one atmosphere, times the pressure correction for vapour and for the
    standard atmosphere's pressure at the altitude
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
    """Oxygen below the last of a number of equal drops.

    Source: definition of the deficit ratio, one drop after the other
    """
    return saturation - (saturation - oxygen_above) / deficit_ratio**steps  # type: ignore[no-any-return]


def mixed(parts: tuple[float, ...], flows: tuple[float, ...]) -> float:
    """What a pool holds in which several flows mix; its own making and using is left out."""
    return sum(c * q for c, q in zip(parts, flows, strict=True)) / sum(flows)
