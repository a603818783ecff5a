"""Pumps, and the lines of pipe that their water goes through."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.names import Name, OwnPipeName, PoolName
from pondkit.core.part import Choice, Flow, Length, Part, Power, Ratio, Whole, ask
from pondkit.trades.water.inputs.pipes import OWN_PIPE_HELP, Pipe

Valve = Annotated[str, Choice(("ball", "gate", "none"))]
Ends = Annotated[str, Choice(("filter", "pool", "flush"))]
LEVEL = ("-60 ft", "60 ft", ("1 in", "2 cm"))


class CurvePoint(Part):
    title_of_part: ClassVar[str] = "curve point"
    first_values: ClassVar = ({"flow": "0 US gal/min", "head": "10 ft"}, {"flow": "0 L/min", "head": "3 m"})
    flow: Flow = ask(
        "Flow",
        "0 US gal/min",
        "2000 US gal/min",
        ("1 US gal/min", "5 L/min"),
        help="Read off the pump's printed curve.",
    )
    head: Length = ask("Head", "0 ft", "200 ft", ("0.5 ft", "10 cm"), help="Read off the pump's printed curve.")


class PumpLine(Part):
    """A line of pipe with what it passes through."""

    title_of_part: ClassVar[str] = "line"
    name: Name = ask("Name", default="main", help="Each line has a name of its own.", front=True)
    pipe: Pipe = ask("Pipe", default="sch40 2 in", help="Size of the whole line.", front=True)
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
    elbows_90: Whole = ask("Elbows, 90°", 0, 60, (1, 1), default=0, help="Short ones.")
    sweeps_90: Whole = ask("Sweeps, 90°", 0, 60, (1, 1), default=0, help="Long-radius elbows.")
    elbows_45: Whole = ask("Elbows, 45°", 0, 60, (1, 1), default=0, help="How many.")
    tees_through: Whole = ask("Tees, straight through", 0, 60, (1, 1), default=0, help="How many.")
    tees_branch: Whole = ask("Tees, round the corner", 0, 60, (1, 1), default=0, help="How many.")
    extra_k: Ratio = ask(
        "Further loss",
        0,
        200,
        (0.5, 0.5),
        default=0,
        help="Sum of K of what is not listed: a strainer, a lamp, fittings as measured, barbs of a hose.",
    )


class Pump(PumpLine):
    title_of_part: ClassVar[str] = "pump"
    name: Name = ask("Name", default="pump", help="Each pump has a name of its own.", front=True)
    running: bool = ask("Running", default=True, help="Off: it stands still with its line open.", front=True)
    check_valve: bool = ask(
        "Check valve", default=True, help="Without one water runs back through it when it stops.", front=True
    )
    efficiency: Ratio = ask(
        "Efficiency",
        0.02,
        0.95,
        (0.01, 0.01),
        default=0.35,
        help="Water power over electric power, pump and motor together (from memory, confirm on the plate).",
    )
    efficiency_within: Ratio = ask(
        "Efficiency within", 0, 0.9, (0.05, 0.05), default=0.3, help="May be this share more or less."
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
    idle_k_within: Ratio = ask(
        "Loss when idle within", 0, 0.9, (0.05, 0.05), default=0.5, help="May be this share more or less."
    )
    curve: Annotated[tuple[CurvePoint, ...], Field(max_length=30)] = ask(
        "Curve", default=(), help="From no flow to the last point printed."
    )


class Branch(PumpLine):
    title_of_part: ClassVar[str] = "branch"
    name: Name = ask("Name", default="branch", help="Each branch has a name of its own.", front=True)
    to: Ends = ask("Goes to", default="pool", help="The filter, a pool, or the flush of the tunnels.", front=True)
    pool: PoolName | None = ask(
        "Pool",
        default=None,
        help="Pool that its water ends in; left out, the lowest. Not asked where it goes to the filter.",
        front=True,
    )
    outlet_level: Length | None = ask(
        "Open end at",
        *LEVEL,
        default=None,
        help="Level of the pipe's open end: over the water it is a free outlet, under it water may drain "
        "back down to it; left out, just under the surface.",
    )
    valve: Valve = ask("Valve", default="ball", help="Its kind, for the loss when open.")
    opening: Ratio = ask(
        "Valve opening",
        0,
        1,
        (0.05, 0.05),
        default=1,
        help="Share of the bore that the valve leaves free: 0 shut, 1 wide open. The turn of the handle "
        "is not the same.",
        front=True,
    )
    check_valve: bool = ask("Check valve", default=False, help="Keeps water from running back through this branch.")
