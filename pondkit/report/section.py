"""The section along a line: ground, dig, liner, finished surface and water, with its vertical exaggeration stated."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import (
    BED,
    WATER,
    Array,
    Figure,
    NamedProfile,
    exaggeration,
    named_profile,
    profile_trace,
    stretches,
    waters,
)
from pondkit.drawing.rows import by_rod
from pondkit.geometry.lines import Rays, line_rays
from pondkit.geometry.mound import Heaped
from pondkit.geometry.site_surface import SiteSurface, trace
from pondkit.geometry.terrain import Terrain
from pondkit.study.evaluate import OptionResult
from pondkit.trades.earthwork.pictures.excavation import BERM
from pondkit.trades.pools.results import PoolResult

SAMPLES = 240
Line = tuple[tuple[float, float], tuple[float, float]]
# Style of each kind of line, in the order of drawing.
LOOKS: dict[str, dict[str, Any]] = {
    "ground as it is": BED,
    "heaped soil": {"fill": "toself", "fillcolor": BERM, "line": {"color": frame.GROUND, "width": 1.5}},
    "dig": {"line": {"color": frame.FAINT, "width": 1, "dash": "dot"}},
    "liner": {"line": {"color": frame.LINER, "width": 2.5}},
    "water": WATER,
    "top of gravel": {"line": {"color": "#a8824f", "width": 1.5}},
}
Reach = tuple[float, float, float]  # length of the line, lowest and highest level shown [m]


def reach(result: OptionResult, line: Line) -> Reach:
    """Length and levels that a section needs, for a common scale with sections beside it."""
    along = float(np.hypot(line[1][0] - line[0][0], line[1][1] - line[0][1]))
    ends = _ground(result.land.terrain, line)[1]
    lows = [pool.surfaces.dig.level - pool.surfaces.dig.surface.deepest for pool in result.pools]
    highs = [pool.surfaces.finished.rim_level for pool in result.pools]
    highs += [float(level.max()) for _, (_, level) in _heaps(result, line)]
    return along, float(min([*ends, *lows])), float(max([*ends, *highs]))


def joined(reaches: Sequence[Reach]) -> Reach:
    """Reach that covers several sections beside each other: the longest line, the lowest and the highest level."""
    return max(r[0] for r in reaches), min(r[1] for r in reaches), max(r[2] for r in reaches)


def section(
    result: OptionResult,
    line: Line,
    system: System,
    shared: Reach | None = None,
    bare: bool = False,
    on_paper: bool = False,
) -> Figure:
    """The section along a line.

    Args:
        result: The evaluated option.
        line: Its two ends on the site [m].
        system: Unit system displayed.
        shared: Reach to show, if several sections are beside each other.
        bare: True for a small section beside others, without titles of axes and names of pools.
        on_paper: True for levels as a rod is read, in decimals of a foot or metre, instead of the unit of depths.
    """
    unit = frame.PLAN_UNIT[system]
    shared = shared or reach(result, line)
    parts: dict[str, list[NamedProfile]] = {name: [] for name in LOOKS}
    parts["ground as it is"].append(named_profile(*_ground(result.land.terrain, line), unit))
    parts["heaped soil"] += [named_profile(*around, unit, frame.plain(name)) for name, around in _heaps(result, line)]
    notes: list[dict[str, Any]] = []
    for pool in result.pools:
        lines, pool_notes = _cut_pool(pool, line, system, result.land.terrain, on_paper)
        for name, profile in lines:
            parts[name].append(profile)
        notes += pool_notes
    if bare:
        notes = []
    data = [trace for name, look in LOOKS.items() if (trace := profile_trace(parts[name], name, look))]
    shown, low, high = shared
    times = exaggeration(shown, high - low)
    room = 0.12 * (high - low) + 0.1
    x_axis = {
        "title": {"text": ""} if bare else frame.title("along the section, from A to B", unit),
        "range": frame.in_unit([0.0, shown], unit).tolist(),
        "constrain": "domain",
    }
    y_axis = {
        "title": {"text": ""} if bare else frame.title("level", unit),
        "scaleanchor": "x",
        "scaleratio": times,
        "range": frame.in_unit([low - room, high + room], unit).tolist(),
        "constrain": "domain",
    }
    if times > 1 or not bare:  # a small section states only an exaggeration
        y, anchor = (1, "top") if bare else (0, "bottom")
        text = f"heights drawn {times} times" if times > 1 else "heights to scale"
        paper = {"xref": "paper", "yref": "paper", "xanchor": "right", "yanchor": anchor}
        notes.append(frame.note(1, y, text, 12, frame.FAINT, **paper))
    return frame.figure(data, x=x_axis, y=y_axis, annotations=notes, dragmode="pan")


@remembered
def _cut_pool(
    pool: PoolResult, line: Line, system: System, ground: Terrain | None, on_paper: bool
) -> tuple[tuple[tuple[str, NamedProfile], ...], tuple[dict[str, Any], ...]]:
    """(lines of a pool, each with the part of the section that it belongs to; its name and level above its water, if
    there is any). Remembered, so that in a drag only the pool that moves is drawn again.
    """
    # One set of samples, as the three surfaces of a pool have the same outlines.
    rays = line_rays(pool.surfaces.finished.outlines(), line[0], line[1], SAMPLES) if line[0] != line[1] else None
    called, level, unit = frame.plain(pool.name), pool.surfaces.finished.level, frame.PLAN_UNIT[system]
    parts: list[tuple[str, NamedProfile]] = [
        (name, named_profile(*_surface(surface, rays), unit, called))
        for surface, name in ((pool.surfaces.dig, "dig"), (pool.surfaces.liner, "liner"))
    ]
    x, z = _surface(pool.surfaces.finished, rays)
    if not len(x):
        return tuple(parts), ()
    parts += [("water", named_profile(*bed, unit, called)) for bed in waters(x, z, level)]
    if pool.gravel_volume.value > 1e-9:
        parts.append(("top of gravel", named_profile(x, z, unit, called)))
    wet = np.flatnonzero(z < level)
    if not len(wet):
        return tuple(parts), ()
    middle, top = float(np.mean(x[wet[[0, -1]]])), level
    # above the ground if that is higher than the water, so that its line does not cross the words
    if ground is not None:
        top = max(level, float(np.interp(middle, *_ground(ground, line))))
    shown = by_rod(level, system) if on_paper else show(level, LENGTH, system, frame.DEPTH_UNIT[system])
    across, up = (float(frame.in_unit(value, unit)) for value in (middle, top))
    return tuple(parts), (frame.note(across, up, f"{called}, level {shown}", 12, yshift=11),)


def alt_section(result: OptionResult, system: System) -> str:
    """Description of the section in words."""
    parts = [
        f"{pool.name}: {show(pool.max_depth.value, LENGTH, system)} deep, water at "
        f"{show(pool.surfaces.finished.level, LENGTH, system)}"
        for pool in result.pools
    ]
    return f"Section of option {result.option.name}. " + "; ".join(parts) + "."


def _ground(ground: Terrain | None, line: Line) -> tuple[Array, Array]:
    """Stations and levels of the existing ground along a line [m]; empty if the ground has a problem."""
    return (np.zeros(0), np.zeros(0)) if ground is None else _ground_along(ground, line)


@remembered
def _ground_along(ground: Terrain, line: Line) -> tuple[Array, Array]:
    places = ground.along(np.array(line, dtype=float))
    return np.hypot(*(places - places[0]).T), ground.at(places)


def _heaps(result: OptionResult, line: Line) -> list[tuple[str, tuple[Array, Array]]]:
    """Heaped soil along a line: (name, closed line of stations and levels [m] round each stretch of it)."""
    ground = result.land.terrain
    if ground is None or result.earth is None:
        return []
    outlines = []
    for heap in result.earth.heaped:
        stations, level, stands = _along(heap, ground, line)
        for first, last in stretches(~np.isnan(level)):
            out, back = stations[first:last], stations[first:last][::-1]
            around = np.concatenate([out, back, out[:1]])
            levels = np.concatenate([level[first:last], stands[first:last][::-1], level[first : first + 1]])
            outlines.append((heap.footprint.name, (around, levels)))
    return outlines


@remembered
def _along(heap: Heaped, ground: Terrain, line: Line) -> tuple[Array, Array, Array]:
    """Heaped soil along the section: see ``Heaped.along``."""
    return heap.along(ground, np.array(line, dtype=float))


def _surface(surface: SiteSurface, rays: Rays | None) -> tuple[Array, Array]:
    """Stations and levels of one surface inside its rim, NaN between parts; empty for a line of no length."""
    nodes = trace(rays, [surface]) if rays else None
    if nodes is None or not (nodes.inside >= 0).any():
        return np.zeros(0), np.zeros(0)
    return nodes.station, nodes.level
