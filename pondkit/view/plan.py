"""The plan: depth shading, contours, stone, links, pipe, section line, north and scale."""

import math
from typing import Any

import numpy as np

from pondkit.evaluate import OptionResult
from pondkit.surface.path import Laid
from pondkit.surface.rings import Rings, rim_rings, rings_at, section_line, shading
from pondkit.surface.thread import Spot
from pondkit.units import LENGTH, System, show
from pondkit.view import frame
from pondkit.view.frame import Figure

ROOM = 0.06  # share of the picture's width left free round the pond
# Round letters, so that they read on dark water and across lines.
HALO = ", ".join(f"{x}px {y}px 1px #fff" for x in (-2, 0, 2) for y in (-2, 0, 2))
Label = tuple[float, float, str, int, str]  # x, y, text, size, where it stands to its place


def deepest(results: list[OptionResult]) -> float:
    """Greatest depth over options [m]: the end of the colour scale."""
    return max((pool.max_depth.value for result in results for pool in result.pools), default=1.0)


def plan(
    result: OptionResult,
    system: System,
    *,
    chosen: int | None = None,
    limit: float | None = None,
    section: tuple[tuple[float, float], tuple[float, float]] | None = None,
    scale_to: float | None = None,
    span: tuple[float, float, float, float] | None = None,
    bare: bool = False,
) -> Figure:
    """The plan of one option.

    Args:
        result: The option worked out.
        system: Units on show.
        chosen: Index of the pool that is chosen, drawn with a heavier waterline.
        limit: Depth limit [m], drawn as a dashed line where the water is deeper.
        section: Section line on the site [m]; None draws none.
        scale_to: Depth [m] at the dark end of the colour scale; the option's own deepest if left out.
        span: West, south, east, north [m] to show; round the pools if left out.
        bare: True for a small plan beside others: without labels.
    """
    unit = frame.PLAN_UNIT[system]
    scale = scale_to or deepest([result])
    data: list[dict[str, Any]] = []
    labels: list[Label] = []
    for pool in result.pools:
        called, finished = frame.plain(pool.name), pool.surfaces.finished
        data.append(
            line_trace(rim_rings(pool.surfaces.liner), unit, frame.GROUND, 1.2, dash="dot", name=f"{called}: rim")
        )
        depths = shading(finished)
        drawn = _level_depths(finished)
        number = 0
        for depth, rings in depths:
            level = any(abs(depth - own) < 1e-6 for own in drawn)
            data.append(
                _fill(
                    rings,
                    unit,
                    frame.shade(depth, scale),
                    f"{called}: {show(depth, LENGTH, system, frame.DEPTH_UNIT[system])} deep",
                    level,
                    pool.index,
                )
            )
            if level and rings and not bare:
                labels.append(_depth_label(rings, depth, system, unit, number))
                number += 1
        heavy = 3.0 if chosen == pool.index else 1.6
        data.append(line_trace(depths[0][1], unit, frame.INK, heavy, name=f"{called}: waterline"))
        if limit is not None and pool.max_depth.value > limit:
            data.append(
                line_trace(
                    rings_at(finished, limit),
                    unit,
                    frame.MARK,
                    1.6,
                    dash="dash",
                    name=f"deeper than {show(limit, LENGTH, system)}",
                )
            )
        if not bare:
            labels.append(_name_label(pool.name, depths[0][1], unit))
    data += _things(result, unit, system, bare)
    if labels:
        data.append(written(labels))
    span = span or extent([result])
    layout = layout_of(span, unit, section)
    if bare:
        layout["x"]["title"] = layout["y"]["title"] = {"text": ""}
        layout["margin"] = {"l": 30, "r": 4, "t": 4, "b": 22}
    made = frame.figure(data, **layout)
    if section is not None:
        made["config"] |= {"edits": {"shapePosition": True}}  # the section line can be dragged at the first touch
    return made


def _level_depths(laid: Laid) -> list[float]:
    """Depths of the level parts, each once."""
    return [line.level for part in laid.bowl.parts for _, _, line in part.profile.levels if line.level is not None]


def extent(results: list[OptionResult]) -> tuple[float, float, float, float]:
    """West, south, east, north of all that options hold, with some room [m]."""
    points = [ring for result in results for pool in result.pools for ring in rim_rings(pool.surfaces.liner)]
    points += [np.array([link.at]) for result in results for link in result.option.links]
    for result in results:
        if result.option.tunnels:
            points += [np.array([node.at[:2]]) for node in result.option.tunnels.nodes]
        if result.option.stone:
            points += [np.array(b.places) for b in result.option.stone.boulders if b.places]
    if not points:
        return (-5.0, -5.0, 5.0, 5.0)
    every = np.concatenate(points)
    low, high = every.min(axis=0), every.max(axis=0)
    room = ROOM * float((high - low).max()) + 0.3
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def shown_section(
    result: OptionResult, drawn: tuple[tuple[float, float], tuple[float, float]] | None
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The section line: as drawn, else along the longest way through the pools; None without pools."""
    if drawn is not None:
        return drawn
    return section_line([pool.surfaces.finished for pool in result.pools]) if result.pools else None


def alt_plan(result: OptionResult, system: System) -> str:
    """The plan in words."""
    pools = ", ".join(
        f"{pool.name} ({show(pool.surface_area.value, pool.surface_area.kind, system)}, {show(pool.max_depth.value, LENGTH, system)} deep)"
        for pool in result.pools
    )
    return f"Plan of option {result.option.name}: {pools or 'no pool could be worked out'}."


def _things(result: OptionResult, unit: str, system: System, bare: bool) -> list[dict[str, Any]]:
    data: list[dict[str, Any]] = []
    if result.stone:
        for name, rings in result.stone.edging_rings:
            data.append(_fill(rings, unit, frame.STONE, f"edging, {frame.plain(name)}", False, None, opacity=0.7))
        for name, rings in result.stone.boulder_rings:
            data.append(_fill(rings, unit, frame.STONE, f"boulder {frame.plain(name)}", True, None, line=frame.INK))
    if result.tunnels:
        lines = result.tunnels.lines
        said = [f"run {frame.plain(name)}, {show(width, LENGTH, system)} outside" for name, _, _, width in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], said, unit))
        data.append(node_marks(result.tunnels.places, unit, bare))
        data.append(pass_marks(result.tunnels.passes, unit))
    for link in result.option.links:
        data.append(_link(result, link, unit, system))
    return [item for item in data if item]


def pipe_trace(ends: list[tuple[Spot, Spot]], said: list[str], unit: str) -> dict[str, Any]:
    """All runs as one trace: both ends of each, and what is said of it under the pointer."""
    x: list[float | None] = []
    y: list[float | None] = []
    for pair in ends:
        shown = frame.in_unit(np.array([spot[:2] for spot in pair]), unit)
        x += [*shown[:, 0].tolist(), None]
        y += [*shown[:, 1].tolist(), None]
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "line": {"color": frame.PIPE, "width": 5},
        "hovertext": [text for text in said for _ in range(3)],
        "hoverinfo": "text",
        "name": "pipe",
    }


SYMBOLS = {"mouth": "circle-open", "junction": "circle", "gate": "x", "chamber": "square"}


def node_marks(places: tuple[tuple[str, str, Spot], ...], unit: str, bare: bool) -> dict[str, Any]:
    at = frame.in_unit(np.array([place[:2] for _, _, place in places] or np.zeros((0, 2))), unit)
    return {
        "type": "scatter", "mode": "markers" if bare else "markers+text", "x": at[:, 0], "y": at[:, 1],
        "text": [frame.plain(name) if kind != "junction" else "" for name, kind, _ in places], "textposition": "top center",
        "textfont": {"size": 12, "color": frame.PIPE, "shadow": HALO}, "hovertext": [f"{kind} {frame.plain(name)}" for name, kind, _ in places], "hoverinfo": "text",
        "marker": {
            "symbol": [SYMBOLS[kind] for _, kind, _ in places], "size": [14 if kind == "chamber" else 9 for _, kind, _ in places],
            "color": frame.PIPE, "opacity": 1, "line": {"color": "#ffffff", "width": 1},
        },
    }  # fmt: skip


def pass_marks(passes: tuple[tuple[str, Spot], ...], unit: str) -> dict[str, Any]:
    """Penetrations of the liner, as rings round the pipe."""
    at = frame.in_unit(np.array([place[:2] for _, place in passes] or np.zeros((0, 2))), unit)
    return {
        "type": "scatter", "mode": "markers", "x": at[:, 0], "y": at[:, 1], "hovertext": [f"through the liner: {frame.plain(name)}" for name, _ in passes],
        "hoverinfo": "text", "marker": {"symbol": "circle-open", "size": 13, "color": frame.MARK, "line": {"width": 2.5}},
    }  # fmt: skip


def _link(result: OptionResult, link: Any, unit: str, system: System) -> dict[str, Any]:
    """A crest as a bar across the way from the upper pool to the lower, with an arrow's head downstream."""
    ends = {pool.name: pool.surfaces.finished for pool in result.pools}
    if link.from_ not in ends or link.to not in ends:
        return {}
    at = np.array(link.at, dtype=float)
    lower = ends[link.to]
    towards = lower.placed.to_site(np.array([lower.bowl.pool.shape.pole]))[0] - at
    towards = towards / (np.linalg.norm(towards) or 1.0)
    side = np.array([-towards[1], towards[0]]) * link.crest_width / 2
    tip = at + towards * max(link.crest_width, 0.4)
    line = frame.in_unit(np.array([at + side, at - side, tip, at + side]), unit)
    return {
        "type": "scatter", "mode": "lines", "x": line[:, 0], "y": line[:, 1], "fill": "toself", "fillcolor": "#f4fbfb",
        "line": {"color": frame.INK, "width": 1.5}, "name": f"{link.kind} from {frame.plain(link.from_)} to {frame.plain(link.to)}, crest {show(link.crest_width, LENGTH, system)}", "hoverinfo": "name",
    }  # fmt: skip


def _joined(rings: Rings, unit: str) -> tuple[list[float | None], list[float | None]]:
    x: list[float | None] = []
    y: list[float | None] = []
    for ring in rings:
        shown = frame.in_unit(ring, unit, 2)
        x += [*shown[:, 0].tolist(), None]
        y += [*shown[:, 1].tolist(), None]
    return x, y


def line_trace(rings: Rings, unit: str, colour: str, width: float, *, name: str, dash: str = "solid") -> dict[str, Any]:
    x, y = _joined(rings, unit)
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "line": {"color": colour, "width": width, "dash": dash},
        "name": name,
        "hoverinfo": "skip",
    }


def _fill(
    rings: Rings,
    unit: str,
    colour: str,
    name: str,
    contour: bool,
    pick: int | None,
    *,
    opacity: float = 1.0,
    line: str = "rgba(255,255,255,0.75)",
) -> dict[str, Any]:
    x, y = _joined(rings, unit)
    trace: dict[str, Any] = {
        "type": "scatter", "mode": "lines", "x": x, "y": y, "fill": "toself", "fillcolor": colour, "opacity": opacity, "hoveron": "fills",
        "name": name, "text": name, "hoverinfo": "text", "line": {"width": 1.0 if contour else 0.0, "color": line if contour else colour},
    }  # fmt: skip
    if pick is not None:
        trace["meta"] = ["pools", pick]
    return trace


def _depth_label(rings: Rings, depth: float, system: System, unit: str, turn: int) -> Label:
    """The depth of a level part on its contour; each contour's further round than the last, so that they do not collide."""
    ring = max(rings, key=len)
    bearing = math.radians(-100 + 34 * turn)
    away = (ring - ring.mean(axis=0)) @ np.array([math.cos(bearing), math.sin(bearing)])
    x, y = frame.in_unit(ring[int(np.argmax(away))], unit, 2)
    return float(x), float(y), show(depth, LENGTH, system, frame.DEPTH_UNIT[system]), 12, "middle center"


def _name_label(name: str, rings: Rings, unit: str) -> Label:
    ring = max(rings, key=len)
    x, y = frame.in_unit(ring[int(np.argmax(ring[:, 1]))], unit, 2)
    return float(x), float(y), f"<b>{frame.plain(name)}</b>", 13, "top center"


def written(labels: list[Label]) -> dict[str, Any]:
    """All labels as one trace: an annotation each would be measured anew at every step of a slider, which costs more."""
    x, y, texts, sizes, positions = (list(values) for values in zip(*labels, strict=True))
    return {
        "type": "scatter",
        "mode": "text",
        "name": "labels",
        "x": x,
        "y": y,
        "text": texts,
        "textposition": positions,
        "textfont": {"size": sizes, "color": frame.INK, "shadow": HALO},
        "hoverinfo": "skip",
        "cliponaxis": False,
    }


def layout_of(span: tuple[float, float, float, float], unit: str, section: Any) -> dict[str, Any]:
    west, south, east, north = (float(v) for v in frame.in_unit(list(span), unit))
    bar = _nice((east - west) / 5)
    left, base = west + 0.02 * (east - west), south + 0.03 * (north - south)
    tick = 0.012 * (north - south)
    shapes: list[dict[str, Any]] = [
        {
            "type": "path",
            "path": f"M{left},{base + tick} L{left},{base} L{left + bar},{base} L{left + bar},{base + tick}",
            "line": {"color": frame.INK, "width": 2},
        }
    ]
    notes: list[dict[str, Any]] = [
        {
            "x": left + bar / 2,
            "y": base,
            "text": f"{bar:g} {unit}",
            "showarrow": False,
            "yshift": 9,
            "font": {"size": 12},
        },
        {
            "x": 1,
            "y": 1,
            "xref": "paper",
            "yref": "paper",
            "xanchor": "right",
            "yanchor": "top",
            "text": "N<br>↑",
            "showarrow": False,
            "font": {"size": 16},
            "align": "center",
        },
    ]
    if section is not None:
        (x0, y0), (x1, y1) = (frame.in_unit(list(end), unit, 2).tolist() for end in section)
        shapes.append(
            {
                "type": "line",
                "x0": x0,
                "y0": y0,
                "x1": x1,
                "y1": y1,
                "editable": True,
                "name": "section",
                "line": {"color": frame.MARK, "width": 3},
            }
        )
        notes += [
            {
                "x": x,
                "y": y,
                "text": mark,
                "showarrow": False,
                "font": {"size": 14, "color": frame.MARK},
                "bgcolor": "rgba(255,255,255,0.7)",
            }
            for x, y, mark in ((x0, y0, "A"), (x1, y1, "B"))
        ]
    return {
        "x": {"title": frame.title("east", unit), "range": [west, east], "constrain": "domain", "showgrid": True},
        "y": {
            "title": frame.title("north", unit),
            "range": [south, north],
            "scaleanchor": "x",
            "scaleratio": 1,
            "constrain": "domain",
        },
        "shapes": shapes,
        "annotations": notes,
        "dragmode": "pan",
    }


def _nice(length: float) -> float:
    if length <= 0 or not math.isfinite(length):
        return 1.0
    power = 10 ** math.floor(math.log10(length))
    return float(max((step * power for step in (1, 2, 5) if step * power <= length * 1.0001), default=power))
