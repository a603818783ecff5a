"""Inputs of the lift plan: the machine with its chart, what it carries besides the stone, and its positions."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Angle, Choice, Length, Mass, Part, Point, Share, ask
from pondkit.core.text import Name
from pondkit.core.units import System, Typed

StandsOn = Annotated[
    str, Choice(("firm ground", "firmed ground", "soft ground", "fresh fill", "berm", "behind an unfilled wall"))
]
Heaped = Annotated[str, Choice(("before the lifts", "after the lifts"))]
# Least, most, and steps in US and SI units: of a place, of a load in the chart, of what hangs besides the stone.
PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
LOAD = ("10 lb", "60000 lb", ("50 lb", "25 kg"))
ATTACHMENT = ("0 lb", "10000 lb", ("10 lb", "5 kg"))


class Position(Part):
    """A position of the machine, with the staging area that it takes its stones from."""

    title_of_part: ClassVar[str] = "position"
    name: Name = ask("Name", help="Each position has a name of its own.")
    at: Point = ask("Machine at", *PLACE, help="Its centre of slewing, east and north.")
    facing_deg: Angle = ask(
        "Tracks face",
        -360,
        360,
        (5, 5),
        default=0,
        help="Bearing of the front of the undercarriage, clockwise from north.",
    )
    pick_up: Point = ask(
        "Staging area", *PLACE, help="Where the machine picks up the stones from this position, east and north."
    )
    stands_on: StandsOn = ask(
        "Stands on",
        default="firm ground",
        help="Firmed ground: made firm by mats or stone, and judged by a competent person.",
    )


class ChartRow(Part):
    """One row of the machine's lift chart."""

    title_of_part: ClassVar[str] = "chart row"
    radius: Length = ask(
        "Radius",
        "1 ft",
        "100 ft",
        ("1 ft", "25 cm"),
        help="Level distance from the centre of slewing to the load point.",
    )
    height: Length = ask(
        "Load point",
        "-30 ft",
        "60 ft",
        ("1 ft", "25 cm"),
        default="0 ft",
        help="Height of the load point over the ground that the machine stands on; negative below it.",
    )
    front: Mass | None = ask("Rated over front", *LOAD, default=None, help="As the machine's plate prints it.")
    side: Mass | None = ask("Rated over side", *LOAD, default=None, help="As the machine's plate prints it.")
    tipping_front: Mass | None = ask(
        "Tipping over front",
        *LOAD,
        default=None,
        help="Static tipping load as the maker gives it, not reduced; in place of a rated load.",
    )
    tipping_side: Mass | None = ask(
        "Tipping over side",
        *LOAD,
        default=None,
        help="Static tipping load as the maker gives it, not reduced; in place of a rated load.",
    )
    hydraulic: Mass | None = ask(
        "Hydraulic",
        *LOAD,
        default=None,
        help="Lifting capacity of the hydraulics, not reduced; in place of a rated load.",
    )


class Lifting(Part):
    """The lift plan: the machine with its chart and attachments, and the positions that it lifts from."""

    title_of_part: ClassVar[str] = "lifting"
    bucket: Mass = ask(
        "Bucket",
        *ATTACHMENT,
        default="250 lb",
        help="Where the chart is for the bare stick; 0 if it is taken off. The weight is an example.",
    )
    coupler: Mass = ask(
        "Coupler",
        *ATTACHMENT,
        default="120 lb",
        help="Where the chart is for a machine without one. The weight is an example.",
    )
    rigging: Mass = ask(
        "Slings and hook",
        *ATTACHMENT,
        default="60 lb",
        help="All else on the hook besides the stone. The weight is an example.",
    )
    size: Length = ask(
        "Centre to end of tracks",
        "1 ft",
        "20 ft",
        ("3 in", "10 cm"),
        default="5 ft",
        help="From the centre of slewing to the furthest corner of the tracks.",
    )
    front_within_deg: Angle = ask(
        "Front reaches to",
        0,
        90,
        (5, 5),
        default=15,
        help="To either side of where the tracks face; beyond that the lesser of both ratings counts (from memory, "
        "confirm).",
    )
    hook_over: Length = ask(
        "Load point over stone",
        "6 in",
        "30 ft",
        ("3 in", "10 cm"),
        default="4 ft",
        help="Height from the top of the stone to the load point: the legs of the slings and the hook.",
    )
    carry: Length = ask(
        "Clearance in the swing",
        "2 in",
        "20 ft",
        ("3 in", "10 cm"),
        default="1 ft",
        help="Under the stone as it swings, over the highest of staging area, machine's ground and place of the stone.",
    )
    limit: Share = ask(
        "Use the chart up to",
        "10 %",
        "100 %",
        ("5 %", "5 %"),
        default="80 %",
        help="Your own limit, as a share of what the chart leaves for the stone.",
    )
    heaped: Heaped = ask(
        "Berm and banks are heaped",
        default="before the lifts",
        help="No machine may stand on what is heaped; what is heaped after the lifts does not keep it off.",
    )
    positions: Annotated[tuple[Position, ...], Field(max_length=12)] = ask(
        "Machine positions", default=(), help="Where the machine stands while it lifts."
    )
    chart: Annotated[tuple[ChartRow, ...], Field(max_length=200)] = ask(
        "Lift chart", default=(), help="From the machine's plate."
    )


def next_row(rows: tuple[ChartRow, ...], system: System) -> ChartRow:
    """A further row of the chart at a greater radius, without a load, as none may be invented.

    Args:
        rows: The rows that there are.
        system: Unit system of the project file.
    """
    typed = Typed(system)
    first_radius, step = (10 * 0.3048, 2 * 0.3048) if system == "us" else (3.0, 0.5)  # m
    radius = rows[-1].radius + step if rows else first_radius
    height = rows[-1].height if rows else typed.far(0.0)
    return ChartRow.model_validate({"radius": typed.far(radius), "height": height}, context={"units": system})
