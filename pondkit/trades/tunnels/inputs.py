"""Inputs of the tunnels: nodes, runs, pipe, measured fittings, and the limits to check them by."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Choice, Density, Flow, Length, Mass, Part, Place, Ratio, Share, Speed, ask
from pondkit.core.tables import table
from pondkit.core.text import Name, NodeName, OwnPipeName
from pondkit.trades.water.inputs.pumping import OWN_PIPE_HELP, OwnPipe, Pipe

Elbows = Annotated[str, Choice(("22.5, 45, 90", "45, 90", "22.5, 45", "45", "90"))]
CuttingPlan = Annotated[str, Choice(("quick", "proven"))]
NodeKind = Annotated[str, Choice(("mouth", "junction", "gate", "chamber"))]
FittingName = Annotated[str, Choice(tuple(dict.fromkeys(row["fitting"] for row in table("trades/tunnels/fittings"))))]


class Fitting(Part):
    """A fitting that the person measured; its sizes are used in place of the table's."""

    title_of_part: ClassVar[str] = "fitting"
    name: FittingName = ask("Fitting", help="The fitting that was measured.")
    pipe: Pipe = ask("Pipe", help="The pipe it fits.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)
    centre_to_stop: Length = ask(
        "Centre to stop",
        "0 in",
        "3 ft",
        ("0.125 in", "1 mm"),
        help="From the centre of the fitting to the stop on which the pipe's end rests; measure the fitting in hand.",
    )
    clear_bore: Length | None = ask(
        "Clear bore",
        "0.25 in",
        "3 ft",
        ("0.125 in", "2 mm"),
        default=None,
        help="Narrowest opening through this fitting, if narrower than the pipe, as in many gates; measure it.",
    )


class Node(Part):
    """A mouth, junction, gate or den chamber. A junction with one run is a capped end."""

    title_of_part: ClassVar[str] = "node"
    of_kind: ClassVar = dict.fromkeys(("size", "wall", "mass", "ballast"), "chamber") | {"shut": "gate"}
    name: Name = ask("Name", help="Each node has a name of its own.", front=True)
    kind: NodeKind = ask(
        "Kind", default="junction", help="Mouth in the water, junction, gate, or den chamber.", front=True
    )
    at: Place = ask(
        "Place",
        "-1000 ft",
        "1000 ft",
        ("3 in", "5 cm"),
        help="East and north of the site's origin, and level of the pipe's centre line above the datum.",
        front=True,
    )
    size: tuple[Length, Length, Length] | None = ask(
        "Den size",
        "4 in",
        "12 ft",
        ("1 in", "2 cm"),
        default=None,
        help="Inside length, width and height of a den.",
        front=True,
    )
    wall: Length = ask(
        "Den wall", "0 in", "12 in", ("0.25 in", "5 mm"), default="1 in", help="Thickness of walls, floor and lid."
    )
    mass: Mass | None = ask(
        "Den mass",
        "1 lb",
        "20000 lb",
        ("5 lb", "2 kg"),
        default=None,
        help="Of the empty box. Left out, it is taken as 0 against uplift.",
    )
    ballast: Mass | None = ask(
        "Ballast",
        "1 lb",
        "20000 lb",
        ("5 lb", "2 kg"),
        default=None,
        help="Weight fixed to the box to hold it down, as it weighs under water.",
    )
    vent: bool = ask("Vented", default=False, help="A den with a vent from under its lid to the open air.")
    shut: bool = ask(
        "Shut",
        default=False,
        help="A gate that is shut: no animal passes, and no air comes through. Water levels, watertight joints and "
        "flushing are worked out as if it were open.",
        front=True,
    )

    @property
    def is_shut(self) -> bool:
        """True for a gate that is shut."""
        return self.kind == "gate" and self.shut

    @property
    def kind_shown(self) -> str:
        """Its kind as displayed: "shut gate" for a gate that is shut."""
        return "shut gate" if self.is_shut else self.kind


class Run(Part):
    """A straight pipe from one node to another."""

    title_of_part: ClassVar[str] = "run"
    from_: NodeName = ask("From", help="Name of the node it starts at.")
    to: NodeName = ask("To", help="Name of the node it ends at.")
    pipe: Pipe | None = ask("Pipe", default=None, help="Left out, the pipe of all tunnels.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)


class Tunnels(Part):
    """Pipe passages between water and den: nodes, runs, pipe and fittings."""

    title_of_part: ClassVar[str] = "tunnels"
    pipe: Pipe = ask("Pipe", default="sch40 6 in", help="Of every run that has no pipe of its own.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)
    stock_length: Length = ask(
        "Stock length", "1 ft", "40 ft", ("1 ft", "0.25 m"), default="10 ft", help="Length that the pipe is sold in."
    )
    cutting: CuttingPlan = ask(
        "Cutting plan",
        default="quick",
        help="Quick while sketching. Proven for the order: searches for fewer stock lengths, for about a second, and "
        "names the least number possible.",
    )
    kerf: Length = ask(
        "Kerf",
        "0 in",
        "0.5 in",
        ("0.03125 in", "0.5 mm"),
        default="0.125 in",
        help="Width of pipe that one saw cut takes away.",
    )
    elbows: Elbows = ask("Available elbows", default="22.5, 45, 90", help="Angles [degrees] that bends are made from.")
    socket: Length = ask(
        "Socket depth",
        "0.25 in",
        "8 in",
        ("0.125 in", "2 mm"),
        default="3 in",
        help="How far the pipe goes into a fitting (from memory for 6 in pipe, confirm): no cut is shorter than its "
        "sockets.",
    )
    socket_within: Share = ask(
        "Socket depth within",
        "0 %",
        "50 %",
        ("5 %", "5 %"),
        default="15 %",
        help="How far the socket depth may be off, either way (from memory, confirm): 0 once you have measured it.",
    )
    most_move: Length = ask(
        "Most move for a bend",
        "0 in",
        "6 ft",
        ("0.5 in", "1 cm"),
        default="6 in",
        help="How far the line beyond a bend may be moved so that listed fittings make the bend; your own rule.",
    )
    take_up: Length = ask(
        "Taken up in setting out",
        "0 in",
        "2 in",
        ("0.125 in", "2 mm"),
        default="0.25 in",
        help="Where nothing may move: how far the line may be off, 1 m from a bend of listed fittings. Play in the "
        "sockets and setting out take it up (from memory, confirm).",
    )
    cover_density: Density = ask(
        "Density of the cover",
        "1100 kg/m^3",
        "2600 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="120 lb/ft^3",
        help="Of the soil over pipe and dens, saturated with water (from memory, confirm).",
    )
    cover_density_within: Share = ask(
        "Density of the cover within",
        "0 %",
        "40 %",
        ("1 %", "1 %"),
        default="10 %",
        help="How far that density may be off, either way (from memory, confirm).",
    )
    uplift_safety: Ratio = ask(
        "Safety against uplift",
        1,
        3,
        (0.1, 0.1),
        default=1.5,
        help="Resisting weight divided by uplift, at least (from memory, confirm).",
    )
    seal_margin: Length = ask(
        "Seal margin",
        "0 in",
        "4 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="How far above the highest water pipe and joints outside the liner are made watertight; your own rule.",
    )
    least_fall: Ratio = ask(
        "Least fall to the pool",
        0,
        0.2,
        (0.005, 0.005),
        default=0.01,
        help="Fall per level distance towards the pool. A run that falls less gets a caution; your own rule.",
    )
    trench_room: Length | None = ask(
        "Trench, room each side",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default=None,
        first=("4 in", "10 cm"),
        help="Working space on each side of pipe and den boxes. Left out, trenches and den pits are not counted in the "
        "dig.",
    )
    flush_from: NodeName | None = ask(
        "Flushed from", default=None, help="Node at which the flush branch from the pump line enters."
    )
    flush_flow: Flow | None = ask(
        "Flush flow",
        "0.1 US gal/min",
        "5000 US gal/min",
        ("5 US gal/min", "20 L/min"),
        default=None,
        help="Discharge of the flush branch with the other branches shut. Not needed where the water side has a flush "
        "branch: then it is worked out.",
    )
    flush_open: Annotated[tuple[NodeName, ...], Field(max_length=60, fail_fast=True)] = ask(
        "Mouths open at once",
        default=(),
        help="While flushing, with the others stopped. Each mouth open alone is worked out as well.",
    )
    flush_speed: Speed = ask(
        "Flush velocity wanted",
        "0.1 ft/s",
        "20 ft/s",
        ("0.5 ft/s", "0.1 m/s"),
        default="3 ft/s",
        help="Mean velocity that carries settled dirt out; your own rule.",
    )
    flush_check: bool = ask(
        "Flush check valve", default=False, help="A check valve or an air break is fitted in the flush branch."
    )
    own_pipes: Annotated[tuple[OwnPipe, ...], Field(max_length=20)] = ask(
        "Own pipes", default=(), help="Pipe that is not in the table."
    )
    fittings: Annotated[tuple[Fitting, ...], Field(max_length=60)] = ask(
        "Fittings", default=(), help="Measured fittings, in place of the table's sizes."
    )
    nodes: Annotated[tuple[Node, ...], Field(max_length=300)] = ask(
        "Nodes", default=(), help="Places where the pipe begins, ends, bends or branches."
    )
    runs: Annotated[tuple[Run, ...], Field(max_length=300)] = ask(
        "Runs", default=(), help="Straight pipe between two nodes."
    )
