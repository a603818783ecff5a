"""Inputs of the lifting machine: chart, positions, and attachments that reduce its capacity."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Angle, Choice, Length, Mass, Part, Point, Share, ask
from pondkit.core.text import Name
from pondkit.core.units import System, Typed

StandsOn = Annotated[
    str, Choice(("firm ground", "firmed ground", "soft ground", "fresh fill", "berm", "behind an unfilled wall"))
]
Heaped = Annotated[str, Choice(("before the lifts", "after the lifts"))]
PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
LOAD = ("10 lb", "60000 lb", ("50 lb", "25 kg"))
HUNG = ("0 lb", "10000 lb", ("10 lb", "5 kg"))


class Position(Part):
    """A position of the lifting machine, with the staging area of its stones."""

    title_of_part: ClassVar[str] = "position"
    name: Name = ask("Name", help="Each position has a name of its own.")
    at: Point = ask("Machine at", *PLACE, help="The middle it slews about, east and north.")
    facing_deg: Angle = ask(
        "Tracks face", -360, 360, (5, 5), default=0, help="Bearing of the undercarriage's front, clockwise from north."
    )
    pick_up: Point = ask("Staging area", *PLACE, help="Where the machine takes them up from here, east and north.")
    stands_on: StandsOn = ask(
        "Stands on", default="firm ground", help="Firmed: on mats or stone, and judged by a competent person."
    )


class ChartRow(Part):
    """One row of the machine's lift chart."""

    title_of_part: ClassVar[str] = "chart row"
    radius: Length = ask(
        "Radius", "1 ft", "100 ft", ("1 ft", "25 cm"), help="From the middle of slewing to the load point, level."
    )
    height: Length = ask(
        "Load point",
        "-30 ft",
        "60 ft",
        ("1 ft", "25 cm"),
        default="0 ft",
        help="Its height over the ground that the machine stands on; negative below it.",
    )
    front: Mass | None = ask("Rated over front", *LOAD, default=None, help="As the machine's plate prints it.")
    side: Mass | None = ask("Rated over side", *LOAD, default=None, help="As the machine's plate prints it.")
    tipping_front: Mass | None = ask(
        "Tipping over front", *LOAD, default=None, help="Raw static tipping load, in place of a rated one."
    )
    tipping_side: Mass | None = ask(
        "Tipping over side", *LOAD, default=None, help="Raw static tipping load, in place of a rated one."
    )
    hydraulic: Mass | None = ask(
        "Hydraulic", *LOAD, default=None, help="Raw lift of the hydraulics, in place of a rated one."
    )


def next_row(rows: tuple[ChartRow, ...], system: System) -> ChartRow:
    """A further row of the chart at a greater radius, without a load, as none may be invented."""
    typed = Typed(system)
    first, step = (10 * 0.3048, 2 * 0.3048) if system == "us" else (3.0, 0.5)
    radius = rows[-1].radius + step if rows else first
    height = rows[-1].height if rows else typed.far(0.0)
    return ChartRow.model_validate({"radius": typed.far(radius), "height": height}, context={"units": system})


class Lifting(Part):
    """The lift plan: machine with its rigging and chart, and the positions that it works from."""

    title_of_part: ClassVar[str] = "lifting"
    bucket: Mass = ask(
        "Bucket", *HUNG, default="250 lb", help="Where the chart is for the bare stick; 0 where it is off. An example."
    )
    coupler: Mass = ask("Coupler", *HUNG, default="120 lb", help="Where the chart does not hold it. An example.")
    rigging: Mass = ask("Slings and hook", *HUNG, default="60 lb", help="All that hangs with the stone. An example.")
    size: Length = ask(
        "Middle to end of tracks",
        "1 ft",
        "20 ft",
        ("3 in", "10 cm"),
        default="5 ft",
        help="From the middle of slewing to the furthest corner of the tracks.",
    )
    front_within_deg: Angle = ask(
        "Front reaches to",
        0,
        90,
        (5, 5),
        default=15,
        help="Either side of where the tracks face; beyond it the lesser rating counts (from memory, confirm).",
    )
    hook_over: Length = ask(
        "Load point over stone",
        "6 in",
        "30 ft",
        ("3 in", "10 cm"),
        default="4 ft",
        help="From the top of the stone to the load point: legs of the slings and hook.",
    )
    carry: Length = ask(
        "Carried over ground",
        "2 in",
        "20 ft",
        ("3 in", "10 cm"),
        default="1 ft",
        help="Clearance under the stone while it is swung, over the highest it comes from or to.",
    )
    limit: Share = ask(
        "Use the chart up to", "10 %", "100 %", ("5 %", "5 %"), default="80 %", help="Your own limit on its ratings."
    )
    heaped: Heaped = ask(
        "Berm and banks are heaped",
        default="before the lifts",
        help="No machine stands on what is heaped; what comes after the lifts is no hindrance to it.",
    )
    positions: Annotated[tuple[Position, ...], Field(max_length=12)] = ask(
        "Machine positions", default=(), help="Where the machine stands while it lifts."
    )
    chart: Annotated[tuple[ChartRow, ...], Field(max_length=200)] = ask(
        "Lift chart", default=(), help="From the machine's plate."
    )
