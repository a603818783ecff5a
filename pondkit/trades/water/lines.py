"""Lines of pipe: each as a conduit with bore, length and loss coefficients, for typical coefficients or for one end of
their ranges; and the pipe, fittings, valves, pumps and bodies to order.
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
from pondkit.trades.water.formulas.open_water import SHARP_EDGE
from pondkit.trades.water.formulas.pumping import line_fitting_order, line_pipe, line_pipe_order, media_order
from pondkit.trades.water.inputs.pumping import Branch, Line, OwnPipe, Pump, pipe_size
from pondkit.trades.water.inputs.water import Filter, Water, all_bodies
from pondkit.trades.water.results import OrdersResult

# For which of its coefficients something is computed: typical, or all at one end of their ranges.
Case = Literal["low", "typical", "high"]
LOW: Final = "low"  # of lines the least head loss, and so the greatest flow; of crests the least coefficient
TYPICAL: Final = "typical"
HIGH: Final = "high"
# Bends and tees of a line, by the input that counts them: their row in the tables of losses, and what is ordered.
LOSS_ROWS = {
    "elbows_90": "elbow 90",
    "sweeps_90": "sweep 90",
    "elbows_45": "elbow 45",
    "tees_through": "tee through",
    "tees_branch": "tee branch",
}
ORDER_NAMES = {
    "elbows_90": "elbow 90",
    "sweeps_90": "sweep 90",
    "elbows_45": "elbow 45",
    "tees_through": "tee",
    "tees_branch": "tee",
}


@dataclass(frozen=True)
class LineConduit:
    """A line as the solver of pipe networks takes it.

    Attributes:
        name: Name of the line.
        conduit: Its bore, length, roughness and loss coefficients.
        source: Source of the loss coefficients.
        pipe_source: Source of bore and roughness.
    """

    name: str
    conduit: Conduit
    source: str
    pipe_source: str


@dataclass(frozen=True)
class ChosenPipe:
    """The pipe that a line is made of, from the table or a person's own.

    Attributes:
        name: Name to order it by.
        bore: Inside diameter with its range and source [m].
        stock_length: Length that it is sold in [m].
    """

    name: str
    bore: Range
    stock_length: float


def opposite(case: Case) -> Case:
    """The other end of the ranges; typical stays typical."""
    return HIGH if case == LOW else LOW if case == HIGH else TYPICAL


def own_pipe_of(line: Line, water: Water) -> OwnPipe | None:
    """The person's own pipe that a line names; None if it names none, or one that is not defined."""
    return next((own_pipe for own_pipe in water.own_pipes if own_pipe.name == line.own_pipe), None)


def pipe_of(line: Line, water: Water) -> ChosenPipe | None:
    """The pipe of a line; None if it names an own pipe that is not defined."""
    if line.own_pipe is None:
        size = pipe_size(line.pipe)
        return ChosenPipe(size.name, Range(size.bore, size.bore, size.bore, size.source), float(water.stock_length))
    own_pipe = own_pipe_of(line, water)
    if own_pipe is None:
        return None
    stock = water.stock_length if own_pipe.stock_length is None else own_pipe.stock_length
    return ChosenPipe(own_pipe.name, within(own_pipe.bore, own_pipe.bore_within), float(stock))


@cache
def loss_in(table_name: str, fitting: str, case: Case) -> float:
    """Loss coefficient of a fitting: that of the table chosen if typical, else the least or greatest of all tables."""
    if case == TYPICAL:
        return loss(table_name, fitting)[0]
    every = [float(row["k"]) for row in table("trades/water/losses") if row["fitting"] == fitting]
    return min(every) if case == LOW else max(every)


@cache
def loss(table_name: str, fitting: str) -> tuple[float, str]:
    """(loss coefficient, source) of a fitting in one of the tables."""
    row = next(row for row in table("trades/water/losses") if row["table"] == table_name and row["fitting"] == fitting)
    return float(row["k"]), row["source"]


def valve_k(opening: float) -> float:
    """Loss coefficient of a partly open valve, taken as a sharp-edged orifice plate; 0 if fully open.

    Args:
        opening: Share of the bore's area that the valve leaves free, above 0: the square of the plate's diameter
            ratio.

    Source: pressure loss of an orifice plate, ISO 5167-2, with a discharge coefficient of 0.6
    """
    a, c = opening, SHARP_EDGE
    return float((math.sqrt(1 - a**2 * (1 - c**2)) / (c * a) - 1) ** 2)


def conduit_of(line: Line, water: Water, viscosity: float, case: Case = TYPICAL) -> LineConduit:
    """The conduit of a line; a pump's line includes the entrance loss, a branch the exit loss.

    Args:
        line: Its inputs, with a known pipe. A branch that is shut gets the loss of its open valve.
        water: The water side that it belongs to, for the table of loss coefficients and the friction of hoses.
        viscosity: Of the water [m²/s].
        case: Typical: the coefficients of the table chosen. Low or high: the least or greatest of all tables, with the
            widest or narrowest bore of an own pipe.
    """
    counts = {name: float(getattr(line, field)) for field, name in LOSS_ROWS.items()}
    k = float(line.extra_k)
    if isinstance(line, Pump):
        counts |= {"entrance": 1, "swing check": int(line.check_valve)}
    if isinstance(line, Branch):
        counts |= {"exit": 1, "swing check": int(line.check_valve)}
        counts |= {} if line.valve == "none" else {f"{line.valve} valve": 1}
        k += valve_k(line.opening) if line.opening > 0 else 0.0
    fitted = {fitting: count for fitting, count in counts.items() if count}
    k += sum(count * loss_in(water.losses, fitting, case) for fitting, count in fitted.items())
    sources = [f"K of {fitting}: {loss(water.losses, fitting)[1]}" for fitting in fitted]
    sources += ["range: the least and greatest K of the tables that ship"] if fitted else []
    if isinstance(line, Branch) and 0 < line.opening < 1:
        sources.append("part-open valve as a sharp-edged plate: ISO 5167-2, discharge coefficient 0.6")
    pipe, surface = pipe_of(line, water), table("trades/water/surfaces")[0]
    assert pipe is not None, f"no pipe for {line.name}"
    bore = getattr(pipe.bore, opposite(case))  # the widest bore takes the least head
    over_smooth = Range(1.0, 1.0, 1.0, "")
    if line.hose:
        over_smooth = within(water.hose_friction, water.hose_friction_within)
    friction = max(getattr(over_smooth, case), 1.0)
    conduit = Conduit(bore, float(line.length), k, float(surface["roughness_m"]), viscosity, friction)
    return LineConduit(
        line.name, conduit, "; ".join(sources), f"bore: {pipe.bore.source}; roughness: {surface['source']}"
    )


def lines_of(water: Water) -> tuple[Line, ...]:
    """All lines of the water side."""
    alone = (line for line in (water.main, water.passage) if line)
    return (*water.pumps, *alone, *water.branches)


@remembered
def orders(water: Water) -> OrdersResult:
    """All goods of the water side to order: pipe, fittings and valves of its lines, pumps, bodies, lids and media."""
    lengths: dict[str, list[float]] = {}
    fittings: dict[str, list[float]] = {}
    valves: dict[str, list[float]] = {}
    stocks: dict[str, float] = {}
    for line in lines_of(water):
        pipe = pipe_of(line, water)
        if pipe is None:
            continue  # a problem where it is named
        # Hose is ordered apart from pipe: in coils, if its own pipe states the length of one, else by its length.
        bought, stock = (f"{pipe.name}, hose", _coil(line, water)) if line.hose else (pipe.name, pipe.stock_length)
        lengths.setdefault(bought, []).append(float(line.length))
        stocks[bought] = stock or sum(lengths[bought])
        for goods, counts in ((fittings, _fittings(line, stock or float(line.length))), (valves, _valves(line))):
            for name, count in counts:
                goods.setdefault(f"{pipe.name} {name}", []).append(count)
    nets = tuple(entry(line_pipe, pipe, source=USER, lengths=length) for pipe, length in lengths.items())
    bodies = [(body.name, body.part) for body in all_bodies(water)]
    return OrdersResult(
        nets,
        tuple(
            entry(line_pipe_order, net.subject, source=USER, line_pipe=net, stock_length=stocks[net.subject])
            for net in nets
        ),
        tuple(entry(line_fitting_order, name, source=USER, counts=each) for name, each in fittings.items()),
        tuple(entry(line_fitting_order, name, source=USER, counts=each) for name, each in valves.items()),
        tuple(input_entry(pump.name, 1, COUNT) for pump in water.pumps),
        tuple(input_entry(name, 1, COUNT) for name, _ in bodies),
        tuple(input_entry(name, 1, COUNT) for name, body in bodies if body.covered),
        _media(water.filter) if water.filter else None,
    )


def _coil(line: Line, water: Water) -> float | None:
    """Coil length in which a hose is sold; None if not entered."""
    hose = own_pipe_of(line, water)
    return None if hose is None or hose.stock_length is None else float(hose.stock_length)


def _media(body: Filter) -> Entry | None:
    """Media to order; None if the filter has no media bed."""
    if body.media_area is None:
        return None
    return entry(
        media_order, "", source=USER, area=body.media_area, depth=body.media_depth, sale_unit=body.media_sale or 0.0
    )


def _fittings(line: Line, stock: float) -> Iterator[tuple[str, float]]:
    """(fitting, how many) of a line: its bends and tees, and couplings between its stock lengths [m]."""
    for field, name in ORDER_NAMES.items():
        if count := getattr(line, field):
            yield name, float(count)
    if (joints := rounded_up(line.length / stock) - 1) > 0:
        yield "coupling", float(joints)


def _valves(line: Line) -> Iterator[tuple[str, float]]:
    """(valve, how many) of a line."""
    if isinstance(line, Branch) and line.valve != "none":
        yield f"{line.valve} valve", 1.0
    if isinstance(line, (Pump, Branch)) and line.check_valve:
        yield "check valve", 1.0
