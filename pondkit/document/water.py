"""The water side: intake, pumps, pipes and filter."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.document.base import (
    Area,
    Choice,
    Concentration,
    Flow,
    Length,
    MassRate,
    Part,
    Point,
    Power,
    PriceEnergy,
    Ratio,
    SpecificArea,
    Speed,
    Temperature,
    Time,
    Volume,
    Whole,
    ask,
)
from pondkit.document.links import Crest
from pondkit.document.names import Name, PoolName
from pondkit.document.tunnels import Pipe
from pondkit.reference.tables import names, table

LossTable = Annotated[str, Choice(tuple(dict.fromkeys(row["table"] for row in table("losses"))))]
Valve = Annotated[str, Choice(("ball", "gate", "none"))]
Quality = Annotated[str, Choice(names("qualities"))]
Ends = Annotated[str, Choice(("filter", "pool", "flush"))]
LEVEL = ("-60 ft", "60 ft", ("1 in", "2 cm"))


class CurvePoint(Part):
    title_of_part: ClassVar[str] = "curve point"
    flow: Flow = ask(
        "Flow", "0 gal/min", "2000 gal/min", ("1 gal/min", "5 L/min"), help="Read off the pump's printed curve."
    )
    head: Length = ask("Head", "0 ft", "200 ft", ("0.5 ft", "10 cm"), help="Read off the pump's printed curve.")


class Line(Part):
    """A line of pipe with what it passes through."""

    title_of_part: ClassVar[str] = "line"
    name: Name = ask("Name", default="main", help="Each line has a name of its own.")
    pipe: Pipe = ask("Pipe", default="sch40 2 in", help="Size of the whole line.")
    length: Length = ask("Length", "0.1 ft", "1000 ft", ("1 ft", "0.25 m"), default="10 ft", help="Of the pipe.")
    elbows_90: Whole = ask("Elbows, 90°", 0, 60, (1, 1), default=0, help="Short ones.")
    sweeps_90: Whole = ask("Sweeps, 90°", 0, 60, (1, 1), default=0, help="Long-radius elbows.")
    elbows_45: Whole = ask("Elbows, 45°", 0, 60, (1, 1), default=0, help="How many.")
    tees_through: Whole = ask("Tees, straight through", 0, 60, (1, 1), default=0, help="How many.")
    tees_branch: Whole = ask("Tees, round the corner", 0, 60, (1, 1), default=0, help="How many.")
    extra_k: Ratio = ask(
        "Further loss", 0, 200, (0.5, 0.5), default=0, help="Sum of K of what is not listed: a strainer, a lamp."
    )


class Pump(Line):
    title_of_part: ClassVar[str] = "pump"
    name: Name = ask("Name", default="pump", help="Each pump has a name of its own.")
    running: bool = ask("Running", default=True, help="Off: it stands still with its line open.")
    check_valve: bool = ask("Check valve", default=True, help="Without one water runs back through it when it stops.")
    efficiency: Ratio = ask(
        "Efficiency",
        0.02,
        0.95,
        (0.01, 0.01),
        default=0.35,
        help="Water power over electric power, pump and motor together (from memory, confirm on the plate).",
    )
    power: Power | None = ask(
        "Power",
        "1 W",
        "20 kW",
        ("5 W", "5 W"),
        default=None,
        help="Electric power on its plate, in place of efficiency.",
    )
    idle_k: Ratio = ask(
        "Loss when idle",
        0,
        1000,
        (1, 1),
        default=10,
        help="K of water running through the stopped pump, on its line's velocity head (no published figure; confirm).",
    )
    curve: Annotated[tuple[CurvePoint, ...], Field(max_length=30)] = ask(
        "Curve", default=(), help="From no flow to the last point printed."
    )


class Branch(Line):
    title_of_part: ClassVar[str] = "branch"
    name: Name = ask("Name", default="branch", help="Each branch has a name of its own.")
    to: Ends = ask("Goes to", default="pool", help="The filter, a pool, or the flush of the tunnels.")
    pool: PoolName | None = ask(
        "Pool",
        default=None,
        help="Pool that its water ends in; left out, the lowest. Not asked where it goes to the filter.",
    )
    outlet_level: Length | None = ask(
        "Open end at",
        *LEVEL,
        default=None,
        help="Level of the pipe's open end: over the water it is a free outlet, under it water may drain back down to it; left out, just under the surface.",
    )
    valve: Valve = ask("Valve", default="ball", help="Its kind, for the loss when open.")
    opening: Ratio = ask(
        "Valve opening",
        0,
        1,
        (0.05, 0.05),
        default=1,
        help="Share of the bore that the valve leaves free: 0 shut, 1 wide open. The turn of the handle is not the same.",
    )
    check_valve: bool = ask("Check valve", default=False, help="Keeps water from running back through this branch.")


class Intake(Part):
    """Basin with a screen that the pumps draw from."""

    title_of_part: ClassVar[str] = "intake"
    pool: PoolName | None = ask("Pool", default=None, help="Pool that it draws from; left out, the lowest.")
    at: Point = ask(
        "Place",
        "-1000 ft",
        "1000 ft",
        ("6 in", "10 cm"),
        default=("0 ft", "0 ft"),
        help="East, north of the site's origin.",
    )
    screen_top: Length | None = ask(
        "Top of the screen",
        *LEVEL,
        default=None,
        help="Or of the pipe's mouth, above the site datum: it must stay covered.",
    )
    approach: Speed = ask(
        "Approach velocity",
        "0.02 ft/s",
        "3 ft/s",
        ("0.01 ft/s", "0.005 m/s"),
        default="0.2 ft/s",
        help="Chosen: 0.2 ft/s is the criterion for a screen that nobody cleans (NMFS), 0.4 ft/s for a self-cleaned one.",
    )
    screen_area: Area | None = ask(
        "Screen area",
        "0.01 ft^2",
        "400 ft^2",
        ("0.25 ft^2", "0.02 m^2"),
        default=None,
        help="Gross, as built; left out, what is needed.",
    )
    blocked: Ratio = ask(
        "Blocked share",
        0,
        0.9,
        (0.05, 0.05),
        default=0.1,
        help="Of the gross area, by frame and structure: your own judgement.",
    )
    open_share: Ratio = ask(
        "Open share",
        0.05,
        0.95,
        (0.01, 0.01),
        default=0.4,
        help="Openings over screen: 0.27 to 0.50 is usual (NRCS pocket guide).",
    )
    opening: Length = ask(
        "Opening", "0.1 mm", "6 in", ("0.03125 in", "0.5 mm"), default="3/32 in", help="Widest gap of the screen."
    )


class Filter(Part):
    title_of_part: ClassVar[str] = "filter"
    level: Length = ask("Water level", *LEVEL, default="2 ft", help="In the running filter, above the site datum.")
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
    media_voids: Ratio = ask(
        "Media voids", 0.2, 0.98, (0.01, 0.01), default=0.85, help="From its maker (from memory, confirm)."
    )
    media_surface: SpecificArea = ask(
        "Media surface",
        "5 ft^2/ft^3",
        "1500 ft^2/ft^3",
        ("5 ft^2/ft^3", "10 m^2/m^3"),
        default="60 ft^2/ft^3",
        help="Surface in each volume of bed: 30 to 68 ft²/ft³ for trickling media (New Hampshire Env-Wq 714.02); ask its maker.",
    )


class Load(Part):
    """What the animals and the water's own life give and take."""

    title_of_part: ClassVar[str] = "load"
    feed: MassRate = ask(
        "Feed a day",
        "0 lb/day",
        "200 lb/day",
        ("0.05 lb/day", "20 g/day"),
        default="0 lb/day",
        help="Of water-breathers.",
    )
    protein: Ratio = ask("Protein in the feed", 0.05, 0.8, (0.01, 0.01), default=0.35, help="Share, on the bag.")
    waste: MassRate = ask(
        "Waste of air-breathers",
        "0 lb/day",
        "20 lb/day",
        ("0.005 lb/day", "2 g/day"),
        default="0 lb/day",
        help="Ammonia nitrogen that turtles, birds or mammals leave in the water a day: your own estimate.",
    )
    within: Ratio = ask(
        "Feed and waste within", 0, 0.9, (0.05, 0.05), default=0.3, help="May be this share more or less."
    )
    solids: Ratio = ask(
        "Solids of the feed",
        0,
        1,
        (0.01, 0.01),
        default=0.25,
        help="Dry solids that settle, over feed (from memory, confirm).",
    )
    sludge_dry: Ratio = ask(
        "Dry part of the sediment",
        0.01,
        0.5,
        (0.01, 0.01),
        default=0.05,
        help="Mass of dry solids over volume of sediment, in kg/L (from memory, confirm).",
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
        ("0.1 m/day", "0.1 m/day"),
        default="0.5 m/day",
        help="Velocity at which the surface takes oxygen up in still air (from memory, confirm).",
    )


class Storm(Part):
    """A downpour, and the overflow of the pool that the pumps draw from."""

    title_of_part: ClassVar[str] = "storm"
    rain: Speed = ask(
        "Rain",
        "0 in/h",
        "20 in/h",
        ("0.1 in/h", "2 mm/h"),
        default="4 in/h",
        help="Heaviest to be led away: ask for your local design rain.",
    )
    roof_area: Area = ask(
        "Roofs",
        "0 ft^2",
        "50000 ft^2",
        ("10 ft^2", "1 m^2"),
        default="0 ft^2",
        help="Plan area that drains to the pools.",
    )
    ground_area: Area = ask(
        "Ground",
        "0 ft^2",
        "50000 ft^2",
        ("10 ft^2", "1 m^2"),
        default="0 ft^2",
        help="Plan area that falls to the pools.",
    )
    ground_share: Ratio = ask(
        "Share off the ground",
        0,
        1,
        (0.05, 0.05),
        default=0.4,
        help="Of the rain on it that runs off: your own judgement.",
    )
    overflow_level: Length | None = ask(
        "Overflow at", *LEVEL, default=None, help="Level of its lip; left out, the pool's level at rest."
    )
    overflow_width: Length = ask(
        "Overflow width", "1 in", "30 ft", ("1 in", "2 cm"), default="12 in", help="Clear width of its lip."
    )
    overflow_crest: Crest = ask("Overflow crest", default="broad", help="A flat lip is broad; a thin plate is sharp.")
    outfall_head: Length = ask(
        "Head over the outfall",
        "0.25 in",
        "6 ft",
        ("0.25 in", "1 cm"),
        default="4 in",
        help="From the middle of the outfall pipe's mouth up to the water that stands over it.",
    )


class Season(Part):
    """Weather, filling and a leak test."""

    title_of_part: ClassVar[str] = "season"
    air_temperature: Temperature = ask(
        "Air temperature", "32 °F", "86 °F", ("1 °F", "0.5 °C"), default="77 °F", help="Mean of the day."
    )
    humidity: Ratio = ask(
        "Humidity", 0, 1, (0.05, 0.05), default=0.5, help="Relative humidity of the air, mean of the day."
    )
    wind: Speed = ask(
        "Wind",
        "0 ft/s",
        "60 ft/s",
        ("0.5 ft/s", "0.1 m/s"),
        default="4 ft/s",
        help="Mean of the day, about 2 m over the water.",
    )
    fill_flow: Flow = ask(
        "Fill at",
        "0 gal/min",
        "500 gal/min",
        ("0.5 gal/min", "1 L/min"),
        default="8 US gal/min",
        help="Of the hose: time a bucket.",
    )
    fall_off: Length | None = ask(
        "Fall, pumps off",
        "0 in",
        "24 in",
        ("0.0625 in", "1 mm"),
        default=None,
        help="Leak test: measured over 24 h with the pumps off.",
    )
    fall_on: Length | None = ask(
        "Fall, pumps on",
        "0 in",
        "24 in",
        ("0.0625 in", "1 mm"),
        default=None,
        help="Leak test: measured over 24 h with the pumps on.",
    )


class Dosing(Part):
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
        "Water added", "0 gal", "200000 gal", ("10 gal", "50 L"), default="100 US gal", help="At the last top-up."
    )


class Water(Part):
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
    oxygen: Ratio = ask(
        "Oxygen at the intake",
        0,
        1.5,
        (0.05, 0.05),
        default=0.6,
        help="Share of saturation of the water that is pumped.",
    )
    losses: LossTable = ask("Loss table", default="EPANET 2.2", help="Where the K of bends, tees and valves is read.")
    runs_a_day: Time = ask(
        "Pumps run a day", "0 h", "24 h", ("0.5 h", "0.5 h"), default="24 h", help="For energy and its cost."
    )
    energy_price: PriceEnergy | None = ask(
        "Price of energy", 0, "5 per kWh", ("0.01 per kWh", "0.01 per kWh"), default=None, help="Your own."
    )
    intake: Intake | None = ask("Intake", default=None, help="Where the pumps draw from.")
    filter: Filter | None = ask("Filter", default=None, help="What the water is cleaned in.")
    load: Load | None = ask("Load", default=None, help="Feed, waste and oxygen.")
    storm: Storm | None = ask("Storm", default=None, help="Downpour and overflow.")
    season: Season | None = ask("Season", default=None, help="Weather, filling, leak test.")
    dosing: Dosing | None = ask("Dosing", default=None, help="What is put into the water.")
    pumps: Annotated[tuple[Pump, ...], Field(max_length=4)] = ask(
        "Pumps", default=(), help="Side by side, each in its own line from the intake."
    )
    main: Line | None = ask("Main", default=None, help="From where the pumps' lines meet to where the branches part.")
    branches: Annotated[tuple[Branch, ...], Field(max_length=20)] = ask(
        "Branches", default=(), help="To filter, flush and pools, each with its own valve."
    )
