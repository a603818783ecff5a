"""The water side: its bodies, pumps, lines, load and season."""

from collections.abc import Iterator
from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import (
    Choice,
    Density,
    Length,
    Part,
    PriceEnergy,
    Ratio,
    Temperature,
    Time,
    ask,
)
from pondkit.core.tables import names, table
from pondkit.trades.water.inputs.bodies import Filter, Intake, Passage, PlacedBody, PumpPit
from pondkit.trades.water.inputs.pumping import Branch, OwnPipe, Pump, PumpLine
from pondkit.trades.water.inputs.season import Dosing, Season, Storm, WaterLoad

LOSS_TABLES = tuple(dict.fromkeys(row["table"] for row in table("trades/water/losses")))
LOSS_LABELS = {
    "EPANET 2.2": "short glued fittings, the larger handbook values",
    "Munson flanged": "flanged fittings, smooth inside",
    "Munson threaded": "threaded fittings",
}  # what the coefficients are of; where each is printed stands in the working
LossTable = Annotated[str, Choice(LOSS_TABLES, tuple(LOSS_LABELS[name] for name in LOSS_TABLES))]
Quality = Annotated[str, Choice(names("trades/water/qualities"))]


class Water(Part):
    """The water side: intake, pumps, lines, filter, and what the water is asked to do."""

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
    hose_friction_within: Ratio = ask(
        "Hose friction within", 0, 0.9, (0.01, 0.01), default=0.13, help="May be this share more or less."
    )
    turnover: Time | None = ask(
        "Turnover wanted",
        "0.1 h",
        "240 h",
        ("0.5 h", "0.5 h"),
        default=None,
        help="Time in which the pumps are to move all the water once; your own figure. With it the flow and head "
        "of the pump are worked out.",
    )
    sheet: Length | None = ask(
        "Water over the falls wanted",
        "0.1 in",
        "12 in",
        ("0.125 in", "2 mm"),
        default=None,
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
        "Pumps", default=(), help="Side by side, each in its own line from the intake."
    )
    pit: PumpPit | None = ask("Pump pit", default=None, help="Left out, the pumps stand in the intake.")
    hole_room: Length = ask(
        "Room round bodies",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default="12 in",
        help="Between body and foot of its hole, all round; your own figure.",
    )
    hole_sides: Ratio = ask(
        "Sides of their holes", 0, 4, (0.05, 0.05), default=0, help="Horizontal run per unit of rise; 0 is upright."
    )
    backfill_density: Density = ask(
        "Density of the backfill",
        "1100 kg/m^3",
        "2600 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="120 lb/ft^3",
        help="Of the soil on lids and bases of bodies, full of water (from memory, confirm).",
    )
    backfill_density_within: Ratio = ask(
        "Backfill density within", 0, 0.5, (0.01, 0.01), default=0.08, help="May be this share more or less."
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
    main: PumpLine | None = ask(
        "Main", default=None, help="From where the pumps' lines meet to where the branches part."
    )
    branches: Annotated[tuple[Branch, ...], Field(max_length=20)] = ask(
        "Branches", default=(), help="To filter, flush and pools, each with its own valve."
    )


def all_bodies(water: Water) -> Iterator[PlacedBody]:
    """Every body, its size empty where that is not entered; of a filter, both bodies."""
    if basin := water.intake:
        yield PlacedBody(("water", "intake"), "intake basin", basin, basin.plan_size or (), basin.at)
    if pit := water.pit:
        yield PlacedBody(("water", "pit"), "pump pit", pit, pit.plan_size, pit.at)
    if clean := water.filter:
        yield PlacedBody(("water", "filter"), "filter", clean, clean.plan_size or (), clean.at)
        if clean.second_size:
            yield PlacedBody(("water", "filter"), "filter, second body", clean, clean.second_size, clean.second_at)


def bodies_of(water: Water) -> Iterator[PlacedBody]:
    """Every body that has a plan size; the second body of a filter counts only beside a first one that has one."""
    return (body for body in all_bodies(water) if body.size and body.part.plan_size)
