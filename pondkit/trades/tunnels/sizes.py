"""Sizes of pipe and fittings, from the shipped tables or as measured by the person."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from pondkit.core.entry import USER, Range
from pondkit.core.sentence import Words
from pondkit.core.tables import Row, table
from pondkit.core.units import LENGTH, factor
from pondkit.trades.tunnels.inputs import Fitting
from pondkit.trades.water.inputs.pipes import pipe_size

BRANCHES = ("wye", "tee")


@dataclass(frozen=True)
class Pipe:
    """One pipe: outside diameter and bore (inside diameter) [m], mass over length [kg/m]."""

    name: str
    outside: float
    bore: float
    mass: float
    source: str


@dataclass(frozen=True)
class Stop:
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
def pipe(name: str) -> Pipe:
    """A pipe of the table."""
    size = pipe_size(name)
    assert size.mass is not None, f"{name} has no mass in print"
    return Pipe(name, size.outside, size.bore, size.mass, size.source)


@cache
def angle(fitting: str) -> float:
    """Angle of an elbow, tee or wye [degrees], by the table."""
    return float(next(row["angle_deg"] for row in table("trades/tunnels/fittings") if row["fitting"] == fitting))


@cache
def _row(pipe_name: str, fitting: str) -> Row:
    return next(
        row for row in table("trades/tunnels/fittings") if row["pipe"] == pipe_name and row["fitting"] == fitting
    )


def stop(fitting: str, pipe_name: str, measured: Iterable[Fitting]) -> Stop:
    """Centre-to-stop distance of a fitting on a pipe: as measured, else the table's."""
    subject = f"{pipe_name} {fitting}"
    own = next(
        (float(size.centre_to_stop) for size in measured if size.name == fitting and size.pipe == pipe_name), None
    )
    if own is not None:
        return Stop(subject, Range(own, own, own, USER), None)
    return _shipped(fitting, pipe_name)


@cache
def _shipped(fitting: str, pipe_name: str) -> Stop:
    row, inch, subject = _row(pipe_name, fitting), factor("in", LENGTH), f"{pipe_name} {fitting}"
    size, within = float(row["centre_to_stop_in"]) * inch, float(row["within_in"]) * inch
    source = f"{subject}: {row['source']}"
    caution = Words(f"Centre to stop of {subject}: {row['source']} before the saw.") if within else None
    return Stop(subject, Range(size - within, size, size + within, source), caution)


def added(stops: Iterable[Stop]) -> Range:
    """Several distances on one end of a pipe, one behind the other."""
    sizes = [stop.size for stop in stops]
    sources = "; ".join(dict.fromkeys(size.source for size in sizes))
    return Range(sum(s.low for s in sizes), sum(s.typical for s in sizes), sum(s.high for s in sizes), sources)
