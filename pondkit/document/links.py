"""Links: falls and channels from one pool to the next."""

from typing import Annotated, ClassVar

from pondkit.document.base import Choice, Length, Part, Point, Whole, ask
from pondkit.document.names import PoolName
from pondkit.reference.tables import names

Kind = Annotated[str, Choice(("fall", "channel"))]
Crest = Annotated[str, Choice(names("crests"))]


class Link(Part):
    title_of_part: ClassVar[str] = "link"
    kind: Kind = ask("Kind", default="fall", help="A fall drops over a crest; a channel runs on the ground.")
    from_: PoolName = ask("From", help="Name of the upper pool.", alias="from")
    to: PoolName = ask("To", help="Name of the lower pool.")
    at: Point = ask(
        "Place", "-1000 ft", "1000 ft", ("6 in", "10 cm"), help="Middle of the crest: east, north of the site's origin."
    )
    crest_width: Length = ask(
        "Crest width", "1 in", "30 ft", ("1 in", "2 cm"), default="18 in", help="Clear width of the crest."
    )
    crest_level: Length | None = ask(
        "Crest level",
        "-60 ft",
        "60 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="Above the site datum; left out, the upper pool's level.",
    )
    crest: Crest = ask(
        "Crest", default="broad", help="A flat lip of rock is broad; a thin plate or a stone's edge is sharp."
    )
    steps: Whole = ask(
        "Steps", 1, 40, (1, 1), default=1, help="Equal drops, one under the other, that a fall goes down by."
    )
