"""How a picture in plan is laid out: equal scales, a scale bar, north, and the line of the section."""

import math
from collections.abc import Sequence
from typing import Any

from pondkit.drawing import frame


def plan_layout(
    span: tuple[float, float, float, float], unit: str, section: Sequence[Sequence[float]] | None
) -> dict[str, Any]:
    """Axes, scale bar, north and the line of the section of a picture in plan.

    Args:
        span: West, south, east, north [m].
        unit: Unit on show.
        section: The two ends of the section's line [m]; None where none is drawn.
    """
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
                "xshift": -14,
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
