"""The existing ground as it is entered: level, one even fall, survey points, or a level book."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from pondkit.core.part import Angle, Length, Part, Place, Point, Ratio, ask
from pondkit.core.text import Name
from pondkit.core.units import LENGTH, read

# Bounds of an input: least, most, step in US and in SI units.
SITE_LEVEL = ("-60 ft", "60 ft", ("1 in", "2 cm"))
SITE_RANGE = float(read(SITE_LEVEL[1], LENGTH, "us"))  # m: of the site's own levels, from its datum
ROD_READING = ("-16 ft", "30 ft", ("0.01 ft", "0.5 cm"))
PLACE = ("-2000 ft", "2000 ft", ("6 in", "10 cm"))
SURVEYED_LEVEL = ("-30000 ft", "30000 ft", ("0.01 ft", "0.5 cm"))  # from any benchmark
MOST_POINTS = 600


def site_datum(levels: str) -> Any:
    """An input: level of the site datum, in the datum of ``levels`` (a survey, a level book, a benchmark)."""
    return ask(
        "Site datum",
        *SURVEYED_LEVEL,
        default="0 ft",
        help=(
            f"What the site counts as level 0, in the datum of the {levels}: with a benchmark of 100 m, 100 m. Pools "
            f"and groundwater are counted from it."
        ),
    )


class LevelGround(Part):
    """Ground that is level."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["level"] = "level"
    level: Length = ask(
        "Ground level", *SITE_LEVEL, default="0 ft", help="Of the ground as it is, above the site datum.", front=True
    )


class PlaneGround(Part):
    """Ground that falls evenly one way."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["plane"] = "plane"
    level: Length = ask(
        "Ground level", *SITE_LEVEL, default="0 ft", help="Of the ground as it is, at the site's origin.", front=True
    )
    fall: Ratio = ask("Fall", 0, 0.5, (0.005, 0.005), default=0, help="Drop over horizontal distance, downhill.")
    toward_deg: Angle = ask(
        "Falls toward", -360, 360, (5, 5), default=0, help="Bearing downhill, clockwise from north."
    )


class PointsGround(Part):
    """Ground by surveyed points, with triangles between them."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["points"] = "points"
    points: Annotated[tuple[Place, ...], Field(max_length=MOST_POINTS)] = ask(
        "Survey points",
        *PLACE,
        default=(),
        help="East, north and level of each; three or more that do not lie in one line.",
    )
    datum: Length = site_datum("survey")


class Sight(Part):
    """One row of a level book: a place, and the rod readings there."""

    title_of_part: ClassVar[str] = "sight"
    name: Name = ask("Point", help="Name of the point that the rod stood on.")
    at: Point | None = ask(
        "Place", *PLACE, default=None, help="East and north of the point; left out if it is no part of the ground."
    )
    backsight: Length | None = ask(
        "Backsight", *ROD_READING, default=None, help="First reading from where the instrument stands."
    )
    intermediate: Length | None = ask(
        "Intermediate sight", *ROD_READING, default=None, help="Any reading between the first and the last."
    )
    foresight: Length | None = ask(
        "Foresight", *ROD_READING, default=None, help="Last reading before the instrument moves, or the book ends."
    )


class LevelBook(Part):
    """Ground by a level book: rod readings, reduced by height of instrument."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["level book"] = "level book"
    benchmark: Length = ask(
        "Benchmark",
        *SURVEYED_LEVEL,
        default="0 ft",
        help="Level of the first row's point, in the datum of the level book.",
        front=True,
    )
    closing: Length | None = ask(
        "Closing level",
        *SURVEYED_LEVEL,
        default=None,
        help="Known level of the last point; on a loop, the benchmark's.",
    )
    datum: Length = site_datum("level book")
    allowed: Length | None = ask(
        "Misclosure allowed",
        "0 in",
        "12 in",
        ("0.05 in", "1 mm"),
        default=None,
        help="Your own figure; a book that misses its closing level by more is not used.",
    )
    spread: bool = ask(
        "Spread the misclosure",
        default=False,
        help="Evenly over the stands of the instrument (common practice, no source); off, levels stay as read.",
    )
    rows: Annotated[tuple[Sight, ...], Field(max_length=MOST_POINTS)] = ask(
        "Level book", default=(), help="Its rows, in the order in which they were read."
    )


Ground = Annotated[LevelGround | PlaneGround | PointsGround | LevelBook, Field(discriminator="kind")]
