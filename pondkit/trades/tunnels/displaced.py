"""What pipe and chambers displace in the pools."""

from collections.abc import Iterator, Sequence

import networkx as nx

from pondkit.core.entry import USER, Entry, entry, total
from pondkit.core.units import VOLUME
from pondkit.trades.tunnels import relations as rel
from pondkit.trades.tunnels.inputs import Tunnels
from pondkit.trades.tunnels.laying import Laying
from pondkit.trades.tunnels.lying import Lying, Side


def displaced(tunnels: Tunnels, laid: Laying, sides: Sequence[Side], inverts: dict[int, float]) -> Iterator[Entry]:
    """What pipe and chambers displace in each pool: walls where water has a way in, else the whole outer volume."""
    wet = {end for outlet in laid.outlets if outlet.wet for end in nx.node_connected_component(laid.made, outlet.node)}
    for pool, side in enumerate(sides):
        parts: list[Entry] = []
        boxes: set[int] = set()
        for lying in laid.runs:
            dry = lying.leg.ends[0] not in wet
            if length := dict(lying.wet).get(pool):
                parts.append(_pipe_displaced(lying, length, dry))
            boxes |= {end for end, stands in zip(lying.leg.ends, lying.stands, strict=True) if dry and stands == pool}
        for end in sorted(boxes):
            node = tunnels.nodes[end]
            if node.kind == "chamber" and node.size:
                parts.append(entry(rel.chamber_displaced, node.name, source=USER, length=node.size[0], width=node.size[1], height=node.size[2],
                                   water_level=side.level, floor_level=inverts[end]))  # fmt: skip
        if parts:
            yield total(side.name, parts, VOLUME)


def _pipe_displaced(lying: Lying, length: float, dry: bool) -> Entry:
    pipe, name = lying.leg.pipe, lying.leg.name
    if dry:
        return entry(rel.sealed_volume, name, source=pipe.source, outside_diameter=pipe.outside, length_in_water=length)
    return entry(
        rel.wall_volume,
        name,
        source=pipe.source,
        outside_diameter=pipe.outside,
        bore=pipe.bores,
        length_in_water=length,
    )
