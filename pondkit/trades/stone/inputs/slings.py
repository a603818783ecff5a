"""Slings as their tags say, and how the stones hang in them."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.names import Name
from pondkit.core.part import Angle, Choice, Length, Mass, Part, Ratio, Share, Whole, ask

Hitch = Annotated[str, Choice(("choker", "basket", "vertical"))]
RATING = ("50 lb", "60000 lb", ("100 lb", "50 kg"))


class ChokeRow(Part):
    title_of_part: ClassVar[str] = "choke angle"
    angle_deg: Angle = ask(
        "From choke angle", 0, 180, (5, 5), default=120, help="Least angle at the choke for which the share holds."
    )
    share: Ratio = ask(
        "Share of choker rating", 0.05, 1, (0.01, 0.01), default=1, help="As the maker of this sling prints it."
    )


class Sling(Part):
    title_of_part: ClassVar[str] = "sling"
    first_values: ClassVar = ({"length": "8 ft", "width": "2 in"}, {"length": "2.5 m", "width": "5 cm"})
    name: Name = ask("Name", help="Each kind of sling has a name of its own.")
    count: Whole = ask("Count", 1, 50, (1, 1), default=2, help="How many of this kind are on site.")
    vertical: Mass | None = ask(
        "Vertical rating",
        *RATING,
        default=None,
        help="Working load limit on the tag, straight pull. A sling without a legible tag lifts nothing.",
    )
    choker: Mass | None = ask(
        "Choker rating",
        *RATING,
        default=None,
        help="Where the tag prints one; left out, a share of the vertical rating.",
    )
    basket: Mass | None = ask(
        "Basket rating",
        *RATING,
        default=None,
        help="Where the tag prints one, both parts plumb; left out, twice the vertical rating.",
    )
    length: Length = ask("Length", "1 ft", "60 ft", ("6 in", "10 cm"), help="Bearing point to bearing point.")
    width: Length = ask("Width", "0.25 in", "24 in", ("0.5 in", "1 cm"), help="Of the webbing, or of the body.")
    edge_protection: bool = ask(
        "Edge protection", default=False, help="Sleeves or pads between this sling and every edge of rock."
    )
    choke: Annotated[tuple[ChokeRow, ...], Field(max_length=12)] = ask(
        "Choke angles", default=(), help="The maker's table for a choke tighter than the natural one."
    )


class Rigging(Part):
    title_of_part: ClassVar[str] = "rigging"
    hitch: Hitch = ask("Hitch", default="choker", help="Vertical only with an eye or pin set in the stone.")
    legs: Whole = ask("Slings per lift", 1, 4, (1, 1), default=2, help="Three or four on a rigid stone count as two.")
    angle_deg: Angle = ask(
        "Leg angle", 10, 85, (5, 5), default=60, help="Of the legs from the horizontal; one straight pull is plumb."
    )
    choke_angle_deg: Angle = ask(
        "Choke angle", 0, 180, (5, 5), default=120, help="Between the leg and the sling's own eye at the choke."
    )
    heavier_share: Ratio = ask(
        "Share of the heavier leg",
        0.5,
        1,
        (0.05, 0.05),
        default=0.6,
        help="Of the load on two legs; 0.5 is even, and no boulder is (from memory, confirm).",
    )
    heavier_within: Ratio = ask(
        "Heavier leg within",
        0,
        0.5,
        (0.05, 0.05),
        default=0.1,
        help="That share may be this much of itself more or less (from memory, confirm).",
    )
    spread: Ratio = ask(
        "Slings apart",
        0.1,
        0.9,
        (0.05, 0.05),
        default=0.5,
        help="Share of the stone's length between outer slings (common practice, no source).",
    )
    hook_height: Length = ask(
        "Hook above stone", "2 in", "20 ft", ("3 in", "5 cm"), default="18 in", help="Of one straight pull, at least."
    )
    limit: Share = ask(
        "Use a sling up to", "10 %", "100 %", ("5 %", "5 %"), default="80 %", help="Your own limit on its rating."
    )
