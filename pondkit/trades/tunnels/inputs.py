"""Pipe passages between water and den."""

from typing import Annotated, ClassVar

from pydantic import Field

from pondkit.core.part import Choice, Density, Flow, Length, Mass, Part, Place, Ratio, Share, Speed, ask
from pondkit.core.tables import table
from pondkit.core.text import Name, NodeName, OwnPipeName
from pondkit.trades.water.inputs.pumping import OWN_PIPE_HELP, OwnPipe, Pipe

Elbows = Annotated[str, Choice(("22.5, 45, 90", "45, 90", "22.5, 45", "45", "90"))]
Search = Annotated[str, Choice(("quick", "proven"))]
NodeKind = Annotated[str, Choice(("mouth", "junction", "gate", "chamber"))]
FittingName = Annotated[str, Choice(tuple(dict.fromkeys(row["fitting"] for row in table("trades/tunnels/fittings"))))]


class Fitting(Part):
    """A fitting whose centre-to-stop distance the person measured."""

    title_of_part: ClassVar[str] = "fitting"
    name: FittingName = ask("Fitting", help="Which fitting this is the size of.")
    pipe: Pipe = ask("Pipe", help="For which pipe.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)
    centre_to_stop: Length = ask(
        "Centre to stop",
        "0 in",
        "3 ft",
        ("0.125 in", "1 mm"),
        help="From the fitting's centre to where the pipe's end stops; measure the fitting in hand.",
    )
    clear_bore: Length | None = ask(
        "Clear bore",
        "0.25 in",
        "3 ft",
        ("0.125 in", "2 mm"),
        default=None,
        help="Narrowest way through this fitting, where it is narrower than the pipe, as in many gates; measure it.",
    )


class Node(Part):
    """A mouth, junction, gate, den chamber or capped end of the passages."""

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
        help="East, north of the site's origin, and level of the pipe's centre line above the datum.",
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
        help="Of the empty box; left out, it counts for nothing against uplift.",
    )
    ballast: Mass | None = ask(
        "Ballast",
        "1 lb",
        "20000 lb",
        ("5 lb", "2 kg"),
        default=None,
        help="Fixed to the box, as it weighs under water.",
    )
    vent: bool = ask("Vented", default=False, help="A den with a vent from under its lid to the open air.")
    shut: bool = ask(
        "Shut",
        default=False,
        help="A gate that is shut: no animal passes it, and no air comes by it. Levels of water, seals and flushing "
        "are worked out as with open gates.",
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
    pipe: Pipe | None = ask("Pipe", default=None, help="In place of the tunnels' own pipe.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)


class Tunnels(Part):
    """Pipe passages between water and den: nodes, runs, pipe and fittings."""

    title_of_part: ClassVar[str] = "tunnels"
    pipe: Pipe = ask("Pipe", default="sch40 6 in", help="Of every run that names none of its own.")
    own_pipe: OwnPipeName | None = ask("Own pipe", default=None, help=OWN_PIPE_HELP)
    stock_length: Length = ask(
        "Stock length", "1 ft", "40 ft", ("1 ft", "0.25 m"), default="10 ft", help="Length that the pipe is sold in."
    )
    cutting: Search = ask(
        "Cutting plan",
        default="quick",
        help="Quick while sketching; proven, for the order, looks on for fewer lengths and says how few there may be; "
        "takes up to a second or so.",
    )
    kerf: Length = ask(
        "Kerf", "0 in", "0.5 in", ("0.03125 in", "0.5 mm"), default="0.125 in", help="What one saw cut takes away."
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
        help="How far the line beyond a bend may be moved so that listed fittings make it; your own rule.",
    )
    take_up: Length = ask(
        "Taken up in setting out",
        "0 in",
        "2 in",
        ("0.125 in", "2 mm"),
        default="0.25 in",
        help="How far off, 1 m from it, a bend of listed fittings may be where nothing may move: sockets and setting "
        "out take it up (from memory, confirm).",
    )
    cover_density: Density = ask(
        "Density of the cover",
        "1100 kg/m^3",
        "2600 kg/m^3",
        ("1 lb/ft^3", "10 kg/m^3"),
        default="120 lb/ft^3",
        help="Of the soil over pipe and dens, full of water (from memory, confirm).",
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
        help="What holds down over what lifts (from memory, confirm).",
    )
    seal_margin: Length = ask(
        "Seal margin",
        "0 in",
        "4 ft",
        ("1 in", "2 cm"),
        default="6 in",
        help="Joints outside the liner are made watertight up to so far above the highest water; your own rule.",
    )
    least_fall: Ratio = ask(
        "Least fall to the pool",
        0,
        0.2,
        (0.005, 0.005),
        default=0.01,
        help="Drop per level distance towards the pool below which a run is pointed out; your own rule.",
    )
    trench_room: Length | None = ask(
        "Trench, room each side",
        "0 in",
        "6 ft",
        ("1 in", "2 cm"),
        default=None,
        first=("4 in", "10 cm"),
        help="Beside pipe and boxes; left out, trenches and den pits are not counted in the dig.",
    )
    flush_from: NodeName | None = ask(
        "Flushed from", default=None, help="Node at which the flush branch from the pump line comes in."
    )
    flush_flow: Flow | None = ask(
        "Flush flow",
        "0.1 US gal/min",
        "5000 US gal/min",
        ("5 US gal/min", "20 L/min"),
        default=None,
        help="What the flush branch gives with the other branches shut; not asked where the water side has a branch "
        "to the flush.",
    )
    flush_open: Annotated[tuple[NodeName, ...], Field(max_length=60, fail_fast=True)] = ask(
        "Mouths open at once", default=(), help="While flushing, the others stopped; one by one is worked out besides."
    )
    flush_speed: Speed = ask(
        "Flush velocity wanted",
        "0.1 ft/s",
        "20 ft/s",
        ("0.5 ft/s", "0.1 m/s"),
        default="3 ft/s",
        help="Mean velocity that carries settled dirt out; your own figure.",
    )
    flush_check: bool = ask(
        "Flush check valve", default=False, help="A check valve or an air break in the flush branch."
    )
    own_pipes: Annotated[tuple[OwnPipe, ...], Field(max_length=20)] = ask(
        "Own pipes", default=(), help="Pipe that the table does not have."
    )
    fittings: Annotated[tuple[Fitting, ...], Field(max_length=60)] = ask(
        "Fittings", default=(), help="Measured sizes, in place of the table's."
    )
    nodes: Annotated[tuple[Node, ...], Field(max_length=300)] = ask(
        "Nodes", default=(), help="Where the pipe begins, ends and bends."
    )
    runs: Annotated[tuple[Run, ...], Field(max_length=300)] = ask(
        "Runs", default=(), help="Straight pipe between two nodes."
    )
