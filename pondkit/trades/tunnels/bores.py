"""What bores and walls make: volumes of dens, water displaced and water in the pipe, and the narrowest clear way."""

from collections.abc import Iterator, Mapping, Sequence

from pondkit.core.entry import USER, Entry, Range, entry, total
from pondkit.core.units import VOLUME
from pondkit.geometry.line_intersection import Spot
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.formulas import pipe as pipe_formulas
from pondkit.trades.tunnels.inputs import Node, Tunnels
from pondkit.trades.tunnels.network import by_water, reached
from pondkit.trades.tunnels.runs import PoolLevels, RunAlignment


def chamber_volumes(nodes: Sequence[Node]) -> Iterator[Entry]:
    """Inside volume of each den whose size is entered."""
    for node in nodes:
        if node.kind == "chamber" and node.size:
            length, width, height = node.size
            yield entry(pipe_formulas.chamber_volume, node.name, source=USER, length=length, width=width, height=height)


def displaced(
    tunnels: Tunnels, alignment: Alignment, pools: Sequence[PoolLevels], inverts: Mapping[int, float]
) -> Iterator[Entry]:
    """What pipe and dens displace in each pool: walls where water has a way in, else the whole outer volume."""
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
    """The least clear bore, its subject the narrowest run or fitting, and where that lies; None without a passage."""
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
    _, name, place = min(widths, key=lambda each: each[0].typical)
    bores = [entry(pipe_formulas.pipe_bore, subject, bore=bore) for bore, subject, _ in widths]
    return entry(pipe_formulas.clear_bore, name, bores=bores), place


def _passages(tunnels: Tunnels, alignment: Alignment) -> set[int]:
    """Numbers of the runs on a way between mouths and dens: blind branches, such as one for flushing, are left out."""
    import networkx as nx

    graph, nodes = nx.Graph(alignment.graph), tunnels.nodes
    while loose := [end for end in graph if graph.degree(end) < 2 and nodes[end].kind not in ("mouth", "chamber")]:
        graph.remove_nodes_from(loose)
    return {number for _, _, number in graph.edges(data="run")}


def flooded(alignment: Alignment) -> list[Entry]:
    """Water in the pipe of each run outside the pools, by the highest level of water that reaches it."""
    levels = {end: place[2] for end, place in enumerate(alignment.places)}
    floods: dict[int, float] = {}
    for water, mouths in sorted(by_water(alignment.outlets).items()):
        reach = reached(alignment.graph, mouths, levels, water)
        floods |= {number: water for number, run in enumerate(alignment.runs) if not reach.isdisjoint(run.ends)}
    volumes = []
    for number, run in enumerate(alignment.runs):
        if number in floods and (length := run.flooded_outside(floods[number])) > 0:
            source, bore = run.pipe.source, run.pipe.bores
            volumes.append(
                entry(pipe_formulas.flooded_volume, run.name, source=source, bore=bore, flooded_length=length)
            )
    return volumes
