"""The hole as it was dug from above: where levels were found too high or too deep, and the tape lines."""

from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.plan_layout import plan_layout
from pondkit.drawing.rows import fixed
from pondkit.drawing.traces import HALO, joined, line_trace
from pondkit.geometry.rings import level_depths, rim_rings, rings_at
from pondkit.trades.earthwork.results.crew import AsBuilt
from pondkit.trades.pools.results import PoolResult


def plan(
    found: AsBuilt | None,
    pools: tuple[PoolResult, ...],
    within: float,
    span: tuple[float, float, float, float],
    system: System,
) -> Figure | None:
    """Levels found less those drawn, at their places, and tape lines. None where nothing was measured.

    Args:
        found: The as-built survey.
        pools: Those that could be worked out.
        within: Tolerance of floors, up and down [m].
        span: West, south, east, north of all that is drawn [m].
        system: Units on show.
    """
    if not _measured(found):
        return None
    assert found is not None
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
        ends = [np.array([line.tape.start, line.tape.end], dtype=float) for line in found.lines]
        x, y = joined(ends, unit)
        names = [text for line in found.lines for text in (frame.plain(line.tape.name), "", "")]
        data.append(
            {
                "type": "scatter", "mode": "lines+text", "x": x, "y": y, "name": "tape lines", "text": names, "textposition": "top center",
                "textfont": {"size": 12, "color": frame.PIPE, "shadow": HALO}, "line": {"color": frame.PIPE, "width": 1.6, "dash": "dash"},
                "hoverinfo": "skip",
            }
        )  # fmt: skip
    if found.levels:
        at = frame.in_unit(np.array([level.measured.at for level in found.levels], dtype=float), unit)
        said = [
            f"{fixed(abs(level.over), small, 1)} {small} {'high' if level.over > 0 else 'deep'}"
            for level in found.levels
        ]
        off = [abs(level.over) > within + 1e-9 for level in found.levels]
        data.append(
            {
                "type": "scatter", "mode": "markers+text", "x": at[:, 0].tolist(), "y": at[:, 1].tolist(), "name": "levels found",
                "text": said, "textposition": "top center", "textfont": {"size": 12, "color": frame.INK, "shadow": HALO}, "hoverinfo": "text",
                "hovertext": [f"{frame.plain(s.measured.pool)}, level {s.number}: dug {text}" for s, text in zip(found.levels, said, strict=True)],
                "marker": {
                    "size": 9, "color": [frame.MARK if far else frame.INK for far in off],
                    "symbol": ["x" if far else "circle" for far in off],
                },
            }
        )  # fmt: skip
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
