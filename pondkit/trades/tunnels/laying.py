"""Settles the mouths, lays out the runs between them, and finds which fitting stands at each node."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import networkx as nx

from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.units import COUNT
from pondkit.geometry.thread import Spot, Thread, length
from pondkit.geometry.uneven import Terrain
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.joins import MOST_RUNS, Free, Join, Part, Shelf, join
from pondkit.trades.tunnels.lying import Lying, Side, laid_out
from pondkit.trades.tunnels.mouths import Mouth, buried, settle
from pondkit.trades.tunnels.net import Net, Outlet, graph
from pondkit.trades.tunnels.relations import mouth_reach
from pondkit.trades.tunnels.sizes import BRANCHES, pipe_of, stop

MOST = {"mouth": 1, "gate": 2, "junction": MOST_RUNS}


@dataclass(frozen=True)
class Ends:
    """What a run's cut hangs on besides its length.

    Attributes:
        start, end: Fittings at its start and at its end, one behind the other.
        setback: What it is shortened by besides, for fittings that stand beside its nodes [m].
        reach: How far its pipe reaches past its mouths' nodes [m].
        level_mouth: True where a mouth comes out of a level part.
        bends: Cautions of the fittings.
    """

    start: tuple[Part, ...]
    end: tuple[Part, ...]
    setback: float
    reach: float
    level_mouth: bool
    bends: tuple[Words, ...]


@dataclass(frozen=True)
class Settled:
    """What ``laid_as`` makes the passages of, by value: so that passages that lie as before are the same. Fields as of ``Laying``."""

    runs: tuple[Lying, ...]
    places: tuple[Spot, ...]
    drawn: tuple[Spot, ...]
    moved: frozenset[int]
    mouths: tuple[tuple[int, Mouth], ...]
    joins: tuple[tuple[int, Join], ...]
    ends: tuple[Ends | None, ...]
    outlets: tuple[Outlet, ...]
    doubt: frozenset[str]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class Laying:
    """The passages as they lie.

    Attributes:
        runs: Runs that could be laid out, on the line as fittings make it.
        places: Place of every node on the site, mouths settled and bends made [m].
        drawn: The same on the line as drawn, mouths settled [m].
        moved: Numbers of the runs that fittings move.
        mouths: The settled mouth at a node.
        joins: The fittings at each node; not where a run is in trouble.
        ends: What each run's cut hangs on; None where a fitting at one of its ends is not known.
        made: The graph; its edges carry numbers in ``runs``.
        outlets: Every settled mouth with the water that it opens to.
        doubt: Pools of which it is not known what pipe stands in their water.
        problems: What could not be laid out.
    """

    runs: tuple[Lying, ...]
    places: tuple[Spot, ...]
    drawn: tuple[Spot, ...]
    moved: frozenset[int]
    mouths: dict[int, Mouth]
    joins: dict[int, Join]
    ends: tuple[Ends | None, ...]
    made: "nx.Graph[int]"
    outlets: tuple[Outlet, ...]
    doubt: frozenset[str]
    problems: tuple[Problem, ...]

    def joined(self, node: int) -> set[int]:
        """Nodes that some way joins to a node, itself among them."""
        return set(nx.node_connected_component(self.made, node))


@remembered
def laid_as(settled: Settled) -> Laying:
    """The passages as they lie, with their graph."""
    return Laying(
        runs=settled.runs,
        places=settled.places,
        drawn=settled.drawn,
        moved=settled.moved,
        mouths=dict(settled.mouths),
        joins=dict(settled.joins),
        ends=settled.ends,
        made=graph([run.leg for run in settled.runs], [run.length for run in settled.runs], len(settled.places)),
        outlets=settled.outlets,
        doubt=settled.doubt,
        problems=settled.problems,
    )


def barred(node: Node) -> bool:
    """True of a gate that is shut."""
    return node.kind == "gate" and node.shut


def standing(node: Node) -> str:
    """The kind of a node, and of a gate whether it is shut."""
    return "shut gate" if barred(node) else node.kind


@remembered
def laying(
    tunnels: Tunnels,
    known: Net,
    sides: tuple[Side, ...],
    met: tuple[tuple[Thread | None, ...], ...],
    ground: Terrain,
    whole: bool,
) -> Settled:
    """Lay the passages out on the line as drawn; ``fitted`` moves them to where their fittings bring them.

    Args:
        tunnels: As drawn.
        known: What ``net`` read of it.
        sides: Pools that could be worked out.
        met: For each of them what each line of ``known`` meets of it.
        ground: The ground as it is.
        whole: False where some pool is in trouble: a mouth that comes out nowhere may lie in that one.
    """
    nodes, problems, doubt = tunnels.nodes, [*known.problems], set[str]()
    if known.lost:
        doubt |= {side.name for side in sides}
    unsure = set(known.unsure)
    at_node: dict[int, list[int]] = {index: [] for index in range(len(nodes))}
    for number, leg in enumerate(known.legs):
        for end in leg.ends:
            at_node[end].append(number)
    for index, node in enumerate(nodes):
        if len(at_node[index]) > MOST.get(node.kind, len(nodes)):
            problems.append(_crowded(index, node.name, node.kind, len(at_node[index])))
            unsure.add(index)
        elif node.kind == "gate" and len(at_node[index]) < 2 and index not in unsure:
            problems.append(_nowhere(index, node.name, len(at_node[index])))
            unsure.add(index)
    mouths: dict[int, Mouth] = {}
    runs: list[Lying] = []
    for number, (leg, line) in enumerate(zip(known.legs, known.lines, strict=True)):
        threads = [pool[number] for pool in met]
        ends = [nodes[end].kind == "mouth" and end not in unsure for end in leg.ends]
        settled = [
            settle(line, threads, ground, backward) if mouth else None
            for mouth, backward in zip(ends, (False, True), strict=True)
        ]
        lost = [end for end, mouth, found in zip(leg.ends, ends, settled, strict=True) if mouth and found is None]
        if lost:
            problems += [buried(end, nodes[end].name, leg.name) for end in lost] if whole else []
        else:
            first, last = (mouth.moved if mouth else 0.0 for mouth in settled)
            lying = laid_out(leg, line, threads, (first, length(line) - last), (ends[0], ends[1]), sides)
            if lying is not None:
                runs.append(lying)
                mouths |= {end: mouth for end, mouth in zip(leg.ends, settled, strict=True) if mouth}
                continue
            problems.append(_nothing_left(leg.index))
        unsure.update(leg.ends)
        doubt |= {side.name for side, thread in zip(sides, threads, strict=True) if thread}
    places = [(float(x), float(y), float(z)) for x, y, z in (node.at for node in nodes)]
    joined: dict[int, list[int]] = {}
    for number, lying in enumerate(runs):
        for end, spot in zip(lying.leg.ends, lying.line, strict=True):
            joined.setdefault(end, []).append(number)
            if end in mouths:
                places[end] = spot
    joins: dict[int, Join] = {}
    stuck = held_still(nodes, runs)
    shelf = shelf_of(tunnels)
    for end, own in joined.items():
        if end not in unsure:
            at = [runs[number] for number in own]
            frees = [_free(end, run, joined, runs, places, stuck) for run in at] if len(at) > 1 else [None]
            made = join(
                nodes[end].name,
                _kind(tunnels, nodes[end], at),
                [r.leg.pipe for r in at],
                [_away(r, end) for r in at],
                frees,
                shelf,
            )
            if made.fault is None:
                joins[end] = made
            else:
                problems.append(_no_bend(end, made.fault))
    return Settled(
        runs=tuple(runs),
        places=tuple(places),
        drawn=tuple(places),
        moved=frozenset(),
        mouths=tuple(mouths.items()),
        joins=tuple(joins.items()),
        ends=tuple(_ends(lying, number, joins, joined, mouths) for number, lying in enumerate(runs)),
        outlets=tuple(_outlet(end, mouth, places[end], sides) for end, mouth in mouths.items()),
        doubt=frozenset(doubt),
        problems=tuple(problems),
    )


def _ends(
    lying: Lying, number: int, joins: dict[int, Join], joined: dict[int, list[int]], mouths: dict[int, Mouth]
) -> Ends | None:
    first, last = lying.leg.ends
    if first not in joins or last not in joins:
        return None
    own = [mouths[end] for end in lying.leg.ends if end in mouths]
    return Ends(
        start=joins[first].stops[joined[first].index(number)],
        end=joins[last].stops[joined[last].index(number)],
        setback=sum(_setback(joins[end], joined[end].index(number)) for end in (first, last)),
        reach=sum(mouth_reach(lying.leg.pipe.outside, mouth.batter) for mouth in own if mouth.batter is not None),
        level_mouth=any(mouth.face and mouth.batter is None for mouth in own),
        bends=(*joins[first].cautions, *joins[last].cautions),
    )


def _kind(tunnels: Tunnels, node: Node, runs: Sequence[Lying]) -> str:
    """The kind of a node; of a single pipe's end at which the flush comes in: "flush inlet"."""
    inlet = node.kind == "junction" and len(runs) == 1 and node.name == tunnels.flush_from
    return "flush inlet" if inlet else node.kind


def _setback(made: Join, at: int) -> float:
    return made.setbacks[at] if made.setbacks else 0.0


def shelf_of(tunnels: Tunnels) -> Shelf:
    """What bends are made from: elbows that the person can get, sizes as measured or by the table."""
    elbows = tuple(f"elbow {degrees.strip()}" for degrees in tunnels.elbows.split(","))
    pipes = dict.fromkeys(pipe_of(tunnels, run) for run in tunnels.runs)
    stops = {
        (name, pipe.name): stop(name, pipe, tunnels.fittings).size.typical
        for pipe in pipes
        if pipe is not None
        for name in (*elbows, *BRANCHES)
    }
    return Shelf(elbows, stops, float(tunnels.socket), float(tunnels.most_move))


def hanging(node: int, run: Lying, joined: Mapping[int, Sequence[int]], runs: Sequence[Lying]) -> set[int] | None:
    """Nodes that hang on a node by one run; None where they are joined to it by another way as well."""
    start = run.leg.ends[1] if run.leg.ends[0] == node else run.leg.ends[0]
    seen, todo = {start}, [start]
    while todo:
        here = todo.pop()
        for number in joined[here]:
            ends = runs[number].leg.ends
            other = ends[1] if ends[0] == here else ends[0]
            if other == node:
                if runs[number] is not run:
                    return None
            elif other not in seen:
                seen.add(other)
                todo.append(other)
    return seen


def held_still(nodes: Sequence[Node], runs: Sequence[Lying]) -> set[int]:
    """Nodes that never move: mouths, and the ends of runs that pass a liner."""
    held = {end for run in runs if run.passes for end in run.leg.ends}
    return held | {index for index, node in enumerate(nodes) if node.kind == "mouth"}


def _free(
    node: int,
    run: Lying,
    joined: Mapping[int, Sequence[int]],
    runs: Sequence[Lying],
    places: Sequence[Spot],
    stuck: set[int],
) -> Free:
    """Distance to the furthest place of what hangs on a node by a run, where all of it may move."""
    side = None if run.passes else hanging(node, run, joined, runs)
    if side is None or side & stuck:
        return None
    return max(math.dist(places[node], places[other]) for other in side)


def _no_bend(index: int, fault: Words) -> Problem:
    return Problem(
        ("tunnels", "nodes", index, "at"),
        fault,
        words("angles that listed fittings make; socket joints take no angle, and mouths and penetrations never move"),
        words("move the node, split the bend over two nodes, list more elbows, or allow the line a greater move"),
    )


def _away(run: Lying, node: int) -> Spot:
    """Unit vector along a run, away from one of its nodes."""
    first, last = run.line if run.leg.ends[0] == node else run.line[::-1]
    return (last[0] - first[0]) / run.length, (last[1] - first[1]) / run.length, (last[2] - first[2]) / run.length


def _outlet(node: int, mouth: Mouth, place: Spot, sides: Sequence[Side]) -> Outlet:
    side = None if mouth.pool is None else sides[mouth.pool]
    return Outlet(node, place[2], side.level if side else place[2], side.name if side else None)


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
            "draw the other run, set the gate between two runs in line, or make the node a junction, which is then capped"
        ),
    )


def _nothing_left(index: int) -> Problem:
    return Problem(
        ("tunnels", "runs", index),
        words("nothing is left of it between its mouths once they lie on the finished face"),
        words("a run that goes into the bank"),
        words("move its other node further into the bank"),
    )
