"""Alignment of the passages: mouths on the face, runs between them, which fittings join them at each node, and how the
line is adjusted to listed fittings: what lies beyond each bend is turned or shifted as one, bend after bend.

Every run keeps its length, and every node its other angles. Mouths, and runs that pass a liner as drawn, never move.
"""

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT, LENGTH
from pondkit.geometry.line_intersection import LineIntersection, Segment, Spot, length
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as pipe_formulas
from pondkit.trades.tunnels.formulas import mouth_reach
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.joints import (
    BRANCHES,
    MOST_RUNS,
    AvailableFittings,
    JointPart,
    LineMove,
    PipeJoint,
    centre_to_stop,
    joint,
    pipe_of,
)
from pondkit.trades.tunnels.network import NetworkRun, Outlet, PassageNetwork, run_graph
from pondkit.trades.tunnels.runs import MouthPlace, PoolLevels, RunAlignment, buried, mouth_place, run_alignment

if TYPE_CHECKING:
    import networkx as nx

MOST = {"mouth": 1, "gate": 2, "junction": MOST_RUNS}


@dataclass(frozen=True)
class RunEnds:
    """Allowances at a run's ends, from which its cut length follows.

    Attributes:
        start, end: Fittings in series at its start and at its end.
        setback: Further shortening for fittings that stand beside its nodes [m].
        reach: Extension of its pipe past its mouths' nodes [m].
        level_mouth: True if a mouth comes out of a shelf or floor.
        bends: Cautions of the fittings.
    """

    start: tuple[JointPart, ...]
    end: tuple[JointPart, ...]
    setback: float
    reach: float
    level_mouth: bool
    bends: tuple[Words, ...]


@dataclass(frozen=True)
class AlignmentValues:
    """An alignment as plain values. An unchanged alignment compares equal, so nothing downstream is computed again.

    Fields: see ``Alignment``.
    """

    runs: tuple[RunAlignment, ...]
    places: tuple[Spot, ...]
    as_drawn: tuple[Spot, ...]
    moved: frozenset[int]
    mouths: tuple[tuple[int, MouthPlace], ...]
    joints: tuple[tuple[int, PipeJoint], ...]
    ends: tuple[RunEnds | None, ...]
    outlets: tuple[Outlet, ...]
    doubt: frozenset[str]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class Alignment:
    """Alignment of the passages: places of mouths, runs and joints.

    Attributes:
        runs: Runs that could be aligned, after fitting adjustment.
        places: Place of every node on the site, after fitting adjustment, mouths on the face [m].
        as_drawn: The same before fitting adjustment [m].
        moved: Numbers of the runs moved by the adjustment.
        mouths: Mouths by their node.
        joints: The fittings at each node; nodes at which a run has a problem are left out.
        ends: End allowances of each run; None if a fitting at one of its ends is unknown.
        graph: Nodes by index; its edges carry ``run``, the number in ``runs``, and ``length`` [m].
        outlets: Every mouth with the water level it opens to.
        doubt: Pools whose length of submerged pipe is unknown.
        problems: Runs and mouths that could not be aligned.
    """

    runs: tuple[RunAlignment, ...]
    places: tuple[Spot, ...]
    as_drawn: tuple[Spot, ...]
    moved: frozenset[int]
    mouths: dict[int, MouthPlace]
    joints: dict[int, PipeJoint]
    ends: tuple[RunEnds | None, ...]
    graph: "nx.Graph[int]"
    outlets: tuple[Outlet, ...]
    doubt: frozenset[str]
    problems: tuple[Problem, ...]

    def joined(self, node: int) -> set[int]:
        """Nodes connected to a node, including itself."""
        import networkx as nx

        return set(nx.node_connected_component(self.graph, node))

    def wet_nodes(self) -> set[int]:
        """Nodes connected to a mouth under water."""
        return {end for outlet in self.outlets if outlet.wet for end in self.joined(outlet.node)}

    def bores(self) -> dict[int, float]:
        """Widest bore at each node [m]; nodes that no run reaches are left out."""
        bores: dict[int, float] = {}
        for run in self.runs:
            for end in run.ends:
                bores[end] = max(bores.get(end, 0.0), run.pipe.bore)
        return bores

    def inverts(self) -> dict[int, float]:
        """Invert level at each node, of the widest pipe there [m]."""
        bores = self.bores()
        return {end: place[2] - bores.get(end, 0.0) / 2 for end, place in enumerate(self.places)}


@remembered
def alignment_of(values: AlignmentValues) -> Alignment:
    """An alignment made from its plain values, with its graph."""
    names, lengths = [run.source for run in values.runs], [run.length for run in values.runs]
    return Alignment(
        runs=values.runs,
        places=values.places,
        as_drawn=values.as_drawn,
        moved=values.moved,
        mouths=dict(values.mouths),
        joints=dict(values.joints),
        ends=values.ends,
        graph=run_graph(names, lengths, len(values.places)),
        outlets=values.outlets,
        doubt=values.doubt,
        problems=values.problems,
    )


def is_shut(node: Node) -> bool:
    """True for a gate that is shut."""
    return node.kind == "gate" and node.shut


def kind_shown(node: Node) -> str:
    """Kind of a node as displayed; of a gate also whether it is shut."""
    return "shut gate" if is_shut(node) else node.kind


@remembered
def drawn_alignment(
    tunnels: Tunnels,
    network: PassageNetwork,
    pools: tuple[PoolLevels, ...],
    crossings: tuple[tuple[LineIntersection | None, ...], ...],
    ground: Terrain,
    complete: bool,
) -> AlignmentValues:
    """The alignment before fitting adjustment (see ``adjustment``).

    Args:
        tunnels: Inputs of the tunnels.
        network: Their nodes and runs, from ``read_network``.
        pools: Pools without problems.
        crossings: For each of them, the crossings of each line of the network with its surfaces.
        ground: Existing ground in site axes.
        complete: False if some pool has a problem; a mouth that opens nowhere may lie in that pool.
    """
    nodes = tunnels.nodes
    problems, unsure = _faulty_nodes(nodes, network)
    draft = _Draft([], {}, set(unsure), {pool.name for pool in pools} if network.lost else set(), problems)
    for number, (source, line) in enumerate(zip(network.runs, network.lines, strict=True)):
        draft.add_run(source, line, nodes, pools, [pool[number] for pool in crossings], ground, complete)
    runs, mouths, problems = draft.runs, draft.mouths, draft.problems
    places = [(float(x), float(y), float(z)) for x, y, z in (node.at for node in nodes)]
    runs_at: dict[int, list[int]] = {}
    for number, run in enumerate(runs):
        for end, spot in zip(run.ends, run.line, strict=True):
            runs_at.setdefault(end, []).append(number)
            if end in mouths:
                places[end] = spot
    joints: dict[int, PipeJoint] = {}
    for end, pipe_joint in _joints(
        tunnels, runs, {end: runs_there for end, runs_there in runs_at.items() if end not in draft.unsure}, places
    ):
        if pipe_joint.fault is None:
            joints[end] = pipe_joint
        else:
            problems.append(_no_bend(end, pipe_joint.fault))
    return AlignmentValues(
        runs=tuple(runs),
        places=tuple(places),
        as_drawn=tuple(places),
        moved=frozenset(),
        mouths=tuple(mouths.items()),
        joints=tuple(joints.items()),
        ends=tuple(_ends(run, number, joints, runs_at, mouths) for number, run in enumerate(runs)),
        outlets=tuple(_outlet(end, mouth, places[end], pools) for end, mouth in mouths.items()),
        doubt=frozenset(draft.doubt),
        problems=tuple(problems),
    )


@dataclass
class _Draft:
    """Runs and mouths during alignment, one run after the other.

    Attributes:
        unsure: Nodes whose fitting is unknown.
        doubt: Pools whose length of submerged pipe is unknown.
    """

    runs: list[RunAlignment]
    mouths: dict[int, MouthPlace]
    unsure: set[int]
    doubt: set[str]
    problems: list[Problem]

    def add_run(
        self,
        source: NetworkRun,
        line: Segment,
        nodes: Sequence[Node],
        pools: Sequence[PoolLevels],
        crossings: Sequence[LineIntersection | None],
        ground: Terrain,
        complete: bool,
    ) -> None:
        """Align a run between its mouths, or record the problem that prevents it."""
        is_mouth = [nodes[end].kind == "mouth" and end not in self.unsure for end in source.ends]
        places = [
            mouth_place(line, crossings, ground, backward) if mouth else None
            for mouth, backward in zip(is_mouth, (False, True), strict=True)
        ]
        open_mouths = [
            end for end, mouth, place in zip(source.ends, is_mouth, places, strict=True) if mouth and place is None
        ]
        if open_mouths:
            self.problems += [buried(end, nodes[end].name, source.name) for end in open_mouths] if complete else []
        else:
            first, last = (place.moved if place else 0.0 for place in places)
            stations = first, length(line) - last
            run = run_alignment(source, line, crossings, stations, (is_mouth[0], is_mouth[1]), pools)
            if run is not None:
                self.runs.append(run)
                self.mouths |= {end: place for end, place in zip(source.ends, places, strict=True) if place}
                return
            self.problems.append(_nothing_left(source.index))
        self.unsure.update(source.ends)
        self.doubt |= {pool.name for pool, crossing in zip(pools, crossings, strict=True) if crossing}


def _faulty_nodes(nodes: Sequence[Node], network: PassageNetwork) -> tuple[list[Problem], set[int]]:
    """(problems of nodes, indexes of the nodes whose fitting is therefore unknown)."""
    problems, unsure = [*network.problems], set(network.unsure)
    count = Counter(end for run in network.runs for end in run.ends)
    for index, node in enumerate(nodes):
        if count[index] > MOST.get(node.kind, len(nodes)):
            problems.append(_crowded(index, node.name, node.kind, count[index]))
            unsure.add(index)
        elif node.kind == "gate" and count[index] < 2 and index not in unsure:
            problems.append(_nowhere(index, node.name, count[index]))
            unsure.add(index)
    return problems, unsure


def _joints(
    tunnels: Tunnels, runs: Sequence[RunAlignment], runs_at: Mapping[int, Sequence[int]], places: Sequence[Spot]
) -> Iterator[tuple[int, PipeJoint]]:
    """(index, joint) of each node that has a run."""
    nodes, fixed, fittings = tunnels.nodes, fixed_nodes(tunnels.nodes, runs), available_fittings(tunnels)
    graph = run_graph([run.source for run in runs], [run.length for run in runs], len(nodes))
    for end, numbers in runs_at.items():
        ending = [runs[number] for number in numbers]
        reaches = [_movable(end, run, graph, places, fixed) for run in ending] if len(ending) > 1 else [None]
        pipes, away = [run.pipe for run in ending], [_away(run, end) for run in ending]
        yield end, joint(nodes[end].name, _joint_kind(tunnels, nodes[end], ending), pipes, away, reaches, fittings)


def _ends(
    run: RunAlignment,
    number: int,
    joints: Mapping[int, PipeJoint],
    runs_at: Mapping[int, Sequence[int]],
    mouths: Mapping[int, MouthPlace],
) -> RunEnds | None:
    first, last = run.ends
    if first not in joints or last not in joints:
        return None
    at_mouths = [mouths[end] for end in run.ends if end in mouths]
    return RunEnds(
        start=joints[first].stops[runs_at[first].index(number)],
        end=joints[last].stops[runs_at[last].index(number)],
        setback=sum(_setback(joints[end], runs_at[end].index(number)) for end in (first, last)),
        reach=sum(mouth_reach(run.pipe.outside, mouth.batter) for mouth in at_mouths if mouth.batter is not None),
        level_mouth=any(mouth.face and mouth.batter is None for mouth in at_mouths),
        bends=(*joints[first].cautions, *joints[last].cautions),
    )


def _joint_kind(tunnels: Tunnels, node: Node, runs: Sequence[RunAlignment]) -> str:
    """Kind of a node; "flush inlet" if the flush enters there at the end of a single pipe."""
    inlet = node.kind == "junction" and len(runs) == 1 and node.name == tunnels.flush_from
    return "flush inlet" if inlet else node.kind


def _setback(pipe_joint: PipeJoint, end: int) -> float:
    return pipe_joint.setbacks[end] if pipe_joint.setbacks else 0.0


def available_fittings(tunnels: Tunnels) -> AvailableFittings:
    """Fittings available for bends: the elbows that the person can get, with sizes as measured or from the table."""
    elbows = tuple(f"elbow {degrees.strip()}" for degrees in tunnels.elbows.split(","))
    pipes = dict.fromkeys(pipe_of(tunnels, run) for run in tunnels.runs)
    sizes = {
        (name, pipe.name): centre_to_stop(name, pipe, tunnels.fittings).size.typical
        for pipe in pipes
        if pipe is not None
        for name in (*elbows, *BRANCHES)
    }
    return AvailableFittings(elbows, sizes, float(tunnels.socket), float(tunnels.most_move), float(tunnels.take_up))


def far_side(node: int, run: RunAlignment, graph: "nx.Graph[int]") -> set[int] | None:
    """Nodes on the far side of a run that is a bridge of the network; None if another route also connects them to the
    node.
    """
    import networkx as nx

    other = run.ends[1] if run.ends[0] == node else run.ends[0]
    side = nx.node_connected_component(nx.restricted_view(graph, [], [run.ends]), other)
    return None if node in side else set(side)


def fixed_nodes(nodes: Sequence[Node], runs: Sequence[RunAlignment]) -> set[int]:
    """Nodes that are never moved: mouths, and the ends of runs that pass a liner."""
    fixed = {end for run in runs if run.passes for end in run.ends}
    return fixed | {index for index, node in enumerate(nodes) if node.kind == "mouth"}


def _movable(
    node: int, run: RunAlignment, graph: "nx.Graph[int]", places: Sequence[Spot], fixed: set[int]
) -> float | None:
    """Distance from a node to the furthest place beyond one of its runs [m]; None if any of that is fixed."""
    side = None if run.passes else far_side(node, run, graph)
    if side is None or side & fixed:
        return None
    return max(math.dist(places[node], places[other]) for other in side)


def _no_bend(index: int, fault: Words) -> Problem:
    return Problem(
        ("tunnels", "nodes", index, "at"),
        fault,
        words("angles that listed fittings make; socket joints take no angle, and mouths and penetrations never move"),
        words("move the node, split the bend over two nodes, list more elbows, or allow the line a greater move"),
    )


def _away(run: RunAlignment, node: int) -> Spot:
    """Unit vector along a run, pointing away from one of its nodes."""
    first, last = run.line if run.ends[0] == node else run.line[::-1]
    return (last[0] - first[0]) / run.length, (last[1] - first[1]) / run.length, (last[2] - first[2]) / run.length


def _outlet(node: int, mouth: MouthPlace, place: Spot, pools: Sequence[PoolLevels]) -> Outlet:
    pool = None if mouth.pool is None else pools[mouth.pool]
    return Outlet(node, place[2], pool.level if pool else place[2], pool.name if pool else None)


def _crowded(index: int, name: str, kind: str, runs: int) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(f"{{runs}} runs meet at {kind} '{name}'", runs=(runs, COUNT)),
        words(f"at most {{most}} at a {kind}", most=(MOST[kind], COUNT)),
        words("join them at several junctions, one behind the other"),
    )


def _nowhere(index: int, name: str, runs: int) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(f"gate '{name}' stands nowhere: {'no run reaches it' if not runs else 'only one run reaches it'}"),
        words("a place along a run, which it parts in two: a run to it and a run on from it"),
        words(
            "draw the other run, set the gate between two runs in line, or make the node a junction, which is then "
            "capped"
        ),
    )


def _nothing_left(index: int) -> Problem:
    return Problem(
        ("tunnels", "runs", index),
        words("nothing is left of it between its mouths once they lie on the finished face"),
        words("a run that goes into the bank"),
        words("move its other node further into the bank"),
    )


Array = NDArray[np.float64]
NO_MOVE = 1e-6  # m: a smaller move is rounding
SHOWN = 1e-3  # m: a smaller move is not shown


@dataclass(frozen=True)
class AdjustedLine:
    """The line after fitting adjustment.

    Attributes:
        places: Place of every node on the site [m].
        moved: Numbers of the runs moved.
        lines: Their new lines, start to end [m]. After two fittings rotated against each other a run starts beside its
            node, offset by the shift.
    """

    places: tuple[Spot, ...]
    moved: tuple[int, ...]
    lines: tuple[Segment, ...]


@remembered
def adjusted_line(nodes: Sequence[Node], values: AlignmentValues) -> AdjustedLine:
    """Places of nodes and runs after all bends are adjusted to listed fittings.

    Args:
        nodes: Inputs of the nodes.
        values: The alignment as designed, mouths on the face.
    """
    line = _Line(nodes, values)
    for node, pipe_joint in values.joints:
        for move in pipe_joint.moves:
            if move.bend.move > NO_MOVE:
                line.apply(node, move)
    moved_runs = tuple(sorted(line.moved))
    ends = [line.ends[number] for number in moved_runs]
    return AdjustedLine(
        tuple(map(_spot, line.places)), moved_runs, tuple((_spot(start), _spot(end)) for start, end in ends)
    )


@remembered
def adjusted_alignment(
    values: AlignmentValues,
    line: AdjustedLine,
    crossings: tuple[tuple[LineIntersection | None, ...], ...],
    pools: Sequence[PoolLevels],
) -> AlignmentValues:
    """The alignment after fitting adjustment.

    Args:
        values: The alignment as designed.
        line: The adjusted line.
        crossings: For each pool without problems, the crossings of each moved line with its surfaces.
        pools: Those pools.
    """
    runs = list(values.runs)
    for index, (number, new) in enumerate(zip(line.moved, line.lines, strict=True)):
        met = [pool[index] for pool in crossings]
        run = run_alignment(runs[number].source, new, met, (0.0, length(new)), (False, False), pools)
        assert run is not None  # as long as before
        runs[number] = run
    return replace(values, runs=tuple(runs), places=line.places, moved=frozenset(line.moved))


class _Line:
    """Nodes and runs during adjustment, one bend after the other."""

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
        """Rotate or shift the line beyond the second leg of a move."""
        fixed_run, moved_run = (self.runs_at[node][leg] for leg in move.legs)
        side = None if self.runs[moved_run].passes else far_side(node, self.runs[moved_run], self.graph)
        normal = np.cross(-self._away(fixed_run, node), self._away(moved_run, node))
        size = float(np.linalg.norm(normal))
        # Where the line is fixed at both ends, sockets and setting-out tolerance take up the small remaining angle.
        if side is None or side & self.fixed or size < 1e-9:
            return
        normal = normal / size
        numbers = {moved_run} | {number for end in side for number in self.runs_at[end]}
        if move.bend.rotation:
            turn, centre = _turning(normal, math.radians(move.bend.rotation)), self.places[node]
            for end in side:
                self.places[end] = centre + turn @ (self.places[end] - centre)
            for number in numbers:
                self.ends[number] = centre + (self.ends[number] - centre) @ turn.T
        else:
            shift = normal * move.bend.move * (1.0 if normal[2] >= 0 else -1.0)  # rather up than down
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
    """Rotation matrix, shape (3, 3), about a unit vector by an angle [radians]: Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(by) * cross + (1 - math.cos(by)) * cross @ cross)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


@dataclass(frozen=True, eq=False)
class AdjustmentFigures(Result):
    """Figures of the fitting adjustment. Subjects are nodes.

    Attributes:
        set_aside: (name, place as designed, place to set out [m]) of each node moved by the adjustment.
    """

    line_move: tuple[Entry, ...]
    node_moved: tuple[Entry, ...]
    sharpest_bend: Entry | None
    tightest_branch: Entry | None
    set_aside: tuple[tuple[str, Spot, Spot], ...]


def adjustment_figures(tunnels: Tunnels, alignment: Alignment) -> AdjustmentFigures:
    """Displacement of the line at each bend, and of every node."""
    moves = []
    elbows: dict[str, float] = {}
    branches: dict[str, float] = {}
    for node, pipe_joint in alignment.joints.items():
        name = tunnels.nodes[node].name
        for move in pipe_joint.moves:
            if move.bend.move > SHOWN:
                moves.append(_line_move(name if len(pipe_joint.moves) < 2 else f"{name}, leg {move.legs[1] + 1}", move))
        if pipe_joint.turns and len(pipe_joint.stops) == 3:
            branches[name] = pipe_joint.turns[0]
            if pipe_joint.turns[1:]:
                elbows[name] = max(pipe_joint.turns[1:])
        elif pipe_joint.turns:
            elbows[name] = max(pipe_joint.turns)
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
    bend = move.bend
    if bend.rotation:
        return entry(
            pipe_formulas.turn_move,
            name,
            source=USER,
            far=move.far,
            bend=move.drawn_angle,
            fitting_angle=move.drawn_angle + bend.rotation,
        )
    return entry(pipe_formulas.shift_move, name, source=USER, spacing=bend.spacing, out_of_plane=bend.out_of_plane)


def _node_moved(name: str, old: Spot, new: Spot) -> Entry:
    east, north, up = (b - a for a, b in zip(old, new, strict=True))
    note = warn.NODE_SET_ASIDE(node=name, x=(new[0], LENGTH), y=(new[1], LENGTH), z=(new[2], LENGTH))
    return entry(pipe_formulas.node_moved, name, source=USER, cautions=[note], east=east, north=north, up=up)


def _sharpest(bends: dict[str, float]) -> Entry | None:
    if not bends:
        return None
    return entry(pipe_formulas.sharpest_bend, max(bends, key=lambda name: bends[name]), bends=list(bends.values()))
