"""Cautions of the tunnels."""

from collections.abc import Iterator, Set

from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.thread import at
from pondkit.geometry.uneven import Terrain
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.lying import Lying
from pondkit.trades.tunnels.mouths import TOUCH

PROTECTED = Words(
    "Water vole, otter, platypus and many turtles are protected by law: interfering with a burrow or holt can be an offence. "
    "Ask the wildlife authority and someone who knows the species before you build, open or close a passage."
)
CLEAR_SIZE = Words(
    "No standard gives the clear size of a passage for an animal: the bore is your choice, and it is not checked here."
)
UNCOVERED = Words("Part of this run lies above the ground as it is, with no pool round it: it needs fill over it.")


def about_all(tunnels: Tunnels, joined: Set[int]) -> Iterator[Words]:
    """What concerns the passages as a whole; ``joined`` are the nodes that some run reaches."""
    yield PROTECTED
    yield CLEAR_SIZE
    for index, node in enumerate(tunnels.nodes):
        if index not in joined:
            yield words(f"No run reaches node '{node.name}'.")
        elif node.kind == "chamber" and node.size is None:
            yield words(f"Chamber '{node.name}' has no size: enter it to have its volume.")


def over_ground(run: Lying, ground: Terrain) -> Iterator[Words]:
    """A run whose crown comes out of the ground as it is, away from the pools."""
    for stretch in run.buried():
        for station in stretch:
            place = at(run.line, station)
            if place[2] + run.leg.pipe.outside / 2 > ground.level_at(place) + TOUCH:
                yield UNCOVERED
                return


def den_notes(node: Node, floor: float, groundwater: float | None) -> Iterator[Words]:
    """A den floor below the groundwater."""
    if groundwater is not None and floor < groundwater:
        yield words(
            f"The floor of '{node.name}' lies {{below}} below the highest known groundwater: it may stand in water.",
            below=(groundwater - floor, LENGTH),
        )
