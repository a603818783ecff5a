"""Dens that are boxes, each with the first run that ends there."""

from dataclasses import dataclass

from pondkit.geometry.thread import Spot
from pondkit.trades.tunnels.inputs import Node
from pondkit.trades.tunnels.laying import Laying


@dataclass(frozen=True)
class Box:
    """A den as it stands in its pit.

    Attributes:
        name: Its node's.
        size: Inside length, width, height [m].
        wall: Thickness of walls, floor and lid [m].
        outside: Of the pipe that ends there [m].
        here, there: Where that pipe ends, and its other end [m].
    """

    name: str
    size: tuple[float, float, float]
    wall: float
    outside: float
    here: Spot
    there: Spot

    @property
    def underside(self) -> float:
        """Level of its underside [m]: its floor lies as deep as the outside of the pipe."""
        return self.here[2] - self.outside / 2 - self.wall


def boxes(nodes: tuple[Node, ...], laid: Laying) -> tuple[Box, ...]:
    """Every den that has a size and a run."""
    found = []
    for index, node in enumerate(nodes):
        run = next((run for run in laid.runs if index in run.leg.ends), None)
        if node.kind == "chamber" and node.size is not None and run is not None:
            here, there = (run.start, run.end) if run.leg.ends[0] == index else (run.end, run.start)
            long, wide, high = map(float, node.size)
            found.append(Box(node.name, (long, wide, high), float(node.wall), run.leg.pipe.outside, here, there))
    return tuple(found)
