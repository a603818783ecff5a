"""How a picture in plan is laid out (equal scales, scale bar, north, line of the section), and how one in section is
drawn: profiles as one trace, water up to its level, heights exaggerated.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pondkit.drawing import frame
from pondkit.drawing.frame import Array

_NORTH = frame.note(
    1, 1, "N<br>↑", 16, name=frame.NORTH, xref="paper", yref="paper", xanchor="right", yanchor="top", align="center"
)


def plan_layout(
    span: tuple[float, float, float, float],
    unit: str,
    section: Sequence[Sequence[float]] | None,
    *,
    fills: bool = False,
) -> dict[str, Any]:
    """Axes, scale bar, north and the line of the section of a picture in plan.

    Args:
        span: West, south, east, north [m].
        unit: Unit on show.
        section: The two ends of the section's line [m]; None where none is drawn.
        fills: Whether the picture takes all of its place, and shows more than the span where that is wider or higher.
    """
    west, south, east, north = (float(v) for v in frame.in_unit(list(span), unit))
    bar, length = _scale_bar(west, south, east, north, unit)
    shapes, notes = [bar], [length, dict(_NORTH)]
    if section is not None:
        line, ends = _section_line(section, unit)
        shapes.append(line)
        notes += ends
    constrain = "range" if fills else "domain"
    layout: dict[str, Any] = {
        "x": {"title": frame.title("east", unit), "range": [west, east], "constrain": constrain, "showgrid": True},
        "y": {
            "title": frame.title("north", unit),
            "range": [south, north],
            "scaleanchor": "x",
            "scaleratio": 1,
            "constrain": constrain,
        },
        "shapes": shapes,
        "annotations": notes,
        "dragmode": "pan",
    }
    if fills:  # all room for what is drawn: the unit stands at the last mark of each axis
        for axis in (layout["x"], layout["y"]):
            axis |= {"title": {"text": ""}, "ticksuffix": f" {unit}", "showticksuffix": "last"}
        layout["margin"] = {"l": 40, "r": 6, "t": 6, "b": 24}
    return layout


def _scale_bar(
    west: float, south: float, east: float, north: float, unit: str
) -> tuple[dict[str, Any], dict[str, Any]]:
    """The scale bar in the south-western corner, and its length in words; all in the unit on show."""
    bar = round_length((east - west) / 5)
    left, base = west + 0.02 * (east - west), south + 0.03 * (north - south)
    tick = 0.012 * (north - south)
    path = f"M{left},{base + tick} L{left},{base} L{left + bar},{base} L{left + bar},{base + tick}"
    shape = {"type": "path", "path": path, "line": {"color": frame.INK, "width": 2}}
    return shape | {"name": frame.SCREEN}, frame.note(
        left + bar / 2, base, f"{bar:g} {unit}", 12, yshift=9, name=frame.SCREEN
    )


def _section_line(section: Sequence[Sequence[float]], unit: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The line of the section, and A and B at its ends."""
    (x0, y0), (x1, y1) = (frame.in_unit(list(end), unit, 2).tolist() for end in section)
    line = frame.straight((x0, x1), (y0, y1), frame.MARK, 3) | {"name": "section"}
    behind = {"xshift": -14, "bgcolor": "rgba(255,255,255,0.7)"}
    ends = [frame.note(x, y, mark, 14, frame.MARK, **behind) for x, y, mark in ((x0, y0, "A"), (x1, y1, "B"))]
    return line, ends


def round_length(length: float) -> float:
    """The greatest of 1, 2, 5, 10, 20 … that a length holds, for a scale bar; 1 where it is nothing."""
    if length <= 0 or not math.isfinite(length):
        return 1.0
    power = 10 ** math.floor(math.log10(length))
    return float(max((step * power for step in (1, 2, 5) if step * power <= length * 1.0001), default=power))


TIMES = (1, 2, 3, 4, 5, 8)
SHAPE = 3.6  # width over height of the picture that the exaggeration is chosen for
WATER: dict[str, Any] = {
    "fill": "toself",
    "fillcolor": "rgba(92,164,179,0.55)",
    "line": {"color": "#37829b", "width": 1},
}
BED: dict[str, Any] = {"line": {"color": frame.GROUND, "width": 2}}
Drawn = tuple[Array, Array, str]  # stations, levels [m], the pool that they belong to


def profile_trace(parts: Sequence[Drawn], unit: str, name: str, look: dict[str, Any]) -> dict[str, Any] | None:
    """Lines of one kind as one trace, since a picture costs by its traces while a slider is dragged; None without any.

    Args:
        parts: Stations and levels [m], NaN in gaps, and the pool that each belongs to, "" for none.
        unit: Unit on show.
        name: What the lines are.
        look: Settings of the trace.
    """
    x: list[float | None] = []
    y: list[float | None] = []
    said: list[str] = []
    for stations, levels, pool in parts:
        if len(stations):
            x += [*frame.in_unit(stations, unit).tolist(), None]
            y += [*(None if v != v else v for v in frame.in_unit(levels, unit).tolist()), None]  # NaN alone differs
            said += [f"{pool}: {name}" if pool else name] * (len(stations) + 1)
    if not x:
        return None
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x[:-1],
        "y": y[:-1],
        "name": name,
        "hovertext": said[:-1],
        "hoverinfo": "text+y",
    } | look


def waters(x: Array, z: Array, level: float) -> list[tuple[Array, Array]]:
    """Water between level and surface: a closed line (stations, levels) [m] for each stretch under water."""
    wet = np.nan_to_num(z, nan=np.inf) < level
    found = []
    for first, last in stretches(wet):
        x_part, z_part = x[first:last], z[first:last]
        around = np.concatenate([x_part[:1], x_part, x_part[-1:], x_part[:1]])
        found.append((around, np.concatenate([[level], z_part, [level], [level]])))
    return found


def stretches(held: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First index of each stretch that holds, and the one behind its last."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], held, [False]]).astype(int)))
    return [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def exaggeration(along: float, height: float) -> int:
    """How many times heights are drawn, so that the section fills its picture; 1, 2, 3 … so that it can be stated."""
    if height <= 0:
        return 1
    fits = [times for times in TIMES if along / (height * 1.35 * times) >= SHAPE]
    return fits[-1] if fits else 1
