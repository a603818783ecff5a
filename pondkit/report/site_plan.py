"""The site: ground as it is with its contours and survey points, what the dig keeps clear of, and the way in."""

from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.traces import Label, fill_trace, line_trace, pipe_trace, written
from pondkit.drawing.views import plan_layout
from pondkit.geometry.footprint import rings
from pondkit.geometry.site_surface import rim_rings, rings_at
from pondkit.geometry.terrain import Mesh
from pondkit.report.plan import extent, works_of
from pondkit.study.evaluate import OptionResult
from pondkit.trades.clearances.pictures import Span, kept_labels, kept_traces, machine_traces
from pondkit.trades.earthwork.pictures.excavation import alt_works, works_labels, works_traces
from pondkit.trades.ground.pictures import ground_traces

ROOM = 0.05  # share of the picture's width left free


def site_plan(result: OptionResult, system: System) -> Figure | None:
    """The whole site; None where nothing but a plane is known of it."""
    ground = result.land.terrain
    if not isinstance(ground, Mesh) and result.kept is None:
        return None
    unit = frame.PLAN_UNIT[system]
    span = _span(result)
    data: list[dict[str, Any]] = []
    labels: list[Label] = []
    if isinstance(ground, Mesh):
        data, labels = ground_traces(ground, unit, system)
    waterlines = [ring for pool in result.pools for ring in rings_at(pool.surfaces.finished, 0.0)]
    rims = [ring for pool in result.pools for ring in rim_rings(pool.surfaces.liner)]
    data.append(fill_trace(waterlines, unit, frame.DEPTHS[2], "water"))
    data.append(line_trace(rims, unit, frame.GROUND, 1.5, name="rim"))
    if result.tunnels and result.tunnels.lines:
        lines = result.tunnels.lines
        said = [f"run {frame.plain(name)}" for name, *_ in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], said, unit))
    data += works_traces(works_of(result), unit, system)
    labels += works_labels(works_of(result), result.pools, unit)
    data += machine_traces(result.kept, unit, span)
    data += kept_traces(result.kept, unit, system, span)
    for pool in result.pools:
        middle = frame.in_unit(
            pool.surfaces.placed.to_site(np.array([pool.surfaces.dig.surface.pool.shape.pole]))[0], unit, 2
        )
        labels.append((float(middle[0]), float(middle[1]), f"<b>{frame.plain(pool.name)}</b>", 12, "middle center"))
    labels += kept_labels(result.kept, unit, span)
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
    return f"Site of option {result.option.name}: {shown}{alt_works(works_of(result), system)}."
