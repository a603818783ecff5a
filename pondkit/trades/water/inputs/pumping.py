"""Inputs of pipes, lines and pumps; and of the load on the water and of the weather: feed and waste, design storm,
evaporation, leak test, doses.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import (
    Area,
    Choice,
    Concentration,
    Flow,
    HeatFlux,
    Length,
    Mass,
    MassRate,
    Part,
    Portion,
    Power,
    Ratio,
    Share,
    Speed,
    Temperature,
    Volume,
    Whole,
    ask,
)
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import names, rows_by_name
from pondkit.core.text import Name, OwnPipeName, PoolName
from pondkit.core.units import LENGTH, MASS, factor
from pondkit.trades.pools.inputs import CREST_ENDS, Crest, CrestEnds

# Not in the table, as their sizes were not found in print: PVC-U of EN ISO 1452, and flexible PVC hose. They are
# entered as a person's own pipe.
Pipe = Annotated[str, Choice(names("trades/water/pipes"))]
OWN_PIPE_HELP = "One of your own pipes, in place of the pipe chosen from the table."


class OwnPipe(Part):
    """Pipe of a size that no table here has: hose, corrugated pipe, larger sewer pipe, pipe of another country."""

    title_of_part: ClassVar[str] = "own pipe"
    first_values: ClassVar = ({"outside": "12 in", "bore": "11 in"}, {"outside": "30 cm", "bore": "28 cm"})
    name: Name = ask("Name", help="What you call it; none of the table's names.")
    outside: Length = ask(
        "Outside diameter", "0.3 in", "4 ft", ("0.0625 in", "1 mm"), help="Over the wall, or over its ribs; measure it."
    )
    bore: Length = ask(
        "Inside diameter", "0.25 in", "4 ft", ("0.0625 in", "1 mm"), help="The least clear width inside; measure it."
    )
    bore_within: Share = ask(
        "Inside diameter within",
        "0 %",
        "20 %",
        ("0.5 %", "0.5 %"),
        default="1 %",
        help="How far the inside diameter may be off, either way.",
    )
    stock_length: Length | None = ask(
        "Stock length",
        "1 ft",
        "1000 ft",
        ("1 ft", "0.25 m"),
        default=None,
        help="Length that it is sold in, or the coil of a hose; left out, that of the other pipe.",
    )
    mass: Mass | None = ask(
        "Mass of a stock length",
        "0.1 lb",
        "5000 lb",
        ("1 lb", "0.5 kg"),
        default=None,
        help="Counts against uplift of buried tunnels; left out, the pipe counts for nothing. Lines of the water side "
        "do not need it.",
    )


@dataclass(frozen=True)
class PipeSize:
    """Sizes of one pipe of the table.

    Attributes:
        name: Name to order it by.
        outside: Outside diameter [m].
        bore: Average inside diameter [m].
        mass: Mass per length [kg/m]; None if its table gives none.
        source: Source of its sizes.
    """

    name: str
    outside: float
    bore: float
    mass: float | None
    source: str


@cache
def pipe_size(name: str) -> PipeSize:
    """Sizes of a pipe of the table, by its name there."""
    row = rows_by_name("trades/water/pipes")[name]
    unit, mass = factor(row["unit"], LENGTH), None
    if row["mass"]:
        heavy, long = row["mass_unit"].split("/")
        mass = float(row["mass"]) * factor(heavy, MASS) / factor(long, LENGTH)
    return PipeSize(name, float(row["outside_diameter"]) * unit, float(row["bore"]) * unit, mass, row["source"])


def own_pipe_faults(
    trade: str, own_pipes: Iterable[OwnPipe], references: Iterable[tuple[Path, str | None]]
) -> Iterator[Problem]:
    """Problems of own pipes: one that is named but not defined, one with the name of a pipe of the table, one with a
    bore no less than its outside diameter.

    Args:
        trade: Field of the option whose part has the list ``own_pipes``.
        own_pipes: That list.
        references: (path, name of the own pipe there, or None) of each field that may name one.
    """
    pipes = tuple(own_pipes)
    pipe_names = [own_pipe.name for own_pipe in pipes]
    for path, name in references:
        if name is not None and name not in pipe_names:
            yield no_such(path, "own pipe", name, pipe_names)
    for number, own_pipe in enumerate(pipes):
        if own_pipe.bore >= own_pipe.outside:
            yield Problem(
                (trade, "own_pipes", number, "bore"),
                words(
                    f"own pipe '{own_pipe.name}' is {{bore}} inside and {{outside}} outside",
                    bore=(own_pipe.bore, LENGTH),
                    outside=(own_pipe.outside, LENGTH),
                ),
                words("an inside diameter less than the outside one"),
                words("measure both again; the outside one includes the wall on both sides"),
            )
        if own_pipe.name in names("trades/water/pipes"):
            yield Problem(
                (trade, "own_pipes", number, "name"),
                words(f"own pipe '{own_pipe.name}' has the name of a pipe of the table"),
                words("a name that no pipe of the table has"),
                words("rename it, or leave it out and choose the table's pipe"),
            )


Valve = Annotated[str, Choice(("ball", "gate", "none"))]
Ends = Annotated[str, Choice(("filter", "pool", "flush"))]
ASSUMED_AT = (0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0)  # flows of an assumed curve, over that of its one point
NEXT_TO_NOTHING = 0.02  # of the head at no flow: points of an assumed curve below it give way to its end at no head
LEAST_POINTS = 2  # of a curve that is read
OUTLET_LEVEL = ("-60 ft", "60 ft", ("1 in", "2 cm"))


class CurvePoint(Part):
    """One point of a pump's curve, as read from its sheet."""

    title_of_part: ClassVar[str] = "curve point"
    read_off: ClassVar[bool] = True
    flow: Flow | None = ask(
        "Flow",
        "0 US gal/min",
        "2000 US gal/min",
        ("1 US gal/min", "5 L/min"),
        default=None,
        help="Read off the pump's printed curve; left out until it is read.",
    )
    head: Length | None = ask(
        "Head",
        "0 ft",
        "200 ft",
        ("0.5 ft", "10 cm"),
        default=None,
        help="Read off the pump's printed curve; left out until it is read.",
    )


class Line(Part):
    """A line of pipe with its fittings: the main, and what every line has."""

    title_of_part: ClassVar[str] = "line"
    name: Name = ask("Name", default="main", help="Each line has a name of its own.", front=True)
    pipe: Pipe = ask("Pipe", default="sch40 1 1/2 in", help="Size of the whole line.", front=True)
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)
    hose: bool = ask(
        "Flexible hose",
        default=False,
        help="Smooth inside; a corrugated one takes several times as much head: enter its maker's loss "
        "as further loss.",
    )
    length: Length = ask(
        "Length", "0.1 ft", "1000 ft", ("1 ft", "0.25 m"), default="10 ft", help="Of the pipe.", front=True
    )
    elbows_90: Whole = ask("Elbows, 90°", 0, 60, (1, 1), default=0, help="Of short radius.")
    sweeps_90: Whole = ask("Sweeps, 90°", 0, 60, (1, 1), default=0, help="Elbows of long radius.")
    elbows_45: Whole = ask("Elbows, 45°", 0, 60, (1, 1), default=0, help="How many.")
    tees_through: Whole = ask("Tees, straight through", 0, 60, (1, 1), default=0, help="How many.")
    tees_branch: Whole = ask("Tees, into the branch", 0, 60, (1, 1), default=0, help="How many.")
    extra_k: Ratio = ask(
        "Further loss",
        0,
        200,
        (0.5, 0.5),
        default=0,
        help="Sum of K of what is not listed: a strainer, a UV lamp, fittings as measured, barbs of a hose.",
    )


class Pump(Line):
    """A pump with its curve."""

    title_of_part: ClassVar[str] = "pump"
    name: Name = ask("Name", default="pump", help="Each pump has a name of its own.", front=True)
    running: bool = ask("Running", default=True, help="Off: it is stopped, and its line stays open.", front=True)
    check_valve: bool = ask(
        "Check valve", default=True, help="Without one water runs back through it when it stops.", front=True
    )
    efficiency: Portion = ask(
        "Efficiency",
        "2 %",
        "95 %",
        ("1 %", "1 %"),
        default="35 %",
        help="Water power over electric power, pump and motor together (from memory, confirm on the plate).",
    )
    efficiency_within: Portion = ask(
        "Efficiency within", "0 %", "90 %", ("5 %", "5 %"), default="30 %", help="May be this share more or less."
    )
    power: Power | None = ask(
        "Power",
        "1 W",
        "20 kW",
        ("5 W", "5 W"),
        default=None,
        help="Electric power on its plate, in place of efficiency.",
    )
    shutoff: Ratio = ask(
        "Head at no flow, over that of the point",
        1.05,
        4,
        (0.05, 0.05),
        default=1.33,
        help="Only where a single point of the curve was read: the rest is assumed, with a third more head at no flow "
        "(from memory, confirm). Better read a second point.",
    )
    shutoff_within: Portion = ask(
        "Head at no flow within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="15 %",
        help="Its excess over 1 may be this share more or less (from memory, confirm).",
    )
    idle_k: Ratio = ask(
        "Loss when idle",
        0,
        1000,
        (1, 1),
        default=10,
        help="K of water that runs back through the stopped pump, on its line's velocity head (no published figure; "
        "confirm).",
    )
    idle_k_within: Portion = ask(
        "Loss when idle within", "0 %", "90 %", ("5 %", "5 %"), default="50 %", help="May be this share more or less."
    )
    curve: Annotated[tuple[CurvePoint, ...], Field(max_length=30)] = ask(
        "Curve", default=(), help="From no flow to the last point printed."
    )


def read_points(pump: Pump) -> tuple[tuple[float, float], ...]:
    """(flow [m³/s], head [m]) of the points of a pump's curve that have both, in the order entered."""
    read = ((point.flow, point.head) for point in pump.curve)
    return tuple((float(flow), float(head)) for flow, head in read if flow is not None and head is not None)


def assumed_curve(pump: Pump) -> bool:
    """True if a pump has a single curve point, with flow and head above zero; the rest of its curve is then assumed."""
    read = read_points(pump)
    return len(read) == 1 and min(read[0]) > 0


def has_curve(pump: Pump) -> bool:
    """True if a pump's curve is known from two points or more, or can be assumed from one."""
    return len(read_points(pump)) >= LEAST_POINTS or assumed_curve(pump)


def curve_points(pump: Pump, shutoff: float) -> tuple[tuple[float, float], ...]:
    """(flow [m³/s], head [m]) of the points on a pump's curve: those entered, or a parabola through a single one.

    Args:
        pump: Inputs of the pump.
        shutoff: Head at no flow over the head of the single point, above 1.

    Source: head falls with the square of the flow from no flow on; how much it is at no flow: user input
    """
    read = read_points(pump)
    if not assumed_curve(pump):
        return read
    flow, head = read[0]
    most = shutoff * head
    parabola = [(q, most - (most - head) * (q / flow) ** 2) for q in (share * flow for share in ASSUMED_AT)]
    end = (flow * math.sqrt(most / (most - head)), 0.0)
    return (*(point for point in parabola if point[1] > NEXT_TO_NOTHING * most), end)


class Branch(Line):
    """A line from the main to a pool, the filter or the flush."""

    title_of_part: ClassVar[str] = "branch"
    name: Name = ask("Name", default="branch", help="Each branch has a name of its own.", front=True)
    to: Ends = ask("Goes to", default="pool", help="The filter, a pool, or the flush of the tunnels.", front=True)
    pool: PoolName | None = ask(
        "Pool",
        default=None,
        help="Pool that its water flows to; left out, the lowest. Not used where it goes to the filter.",
        front=True,
    )
    outlet_level: Length | None = ask(
        "Level of the open end",
        *OUTLET_LEVEL,
        default=None,
        help="Of the branch's pipe: above the water it is a free outlet; below it, water may drain back down to it. "
        "Left out, just under the surface.",
    )
    valve: Valve = ask("Valve", default="ball", help="Its kind, for the loss when open.")
    opening: Portion = ask(
        "Valve opening",
        "0 %",
        "100 %",
        ("5 %", "5 %"),
        default="100 %",
        help="Share of the bore's area that the valve leaves free: 0 % shut, 100 % wide open. It is not the share "
        "of the handle's turn.",
        front=True,
    )
    check_valve: bool = ask("Check valve", default=False, help="Keeps water from running back through this branch.")


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
    overflow_ends: CrestEnds = ask("Overflow ends", default="not known", help=CREST_ENDS)
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
