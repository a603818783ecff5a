"""Sizes of pipe and fittings, from the shipped tables or as measured by the person."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from pondkit.core.entry import USER, Range, within
from pondkit.core.sentence import Words
from pondkit.core.tables import Row, rows_by_name, table
from pondkit.core.units import LENGTH, factor
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.inputs import Fitting, Run, Tunnels
from pondkit.trades.water.inputs.pumping import OwnPipe, pipe_size

BRANCHES = ("wye", "tee")
THICKER = (
    1.12  # greatest wall over the least: ASTM D1785, data sheet (4 in: 6.73 over 6.02 mm); of sewer pipe from memory
)
LEAST_THICKER = 0.51e-3  # m: at least so much (1 1/2 in: 4.19 over 3.68 mm), same sheet
WALLS = "bore between the least and the greatest wall, which is at least 12 % over it (ASTM D1785, data sheet)"
SCALED = "sch40 6 in"  # fittings of a pipe that has no rows are estimated from those of this one


@dataclass(frozen=True)
class PassagePipe:
    """A pipe that passages are made of, with its sizes.

    Attributes:
        name: As in the table, or as the person calls it.
        outside: Outside diameter [m].
        bores: Inside diameter with its range; ``bore`` is the typical one [m].
        mass: Mass over length [kg/m]; 0 where it is not known.
        source: Where its sizes come from.
        stock: Length that it is sold in [m]; None where that is the tunnels' own.
    """

    name: str
    outside: float
    bores: Range
    mass: float
    source: str
    stock: float | None = None

    @property
    def bore(self) -> float:
        return self.bores.typical


@dataclass(frozen=True)
class CentreToStop:
    """Centre-to-stop distance of a fitting, with a caution where it was not measured.

    Attributes:
        fitting: Pipe and fitting, as it is counted.
        size: Distance with its range [m].
        caution: None where the person measured it, or where it follows from what the node is.
    """

    fitting: str
    size: Range
    caution: Words | None


@cache
def pipe(name: str) -> PassagePipe:
    """A pipe by its name in the shipped table of pipes."""
    size, row = pipe_size(name), rows_by_name("trades/water/pipes")[name]
    wall = float(row["min_wall"]) * factor(row["unit"], LENGTH)
    thick = max(size.outside - size.bore - wall, THICKER * wall, wall + LEAST_THICKER)
    bores = Range(size.outside - 2 * thick, size.bore, max(size.outside - 2 * wall, size.bore), WALLS)
    return PassagePipe(name, size.outside, bores, size.mass or 0.0, size.source)


def own_pipe(drawn: OwnPipe, stock_length: float) -> PassagePipe:
    """A pipe that the person measured; ``stock_length`` is that of the other pipe [m]."""
    bore = float(drawn.bore)
    stock = stock_length if drawn.stock_length is None else float(drawn.stock_length)
    mass = float(drawn.mass or 0.0) / stock
    return PassagePipe(drawn.name, float(drawn.outside), within(bore, float(drawn.bore_within)), mass, USER, stock)


def pipe_of(tunnels: Tunnels, run: Run | None = None) -> PassagePipe | None:
    """The pipe of a run, or that of the tunnels; None where it names an own pipe that is not there."""
    name = tunnels.own_pipe
    if run is not None and (run.own_pipe or run.pipe):
        name = run.own_pipe
    if name is None:
        return pipe((run.pipe if run else None) or tunnels.pipe)
    measured = next((each for each in tunnels.own_pipes if each.name == name), None)
    return None if measured is None else own_pipe(measured, float(tunnels.stock_length))


@cache
def angle(fitting: str) -> float:
    """Angle of an elbow, tee or wye [degrees], by the table."""
    return float(next(row["angle_deg"] for row in table("trades/tunnels/fittings") if row["fitting"] == fitting))


@cache
def _row(pipe_name: str, fitting: str) -> Row | None:
    rows = table("trades/tunnels/fittings")
    return next((row for row in rows if row["pipe"] == pipe_name and row["fitting"] == fitting), None)


def centre_to_stop(fitting: str, pipe: PassagePipe, measured: Iterable[Fitting]) -> CentreToStop:
    """Centre-to-stop distance of a fitting on a pipe: as measured, else the table's, else estimated by the pipe's
    size."""
    subject = f"{pipe.name} {fitting}"
    distance = next(
        (
            float(size.centre_to_stop)
            for size in measured
            if size.name == fitting and (size.own_pipe or size.pipe) == pipe.name
        ),
        None,
    )
    if distance is not None:
        return CentreToStop(subject, Range(distance, distance, distance, USER), None)
    return _shipped(fitting, pipe.name, pipe.outside)


@cache
def _shipped(fitting: str, pipe_name: str, outside: float) -> CentreToStop:
    row, inch, subject = _row(pipe_name, fitting), factor("in", LENGTH), f"{pipe_name} {fitting}"
    larger = 1.0
    if row is None:
        row = _row(SCALED, fitting)
        larger = outside / pipe(SCALED).outside
    assert row is not None, f"no row for {fitting}"
    size, within = float(row["centre_to_stop_in"]) * inch * larger, float(row["within_in"]) * inch * larger
    source = f"{subject}: {row['source']}"
    caution = warn.CENTRE_TO_STOP_UNMEASURED(fitting=subject, source=row["source"]) if within else None
    return CentreToStop(subject, Range(size - within, size, size + within, source), caution)


def added(stops: Iterable[CentreToStop]) -> Range:
    """Sum of the centre-to-stop distances of fittings that stand one behind the other at a pipe's end."""
    sizes = [stop.size for stop in stops]
    sources = "; ".join(dict.fromkeys(size.source for size in sizes))
    return Range(sum(s.low for s in sizes), sum(s.typical for s in sizes), sum(s.high for s in sizes), sources)
