"""The passages as a graph: runs between known nodes, what is joined, what water reaches."""

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
    """A run between two known nodes: its place in the document, its subject, indexes of its nodes, and its pipe."""

    index: int
    name: str
    ends: tuple[int, int]
    pipe: PassagePipe


@dataclass(frozen=True)
class PassageNetwork:
    """The runs whose ends are known, and what was found wrong with the rest.

    Attributes:
        runs: Sound runs in the document's order.
        lines: From node to node as drawn, for each of them.
        unsure: Indexes of nodes at which a run is not sound: which fitting stands there is not known.
        lost: True where a run's place is not known at all.
        problems: What is wrong.
    """

    runs: tuple[NetworkRun, ...]
    lines: tuple[Segment, ...]
    unsure: frozenset[int]
    lost: bool
    problems: tuple[Problem, ...]


@remembered
def read_network(tunnels: Tunnels) -> PassageNetwork:
    """Read nodes and runs of the document."""
    nodes, problems = tunnels.nodes, [*_in_one_place(tunnels), *_pipes(tunnels)]
    count: dict[str, int] = {}
    for node in nodes:
        count[node.name] = count.get(node.name, 0) + 1
    index = {node.name: at for at, node in enumerate(nodes)}
    runs: list[NetworkRun] = []
    unsure: set[int] = set()
    lost = False
    met: dict[frozenset[int], str] = {}
    for number, run in enumerate(tunnels.runs):
        here = ("tunnels", "runs", number)
        missing = [(field, name) for field, name in (("from_", run.from_), ("to", run.to)) if name not in index]
        problems += [no_such((*here, field), "node", name, index) for field, name in missing]
        known = [index[name] for name in (run.from_, run.to) if name in index]
        twice = any(count[name] > 1 for name in (run.from_, run.to) if name in index)  # said where names are checked
        if missing or twice:
            unsure.update(known)
            lost = True
            continue
        ends = (known[0], known[1])
        if ends[0] == ends[1]:
            problems.append(
                Problem(
                    (*here, "to"),
                    words("the run goes from a node to itself"),
                    words("two nodes"),
                    words("choose another node, or remove the run"),
                )
            )
        elif frozenset(ends) in met:
            problems.append(
                Problem(
                    here,
                    words(f"a run from '{run.from_}' to '{run.to}' stands twice"),
                    words("one run between two nodes"),
                    words("remove one of the two"),
                )
            )
        elif _apart(nodes[ends[0]].at, nodes[ends[1]].at):
            met[frozenset(ends)] = run.from_
            if (pipe := pipe_of(tunnels, run)) is None:
                unsure.update(ends)
                continue  # said where its pipe is named
            runs.append(NetworkRun(number, f"{run.from_} – {run.to}", ends, pipe))
        else:
            unsure.update(ends)  # its two nodes lie in one place, as is said there
    lines = tuple((_spot(nodes[run.ends[0]].at), _spot(nodes[run.ends[1]].at)) for run in runs)
    return PassageNetwork(tuple(runs), lines, frozenset(unsure), lost, tuple(problems))


def _pipes(tunnels: Tunnels) -> Iterator[Problem]:
    """What is wrong with own pipes, and with the names by which they are chosen."""
    named: list[tuple[Path, str | None]] = [(("tunnels", "own_pipe"), tunnels.own_pipe)]
    named += [(("tunnels", "runs", number, "own_pipe"), run.own_pipe) for number, run in enumerate(tunnels.runs)]
    named += [
        (("tunnels", "fittings", number, "own_pipe"), each.own_pipe) for number, each in enumerate(tunnels.fittings)
    ]
    yield from own_pipe_faults("tunnels", tunnels.own_pipes, named)


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
    """Nodes by index; an edge for each run with its number and its length [m]. It is never written to."""
    import networkx as nx

    graph: nx.Graph[int] = nx.Graph()
    graph.add_nodes_from(range(nodes))
    for number, (run, length) in enumerate(zip(runs, lengths, strict=True)):
        graph.add_edge(*run.ends, run=number, length=length)
    return nx.freeze(graph)


@dataclass(frozen=True)
class Outlet:
    """A mouth: the node, its level, the level of the water that it opens to, and that pool's name.

    On land, outside every rim, the pool is None and the water its own level: what comes out there runs off.
    """

    node: int
    level: float
    water: float
    pool: str | None

    @property
    def wet(self) -> bool:
        """True where its centre lies below the water at rest."""
        return self.pool is not None and self.level < self.water


def reached(graph: "nx.Graph[int]", starts: Iterable[int], levels: Mapping[int, float], water: float) -> set[int]:
    """Nodes that water at a level reaches from some nodes, through nodes that lie below it.

    Args:
        graph: Of the runs.
        starts: Nodes at which the water stands.
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
    """Nodes of the mouths in pools, by the level of the water that they open to."""
    mouths: dict[float, list[int]] = {}
    for outlet in outlets:
        if outlet.pool is not None:
            mouths.setdefault(outlet.water, []).append(outlet.node)
    return mouths


def draining(
    graph: "nx.Graph[int]", outlets: Sequence[Outlet], inverts: Mapping[int, float]
) -> Iterator[tuple[Outlet, Outlet]]:
    """(upper, lower) of mouths through which one water would run into a lower one or out on the land.

    The way counts by the pipe's invert at each node: water runs over it as soon as it stands higher. A gate does not
    count: one that is left open, or leaks, drains the pool.
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
    """The problem that a passage joins two waters below the level of the upper one, and so would drain it."""
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
