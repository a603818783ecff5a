"""Links: falls and channels from one pool to the next."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.names import PoolName
from pondkit.core.part import Choice, Length, Part, Point, Ratio, Whole, ask
from pondkit.core.tables import names

Kind = Annotated[str, Choice(("fall", "channel"))]
Bed = Annotated[str, Choice(names("trades/pools/channels"))]
Crest = Annotated[str, Choice(names("trades/pools/crests"))]
CrestEnds = Annotated[str, Choice(names("trades/pools/crest_ends"))]
CREST_ENDS = (
    "Contracted where the water comes round the lip's ends from a wider pool; run on where its side "
    "walls lead up to it."
)


class Link(Part):
    title_of_part: ClassVar[str] = "link"
    kind: Kind = ask("Kind", default="fall", help="A fall drops over a crest; a channel runs on the ground.")
    from_: PoolName = ask("From", help="Name of the upper pool.", alias="from")
    to: PoolName = ask("To", help="Name of the lower pool.")
    at: Point = ask(
        "Place", "-1000 ft", "1000 ft", ("6 in", "10 cm"), help="Middle of the crest: east, north of the site's origin."
    )
    points: Annotated[tuple[Point, ...], Field(max_length=50)] = ask(
        "Places of its line",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=(),
        help=(
            "Middle of its bed from the crest down, where it bends; none: straight to the nearest of the lower "
            "waterline."
        ),
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
    crest_stone: Length | None = ask(
        "Crest stone and its bed",
        "0.5 in",
        "5 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="Thickness from the crest down to the liner under it; left out, no level to dig by is worked out there.",
    )
    crest: Crest = ask(
        "Crest", default="broad", help="A flat lip of rock is broad; a thin plate or a stone's edge is sharp."
    )
    crest_ends: CrestEnds = ask("Crest ends", default="not known", help=CREST_ENDS)
    steps: Whole = ask(
        "Steps", 1, 40, (1, 1), default=1, help="Equal drops, one under the other, that a fall goes down by."
    )
    length: Length | None = ask(
        "Channel length",
        "6 in",
        "500 ft",
        ("6 in", "10 cm"),
        default=None,
        help="Along its bed; left out, no depth of a channel is worked out.",
    )
    slope: Ratio | None = ask(
        "Channel slope",
        0.0001,
        1,
        (0.005, 0.005),
        default=None,
        help="Fall of its bed over its length; left out, it takes the whole drop.",
    )
    bed_width: Length | None = ask(
        "Bed width", "1 in", "30 ft", ("1 in", "2 cm"), default=None, help="Of a channel; left out, the crest width."
    )
    side_batter: Ratio = ask(
        "Side batter", 0, 5, (0.1, 0.1), default=0, help="Of a channel's sides, horizontal per vertical."
    )
    bank_height: Length | None = ask(
        "Bank height", "0.5 in", "10 ft", ("0.5 in", "1 cm"), default=None, help="Of a channel, over its bed."
    )
    layer: Length | None = ask(
        "Laid in the bed",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="Stone and gravel over liner and fabrics: the bed is dug so much deeper; left out, none.",
    )
    bed: Bed = ask("Bed", default="gravel, sides of dry stone", help="Of a channel, for its roughness (Manning's n).")
