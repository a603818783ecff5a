"""Sizes of pipe: those of the shipped table."""

from dataclasses import dataclass
from functools import cache
from typing import Annotated

from pondkit.core.part import Choice
from pondkit.core.tables import names, rows_by_name
from pondkit.core.units import LENGTH, MASS, factor

# Missing, as no print of it was found: walls of EN ISO 1452 PVC-U, and flexible PVC hose.
# They are entered as a person's own pipe.
Pipe = Annotated[str, Choice(names("trades/water/pipes"))]


@dataclass(frozen=True)
class PipeSize:
    """One pipe.

    Attributes:
        name: As it is ordered.
        outside: Outside diameter [m].
        bore: Inside diameter [m], the average one.
        mass: Mass over length [kg/m]; None where the print has none.
        source: Where its sizes come from.
    """

    name: str
    outside: float
    bore: float
    mass: float | None
    source: str


@cache
def pipe_size(name: str) -> PipeSize:
    """A pipe of the shipped table."""
    row = rows_by_name("trades/water/pipes")[name]
    unit, mass = factor(row["unit"], LENGTH), None
    if row["mass"]:
        heavy, long = row["mass_unit"].split("/")
        mass = float(row["mass"]) * factor(heavy, MASS) / factor(long, LENGTH)
    return PipeSize(name, float(row["outside_diameter"]) * unit, float(row["bore"]) * unit, mass, row["source"])
