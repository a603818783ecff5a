"""The animals' requirements in plan: waterlines, passages, and each requirement at its place, passed or failed."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from pondkit.core.units import System
from pondkit.drawing import frame, rows
from pondkit.drawing.frame import Figure, Panel, keys, plan_layout
from pondkit.drawing.traces import pipe_trace, points_trace, waterline_traces
from pondkit.trades.animals.results import AnimalsResult, RequirementMark
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.tunnels.results import TunnelsResult

LOOKS = {True: ("passes", "circle", frame.INK), False: ("fails", "x", frame.MARK)}


def brief(
    animals: AnimalsResult | None, pools: Sequence[PoolResult], tunnels: TunnelsResult | None, system: System
) -> Figure | None:
    """Plan of the requirements that have a place, passed and failed distinguished by shape and colour; None if there
    are none.

    Args:
        animals: The brief, checked; None if the option has none.
        pools: The pools.
        tunnels: The passages; None if the option has none.
        system: Unit system displayed.
    """
    unit = frame.PLAN_UNIT[system]
    if animals is None or not animals.marks:
        return None
    data = waterline_traces(((pool.name, pool.surfaces.finished) for pool in pools), unit)
    lines = tunnels.lines if tunnels else ()
    if lines:
        names = [f"run {frame.plain(name)}" for name, *_ in lines]
        data.append(pipe_trace([(start, end) for _, start, end, _ in lines], names, unit))
    for passes in (True, False):
        data.append(_marks([mark for mark in animals.marks if mark.passes == passes], passes, unit, system))
    return frame.figure(data, **plan_layout(_span(pools, tunnels, animals.marks), unit, None))


def _marks(marks: list[RequirementMark], passes: bool, unit: str, system: System) -> dict[str, Any]:
    """Markers of one kind; several at one place become one with all texts."""
    places: dict[tuple[float, float], list[str]] = {}
    for mark in marks:
        places.setdefault(mark.at, []).append(frame.plain(rows.say(mark.text, system)))
    name, symbol, colour = LOOKS[passes]
    size, line = 11 if passes else 15, {"width": 1.5, "color": "#ffffff"}
    marker = {"symbol": symbol, "size": size, "color": colour, "line": line}
    texts = ["<br>".join(lines) for lines in places.values()]
    return points_trace(list(places), texts, unit, name=name, marker=marker)


def _span(
    pools: Sequence[PoolResult], tunnels: TunnelsResult | None, marks: tuple[RequirementMark, ...]
) -> tuple[float, float, float, float]:
    """West, south, east, north of pools, passages and marks, with some room [m]."""
    places = [mark.at for mark in marks]
    for pool in pools:
        west, south, east, north = pool.surfaces.finished.outline.bounds
        places += [(west, south), (east, north)]
    for _, start, end, _ in tunnels.lines if tunnels else ():
        places += [start[:2], end[:2]]
    points = np.array(places)
    low, high = points.min(axis=0) - 0.5, points.max(axis=0) + 0.5
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def alt_brief(animals: AnimalsResult | None, system: System) -> str:
    """The requirements in words, failures first."""
    if animals is None:
        return "No animals' brief."
    fails = "; ".join(rows.say(mark.text, system) for mark in animals.marks if not mark.passes)
    passes = "; ".join(rows.say(mark.text, system) for mark in animals.marks if mark.passes)
    return f"The animals' brief on the plan. Fails: {fails or 'nothing'}. Passes: {passes or 'nothing'}."


PANELS = (
    Panel(
        "Animals' brief",
        "Animals",
        brief,
        alt_brief,
        ("animals", "pools", "tunnels"),
        ("animals",),
        keys(
            "demands_failed demands_not_checked demand_bore demand_swim demand_area demand_depth demand_bank "
            "demand_ways_out demand_entrance demand_ice mouth_clear_of_ice demand_exits demand_dry demand_fence"
        ),
        360,
    ),
)
BESIDE = {
    "Animals": keys("demands_failed demand_bore demand_swim demand_ways_out demand_entrance demand_dry demand_depth"),
}
