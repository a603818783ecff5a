"""Inputs of the bodies of the water side (intake basin, pump pit, filter), of the passage between the filter's two
bodies, and of the water side as a whole.
"""

from collections.abc import Iterator, Sequence
from typing import Annotated, Any, ClassVar, NamedTuple

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
    PriceEnergy,
    Ratio,
    SpecificArea,
    Speed,
    Temperature,
    Time,
    Volume,
    ask,
)
from pondkit.core.result import Path
from pondkit.core.tables import names, table
from pondkit.core.text import Name, PoolName
from pondkit.trades.water.inputs.pumping import Branch, Dosing, Line, OwnPipe, Pump, Season, Storm, WaterLoad

PLACE = ("-1000 ft", "1000 ft", ("6 in", "10 cm"))
SIZE = ("3 in", "60 ft", ("1 in", "2 cm"))
LEVEL = ("-60 ft", "60 ft", ("0.5 in", "1 cm"))
HEAVY = ("1 lb", "100000 lb", ("10 lb", "5 kg"))
PlanSize = tuple[Length, Length]


def ask_place(body: str) -> Any:
    """Input: place of a body."""
    return ask(
        "Place", *PLACE, default=("0 ft", "0 ft"), help=f"Middle of the {body}: east, north of the site's origin."
    )


def ask_turn() -> Any:
    """Input: rotation of a body in plan."""
    return ask("Turn", -360, 360, (5, 5), default=0, help="Anticlockwise.")


def ask_plan_size(body: str, left_out: str) -> Any:
    """Input: length and width of a body; ``left_out``: what applies if they are left out."""
    return ask(
        "Plan size", *SIZE, default=None, help=f"Of the {body}, outside, along and across; left out, {left_out}."
    )


def ask_rounded() -> Any:
    """Input: whether a body is round in plan."""
    return ask(
        "Round structure", default=False, help="An ellipse of its plan size; its hole is dug as a rectangle round it."
    )


def ask_underside(body: str) -> Any:
    """Input: base level of a body."""
    return ask("Base level", *LEVEL, default=None, help=f"Of the {body}, above the site datum: the top of its seat.")


def ask_rim() -> Any:
    """Input: level of the top of a body's walls."""
    return ask(
        "Rim", *LEVEL, default=None, help="Top of its walls, above the site datum; a berm beside it stays lower."
    )


def ask_seat() -> Any:
    """Input: bedding under its base."""
    return ask(
        "Seat",
        "0 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="Thickness of the bedding under it, dug as well.",
    )


def ask_mass(body: str, label: str = "Mass") -> Any:
    """Input: mass of an empty body."""
    return ask(
        label,
        *HEAVY,
        default=None,
        help=f"Of the empty {body}, with what is fixed to it; left out, it counts for nothing against uplift.",
    )


def ask_ballast(label: str = "Ballast") -> Any:
    """Input: mass of ballast on a body against uplift."""
    return ask(label, *HEAVY, default=None, help="Fixed to it against uplift, as it weighs under water.")


def ask_outstand() -> Any:
    """Input: projection of a body's base slab all round."""
    return ask(
        "Base projection",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="0 in",
        help="Beyond the walls, all round: the soil filled in on it holds the body down.",
    )


def ask_base() -> Any:
    """Input: thickness of a body's base slab."""
    return ask(
        "Base thickness",
        "0.25 in",
        "3 ft",
        ("0.5 in", "1 cm"),
        default="4 in",
        help="Of the base where it projects; the base level is under it.",
    )


def ask_covered() -> Any:
    """Input: whether soil covers a body's lid."""
    return ask(
        "Soil over its lid", default=False, help="Closed at its rim by a lid, with soil over it up to the ground."
    )


class PumpPit(Part):
    """A pit beside the water in which pumps stand."""

    title_of_part: ClassVar[str] = "pit"
    at: Point = ask_place("pit")
    turn_deg: Angle = ask_turn()
    plan_size: PlanSize = ask(
        "Plan size", *SIZE, default=("24 in", "24 in"), help="Of its box, outside, along and across."
    )
    round: bool = ask_rounded()
    underside: Length = ask(
        "Base level", *LEVEL, default="-3 ft", help="Of its box, above the site datum: the top of its seat."
    )
    seat: Length = ask_seat()
    rim: Length | None = ask_rim()
    mass: Mass | None = ask_mass("pit")
    ballast: Mass | None = ask_ballast()
    outstand: Length = ask_outstand()
    base: Length = ask_base()
    covered: bool = ask_covered()


class Intake(Part):
    """Basin with a screen that the pumps draw from."""

    title_of_part: ClassVar[str] = "intake"
    pool: PoolName | None = ask("Pool", default=None, help="Pool that it draws from; left out, the lowest.")
    at: Point = ask_place("basin")
    turn_deg: Angle = ask_turn()
    plan_size: PlanSize | None = ask_plan_size("basin", "no hole is dug for it")
    round: bool = ask_rounded()
    underside: Length | None = ask_underside("basin")
    seat: Length = ask_seat()
    rim: Length | None = ask_rim()
    mass: Mass | None = ask_mass("basin")
    ballast: Mass | None = ask_ballast()
    outstand: Length = ask_outstand()
    base: Length = ask_base()
    covered: bool = ask_covered()
    screen_top: Length | None = ask(
        "Top of the screen",
        *LEVEL,
        default=None,
        help="Or of the open pipe, above the site datum: it must stay under water.",
    )
    approach: Speed = ask(
        "Approach velocity",
        "0.02 ft/s",
        "3 ft/s",
        ("0.01 ft/s", "0.005 m/s"),
        default="0.2 ft/s",
        help="Chosen: 0.2 ft/s is the criterion for a screen that nobody cleans (NMFS), 0.4 ft/s for a "
        "self-cleaned one.",
    )
    screen_area: Area | None = ask(
        "Screen area",
        "0.01 ft^2",
        "400 ft^2",
        ("0.25 ft^2", "0.02 m^2"),
        default=None,
        help="Gross, as built; left out, what is needed.",
    )
    blocked: Portion = ask(
        "Blocked share",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="10 %",
        help="Of the gross area, by frame and structure: your own judgement.",
    )
    open_share: Portion = ask(
        "Open share",
        "5 %",
        "95 %",
        ("1 %", "1 %"),
        default="40 %",
        help="Openings over screen: 27 to 50 % is usual (NRCS pocket guide).",
    )
    clogged: Portion = ask(
        "Clogged share",
        "0 %",
        "95 %",
        ("5 %", "5 %"),
        default="50 %",
        help="Of the openings, by leaves and algae before it is cleaned: your own judgement. Flow and "
        "levels are worked out with it.",
    )
    opening: Length = ask(
        "Opening", "0.1 mm", "6 in", ("0.03125 in", "0.5 mm"), default="3/32 in", help="Widest gap of the screen."
    )


class Filter(Part):
    """Settling chamber and upflow media bed, in one body or two."""

    title_of_part: ClassVar[str] = "filter"
    level: Length = ask(
        "Water level",
        *LEVEL,
        default="2 ft",
        help="Of its last body, above the site datum; the first stands higher by the head that media and opening take.",
    )
    area: Area = ask(
        "Water surface", "0.5 ft^2", "2000 ft^2", ("0.5 ft^2", "0.05 m^2"), default="8 ft^2", help="Of all its bodies."
    )
    to: PoolName | None = ask("Flows to", default=None, help="Pool that it flows to; left out, the highest.")
    settling_area: Area | None = ask(
        "Settling chamber",
        "0.5 ft^2",
        "1000 ft^2",
        ("0.5 ft^2", "0.05 m^2"),
        default=None,
        help="Plan area that the water rises or crosses in.",
    )
    settling_share: Portion = ask(
        "Effective share of the chamber",
        "10 %",
        "100 %",
        ("5 %", "5 %"),
        default="75 %",
        help="Of its plan area, as currents cross a real chamber: 65 to 85 % of an ideal one (from memory, confirm).",
    )
    settling_share_within: Portion = ask(
        "Effective share within", "0 %", "90 %", ("1 %", "1 %"), default="13 %", help="May be this share more or less."
    )
    sediment_room: Length = ask(
        "Room for sediment",
        "0.5 in",
        "6 ft",
        ("0.5 in", "1 cm"),
        default="6 in",
        help="From the chamber's floor to the clean-out level.",
    )
    media_area: Area | None = ask(
        "Media bed",
        "0.5 ft^2",
        "1000 ft^2",
        ("0.5 ft^2", "0.05 m^2"),
        default=None,
        help="Plan area that the water rises through.",
    )
    media_depth: Length = ask("Media depth", "1 in", "10 ft", ("1 in", "2 cm"), default="24 in", help="Of the bed.")
    media_voids: Portion = ask(
        "Media voids", "20 %", "98 %", ("1 %", "1 %"), default="85 %", help="From its maker (from memory, confirm)."
    )
    media_voids_within: Portion = ask(
        "Media voids within", "0 %", "50 %", ("1 %", "1 %"), default="5 %", help="May be this share more or less."
    )
    media_surface: SpecificArea = ask(
        "Media surface",
        "5 ft^2/ft^3",
        "1500 ft^2/ft^3",
        ("5 ft^2/ft^3", "10 m^2/m^3"),
        default="60 ft^2/ft^3",
        help="Surface in each volume of bed: 30 to 68 ft²/ft³ for trickling media (New Hampshire Env-Wq "
        "714.02); ask its maker.",
    )
    media_sale: Volume | None = ask(
        "Unit of sale of the media",
        "0.1 ft^3",
        "200 ft^3",
        ("0.5 ft^3", "10 L"),
        default=None,
        help="Volume of a sack or box; left out, the order is the bed's own volume.",
    )
    at: Point = ask_place("filter, or of the first of its two bodies")
    turn_deg: Angle = ask_turn()
    plan_size: PlanSize | None = ask_plan_size(
        "filter, of both its bodies where they are joined", "no seat is dug for it"
    )
    round: bool = ask_rounded()
    underside: Length | None = ask_underside("filter")
    seat: Length = ask_seat()
    rim: Length | None = ask_rim()
    mass: Mass | None = ask_mass("filter, or of the first of its two bodies")
    ballast: Mass | None = ask_ballast()
    outstand: Length = ask_outstand()
    base: Length = ask_base()
    covered: bool = ask_covered()
    second_size: PlanSize | None = ask(
        "Second body",
        *SIZE,
        default=None,
        help="Its plan size where the two bodies stand apart, on seats of one level; left out, they are joined.",
    )
    second_at: Point = ask(
        "Place of the second",
        *PLACE,
        default=("0 ft", "0 ft"),
        help="Middle of the second body, where it stands apart.",
    )
    second_mass: Mass | None = ask_mass("second body, where it stands apart", "Mass of the second")
    second_ballast: Mass | None = ask_ballast("Ballast of the second")
    media_size: Length | None = ask(
        "Media size",
        "0.2 mm",
        "12 in",
        ("0.125 in", "2 mm"),
        default=None,
        first=("1 in", "25 mm"),
        help="Diameter of a piece, for the head that the bed takes; left out, by its surface and voids.",
    )
    maker_loss: Length | None = ask(
        "Maker's loss",
        "0.01 in",
        "6 ft",
        ("0.125 in", "2 mm"),
        default=None,
        help="Head that the whole bed takes, by its maker, in place of Ergun's formula.",
    )
    maker_rate: Speed = ask(
        "Maker's rise rate",
        "0.0005 ft/s",
        "1 ft/s",
        ("0.001 ft/s", "0.0005 m/s"),
        default="0.01 ft/s",
        help="Rise rate at which the maker's loss holds; more goes with its square.",
    )
    passage_area: Area | None = ask(
        "Opening between bodies",
        "1 in^2",
        "100 ft^2",
        ("0.05 ft^2", "0.005 m^2"),
        default=None,
        help="In the wall that joined bodies share; where they stand apart, enter the passage's pipe.",
    )


class Passage(Line):
    """Pipe between two bodies of the filter that stand apart."""

    title_of_part: ClassVar[str] = "passage"
    name: Name = ask("Name", default="passage", help="Each line has a name of its own.", front=True)


Body = Intake | Filter | PumpPit


class PlacedBody(NamedTuple):
    """A body of the water side at its place.

    Attributes:
        path: Path of its inputs in the option.
        name: "intake basin", "pump pit", "filter" or "filter, second body".
        part: Its inputs; both bodies of a filter share them.
        size: Plan size, outside [m]; empty if not entered.
        at: Its middle, east and north [m].
    """

    path: Path
    name: str
    part: Body
    size: Sequence[float]
    at: Sequence[float]


LOSS_TABLES = tuple(dict.fromkeys(row["table"] for row in table("trades/water/losses")))
LOSS_LABELS = {
    "EPANET 2.2": "short glued fittings, the larger handbook values",
    "Munson flanged": "flanged fittings, smooth inside",
    "Munson threaded": "threaded fittings",
}  # the fittings that each table is for; where it is printed stands in the working
LossTable = Annotated[str, Choice(LOSS_TABLES, tuple(LOSS_LABELS[name] for name in LOSS_TABLES))]
Quality = Annotated[str, Choice(names("trades/water/qualities"))]


class Water(Part):
    """The water side: intake, pumps, lines, filter, and the requirements on them."""

    title_of_part: ClassVar[str] = "water"
    temperature: Temperature = ask(
        "Water temperature", "32 °F", "86 °F", ("1 °F", "0.5 °C"), default="68 °F", help="Of the running water."
    )
    altitude: Length = ask(
        "Altitude",
        "-500 ft",
        "12000 ft",
        ("100 ft", "50 m"),
        default="0 ft",
        help="Of the site above the sea, for air pressure.",
    )
    quality: Quality = ask("Water quality", default="slightly polluted", help="For the oxygen that a fall gives.")
    oxygen: Portion = ask(
        "Oxygen at the intake",
        "0 %",
        "150 %",
        ("5 %", "5 %"),
        default="60 %",
        help="Share of saturation of the water that is pumped.",
    )
    losses: LossTable = ask(
        "Loss coefficients of fittings",
        default="EPANET 2.2",
        help="K of bends, tees and valves; sources in the working.",
    )
    stock_length: Length = ask(
        "Stock length of pipe", "1 ft", "40 ft", ("1 ft", "0.5 m"), default="10 ft", help="As the lines' pipe is sold."
    )
    hose_friction: Ratio = ask(
        "Hose, friction over smooth pipe",
        1,
        2,
        (0.05, 0.05),
        default=1.15,
        help="Head that a flexible hose takes over that of smooth pipe of its bore (C 140 to 130 for "
        "150, from memory, confirm).",
    )
    hose_friction_within: Portion = ask(
        "Hose friction within", "0 %", "90 %", ("1 %", "1 %"), default="13 %", help="May be this share more or less."
    )
    turnover: Time | None = ask(
        "Turnover wanted",
        "0.1 h",
        "240 h",
        ("0.5 h", "0.5 h"),
        default=None,
        first=("2 h", "2 h"),
        help="Time in which the pumps are to move all the water once; your own figure. With it the flow and head "
        "of the pump are worked out.",
    )
    sheet: Length | None = ask(
        "Water over the falls wanted",
        "0.1 in",
        "12 in",
        ("0.125 in", "2 mm"),
        default=None,
        first=("1 in", "25 mm"),
        help="How high the water is to stand over each fall's crest, upstream of it: 0.5 in is a thin sheet, 1 in a "
        "full one (common practice, no source).",
    )
    runs_a_day: Time = ask(
        "Pumps run a day", "0 h", "24 h", ("0.5 h", "0.5 h"), default="24 h", help="For energy and its cost."
    )
    energy_price: PriceEnergy | None = ask(
        "Price of energy", 0, "5 per kWh", ("0.01 per kWh", "0.01 per kWh"), default=None, help="Your own."
    )
    intake: Intake | None = ask("Intake", default=None, help="Where the pumps draw from.")
    filter: Filter | None = ask("Filter", default=None, help="What the water is cleaned in.")
    passage: Passage | None = ask(
        "Passage", default=None, help="Pipe from the filter's settling chamber to its media bed."
    )
    load: WaterLoad | None = ask("Load", default=None, help="Feed, waste and oxygen.")
    storm: Storm | None = ask("Storm", default=None, help="Downpour and overflow.")
    season: Season | None = ask("Season", default=None, help="Weather, filling, leak test.")
    dosing: Dosing | None = ask("Dosing", default=None, help="What is put into the water.")
    pumps: Annotated[tuple[Pump, ...], Field(max_length=4)] = ask(
        "Pumps", default=(), help="Side by side, each with its own line from the intake."
    )
    pit: PumpPit | None = ask("Pump pit", default=None, help="Left out, the pumps stand in the intake.")
    hole_room: Length = ask(
        "Working space round bodies",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Between a body and the foot of its hole, all round; your own figure.",
    )
    hole_sides: Ratio = ask(
        "Side slope of their holes",
        0,
        4,
        (0.05, 0.05),
        default=0,
        help="Horizontal run per unit of rise; 0 is upright.",
    )
    backfill_density: Density = ask(
        "Density of the backfill",
        "1100 kg/m^3",
        "2600 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="120 lb/ft^3",
        help="Of the soil on lids and bases of bodies, full of water (from memory, confirm).",
    )
    backfill_density_within: Portion = ask(
        "Backfill density within", "0 %", "50 %", ("1 %", "1 %"), default="8 %", help="May be this share more or less."
    )
    uplift_safety: Ratio = ask(
        "Bodies: safety against uplift",
        1,
        3,
        (0.1, 0.1),
        default=1.5,
        help="What holds an empty body down over what lifts it (from memory, confirm).",
    )
    own_pipes: Annotated[tuple[OwnPipe, ...], Field(max_length=20)] = ask(
        "Own pipes", default=(), help="Pipe or hose that the table does not have."
    )
    main: Line | None = ask(
        "Main", default=None, help="Line from where the pumps' lines meet to where the branches part."
    )
    branches: Annotated[tuple[Branch, ...], Field(max_length=20)] = ask(
        "Branches", default=(), help="To filter, flush and pools, each with its own valve."
    )


def all_bodies(water: Water) -> Iterator[PlacedBody]:
    """Every body, both of a filter's; size empty if not entered."""
    if basin := water.intake:
        yield PlacedBody(("water", "intake"), "intake basin", basin, basin.plan_size or (), basin.at)
    if pit := water.pit:
        yield PlacedBody(("water", "pit"), "pump pit", pit, pit.plan_size, pit.at)
    if filter_ := water.filter:
        yield PlacedBody(("water", "filter"), "filter", filter_, filter_.plan_size or (), filter_.at)
        if filter_.second_size:
            yield PlacedBody(
                ("water", "filter"), "filter, second body", filter_, filter_.second_size, filter_.second_at
            )


def bodies_of(water: Water) -> Iterator[PlacedBody]:
    """Every body with a plan size; the second body of a filter only if the first has one."""
    return (body for body in all_bodies(water) if body.size and body.part.plan_size)
