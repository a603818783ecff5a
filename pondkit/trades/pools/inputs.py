"""Inputs of pools, with their tiers and pits, and of the links between pools."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Angle, Choice, Length, Part, Point, Ratio, Whole, ask
from pondkit.core.tables import names
from pondkit.core.text import Name, PoolName
from pondkit.geometry.shapes import Outline

Kind = Annotated[str, Choice(("fall", "channel"))]
Bed = Annotated[str, Choice(names("trades/pools/channels"))]
Crest = Annotated[str, Choice(names("trades/pools/crests"))]
CrestEnds = Annotated[str, Choice(names("trades/pools/crest_ends"))]
CREST_ENDS_HELP = (
    "Contracted where the water comes round the lip's ends from a wider pool; run on where its side "
    "walls lead up to it; one contracted where only one end is so."
)


class Link(Part):
    """A fall or a channel by which water runs from one pool to another."""

    title_of_part: ClassVar[str] = "link"
    of_kind: ClassVar = {"steps": "fall"} | dict.fromkeys(
        ("length", "slope", "bed_width", "side_batter", "bank_height", "bed"), "channel"
    )
    kind: Kind = ask(
        "Kind", default="fall", help="A fall drops over a crest; a channel runs on the ground.", front=True
    )
    from_: PoolName = ask("From", help="Name of the upper pool.", front=True)
    to: PoolName = ask("To", help="Name of the lower pool.", front=True)
    at: Point = ask(
        "Place",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        help="Middle of the crest: east, north of the site's origin.",
        front=True,
    )
    points: Annotated[tuple[Point, ...], Field(max_length=50)] = ask(
        "Places of its line",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=(),
        help=(
            "Middle of its bed from the crest down, where it bends; none: straight to the nearest place of the lower "
            "waterline."
        ),
    )
    crest_width: Length = ask(
        "Crest width", "1 in", "30 ft", ("1 in", "2 cm"), default="18 in", help="Clear width of the crest.", front=True
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
        first=("5 in", "12 cm"),
        help="Thickness from the crest down to the liner; left out, no level to dig by is worked out there.",
    )
    crest: Crest = ask(
        "Crest", default="broad", help="A flat lip of rock is broad; a thin plate or a stone's edge is sharp."
    )
    crest_ends: CrestEnds = ask("Crest ends", default="not known", help=CREST_ENDS_HELP)
    steps: Whole = ask(
        "Steps",
        1,
        40,
        (1, 1),
        default=1,
        help="Equal drops, one under the other, that a fall goes down by.",
        front=True,
    )
    length: Length | None = ask(
        "Channel length",
        "6 in",
        "500 ft",
        ("6 in", "10 cm"),
        default=None,
        help="Along its bed; left out, no depth of water in it is worked out.",
        front=True,
    )
    slope: Ratio | None = ask(
        "Channel slope",
        0.0001,
        1,
        (0.005, 0.005),
        default=None,
        help="Fall of its bed over its length; left out, the bed takes the whole drop.",
    )
    bed_width: Length | None = ask(
        "Bed width", "1 in", "30 ft", ("1 in", "2 cm"), default=None, help="Of a channel; left out, the crest width."
    )
    side_batter: Ratio = ask(
        "Side batter", 0, 5, (0.1, 0.1), default=0, help="Of a channel's sides, horizontal per vertical."
    )
    bank_height: Length | None = ask(
        "Bank height", "0.5 in", "10 ft", ("0.5 in", "1 cm"), default=None, help="Of a channel, above its bed."
    )
    layer: Length | None = ask(
        "Laid in the bed",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default=None,
        first=("4 in", "10 cm"),
        help="Thickness of stone and gravel on liner and fabrics: the bed is dug that much deeper; left out, none.",
    )
    bed: Bed = ask("Bed", default="gravel, sides of dry stone", help="Of a channel, for its roughness (Manning's n).")


class Tier(Part):
    """A step of a pool from its bank inward: a face down to a depth, then a level shelf."""

    title_of_part: ClassVar[str] = "tier"
    first_values: ClassVar = ({"zone": "shallow", "depth": "10 in"}, {"zone": "shallow", "depth": "25 cm"})
    zone: Name = ask("Zone", help="What the tier is for: marsh, shelf, deep … Tiers of one zone name add up.")
    depth: Length = ask(
        "Depth", "1 in", "12 ft", ("1 in", "2 cm"), help="Below the waterline, to the top of the gravel.", front=True
    )
    shelf: Length = ask(
        "Shelf",
        "0 in",
        "30 ft",
        ("1 in", "2 cm"),
        default="0 in",
        front=True,
        help="Level width before the next face begins. The floor of the last tier takes what is left.",
    )
    batter: Ratio = ask(
        "Batter",
        0,
        6,
        (0.05, 0.05),
        default=0.5,
        help="Horizontal run per unit of drop, of the face down to this depth.",
        front=True,
    )
    gravel: Length = ask(
        "Gravel",
        "0 in",
        "18 in",
        ("0.5 in", "1 cm"),
        default="0 in",
        help="Thickness on the level part of this tier; without a shelf it has none, unless it is the last.",
    )


Tiers = Annotated[tuple[Tier, ...], Field(min_length=1, max_length=8)]


class Pit(Part):
    """A deeper part in the floor of a pool, with its own outline."""

    title_of_part: ClassVar[str] = "pit"
    at: Point = ask(
        "Place", "-300 ft", "300 ft", ("3 in", "5 cm"), help="Centre of the pit in the pool's own axes.", front=True
    )
    turn_deg: Angle = ask("Turn", -360, 360, (5, 5), default=0, help="Anticlockwise, in the pool's own axes.")
    top: Length | None = ask(
        "Top",
        "1 in",
        "12 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Depth below the waterline at which the outline is drawn; left out, that of the shelf or floor there.",
    )
    outline: Outline = ask(
        "Outline", default={"shape": "circle", "diameter": "4 ft"}, help="Edge of the pit at its top."
    )
    tiers: Tiers = ask("Tiers", help="Depths below the waterline, from the edge of the pit inward.")


class Pool(Part):
    """A pool: outline, levels, tiers from the bank inward, and pits."""

    title_of_part: ClassVar[str] = "pool"
    first_values: ClassVar = (
        {"tiers": [{"zone": "marsh", "depth": "8 in", "shelf": "18 in"}, {"zone": "deep", "depth": "22 in"}]},
        {"tiers": [{"zone": "marsh", "depth": "20 cm", "shelf": "45 cm"}, {"zone": "deep", "depth": "55 cm"}]},
    )
    name: Name = ask("Name", help="Each pool has a name of its own.")
    level: Length = ask(
        "Level",
        "-60 ft",
        "60 ft",
        ("1 in", "2 cm"),
        default="0 in",
        help="Of the water at rest, full and with the pump off, above the site datum.",
        front=True,
    )
    freeboard: Length = ask(
        "Freeboard",
        "0 in",
        "4 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="Height of the rim above the water at rest.",
        front=True,
    )
    bank_batter: Ratio = ask(
        "Bank batter",
        0,
        6,
        (0.05, 0.05),
        default=0.5,
        help="Horizontal run per unit of rise, of the bank above the waterline.",
        front=True,
    )
    at: Point = ask(
        "Place",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=("0 ft", "0 ft"),
        help="The pool's own origin: east, north of the site's.",
    )
    turn_deg: Angle = ask("Turn", -360, 360, (5, 5), default=0, help="Anticlockwise.")
    outline: Outline = ask(
        "Outline", default={"shape": "ellipse"}, help="The waterline on the finished surface, before stone."
    )
    tiers: Tiers = ask("Tiers", help="From the bank inward, each deeper than the one before.")
    pits: Annotated[tuple[Pit, ...], Field(max_length=6)] = ask("Pits", default=(), help="Deeper holes in the floor.")
