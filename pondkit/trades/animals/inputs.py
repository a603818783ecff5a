"""Inputs of the animals: requirements as the person states them; none of them is a standard."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Area, Choice, Length, Part, Point, Ratio, Whole, ask
from pondkit.core.text import Name, PoolName

Surface = Annotated[str, Choice(("bare liner", "gravel", "rough stone", "wood", "soil and plants"))]
Entrance = Annotated[str, Choice(("either", "below water", "above water"))]
INCH = ("1 in", "2 cm")


class AnimalKind(Part):
    """Requirements of one kind of animal for water, banks, passages and fence. Those left out are not checked."""

    title_of_part: ClassVar[str] = "kind"
    name: Name = ask("Name", help="Name of the kind, or of one stage of its life.")
    protected: bool = ask(
        "Protected by law", default=True, help="Choose no only if the wildlife authority has told you so."
    )
    body_width: Length | None = ask(
        "Clear way wanted",
        "0.25 in",
        "4 ft",
        ("0.25 in", "5 mm"),
        default=None,
        help="Body width of the largest animal, with the room it needs to turn.",
    )
    longest_swim: Length | None = ask(
        "Longest swim",
        "1 ft",
        "300 ft",
        ("1 ft", "0.25 m"),
        default=None,
        help="Longest swim under water that it may have to make between two places with open air.",
    )
    water_depth: Length | None = ask(
        "Water depth wanted", "1 in", "20 ft", INCH, default=None, help="Least depth, at the lowest water."
    )
    most_depth: Length | None = ask(
        "Water no deeper than",
        "1 in",
        "20 ft",
        INCH,
        default=None,
        help="At the highest water, for a kind that wants shallow water. Deeper water does not count towards its area.",
    )
    water_area: Area | None = ask(
        "Area of that depth",
        "1 ft^2",
        "20000 ft^2",
        ("1 ft^2", "0.1 m^2"),
        default=None,
        help="Plan area of all pools together that is at least as deep as wanted, and not too deep.",
    )
    under_ice: Length | None = ask(
        "Water under ice",
        "1 in",
        "10 ft",
        INCH,
        default=None,
        help="Depth of water left under the ice at the deepest place, at the lowest water.",
    )
    steepest_way_out: Ratio | None = ask(
        "Steepest way out",
        0,
        20,
        (0.1, 0.1),
        default=None,
        help="Steepest slope that it can climb, as horizontal run for one of rise.",
    )
    ways_out: Whole = ask(
        "Ways out of each pool", 0, 12, (1, 1), default=1, help="Least number of ways out that it can climb."
    )
    entrance: Entrance = ask("Entrance", default="either", help="Where the mouths of its passages must be.")
    entrance_depth: Length = ask(
        "Entrance under water",
        "0 in",
        "6 ft",
        INCH,
        default="0 in",
        help="Least depth of a mouth's crown below the lowest water, where entrances must be below water.",
    )
    exits: Whole = ask(
        "Mouths to each den", 0, 12, (1, 1), default=0, help="Least number of mouths that each den is connected to."
    )
    den_dryness: Length | None = ask(
        "Den floor over water",
        "0 in",
        "6 ft",
        INCH,
        default=None,
        first=("8 in", "20 cm"),
        help="Least height of each den's floor above the highest water.",
    )
    fence_height: Length | None = ask(
        "Fence height", "1 in", "12 ft", INCH, default=None, help="Height of fence that keeps it in, or others out."
    )
    fence_dig_in: Length | None = ask(
        "Fence dig-in",
        "1 in",
        "6 ft",
        INCH,
        default=None,
        first=("10 in", "25 cm"),
        help="Depth below the ground that the fence must reach.",
    )
    fence_overhang: Length | None = ask(
        "Fence overhang",
        "1 in",
        "4 ft",
        INCH,
        default=None,
        first=("8 in", "20 cm"),
        help="Distance that its top must lean in.",
    )


class AnimalWayOut(Part):
    """A place of a waterline at which animals can climb out."""

    title_of_part: ClassVar[str] = "way out"
    name: Name = ask("Name", default="ramp", help="Its name on the plan.")
    pool: PoolName = ask("Pool", help="The pool it leads out of.")
    at: Point = ask("Place", "-1000 ft", "1000 ft", ("3 in", "5 cm"), help="East and north of the site's origin.")
    slope: Ratio = ask("Slope", 0, 20, (0.1, 0.1), default=3, help="Horizontal run for one of rise, at its steepest.")
    surface: Surface = ask("Surface", default="rough stone", help="What the animal walks on.")


class Animals(Part):
    """The brief: kinds of animal, ways out, ice and fence."""

    title_of_part: ClassVar[str] = "animals"
    bank_surface: Surface = ask(
        "Surface of the banks", default="bare liner", help="Of all banks, from the lowest water to the rim."
    )
    bare_slope: Ratio = ask(
        "Steepest bare liner allowed",
        0,
        20,
        (0.1, 0.1),
        default=3,
        help="As horizontal run for one of rise. A way out on a steeper bare liner does not count (common practice, no "
        "source).",
    )
    way_out_reach: Length = ask(
        "Way out, from the waterline",
        "0 in",
        "30 ft",
        ("3 in", "5 cm"),
        default="6 ft",
        help="Greatest distance on plan from the place of a way out to its pool's waterline, on either side of it. One "
        "that lies further off does not count; your own rule.",
    )
    ice: Length = ask("Ice", "0 in", "6 ft", INCH, default="0 in", help="Thickest ice to plan for; your own figure.")
    fence_height: Length | None = ask(
        "Fence height",
        "1 in",
        "12 ft",
        INCH,
        default=None,
        help="Height of the fence planned. Left out, there is none.",
    )
    fence_dig_in: Length | None = ask(
        "Fence dig-in",
        "1 in",
        "6 ft",
        INCH,
        default=None,
        first=("10 in", "25 cm"),
        help="Depth below the ground that the fence planned reaches.",
    )
    fence_overhang: Length | None = ask(
        "Fence overhang",
        "1 in",
        "4 ft",
        INCH,
        default=None,
        first=("8 in", "20 cm"),
        help="Distance that its top leans in.",
    )
    kinds: Annotated[tuple[AnimalKind, ...], Field(max_length=20)] = ask(
        "Kinds", default=(), help="Kinds of animal that the pond is built for."
    )
    ways_out: Annotated[tuple[AnimalWayOut, ...], Field(max_length=60)] = ask(
        "Ways out", default=(), help="Ramps, logs and steps out of the pools."
    )
