"""Lines as entered, made into conduits: bore, length and loss coefficients with sources; and pipe, fittings, valves
and pumps to order for them.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, Literal

from pondkit.core.entry import USER, Entry, Range, entry, input_entry, rounded_up, within
from pondkit.core.remembered import remembered
from pondkit.core.tables import table
from pondkit.core.units import COUNT
from pondkit.solvers.friction import Conduit
from pondkit.trades.water.formulas.pumping import line_fitting_order, line_pipe, line_pipe_order, media_order
from pondkit.trades.water.inputs.pumping import Branch, Pump, PumpLine, pipe_size
from pondkit.trades.water.inputs.water import Filter, Water, all_bodies
from pondkit.trades.water.results import OrdersResult

PLATE = 0.6  # discharge coefficient of a sharp edge: Ontario LID planning and design guide, flow through riser


@dataclass(frozen=True)
class PipeLine:
    """A conduit with the sources of its coefficients."""

    name: str
    conduit: Conduit
    source: str
    pipe_source: str


@dataclass(frozen=True)
class LinePipe:
    """The pipe of a line.

    Attributes:
        name: Name to order it by.
        bores: Inside diameter with its range and source [m].
        stock_length: Length that it is sold in [m].
    """

    name: str
    bores: Range
    stock_length: float


BENDS = {
    "elbows_90": "elbow 90",
    "sweeps_90": "sweep 90",
    "elbows_45": "elbow 45",
    "tees_through": "tee through",
    "tees_branch": "tee branch",
}
End = Literal["low", "typical", "high"]
LOW: Final = "low"  # of what takes head: the most flows
TYPICAL: Final = "typical"
HIGH: Final = "high"


def pipe_of(line: PumpLine, water: Water) -> LinePipe | None:
    """Pipe of a line, of the table or the person's own; None if it names an own pipe that is not defined."""
    if line.own_pipe is None:
        size = pipe_size(line.pipe)
        return LinePipe(size.name, Range(size.bore, size.bore, size.bore, size.source), float(water.stock_length))
    measured = next((own_pipe for own_pipe in water.own_pipes if own_pipe.name == line.own_pipe), None)
    if measured is None:
        return None
    stock = water.stock_length if measured.stock_length is None else measured.stock_length
    return LinePipe(measured.name, within(measured.bore, measured.bore_within), float(stock))


@cache
def loss_at(table_name: str, fitting: str, end: End) -> float:
    """Loss coefficient of a fitting: of the table chosen, or the least or greatest of all tables."""
    if end == TYPICAL:
        return loss(table_name, fitting)[0]
    every = [float(row["k"]) for row in table("trades/water/losses") if row["fitting"] == fitting]
    return min(every) if end == LOW else max(every)


@cache
def loss(table_name: str, fitting: str) -> tuple[float, str]:
    """(loss coefficient, source) of a fitting in one of the tables."""
    row = next(row for row in table("trades/water/losses") if row["table"] == table_name and row["fitting"] == fitting)
    return float(row["k"]), row["source"]


def valve_k(opening: float) -> float:
    """Loss coefficient of a partly open valve, taken as a sharp-edged orifice plate; 0 if fully open.

    Source: pressure loss of an orifice plate, ISO 5167-2, with a discharge coefficient of 0.6
    """
    a = opening
    return float((math.sqrt(1 - a**2 * (1 - PLATE**2)) / (PLATE * a) - 1) ** 2)


def pipe_line(line: PumpLine, water: Water, viscosity: float, end: End = TYPICAL) -> PipeLine:
    """The conduit of a line; a pump's line includes the entrance loss, a branch the exit loss.

    Args:
        line: Its inputs, with a known pipe; not a branch that is shut.
        water: The water side that it belongs to, for the table of loss coefficients and the friction of hoses.
        viscosity: Of the water [m²/s].
        end: Typical: the coefficients of the table chosen. Low or high: the least or greatest of all tables, with the
            widest or narrowest bore of an own pipe.
    """
    counts = {name: float(getattr(line, field)) for field, name in BENDS.items()}
    k = float(line.extra_k)
    if isinstance(line, Pump):
        counts |= {"entrance": 1, "swing check": int(line.check_valve)}
    if isinstance(line, Branch):
        counts |= {"exit": 1, "swing check": int(line.check_valve)}
        counts |= {} if line.valve == "none" else {f"{line.valve} valve": 1}
        k += valve_k(line.opening) if line.opening > 0 else 0.0
    fitted = {fitting: count for fitting, count in counts.items() if count}
    k += sum(count * loss_at(water.losses, fitting, end) for fitting, count in fitted.items())
    sources = [f"K of {fitting}: {loss(water.losses, fitting)[1]}" for fitting in fitted]
    sources += ["range: the least and greatest K of the tables that ship"] if fitted else []
    if isinstance(line, Branch) and 0 < line.opening < 1:
        sources.append("part-open valve as a sharp-edged plate: ISO 5167-2, discharge coefficient 0.6")
    pipe, rough = pipe_of(line, water), table("trades/water/surfaces")[0]
    assert pipe is not None, f"no pipe for {line.name}"
    bore = {LOW: pipe.bores.high, TYPICAL: pipe.bores.typical, HIGH: pipe.bores.low}[end]
    hose = Range(1.0, 1.0, 1.0, "")
    if line.hose:
        hose = within(water.hose_friction, water.hose_friction_within)
    conduit = Conduit(bore, float(line.length), k, float(rough["roughness_m"]), viscosity, max(getattr(hose, end), 1.0))
    return PipeLine(line.name, conduit, "; ".join(sources), f"bore: {pipe.bores.source}; roughness: {rough['source']}")


FITTINGS = {
    "elbows_90": "elbow 90",
    "sweeps_90": "sweep 90",
    "elbows_45": "elbow 45",
    "tees_through": "tee",
    "tees_branch": "tee",
}


def lines_of(water: Water) -> tuple[PumpLine, ...]:
    """All lines of the water side."""
    alone = (line for line in (water.main, water.passage) if line)
    return (*water.pumps, *alone, *water.branches)


@remembered
def orders(water: Water) -> OrdersResult:
    """Pipe, fittings, valves and pumps to order for all lines."""
    lengths: dict[str, list[float]] = {}
    fittings: dict[str, list[float]] = {}
    valves: dict[str, list[float]] = {}
    stocks: dict[str, float] = {}
    for line in lines_of(water):
        pipe = pipe_of(line, water)
        if pipe is None:
            continue  # said where it is named
        # Hose is bought by itself, in coils where its own pipe has a length that it is sold in, else by its length.
        bought, stock = (f"{pipe.name}, hose", _coil(line, water)) if line.hose else (pipe.name, pipe.stock_length)
        lengths.setdefault(bought, []).append(float(line.length))
        stocks[bought] = stock or sum(lengths[bought])
        for into, counted in ((fittings, _fittings(line, stock or float(line.length))), (valves, _valves(line))):
            for name, count in counted:
                into.setdefault(f"{pipe.name} {name}", []).append(count)
    nets = tuple(entry(line_pipe, pipe, source=USER, lengths=length) for pipe, length in lengths.items())
    bodies = [(body.name, body.part) for body in all_bodies(water)]
    return OrdersResult(
        nets,
        tuple(
            entry(line_pipe_order, net.subject, source=USER, line_pipe=net, stock_length=stocks[net.subject])
            for net in nets
        ),
        tuple(entry(line_fitting_order, name, source=USER, counts=counts) for name, counts in fittings.items()),
        tuple(entry(line_fitting_order, name, source=USER, counts=counts) for name, counts in valves.items()),
        tuple(input_entry(pump.name, 1, COUNT) for pump in water.pumps),
        tuple(input_entry(name, 1, COUNT) for name, _ in bodies),
        tuple(input_entry(name, 1, COUNT) for name, body in bodies if body.covered),
        _media(water.filter),
    )


def _coil(line: PumpLine, water: Water) -> float | None:
    """Coil length in which a hose is sold; None if not entered."""
    measured = next((own_pipe for own_pipe in water.own_pipes if own_pipe.name == line.own_pipe), None)
    return None if measured is None or measured.stock_length is None else float(measured.stock_length)


def _media(body: Filter | None) -> Entry | None:
    if body is None or body.media_area is None:
        return None
    return entry(
        media_order, "", source=USER, area=body.media_area, depth=body.media_depth, sale_unit=body.media_sale or 0.0
    )


def _fittings(line: PumpLine, stock: float) -> Iterator[tuple[str, float]]:
    for field, name in FITTINGS.items():
        if count := getattr(line, field):
            yield name, float(count)
    if (joints := rounded_up(line.length / stock) - 1) > 0:
        yield "coupling", float(joints)


def _valves(line: PumpLine) -> Iterator[tuple[str, float]]:
    if isinstance(line, Branch) and line.valve != "none":
        yield f"{line.valve} valve", 1.0
    if isinstance(line, (Pump, Branch)) and line.check_valve:
        yield "check valve", 1.0
