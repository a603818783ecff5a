"""Passage of animals: the narrowest bore, and the longest swims under water, from air to air or to a blockage and
back.

Swims are found on a graph of the pipe under the highest water. Its vertices are texts: the index of a node ("3"), or
the place in a run where the pipe comes out of the water ("the water's edge in mouth – den").
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pondkit.core.entry import USER, Entry, Range, entry
from pondkit.core.result import Result
from pondkit.core.sentence import Words
from pondkit.geometry.line_intersection import Spot, at
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as relations
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.runs import RunAlignment
from pondkit.trades.tunnels.water_and_air import water_levels


def clear_bore(tunnels: Tunnels, alignment: Alignment) -> tuple[Entry, Spot] | None:
    """(narrowest clear bore between mouths and dens, the place of that run or fitting [m]); None without a passage."""
    passages = _passages(tunnels, alignment)
    measured = {
        (size.own_pipe or size.pipe, size.name): float(size.clear_bore)
        for size in tunnels.fittings
        if size.clear_bore is not None
    }
    widths: list[tuple[Range, str, Spot]] = []
    for number, (run, allowances) in enumerate(zip(alignment.runs, alignment.allowances, strict=True)):
        if number not in passages:
            continue
        widths.append((run.pipe.bores, run.name, run.start))
        for node, fittings in zip(run.nodes, (allowances.start, allowances.end) if allowances else (), strict=False):
            for fitting, pipe in fittings:
                if bore := measured.get((pipe.name, fitting.removesuffix(" stem"))):
                    subject = f"{fitting} at {tunnels.nodes[node].name}"
                    widths.append((Range(bore, bore, bore, USER), subject, alignment.places[node]))
    if not widths:
        return None
    _, name, place = min(widths, key=lambda width: width[0].typical)
    bores = [entry(relations.pipe_bore, subject, bore=bore) for bore, subject, _ in widths]
    return entry(relations.clear_bore, name, bores=bores), place


def _passages(tunnels: Tunnels, alignment: Alignment) -> set[int]:
    """Numbers of the runs between mouths and dens; blind branches, such as one for flushing, are left out."""
    import networkx as nx

    graph, nodes = nx.Graph(alignment.graph), tunnels.nodes
    while blind := [node for node in graph if graph.degree(node) < 2 and nodes[node].kind not in ("mouth", "chamber")]:
        graph.remove_nodes_from(blind)
    return {number for _, _, number in graph.edges(data="run")}


MOST_STEPS = 20000  # vertices visited in one search; a tree of 20 mouths and 60 runs needs 1,200


@dataclass(frozen=True)
class Swim:
    """A route under water.

    Attributes:
        start, end: Its vertices.
        lengths: Length of each stretch on the way [m].
        place: Place of its end on the site [m].
        complete: False if the search was cut short; then ``lengths`` are all the pipe under water, more than any route.
    """

    start: str
    end: str
    lengths: tuple[float, ...]
    place: Spot
    complete: bool = True

    @property
    def length(self) -> float:
        """Length of the whole way [m]."""
        return sum(self.lengths)


@dataclass(frozen=True, eq=False)
class Swims(Result):
    """Swims at the highest water, when most of the pipe is submerged.

    Attributes:
        places: (subject, place on the site where the swim ends [m]) of each ``longest_swim`` and ``blocked_swim``.
    """

    longest_swim: Entry | None
    blocked_swim: tuple[Entry, ...]
    places: tuple[tuple[str, Spot], ...]


def swims(tunnels: Tunnels, alignment: Alignment, rise: float) -> Swims:
    """The longest swim of all, and the longest there and back with each mouth blocked and each gate shut in turn.

    Args:
        tunnels: Inputs of the tunnels.
        alignment: Their alignment.
        rise: Height of the highest water above the level at rest [m].
    """
    wet = _WetPipe(tunnels, alignment, rise)
    routes = [swim for start in wet.open_air for swim in _longest_routes(wet, start)]
    through = max((wet.surfaced(swim) for swim in routes if swim.end in wet.open_air), key=_by_length, default=None)
    blind = max((swim for swim in routes if swim.end in wet.blind), key=lambda swim: swim.length, default=None)
    there_and_back = blind is not None and (through is None or 2 * blind.length > through.length)
    longest = blind if there_and_back else through
    figure, places = None, []
    if longest is not None:
        subject = f"{wet.vertex_name(longest.start)} to {wet.vertex_name(longest.end)}"
        relation = relations.swim_back if there_and_back else relations.swim
        figure = _swim_figure(relation, subject, longest, wet.notes)
        places.append((subject, longest.place))
    longest_to: dict[str, Swim] = {}
    for swim in routes:
        if swim.end in wet.blockable and (swim.end not in longest_to or swim.length > longest_to[swim.end].length):
            longest_to[swim.end] = swim
    blocked = []
    for vertex, name in wet.blockable.items():
        if vertex in longest_to:
            notes = wet.notes if vertex in wet.shut else ()
            blocked.append(_swim_figure(relations.swim_back, name, longest_to[vertex], notes))
            places.append((name, longest_to[vertex].place))
    return Swims(figure, tuple(blocked), tuple(places))


def _by_length(swim: Swim) -> tuple[float, bool]:
    """Sort key: the longer swim; of one swim in both directions, the one that starts at a node."""
    return round(swim.length, 9), swim.start.isdigit()


def _swim_figure(relation: Callable[..., float], subject: str, swim: Swim, notes: Sequence[Words]) -> Entry:
    cautions = [*notes, *([] if swim.complete else [warn.SWIM_SEARCH_CUT_SHORT()])]
    return entry(relation, subject, source=USER, cautions=cautions, stretches=swim.lengths)


class _WetPipe:
    """Pipe under the highest water as a graph, whose edges carry ``length`` [m].

    Attributes:
        water: Water level at each node whose centre is under water [m].
        open_air: Vertices with open air: mouths, vented dens with air, and the water's edge towards open air.
        dives: Depth of the centre below the surface there [m], swum on the way in and out.
        blind: Vertices where a swim has to turn back: capped ends and gates that are shut.
        blockable: Subject of the swim there and back, by the vertex that may be blocked or shut.
        shut: Vertices of gates that are drawn shut.
        destinations: All vertices that a swim may be to.
        places: Place of each vertex on the site [m].
        notes: Caution of the gates that are drawn shut.
    """

    def __init__(self, tunnels: Tunnels, alignment: Alignment, rise: float) -> None:
        import networkx as nx

        levels = {node: place[2] for node, place in enumerate(alignment.places)}
        # Water passes a sill once it stands above its invert; an animal has air there while the centre is dry.
        reaching = water_levels(alignment, alignment.inverts(), rise)
        self.water = {node: water for node, water in reaching.items() if levels[node] < water}
        self.graph: nx.Graph[str] = nx.Graph()
        self.shut = {str(index) for index, node in enumerate(tunnels.nodes) if node.is_shut}
        self.open_air: dict[str, None] = {}  # a set in the order found
        self.blockable: dict[str, str] = {}
        self.places: dict[str, Spot] = {}
        self.dives: dict[str, float] = {}
        self._names = [node.name for node in tunnels.nodes]
        airy = self._dry_with_open_air(tunnels, alignment)
        for run in alignment.runs:
            self._add(run, levels, airy)
        for index, node in enumerate(tunnels.nodes):
            vertex = str(index)
            if vertex not in self.graph or index not in self.water:
                continue
            dive = self.water[index] - levels[index]
            if node.kind == "mouth":
                self.open_air[vertex], self.dives[vertex] = None, dive
                self.blockable[vertex] = f"{node.name} blocked"
            elif node.kind == "chamber" and node.vent and node.size and node.size[2] > dive:
                self.open_air[vertex], self.dives[vertex] = None, dive
            elif node.kind == "gate":
                self.blockable[vertex] = f"{node.name} shut"
        capped = {v for v in self.graph if self.graph.degree(v) == 1 and v not in self.open_air}
        self.blind = capped | (self.shut & set(self.graph))
        names = [f"'{self.vertex_name(vertex)}'" for vertex in sorted(self.shut, key=int)]
        self.notes = (warn.GATES_SHUT(gates=", ".join(names)),) if names else ()
        self.destinations = {*self.open_air, *self.blockable, *self.blind}

    def surfaced(self, swim: Swim) -> Swim:
        """A swim to a place with open air, with the way up to the surface there."""
        up = self.dives.get(swim.end, 0.0)
        return replace(swim, lengths=(*swim.lengths, up)) if up > 0 and swim.complete else swim

    def vertex_name(self, vertex: str) -> str:
        """Name of a vertex, as displayed."""
        return self._names[int(vertex)] if vertex.isdigit() else vertex

    def _dry_with_open_air(self, tunnels: Tunnels, alignment: Alignment) -> set[int]:
        """Dry nodes with open air: connected through dry pipe to a vented den, or to a mouth above the water."""
        import networkx as nx

        dry = alignment.graph.subgraph(
            [node for node in alignment.graph if node not in self.water and str(node) not in self.shut]
        )
        airy: set[int] = set()
        for part in nx.connected_components(dry):
            if any(tunnels.nodes[node].kind == "mouth" or tunnels.nodes[node].vent for node in part):
                airy |= part
        return airy

    def _add(self, run: RunAlignment, levels: Mapping[int, float], airy: set[int]) -> None:
        """Add the part of a run that has to be swum: up to the water's edge towards open air, else all of it."""
        start, end = run.nodes
        self.places |= {str(start): run.start, str(end): run.end}
        wet = [node for node in run.nodes if node in self.water]
        dry = [node for node in run.nodes if node not in self.water]
        if wet and dry and dry[0] in airy:
            water, low, high = self.water[wet[0]], levels[wet[0]], levels[dry[0]]
            under = run.length * (water - low) / (high - low)
            vertex = f"the water's edge in {run.name}"
            self.graph.add_edge(str(wet[0]), vertex, length=under)
            self.open_air[vertex] = None
            self.places[vertex] = at(run.line, under if wet[0] == start else run.length - under)
        elif not dry or airy.isdisjoint(dry):
            self.graph.add_edge(str(start), str(end), length=run.length)


def _longest_routes(wet: _WetPipe, start: str) -> Iterator[Swim]:
    """The longest swim from a place with open air to each destination, over all routes that do not surface on the way
    and pass no shut gate. Depth-first, with a stack of its own: a long passage is deeper than Python's recursion.
    """
    longest: dict[str, tuple[float, tuple[float, ...]]] = {}
    steps, length = 0, max(wet.dives.get(start, 0.0), 0.0)
    lengths: list[float] = [length] if length > 0 else []
    on_route = {start}
    stack = [(start, iter(wet.graph.adj[start].items()))]
    while stack:
        vertex, branches = stack[-1]
        onward = next((branch for branch in branches if branch[0] not in on_route), None)
        if onward is None:
            stack.pop()
            on_route.discard(vertex)
            if stack:
                length -= lengths.pop()
            continue
        steps += 1
        if steps > MOST_STEPS:
            yield from _upper_bounds(wet, start)
            return
        neighbour, stretch = onward[0], onward[1]["length"]
        lengths.append(stretch)
        length += stretch
        if neighbour in wet.destinations and (neighbour not in longest or length > longest[neighbour][0]):
            longest[neighbour] = length, tuple(lengths)
        if neighbour in wet.open_air or neighbour in wet.shut:
            length -= lengths.pop()
            continue
        on_route.add(neighbour)
        stack.append((neighbour, iter(wet.graph.adj[neighbour].items())))
    for end, (_, route) in longest.items():
        yield Swim(start, end, route, wet.places[end])


def _upper_bounds(wet: _WetPipe, start: str) -> Iterator[Swim]:
    """A bound for each swim from a vertex: all the connected pipe under water, with the two longest dives."""
    import networkx as nx

    part = nx.node_connected_component(wet.graph.subgraph(set(wet.graph) - wet.shut), start)
    part |= {neighbour for vertex in part for neighbour in wet.graph[vertex] if neighbour in wet.shut}
    lengths = [length for *_, length in wet.graph.subgraph(part).edges(data="length")]
    lengths += sorted((wet.dives.get(vertex, 0.0) for vertex in part), reverse=True)[:2]
    for end in sorted(part - {start}):
        yield Swim(start, end, tuple(lengths), wet.places[end], complete=False)
