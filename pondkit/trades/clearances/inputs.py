"""Inputs of clearances: keep-outs, and the machine's way in."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Choice, Length, Part, Point, Ratio, ask
from pondkit.core.text import Name
from pondkit.trades.ground.inputs import PLACE

CLOSED = ("boundary", "building", "keep-out area")  # entered as a closed line; the others are a place or an open line
KINDS = (*CLOSED, "tree", "buried service", "overhead service", "overflow outfall", "other")
Kind = Annotated[str, Choice(KINDS)]


class KeepOut(Part):
    """A tree, building, service, boundary or outfall that digs, heaps and machines must keep clear of."""

    title_of_part: ClassVar[str] = "keep-out"
    name: Name = ask("Name", help="The name that the crew knows it by.", front=True)
    kind: Kind = ask(
        "Kind",
        default="tree",
        help="All works must stay inside a boundary, and outside everything else.",
        front=True,
    )
    clearance: Length = ask(
        "Clearance",
        "0 in",
        "200 ft",
        ("6 in", "10 cm"),
        default="0 in",
        help="Level distance to keep from it: the owner's figure or your own. For a tree, the radius of its roots.",
        front=True,
    )
    points: Annotated[tuple[Point, ...], Field(max_length=200)] = ask(
        "Places",
        *PLACE,
        default=(),
        help="East and north: one place, several along a line, or three or more round a boundary, building or area.",
    )


class WayIn(Part):
    """The machine's way in to the dig: its line, width and slope."""

    title_of_part: ClassVar[str] = "way in"
    clear_width: Length = ask(
        "Clear width",
        "12 in",
        "60 ft",
        ("1 in", "2 cm"),
        default="6 ft",
        help="Clear width at the narrowest gate, corner or wall.",
    )
    slope: Ratio = ask("Steepest slope", 0, 1, (0.01, 0.01), default=0, help="Rise per level distance along it.")
    machine_width: Length = ask(
        "Machine width",
        "12 in",
        "20 ft",
        ("1 in", "2 cm"),
        default="4 ft",
        help="Over tracks and bucket; the default is an example.",
    )
    machine_slope: Ratio | None = ask(
        "Steepest for the machine",
        0,
        1,
        (0.01, 0.01),
        default=None,
        help="Steepest slope that it climbs with its load, from its maker's manual.",
    )
    room: Length = ask(
        "Room each side",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Free on each side of machine and load; your own rule.",
    )
    points: Annotated[tuple[Point, ...], Field(max_length=200)] = ask(
        "Places along it",
        *PLACE,
        default=(),
        help=(
            "East and north, from the road to the dig; a lift plan begins and ends at the last. Left out, the way in "
            "is not drawn."
        ),
    )
