"""Tunnel pipe in plan: runs with their cut lengths, nodes by kind, penetrations, joints that must be watertight; the
routes from each mouth to its den, which the long section follows; and how the stock lengths are cut, as bars.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.units import COUNT, LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.traces import Label, aside_trace, line_trace, node_marks, noted, pipe_trace, written
from pondkit.drawing.views import plan_layout
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.site_surface import rings_at
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.alignment import Alignment, kind_shown
from pondkit.trades.tunnels.inputs import Node
from pondkit.trades.tunnels.results import TunnelsResult


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

    routes: list[Route] = []
    done: set[frozenset[int]] = set()
    for start in alignment.mouths:
        far, paths = nx.single_source_dijkstra(alignment.graph, start, weight="length")
        others = [end for end in far if end != start]
        dens = [end for end in others if nodes[end].kind == "chamber"]
        mouths = [end for end in others if nodes[end].kind == "mouth"]
        end = min(dens or mouths, key=lambda at: far[at]) if dens or mouths else max(others, key=lambda at: far[at])
        if frozenset((start, end)) not in done:
            done.add(frozenset((start, end)))
            routes.append(_way(nodes, alignment, paths[end]))
    return tuple(routes)


def _way(nodes: Sequence[Node], alignment: Alignment, path: Sequence[int]) -> Route:
    bores = tuple(alignment.runs[alignment.graph[a][b]["run"]].pipe.bore for a, b in itertools.pairwise(path))
    return Route(
        f"{nodes[path[0]].name} – {nodes[path[-1]].name}",
        tuple((nodes[at].name, kind_shown(nodes[at]), alignment.places[at]) for at in path),
        bores,
    )


CUT_UNIT = {"us": "in", "si": "cm"}
ROOM = 0.12  # share of the picture's size left free round it
LABELLED = 0.16  # share of the picture's size from which on a run has room for its cut length


def plan(tunnels: TunnelsResult | None, pools: Sequence[PoolResult], system: System) -> Figure | None:
    """The passages in plan: runs with their cut lengths, nodes by kind, penetrations, faint waterlines; None without.

    Args:
        tunnels: The passages; None where the option has none.
        pools: The pools.
        system: Units on show.
    """
    unit = frame.PLAN_UNIT[system]
    if tunnels is None or not tunnels.lines:
        return None
    data = [
        line_trace(
            rings_at(pool.surfaces.finished, 0.0), unit, frame.FAINT, 1.2, name=f"{frame.plain(pool.name)}: waterline"
        )
        for pool in pools
    ]
    cut = {figure.subject: show(figure.value, LENGTH, system, CUT_UNIT[system]) for figure in tunnels.runs.cut_length}
    west, south, east, north = span = _extent(tunnels)
    texts: list[str] = []
    labels: list[Label] = []
    for name, start, end, width in tunnels.lines:
        outside = f"run {frame.plain(name)}, {show(width, LENGTH, system, CUT_UNIT[system])} outside"
        texts.append(outside + (f", cut {cut[name]}" if name in cut else ""))
        if name in cut and math.dist(start[:2], end[:2]) > LABELLED * max(east - west, north - south):
            x, y = frame.in_unit([(start[0] + end[0]) / 2, (start[1] + end[1]) / 2], unit)
            labels.append((float(x), float(y), cut[name], 12, "top right"))
    data += [
        pipe_trace([(start, end) for _, start, end, _ in tunnels.lines], texts, unit),
        *aside_trace(tunnels.bends.set_aside, unit, system),
        node_marks(tunnels.places, tunnels.passes, unit, False),
        _seal_marks(tunnels, unit),
    ]
    moved = {
        name: f"<br>moved {show(math.dist(old, new), LENGTH, system, CUT_UNIT[system])}"
        for name, old, new in noted(tunnels.bends.set_aside)
    }
    for name, kind, place in tunnels.places:
        if kind == "junction" or name in moved:  # names of the others stand at their marks
            x, y = frame.in_unit(list(place[:2]), unit)
            called = frame.plain(name) if kind == "junction" else ""
            labels.append((float(x), float(y), called + moved.get(name, ""), 12, "bottom center"))
    if labels:
        data.append(written(labels))
    return frame.figure(data, **plan_layout(span, unit, None))


def _seal_marks(tunnels: TunnelsResult, unit: str) -> dict[str, Any]:
    """A ring round each joint that must be watertight."""
    places = frame.in_unit(np.array([place[:2] for _, place in tunnels.sealing.marks] or np.zeros((0, 2))), unit)
    return {
        "type": "scatter",
        "mode": "markers",
        "x": places[:, 0],
        "y": places[:, 1],
        "hoverinfo": "text",
        "hovertext": [
            f"watertight, tested before it is buried: {frame.plain(name)}" for name, _ in tunnels.sealing.marks
        ],
        "marker": {"symbol": "diamond-open", "size": 19, "color": frame.MARK, "line": {"width": 2}},
    }


def alt_plan(tunnels: TunnelsResult | None, system: System) -> str:
    """The plan of the passages in words."""
    if tunnels is None:
        return "No tunnels."
    runs = "; ".join(
        f"{figure.subject}, {show(figure.value, LENGTH, system, frame.PLAN_UNIT[system])}"
        for figure in tunnels.runs.run_length
    )
    sealed = ", ".join(name for name, _ in tunnels.sealing.marks)
    aside = ", ".join(
        f"{figure.subject} by {show(figure.value, LENGTH, system, CUT_UNIT[system])}"
        for figure in tunnels.bends.node_moved
    )
    return (
        f"Tunnels in plan. Runs: {runs or 'none could be aligned'}. Penetrations of a liner: {len(tunnels.passes)}. "
        f"Joints to be watertight: {sealed or 'none'}. Nodes that their fittings move: {aside or 'none'}."
    )


def _extent(tunnels: TunnelsResult) -> tuple[float, float, float, float]:
    """West, south, east, north of the passages with some room [m]."""
    at = np.array([place[:2] for _, _, place in tunnels.places])
    low, high = at.min(axis=0), at.max(axis=0)
    room = ROOM * float((high - low).max()) + 0.5
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def cuts(tunnels: TunnelsResult | None, system: System) -> Figure | None:
    """How the stock lengths are cut: a bar a length, its pieces in order, alike ones together; None where not known.

    Args:
        tunnels: The passages; None where the option has none.
        system: Units on show.
    """
    unit, rows = CUT_UNIT[system], _stock_rows(tunnels)
    if not rows:
        return None
    sizes = {pipe: float(frame.in_unit(size, unit)) for pipe, size, _ in (tunnels.order.stock if tunnels else ())}
    whole = max(sizes.values())
    look = {"type": "bar", "orientation": "h", "width": 0.6}
    data: list[dict[str, Any]] = [
        look
        | {
            "y": list(range(len(rows))),
            "x": [sizes[pipe] for pipe, _, _ in rows],
            "name": "stock length",
            "hoverinfo": "skip",
            "marker": {"color": "rgba(0,0,0,0)", "line": {"color": frame.FAINT, "width": 1}},
        }
    ]
    for at in range(max(len(pieces) for _, pieces, _ in rows)):
        shown = [(row, pieces) for row, (_, pieces, _) in enumerate(rows) if len(pieces) > at]
        data.append(
            look
            | {
                "y": [row for row, _ in shown],
                "x": [float(frame.in_unit(pieces[at][1], unit)) for _, pieces in shown],
                "name": "piece",
                "base": [float(frame.in_unit(sum(length for _, length in pieces[:at]), unit)) for _, pieces in shown],
                "text": [
                    f"{frame.plain(pieces[at][0])}: {show(pieces[at][1], LENGTH, system, unit)}" for _, pieces in shown
                ],
                "textposition": "inside",
                "insidetextanchor": "middle",
                "hoverinfo": "text",
                "textfont": {"size": 12, "color": "#ffffff"},
                "marker": {"color": frame.PIPE, "line": {"color": "#ffffff", "width": 2}},
            }
        )
    return frame.figure(
        data,
        x={"title": frame.title("along the stock length, kerf apart", unit), "range": [0, whole * 1.02]},
        y={
            "tickvals": list(range(len(rows))),
            "ticktext": [f"{count} × {pipe}" for pipe, _, count in rows],
            "range": [len(rows) - 0.5, -0.5],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        barmode="overlay",
    )


def alt_cuts(tunnels: TunnelsResult | None, system: System) -> str:
    """The cutting plan in words."""
    unit = CUT_UNIT[system]
    lines = [
        f"{show(count, COUNT, system)} of {pipe}: "
        + ", ".join(f"{name} {show(length, LENGTH, system, unit)}" for name, length in pieces)
        for pipe, pieces, count in _stock_rows(tunnels)
    ]
    return "Stock lengths and what is cut from each: " + ("; ".join(lines) or "none") + "."


def _stock_rows(tunnels: TunnelsResult | None) -> list[tuple[str, tuple[tuple[str, float], ...], int]]:
    """(pipe, pieces, how many stock lengths are cut so)."""
    counted: dict[tuple[str, tuple[tuple[str, float], ...]], int] = {}
    for pipe, _, stock in tunnels.order.stock if tunnels else ():
        for pieces in stock:
            counted[pipe, pieces] = counted.get((pipe, pieces), 0) + 1
    return [(pipe, pieces, count) for (pipe, pieces), count in counted.items()]
