"""The animals' brief on the plan: waterlines, passages, and each demand at its place, passed or failed."""

from typing import Any

import numpy as np

from pondkit.core.units import System
from pondkit.drawing import frame, say
from pondkit.drawing.frame import Figure
from pondkit.drawing.plan_layout import plan_layout
from pondkit.drawing.traces import line_trace, pipe_trace
from pondkit.geometry.rings import rings_at
from pondkit.study.evaluate import OptionResult
from pondkit.trades.animals.work import Mark

LOOKS = {True: ("passes", "circle", frame.INK), False: ("fails", "x", frame.MARK)}


def brief(result: OptionResult, system: System) -> Figure | None:
    """Every demand that has a place, passed and failed told apart by shape as well as colour; None without any.

    Args:
        result: The option worked out.
        system: Units on show.
    """
    unit, found = frame.PLAN_UNIT[system], result.animals
    if found is None or not found.marks:
        return None
    data = [
        line_trace(rings_at(pool.surfaces.finished, 0.0), unit, frame.FAINT, 1.5, name=f"{frame.plain(pool.name)}: waterline")
        for pool in result.pools
    ]  # fmt: skip
    lines = result.tunnels.lines if result.tunnels else ()
    if lines:
        said = [f"run {frame.plain(name)}" for name, *_ in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], said, unit))
    for passes in (True, False):
        data.append(_marks([mark for mark in found.marks if mark.passes == passes], passes, unit, system))
    return frame.figure(data, **plan_layout(_span(result, found.marks), unit, None))


def _marks(marks: list[Mark], passes: bool, unit: str, system: System) -> dict[str, Any]:
    """Marks of one kind; those at one place are one mark that says all of them."""
    places: dict[tuple[float, float], list[str]] = {}
    for mark in marks:
        places.setdefault(mark.at, []).append(frame.plain(say.say(mark.text, system)))
    at = frame.in_unit(np.array(list(places) or np.zeros((0, 2))), unit)
    name, symbol, colour = LOOKS[passes]
    return {
        "type": "scatter", "mode": "markers", "x": at[:, 0], "y": at[:, 1], "name": name, "hoverinfo": "text",
        "hovertext": ["<br>".join(said) for said in places.values()],
        "marker": {"symbol": symbol, "size": 11 if passes else 15, "color": colour, "line": {"width": 1.5, "color": "#ffffff"}},
    }  # fmt: skip


def _span(result: OptionResult, marks: tuple[Mark, ...]) -> tuple[float, float, float, float]:
    """West, south, east, north of pools, passages and marks, with some room [m]."""
    places = [mark.at for mark in marks]
    for pool in result.pools:
        west, south, east, north = pool.surfaces.finished.outline.bounds
        places += [(west, south), (east, north)]
    for _, start, end, _ in result.tunnels.lines if result.tunnels else ():
        places += [start[:2], end[:2]]
    at = np.array(places)
    low, high = at.min(axis=0) - 0.5, at.max(axis=0) + 0.5
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def alt_brief(result: OptionResult, system: System) -> str:
    """The brief in words, what fails first."""
    found = result.animals
    if found is None:
        return "No animals' brief."
    fails = "; ".join(say.say(mark.text, system) for mark in found.marks if not mark.passes)
    passes = "; ".join(say.say(mark.text, system) for mark in found.marks if mark.passes)
    return f"The animals' brief on the plan. Fails: {fails or 'nothing'}. Passes: {passes or 'nothing'}."
