"""Existing ground: level, one even fall, survey points, or a level book."""

from typing import Annotated, Any, ClassVar, Literal

from pydantic import Field

from pondkit.core.part import Angle, Length, Part, Place, Point, Ratio, ask
from pondkit.core.text import Name
from pondkit.core.units import LENGTH, read

LEVEL = ("-60 ft", "60 ft", ("1 in", "2 cm"))
RANGE = float(read(LEVEL[1], LENGTH, "us"))  # m: greatest distance of the site's own levels from its datum
READING = ("-16 ft", "30 ft", ("0.01 ft", "0.5 cm"))
FAR = ("-2000 ft", "2000 ft", ("6 in", "10 cm"))
BOOK = ("-30000 ft", "30000 ft", ("0.01 ft", "0.5 cm"))  # levels as a surveyor counts them, from any benchmark
MOST_POINTS = 600


def site_datum(levels: str) -> Any:
    """An input: level of the site datum, in the datum of ``levels`` (a survey, a level book, a benchmark)."""
    return ask(
        "Site datum",
        *BOOK,
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
        "Ground level", *LEVEL, default="0 ft", help="Of the ground as it is, above the site datum.", front=True
    )


class PlaneGround(Part):
    """Ground that falls evenly one way."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["plane"] = "plane"
    level: Length = ask(
        "Ground level", *LEVEL, default="0 ft", help="Of the ground as it is, at the site's origin.", front=True
    )
    fall: Ratio = ask("Fall", 0, 0.5, (0.005, 0.005), default=0, help="Drop per horizontal distance, downhill.")
    toward_deg: Angle = ask(
        "Falls toward", -360, 360, (5, 5), default=0, help="Bearing downhill, clockwise from north."
    )


class PointsGround(Part):
    """Ground by surveyed points, with triangles between them."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["points"] = "points"
    points: Annotated[tuple[Place, ...], Field(max_length=MOST_POINTS)] = ask(
        "Survey points",
        *FAR,
        default=(),
        help="East, north and level of each; three or more that do not lie in one line.",
    )
    datum: Length = site_datum("survey")


class Sight(Part):
    """One row of a level book: a place, and the rod readings there."""

    title_of_part: ClassVar[str] = "sight"
    name: Name = ask("Place", help="Where the rod stood.")
    at: Point | None = ask(
        "At", *FAR, default=None, help="East and north of the rod; left out for places that are no part of the ground."
    )
    backsight: Length | None = ask(
        "Backsight", *READING, default=None, help="First reading from where the instrument stands."
    )
    intermediate: Length | None = ask(
        "Intermediate sight", *READING, default=None, help="Any reading between the first and the last."
    )
    foresight: Length | None = ask(
        "Foresight", *READING, default=None, help="Last reading before the instrument moves, or the book ends."
    )


class LevelBook(Part):
    """Ground by a level book: rod readings, reduced by height of instrument."""

    title_of_part: ClassVar[str] = "ground"
    kind: Literal["level book"] = "level book"
    benchmark: Length = ask(
        "Benchmark",
        *BOOK,
        default="0 ft",
        help="Level of the first row's place, counted as the book counts.",
        front=True,
    )
    closing: Length | None = ask(
        "Closing level", *BOOK, default=None, help="Known level of the last row's place; the benchmark's on a loop."
    )
    datum: Length = site_datum("level book")
    allowed: Length | None = ask(
        "Misclosure allowed",
        "0 in",
        "12 in",
        ("0.05 in", "1 mm"),
        default=None,
        help="Your own figure; a book that misses by more is not used.",
    )
    spread: bool = ask(
        "Spread the misclosure",
        default=False,
        help="Share it out evenly over the instrument's stands (common practice, no source); off, levels stay as read.",
    )
    rows: Annotated[tuple[Sight, ...], Field(max_length=MOST_POINTS)] = ask(
        "Level book", default=(), help="In the order in which they were read."
    )


Ground = Annotated[LevelGround | PlaneGround | PointsGround | LevelBook, Field(discriminator="kind")]
