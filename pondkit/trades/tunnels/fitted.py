"""The line as listed fittings make it: what hangs on each bend is turned or shifted as one, one bend after the other.

Every run keeps its length, and every node its other angles. Mouths, and runs that pass a liner as drawn, never move.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pondkit.core.remembered import remembered
from pondkit.geometry.thread import Segment, Spot, Thread, length
from pondkit.trades.tunnels.inputs import Node
from pondkit.trades.tunnels.joins import Move
from pondkit.trades.tunnels.laying import Settled, hanging, held_still
from pondkit.trades.tunnels.lying import Side, laid_out

Array = NDArray[np.float64]
NONE = 1e-6  # m: a move of less is rounding


@dataclass(frozen=True)
class Fitted:
    """Where fittings bring the line.

    Attributes:
        places: Place of every node on the site [m].
        moved: Numbers of the runs that are moved.
        lines: Their new lines, start to end [m]. Behind two fittings that are turned against each other a run starts
            beside its node, by the shift.
    """

    places: tuple[Spot, ...]
    moved: tuple[int, ...]
    lines: tuple[Segment, ...]


@remembered
def fitted(nodes: Sequence[Node], settled: Settled) -> Fitted:
    """Where nodes and runs come to lie once listed fittings make all bends.

    Args:
        nodes: As drawn.
        settled: The passages on the line as drawn, mouths settled.
    """
    line = _Line(nodes, settled)
    for node, made in settled.joins:
        for move in made.moves:
            if move.turn.move > NONE:
                line.apply(node, move)
    moved = tuple(sorted(line.moved))
    ends = [line.ends[number] for number in moved]
    return Fitted(tuple(map(_spot, line.places)), moved, tuple((_spot(own[0]), _spot(own[1])) for own in ends))


@remembered
def refitted(
    settled: Settled, line: Fitted, met: tuple[tuple[Thread | None, ...], ...], sides: Sequence[Side]
) -> Settled:
    """The passages on the line as fittings make it.

    Args:
        settled: The passages on the line as drawn.
        line: Where fittings bring it.
        met: For each pool that could be worked out what each of the moved lines meets of it.
        sides: Those pools.
    """
    runs = list(settled.runs)
    for at, (number, own) in enumerate(zip(line.moved, line.lines, strict=True)):
        threads = [pool[at] for pool in met]
        lying = laid_out(runs[number].leg, own, threads, (0.0, length(own)), (False, False), sides)
        assert lying is not None  # as long as before
        runs[number] = lying
    return replace(settled, runs=tuple(runs), places=line.places, moved=frozenset(line.moved))


class _Line:
    """Nodes and runs while bend after bend is made."""

    def __init__(self, nodes: Sequence[Node], settled: Settled) -> None:
        self.runs = settled.runs
        self.places: list[Array] = [np.array(place) for place in settled.places]
        self.ends: list[Array] = [np.array(run.line) for run in self.runs]
        self.joined: dict[int, list[int]] = {}
        for number, run in enumerate(self.runs):
            for end in run.leg.ends:
                self.joined.setdefault(end, []).append(number)
        self.still = held_still(nodes, self.runs)
        self.moved: set[int] = set()

    def apply(self, node: int, move: Move) -> None:
        """Turn or shift what hangs on a node by the second leg of a move."""
        kept, led = (self.joined[node][leg] for leg in move.legs)
        side = None if self.runs[led].passes else hanging(node, self.runs[led], self.joined, self.runs)
        normal = np.cross(-self._away(kept, node), self._away(led, node))
        size = float(np.linalg.norm(normal))
        # Where nothing may move, sockets and setting out take up the little that is left.
        if side is None or side & self.still or size < 1e-9:
            return
        normal = normal / size
        numbers = {led} | {number for end in side for number in self.joined[end]}
        if move.turn.turned:
            turn, centre = _turning(normal, math.radians(move.turn.turned)), self.places[node]
            for end in side:
                self.places[end] = centre + turn @ (self.places[end] - centre)
            for number in numbers:
                self.ends[number] = centre + (self.ends[number] - centre) @ turn.T
        else:
            shift = normal * move.turn.move * (1.0 if normal[2] >= 0 else -1.0)  # rather up than down
            for end in side:
                self.places[end] = self.places[end] + shift
            for number in numbers:
                self.ends[number] = self.ends[number] + shift
        self.moved |= numbers

    def _away(self, number: int, node: int) -> Array:
        start, end = self.ends[number]
        along: Array = (end - start) / self.runs[number].length
        return along if self.runs[number].leg.ends[0] == node else -along


def _turning(axis: Array, by: float) -> Array:
    """Matrix of a turn about a unit vector [radians]: Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(by) * cross + (1 - math.cos(by)) * cross @ cross)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])
