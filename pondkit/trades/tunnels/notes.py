"""Cautions of the tunnels."""

from collections.abc import Iterator, Set

from pondkit.core.sentence import Words
from pondkit.core.units import LENGTH
from pondkit.geometry.thread import at
from pondkit.geometry.uneven import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.lying import Lying
from pondkit.trades.tunnels.mouths import TOUCH


def about_all(tunnels: Tunnels, joined: Set[int]) -> Iterator[Words]:
    """What concerns the passages as a whole; ``joined`` are the nodes that some run reaches."""
    yield warn.PROTECTED_BURROWS()
    yield warn.CLEAR_SIZE_IS_YOURS()
    for index, node in enumerate(tunnels.nodes):
        if index not in joined:
            yield warn.NODE_WITHOUT_RUN(node=node.name)
        elif node.kind == "chamber" and node.size is None:
            yield warn.DEN_WITHOUT_SIZE(node=node.name)


def over_ground(run: Lying, ground: Terrain) -> Iterator[Words]:
    """A run whose crown comes out of the ground as it is, away from the pools."""
    for stretch in run.buried():
        for station in stretch:
            place = at(run.line, station)
            if place[2] + run.leg.pipe.outside / 2 > ground.level_at(place) + TOUCH:
                yield warn.RUN_UNCOVERED()
                return


def den_notes(node: Node, floor: float, groundwater: float | None) -> Iterator[Words]:
    """A den floor below the groundwater."""
    if groundwater is not None and floor < groundwater:
        yield warn.DEN_BELOW_GROUNDWATER(node=node.name, below=(groundwater - floor, LENGTH))
