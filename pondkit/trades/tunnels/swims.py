"""Passage of animals: volumes of dens and pipe, the narrowest bore, and the longest swims under water, between places
with air and to a blockage and back.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pondkit.core.entry import USER, Entry, Range, entry, total
from pondkit.core.result import Result
from pondkit.core.sentence import Words
from pondkit.core.units import VOLUME
from pondkit.geometry.line_intersection import Spot, at
from pondkit.trades.tunnels import cautions as warn
from pondkit.trades.tunnels import formulas as pipe_formulas
from pondkit.trades.tunnels.alignment import Alignment, is_shut
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.network import by_water, reached
from pondkit.trades.tunnels.runs import PoolLevels, RunAlignment
from pondkit.trades.tunnels.water_and_air import water_levels


def chamber_volumes(nodes: Sequence[Node]) -> Iterator[Entry]:
    """Inside volume of each den with a size."""
    for node in nodes:
        if node.kind == "chamber" and node.size:
            length, width, height = node.size
            yield entry(pipe_formulas.chamber_volume, node.name, source=USER, length=length, width=width, height=height)


def displaced(
    tunnels: Tunnels, alignment: Alignment, pools: Sequence[PoolLevels], inverts: Mapping[int, float]
) -> Iterator[Entry]:
    """Volume displaced by pipe and dens in each pool: pipe walls where water can enter, else the whole outer volume."""
    wet = alignment.wet_nodes()
    for index, pool in enumerate(pools):
        parts: list[Entry] = []
        dens: set[int] = set()
        for run in alignment.runs:
            dry = run.ends[0] not in wet
            if in_water := dict(run.wet).get(index):
                parts.append(_pipe_displaced(run, in_water, dry))
            dens |= {end for end, stands in zip(run.ends, run.stands, strict=True) if dry and stands == index}
        for end in sorted(dens):
            node = tunnels.nodes[end]
            if node.kind == "chamber" and node.size:
                length, width, height = node.size
                parts.append(
                    entry(
                        pipe_formulas.chamber_displaced,
                        node.name,
                        source=USER,
                        length=length,
                        width=width,
                        height=height,
                        wall=node.wall,
                        water_level=pool.level,
                        floor_level=inverts[end],
                    )
                )
        if parts:
            yield total(pool.name, parts, VOLUME)


def _pipe_displaced(run: RunAlignment, length: float, dry: bool) -> Entry:
    pipe, outside = run.pipe, run.pipe.outside
    if dry:
        return entry(
            pipe_formulas.sealed_volume, run.name, source=pipe.source, outside_diameter=outside, length_in_water=length
        )
    return entry(
        pipe_formulas.wall_volume,
        run.name,
        source=pipe.source,
        outside_diameter=outside,
        bore=pipe.bores,
        length_in_water=length,
    )


def clear_bore(tunnels: Tunnels, alignment: Alignment) -> tuple[Entry, Spot] | None:
    """(least clear bore, with the narrowest run or fitting as subject, its place); None without a passage."""
    on_way = _passages(tunnels, alignment)
    measured = {
        (size.own_pipe or size.pipe, size.name): float(size.clear_bore)
        for size in tunnels.fittings
        if size.clear_bore is not None
    }
    widths: list[tuple[Range, str, Spot]] = []
    for number in (number for number in range(len(alignment.runs)) if number in on_way):
        run, ends = alignment.runs[number], alignment.ends[number]
        widths.append((run.pipe.bores, run.name, run.start))
        for node, stops in zip(run.ends, (ends.start, ends.end) if ends else ((), ()), strict=True):
            for fitting, pipe in stops:
                if bore := measured.get((pipe.name, fitting.removesuffix(" stem"))):
                    subject = f"{fitting} at {tunnels.nodes[node].name}"
                    widths.append((Range(bore, bore, bore, USER), subject, alignment.places[node]))
    if not widths:
        return None
    _, name, place = min(widths, key=lambda candidate: candidate[0].typical)
    bores = [entry(pipe_formulas.pipe_bore, subject, bore=bore) for bore, subject, _ in widths]
    return entry(pipe_formulas.clear_bore, name, bores=bores), place


def _passages(tunnels: Tunnels, alignment: Alignment) -> set[int]:
    """Numbers of the runs between mouths and dens; blind branches, such as one for flushing, are left out."""
    import networkx as nx

    graph, nodes = nx.Graph(alignment.graph), tunnels.nodes
    while loose := [end for end in graph if graph.degree(end) < 2 and nodes[end].kind not in ("mouth", "chamber")]:
        graph.remove_nodes_from(loose)
    return {number for _, _, number in graph.edges(data="run")}


def flooded(alignment: Alignment) -> list[Entry]:
    """Volume of water in the pipe of each run outside the pools, at the highest water level that reaches it."""
    inverts = alignment.inverts()
    floods: dict[int, float] = {}
    for water, mouths in sorted(by_water(alignment.outlets).items()):
        reach = reached(alignment.graph, mouths, inverts, water)
        floods |= {number: water for number, run in enumerate(alignment.runs) if not reach.isdisjoint(run.ends)}
    volumes = []
    for number, run in enumerate(alignment.runs):
        if number in floods and (length := run.flooded_outside(floods[number])) > 0:
            source, bore = run.pipe.source, run.pipe.bores
            volumes.append(
                entry(pipe_formulas.flooded_volume, run.name, source=source, bore=bore, flooded_length=length)
            )
    return volumes


MOST_STEPS = 20000  # limit of places visited in one search; a tree of 20 mouths and 60 runs needs 1,200


@dataclass(frozen=True)
class Swim:
    """A route under water: start, end, its lengths [m], and the place of its end."""

    start: str
    end: str
    lengths: tuple[float, ...]
    place: Spot
    whole: bool = True

    @property
    def length(self) -> float:
        return sum(self.lengths)


@dataclass(frozen=True, eq=False)
class Swims(Result):
    """Swims at the highest water, when most of the pipe is submerged.

    Attributes:
        ways: Places on the site where the swims of ``longest_swim`` and ``blocked_swim`` end, by subject [m].
    """

    longest_swim: Entry | None
    blocked_swim: tuple[Entry, ...]
    ways: tuple[tuple[str, Spot], ...]


def swims(tunnels: Tunnels, alignment: Alignment, rise: float) -> Swims:
    """The longest swim over all routes, and the longest there and back with each mouth blocked and each gate shut."""
    wet = _WetPipe(tunnels, alignment, rise)
    routes = [swim for start in wet.open_air for swim in _routes(wet, start)]
    through = max((wet.up(swim) for swim in routes if swim.end in wet.open_air), key=_from_a_mouth, default=None)
    blind = max((swim for swim in routes if swim.end in wet.blind), key=lambda swim: swim.length, default=None)
    longest = through
    if blind and (through is None or 2 * blind.length > through.length):
        longest = blind
    figure, places = None, []
    if longest is not None:
        subject = f"{wet.vertex_name(longest.start)} to {wet.vertex_name(longest.end)}"
        figure = _figure(
            pipe_formulas.swim_back if longest is blind else pipe_formulas.swim, subject, longest, wet.notes
        )
        places.append((subject, longest.place))
    worst: dict[str, Swim] = {}
    for swim in routes:
        if swim.end in wet.blocks and (swim.end not in worst or swim.length > worst[swim.end].length):
            worst[swim.end] = swim
    blocked = []
    for block, name in wet.blocks.items():
        if block in worst:
            blocked.append(_figure(pipe_formulas.swim_back, name, worst[block], wet.notes if block in wet.shut else ()))
            places.append((name, worst[block].place))
    return Swims(figure, tuple(blocked), tuple(places))


def _from_a_mouth(swim: Swim) -> tuple[float, bool]:
    """Sort key: the longer swim first; of one swim in both directions, that from its mouth."""
    return round(swim.length, 9), swim.start.isdigit()


def _figure(relation: Callable[..., float], subject: str, swim: Swim, notes: Sequence[Words]) -> Entry:
    every = [*notes, *([] if swim.whole else [warn.SWIM_SEARCH_CUT_SHORT()])]
    return entry(relation, subject, source=USER, cautions=every, stretches=swim.lengths)


class _WetPipe:
    """Submerged pipe as a graph: its places with open air, blind ends, and places that may be blocked."""

    def __init__(self, tunnels: Tunnels, alignment: Alignment, rise: float) -> None:
        import networkx as nx

        levels = {end: place[2] for end, place in enumerate(alignment.places)}
        # Water passes a sill once it stands above its invert; an animal has air there while the centre is dry.
        reaching = water_levels(alignment, alignment.inverts(), rise)
        self.water = {end: water for end, water in reaching.items() if levels[end] < water}
        self.graph: nx.Graph[str] = nx.Graph()
        self.shut = {str(end) for end, node in enumerate(tunnels.nodes) if is_shut(node)}
        self.open_air: dict[str, None] = {}
        self.blocks: dict[str, str] = {}
        self.place: dict[str, Spot] = {}
        self._names = [node.name for node in tunnels.nodes]
        self.deep: dict[str, float] = {}  # from a place with open air down to its vertex
        open_air = self._breathing(tunnels, alignment)
        for run in alignment.runs:
            self._add(run, levels, open_air)
        for end, node in enumerate(tunnels.nodes):
            vertex = str(end)
            if vertex not in self.graph or end not in self.water:
                continue
            down = self.water[end] - levels[end]
            if node.kind == "mouth":
                self.open_air[vertex], self.deep[vertex] = None, down
                self.blocks[vertex] = f"{node.name} blocked"
            elif node.kind == "chamber" and node.vent and node.size and node.size[2] > down:
                self.open_air[vertex], self.deep[vertex] = None, down
            elif node.kind == "gate":
                self.blocks[vertex] = f"{node.name} shut"
        ends = {v for v in self.graph if self.graph.degree(v) == 1 and v not in self.open_air}
        self.blind = ends | (self.shut & set(self.graph))
        names = [f"'{self.vertex_name(end)}'" for end in sorted(self.shut, key=int)]
        self.notes = (warn.GATES_SHUT(gates=", ".join(names)),) if names else ()
        self.ends = {*self.open_air, *self.blocks, *self.blind}  # what a swim may be to

    def up(self, swim: Swim) -> Swim:
        """A swim to a place with open air, including the way up to it."""
        deep = self.deep.get(swim.end, 0.0)
        return replace(swim, lengths=(*swim.lengths, deep)) if deep > 0 and swim.whole else swim

    def vertex_name(self, vertex: str) -> str:
        """Name of a vertex of the graph, as displayed."""
        return self._names[int(vertex)] if vertex.isdigit() else vertex

    def _breathing(self, tunnels: Tunnels, alignment: Alignment) -> set[int]:
        """Dry nodes with open air: connected through dry pipe to a vented den, or to a mouth above the water."""
        import networkx as nx

        dry = alignment.graph.subgraph(
            [end for end in alignment.graph if end not in self.water and str(end) not in self.shut]
        )
        open_air: set[int] = set()
        for part in nx.connected_components(dry):
            if any(tunnels.nodes[end].kind == "mouth" or tunnels.nodes[end].vent for end in part):
                open_air |= part
        return open_air

    def _add(self, run: RunAlignment, levels: dict[int, float], open_air: set[int]) -> None:
        a, b = run.ends
        self.place |= {str(a): run.start, str(b): run.end}
        wet = [end for end in (a, b) if end in self.water]
        dry = [end for end in (a, b) if end not in self.water]
        if wet and dry and dry[0] in open_air:
            water, low, high = self.water[wet[0]], levels[wet[0]], levels[dry[0]]
            under = run.length * (water - low) / (high - low)
            vertex = f"the water's edge in {run.name}"
            self.graph.add_edge(str(wet[0]), vertex, length=under)
            self.open_air[vertex] = None
            self.place[vertex] = at(run.line, under if wet[0] == a else run.length - under)
        elif not dry or not (set(dry) & open_air):
            self.graph.add_edge(str(a), str(b), length=run.length)


def _routes(wet: _WetPipe, start: str) -> Iterator[Swim]:
    """The longest swim from a place with open air to every other place, without surfacing on the way and past no shut
    gate.
    """
    best: dict[str, tuple[float, tuple[float, ...]]] = {}
    steps, length = 0, max(wet.deep.get(start, 0.0), 0.0)
    lengths: list[float] = [length] if length > 0 else []
    on_way = {start}
    stack = [(start, iter(wet.graph.adj[start].items()))]
    while stack:
        vertex, branches = stack[-1]
        onward = next((branch for branch in branches if branch[0] not in on_way), None)
        if onward is None:
            stack.pop()
            on_way.discard(vertex)
            if stack:
                length -= lengths.pop()
            continue
        steps += 1
        if steps > MOST_STEPS:
            yield from _all_of_it(wet, start)
            return
        neighbour, stretch = onward[0], onward[1]["length"]
        lengths.append(stretch)
        length += stretch
        if neighbour in wet.ends and (neighbour not in best or length > best[neighbour][0]):
            best[neighbour] = length, tuple(lengths)
        if neighbour in wet.open_air or neighbour in wet.shut:
            length -= lengths.pop()
            continue
        on_way.add(neighbour)
        stack.append((neighbour, iter(wet.graph.adj[neighbour].items())))
    for end, (_, route) in best.items():
        yield Swim(start, end, route, wet.place[end])


def _all_of_it(wet: _WetPipe, start: str) -> Iterator[Swim]:
    """The total length of connected submerged pipe, with the ways down and up, as an upper bound: no swim is longer."""
    import networkx as nx

    part = nx.node_connected_component(wet.graph.subgraph(set(wet.graph) - wet.shut), start)
    every = [length for *_, length in wet.graph.subgraph(part).edges(data="length")]
    every += sorted((wet.deep.get(vertex, 0.0) for vertex in part), reverse=True)[:2]
    for end in sorted(part - {start}):
        yield Swim(start, end, tuple(every), wet.place[end], False)
