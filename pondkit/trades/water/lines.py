"""Lines as drawn, made into conduits: bore, length, sum of loss coefficients with their sources."""

import math
from dataclasses import dataclass
from functools import cache

from pondkit.core.tables import rows_by_name, table
from pondkit.core.units import LENGTH, factor
from pondkit.solvers.friction import Conduit
from pondkit.trades.water.inputs.pumping import Branch, Line, Pump

PLATE = 0.6  # discharge coefficient of a sharp edge: Ontario LID planning and design guide, flow through riser


@dataclass(frozen=True)
class Laid:
    """A line with where its coefficients come from."""

    name: str
    conduit: Conduit
    source: str
    pipe_source: str


@cache
def loss(table_name: str, fitting: str) -> tuple[float, str]:
    """(loss coefficient, source) of a fitting in one of the tables."""
    row = next(row for row in table("trades/water/losses") if row["table"] == table_name and row["fitting"] == fitting)
    return float(row["k"]), row["source"]


def valve_k(opening: float) -> float:
    """Loss coefficient of a bore of which a share is left free, as behind a sharp-edged plate; 0 where all is free.

    Source: pressure loss of an orifice plate, ISO 5167-2, with a discharge coefficient of 0.6
    """
    a = opening
    return float((math.sqrt(1 - a**2 * (1 - PLATE**2)) / (PLATE * a) - 1) ** 2)


def laid(line: Line, table_name: str, viscosity: float) -> Laid:
    """A line as drawn; a pump's has its entrance, a branch's its exit.

    Args:
        line: As drawn; a branch that is not shut.
        table_name: Table of loss coefficients.
        viscosity: Of the water [m²/s].
    """
    counts: dict[str, float] = {
        "elbow 90": line.elbows_90,
        "sweep 90": line.sweeps_90,
        "elbow 45": line.elbows_45,
        "tee through": line.tees_through,
        "tee branch": line.tees_branch,
    }
    k = float(line.extra_k)
    if isinstance(line, Pump):
        counts |= {"entrance": 1, "swing check": int(line.check_valve)}
    if isinstance(line, Branch):
        counts |= {"exit": 1, "swing check": int(line.check_valve)}
        counts |= {} if line.valve == "none" else {f"{line.valve} valve": 1}
        k += valve_k(line.opening) if line.opening > 0 else 0.0
    there = {fitting: (count, *loss(table_name, fitting)) for fitting, count in counts.items() if count}
    k += sum(count * each for count, each, _ in there.values())
    sources = [f"K of {fitting}: {source}" for fitting, (_, _, source) in there.items()]
    if isinstance(line, Branch) and 0 < line.opening < 1:
        sources.append("part-open valve as a sharp-edged plate: ISO 5167-2, discharge coefficient 0.6")
    row, inch = rows_by_name("trades/water/pipes")[line.pipe], factor("in", LENGTH)
    rough = table("trades/water/surfaces")[0]
    conduit = Conduit(float(row["bore_in"]) * inch, float(line.length), k, float(rough["roughness_m"]), viscosity)
    return Laid(line.name, conduit, "; ".join(sources), f"bore: {row['source']}; roughness: {rough['source']}")
