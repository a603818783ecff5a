"""Boulders and edging."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.entry import Range
from pondkit.core.names import BoulderName, Name, PoolName
from pondkit.core.part import Choice, Density, Length, Part, Point, Ratio, Whole, ask
from pondkit.core.tables import Row, names, rows_by_name
from pondkit.trades.stone.inputs.bearing import Bearing
from pondkit.trades.stone.inputs.hauling import Haul
from pondkit.trades.stone.inputs.slings import Rigging, Sling

Rock = Annotated[str, Choice(names("trades/stone/rocks"))]
Form = Annotated[str, Choice(names("trades/stone/forms"))]
Seat = Annotated[str, Choice(("outside", "inside"))]
STONE = ("1 in", "15 ft", ("1 in", "2 cm"))


class Boulder(Part):
    title_of_part: ClassVar[str] = "boulder"
    name: Name = ask("Name", help="Each kind of boulder has a name of its own.")
    count: Whole = ask("Count", 1, 500, (1, 1), default=1, help="How many of this size.")
    axes: tuple[Length, Length, Length] = ask(
        "Size", *STONE, help="Length, width and height as it lies: its longest, middle and shortest, at right angles."
    )
    axes_within: Ratio = ask(
        "Size within",
        0,
        0.5,
        (0.05, 0.05),
        default=0.1,
        help="Length, width and height together may be this share off either way.",
    )
    form: Form = ask("Form", default="ellipsoid", help="How much of its box the stone fills.")
    density: Density | None = ask(
        "Density",
        "500 kg/m^3",
        "3500 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default=None,
        help="In place of the rock's own range, where it was measured.",
    )
    pool: PoolName | None = ask(
        "Pool", default=None, help="Pool whose water it stands in; left out, it is weighed and displaces nothing."
    )
    under_water: Ratio = ask(
        "Under water",
        0,
        1,
        (0.05, 0.05),
        default=0.5,
        help="Share of each stone without a place that is below its pool's level; one with a place goes by its depth.",
    )
    rests_on: BoulderName | None = ask(
        "Rests on", default=None, help="Boulder under it, which then bears it too; left out, it stands on the ground."
    )
    bedding: Length | None = ask(
        "Bedding",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Compacted stone bed under each; left out, the least that makes the ground hold is solved.",
    )
    places: Annotated[tuple[Point, ...], Field(max_length=500, fail_fast=True)] = ask(
        "Places",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=(),
        help="Middle of each on the plan, east and north; the rest are only counted.",
    )


class Edging(Part):
    title_of_part: ClassVar[str] = "edging"
    pool: PoolName = ask("Pool", help="Pool that it goes round.")
    seat: Seat = ask("Seat", default="outside", help="Outside widens dig and liner; inside stands in the water.")
    base_level: Length = ask(
        "Base level", "-70 ft", "70 ft", ("1 in", "2 cm"), help="Base of the stones, above the site datum."
    )
    along: Length = ask("Along", *STONE, default="18 in", help="Of one stone, along the edge.")
    across: Length = ask(
        "Across", *STONE, default="14 in", help="Of one stone, square to the edge; the width of the seat."
    )
    height: Length = ask("Height", *STONE, default="12 in", help="Of one stone.")


class Stone(Part):
    title_of_part: ClassVar[str] = "stone"
    rock: Rock = ask("Rock", default="granite", help="Gives the density with its range.")
    porosity: Ratio = ask(
        "Porosity",
        0,
        0.7,
        (0.01, 0.01),
        default=0.35,
        help="Voids over bulk volume of laid stone (from memory, confirm).",
    )
    porosity_within: Ratio = ask(
        "Porosity within",
        0,
        0.5,
        (0.05, 0.05),
        default=0.15,
        help=(
            "The voids may be this share more or less: fitted stone 0.25 to 0.35, dumped 0.35 to 0.45 (from memory, "
            "confirm)."
        ),
    )
    boulders: Annotated[tuple[Boulder, ...], Field(max_length=200)] = ask("Boulders", default=(), help="By size.")
    edging: Annotated[tuple[Edging, ...], Field(max_length=60)] = ask(
        "Edging", default=(), help="Rows of stone along an outline."
    )
    slings: Annotated[tuple[Sling, ...], Field(max_length=20)] = ask(
        "Slings", default=(), help="By the ratings on their tags."
    )
    rigging: Rigging | None = ask("Rigging", default=None, help="How the stones hang in the slings.")
    bearing: Bearing | None = ask("Bearing", default=None, help="What the ground under the stones may bear.")
    haul: Haul | None = ask("Haul", default=None, help="How the stone comes, by the truck of the earth.")


def in_order(boulder: Boulder) -> tuple[float, float, float]:
    """Longest, middle and shortest axis [m], however they were entered."""
    longest, middle, shortest = sorted(boulder.axes, reverse=True)
    return longest, middle, shortest


def table_range(row: Row, low: str, typical: str, high: str) -> Range:
    """The range that a row of a shipped table gives."""
    return Range(float(row[low]), float(row[typical]), float(row[high]), row["source"])


def rock_density(drawn: Stone) -> Range:
    """Density of the rock that a stone part names [kg/m³]."""
    return table_range(rows_by_name("trades/stone/rocks")[drawn.rock], "low_kg_m3", "typical_kg_m3", "high_kg_m3")
