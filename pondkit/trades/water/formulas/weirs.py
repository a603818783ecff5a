"""Relations of links: head over crest, flow per width, drops, oxygen gained."""

import math

from pondkit.core.constants import GRAVITY
from pondkit.core.entry import holds
from pondkit.core.units import Concentration, Flow, FlowPerWidth, Length, Ratio, Temperature
from pondkit.trades.water.cautions import CREST_NARROW, DROP_HIGH, FALL_DROWNED

NARROWEST = 4.0  # heads: Francis' contracted form is given for crests of 4 to 8 heads
ROUNDS = 60


def working_width(head: float, width: float, contraction: float) -> float:
    """Width of a crest at which water passes [m]: its own less a share of the head, as the sheet draws in at its ends.

    Source: Francis, L - 0.2 H with both ends contracted; past a head as high as the crest is wide no further
    """
    return width - contraction * min(max(head, 0.0), width)


def crest_flow(head: float, width: float, coefficient: float, contraction: float = 0.0) -> float:
    """Flow over a level crest [m³/s]: coefficient · √g · working width · head^1.5; 0 where the water is below it."""
    wide = working_width(head, width, contraction)
    return float(coefficient * math.sqrt(GRAVITY) * wide * max(head, 0.0) ** 1.5)


def head_of(flow: float, width: float, coefficient: float, contraction: float) -> float:
    """Head [m] at which a crest passes a flow [m³/s]."""
    whole = max(flow, 0.0) / (coefficient * math.sqrt(GRAVITY))
    head = float((whole / width) ** (2 / 3))
    for _ in range(ROUNDS if contraction else 0):
        before, head = head, float((whole / working_width(head, width, contraction)) ** (2 / 3))
        if abs(head - before) <= 1e-15:
            break
    return head


@holds(
    lambda flow, width, coefficient, contraction: (
        contraction == 0 or width >= NARROWEST * head_of(flow, width, coefficient, contraction)
    ),
    CREST_NARROW,
)
def head_over_crest(flow: Flow, width: Length, coefficient: Ratio, contraction: Ratio) -> Length:
    """Height of the water over the crest, upstream of where it draws down.

    Working: the head h at which coefficient √g (width - contraction h) h^1.5 is the flow, approach velocity left out
    Source: weir formula Q = C √g b h^1.5, ends as Francis gives them
    """
    return head_of(flow, width, coefficient, contraction)


def flow_per_width(flow: Flow, width: Length) -> FlowPerWidth:
    """Flow over each length of crest.

    Source: conservation of mass
    """
    return flow / width


@holds(lambda drop: drop <= 4.5, DROP_HIGH)
@holds(lambda drop: drop >= 0.0, FALL_DROWNED)
def deficit_ratio(a: Ratio, b: Ratio, drop: Length, temperature: Temperature) -> Ratio:
    """Oxygen missing above one drop over oxygen missing below it.

    Working: 1 + 0.38 a b h (1 - 0.11 h) (1 + 0.046 T), with the drop h in metres and T in °C
    Source: Water Research Laboratory 1973, as Butts and Evans 1983 give it
    """
    h = max(drop, 0.0)
    return 1 + 0.38 * a * b * h * (1 - 0.11 * h) * (1 + 0.046 * temperature)


def oxygen_saturation(temperature: Temperature, altitude: Length) -> Concentration:
    """Oxygen that fresh water holds in balance with the air at its temperature and altitude.

    Working: Benson and Krause's formula in kelvin at one atmosphere, times the pressure correction for vapour and
    for the
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


def link_flow(level: Length, crest_level: Length, width: Length, coefficient: Ratio, contraction: Ratio) -> Flow:
    """Flow over the crest with all waters running.

    Working: coefficient √g (width - contraction h) h^1.5 with h = level - crest level, at the level at which all
    crests of the pool
    pass what comes to it
    Source: weir formula Q = C √g b h^1.5, ends as Francis gives them
    """
    return crest_flow(level - crest_level, width, coefficient, contraction)


def link_drop(upper_level: Length, lower_level: Length) -> Length:
    """From the running water above the link to that below it.

    Source: geometry
    """
    return upper_level - lower_level


def step_drop(link_drop: Length, steps: Ratio) -> Length:
    """Height of each of the equal steps.

    Source: geometry
    """
    return link_drop / steps
