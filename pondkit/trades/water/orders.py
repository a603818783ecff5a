"""What the lines are made of, to be ordered: pipe by size, fittings, valves, pumps."""

from collections.abc import Iterator

from pondkit.core.entry import USER, Entry, entry, input_entry, rounded_up
from pondkit.core.remembered import remembered
from pondkit.core.units import COUNT
from pondkit.trades.water.formulas.orders import line_fitting_order, line_pipe, line_pipe_order, media_order
from pondkit.trades.water.inputs.bodies import PumpPit
from pondkit.trades.water.inputs.pumping import Branch, Pump, PumpLine
from pondkit.trades.water.inputs.water import Filter, Intake, Water
from pondkit.trades.water.lines import pipe_of
from pondkit.trades.water.results import OrdersResult

FITTINGS = {
    "elbows_90": "elbow 90",
    "sweeps_90": "sweep 90",
    "elbows_45": "elbow 45",
    "tees_through": "tee",
    "tees_branch": "tee",
}


def lines_of(drawn: Water) -> tuple[PumpLine, ...]:
    """Every line that is drawn."""
    alone = (line for line in (drawn.main, drawn.passage) if line)
    return (*drawn.pumps, *alone, *drawn.branches)


@remembered
def orders(drawn: Water) -> OrdersResult:
    """What all lines need."""
    lengths: dict[str, list[float]] = {}
    fittings: dict[str, list[float]] = {}
    valves: dict[str, list[float]] = {}
    stocks: dict[str, float] = {}
    for line in lines_of(drawn):
        pipe = pipe_of(line, drawn)
        if pipe is None:
            continue  # said where it is named
        lengths.setdefault(pipe.name, []).append(float(line.length))
        stocks[pipe.name] = pipe.stock_length
        for into, named in ((fittings, _fittings(line, pipe.stock_length)), (valves, _valves(line))):
            for name, count in named:
                into.setdefault(f"{pipe.name} {name}", []).append(count)
    nets = tuple(entry(line_pipe, pipe, source=USER, lengths=each) for pipe, each in lengths.items())
    bodies = tuple(bodies_of(drawn))
    return OrdersResult(
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
