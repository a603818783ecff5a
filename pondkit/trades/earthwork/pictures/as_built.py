"""The hole as it was dug from above: where levels were found too high or too deep, and the tape lines."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.plan_layout import plan_layout
from pondkit.drawing.rows import fixed
from pondkit.drawing.traces import HALO, joined, line_trace
from pondkit.geometry.site_surface import level_depths, rim_rings, rings_at
from pondkit.trades.earthwork.results.crew import AsBuilt, SurveyedLevel, TapedLine
from pondkit.trades.pools.results import PoolResult


def plan(
    found: AsBuilt | None,
    pools: tuple[PoolResult, ...],
    within: float | None,
    span: tuple[float, float, float, float],
    system: System,
) -> Figure | None:
    """Levels found less those drawn, at their places, and tape lines. None where nothing was measured.

    Args:
        found: The as-built survey.
        pools: Those that could be worked out.
        within: Tolerance of floors, up and down [m]; None where no dig is drawn.
        span: West, south, east, north of all that is drawn [m].
        system: Units on show.
    """
    if not _measured(found):
        return None
    assert found is not None
    assert within is not None
    unit, small = frame.system_units(system)
    finished = [pool.surfaces.finished for pool in pools]
    rims = [ring for pool in pools for ring in rim_rings(pool.surfaces.liner)]
    edges = [ring for laid in finished for depth in level_depths(laid) for ring in rings_at(laid, depth)]
    waters = [ring for laid in finished for ring in rings_at(laid, 0.0)]
    data: list[dict[str, Any]] = [
        line_trace(rims, unit, frame.GROUND, 1.2, dash="dot", name="rim"),
        line_trace(edges, unit, frame.FAINT, 1.0, name="level parts"),
        line_trace(waters, unit, frame.INK, 1.6, name="waterline"),
    ]
    if found.lines:
        data.append(_tape_lines(found.lines, unit))
    if found.levels:
        data.append(_levels(found.levels, within, unit, small))
    return frame.figure(data, **plan_layout(span, unit, None))


def _measured(found: AsBuilt | None) -> bool:
    return found is not None and bool(found.levels or found.lines)


def alt_plan(found: AsBuilt | None, system: System) -> str:
    """The as-built survey in words."""
    if found is None or not _measured(found):
        return "Nothing was measured of the hole yet."
    unit = frame.DEPTH_UNIT[system]
    differs = "; ".join(
        f"{figure.subject} {show(figure.value, LENGTH, system, unit)}" for figure in found.dug_difference
    )
    spare = "; ".join(
        f"{figure.subject} {show(figure.value, LENGTH, system, unit)}" for figure in found.liner_spare_as_dug
    )
    return f"As-built survey. Deviation from design: {differs or 'none'}. Liner to spare: {spare or 'not known'}."


def _tape_lines(lines: Sequence[TapedLine], unit: str) -> dict[str, Any]:
    """Tape lines with their names."""
    ends = [np.array([line.tape.start, line.tape.end], dtype=float) for line in lines]
    x, y = joined(ends, unit)
    names = [text for line in lines for text in (frame.plain(line.tape.name), "", "")]
    return {
        "type": "scatter",
        "mode": "lines+text",
        "x": x,
        "y": y,
        "name": "tape lines",
        "text": names,
        "textposition": "top center",
        "textfont": {"size": 12, "color": frame.PIPE, "shadow": HALO},
        "line": {"color": frame.PIPE, "width": 1.6, "dash": "dash"},
        "hoverinfo": "skip",
    }


def _levels(levels: Sequence[SurveyedLevel], within: float, unit: str, small: str) -> dict[str, Any]:
    """Levels found, by how much they are off; those outside the tolerance as crosses."""
    at = frame.in_unit(np.array([level.measured.at for level in levels], dtype=float), unit)
    said = [f"{fixed(abs(level.over), small, 1)} {small} {'high' if level.over > 0 else 'deep'}" for level in levels]
    off = [abs(level.over) > within + 1e-9 for level in levels]
    return {
        "type": "scatter",
        "mode": "markers+text",
        "x": at[:, 0].tolist(),
        "y": at[:, 1].tolist(),
        "name": "levels found",
        "text": said,
        "textposition": "top center",
        "textfont": {"size": 12, "color": frame.INK, "shadow": HALO},
        "hoverinfo": "text",
        "hovertext": [
            f"{frame.plain(s.measured.pool)}, level {s.number}: dug {text}"
            for s, text in zip(levels, said, strict=True)
        ],
        "marker": {
            "size": 9,
            "color": [frame.MARK if far else frame.INK for far in off],
            "symbol": ["x" if far else "circle" for far in off],
        },
    }
