"""Inputs of the filter, of the load on the water and of the weather (feed and waste, design storm, evaporation, leak
test, doses), and of the water side as a whole.
"""

from collections.abc import Iterator, Sequence
from typing import Annotated, ClassVar, NamedTuple

from pydantic import Field

from pondkit.core.part import (
    Angle,
    Area,
    Choice,
    Concentration,
    Density,
    Flow,
    HeatFlux,
    Length,
    Mass,
    MassRate,
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
from pondkit.core.text import PoolName
from pondkit.trades.pools.inputs import CREST_ENDS_HELP, Crest, CrestEnds
from pondkit.trades.water.inputs.pumping import (
    LEVEL,
    OUTLET_LEVEL,
    PLACE,
    SIZE,
    Branch,
    Intake,
    Line,
    OwnPipe,
    Passage,
    PlanSize,
    Pump,
    PumpPit,
    ask_ballast,
    ask_base,
    ask_covered,
    ask_mass,
    ask_outstand,
    ask_place,
    ask_plan_size,
    ask_rim,
    ask_rounded,
    ask_seat,
    ask_turn,
    ask_underside,
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


class WaterLoad(Part):
    """Load of animals and of the water's own life: feed, waste, oxygen."""

    title_of_part: ClassVar[str] = "load"
    feed: MassRate = ask(
        "Feed a day",
        "0 lb/day",
        "200 lb/day",
        ("0.05 lb/day", "20 g/day"),
        default="0 lb/day",
        help="Of animals that breathe water, such as fish.",
    )
    protein: Portion = ask(
        "Protein in the feed", "5 %", "80 %", ("1 %", "1 %"), default="35 %", help="Share, on the bag."
    )
    waste: MassRate = ask(
        "Waste of air-breathers",
        "0 lb/day",
        "20 lb/day",
        ("0.005 lb/day", "2 g/day"),
        default="0 lb/day",
        help="Ammonia nitrogen that turtles, birds or mammals leave in the water a day: your own estimate.",
    )
    within: Portion = ask(
        "Feed and waste within", "0 %", "90 %", ("5 %", "5 %"), default="30 %", help="May be this share more or less."
    )
    solids: Portion = ask(
        "Solids from the feed",
        "0 %",
        "100 %",
        ("1 %", "1 %"),
        default="25 %",
        help="Dry solids that settle, over feed (from memory, confirm).",
    )
    solids_within: Portion = ask(
        "Solids within",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="30 %",
        help="Those from the feed may be this share more or less.",
    )
    sludge_dry: Ratio = ask(
        "Dry solids in the sediment",
        0.01,
        0.5,
        (0.01, 0.01),
        default=0.05,
        help="Mass of dry solids over volume of sediment, in kg/L (from memory, confirm).",
    )
    sludge_dry_within: Portion = ask(
        "Dry solids within",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="40 %",
        help="Those in the sediment may be this share more or less.",
    )
    ph: Ratio = ask("pH", 5, 10, (0.1, 0.1), default=7.5, help="Of the pond.")
    free_ammonia_limit: Concentration = ask(
        "Free ammonia at most",
        "0.001 mg/L",
        "1 mg/L",
        ("0.005 mg/L", "0.005 mg/L"),
        default="0.05 mg/L",
        help="As nitrogen; 0.05 mg/L is where harm begins (UF/IFAS FA16).",
    )
    respiration: MassRate = ask(
        "Oxygen used",
        "0 lb/day",
        "200 lb/day",
        ("0.05 lb/day", "20 g/day"),
        default="0 lb/day",
        help="By animals, sediment and plants at night: your own estimate.",
    )
    plants: MassRate = ask(
        "Oxygen made by day",
        "0 lb/day",
        "200 lb/day",
        ("0.05 lb/day", "20 g/day"),
        default="0 lb/day",
        help="By plants and algae, as a rate while the sun shines: your own estimate.",
    )
    exchange: Speed = ask(
        "Surface exchange",
        "0 ft/s",
        "20 m/day",
        ("0.25 ft/day", "0.1 m/day"),
        default="0.5 m/day",
        help="Transfer velocity of oxygen through the surface in still air (from memory, confirm).",
    )
    exchange_within: Portion = ask(
        "Surface exchange within", "0 %", "90 %", ("5 %", "5 %"), default="50 %", help="May be this share more or less."
    )


class Storm(Part):
    """A design storm, and the overflow of the pool that the pumps draw from."""

    title_of_part: ClassVar[str] = "storm"
    rain: Speed = ask(
        "Rain",
        "0 in/h",
        "20 in/h",
        ("0.1 in/h", "2 mm/h"),
        default="4 in/h",
        help="The heaviest that is to be drained: ask for your local design storm.",
    )
    roof_area: Area = ask(
        "Roof area",
        "0 ft^2",
        "50000 ft^2",
        ("10 ft^2", "1 m^2"),
        default="0 ft^2",
        help="Plan area that drains to the pools.",
    )
    ground_area: Area = ask(
        "Ground area",
        "0 ft^2",
        "50000 ft^2",
        ("10 ft^2", "1 m^2"),
        default="0 ft^2",
        help="Plan area that falls to the pools.",
    )
    ground_share: Portion = ask(
        "Runoff from the ground",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="40 %",
        help="Share of the rain on it that runs off: your own judgement.",
    )
    overflow_level: Length | None = ask(
        "Overflow level", *OUTLET_LEVEL, default=None, help="Of its crest; left out, the pool's level at rest."
    )
    overflow_width: Length = ask(
        "Overflow width", "1 in", "30 ft", ("1 in", "2 cm"), default="12 in", help="Clear width of its crest."
    )
    overflow_crest: Crest = ask("Overflow crest", default="broad", help="A flat one is broad; a thin plate is sharp.")
    overflow_ends: CrestEnds = ask("Overflow ends", default="not known", help=CREST_ENDS_HELP)
    outfall_head: Length = ask(
        "Head over the outfall",
        "0.25 in",
        "6 ft",
        ("0.25 in", "1 cm"),
        default="4 in",
        help="From the middle of the outfall pipe's inlet up to the water over it.",
    )


class Season(Part):
    """Weather, filling and a leak test."""

    title_of_part: ClassVar[str] = "season"
    air_temperature: Temperature = ask(
        "Air temperature", "32 °F", "122 °F", ("1 °F", "0.5 °C"), default="77 °F", help="Mean of the day."
    )
    humidity: Portion = ask(
        "Humidity",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="50 %",
        help="Relative humidity of the air, mean of the day.",
    )
    wind: Speed = ask(
        "Wind",
        "0 ft/s",
        "60 ft/s",
        ("0.5 ft/s", "0.1 m/s"),
        default="4 ft/s",
        help="Mean of the day, about 2 m over the water.",
    )
    sun: HeatFlux | None = ask(
        "Net radiation",
        "0 W/m^2",
        "400 W/m^2",
        ("5 W/m^2", "5 W/m^2"),
        default=None,
        help="Mean of the day, what comes in less what goes out, from a weather service; with it "
        "evaporation is by Penman.",
    )
    evaporation_within: Portion = ask(
        "Evaporation within",
        "0 %",
        "90 %",
        ("5 %", "5 %"),
        default="30 %",
        help="May be this share more or less, as the formula's constants differ from site to site (from memory, "
        "confirm).",
    )
    fill_flow: Flow = ask(
        "Filling flow",
        "0 US gal/min",
        "500 US gal/min",
        ("0.5 US gal/min", "1 L/min"),
        default="8 US gal/min",
        help="Of the hose: time a bucket.",
    )
    read_at: PoolName | None = ask(
        "Pool measured",
        default=None,
        help="In the leak test with the pumps off; left out, the pool that the pumps draw from. With the pumps on, "
        "measure that one: the others stand at their crests.",
    )
    fall_off: Length | None = ask(
        "Fall, pumps off",
        "0 in",
        "24 in",
        ("0.0625 in", "1 mm"),
        default=None,
        first=("0.25 in", "6 mm"),
        help="Leak test: measured over 24 h with the pumps off.",
    )
    fall_on: Length | None = ask(
        "Fall, pumps on",
        "0 in",
        "24 in",
        ("0.0625 in", "1 mm"),
        default=None,
        first=("0.5 in", "12 mm"),
        help="Leak test: measured over 24 h with the pumps on, from the running level on.",
    )


class Dosing(Part):
    """A dose by its concentration, and water exchange."""

    title_of_part: ClassVar[str] = "dosing"
    concentration: Concentration = ask(
        "Dose",
        "0 mg/L",
        "5000 mg/L",
        ("0.1 mg/L", "0.1 mg/L"),
        default="1 mg/L",
        help="Mass in each volume, from the label.",
    )
    added: Volume = ask(
        "Water added",
        "0 US gal",
        "200000 US gal",
        ("10 US gal", "50 L"),
        default="100 US gal",
        help="At the last top-up.",
    )


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
