"""Shapes as a person enters them: circle, ellipse, rectangle, points, and offsets from a baseline."""

from typing import Annotated, ClassVar, Literal

from pydantic import Field

from pondkit.core.part import Length, Part, Point, ask

SIZE = ("1 ft", "200 ft", ("3 in", "5 cm"))


class Circle(Part):
    title_of_part: ClassVar[str] = "circle"
    shape: Literal["circle"] = "circle"
    diameter: Length = ask("Diameter", *SIZE, default="12 ft", help="Across the waterline.", front=True)


class Ellipse(Part):
    title_of_part: ClassVar[str] = "ellipse"
    shape: Literal["ellipse"] = "ellipse"
    length: Length = ask(
        "Length", *SIZE, default="16 ft", help="Along the pool's own x axis, at the waterline.", front=True
    )
    width: Length = ask("Width", *SIZE, default="10 ft", help="Across, at the waterline.", front=True)


class Rectangle(Part):
    title_of_part: ClassVar[str] = "rectangle"
    shape: Literal["rectangle"] = "rectangle"
    length: Length = ask(
        "Length", *SIZE, default="16 ft", help="Along the pool's own x axis, at the waterline.", front=True
    )
    width: Length = ask("Width", *SIZE, default="10 ft", help="Across, at the waterline.", front=True)
    corner_radius: Length = ask(
        "Corner radius",
        "0 in",
        "100 ft",
        ("3 in", "5 cm"),
        default="0 in",
        help="Rounding of the four corners.",
        front=True,
    )


class Points(Part):
    title_of_part: ClassVar[str] = "points"
    shape: Literal["points"] = "points"
    smooth: bool = ask("Smooth", default=True, help="Pass a closed curve through the points instead of straight lines.")
    points: Annotated[tuple[Point, ...], Field(min_length=3, max_length=200, fail_fast=True)] = ask(
        "Points",
        "-500 ft",
        "500 ft",
        ("3 in", "5 cm"),
        help="Corners in order round the waterline, in the pool's own axes.",
    )


class Offsets(Part):
    title_of_part: ClassVar[str] = "offsets"
    shape: Literal["offsets"] = "offsets"
    smooth: bool = ask("Smooth", default=False, help="Pass a closed curve through the measured points.")
    left: Annotated[tuple[Point, ...], Field(min_length=1, max_length=100, fail_fast=True)] = ask(
        "Left offsets",
        "-500 ft",
        "500 ft",
        ("3 in", "5 cm"),
        help=(
            "Pairs: distance along the baseline (the pool's own x axis), offset to its left. Measured on one side "
            "only, the baseline's two ends belong in too, with offset 0: the outline closes straight from the last "
            "pair to the first."
        ),
    )
    right: Annotated[tuple[Point, ...], Field(max_length=100, fail_fast=True)] = ask(
        "Right offsets",
        "-500 ft",
        "500 ft",
        ("3 in", "5 cm"),
        default=(),
        help="Pairs: distance along the baseline, offset to its right.",
    )


Outline = Annotated[Circle | Ellipse | Rectangle | Points | Offsets, Field(discriminator="shape")]
