"""What the lines are made of, to be ordered: pipe by size, fittings, valves, pumps."""

from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry, input_entry, rounded_up
from pondkit.core.result import Result
from pondkit.core.units import COUNT, Area, Bulk, Count, Length
from pondkit.trades.water.inputs.bodies import PumpPit
from pondkit.trades.water.inputs.pumping import Branch, Line, Pump
from pondkit.trades.water.inputs.water import Filter, Intake, Water
from pondkit.trades.water.lines import size_of

FITTINGS = {
    "elbows_90": "elbow 90", "sweeps_90": "sweep 90", "elbows_45": "elbow 45", "tees_through": "tee", "tees_branch": "tee",
}  # fmt: skip


def line_pipe(lengths: tuple[Length, ...]) -> Length:
    """Pipe of one size in all lines, as entered: fittings' own length is in it.

    Source: sum of the lines' lengths
    """
    return sum(lengths)


def line_pipe_order(line_pipe: Length, stock_length: Length) -> Length:
    """Pipe of one size to buy.

    Working: whole stock lengths that hold the pipe, joined with couplings, times the stock length
    Source: arithmetic; offcuts are used up in the next line
    """
    return rounded_up(line_pipe / stock_length) * stock_length


def line_fitting_order(counts: tuple[Count, ...]) -> Count:
    """How many of one fitting or valve all lines have.

    Source: counts as entered; couplings: one between each two stock lengths of a line
    """
    return sum(counts)


def media_order(area: Area, depth: Length, sale_unit: Bulk) -> Bulk:
    """Media to buy: the bulk volume of the bed, up to whole sacks, boxes or other units of sale.

    Working: area × depth, rounded up to a multiple of the unit of sale where one is entered
    Source: geometry
    """
    bulk = area * depth
    return bulk if sale_unit == 0 else rounded_up(bulk / sale_unit) * sale_unit


@dataclass(frozen=True, eq=False)
class BuyingResult(Result):
    """What is to be ordered; subjects are the pipe, the fitting or valve with its pipe, the pump, and the body of the water side."""

    line_pipe: tuple[Entry, ...]
    line_pipe_order: tuple[Entry, ...]
    line_fitting_order: tuple[Entry, ...]
    line_valve_order: tuple[Entry, ...]
    pump_order: tuple[Entry, ...]
    body_order: tuple[Entry, ...]
    lid_order: tuple[Entry, ...]
    media_order: Entry | None


def lines_of(drawn: Water) -> tuple[Line, ...]:
    """Every line that is drawn."""
    alone = (line for line in (drawn.main, drawn.passage) if line)
    return (*drawn.pumps, *alone, *drawn.branches)


def buying(drawn: Water) -> BuyingResult:
    """What all lines need."""
    lengths: dict[str, list[float]] = {}
    fittings: dict[str, list[float]] = {}
    valves: dict[str, list[float]] = {}
    stocks: dict[str, float] = {}
    for line in lines_of(drawn):
        pipe = size_of(line).name
        lengths.setdefault(pipe, []).append(float(line.length))
        stocks[pipe] = float(drawn.stock_length)
        if line.own_bore is not None and line.own_stock is not None:
            stocks[pipe] = float(line.own_stock)
        for into, named in ((fittings, _fittings(line, stocks[pipe])), (valves, _valves(line))):
            for name, count in named:
                into.setdefault(f"{pipe} {name}", []).append(count)
    nets = tuple(entry(line_pipe, pipe, source=USER, lengths=each) for pipe, each in lengths.items())
    bodies = tuple(bodies_of(drawn))
    return BuyingResult(
        nets,
        tuple(
            entry(line_pipe_order, net.subject, source=USER, line_pipe=net, stock_length=stocks[net.subject])
            for net in nets
        ),
        tuple(entry(line_fitting_order, name, source=USER, counts=counts) for name, counts in fittings.items()),
        tuple(entry(line_fitting_order, name, source=USER, counts=counts) for name, counts in valves.items()),
        tuple(input_entry(pump.name, 1, COUNT) for pump in drawn.pumps),
        tuple(input_entry(name, 1, COUNT) for name, _ in bodies),
        tuple(input_entry(name, 1, COUNT) for name, body in bodies if body.covered),
        _media(drawn.filter),
    )


def bodies_of(drawn: Water) -> Iterator[tuple[str, Intake | Filter | PumpPit]]:
    """Every body of the water side with its name, placed or not."""
    if drawn.intake:
        yield "intake basin", drawn.intake
    if drawn.pit:
        yield "pump pit", drawn.pit
    if drawn.filter:
        yield "filter", drawn.filter
        if drawn.filter.second_size:
            yield "filter, second body", drawn.filter


def _media(drawn: Filter | None) -> Entry | None:
    if drawn is None or drawn.media_area is None:
        return None
    return entry(
        media_order, "", source=USER, area=drawn.media_area, depth=drawn.media_depth, sale_unit=drawn.media_sale or 0.0
    )


def _fittings(line: Line, stock: float) -> Iterator[tuple[str, float]]:
    for field, name in FITTINGS.items():
        if count := getattr(line, field):
            yield name, float(count)
    if (joints := rounded_up(line.length / stock) - 1) > 0:
        yield "coupling", float(joints)


def _valves(line: Line) -> Iterator[tuple[str, float]]:
    if isinstance(line, Branch) and line.valve != "none":
        yield f"{line.valve} valve", 1.0
    if isinstance(line, (Pump, Branch)) and line.check_valve:
        yield "check valve", 1.0
