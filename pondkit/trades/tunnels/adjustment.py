"""Adjustment of the line to listed fittings: what lies beyond each bend is turned or shifted as one, bend after bend.

Every run keeps its length, and every node its other angles. Mouths, and runs that pass a liner as drawn, never move.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import LineIntersection, Segment, Spot, length
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels.alignment import Alignment, AlignmentValues, far_side, fixed_nodes
from pondkit.trades.tunnels.formulas import pipe as pipe_formulas
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.joints import LineMove
from pondkit.trades.tunnels.network import run_graph
from pondkit.trades.tunnels.runs import PoolLevels, run_alignment

if TYPE_CHECKING:
    import networkx as nx

Array = NDArray[np.float64]
NO_MOVE = 1e-6  # m: a move of less is rounding
SHOWN = 1e-3  # m: a move of less is not shown


@dataclass(frozen=True)
class AdjustedLine:
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
def adjusted_line(nodes: Sequence[Node], values: AlignmentValues) -> AdjustedLine:
    """Where nodes and runs come to lie once listed fittings make all bends.

    Args:
        nodes: As drawn.
        values: The alignment as drawn, mouths on the face.
    """
    line = _Line(nodes, values)
    for node, made in values.joints:
        for move in made.moves:
            if move.turn.move > NO_MOVE:
                line.apply(node, move)
    moved = tuple(sorted(line.moved))
    ends = [line.ends[number] for number in moved]
    return AdjustedLine(tuple(map(_spot, line.places)), moved, tuple((_spot(start), _spot(end)) for start, end in ends))


@remembered
def adjusted_alignment(
    values: AlignmentValues,
    line: AdjustedLine,
    crossings: tuple[tuple[LineIntersection | None, ...], ...],
    pools: Sequence[PoolLevels],
) -> AlignmentValues:
    """The alignment as fittings make it.

    Args:
        values: The alignment as drawn.
        line: Where fittings bring it.
        crossings: For each pool that could be worked out, where each of the moved lines crosses its surfaces.
        pools: Those pools.
    """
    runs = list(values.runs)
    for at, (number, new) in enumerate(zip(line.moved, line.lines, strict=True)):
        met = [pool[at] for pool in crossings]
        run = run_alignment(runs[number].source, new, met, (0.0, length(new)), (False, False), pools)
        assert run is not None  # as long as before
        runs[number] = run
    return replace(values, runs=tuple(runs), places=line.places, moved=frozenset(line.moved))


class _Line:
    """Nodes and runs while bend after bend is made."""

    def __init__(self, nodes: Sequence[Node], values: AlignmentValues) -> None:
        self.runs = values.runs
        self.places: list[Array] = [np.array(place) for place in values.places]
        self.ends: list[Array] = [np.array(run.line) for run in self.runs]
        self.runs_at: dict[int, list[int]] = {}
        for number, run in enumerate(self.runs):
            for end in run.ends:
                self.runs_at.setdefault(end, []).append(number)
        self.fixed = fixed_nodes(nodes, self.runs)
        self.graph: nx.Graph[int] = run_graph(
            [run.source for run in self.runs], [run.length for run in self.runs], len(self.places)
        )
        self.moved: set[int] = set()

    def apply(self, node: int, move: LineMove) -> None:
        """Turn or shift what lies beyond the second leg of a move."""
        kept, led = (self.runs_at[node][leg] for leg in move.legs)
        side = None if self.runs[led].passes else far_side(node, self.runs[led], self.graph)
        normal = np.cross(-self._away(kept, node), self._away(led, node))
        size = float(np.linalg.norm(normal))
        # Where nothing may move, sockets and setting out take up the little that is left.
        if side is None or side & self.fixed or size < 1e-9:
            return
        normal = normal / size
        numbers = {led} | {number for end in side for number in self.runs_at[end]}
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
        return along if self.runs[number].ends[0] == node else -along


def _turning(axis: Array, by: float) -> Array:
    """Matrix of a turn about a unit vector [radians]: Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(by) * cross + (1 - math.cos(by)) * cross @ cross)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


@dataclass(frozen=True, eq=False)
class AdjustmentFigures(Result):
    """What fittings do to the line, as figures. Subjects are nodes.

    Attributes:
        set_aside: (name, place as drawn, place as it is set [m]) of each node that fittings move.
    """

    line_move: tuple[Entry, ...]
    node_moved: tuple[Entry, ...]
    sharpest_bend: Entry | None
    tightest_branch: Entry | None
    set_aside: tuple[tuple[str, Spot, Spot], ...]


def adjustment_figures(tunnels: Tunnels, alignment: Alignment) -> AdjustmentFigures:
    """How far each bend moves the line, and where every node comes to lie."""
    moves = []
    elbows: dict[str, float] = {}
    branches: dict[str, float] = {}
    for node, made in alignment.joints.items():
        name = tunnels.nodes[node].name
        for move in made.moves:
            if move.turn.move > SHOWN:
                moves.append(_line_move(name if len(made.moves) < 2 else f"{name}, leg {move.legs[1] + 1}", move))
        if made.turns and len(made.stops) == 3:
            branches[name] = made.turns[0]
            if made.turns[1:]:
                elbows[name] = max(made.turns[1:])
        elif made.turns:
            elbows[name] = max(made.turns)
    aside = tuple(
        (node.name, old, new)
        for node, old, new in zip(tunnels.nodes, alignment.as_drawn, alignment.places, strict=True)
        if math.dist(old, new) > SHOWN
    )
    return AdjustmentFigures(
        line_move=tuple(moves),
        node_moved=tuple(_node_moved(*each) for each in aside),
        sharpest_bend=_sharpest(elbows),
        tightest_branch=_sharpest(branches),
        set_aside=aside,
    )


def _line_move(name: str, move: LineMove) -> Entry:
    turn = move.turn
    if turn.turned:
        return entry(
            pipe_formulas.turn_move, name, source=USER, far=move.far, bend=move.bend, made=move.bend + turn.turned
        )
    return entry(pipe_formulas.shift_move, name, source=USER, spacing=turn.spacing, aside=turn.aside)


def _node_moved(name: str, old: Spot, new: Spot) -> Entry:
    east, north, up = (b - a for a, b in zip(old, new, strict=True))
    note = warn.NODE_SET_ASIDE(node=name, x=(new[0], LENGTH), y=(new[1], LENGTH), z=(new[2], LENGTH))
    return entry(pipe_formulas.node_moved, name, source=USER, cautions=[note], east=east, north=north, up=up)


def _sharpest(bends: dict[str, float]) -> Entry | None:
    if not bends:
        return None
    return entry(pipe_formulas.sharpest_bend, max(bends, key=lambda name: bends[name]), bends=list(bends.values()))
