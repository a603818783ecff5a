"""Alignment of the passages: where mouths, runs and nodes lie, and the fittings that join the runs at each node.

It is found in two steps. As drawn, mouths are set on the face and the fittings of each joint are chosen. Then the line
is adjusted to those fittings, bend after bend: all that lies beyond a bend is rotated or shifted as one, so that every
run keeps its length and every other bend its angle. Mouths, and runs that pass a liner as drawn, never move.

Both steps are remembered by their plain values (``AlignmentValues``); ``Alignment`` adds the graph of the runs.
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
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.formulas import mouth_reach
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.joints import (
    BRANCHES,
    MOST_RUNS,
    AvailableFittings,
    FarDistance,
    JointPart,
    LineMove,
    PipeJoint,
    centre_to_stop,
    joint,
    pipe_of,
)
from pondkit.trades.tunnels.network import FarSides, NetworkRun, Outlet, PassageNetwork, far_sides, run_graph
from pondkit.trades.tunnels.runs import (
    MouthPlace,
    PoolLevels,
    RunAlignment,
    mouth_in_ground,
    mouth_place,
    run_alignment,
)

if TYPE_CHECKING:
    import networkx as nx

MOST_RUNS_AT = {"mouth": 1, "gate": 2, "junction": MOST_RUNS}


@dataclass(frozen=True)
class EndAllowances:
    """What the fittings and mouths at a run's ends take from its length, or add to it.

    Attributes:
        start, end: Fittings in series at its start and at its end.
        setback: Further shortening for fittings centred beside its nodes [m].
        mouth_reach: Extension of its pipe past its mouths' nodes, to be cut to the face [m].
        level_mouth: True if a mouth comes out of a shelf or floor.
        cautions: Cautions of the joints at its ends.
    """

    start: tuple[JointPart, ...]
    end: tuple[JointPart, ...]
    setback: float
    mouth_reach: float
    level_mouth: bool
    cautions: tuple[Words, ...]


@dataclass(frozen=True)
class AlignmentValues:
    """An alignment as plain values. An unchanged alignment compares equal, so nothing downstream is computed again.

    Fields: see ``Alignment``.
    """

    runs: tuple[RunAlignment, ...]
    places: tuple[Spot, ...]
    places_drawn: tuple[Spot, ...]
    moved_runs: frozenset[int]
    mouths: tuple[tuple[int, MouthPlace], ...]
    joints: tuple[tuple[int, PipeJoint], ...]
    allowances: tuple[EndAllowances | None, ...]
    outlets: tuple[Outlet, ...]
    in_doubt: frozenset[str]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class Alignment:
    """Alignment of the passages. A node is named by its index in the document, a run by its number in ``runs``.

    Attributes:
        runs: The runs that could be aligned, after fitting adjustment.
        places: Place of every node on the site, mouths on the face, after fitting adjustment [m].
        places_drawn: The same before fitting adjustment [m].
        moved_runs: Runs that the adjustment moved.
        mouths: Mouths, by their node.
        joints: The fittings at each node; a node with a run that has a problem is left out.
        allowances: End allowances of each run; None if the fittings at one of its ends are unknown.
        graph: Nodes joined by runs; its edges carry ``run`` and ``length`` [m].
        outlets: Each mouth with the water that it opens to.
        in_doubt: Names of the pools in which the length of pipe under water is unknown.
        problems: Runs, mouths and joints that could not be aligned.
    """

    runs: tuple[RunAlignment, ...]
    places: tuple[Spot, ...]
    places_drawn: tuple[Spot, ...]
    moved_runs: frozenset[int]
    mouths: dict[int, MouthPlace]
    joints: dict[int, PipeJoint]
    allowances: tuple[EndAllowances | None, ...]
    graph: "nx.Graph[int]"
    outlets: tuple[Outlet, ...]
    in_doubt: frozenset[str]
    problems: tuple[Problem, ...]

    def connected(self, node: int) -> set[int]:
        """Nodes connected to a node, including itself."""
        import networkx as nx

        return set(nx.node_connected_component(self.graph, node))

    def wet_nodes(self) -> set[int]:
        """Nodes connected to a mouth under water, however high the passage rises on the way."""
        return {node for outlet in self.outlets if outlet.wet for node in self.connected(outlet.node)}

    def bores(self) -> dict[int, float]:
        """Widest bore at each node [m]; nodes that no run reaches are left out."""
        bores: dict[int, float] = {}
        for run in self.runs:
            for node in run.nodes:
                bores[node] = max(bores.get(node, 0.0), run.pipe.bore)
        return bores

    def inverts(self) -> dict[int, float]:
        """Invert level at each node, of the widest pipe there [m]."""
        bores = self.bores()
        return {node: place[2] - bores.get(node, 0.0) / 2 for node, place in enumerate(self.places)}


@remembered
def alignment_of(values: AlignmentValues) -> Alignment:
    """An alignment made from its plain values, with its graph."""
    names, lengths = [run.source for run in values.runs], [run.length for run in values.runs]
    return Alignment(
        runs=values.runs,
        places=values.places,
        places_drawn=values.places_drawn,
        moved_runs=values.moved_runs,
        mouths=dict(values.mouths),
        joints=dict(values.joints),
        allowances=values.allowances,
        graph=run_graph(names, lengths, len(values.places)),
        outlets=values.outlets,
        in_doubt=values.in_doubt,
        problems=values.problems,
    )


@remembered
def drawn_alignment(
    tunnels: Tunnels,
    network: PassageNetwork,
    pools: tuple[PoolLevels, ...],
    crossings: tuple[tuple[LineIntersection | None, ...], ...],
    ground: Terrain,
    complete: bool,
) -> AlignmentValues:
    """The alignment before the line is adjusted to its fittings.

    Args:
        tunnels: Inputs of the tunnels.
        network: Their nodes and runs, from ``read_network``.
        pools: Pools without problems.
        crossings: For each of them, the crossings of each line of the network with its surfaces.
        ground: Existing ground in site axes.
        complete: False if some pool has a problem; a mouth that opens nowhere may lie in that pool.
    """
    nodes = tunnels.nodes
    problems, unknown_joints = _node_problems(nodes, network)
    in_doubt = {pool.name for pool in pools} if network.place_unknown else set()
    draft = _Draft([], {}, unknown_joints, in_doubt, problems)
    for number, (source, line) in enumerate(zip(network.runs, network.lines, strict=True)):
        draft.add_run(source, line, nodes, pools, [pool[number] for pool in crossings], ground, complete)
    runs, mouths, problems = draft.runs, draft.mouths, draft.problems
    places = [(float(x), float(y), float(z)) for x, y, z in (node.at for node in nodes)]
    runs_at: dict[int, list[int]] = {}
    for number, run in enumerate(runs):
        for node, spot in zip(run.nodes, run.line, strict=True):
            runs_at.setdefault(node, []).append(number)
            if node in mouths:
                places[node] = spot
    joints: dict[int, PipeJoint] = {}
    known = {node: numbers for node, numbers in runs_at.items() if node not in draft.unknown_joints}
    for node, pipe_joint in _joints(tunnels, runs, known, places):
        if pipe_joint.fault is None:
            joints[node] = pipe_joint
        else:
            problems.append(_no_fittings_possible(node, pipe_joint.fault))
    return AlignmentValues(
        runs=tuple(runs),
        places=tuple(places),
        places_drawn=tuple(places),
        moved_runs=frozenset(),
        mouths=tuple(mouths.items()),
        joints=tuple(joints.items()),
        allowances=tuple(_end_allowances(run, number, joints, runs_at, mouths) for number, run in enumerate(runs)),
        outlets=tuple(_outlet(node, mouth, places[node], pools) for node, mouth in mouths.items()),
        in_doubt=frozenset(draft.in_doubt),
        problems=tuple(problems),
    )


@dataclass
class _Draft:
    """Runs and mouths while they are aligned, one run after the other.

    Attributes:
        runs, mouths: Those aligned so far.
        unknown_joints: Nodes with a run that could not be aligned, so that their fittings are unknown.
        in_doubt: Names of the pools in which the length of pipe under water is unknown.
        problems: Problems found so far.
    """

    runs: list[RunAlignment]
    mouths: dict[int, MouthPlace]
    unknown_joints: set[int]
    in_doubt: set[str]
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
        is_mouth = [nodes[node].kind == "mouth" and node not in self.unknown_joints for node in source.nodes]
        places = [
            mouth_place(line, crossings, ground, backward) if mouth else None
            for mouth, backward in zip(is_mouth, (False, True), strict=True)
        ]
        in_ground = [
            node for node, mouth, place in zip(source.nodes, is_mouth, places, strict=True) if mouth and place is None
        ]
        if not in_ground:
            first, last = (place.shift if place else 0.0 for place in places)
            stations = first, length(line) - last
            run = run_alignment(source, line, crossings, stations, (is_mouth[0], is_mouth[1]), pools)
            if run is not None:
                self.runs.append(run)
                self.mouths |= {node: place for node, place in zip(source.nodes, places, strict=True) if place}
                return
            self.problems.append(_no_length_left(source.index))
        elif complete:
            self.problems += [mouth_in_ground(node, nodes[node].name, source.name) for node in in_ground]
        self.unknown_joints.update(source.nodes)
        self.in_doubt |= {pool.name for pool, crossing in zip(pools, crossings, strict=True) if crossing}


def _node_problems(nodes: Sequence[Node], network: PassageNetwork) -> tuple[list[Problem], set[int]]:
    """(problems of nodes and runs so far, indexes of the nodes whose fittings are therefore unknown)."""
    problems, unknown_joints = [*network.problems], set(network.unknown_joints)
    run_count = Counter(node for run in network.runs for node in run.nodes)
    for index, node in enumerate(nodes):
        if run_count[index] > MOST_RUNS_AT.get(node.kind, len(nodes)):
            problems.append(_too_many_runs(index, node.name, node.kind, run_count[index]))
            unknown_joints.add(index)
        elif node.kind == "gate" and run_count[index] < 2 and index not in unknown_joints:
            problems.append(_gate_at_an_end(index, node.name, run_count[index]))
            unknown_joints.add(index)
    return problems, unknown_joints


def _joints(
    tunnels: Tunnels, runs: Sequence[RunAlignment], runs_at: Mapping[int, Sequence[int]], places: Sequence[Spot]
) -> Iterator[tuple[int, PipeJoint]]:
    """(index, joint) of each node in ``runs_at``, which lists the runs that end there."""
    nodes, fixed, fittings = tunnels.nodes, fixed_nodes(tunnels.nodes, runs), available_fittings(tunnels)
    sides = far_sides(tuple(run.nodes for run in runs))
    for node, numbers in runs_at.items():
        ending = [runs[number] for number in numbers]
        far: tuple[FarDistance, ...] = (None,)
        if len(ending) > 1:
            far = tuple(_far_distance(node, run, sides, places, fixed) for run in ending)
        pipes, directions = tuple(run.pipe for run in ending), tuple(_direction(run, node) for run in ending)
        kind = _joint_kind(tunnels, nodes[node], ending)
        yield node, joint(nodes[node].name, kind, pipes, directions, far, fittings)


def _end_allowances(
    run: RunAlignment,
    number: int,
    joints: Mapping[int, PipeJoint],
    runs_at: Mapping[int, Sequence[int]],
    mouths: Mapping[int, MouthPlace],
) -> EndAllowances | None:
    first, last = run.nodes
    if first not in joints or last not in joints:
        return None
    at_mouths = [mouths[node] for node in run.nodes if node in mouths]
    return EndAllowances(
        start=joints[first].stops[runs_at[first].index(number)],
        end=joints[last].stops[runs_at[last].index(number)],
        setback=sum(_setback(joints[node], runs_at[node].index(number)) for node in (first, last)),
        mouth_reach=sum(mouth_reach(run.pipe.outside, mouth.batter) for mouth in at_mouths if mouth.batter is not None),
        level_mouth=any(mouth.face and mouth.batter is None for mouth in at_mouths),
        cautions=(*joints[first].cautions, *joints[last].cautions),
    )


def _joint_kind(tunnels: Tunnels, node: Node, runs: Sequence[RunAlignment]) -> str:
    """Kind of a node; "flush inlet" if the flush enters there at the end of a single pipe."""
    inlet = node.kind == "junction" and len(runs) == 1 and node.name == tunnels.flush_from
    return "flush inlet" if inlet else node.kind


def _setback(pipe_joint: PipeJoint, pipe_index: int) -> float:
    return pipe_joint.setbacks[pipe_index] if pipe_joint.setbacks else 0.0


@remembered
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


def fixed_nodes(nodes: Sequence[Node], runs: Sequence[RunAlignment]) -> set[int]:
    """Nodes that are never moved: mouths, and the ends of runs that pass a liner."""
    fixed = {end for run in runs if run.penetrations for end in run.nodes}
    return fixed | {index for index, node in enumerate(nodes) if node.kind == "mouth"}


def _far_distance(
    node: int, run: RunAlignment, sides: FarSides, places: Sequence[Spot], fixed: set[int]
) -> FarDistance:
    """Distance from a node to the furthest place beyond one of its runs [m]; None if anything there is fixed."""
    side = None if run.penetrations else sides[run.nodes, node]
    if side is None or side & fixed:
        return None
    return max(math.dist(places[node], places[other]) for other in side)


def _no_fittings_possible(index: int, fault: Words) -> Problem:
    return Problem(
        ("tunnels", "nodes", index, "at"),
        fault,
        words("angles that listed fittings make; socket joints take no angle, and mouths and penetrations never move"),
        words("move the node, split the bend over two nodes, list more elbows, or allow the line a greater move"),
    )


def _direction(run: RunAlignment, node: int) -> Spot:
    """Unit vector along a run, away from one of its nodes."""
    first, last = run.line if run.nodes[0] == node else run.line[::-1]
    return (last[0] - first[0]) / run.length, (last[1] - first[1]) / run.length, (last[2] - first[2]) / run.length


def _outlet(node: int, mouth: MouthPlace, place: Spot, pools: Sequence[PoolLevels]) -> Outlet:
    pool = None if mouth.pool is None else pools[mouth.pool]
    return Outlet(node, place[2], pool.level if pool else place[2], pool.name if pool else None)


def _too_many_runs(index: int, name: str, kind: str, runs: int) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(f"{{runs}} runs meet at {kind} '{name}'", runs=(runs, COUNT)),
        words(f"at most {{most}} at a {kind}", most=(MOST_RUNS_AT[kind], COUNT)),
        words("join them at several junctions, one behind the other"),
    )


def _gate_at_an_end(index: int, name: str, runs: int) -> Problem:
    return Problem(
        ("tunnels", "nodes", index),
        words(f"gate '{name}' closes nothing: {'no run reaches it' if not runs else 'only one run reaches it'}"),
        words("a gate between two runs: one that leads to it and one that leads on"),
        words(
            "draw the other run, set the gate between two runs in line, or make the node a junction, which is then "
            "capped"
        ),
    )


def _no_length_left(index: int) -> Problem:
    return Problem(
        ("tunnels", "runs", index),
        words("nothing is left of it between its mouths once they lie on the finished face"),
        words("a run that goes into the bank"),
        words("move its other node further into the bank"),
    )


Array = NDArray[np.float64]
NO_MOVE = 1e-6  # m: a smaller move is rounding
SHOWN = 1e-3  # m: a smaller move is not listed


@dataclass(frozen=True)
class AdjustedLine:
    """The line after fitting adjustment.

    Attributes:
        places: Place of every node on the site [m].
        moved_runs: Numbers of the runs that moved.
        lines: Start and end of each of those runs [m]. Where two fittings are rotated against each other, a run starts
            beside its node.
    """

    places: tuple[Spot, ...]
    moved_runs: tuple[int, ...]
    lines: tuple[Segment, ...]


@remembered
def adjusted_line(nodes: Sequence[Node], values: AlignmentValues) -> AdjustedLine:
    """Places of nodes and runs once listed fittings make every bend.

    Args:
        nodes: Inputs of the nodes.
        values: The alignment as drawn.
    """
    line = _MovingLine(nodes, values)
    for node, pipe_joint in values.joints:
        for move in pipe_joint.moves:
            if move.bend.move > NO_MOVE:
                line.apply(node, move)
    moved_runs = tuple(sorted(line.moved_runs))
    lines = tuple((_spot(line.ends[number][0]), _spot(line.ends[number][1])) for number in moved_runs)
    return AdjustedLine(tuple(map(_spot, line.places)), moved_runs, lines)


@remembered
def adjusted_alignment(
    values: AlignmentValues,
    line: AdjustedLine,
    crossings: tuple[tuple[LineIntersection | None, ...], ...],
    pools: Sequence[PoolLevels],
) -> AlignmentValues:
    """The alignment after fitting adjustment.

    Args:
        values: The alignment as drawn.
        line: The adjusted line.
        crossings: For each pool without problems, the crossings of each moved run with its surfaces.
        pools: Those pools.
    """
    runs = list(values.runs)
    for index, (number, moved) in enumerate(zip(line.moved_runs, line.lines, strict=True)):
        crossings_of_run, stations = [pool[index] for pool in crossings], (0.0, length(moved))
        run = run_alignment(runs[number].source, moved, crossings_of_run, stations, (False, False), pools)
        assert run is not None  # as long as before
        runs[number] = run
    return replace(values, runs=tuple(runs), places=line.places, moved_runs=frozenset(line.moved_runs))


class _MovingLine:
    """Nodes and runs while the line is adjusted, one bend after the other.

    Attributes:
        places: Place of each node, shape (3,) [m].
        ends: Start and end of each run, shape (2, 3) [m].
        moved_runs: Runs moved so far.
    """

    def __init__(self, nodes: Sequence[Node], values: AlignmentValues) -> None:
        self.runs = values.runs
        self.places: list[Array] = [np.array(place) for place in values.places]
        self.ends: list[Array] = [np.array(run.line) for run in self.runs]
        self.runs_at: dict[int, list[int]] = {}
        for number, run in enumerate(self.runs):
            for node in run.nodes:
                self.runs_at.setdefault(node, []).append(number)
        self.fixed = fixed_nodes(nodes, self.runs)
        self.sides = far_sides(tuple(run.nodes for run in self.runs))
        self.moved_runs: set[int] = set()

    def apply(self, node: int, move: LineMove) -> None:
        """Rotate or shift the line beyond the second leg of a bend at a node."""
        staying, moving = (self.runs_at[node][leg] for leg in move.legs)
        beyond = None if self.runs[moving].penetrations else self.sides[self.runs[moving].nodes, node]
        normal = np.cross(-self._direction(staying, node), self._direction(moving, node))
        size = float(np.linalg.norm(normal))
        # Where the line is fixed on both sides, sockets and setting out take up the small angle that remains.
        if beyond is None or beyond & self.fixed or size < 1e-9:
            return
        normal = normal / size
        runs_beyond = {moving} | {number for other in beyond for number in self.runs_at[other]}
        if move.bend.rotation:
            matrix, centre = _rotation_matrix(normal, math.radians(move.bend.rotation)), self.places[node]
            for other in beyond:
                self.places[other] = centre + matrix @ (self.places[other] - centre)
            for number in runs_beyond:
                self.ends[number] = centre + (self.ends[number] - centre) @ matrix.T
        else:
            shift = normal * move.bend.move * (1.0 if normal[2] >= 0 else -1.0)  # rather up than down
            for other in beyond:
                self.places[other] = self.places[other] + shift
            for number in runs_beyond:
                self.ends[number] = self.ends[number] + shift
        self.moved_runs |= runs_beyond

    def _direction(self, number: int, node: int) -> Array:
        start, end = self.ends[number]
        along: Array = (end - start) / self.runs[number].length
        return along if self.runs[number].nodes[0] == node else -along


def _rotation_matrix(axis: Array, by: float) -> Array:
    """Rotation about a unit vector, shape (3,), by an angle [radians], shape (3, 3): Rodrigues' formula."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.asarray(np.eye(3) + math.sin(by) * cross + (1 - math.cos(by)) * cross @ cross)


def _spot(place: Array) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


@dataclass(frozen=True, eq=False)
class AdjustmentFigures(Result):
    """Figures of the fitting adjustment. Subjects are nodes.

    Attributes:
        moved_nodes: (name, place as drawn, place to set out [m]) of each node that moved.
    """

    line_move: tuple[Entry, ...]
    node_moved: tuple[Entry, ...]
    sharpest_bend: Entry | None
    tightest_branch: Entry | None
    moved_nodes: tuple[tuple[str, Spot, Spot], ...]


def adjustment_figures(tunnels: Tunnels, alignment: Alignment) -> AdjustmentFigures:
    """Move of the line at each bend, shift of each node, and the sharpest bend and branch."""
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
    moved_nodes = tuple(
        (node.name, place_drawn, place)
        for node, place_drawn, place in zip(tunnels.nodes, alignment.places_drawn, alignment.places, strict=True)
        if math.dist(place_drawn, place) > SHOWN
    )
    return AdjustmentFigures(
        line_move=tuple(moves),
        node_moved=tuple(_node_moved(*each) for each in moved_nodes),
        sharpest_bend=_sharpest(elbows),
        tightest_branch=_sharpest(branches),
        moved_nodes=moved_nodes,
    )


def _line_move(name: str, move: LineMove) -> Entry:
    bend = move.bend
    if bend.rotation:
        return entry(
            relations.turn_move,
            name,
            source=USER,
            far=move.far,
            bend=move.drawn_angle,
            fitting_angle=move.drawn_angle + bend.rotation,
        )
    return entry(relations.shift_move, name, source=USER, spacing=bend.spacing, out_of_plane=bend.out_of_plane)


def _node_moved(name: str, place_drawn: Spot, place: Spot) -> Entry:
    east, north, up = (b - a for a, b in zip(place_drawn, place, strict=True))
    note = warn.NODE_SET_ASIDE(node=name, x=(place[0], LENGTH), y=(place[1], LENGTH), z=(place[2], LENGTH))
    return entry(relations.node_moved, name, source=USER, cautions=[note], east=east, north=north, up=up)


def _sharpest(bends: dict[str, float]) -> Entry | None:
    if not bends:
        return None
    return entry(relations.sharpest_bend, max(bends, key=lambda name: bends[name]), bends=list(bends.values()))
