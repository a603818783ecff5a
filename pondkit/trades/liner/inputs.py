"""Inputs of the liners: the liners with the pools that they cover, their material and edge, the rolls that can be
bought, and the fabrics (geotextiles) under and over them.
"""

import math
from collections.abc import Sequence
from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Angle, ArealMass, Choice, Density, Length, Mass, Part, PriceEach, Share, ask
from pondkit.core.text import Name, PoolName, text
from pondkit.core.units import LENGTH, System, Typed, read

UP, TRENCH = "turned up", "anchor trench"
EdgeKind = Annotated[str, Choice(("laid flat", UP, TRENCH))]
WIDTH = ("2 ft", "400 ft", ("1 ft", "0.25 m"))  # of stock: least, most, steps in US and SI units


class Liner(Part):
    """One liner, and the pools that it covers."""

    title_of_part: ClassVar[str] = "liner"
    name: Name = ask("Name", help="Each liner has a name of its own.")
    covers: Annotated[tuple[PoolName, ...], Field(min_length=1, max_length=60, fail_fast=True)] = ask(
        "Covers", help="Names of the pools that this liner covers in one piece."
    )
    turn_deg: Angle | None = ask(
        "Turn",
        -360,
        360,
        (1, 1),
        default=None,
        help="Direction of the liner's length, anticlockwise from east; left out, that of the long side of the "
        "narrowest rectangle round the rims.",
    )


class Fabric(Part):
    """A geotextile by the roll: underlay or overlay."""

    title_of_part: ClassVar[str] = "fabric"
    mass: ArealMass = ask(
        "Mass per area",
        "1 oz/yd^2",
        "60 oz/yd^2",
        ("1 oz/yd^2", "10 g/m^2"),
        default="8 oz/yd^2",
        help="As printed on the roll.",
    )
    thickness: Length = ask(
        "Thickness",
        "0 mm",
        "30 mm",
        ("10 mil", "0.5 mm"),
        default="3 mm",
        help="As printed on the roll; widens the dig.",
    )
    roll_width: Length = ask(
        "Roll width", "1 ft", "60 ft", ("6 in", "0.1 m"), default="15 ft", help="Width of the fabric on the roll."
    )
    roll_length: Length = ask(
        "Roll length", "5 ft", "1000 ft", ("5 ft", "1 m"), default="300 ft", help="Length of fabric on a whole roll."
    )
    lap: Length = ask(
        "Lap", "0 in", "4 ft", ("1 in", "2 cm"), default="12 in", help="Of one strip of fabric over the next."
    )


class Roll(Part):
    """A roll or ready-made sheet of liner that can be bought."""

    title_of_part: ClassVar[str] = "roll"
    first_values: ClassVar = ({"width": "20 ft", "length": "100 ft"}, {"width": "6 m", "length": "30 m"})
    name: Name = ask("Name", help="As your supplier calls it.")
    width: Length = ask("Width", *WIDTH, help="Of the roll or ready-made sheet.")
    length: Length = ask("Length", *WIDTH, help="On the roll, or of the sheet.")
    price: PriceEach = ask(
        "Price", 0, "100000 each", ("10 each", "10 each"), default="0 each", help="Of one roll or sheet."
    )


class Burrow(Part):
    """A zone of a pool in which animals are expected to burrow."""

    title_of_part: ClassVar[str] = "burrow"
    pool: PoolName = ask("Pool", help="Where burrowing is expected.")
    zone: Name = ask("Zone", help="Of that pool: its floors and the faces above them get pads, below the waterline.")
    stretch: Share = ask(
        "Stretch", "1 %", "100 %", ("5 %", "5 %"), default="100 %", help="Share of the way round that gets pads."
    )


class Lining(Part):
    """The liners of an option, with all that is bought for them."""

    title_of_part: ClassVar[str] = "lining"
    material: Annotated[str, text(60)] = ask(
        "Liner material", default="", help="As your supplier calls it; the order list prints it."
    )
    thickness: Length = ask(
        "Liner thickness", "5 mil", "200 mil", ("5 mil", "0.1 mm"), default="45 mil", help="As printed on the liner."
    )
    thickness_within: Share = ask(
        "Thickness within",
        "0 %",
        "30 %",
        ("1 %", "1 %"),
        default="10 %",
        help="The thickness may be this share more or less (ASTM D4637 admits 10 % less; more: from memory, confirm).",
    )
    density: Density = ask(
        "Liner density",
        "800 kg/m^3",
        "2000 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="1150 kg/m^3",
        help="Mass of the liner per volume (from memory, confirm).",
    )
    density_within: Share = ask(
        "Liner density within",
        "0 %",
        "30 %",
        ("1 %", "1 %"),
        default="5 %",
        help="The density may be this share more or less (from memory, confirm).",
    )
    edge: Length = ask(
        "Edge",
        "0 in",
        "10 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Liner beyond the rim, all round, measured along the liner; more where the way through an anchor trench "
        "is longer.",
    )
    stock_width: Length = ask(
        "Stock width", *WIDTH, default="20 ft", help="Widest liner that the supplier has; wider means a seam."
    )
    stock_length: Length = ask(
        "Stock length",
        *WIDTH,
        default="100 ft",
        help="Longest liner that the supplier has; longer means a seam across.",
    )
    seam_lap: Length = ask(
        "Seam lap", "1 in", "2 ft", ("1 in", "1 cm"), default="6 in", help="Of one panel over the next at a seam."
    )
    allowance: Length = ask(
        "Allowance",
        "0 in",
        "10 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Added once to length and width before ordering.",
    )
    sale_unit: Length = ask(
        "Unit of sale",
        "0.1 in",
        "10 ft",
        ("1 in", "1 cm"),
        default="1 ft",
        help="Length and width are rounded up to whole numbers of these.",
    )
    carry: Mass = ask(
        "Load per person",
        "10 lb",
        "150 lb",
        ("5 lb", "1 kg"),
        default="50 lb",
        help="What one person is asked to carry; your own rule.",
    )
    liners: Annotated[tuple[Liner, ...], Field(max_length=20)] = ask(
        "Liners", default=(), help="Which pools each liner covers."
    )
    edge_kind: EdgeKind = ask("How the edge ends", default="laid flat", help="Beyond the rim.")
    edge_back: Length = ask(
        "Edge back from the rim",
        "0 in",
        "10 ft",
        ("1 in", "2 cm"),
        default="0 in",
        help="Level width of liner before it is turned up or goes into the trench; NRCS 521(A) asks for 24 in before a "
        "trench.",
    )
    edge_rise: Length = ask(
        "Edge turned up",
        "0 in",
        "4 ft",
        ("1 in", "2 cm"),
        default="4 in",
        help="Height behind the edging, above all soil that could draw water over it.",
    )
    trench_depth: Length = ask(
        "Trench depth", "1 in", "4 ft", ("1 in", "2 cm"), default="12 in", help="NRCS 521(A) asks for 12 in or more."
    )
    trench_width: Length = ask(
        "Trench width", "1 in", "4 ft", ("1 in", "2 cm"), default="12 in", help="NRCS 521(A) asks for 12 in or more."
    )
    link_beside: Length = ask(
        "Strip beside crest or bank",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Width of the strip of liner on each side of a fall, or beyond each bank of a channel.",
    )
    link_lap: Length = ask(
        "Lap of the strip under a link",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Of the strip under a fall or channel with the liner at each end.",
    )
    pad_margin: Length = ask(
        "Margin of pads",
        "0 in",
        "3 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Round the rectangle of a boulder, on every side; up and down the face for pads against burrowing.",
    )
    gravel_density: Density = ask(
        "Density of the gravel",
        "1000 kg/m^3",
        "2400 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="1600 kg/m^3",
        help="As it lies, drained (from memory, confirm).",
    )
    gravel_density_within: Share = ask(
        "Density of the gravel within",
        "0 %",
        "40 %",
        ("1 %", "1 %"),
        default="10 %",
        help="The density may be this share more or less (from memory, confirm).",
    )
    burrows: Annotated[tuple[Burrow, ...], Field(max_length=40)] = ask(
        "Burrowing", default=(), help="Zones in which animals are expected to burrow, and get pads."
    )
    rolls: Annotated[tuple[Roll, ...], Field(max_length=8)] = ask(
        "Rolls",
        default=(),
        help="Rolls and sheets that you can buy; without any, panels are of the stock width and length.",
    )
    underlay: Fabric | None = ask("Underlay", default={}, help="Geotextile under the liner.")
    overlay: Fabric | None = ask("Overlay", default=None, help="Geotextile over the liner.")


def layers_thickness(lining: Lining | None) -> float:
    """Thickness of underlay, liner and overlay together [m]; 0 if the option has no liners."""
    if lining is None:
        return 0.0
    return lining.thickness + sum(fabric.thickness for fabric in (lining.underlay, lining.overlay) if fabric)


def lined_pools(lining: Lining | None) -> frozenset[str]:
    """Names of the pools that a liner covers."""
    return frozenset(name for liner in lining.liners for name in liner.covers) if lining else frozenset()


# Usual widths of liner with the length of the sheet, narrowest first (common practice, no source).
USUAL_STOCK = {
    "us": (("20 ft", "100 ft"), ("30 ft", "100 ft"), ("40 ft", "100 ft"), ("50 ft", "200 ft")),
    "si": (("6 m", "30 m"), ("9 m", "30 m"), ("12 m", "30 m"), ("15 m", "60 m")),
}


def one_piece_stock(sides: Sequence[tuple[float, float]], system: System) -> dict[str, float]:
    """Stock width and length, by their keys, from which each of several liners is made in one piece: the narrowest
    usual stock that does, else a sheet made to the size of the largest.

    Args:
        sides: Width and length to order of each liner [m].
        system: Unit system of the project file.
    """
    wide = max((min(pair) for pair in sides), default=0.0)
    long = max((max(pair) for pair in sides), default=0.0)
    for width, length in USUAL_STOCK[system]:
        stock_width, stock_length = float(read(width, LENGTH, system)), float(read(length, LENGTH, system))
        if wide <= stock_width and long <= stock_length:
            return {"stock_width": read(width, LENGTH, system), "stock_length": read(length, LENGTH, system)}
    typed = Typed(system)
    return {
        "stock_width": read(typed.far(wide, 1.0, math.ceil), LENGTH, system),
        "stock_length": read(typed.far(long, 1.0, math.ceil), LENGTH, system),
    }
