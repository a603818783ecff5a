"""Physical constants, and properties of water by temperature, each with its source; SI."""

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from pondkit.core.tables import table

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator

GRAVITY = 9.80665  # m/s², exact by definition (3rd CGPM, 1901)
CLOSE = 1e-6  # °C: a bound typed in °F may differ from one in °C by rounding


@dataclass(frozen=True)
class Fluid:
    """Density [kg/m³] and kinematic viscosity [m²/s] of a fluid."""

    density: float
    viscosity: float


@cache
def _curves() -> "tuple[PchipInterpolator, PchipInterpolator]":
    from scipy.interpolate import PchipInterpolator

    rows = table("core/water")
    temperatures = [float(row["temperature_c"]) for row in rows]
    return (
        PchipInterpolator(temperatures, [float(row["density_kg_m3"]) for row in rows]),
        PchipInterpolator(temperatures, [float(row["kinematic_viscosity_mm2_s"]) * 1e-6 for row in rows]),
    )


def _in_table(temperature: float) -> float:
    """The temperature [°C], if the table of water covers it.

    Raises: ValueError outside it; printed values are not extrapolated.
    """
    rows = [float(row["temperature_c"]) for row in table("core/water")]
    if not rows[0] - CLOSE <= temperature <= rows[-1] + CLOSE:
        raise ValueError(f"water of {temperature:g} °C: the table has {rows[0]:g} to {rows[-1]:g} °C")
    return min(max(temperature, rows[0]), rows[-1])


def fluid(temperature: float) -> Fluid:
    """Water at a temperature [°C] between 0 and 30.

    Source: MWH's Water Treatment, 3rd ed. 2012, Table C-1, monotone cubic between its rows
    """
    density, viscosity = _curves()
    within = _in_table(temperature)
    return Fluid(float(density(within)), float(viscosity(within)))
