"""How a picture in plan is laid out: equal scales, a scale bar, north, and the line of the section."""

import math
from collections.abc import Sequence
from typing import Any

from pondkit.drawing import frame

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
    bar = _nice((east - west) / 5)
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


def _nice(length: float) -> float:
    if length <= 0 or not math.isfinite(length):
        return 1.0
    power = 10 ** math.floor(math.log10(length))
    return float(max((step * power for step in (1, 2, 5) if step * power <= length * 1.0001), default=power))
