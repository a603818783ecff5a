"""Pictures of the tunnels, and the panels that show them on page and paper: the long section of each route from a mouth
to its den; the plan of runs, nodes, penetrations and watertight joints; and the cutting plan.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.units import COUNT, LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import (
    BED,
    WATER,
    Array,
    Figure,
    Panel,
    exaggeration,
    keys,
    named_profile,
    plan_layout,
    profile_trace,
    waters,
)
from pondkit.drawing.rows import by_tape
from pondkit.drawing.traces import (
    SYMBOLS,
    Label,
    aside_trace,
    node_marks,
    noted,
    pipe_trace,
    points_trace,
    waterline_traces,
    written,
)
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.lines import Ints, line_rays
from pondkit.geometry.site_surface import trace
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.alignment import Alignment
from pondkit.trades.tunnels.inputs import Node
from pondkit.trades.tunnels.results import TunnelsResult


@dataclass(frozen=True)
class Route:
    """A route along the runs.

    Attributes:
        name: Names of its first and last node: "mouth – den".
        nodes: (name, kind as displayed, place on the site [m]) of each node on it.
        bores: Bore of the pipe from each node to the next [m].
    """

    name: str
    nodes: tuple[tuple[str, str, Spot], ...]
    bores: tuple[float, ...]


def routes_to_dens(nodes: Sequence[Node], alignment: Alignment) -> tuple[Route, ...]:
    """The shortest route from each mouth to the nearest den; if there is none, to the nearest other mouth, else to the
    furthest end.
    """
    import networkx as nx

    routes: list[Route] = []
    visited: set[frozenset[int]] = set()
    for start in alignment.mouths:
        distance, paths = nx.single_source_dijkstra(alignment.graph, start, weight="length")
        others = [node for node in distance if node != start]
        dens = [node for node in others if nodes[node].kind == "chamber"]
        mouths = [node for node in others if nodes[node].kind == "mouth"]
        nearest = min(dens or mouths, key=lambda node: distance[node], default=None)
        end = max(others, key=lambda node: distance[node]) if nearest is None else nearest
        if frozenset((start, end)) not in visited:
            visited.add(frozenset((start, end)))
            routes.append(_route(nodes, alignment, paths[end]))
    return tuple(routes)


def _route(nodes: Sequence[Node], alignment: Alignment, path: Sequence[int]) -> Route:
    bores = tuple(alignment.runs[alignment.graph[a][b]["run"]].pipe.bore for a, b in itertools.pairwise(path))
    return Route(
        f"{nodes[path[0]].name} – {nodes[path[-1]].name}",
        tuple((nodes[node].name, nodes[node].kind_shown, alignment.places[node]) for node in path),
        bores,
    )


CUT_UNIT = {"us": "in", "si": "cm"}
ROOM = 0.12  # margin, as a share of the picture's size
LABELLED = 0.16  # least length of a run that has room for its cut length, as a share of the picture's size


def plan(tunnels: TunnelsResult | None, pools: Sequence[PoolResult], system: System) -> Figure | None:
    """Plan of the passages: runs with their cut lengths, nodes by kind, penetrations, joints to be watertight, faint
    waterlines. None if there are no passages.

    Args:
        tunnels: The passages; None if the option has none.
        pools: The pools.
        system: Unit system displayed.
    """
    unit = frame.PLAN_UNIT[system]
    if tunnels is None or not tunnels.lines:
        return None
    data = waterline_traces(((pool.name, pool.surfaces.finished) for pool in pools), unit)
    cut = {figure.subject: by_tape(figure.value, system) for figure in tunnels.runs.cut_length}
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
        *aside_trace(tunnels.adjustment.moved_nodes, unit, system),
        node_marks(tunnels.places, tunnels.penetration_places, unit, False),
        _watertight_marks(tunnels, unit),
    ]
    moves = {
        name: f"<br>moved {by_tape(math.dist(old, new), system)}"
        for name, old, new in noted(tunnels.adjustment.moved_nodes)
    }
    for name, kind, place in tunnels.places:
        if kind == "junction" or name in moves:  # names of the other nodes stand at their markers
            x, y = frame.in_unit(list(place[:2]), unit)
            label = frame.plain(name) if kind == "junction" else ""
            labels.append((float(x), float(y), label + moves.get(name, ""), 12, "bottom center"))
    if labels:
        data.append(written(labels))
    return frame.figure(data, **plan_layout(span, unit, None))


def _watertight_marks(tunnels: TunnelsResult, unit: str) -> dict[str, Any]:
    """A diamond round each joint that must be watertight."""
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
    moved = ", ".join(
        f"{figure.subject} by {show(figure.value, LENGTH, system, CUT_UNIT[system])}"
        for figure in tunnels.adjustment.node_moved
    )
    penetrations = len(tunnels.penetration_places)
    return (
        f"Tunnels in plan. Runs: {runs or 'none could be aligned'}. Penetrations of a liner: {penetrations}. "
        f"Joints to be watertight: {sealed or 'none'}. Nodes that their fittings move: {moved or 'none'}."
    )


def _extent(tunnels: TunnelsResult) -> tuple[float, float, float, float]:
    """West, south, east and north edge of the picture: the passages, with some room round them [m]."""
    places = np.array([place[:2] for _, _, place in tunnels.places])
    low, high = places.min(axis=0), places.max(axis=0)
    room = ROOM * float((high - low).max()) + 0.5
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def cuts(tunnels: TunnelsResult | None, system: System) -> Figure | None:
    """Cutting plan: one bar for all stock lengths that are cut alike, with its pieces in order. None if it is unknown.

    Args:
        tunnels: The passages; None if the option has none.
        system: Unit system displayed.
    """
    unit, rows = CUT_UNIT[system], _stock_rows(tunnels)
    if not rows:
        return None
    plans = tunnels.order.cutting_plan if tunnels else ()
    stock_lengths = {pipe: float(frame.in_unit(stock_length, unit)) for pipe, stock_length, _ in plans}
    longest = max(stock_lengths.values())
    look = {"type": "bar", "orientation": "h", "width": 0.6}
    data: list[dict[str, Any]] = [
        look
        | {
            "y": list(range(len(rows))),
            "x": [stock_lengths[pipe] for pipe, _, _ in rows],
            "name": "stock length",
            "hoverinfo": "skip",
            "marker": {"color": "rgba(0,0,0,0)", "line": {"color": frame.FAINT, "width": 1}},
        }
    ]
    for column in range(max(len(pieces) for _, pieces, _ in rows)):
        bars = [(row, pieces) for row, (_, pieces, _) in enumerate(rows) if len(pieces) > column]
        data.append(
            look
            | {
                "y": [row for row, _ in bars],
                "x": [float(frame.in_unit(pieces[column][1], unit)) for _, pieces in bars],
                "name": "piece",
                "base": [
                    float(frame.in_unit(sum(length for _, length in pieces[:column]), unit)) for _, pieces in bars
                ],
                "text": [
                    f"{frame.plain(pieces[column][0])}: {show(pieces[column][1], LENGTH, system, unit)}"
                    for _, pieces in bars
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
        x={"title": frame.title("along the stock length, kerf apart", unit), "range": [0, longest * 1.02]},
        y=frame.row_axis([f"{count} × {pipe}" for pipe, _, count in rows]),
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
    """(pipe, (run, length [m]) of each piece, number of stock lengths cut that way)."""
    counted: dict[tuple[str, tuple[tuple[str, float], ...]], int] = {}
    for pipe, _, stock_lengths in tunnels.order.cutting_plan if tunnels else ():
        for pieces in stock_lengths:
            counted[pipe, pieces] = counted.get((pipe, pieces), 0) + 1
    return [(pipe, pieces, count) for (pipe, pieces), count in counted.items()]


SAMPLES = 60  # points along one run in the long section
LEAD = 0.3  # length of pool shown before a mouth, as a share of the route
GAP = 0.15  # gap before the next route, as a share of the route


def long_section(
    tunnels: TunnelsResult | None, nodes: Sequence[Node] | None, pools: Sequence[PoolResult], system: System
) -> Figure | None:
    """Long section of each route from a mouth to its den: pipe, surface, water, nodes, den. None if there is no route.

    Args:
        tunnels: The passages; None if the option has none.
        nodes: Inputs of the nodes; None without passages.
        pools: The pools.
        system: Unit system displayed.
    """
    unit = frame.PLAN_UNIT[system]
    nodes = nodes or ()
    sections = _route_sections(tunnels, nodes, pools) if tunnels else []
    if tunnels is None or not sections:
        return None
    data: list[dict[str, Any]] = []
    notes: list[dict[str, Any]] = []
    surfaces = [named_profile(section.x, section.surface, unit) for section in sections]
    waterlines = [
        named_profile(*water, unit, frame.plain(name))
        for section in sections
        for name, level, bed in section.waters
        for water in waters(section.x, bed, level)
    ]
    for parts, name, look in (
        (surfaces, "ground, and finished surface in the pools", BED),
        (waterlines, "water", WATER),
    ):
        if trace := profile_trace(parts, name, look):
            data.append(trace)
    for section in sections:
        data += _pipe_band(section, unit)
        data += _watertight_line(tunnels, section, unit)
        data.append(_node_markers(section, unit))
        notes += _names_and_levels(section, unit, system)
    data += [*_den_boxes(nodes, sections, unit), _penetration_marks(tunnels, sections, unit)]
    span = float(sections[0].x[0]), float(sections[-1].x[-1])
    return _with_axes(data, notes, span, _level_span(sections), unit)


def _with_axes(
    data: list[dict[str, Any]],
    notes: list[dict[str, Any]],
    span: tuple[float, float],
    levels: tuple[float, float],
    unit: str,
) -> Figure:
    """The long section with its axes. ``span``: its start and end in x; ``levels``: lowest and highest level [m]."""
    (start, end), (low, high) = span, levels
    times, room = exaggeration(end - start, high - low), ROOM * (high - low) + 0.1
    corner = {"xref": "paper", "yref": "paper", "x": 1, "y": 0, "xanchor": "right", "yanchor": "bottom"}
    text = f"heights drawn {times} times" if times > 1 else "heights to scale"
    scale = corner | {"showarrow": False, "text": text, "font": {"size": 12, "color": frame.FAINT}}
    return frame.figure(
        data,
        x={
            "title": frame.title("level distance along the passage", unit),
            "range": frame.in_unit([start, end], unit).tolist(),
            "constrain": "domain",
        },
        y={
            "title": frame.title("level", unit),
            "scaleanchor": "x",
            "scaleratio": times,
            "constrain": "domain",
            "range": frame.in_unit([low - room, high + room], unit).tolist(),
        },
        annotations=[*notes, scale],
        dragmode="pan",
    )


def alt_long_section(tunnels: TunnelsResult | None, system: System) -> str:
    """The long section in words."""
    if tunnels is None:
        return "No tunnels."
    mouths = "; ".join(
        f"mouth {f.subject} {show(f.value, LENGTH, system, CUT_UNIT[system])} under water"
        for f in tunnels.nodes.mouth_depth
    )
    dens = "; ".join(
        f"floor of {f.subject} {show(f.value, LENGTH, system, CUT_UNIT[system])} above water"
        for f in tunnels.nodes.den_floor_above_water
    )
    return (
        "Long section of the passages: "
        + ("; ".join(part for part in (mouths, dens) if part) or "no route could be aligned")
        + "."
    )


def _note(x: float, y: float, text: str, unit: str, colour: str, yshift: int) -> dict[str, Any]:
    """A label at a place in the picture [m], shifted upward [pixels]."""
    point = frame.in_unit([x, y], unit, 2).tolist()
    return {
        "x": point[0],
        "y": point[1],
        "text": frame.plain(text),
        "showarrow": False,
        "yshift": yshift,
        "font": {"size": 12, "color": colour},
        "bgcolor": "rgba(255,255,255,0.7)",
        "borderpad": 0,
    }


@dataclass(frozen=True, eq=False)
class _RouteSection:
    """One route in the long section; x is the level distance from the start of the picture [m].

    Attributes:
        route: The route.
        stations: x of each of its nodes, shape (k,) [m].
        x, surface: x and level of the finished surface in the pools and of the ground elsewhere, shape (n,) each [m].
        waters: (pool, its level, its finished surface at each x, NaN outside its rim, shape (n,)) [m].
    """

    route: Route
    stations: Array
    x: Array
    surface: Array
    waters: list[tuple[str, float, Array]]


def _route_sections(tunnels: TunnelsResult, nodes: Sequence[Node], pools: Sequence[PoolResult]) -> list[_RouteSection]:
    """The routes side by side, each with a length of pool before its mouth."""
    sections: list[_RouteSection] = []
    start = 0.0
    for route in routes_to_dens(nodes, tunnels.alignment):
        places = np.array([place for _, _, place in route.nodes])
        steps = np.linalg.norm(np.diff(places[:, :2], axis=0), axis=1)
        total_length = float(steps.sum())
        lead = LEAD * total_length + 0.3
        if start:
            start += GAP * total_length
        stations = start + lead + np.concatenate([[0.0], np.cumsum(steps)])
        sloped = next((index for index, step in enumerate(steps) if step > 1e-6), None)
        if sloped is None:
            continue  # upright from end to end: there is no length to draw it along
        direction = (places[sloped + 1, :2] - places[sloped, :2]) / steps[sloped]
        line = np.vstack([places[0, :2] - lead * direction, places[:, :2], places[-1:, :2] + 0.5 * lead * direction])
        sections.append(_route_section(tunnels, pools, route, stations, line, start))
        start = float(sections[-1].x[-1])
    return sections


def _route_section(
    tunnels: TunnelsResult, pools: Sequence[PoolResult], route: Route, stations: Array, line: Array, start: float
) -> _RouteSection:
    """A route with the surface over it, along its line in plan, shape (k + 2, 2) [m], from x = ``start``."""
    surfaces = [pool.surfaces.finished for pool in pools]
    outlines = tuple(outline for pool in surfaces for outline in pool.outlines())
    x: list[Array] = []
    surface: list[Array] = []
    inside: list[Ints] = []
    for a, b in itertools.pairwise(line):
        along = float(np.linalg.norm(b - a))
        if along < 1e-6:
            continue
        if surfaces:
            nodes = trace(
                line_rays(outlines, (float(a[0]), float(a[1])), (float(b[0]), float(b[1])), SAMPLES), surfaces
            )
            station, level, pool = nodes.station, nodes.level, nodes.inside
        else:
            station = np.linspace(0.0, along, SAMPLES)
            level, pool = np.full(SAMPLES, np.nan), np.full(SAMPLES, -1)
        ground = tunnels.ground.at(a + (station / along)[:, None] * (b - a))
        x.append(start + station)
        surface.append(np.where(pool >= 0, level, ground))
        inside.append(pool)
        start += along
    levels, pool_there = np.concatenate(surface), np.concatenate(inside)
    waters = [
        (pool.name, pool.surfaces.finished.level, np.where(pool_there == index, levels, np.nan))
        for index, pool in enumerate(pools)
        if (pool_there == index).any()
    ]
    return _RouteSection(route, stations, np.concatenate(x), levels, waters)


def _pipe_band(section: _RouteSection, unit: str) -> list[dict[str, Any]]:
    """Outline of each run, between invert and crown."""
    x: list[float | None] = []
    y: list[float | None] = []
    for index, bore in enumerate(section.route.bores):
        (x0, x1), (z0, z1) = (
            section.stations[index : index + 2],
            (section.route.nodes[index][2][2], section.route.nodes[index + 1][2][2]),
        )
        long = math.hypot(x1 - x0, z1 - z0)
        side = (z0 - z1) / long * bore / 2, (x1 - x0) / long * bore / 2
        ring = [
            (x0 + side[0], z0 + side[1]),
            (x1 + side[0], z1 + side[1]),
            (x1 - side[0], z1 - side[1]),
            (x0 - side[0], z0 - side[1]),
        ]
        ring_in_unit = frame.in_unit(np.array([*ring, ring[0]]), unit)
        x += [*ring_in_unit[:, 0].tolist(), None]
        y += [*ring_in_unit[:, 1].tolist(), None]
    return [
        {
            "type": "scatter",
            "mode": "lines",
            "x": x,
            "y": y,
            "fill": "toself",
            "fillcolor": "rgba(180,85,45,0.35)",
            "line": {"color": frame.PIPE, "width": 1.5},
            "name": f"pipe {frame.plain(section.route.name)}: invert to crown",
            "hoverinfo": "name",
        }
    ]


def _watertight_line(tunnels: TunnelsResult, section: _RouteSection, unit: str) -> list[dict[str, Any]]:
    """The watertight line along a route, up to which joints outside the liner are sealed."""
    line, index_of = tunnels.sealing.watertight_line, {name: i for i, (name, _, _) in enumerate(tunnels.places)}
    levels = [line[index_of[name]] for name, _, _ in section.route.nodes if index_of[name] in line]
    if not levels:
        return []
    x = frame.in_unit([float(section.stations[0]), float(section.stations[-1])], unit)
    return [
        {
            "type": "scatter",
            "mode": "lines",
            "x": x,
            "y": frame.in_unit([max(levels)] * 2, unit),
            "hoverinfo": "name",
            "name": "watertight line: joints below it are sealed and tested",
            "line": {"color": frame.MARK, "width": 1.2, "dash": "dash"},
        }
    ]


def _node_markers(section: _RouteSection, unit: str) -> dict[str, Any]:
    nodes = section.route.nodes
    return {
        "type": "scatter",
        "mode": "markers",
        "x": frame.in_unit(section.stations, unit),
        "y": frame.in_unit([place[2] for _, _, place in nodes], unit),
        "hovertext": [f"{kind} {frame.plain(name)}" for name, kind, _ in nodes],
        "hoverinfo": "text+y",
        "marker": {
            "symbol": [SYMBOLS[kind] for _, kind, _ in nodes],
            "size": 9,
            "color": frame.PIPE,
            "line": {"color": frame.PIPE, "width": 2},
        },
    }


def _names_and_levels(section: _RouteSection, unit: str, system: System) -> list[dict[str, Any]]:
    """Names of the nodes, and the level of each water."""
    notes = [
        _note(float(x), place[2], name, unit, frame.PIPE, -18) | {"bgcolor": "rgba(0,0,0,0)"}
        for (name, _, place), x in zip(section.route.nodes, section.stations, strict=True)
    ]
    for name, level, bed in section.waters:
        under = section.x[np.nan_to_num(bed, nan=np.inf) < level]
        if len(under):
            label = f"{frame.plain(name)}<br>level {show(level, LENGTH, system, frame.DEPTH_UNIT[system])}"
            under_it = {"text": label, "xanchor": "left", "yanchor": "top", "align": "left", "bgcolor": "rgba(0,0,0,0)"}
            notes.append(_note(float(under[0]), level, "", unit, frame.INK, 0) | under_it)
    return notes


def _den_boxes(nodes: Sequence[Node], sections: Sequence[_RouteSection], unit: str) -> list[dict[str, Any]]:
    """Chambers of known size as boxes, with the floor at the pipe's invert."""
    sizes = {node.name: node.size for node in nodes if node.size}
    boxes = []
    for section in sections:
        name, kind, place = section.route.nodes[-1]
        size = sizes.get(name)
        if kind == "chamber" and size:
            left, floor = section.stations[-1], place[2] - section.route.bores[-1] / 2
            box = np.array(
                [
                    [left, floor],
                    [left + size[0], floor],
                    [left + size[0], floor + size[2]],
                    [left, floor + size[2]],
                    [left, floor],
                ]
            )
            x, y = frame.in_unit(box, unit).T
            boxes.append(
                {
                    "type": "scatter",
                    "mode": "lines",
                    "x": x,
                    "y": y,
                    "fill": "toself",
                    "fillcolor": "rgba(185,163,126,0.45)",
                    "line": {"color": frame.INK, "width": 1.5},
                    "name": f"chamber {frame.plain(name)}",
                    "hoverinfo": "name",
                }
            )
    return boxes


def _penetration_marks(tunnels: TunnelsResult, sections: Sequence[_RouteSection], unit: str) -> dict[str, Any]:
    """Liner penetrations on each route."""
    shown_places: list[tuple[float, float]] = []
    names: list[str] = []
    for name, place in tunnels.penetration_places:
        for section in sections:
            for (_, _, a), (_, _, b), x0, x1 in zip(
                section.route.nodes, section.route.nodes[1:], section.stations, section.stations[1:], strict=False
            ):
                share = _share_along(a, b, place)
                if share is not None:
                    shown_places.append((x0 + share * (x1 - x0), place[2]))
                    names.append(f"through the liner: {frame.plain(name)}")
    marker = {"symbol": "circle-open", "size": 14, "color": frame.MARK, "line": {"width": 2.5}}
    return points_trace(shown_places, names, unit, marker=marker)


def _share_along(a: Spot, b: Spot, place: Spot) -> float | None:
    """Distance of a place along a run as a share of its length, 0 to 1, or an inch beyond; None if it is not on it."""
    along, to = np.subtract(b, a), np.subtract(place, a)
    share = float(to @ along) / float(along @ along)
    deviation = float(np.linalg.norm(to - share * along))
    reach = 0.03 / float(np.linalg.norm(along))
    return share if deviation < 1e-4 and -reach <= share <= 1 + reach else None


def _level_span(sections: Sequence[_RouteSection]) -> tuple[float, float]:
    """Lowest and highest level to show [m]: all of pipe and water, and the ground near them."""
    nodes = [place[2] for section in sections for _, _, place in section.route.nodes]
    waters = [level for section in sections for _, level, _ in section.waters]
    surface = np.concatenate([section.surface for section in sections])
    low = max(float(surface.min()), min(nodes) - 0.6)
    return min([low, min(nodes) - 0.15, *waters]), max([float(surface.max()), *nodes, *waters]) + 0.3


PANELS = (
    Panel(
        "Tunnels from the side",
        "Tunnels",
        long_section,
        alt_long_section,
        ("tunnels", "option.tunnels.nodes", "pools"),
        ("tunnels",),
        keys(
            "run_length run_slope cut_length mouth_depth den_floor_above_water run_in_water run_in_ground "
            "penetration_depth penetration_size flooded_pipe_volume vessel_length joint_below_seal_line run_filled "
            "fall_to_pool air_pocket water_trap den_above_highest den_air den_lid_cover den_ballast "
            "pipe_cover_spare pipe_ballast pipe_trench_volume den_pit_volume trench_dig_volume backfill_volume "
            "flush_branch_flow flush_branch_velocity flush_velocity open_mouth_flow open_velocity flush_time "
            "flush_flow_needed unswept_length rod_bends"
        ),
        330,
    ),
    Panel(
        "Tunnels from above",
        "Tunnels",
        plan,
        alt_plan,
        ("tunnels", "pools"),
        ("tunnels",),
        keys(
            "fitting_count pipe_length tunnel_volume penetration_count sealed_joint_count clear_bore longest_swim "
            "blocked_swim line_move node_moved sharpest_bend tightest_branch"
        ),
        330,
    ),
    Panel(
        "Pipe to cut",
        "Tunnels",
        cuts,
        alt_cuts,
        ("tunnels",),
        ("tunnels",),
        ("pipe_lengths_to_buy", "pipe_length_order", "offcut_length"),
        260,
    ),
)
BESIDE = {
    "Tunnels": keys(
        "mouth_depth den_floor_above_water cut_length pipe_length_order fitting_count penetration_count "
        "sealed_joint_count longest_swim fall_to_pool tunnel_volume"
    ),
}
