"""What goes into the water and what the weather does: feed and waste, downpours, evaporation, doses."""

from typing import ClassVar

from pondkit.core.part import (
    Area,
    Concentration,
    Flow,
    HeatFlux,
    Length,
    MassRate,
    Part,
    Ratio,
    Speed,
    Temperature,
    Volume,
    ask,
)
from pondkit.core.text import PoolName
from pondkit.trades.pools.inputs import CREST_ENDS, Crest, CrestEnds
from pondkit.trades.water.inputs.pumping import LEVEL


class WaterLoad(Part):
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
    solids_within: Ratio = ask(
        "Solids within", 0, 0.9, (0.05, 0.05), default=0.3, help="Solids of the feed may be this share more or less."
    )
    sludge_dry: Ratio = ask(
        "Dry part of the sediment",
        0.01,
        0.5,
        (0.01, 0.01),
        default=0.05,
        help="Mass of dry solids over volume of sediment, in kg/L (from memory, confirm).",
    )
    sludge_dry_within: Ratio = ask(
        "Dry part within", 0, 0.9, (0.05, 0.05), default=0.4, help="Of the sediment: may be this share more or less."
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
        help="Velocity at which the surface takes oxygen up in still air (from memory, confirm).",
    )
    exchange_within: Ratio = ask(
        "Surface exchange within", 0, 0.9, (0.05, 0.05), default=0.5, help="May be this share more or less."
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
    overflow_ends: CrestEnds = ask("Overflow ends", default="not known", help=CREST_ENDS)
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
        "Air temperature", "32 °F", "122 °F", ("1 °F", "0.5 °C"), default="77 °F", help="Mean of the day."
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
    sun: HeatFlux | None = ask(
        "Net radiation",
        "0 W/m^2",
        "400 W/m^2",
        ("5 W/m^2", "5 W/m^2"),
        default=None,
        help="Mean of the day, what comes in less what goes out, from a weather service; with it "
        "evaporation is by Penman.",
    )
    evaporation_within: Ratio = ask(
        "Evaporation within",
        0,
        0.9,
        (0.05, 0.05),
        default=0.3,
        help="By the formula's constants, which differ from site to site, may be this share more or less "
        "(from memory, confirm).",
    )
    fill_flow: Flow = ask(
        "Fill at",
        "0 US gal/min",
        "500 US gal/min",
        ("0.5 US gal/min", "1 L/min"),
        default="8 US gal/min",
        help="Of the hose: time a bucket.",
    )
    read_at: PoolName | None = ask(
        "Pool that was read",
        default=None,
        help="Leak test with the pumps off; left out, the pool that the pumps draw from. With the pumps "
        "on read that one: the others stand at their crests.",
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
    """A dose by its concentration, and water that is added."""

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
