"""The site: ground as it is with its contours and survey points, what the dig keeps clear of, and the way in."""

from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array, Figure
from pondkit.drawing.plan_layout import plan_layout
from pondkit.drawing.traces import Label, fill_trace, line_trace, outlined, pipe_trace, written
from pondkit.geometry.kept import rings
from pondkit.geometry.rings import rim_rings, rings_at
from pondkit.geometry.survey import Mesh
from pondkit.report.plan import extent
from pondkit.study.evaluate import OptionResult
from pondkit.trades.clearances.pictures import Span, kept_labels, kept_traces, machine_traces
from pondkit.trades.earthwork.pictures.holes import hole_labels, hole_traces, said_of_holes

STEPS: dict[System, tuple[float, ...]] = {
    "us": (0.1, 0.25, 0.5, 1, 2, 5, 10),
    "si": (0.02, 0.05, 0.1, 0.25, 0.5, 1, 2, 5),
}
MOST_CONTOURS = 10
ROOM = 0.05  # share of the picture's width left free


def site_plan(result: OptionResult, system: System) -> Figure | None:
    """The whole site; None where nothing but a plane is known of it."""
    ground = result.land.terrain
    if not isinstance(ground, Mesh) and result.kept is None:
        return None
    unit = frame.PLAN_UNIT[system]
    span = _span(result)
    labels: list[Label] = []
    data: list[dict[str, Any]] = []
    if isinstance(ground, Mesh):
        data += _ground(ground, unit, system, labels)
    waterlines = [ring for pool in result.pools for ring in rings_at(pool.surfaces.finished, 0.0)]
    rims = [ring for pool in result.pools for ring in rim_rings(pool.surfaces.liner)]
    data.append(fill_trace(waterlines, unit, frame.DEPTHS[2], "water"))
    data.append(line_trace(rims, unit, frame.GROUND, 1.5, name="rim"))
    if result.tunnels and result.tunnels.lines:
        lines = result.tunnels.lines
        said = [f"run {frame.plain(name)}" for name, *_ in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], said, unit))
    data += hole_traces(result, unit, system)
    labels += hole_labels(result, unit)
    data += machine_traces(result, unit, span)
    data += kept_traces(result, unit, system, span)
    for pool in result.pools:
        middle = frame.in_unit(
            pool.surfaces.placed.to_site(np.array([pool.surfaces.dig.bowl.pool.shape.pole]))[0], unit, 2
        )
        labels.append((float(middle[0]), float(middle[1]), f"<b>{frame.plain(pool.name)}</b>", 12, "middle center"))
    labels += kept_labels(result, unit, span)
    data.append(written(labels))
    return frame.figure(data, **plan_layout(span, unit, None))


def _span(result: OptionResult) -> Span:
    west, south, east, north = extent([result])
    every = [np.array([[west, south], [east, north]])]
    if isinstance(result.land.terrain, Mesh):
        every.append(result.land.terrain.places)
    if result.kept:
        every += [line for thing in result.kept.things for line in (*thing.lines, *thing.zones)]
        every += list(rings(result.kept.way.area)) if result.kept.way else []
        every += [ring for one in result.kept.machines for ring in rings(one.area)]
    points = np.concatenate(every)
    low, high = points.min(axis=0), points.max(axis=0)
    room = ROOM * float((high - low).max())
    return float(low[0] - room), float(low[1] - room), float(high[0] + room), float(high[1] + room)


def contour_levels(low: float, high: float, system: System) -> list[float]:
    """Levels of contours between two [m]: round numbers of the unit on show, no more than ``MOST_CONTOURS``."""
    one = frame.magnitude_of(frame.PLAN_UNIT[system])
    step = (
        next((size for size in STEPS[system] if (high - low) / (size * one) <= MOST_CONTOURS), STEPS[system][-1]) * one
    )
    return [step * number for number in range(int(np.ceil(low / step)), int(np.floor(high / step)) + 1)]


def _ground(ground: Mesh, unit: str, system: System, labels: list[Label]) -> list[dict[str, Any]]:
    """Contours with their levels, and the survey's points."""
    pieces: list[tuple[Array, str]] = []
    for level in contour_levels(float(ground.levels.min()), float(ground.levels.max()), system):
        found = ground.contour(level)
        said = show(level, LENGTH, system, unit)
        pieces += [(piece, f"ground at {said}") for piece in found]
        if len(found):
            x, y = frame.in_unit(found[len(found) // 2].mean(axis=0), unit, 2)
            labels.append((float(x), float(y), said, 10, "middle center"))
    at = frame.in_unit(ground.places, unit, 2)
    points = {
        "type": "scatter", "mode": "markers", "x": at[:, 0], "y": at[:, 1], "name": "survey points", "hoverinfo": "text",
        "hovertext": [f"surveyed: {show(float(level), LENGTH, system, unit)}" for level in ground.levels],
        "marker": {"symbol": "cross-thin", "size": 7, "line": {"width": 1.5, "color": frame.FAINT}},
    }  # fmt: skip
    lines = [outlined(pieces, unit, "contours", {"width": 1.2, "color": frame.GROUND})] if pieces else []
    return [*lines, points]


def alt_site_plan(result: OptionResult, system: System) -> str:
    """The site in words."""
    ground = result.land.terrain
    said = []
    if isinstance(ground, Mesh):
        low, high = (
            show(float(level), LENGTH, system, frame.PLAN_UNIT[system])
            for level in (ground.levels.min(), ground.levels.max())
        )
        said.append(f"ground from {len(ground.places)} survey points between {low} and {high}")
    if result.kept:
        near = [figure.subject for figure in result.kept.keep_out_distance if figure.cautions]
        said.append(f"{len(result.kept.things)} keep-outs")
        said.append(f"too near: {', '.join(near)}" if near else "none entered")
        said += ["a way in"] if result.kept.way else []
    if result.tunnels and result.tunnels.lines:
        said.append(f"{len(result.tunnels.lines)} runs of pipe")
    shown = "; ".join(said) or "level or evenly sloping ground"
    return f"Site of option {result.option.name}: {shown}{said_of_holes(result, system)}."
