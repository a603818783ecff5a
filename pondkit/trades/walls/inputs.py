"""Inputs of dry-stacked retaining walls of stone, course by course."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Angle, Density, Length, Part, Point, Portion, Pressure, Ratio, ask
from pondkit.core.text import Name

# Bounds of an input: least, most, step in US and in SI units.
SOIL = ("60 lb/ft^3", "160 lb/ft^3", ("1 lb/ft^3", "20 kg/m^3"))
PRESSURE = ("0 psf", "10000 psf", ("50 psf", "2 kPa"))


class Course(Part):
    """One course of a wall, from the base up."""

    title_of_part: ClassVar[str] = "course"
    height: Length = ask(
        "Height", "2 in", "6 ft", ("1 in", "2 cm"), default="12 in", help="Of the stones of this course."
    )
    width: Length = ask(
        "Front to back", "4 in", "15 ft", ("1 in", "2 cm"), default="24 in", help="Width of the course, on average."
    )
    set_back: Length = ask(
        "Set back",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="2 in",
        help="Of its front behind the front of the course below.",
    )


class Wall(Part):
    """A dry-stacked wall along a line."""

    title_of_part: ClassVar[str] = "wall"
    name: Name = ask("Name", help="Each wall has a name of its own.")
    slope_deg: Angle = ask(
        "Backfill rises at", 0, 40, (1, 1), default=0, help="Slope of its surface, back from the top of the wall."
    )
    surcharge: Pressure = ask(
        "Surcharge",
        *PRESSURE,
        default="0 psf",
        help="On the backfill, as an even pressure: of a berm, a buried filter, a machine or a path.",
    )
    water: Length | None = ask(
        "Water behind",
        "0 in",
        "40 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Its height above the base, with the pool empty; left out, it stands to the top of the wall.",
    )
    base_level: Length | None = ask(
        "Base",
        "-60 ft",
        "60 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="Underside of the lowest course, above the site datum.",
    )
    points: Annotated[tuple[Point, ...], Field(max_length=200)] = ask(
        "Line of its front",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=(),
        help="Front of its lowest course, east and north, with the backfill on the left; none if it is not drawn.",
    )
    length: Length | None = ask(
        "Length",
        "6 in",
        "1000 ft",
        ("6 in", "10 cm"),
        default=None,
        help="Along the front of a wall that is not drawn, for the stone to order. A drawn wall has that of its line.",
    )
    courses: Annotated[tuple[Course, ...], Field(max_length=20)] = ask("Courses", default=(), help="From the base up.")


class Walls(Part):
    """Dry-stacked walls and their common properties: soil behind, stone, joints, ground, factors of safety."""

    title_of_part: ClassVar[str] = "walls"
    friction_deg: Angle = ask(
        "Angle of friction", 15, 45, (1, 1), default=30, help="Of the backfill (from memory, confirm)."
    )
    friction_within: Portion = ask(
        "Friction within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="10 %",
        help="It may be this share of itself more or less (from memory, confirm).",
    )
    moist: Density = ask(
        "Backfill, moist", *SOIL, default="115 lb/ft^3", help="As it lies above water (from memory, confirm)."
    )
    moist_within: Portion = ask(
        "Moist density within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="5 %",
        help="It may be this share of itself more or less (from memory, confirm).",
    )
    saturated: Density = ask(
        "Backfill, saturated", *SOIL, default="130 lb/ft^3", help="Below water (from memory, confirm)."
    )
    saturated_within: Portion = ask(
        "Saturated density within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="5 %",
        help="It may be this share of itself more or less (from memory, confirm).",
    )
    stone: Density = ask(
        "Density of the stone",
        "80 lb/ft^3",
        "220 lb/ft^3",
        ("1 lb/ft^3", "20 kg/m^3"),
        default="160 lb/ft^3",
        help="Of the rock itself, at the least.",
    )
    porosity: Portion = ask(
        "Porosity of the wall",
        "0 %",
        "60 %",
        ("1 %", "1 %"),
        default="30 %",
        help="Voids over bulk volume of the stacked wall (from memory, confirm).",
    )
    porosity_within: Portion = ask(
        "Porosity within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="15 %",
        help="It may be this share of itself more or less: fitted boulders 25 to 35 % (from memory, confirm).",
    )
    base_friction: Ratio = ask(
        "Friction under the base",
        0,
        1,
        (0.01, 0.01),
        default=0.25,
        help=(
            "Resistance to sliding over weight: IBC table 1806.2 gives 0.25 for sand and 0.35 for gravel. For clay it "
            "gives none: enter 0 here, and an adhesion."
        ),
    )
    adhesion: Pressure = ask(
        "Adhesion under the base",
        *PRESSURE,
        default="0 psf",
        help="Of clay, where it was tested; IBC table 1806.2 gives 130 psf for it.",
    )
    joint_friction: Ratio = ask(
        "Friction between courses",
        0.05,
        1.2,
        (0.05, 0.05),
        default=0.6,
        help="Of stone on stone (from memory, confirm).",
    )
    joint_friction_within: Portion = ask(
        "Friction between courses within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="20 %",
        help="It may be this share of itself more or less (from memory, confirm).",
    )
    allowed: Pressure | None = ask(
        "Allowable pressure",
        "100 psf",
        "20000 psf",
        ("100 psf", "5 kPa"),
        default=None,
        help="Of the ground under the base, as tested; left out, the least of IBC table 1806.2, that of clay and silt.",
    )
    least_overturning: Ratio = ask(
        "Required factor of safety, overturning",
        1,
        4,
        (0.1, 0.1),
        default=1.5,
        help="1.5 by IRC R404.4; textbooks often 2.",
    )
    least_sliding: Ratio = ask(
        "Required factor of safety, sliding", 1, 4, (0.1, 0.1), default=1.5, help="1.5 by IRC R404.4."
    )
    footing: Length = ask(
        "Footing",
        "0 in",
        "4 ft",
        ("0.5 in", "1 cm"),
        default="6 in",
        help="Of crushed stone under the lowest course; your own figure.",
    )
    footing_room: Length = ask(
        "Room beside the wall",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="In its trench, before and behind the lowest course; your own figure.",
    )
    walls: Annotated[tuple[Wall, ...], Field(max_length=20)] = ask("Walls", default=(), help="Each with its courses.")
