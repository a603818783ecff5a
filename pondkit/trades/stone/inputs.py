"""Inputs of the stone: boulders and edging, the ground under them, their slings, and loose stone by the truck."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.entry import Range
from pondkit.core.part import (
    Angle,
    Choice,
    Density,
    Length,
    Mass,
    Part,
    Point,
    Portion,
    Pressure,
    Share,
    Whole,
    ask,
)
from pondkit.core.tables import Row, names, rows_by_name
from pondkit.core.text import BoulderName, Name, PoolName

Ground = Annotated[str, Choice(names("trades/stone/bearing"))]


class Bearing(Part):
    """Ground that boulders stand on: what it may bear, and how much of a boulder touches it."""

    title_of_part: ClassVar[str] = "bearing"
    ground: Ground = ask(
        "Ground under the stones",
        default="clay, silt",
        help="Undisturbed, as dug; gives the presumptive allowable pressure.",
    )
    pressure: Pressure | None = ask(
        "Tested allowable pressure",
        "100 psf",
        "50000 psf",
        ("100 psf", "5 kPa"),
        default=None,
        help="Where the ground was tested, in place of the presumptive pressure of the table.",
    )
    contact_low: Portion = ask(
        "Least share in contact",
        "5 %",
        "100 %",
        ("5 %", "5 %"),
        default="30 %",
        help="Of the stone's length times width, the least that touches the ground (from memory, confirm).",
    )
    contact_high: Portion = ask(
        "Greatest share in contact",
        "5 %",
        "100 %",
        ("5 %", "5 %"),
        default="80 %",
        help="Of the stone's length times width, the most that touches the ground (from memory, confirm).",
    )
    set_back: Length = ask(
        "Setback from the front",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Level ground kept between a stone, or the spread of its bedding, and the front of its shelf (common "
        "practice, no source).",
    )


class Haul(Part):
    """Porosity of loose stone in the truck and of compacted bedding, which give the volume that is delivered."""

    title_of_part: ClassVar[str] = "haul"
    loose_porosity: Portion = ask(
        "Porosity in the truck",
        "20 %",
        "60 %",
        ("1 %", "1 %"),
        default="40 %",
        help="Voids over bulk volume of gravel, bedding and edging, loose as tipped (from memory, confirm).",
    )
    loose_porosity_within: Portion = ask(
        "Porosity in the truck within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="10 %",
        help="The porosity may be this share more or less (from memory, confirm).",
    )
    bedding_porosity: Portion = ask(
        "Porosity of the bedding",
        "5 %",
        "50 %",
        ("1 %", "1 %"),
        default="25 %",
        help="Voids over bulk volume of compacted bedding (from memory, confirm).",
    )
    bedding_porosity_within: Portion = ask(
        "Porosity of the bedding within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="20 %",
        help="The porosity may be this share more or less (from memory, confirm).",
    )


Hitch = Annotated[str, Choice(("choker", "basket", "vertical"))]
RATING = ("50 lb", "60000 lb", ("100 lb", "50 kg"))  # least, most, steps in US and SI units


class ChokeRow(Part):
    """One row of a sling maker's table for tight chokes: choke angle, and share of the choker rating."""

    title_of_part: ClassVar[str] = "choke angle"
    angle_deg: Angle = ask(
        "Choke angle from", 0, 180, (5, 5), default=120, help="Least angle at the choke for which the share holds."
    )
    share: Portion = ask(
        "Share of choker rating",
        "5 %",
        "100 %",
        ("1 %", "1 %"),
        default="100 %",
        help="As the maker of this sling prints it.",
    )


class Sling(Part):
    """Slings of one kind, with the ratings on their tags."""

    title_of_part: ClassVar[str] = "sling"
    first_values: ClassVar = ({"length": "8 ft", "width": "2 in"}, {"length": "2.5 m", "width": "5 cm"})
    name: Name = ask("Name", help="Each kind of sling has a name of its own.")
    count: Whole = ask("Count", 1, 50, (1, 1), default=2, help="How many of this kind are on site.")
    vertical: Mass | None = ask(
        "Vertical rating",
        *RATING,
        default=None,
        help="Working load limit on the tag for a straight pull. A sling without a legible tag lifts nothing.",
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
        help="Where the tag prints one, for both parts plumb; left out, twice the vertical rating.",
    )
    length: Length = ask("Length", "1 ft", "60 ft", ("6 in", "10 cm"), help="Bearing point to bearing point.")
    width: Length = ask("Width", "0.25 in", "24 in", ("0.5 in", "1 cm"), help="Of the webbing, or of the body.")
    edge_protection: bool = ask(
        "Edge protection", default=False, help="Sleeves or pads between this sling and every edge of rock."
    )
    choke: Annotated[tuple[ChokeRow, ...], Field(max_length=12)] = ask(
        "Choke angles", default=(), help="The maker's table for tight chokes; none is needed from 120 degrees on."
    )


class Rigging(Part):
    """How boulders are slung: hitch, slings per lift, and the angles of legs and choke."""

    title_of_part: ClassVar[str] = "rigging"
    hitch: Hitch = ask("Hitch", default="choker", help="Vertical only with an eye or pin set in the stone.")
    legs: Whole = ask("Slings per lift", 1, 4, (1, 1), default=2, help="Three or four on a rigid stone count as two.")
    angle_deg: Angle = ask(
        "Leg angle",
        10,
        85,
        (5, 5),
        default=60,
        help="Between a leg and the horizontal; a single straight pull hangs plumb.",
    )
    choke_angle_deg: Angle = ask(
        "Choke angle",
        0,
        180,
        (5, 5),
        default=120,
        help="Between the leg and the sling's own eye at the choke; full choker rating from 120 on.",
    )
    heavier_share: Portion = ask(
        "Share of the heavier leg",
        "50 %",
        "100 %",
        ("5 %", "5 %"),
        default="60 %",
        help="Of the load on two legs; 50 % would be even, and no boulder hangs evenly (from memory, confirm).",
    )
    heavier_within: Portion = ask(
        "Heavier leg within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="10 %",
        help="The heavier leg's share may be this share of itself more or less (from memory, confirm).",
    )
    spread: Portion = ask(
        "Slings apart",
        "10 %",
        "90 %",
        ("5 %", "5 %"),
        default="50 %",
        help="Share of the stone's length between outer slings (common practice, no source).",
    )
    hook_height: Length = ask(
        "Hook above stone",
        "2 in",
        "20 ft",
        ("3 in", "5 cm"),
        default="18 in",
        help="Least height of the hook in a single straight pull.",
    )
    limit: Share = ask(
        "Use a sling up to",
        "10 %",
        "100 %",
        ("5 %", "5 %"),
        default="80 %",
        help="Your own limit, as a share of its rated capacity.",
    )


Rock = Annotated[str, Choice(names("trades/stone/rocks"))]
Form = Annotated[str, Choice(names("trades/stone/forms"))]
Seat = Annotated[str, Choice(("outside", "inside"))]
STONE = ("1 in", "15 ft", ("1 in", "2 cm"))  # sides of a stone: least, most, steps in US and SI units


class Boulder(Part):
    """Boulders of one kind: their size, form, number and places."""

    title_of_part: ClassVar[str] = "boulder"
    name: Name = ask("Name", help="Each kind of boulder has a name of its own.", front=True)
    count: Whole = ask("Count", 1, 500, (1, 1), default=1, help="How many of this size.", front=True)
    axes: tuple[Length, Length, Length] = ask(
        "Size",
        *STONE,
        help="Length, width and height as it lies: its longest, middle and shortest, at right angles.",
        front=True,
    )
    axes_within: Portion = ask(
        "Size within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="10 %",
        help="Length, width and height may together be this share more or less.",
    )
    form: Form = ask("Form", default="ellipsoid", help="Gives how much of the box round it the stone fills.")
    density: Density | None = ask(
        "Density",
        "500 kg/m^3",
        "3500 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default=None,
        help="Where it was measured, in place of the range of the rock.",
    )
    pool: PoolName | None = ask(
        "Pool",
        default=None,
        help="Pool whose water it stands in; left out, it is weighed and displaces nothing.",
        front=True,
    )
    under_water: Portion = ask(
        "Under water",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="50 %",
        help="Share of each stone without a place that is below its pool's level; with a place its depth counts.",
    )
    rests_on: BoulderName | None = ask(
        "Rests on", default=None, help="The boulder under it, which bears it; left out, it stands on the ground."
    )
    bedding: Length | None = ask(
        "Bedding",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Compacted stone bed under each; left out, the least thickness at which the ground bears the stone.",
    )
    places: Annotated[tuple[Point, ...], Field(max_length=500, fail_fast=True)] = ask(
        "Places",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=(),
        help="Middle of each on the plan, east and north; further boulders of the kind are counted without a place.",
    )


class Edging(Part):
    """A row of edging stone along the outline of a pool, outside or inside."""

    title_of_part: ClassVar[str] = "edging"
    pool: PoolName = ask("Pool", help="The pool that the row goes round.")
    seat: Seat = ask(
        "Seat", default="outside", help="A row outside widens dig and liner; one inside stands in the water."
    )
    base_level: Length = ask(
        "Base level", "-70 ft", "70 ft", ("1 in", "2 cm"), help="Of the underside of the stones, above the site datum."
    )
    along: Length = ask("Along", *STONE, default="18 in", help="Of one stone, along the edge.")
    across: Length = ask(
        "Across", *STONE, default="14 in", help="Of one stone, square to the edge; the width of the seat."
    )
    height: Length = ask("Height", *STONE, default="12 in", help="Of one stone.")


class Stone(Part):
    """The stone of an option: rock, boulders and edging, their slings and the ground under them."""

    title_of_part: ClassVar[str] = "stone"
    rock: Rock = ask("Rock", default="granite", help="Gives the density with its range.")
    porosity: Portion = ask(
        "Porosity",
        "0 %",
        "70 %",
        ("1 %", "1 %"),
        default="35 %",
        help="Voids over bulk volume of laid stone (from memory, confirm).",
    )
    porosity_within: Portion = ask(
        "Porosity within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="15 %",
        help="The porosity may be this share more or less: fitted stone 25 to 35 %, dumped 35 to 45 % (from memory, "
        "confirm).",
    )
    boulders: Annotated[tuple[Boulder, ...], Field(max_length=200)] = ask(
        "Boulders", default=(), help="One entry for all boulders of one size."
    )
    edging: Annotated[tuple[Edging, ...], Field(max_length=60)] = ask(
        "Edging", default=(), help="Rows of stone along the outlines of pools."
    )
    slings: Annotated[tuple[Sling, ...], Field(max_length=20)] = ask(
        "Slings", default=(), help="One entry for all slings of one kind, with the ratings on their tags."
    )
    rigging: Rigging | None = ask("Rigging", default=None, help="How the boulders are slung.")
    bearing: Bearing | None = ask("Bearing", default=None, help="What the ground under the boulders may bear.")
    haul: Haul | None = ask(
        "Haul", default=None, help="Stone and bedding as delivered, by the truck that is entered with the earthwork."
    )


def sorted_axes(boulder: Boulder) -> tuple[float, float, float]:
    """(longest, middle, shortest) axis [m], in whatever order they were entered."""
    longest, middle, shortest = sorted(boulder.axes, reverse=True)
    return longest, middle, shortest


def table_range(row: Row, low: str, typical: str, high: str) -> Range:
    """Range given by three columns of a row of a table: names of the columns with its low, typical and high value."""
    return Range(float(row[low]), float(row[typical]), float(row[high]), row["source"])


def any_rock() -> Range:
    """Density of rock that is not named [kg/m³]: lowest, median of the typical, and highest of the table of rocks."""
    rows = rows_by_name("trades/stone/rocks").values()
    low, typical, high = (sorted(float(row[f"{end}_kg_m3"]) for row in rows) for end in ("low", "typical", "high"))
    sources = "; ".join(sorted({row["source"] for row in rows}))
    return Range(low[0], typical[len(typical) // 2], high[-1], f"any rock of: {sources}")


def rock_density(stone: Stone) -> Range:
    """Density of the rock that the inputs name [kg/m³]."""
    return table_range(rows_by_name("trades/stone/rocks")[stone.rock], "low_kg_m3", "typical_kg_m3", "high_kg_m3")
