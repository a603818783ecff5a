"""The passages as a network of runs between nodes: which runs there are, which nodes water reaches, and which mouths
would drain a pool.

A node is named by its index in the document, a run by its number in the list at hand.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import Segment, Spot
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.joints import PassagePipe, pipe_of
from pondkit.trades.water.inputs.pumping import own_pipe_faults

if TYPE_CHECKING:
    import networkx as nx

SAME_PLACE = 1e-3  # m: nodes nearer than this are in one place
SAME_LEVEL = 1e-6  # m


@dataclass(frozen=True)
class NetworkRun:
    """A run between two known nodes.

    Attributes:
        index: Its index in the document.
        name: Subject of its figures: "from – to".
        nodes: Indexes of the nodes that it starts and ends at.
        pipe: Its pipe.
    """

    index: int
    name: str
    nodes: tuple[int, int]
    pipe: PassagePipe


@dataclass(frozen=True)
class PassageNetwork:
    """The runs that can be placed, and the problems of the others.

    Attributes:
        runs: Runs between two known nodes, in the document's order.
        lines: Start and end of each, at its nodes as drawn [m].
        unknown_joints: Nodes with a run that cannot be placed, so that their fittings are unknown.
        place_unknown: True if the place of some run is unknown: it may lie in any pool.
        problems: Problems of nodes, runs and pipes.
    """

    runs: tuple[NetworkRun, ...]
    lines: tuple[Segment, ...]
    unknown_joints: frozenset[int]
    place_unknown: bool
    problems: tuple[Problem, ...]


@remembered
def read_network(tunnels: Tunnels) -> PassageNetwork:
    """Find the nodes and the pipe of each run by their names."""
    nodes, problems = tunnels.nodes, [*_nodes_in_one_place(tunnels), *_own_pipe_problems(tunnels)]
    name_count = Counter(node.name for node in nodes)
    index = {node.name: node_index for node_index, node in enumerate(nodes)}
    runs: list[NetworkRun] = []
    unknown_joints: set[int] = set()
    place_unknown = False
    joined: set[frozenset[int]] = set()
    for number, run in enumerate(tunnels.runs):
        path = ("tunnels", "runs", number)
        missing = [(field, name) for field, name in (("from_", run.from_), ("to", run.to)) if name not in index]
        problems += [no_such((*path, field), "node", name, index) for field, name in missing]
        indexes = [index[name] for name in (run.from_, run.to) if name in index]
        ambiguous = any(name_count[name] > 1 for name in (run.from_, run.to))  # reported where names are checked
        if missing or ambiguous:
            unknown_joints.update(indexes)
            place_unknown = True
            continue
        first, last = indexes
        if first == last:
            problems.append(
                Problem(
                    (*path, "to"),
                    words("the run goes from a node to itself"),
                    words("two nodes"),
                    words("choose another node, or remove the run"),
                )
            )
        elif frozenset(indexes) in joined:
            problems.append(
                Problem(
                    path,
                    words(f"a run from '{run.from_}' to '{run.to}' stands twice"),
                    words("one run between two nodes"),
                    words("remove one of the two"),
                )
            )
        elif _apart(nodes[first].at, nodes[last].at):
            joined.add(frozenset(indexes))
            if (pipe := pipe_of(tunnels, run)) is None:
                unknown_joints.update(indexes)  # reported where its pipe is named
                continue
            runs.append(NetworkRun(number, f"{run.from_} – {run.to}", (first, last), pipe))
        else:
            unknown_joints.update(indexes)  # its two nodes coincide, which is reported there
    lines = tuple((_spot(nodes[run.nodes[0]].at), _spot(nodes[run.nodes[1]].at)) for run in runs)
    return PassageNetwork(tuple(runs), lines, frozenset(unknown_joints), place_unknown, tuple(problems))


def _own_pipe_problems(tunnels: Tunnels) -> Iterator[Problem]:
    """Problems of own pipes, and of names of own pipes that are not listed."""
    references: list[tuple[Path, str | None]] = [(("tunnels", "own_pipe"), tunnels.own_pipe)]
    references += [(("tunnels", "runs", number, "own_pipe"), run.own_pipe) for number, run in enumerate(tunnels.runs)]
    references += [
        (("tunnels", "fittings", number, "own_pipe"), fitting.own_pipe)
        for number, fitting in enumerate(tunnels.fittings)
    ]
    yield from own_pipe_faults("tunnels", tunnels.own_pipes, references)


def _spot(place: tuple[float, float, float]) -> Spot:
    return float(place[0]), float(place[1]), float(place[2])


def _apart(a: Spot, b: Spot) -> bool:
    return max(abs(p - q) for p, q in zip(a, b, strict=True)) > SAME_PLACE


def _nodes_in_one_place(tunnels: Tunnels) -> Iterator[Problem]:
    name_at: dict[tuple[int, ...], str] = {}
    for number, node in enumerate(tunnels.nodes):
        place = tuple(round(value / SAME_PLACE) for value in node.at)
        if place in name_at:
            yield Problem(
                ("tunnels", "nodes", number, "at"),
                words(f"nodes '{name_at[place]}' and '{node.name}' lie in one place"),
                words("each node has a place of its own"),
                words("move one of the two, or remove it and let its runs end at the other"),
            )
        name_at.setdefault(place, node.name)


def run_graph(runs: Sequence[NetworkRun], lengths: Sequence[float], nodes: int) -> "nx.Graph[int]":
    """Graph of the nodes by index, with an edge for each run that carries ``run``, its number, and ``length`` [m].

    It is frozen, as remembered results share it.
    """
    import networkx as nx

    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(nodes))
    for number, (run, length) in enumerate(zip(runs, lengths, strict=True)):
        graph.add_edge(*run.nodes, run=number, length=length)
    return nx.freeze(graph)


FarSides = dict[tuple[tuple[int, int], int], frozenset[int] | None]


@remembered
def far_sides(runs: tuple[tuple[int, int], ...]) -> FarSides:
    """The nodes beyond each run, seen from each of its two nodes: by (the run's nodes, the node seen from). None if
    another route leads round to that node, so that nothing beyond can move on its own.

    Args:
        runs: Nodes of each run.
    """
    import networkx as nx

    graph: nx.Graph[int] = nx.Graph(runs)
    sides: FarSides = {}
    for run in dict.fromkeys(runs):
        for node, other in (run, run[::-1]):
            side = nx.node_connected_component(nx.restricted_view(graph, [], [run]), other)
            sides[run, node] = None if node in side else frozenset(side)
    return sides


@dataclass(frozen=True)
class Outlet:
    """A mouth, and the water that it opens to.

    Attributes:
        node: Index of its node.
        level: Level of its centre [m].
        water_level: Level at rest of the pool that it opens to [m]; on land its own level, as water runs off there.
        pool: Name of that pool; None on land, outside every rim.
    """

    node: int
    level: float
    water_level: float
    pool: str | None

    @property
    def wet(self) -> bool:
        """True if its centre lies below the water at rest."""
        return self.pool is not None and self.level < self.water_level


def reached(graph: "nx.Graph[int]", starts: Iterable[int], sills: Mapping[int, float], water_level: float) -> set[int]:
    """Nodes that water reaches from the start nodes, through nodes whose sill lies below it.

    Args:
        graph: Graph of the runs.
        starts: Nodes where the water stands.
        sills: Level above which water passes each node [m]: its invert.
        water_level: Level of the water [m].
    """
    import networkx as nx

    passable = graph.subgraph([node for node in graph if sills[node] < water_level])
    nodes: set[int] = set()
    for start in starts:
        if start in passable and start not in nodes:
            nodes |= nx.node_connected_component(passable, start)
    return nodes


def mouths_by_water(outlets: Iterable[Outlet]) -> dict[float, list[int]]:
    """Nodes of the mouths in pools, by the level at rest of their water [m]."""
    mouths: dict[float, list[int]] = {}
    for outlet in outlets:
        if outlet.pool is not None:
            mouths.setdefault(outlet.water_level, []).append(outlet.node)
    return mouths


def draining_mouths(
    graph: "nx.Graph[int]", outlets: Sequence[Outlet], inverts: Mapping[int, float]
) -> Iterator[tuple[Outlet, Outlet]]:
    """(upper, lower) mouths between which a pool would drain into a lower one, or onto the land.

    Only an invert above the water holds it back. A gate does not count: one that is left open, or leaks, drains the
    pool.
    """
    for upper in outlets:
        lower_ones = [
            other
            for other in outlets
            if other.pool != upper.pool and other.water_level < upper.water_level - SAME_LEVEL
        ]
        if upper.pool is not None and lower_ones:
            down = reached(graph, (upper.node,), inverts, upper.water_level - SAME_LEVEL)
            yield from ((upper, lower) for lower in lower_ones if lower.node in down)


def pool_would_drain(upper: Outlet, lower: Outlet) -> Problem:
    """Problem of a passage between two waters that nowhere rises above the upper one, and so would drain it."""
    where = f"'{lower.pool}', at {{lower}}," if lower.pool else "the land, at {lower},"
    return Problem(
        ("tunnels", "nodes", lower.node, "at"),
        words(
            f"the pipe joins '{upper.pool}' to {where} below the upper water, {{upper}}: it would drain it",
            lower=(lower.water_level, LENGTH),
            upper=(upper.water_level, LENGTH),
        ),
        words("a passage that on its way rises above the upper water, {upper}", upper=(upper.water_level, LENGTH)),
        words(
            "raise a node between them above it, or give each its own passage; a gate does not mend this: one left "
            "open or leaking drains the pool"
        ),
    )
