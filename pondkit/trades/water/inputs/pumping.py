"""Inputs of pipes and lines, of pumps with their curves, and of what the pumps draw from: intake basin and pump pit."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, ClassVar

from pydantic import Field

from pondkit.core.part import (
    Angle,
    Area,
    Choice,
    Flow,
    Length,
    Mass,
    Part,
    Point,
    Portion,
    Power,
    Ratio,
    Share,
    Speed,
    Whole,
    ask,
)
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import names, rows_by_name
from pondkit.core.text import Name, OwnPipeName, PoolName
from pondkit.core.units import LENGTH, MASS, factor

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
NEXT_TO_NOTHING = 0.02  # of the head at no flow: points of an assumed curve below it are left out for its end
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
        "Head at no flow, factor",
        1.05,
        4,
        (0.05, 0.05),
        default=1.33,
        help="Over the head of a curve's single point, where only one was read: the rest is assumed, with a third more "
        "head at no flow (from memory, confirm). Better read a second point.",
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


class Passage(Line):
    """Pipe between two bodies of the filter that stand apart."""

    title_of_part: ClassVar[str] = "passage"
    name: Name = ask("Name", default="passage", help="Each line has a name of its own.", front=True)


# Least, greatest, and the page's step in either unit system, of every body's place, size, levels and masses.
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
