"""Lines in a section: profiles as one trace, water up to its level, and how heights are exaggerated."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pondkit.drawing import frame
from pondkit.drawing.frame import Array

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
            y += [*(None if np.isnan(v) else float(v) for v in frame.in_unit(levels, unit)), None]
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
