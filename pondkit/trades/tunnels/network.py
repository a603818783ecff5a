"""The passages as a graph: runs between known nodes, their connections, and the nodes that water reaches."""

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
    """A run between two known nodes: index in the document, subject, indexes of its nodes, and pipe."""

    index: int
    name: str
    ends: tuple[int, int]
    pipe: PassagePipe


@dataclass(frozen=True)
class PassageNetwork:
    """Runs with known ends, and the problems of the others.

    Attributes:
        runs: Sound runs in the document's order.
        lines: Line of each, from node to node as designed.
        unsure: Indexes of nodes with an unsound run, whose fitting is therefore unknown.
        lost: True if the place of some run is unknown.
        problems: Problems of nodes and runs.
    """

    runs: tuple[NetworkRun, ...]
    lines: tuple[Segment, ...]
    unsure: frozenset[int]
    lost: bool
    problems: tuple[Problem, ...]


@remembered
def read_network(tunnels: Tunnels) -> PassageNetwork:
    """Read nodes and runs from the document."""
    nodes, problems = tunnels.nodes, [*_in_one_place(tunnels), *_pipes(tunnels)]
    count: dict[str, int] = {}
    for node in nodes:
        count[node.name] = count.get(node.name, 0) + 1
    index = {node.name: node_index for node_index, node in enumerate(nodes)}
    runs: list[NetworkRun] = []
    unsure: set[int] = set()
    place_unknown = False
    met: dict[frozenset[int], str] = {}
    for number, run in enumerate(tunnels.runs):
        path = ("tunnels", "runs", number)
        missing = [(field, name) for field, name in (("from_", run.from_), ("to", run.to)) if name not in index]
        problems += [no_such((*path, field), "node", name, index) for field, name in missing]
        indexes = [index[name] for name in (run.from_, run.to) if name in index]
        # reported where names are checked
        twice = any(count[name] > 1 for name in (run.from_, run.to) if name in index)
        if missing or twice:
            unsure.update(indexes)
            place_unknown = True
            continue
        ends = (indexes[0], indexes[1])
        if ends[0] == ends[1]:
            problems.append(
                Problem(
                    (*path, "to"),
                    words("the run goes from a node to itself"),
                    words("two nodes"),
                    words("choose another node, or remove the run"),
                )
            )
        elif frozenset(ends) in met:
            problems.append(
                Problem(
                    path,
                    words(f"a run from '{run.from_}' to '{run.to}' stands twice"),
                    words("one run between two nodes"),
                    words("remove one of the two"),
                )
            )
        elif _apart(nodes[ends[0]].at, nodes[ends[1]].at):
            met[frozenset(ends)] = run.from_
            if (pipe := pipe_of(tunnels, run)) is None:
                unsure.update(ends)
                continue  # reported where its pipe is named
            runs.append(NetworkRun(number, f"{run.from_} – {run.to}", ends, pipe))
        else:
            unsure.update(ends)  # its two nodes coincide, which is reported there
    lines = tuple((_spot(nodes[run.ends[0]].at), _spot(nodes[run.ends[1]].at)) for run in runs)
    return PassageNetwork(tuple(runs), lines, frozenset(unsure), place_unknown, tuple(problems))


def _pipes(tunnels: Tunnels) -> Iterator[Problem]:
    """Problems of own pipes and of references to them."""
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


def _in_one_place(tunnels: Tunnels) -> Iterator[Problem]:
    met: dict[tuple[int, ...], str] = {}
    for number, node in enumerate(tunnels.nodes):
        place = tuple(round(value / SAME_PLACE) for value in node.at)
        if place in met:
            yield Problem(
                ("tunnels", "nodes", number, "at"),
                words(f"nodes '{met[place]}' and '{node.name}' lie in one place"),
                words("each node has a place of its own"),
                words("move one of the two, or remove it and let its runs end at the other"),
            )
        met.setdefault(place, node.name)


def run_graph(runs: Sequence[NetworkRun], lengths: Sequence[float], nodes: int) -> "nx.Graph[int]":
    """Graph of nodes by index, with an edge for each run, its number and its length [m]. It is never written to."""
    import networkx as nx

    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(nodes))
    for number, (run, length) in enumerate(zip(runs, lengths, strict=True)):
        graph.add_edge(*run.ends, run=number, length=length)
    return nx.freeze(graph)


@dataclass(frozen=True)
class Outlet:
    """A mouth: the node, its level, the level of the water that it opens to, and that pool's name.

    On land, outside every rim, the pool is None and the water level is the mouth's own, as water runs off there.
    """

    node: int
    level: float
    water: float
    pool: str | None

    @property
    def wet(self) -> bool:
        """True if its centre lies below the water at rest."""
        return self.pool is not None and self.level < self.water


def reached(graph: "nx.Graph[int]", starts: Iterable[int], levels: Mapping[int, float], water: float) -> set[int]:
    """Nodes that water at a level reaches from the start nodes, through nodes below that level.

    Args:
        graph: Graph of the runs.
        starts: Nodes where the water stands.
        levels: Level of each node that water must stand above to pass it [m].
        water: Its level [m].
    """
    import networkx as nx

    low = graph.subgraph([node for node in graph if levels[node] < water])
    nodes: set[int] = set()
    for start in starts:
        if start in low and start not in nodes:
            nodes |= nx.node_connected_component(low, start)
    return nodes


def by_water(outlets: Iterable[Outlet]) -> dict[float, list[int]]:
    """Nodes of mouths in pools, by the water level they open to."""
    mouths: dict[float, list[int]] = {}
    for outlet in outlets:
        if outlet.pool is not None:
            mouths.setdefault(outlet.water, []).append(outlet.node)
    return mouths


def draining(
    graph: "nx.Graph[int]", outlets: Sequence[Outlet], inverts: Mapping[int, float]
) -> Iterator[tuple[Outlet, Outlet]]:
    """(upper, lower) mouths between which one pool would drain into a lower one or onto the land.

    A route is blocked only by an invert above the water. A gate does not block it: one left open, or leaking, drains
    the pool.
    """
    for upper in outlets:
        if upper.pool is None or not any(
            lower.pool != upper.pool and lower.water < upper.water - SAME_LEVEL for lower in outlets
        ):
            continue
        down = reached(graph, (upper.node,), inverts, upper.water - SAME_LEVEL)
        for lower in outlets:
            if lower.node in down and lower.pool != upper.pool and lower.water < upper.water - SAME_LEVEL:
                yield upper, lower


def no_drain(upper: Outlet, lower: Outlet) -> Problem:
    """Problem of a passage that connects two waters below the level of the upper one, and so would drain it."""
    where = f"'{lower.pool}', at {{lower}}," if lower.pool else "the land, at {lower},"
    return Problem(
        ("tunnels", "nodes", lower.node, "at"),
        words(
            f"the pipe joins '{upper.pool}' to {where} below the upper water, {{upper}}: it would drain it",
            lower=(lower.water, LENGTH),
            upper=(upper.water, LENGTH),
        ),
        words("a passage that on its way rises above the upper water, {upper}", upper=(upper.water, LENGTH)),
        words(
            "raise a node between them above it, or give each its own passage; a gate is no mend: one left open or "
            "leaking drains the pool"
        ),
    )
