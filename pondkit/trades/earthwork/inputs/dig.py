"""What the crew digs by: instrument and tolerances, stakes, and the hole as it was measured."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Choice, Length, Part, Point, ask
from pondkit.core.text import Name, PoolName, RowName, text
from pondkit.trades.ground.inputs import BOOK, site_datum

PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
ROD = ("-2 ft", "30 ft", ("0.01 ft", "0.5 cm"))
SURFACES = ("dig", "finished")


class Reading(Part):
    """A rod reading on one of the levels to dig by."""

    title_of_part: ClassVar[str] = "reading"
    read_off: ClassVar[bool] = True
    row: RowName = ask("Level", help="Where the rod stands: a row of the levels to dig by.")
    surface: Annotated[str, Choice(SURFACES)] = ask(
        "Surface", default="dig", help="The dig before anything is laid on it, or the finished surface."
    )
    rod: Length | None = ask("Rod reading", *ROD, default=None, help="As read on the day; left out until it is read.")


class Stakes(Part):
    """Two stakes on the site, from which everything is set out."""

    title_of_part: ClassVar[str] = "stakes"
    a: Point = ask("Stake A", *PLACE, default=("-20 ft", "-16 ft"), help="East, north of the site's origin.")
    b: Point = ask(
        "Stake B",
        *PLACE,
        default=("20 ft", "-16 ft"),
        help="East, north of the site's origin. From A to B runs the baseline.",
    )
    spacing: Length = ask(
        "Spacing",
        "6 in",
        "30 ft",
        ("3 in", "5 cm"),
        default="4 ft",
        help="Points along each line lie no further apart than this.",
    )
    within: Length = ask(
        "Bends within",
        "0.25 in",
        "2 ft",
        ("0.25 in", "1 cm"),
        default="2 in",
        help="A straight string from point to point leaves the line by no more; bends get more points.",
    )


class Measured(Part):
    """A level found in the hole of a pool."""

    title_of_part: ClassVar[str] = "measured level"
    read_off: ClassVar[bool] = True
    pool: PoolName = ask("Pool", help="Whose hole it is.")
    at: Point = ask("Place", *PLACE, help="East, north of the site's origin.")
    level: Length | None = ask(
        "Level found",
        *BOOK,
        default=None,
        help="Of the dig there, counted as the benchmark counts; left out until it is read.",
    )


class Tape(Part):
    """A tape line over a pool's hole, from end to end."""

    title_of_part: ClassVar[str] = "tape line"
    read_off: ClassVar[bool] = True
    name: Name = ask("Name", help="Each tape line has a name of its own.")
    start: Point = ask("Start", *PLACE, help="East, north of the site's origin; outside the rims.")
    end: Point = ask("End", *PLACE, help="East, north of the site's origin; outside the rims.")
    taped: Length | None = ask(
        "Tape over the hole",
        "6 in",
        "1000 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="From start to end over the ground, down into the hole and up again, lying on all of it.",
    )


class Dig(Part):
    """What the crew digs by: benchmark and instrument, tolerances, stakes, and what was read and measured on site."""

    title_of_part: ClassVar[str] = "dig"
    benchmark: Length = ask(
        "Benchmark",
        *BOOK,
        default="0 ft",
        help="Its level, counted as whoever sets it out counts: 100 m where so assumed.",
    )
    datum: Length = site_datum("dig's benchmark")
    benchmark_is: Annotated[str, text(200)] = ask(
        "Benchmark is", default="", help="What and where it is, so that the crew finds the same one each day."
    )
    backsight: Length | None = ask(
        "Backsight",
        *ROD,
        default=None,
        help="Rod reading on the benchmark, on the day; gives the height of instrument.",
    )
    instrument: Length | None = ask(
        "Height of instrument",
        *BOOK,
        default=None,
        help="Level of the line of sight, counted as the benchmark counts, where it is known without a backsight.",
    )
    rim_within: Length = ask(
        "Rim and crests within",
        "0.05 in",
        "6 in",
        ("0.05 in", "1 mm"),
        default="0.25 in",
        help="Tolerance up and down (common practice, no source).",
    )
    seat_within: Length = ask(
        "Seats and trenches within",
        "0.05 in",
        "6 in",
        ("0.05 in", "1 mm"),
        default="0.5 in",
        help="Tolerance up and down (common practice, no source).",
    )
    floor_within: Length = ask(
        "Floors within",
        "0.05 in",
        "12 in",
        ("0.25 in", "5 mm"),
        default="1 in",
        help="Tolerance up and down, of shelves too (common practice, no source).",
    )
    bedding: Length = ask(
        "Bedding under pipe",
        "0 in",
        "24 in",
        ("0.5 in", "1 cm"),
        default="0 in",
        help="Between the trench's bottom and the pipe's underside.",
    )
    readings: Annotated[tuple[Reading, ...], Field(max_length=200)] = ask(
        "Readings", default=(), help="Rod readings taken while digging."
    )
    stakes: Stakes | None = ask("Stakes", default=None, help="Two stakes from which all is set out.")
    measured: Annotated[tuple[Measured, ...], Field(max_length=400)] = ask(
        "Levels found", default=(), help="The hole as it was dug, measured before the liner is cut."
    )
    tapes: Annotated[tuple[Tape, ...], Field(max_length=40)] = ask(
        "Tape lines", default=(), help="Straight lines over the hole, along which a tape is laid."
    )
