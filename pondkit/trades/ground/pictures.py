"""Existing ground in plan: contours with their levels, and survey points."""

from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array
from pondkit.drawing.traces import Label, outlined
from pondkit.geometry.terrain import Mesh

CONTOUR_STEPS: dict[System, tuple[float, ...]] = {
    "us": (0.1, 0.25, 0.5, 1, 2, 5, 10),
    "si": (0.02, 0.05, 0.1, 0.25, 0.5, 1, 2, 5),
}
MOST_CONTOURS = 10


def contour_levels(low: float, high: float, system: System) -> list[float]:
    """Contour levels between two levels [m]: round numbers of the unit displayed, at most ``MOST_CONTOURS``."""
    unit = frame.magnitude_of(frame.PLAN_UNIT[system])
    steps = CONTOUR_STEPS[system]
    step = next((size for size in steps if (high - low) / (size * unit) <= MOST_CONTOURS), steps[-1]) * unit
    return [step * number for number in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1)]


def ground_traces(ground: Mesh, unit: str, system: System) -> tuple[list[dict[str, Any]], list[Label]]:
    """Contours and the survey's points, and the levels written on the contours."""
    labels: list[Label] = []
    pieces: list[tuple[Array, str]] = []
    for level in contour_levels(float(ground.levels.min()), float(ground.levels.max()), system):
        contours = ground.contour(level)
        text = show(level, LENGTH, system, unit)
        pieces += [(piece, f"ground at {text}") for piece in contours]
        if len(contours):
            x, y = frame.in_unit(contours[len(contours) // 2].mean(axis=0), unit, 2)
            labels.append((float(x), float(y), text, 10, "middle center"))
    survey_points = frame.in_unit(ground.places, unit, 2)
    points = {
        "type": "scatter",
        "mode": "markers",
        "x": survey_points[:, 0],
        "y": survey_points[:, 1],
        "name": "survey points",
        "hoverinfo": "text",
        "hovertext": [f"surveyed: {show(float(level), LENGTH, system, unit)}" for level in ground.levels],
        "marker": {"symbol": "cross-thin", "size": 7, "line": {"width": 1.5, "color": frame.FAINT}},
    }
    lines = [outlined(pieces, unit, "contours", {"width": 1.2, "color": frame.GROUND})] if pieces else []
    return [*lines, points], labels
