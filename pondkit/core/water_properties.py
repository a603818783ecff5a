"""Density and viscosity of water at its temperature."""

from dataclasses import dataclass
from functools import cache
from math import exp, log

from scipy.interpolate import PchipInterpolator

from pondkit.core.tables import table


@dataclass(frozen=True)
class Fluid:
    """Density [kg/m³] and kinematic viscosity [m²/s]."""

    density: float
    viscosity: float


@cache
def _curves() -> tuple[PchipInterpolator, PchipInterpolator]:
    rows = table("core/water")
    at = [float(row["temperature_c"]) for row in rows]
    return (
        PchipInterpolator(at, [float(row["density_kg_m3"]) for row in rows]),
        PchipInterpolator(at, [float(row["kinematic_viscosity_mm2_s"]) * 1e-6 for row in rows]),
    )


def fluid(temperature: float) -> Fluid:
    """Water at a temperature [°C] between 0 and 30.

    Source: MWH's Water Treatment, 3rd ed. 2012, Table C-1, monotone cubic between its rows
    """
    density, viscosity = _curves()
    return Fluid(float(density(temperature)), float(viscosity(temperature)))


@cache
def _vapour() -> PchipInterpolator:
    rows = table("core/water")
    return PchipInterpolator(
        [float(row["temperature_c"]) for row in rows], [log(float(row["vapour_pressure_kpa"]) * 1000) for row in rows]
    )


def vapour_pressure(temperature: float) -> float:
    """Saturation pressure of water vapour [Pa] at a temperature [°C] between 0 and 30.

    Source: MWH's Water Treatment, 3rd ed. 2012, Table C-1, its logarithm monotone cubic between rows
    """
    return exp(float(_vapour()(temperature)))
