"""Routes from each mouth to its den, which the long section follows."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.geometry.line_intersection import Spot
from pondkit.trades.tunnels.alignment import Alignment, kind_shown
from pondkit.trades.tunnels.inputs import Node


@dataclass(frozen=True)
class Route:
    """A way along the runs.

    Attributes:
        name: "mouth – den".
        nodes: (name, kind, place on the site [m]) of each node on the way.
        bores: Bore of the pipe from each node to the next [m].
    """

    name: str
    nodes: tuple[tuple[str, str, Spot], ...]
    bores: tuple[float, ...]


def ways(nodes: Sequence[Node], alignment: Alignment) -> tuple[Route, ...]:
    """From each mouth the shortest way to a den; without a den to the other mouth or the furthest end."""
    import networkx as nx

    found: list[Route] = []
    done: set[frozenset[int]] = set()
    for start in alignment.mouths:
        far, paths = nx.single_source_dijkstra(alignment.graph, start, weight="length")
        others = [end for end in far if end != start]
        dens = [end for end in others if nodes[end].kind == "chamber"]
        mouths = [end for end in others if nodes[end].kind == "mouth"]
        end = min(dens or mouths, key=lambda at: far[at]) if dens or mouths else max(others, key=lambda at: far[at])
        if frozenset((start, end)) not in done:
            done.add(frozenset((start, end)))
            found.append(_way(nodes, alignment, paths[end]))
    return tuple(found)


def _way(nodes: Sequence[Node], alignment: Alignment, path: Sequence[int]) -> Route:
    bores = tuple(alignment.runs[alignment.graph[a][b]["run"]].pipe.bore for a, b in itertools.pairwise(path))
    return Route(
        f"{nodes[path[0]].name} – {nodes[path[-1]].name}",
        tuple((nodes[at].name, kind_shown(nodes[at]), alignment.places[at]) for at in path),
        bores,
    )
