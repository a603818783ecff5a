"""Two parts of an option: ``Dig``, by which the crew digs (benchmark and instrument, tolerances, stakes, the survey
of the hole), and ``Earth``, for the soil balance (swell and shrink, topsoil, banks, berm, trucks and machine).
"""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import (
    Angle,
    Area,
    Choice,
    Density,
    Length,
    Mass,
    Part,
    Point,
    Portion,
    Ratio,
    Time,
    Volume,
    ask,
    ask_of,
)
from pondkit.core.text import Name, PoolName, RowName, text
from pondkit.core.units import LENGTH
from pondkit.geometry.shapes import Outline, Rectangle
from pondkit.trades.ground.inputs import SURVEYED_LEVEL, site_datum

# Bounds of an input: least, most, step in US and in SI units.
PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
ROD = ("-2 ft", "30 ft", ("0.01 ft", "0.5 cm"))
SURFACES = ("dig", "finished")


class Reading(Part):
    """A rod reading on one of the levels to dig to."""

    title_of_part: ClassVar[str] = "reading"
    read_off: ClassVar[bool] = True
    row: RowName = ask("Level", help="What the rod stands on: a row of the levels to dig by.")
    surface: Annotated[str, Choice(SURFACES)] = ask(
        "Surface", default="dig", help="The dig, before anything is laid on it, or the finished surface."
    )
    rod: Length | None = ask("Rod reading", *ROD, default=None, help="As read on the day; left out until it is read.")


class Stakes(Part):
    """Two stakes on the site, from which everything is set out."""

    title_of_part: ClassVar[str] = "stakes"
    a: Point = ask("Stake A", *PLACE, default=("-20 ft", "-16 ft"), help="East, north of the site's origin.")
    b: Point = ask(
        "Stake B",
        *PLACE,
        default=("20 ft", "-16 ft"),
        help="East, north of the site's origin. From A to B runs the baseline.",
    )
    spacing: Length = ask(
        "Spacing",
        "6 in",
        "30 ft",
        ("3 in", "5 cm"),
        default="4 ft",
        help="Points along each line lie no further apart than this.",
    )
    within: Length = ask(
        "Offset from a string",
        "0.25 in",
        "2 ft",
        ("0.25 in", "1 cm"),
        default="2 in",
        help="A string pulled from point to point is nowhere further from the line than this: bends get more points.",
    )


class Measured(Part):
    """A level measured in the dig of a pool."""

    title_of_part: ClassVar[str] = "measured level"
    read_off: ClassVar[bool] = True
    pool: PoolName = ask("Pool", help="In whose hole it was measured.")
    at: Point = ask("Place", *PLACE, help="East, north of the site's origin.")
    level: Length | None = ask(
        "Level measured",
        *SURVEYED_LEVEL,
        default=None,
        help="Of the dig at this place, in the datum of the benchmark; left out until it is read.",
    )


class Tape(Part):
    """A straight line over a pool's dig, along which a tape is laid."""

    title_of_part: ClassVar[str] = "tape line"
    read_off: ClassVar[bool] = True
    name: Name = ask("Name", help="Each tape line has a name of its own.")
    start: Point = ask("Start", *PLACE, help="East, north of the site's origin; outside the rims.")
    end: Point = ask("End", *PLACE, help="East, north of the site's origin; outside the rims.")
    taped: Length | None = ask(
        "Tape over the hole",
        "6 in",
        "1000 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="From start to end over the ground, down into the hole and up again, lying on all of it.",
    )


class Dig(Part):
    """Inputs of levels, setting out and survey: benchmark, instrument, tolerances, stakes, readings, measurements."""

    title_of_part: ClassVar[str] = "dig"
    benchmark: Length = ask(
        "Benchmark",
        *SURVEYED_LEVEL,
        default="0 ft",
        help="Its level, in the datum of whoever sets out: 100 m where that was assumed.",
    )
    datum: Length = site_datum("benchmark")
    benchmark_is: Annotated[str, text(200)] = ask(
        "Benchmark is", default="", help="What and where it is, so that the crew finds the same one each day."
    )
    backsight: Length | None = ask(
        "Backsight",
        *ROD,
        default=None,
        help="Rod reading on the benchmark, on the day; gives the height of instrument.",
    )
    instrument: Length | None = ask(
        "Height of instrument",
        *SURVEYED_LEVEL,
        default=None,
        help="Level of the line of sight, in the datum of the benchmark, where it is known without a backsight.",
    )
    rim_within: Length = ask(
        "Tolerance, rims and crests",
        "0.05 in",
        "6 in",
        ("0.05 in", "1 mm"),
        default="0.25 in",
        help="Up and down (common practice, no source).",
    )
    seat_within: Length = ask(
        "Tolerance, seats and trenches",
        "0.05 in",
        "6 in",
        ("0.05 in", "1 mm"),
        default="0.5 in",
        help="Up and down, of holes for bodies, walls and dens too (common practice, no source).",
    )
    floor_within: Length = ask(
        "Tolerance, floors",
        "0.05 in",
        "12 in",
        ("0.25 in", "5 mm"),
        default="1 in",
        help="Up and down, of shelves and stream beds too (common practice, no source).",
    )
    bedding: Length = ask(
        "Bedding under pipe",
        "0 in",
        "24 in",
        ("0.5 in", "1 cm"),
        default="0 in",
        help="Thickness between the bottom of the trench and the underside of the pipe; under dens too.",
    )
    readings: Annotated[tuple[Reading, ...], Field(max_length=200)] = ask(
        "Readings", default=(), help="Rod readings taken while digging."
    )
    stakes: Stakes | None = ask("Stakes", default=None, help="Two stakes from which everything is set out.")
    measured: Annotated[tuple[Measured, ...], Field(max_length=400)] = ask(
        "Levels measured", default=(), help="In the hole as it was dug, before the liner is cut."
    )
    tapes: Annotated[tuple[Tape, ...], Field(max_length=40)] = ask(
        "Tape lines", default=(), help="Straight lines over the hole, along which a tape is laid."
    )


class Berm(Part):
    """A berm of spoil on the site, straight or with an outline."""

    title_of_part: ClassVar[str] = "berm"
    length: Length = ask(
        "Berm length",
        "3 ft",
        "1000 ft",
        ("1 ft", "0.5 m"),
        default="30 ft",
        help="Of a straight berm, along the middle of its top.",
    )
    top_width: Length = ask(
        "Top width",
        "0 in",
        "30 ft",
        ("3 in", "5 cm"),
        default="3 ft",
        help="Of a straight berm: its level top, across.",
    )
    side_slope: Ratio = ask(
        "Side slope",
        0.5,
        10,
        (0.1, 0.1),
        default=3,
        help="Horizontal run for one of rise: of both sides, or all round an outline.",
    )
    height: Length | None = ask(
        "Berm height",
        "1 in",
        "15 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Of a straight berm, above level ground; left out, the height that uses all the spoil is solved.",
    )
    end_slope: Ratio | None = ask(
        "Slope of ends",
        0.5,
        10,
        (0.1, 0.1),
        default=None,
        help="Of a straight berm: horizontal run for one of rise; left out, ends are upright.",
    )
    body: Volume = ask(
        "Body inside",
        "0 ft^3",
        "5000 ft^3",
        ("1 ft^3", "0.05 m^3"),
        default="0 ft^3",
        help=(
            "Volume of what stands in the berm and is not drawn. Basins, pump pits and filters drawn with a place are "
            "deducted by themselves."
        ),
    )
    hidden_rim: Length | None = ask(
        "Rim of the body inside",
        "1 in",
        "15 ft",
        ("1 in", "2 cm"),
        default=None,
        help=(
            "Above the ground: a straight berm stays lower, so that lids and valves can be reached. Bodies drawn with "
            "a place have a rim of their own."
        ),
    )
    rim_margin: Length = ask(
        "Margin below the rim",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="How far the berm stays below the rim of a body inside; your own figure.",
    )
    top_level: Length | None = ask(
        "Level of the top",
        "-60 ft",
        "60 ft",
        ("0.5 in", "1 cm"),
        default=None,
        help="Above the site datum, of a berm with an outline; left out, the level that uses all the spoil is solved.",
    )
    at: Point = ask(
        "Place", *PLACE, default=("0 ft", "0 ft"), help="Origin of its outline: east, north of the site's origin."
    )
    turn_deg: Angle = ask("Turn", -360, 360, (5, 5), default=0, help="Of its outline, anticlockwise.")
    outline: Outline | None = ask(
        "Outline",
        default=None,
        help=(
            "Edge of its level top; from there its sides fall at the side slope to the ground as it is. Left out, the "
            "berm is straight and on level ground."
        ),
    )


def straight_as_outline(berm: Berm) -> Rectangle:
    """The top of a straight berm as an outline to begin with: a rectangle of its length and width, brought within the
    bounds that the sides of a rectangle have.
    """
    declared = ask_of(Rectangle, "length")
    assert declared is not None
    low, high = declared.bound("low", LENGTH), declared.bound("high", LENGTH)
    assert low is not None
    assert high is not None
    sides = (("length", berm.length), ("width", berm.top_width))
    return Rectangle.model_validate(
        {name: min(max(float(value), low), high) for name, value in sides}, context={"units": "si"}
    )


class Earth(Part):
    """Inputs of the soil balance: swell and shrink, topsoil, trucks, machine, banks, berm. "In the bank" is soil as it
    lies in the ground.
    """

    title_of_part: ClassVar[str] = "earth"
    swell: Portion | None = ask(
        "Swell",
        "0 %",
        "150 %",
        ("1 %", "1 %"),
        default=None,
        help="Share of its volume in the bank that soil gains when it is dug; left out, that of the table of soils.",
    )
    swell_within: Portion = ask(
        "Swell within",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="0 %",
        help="It may be this share of itself more or less; the swell of the table has a range of its own.",
    )
    shrink: Portion = ask(
        "Shrink",
        "0 %",
        "40 %",
        ("1 %", "1 %"),
        default="10 %",
        help="Share of its volume in the bank that soil loses when it is compacted (from memory, confirm).",
    )
    shrink_within: Portion = ask(
        "Shrink within",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="50 %",
        help=(
            "It may be this share of itself more or less: from 5 % in sand to 10 % in loam and clay, more in loose "
            "ground (from memory)."
        ),
    )
    bank_density: Density = ask(
        "Density in the bank",
        "60 lb/ft^3",
        "190 lb/ft^3",
        ("1 lb/ft^3", "20 kg/m^3"),
        default="115 lb/ft^3",
        help="Of the soil as it lies, moist (from memory, confirm).",
    )
    bank_density_within: Portion = ask(
        "Density within",
        "0 %",
        "40 %",
        ("5 %", "5 %"),
        default="10 %",
        help="It may be this share of itself more or less (from memory).",
    )
    topsoil: Length = ask(
        "Topsoil", "0 in", "3 ft", ("1 in", "2 cm"), default="0 in", help="Depth stripped first and kept apart."
    )
    strip_area: Area = ask(
        "Area stripped",
        "0 ft^2",
        "50000 ft^2",
        ("10 ft^2", "1 m^2"),
        default="0 ft^2",
        help="Plan area of the topsoil over the dig; topsoil stripped elsewhere is not part of the dig.",
    )
    topsoil_swell: Portion = ask(
        "Swell of topsoil",
        "0 %",
        "100 %",
        ("1 %", "1 %"),
        default="35 %",
        help="Share of its volume in the bank that it gains when it is dug (from memory, confirm).",
    )
    topsoil_swell_within: Portion = ask(
        "Topsoil's swell within",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="30 %",
        help="It may be this share of itself more or less: 25 to 45 % (from memory).",
    )
    truck_volume: Volume = ask(
        "Truck, volume",
        "0.25 yd^3",
        "40 yd^3",
        ("0.5 yd^3", "0.5 m^3"),
        default="10 yd^3",
        help="Loose, of a load.",
    )
    truck_payload: Mass = ask(
        "Truck, payload",
        "500 lb",
        "80000 lb",
        ("500 lb", "250 kg"),
        default="26000 lb",
        help="Mass of a load, from the truck's plate; the default is an example.",
    )
    bucket: Volume = ask(
        "Bucket, heaped",
        "0.5 ft^3",
        "5 yd^3",
        ("0.05 yd^3", "0.05 m^3"),
        default="0.2 yd^3",
        help="By its maker; an example.",
    )
    fill_factor: Portion = ask(
        "Fill factor",
        "30 %",
        "120 %",
        ("5 %", "5 %"),
        default="90 %",
        help="Loose soil in the bucket over its heaped volume.",
    )
    fill_factor_within: Portion = ask(
        "Fill factor within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="15 %",
        help="It may be this share of itself more or less: 80 % in hard soil to 110 % in moist loam (from memory).",
    )
    cycle: Time = ask("Cycle", "5 s", "300 s", ("1 s", "1 s"), default="25 s", help="Dig, swing, dump and swing back.")
    cycle_within: Portion = ask(
        "Cycle within",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="30 %",
        help="It may be this share of itself more or less, by depth, swing and operator (from memory).",
    )
    efficiency: Portion = ask(
        "Job efficiency",
        "20 %",
        "100 %",
        ("1 %", "1 %"),
        default="83 %",
        help="Working share of each hour; 83 % is a 50-minute hour.",
    )
    efficiency_within: Portion = ask(
        "Efficiency within",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="20 %",
        help="It may be this share of itself more or less: an hour of 40 to 60 minutes.",
    )
    trimming: Ratio = ask(
        "Trimming, at most",
        0,
        5,
        (0.1, 0.1),
        default=2,
        help=(
            "Extra time for trimming shelves and faces, as a multiple of the time of the dig; only the high end has "
            "it. Printed rates of small digs are a third of bulk ones and less."
        ),
    )
    bank_crest: Length | None = ask(
        "Crest of the bank",
        "0 in",
        "20 ft",
        ("1 in", "2 cm"),
        default=None,
        help=(
            "Level width outside the rim, where the bank is built above the ground; left out, no soil outside the rim "
            "is counted."
        ),
    )
    bank_slope: Ratio = ask(
        "Outer slope of the bank",
        0.5,
        10,
        (0.1, 0.1),
        default=2,
        help="Horizontal run for one of fall, from crest to ground; your own figure.",
    )
    bank_within: Portion = ask(
        "Bank built within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="10 %",
        help="Crest and outer slope may be built wider and flatter, or narrower and steeper, by this share.",
    )
    berm: Berm | None = ask("Berm", default=None, help="Of spoil, heaped on the site and compacted.")

    @property
    def truck(self) -> tuple[float, float]:
        """(loose volume [m³], payload [kg]) of a load."""
        return float(self.truck_volume), float(self.truck_payload)

    @property
    def outer_bank(self) -> tuple[float, float] | None:
        """(crest width [m], outer slope) of the banks outside the rims; None if there are none."""
        return None if self.bank_crest is None else (float(self.bank_crest), float(self.bank_slope))
