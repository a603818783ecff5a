"""Sizes of pipe: those of the shipped table, and those that a person measured."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, ClassVar

from pondkit.core.names import Name
from pondkit.core.part import Choice, Length, Mass, Part, Share, ask
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import names, rows_by_name
from pondkit.core.units import LENGTH, MASS, factor

# Missing, as no print of it was found: walls of EN ISO 1452 PVC-U, and flexible PVC hose.
# They are entered as a person's own pipe.
Pipe = Annotated[str, Choice(names("trades/water/pipes"))]
OWN_PIPE_HELP = "One of your own pipes, in place of the pipe chosen from the table."


class OwnPipe(Part):
    """Pipe of a size that no table here has: hose, corrugated pipe, larger sewer pipe, pipe of another country."""

    title_of_part: ClassVar[str] = "own pipe"
    first_values: ClassVar = ({"outside": "12 in", "bore": "11 in"}, {"outside": "30 cm", "bore": "28 cm"})
    name: Name = ask("Name", help="What you call it; none of the table's names.")
    outside: Length = ask(
        "Outside diameter", "0.3 in", "4 ft", ("0.0625 in", "1 mm"), help="Over the wall, or over its ribs; measure it."
    )
    bore: Length = ask(
        "Inside diameter", "0.25 in", "4 ft", ("0.0625 in", "1 mm"), help="The least clear width inside; measure it."
    )
    bore_within: Share = ask(
        "Inside diameter within",
        "0 %",
        "20 %",
        ("0.5 %", "0.5 %"),
        default="1 %",
        help="How far the inside diameter may be off, either way.",
    )
    stock_length: Length | None = ask(
        "Stock length",
        "1 ft",
        "1000 ft",
        ("1 ft", "0.25 m"),
        default=None,
        help="Length that it is sold in, or the coil of a hose; left out, that of the other pipe.",
    )
    mass: Mass | None = ask(
        "Mass of a stock length",
        "0.1 lb",
        "5000 lb",
        ("1 lb", "0.5 kg"),
        default=None,
        help="Against uplift of passages; left out, the pipe counts for nothing. Lines of the water side take none.",
    )


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


def own_pipe_faults(
    trade: str, own_pipes: Iterable[OwnPipe], named: Iterable[tuple[Path, str | None]]
) -> Iterator[Problem]:
    """Own pipes that are named and not there, that have a name of the table, or a bore no less than the outside.

    Args:
        trade: Field of the option that holds the list ``own_pipes``.
        own_pipes: That list.
        named: Where an own pipe is named, and its name; None where none is.
    """
    held = tuple(own_pipes)
    known = [own.name for own in held]
    for path, name in named:
        if name is not None and name not in known:
            yield no_such(path, "own pipe", name, known)
    for number, own in enumerate(held):
        if own.bore >= own.outside:
            yield Problem(
                (trade, "own_pipes", number, "bore"),
                words(
                    f"own pipe '{own.name}' is {{bore}} inside and {{outside}} outside",
                    bore=(own.bore, LENGTH),
                    outside=(own.outside, LENGTH),
                ),
                words("an inside diameter less than the outside one"),
                words("measure both again; the outside one includes the wall on both sides"),
            )
        if own.name in names("trades/water/pipes"):
            yield Problem(
                (trade, "own_pipes", number, "name"),
                words(f"own pipe '{own.name}' has the name of a pipe of the table"),
                words("a name that no pipe of the table has"),
                words("rename it, or leave it out and choose the table's pipe"),
            )
