"""Keep-outs of a dig, and the machine's way in."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Choice, Length, Part, Point, Ratio, ask
from pondkit.core.text import Name
from pondkit.trades.ground.inputs import FAR

CLOSED = ("boundary", "building", "keep-out area")  # entered as a closed line; the others are a place or an open line
KINDS = (*CLOSED, "tree", "buried service", "overhead service", "overflow outfall", "other")
Kind = Annotated[str, Choice(KINDS)]


class KeepOut(Part):
    """A tree, building, line or boundary that digs and machines keep clear of."""

    title_of_part: ClassVar[str] = "keep-out"
    name: Name = ask("Name", help="As the crew knows it.", front=True)
    kind: Kind = ask(
        "Kind",
        default="tree",
        help="Inside a boundary all must stay; of everything else all stays outside.",
        front=True,
    )
    clearance: Length = ask(
        "Clearance",
        "0 in",
        "200 ft",
        ("6 in", "10 cm"),
        default="0 in",
        help="Level distance to keep, your own or the owner's figure; of a tree, its root radius from the trunk.",
        front=True,
    )
    points: Annotated[tuple[Point, ...], Field(max_length=200)] = ask(
        "Places",
        *FAR,
        default=(),
        help="East and north: one for a place, more for a line; a closed kind takes three or more.",
    )


class WayIn(Part):
    """The machine's way in to the dig: its line, width and slope."""

    title_of_part: ClassVar[str] = "way in"
    clear_width: Length = ask(
        "Clear width", "12 in", "60 ft", ("1 in", "2 cm"), default="6 ft", help="At its narrowest: gate, corner, wall."
    )
    slope: Ratio = ask("Steepest slope", 0, 1, (0.01, 0.01), default=0, help="Rise per level distance along it.")
    machine_width: Length = ask(
        "Machine width", "12 in", "20 ft", ("1 in", "2 cm"), default="4 ft", help="Over tracks and bucket; an example."
    )
    machine_slope: Ratio | None = ask(
        "Steepest for the machine", 0, 1, (0.01, 0.01), default=None, help="With its load, from its maker's manual."
    )
    room: Length = ask(
        "Room each side",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Free beside machine and load; your own figure.",
    )
    points: Annotated[tuple[Point, ...], Field(max_length=200)] = ask(
        "Places along it",
        *FAR,
        default=(),
        help=(
            "East and north, from the road to the dig; a lift plan begins and ends at the last. None, where it is "
            "not drawn."
        ),
    )
