"""Pictures of the water side: pump and system curves with the operating points."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.units import FLOW, LENGTH, System, magnitude, pretty, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.solvers.pipe_network import Network, balance
from pondkit.trades.water.results import WaterResult

FLOW_UNIT = {"us": "gal/min", "si": "L/min"}
DASHES = ("solid", "dash", "dot", "dashdot")
BLUE = "#22607f"


@dataclass(frozen=True)
class HeadCurve:
    """A curve: flows [m³/s] and heads above the water drawn from [m]."""

    name: str
    flows: tuple[float, ...]
    heads: tuple[float, ...]


@dataclass(frozen=True)
class PumpCurves:
    """What the picture of the pumps shows.

    Attributes:
        system: Head that main and branches need where the pumps' lines meet, over the flow.
        pumps: What the first, the first two … running pumps give there, their own lines taken off.
        points: (flow, head) where each of these meets the system's.
    """

    system: HeadCurve
    pumps: tuple[HeadCurve, ...]
    points: tuple[tuple[float, float], ...]


def _swept(water: WaterResult | None) -> PumpCurves | None:
    network = water.run.pumping.network if water else None
    return pump_curves(network) if network else None


def curves(water: WaterResult | None, system: System) -> Figure | None:
    """Head over flow: what each number of pumps gives, what the lines need, and where the two meet.

    Args:
        water: The water side; None where the option has none.
        system: Units on show.
    """
    swept = _swept(water)
    if swept is None:
        return None
    flow, length = FLOW_UNIT[system], frame.PLAN_UNIT[system]

    def line(drawn: HeadCurve, name: str, look: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "scatter",
            "mode": "lines",
            "x": [round(magnitude(q, FLOW, flow, system), 3) for q in drawn.flows],
            "y": [round(magnitude(h, LENGTH, length, system), 3) for h in drawn.heads],
            "name": name,
            "line": look,
            "hoverinfo": "name+x+y",
        }

    data = [line(swept.system, "lines: head they need", {"color": frame.MARK, "width": 2.5})]
    notes = []
    furthest = max(*(q for d in swept.pumps for q in d.flows), *swept.system.flows, 1e-9)
    for at, (drawn, point) in enumerate(zip(swept.pumps, swept.points, strict=True)):
        data.append(line(drawn, f"{drawn.name}: head given", {"color": BLUE, "width": 2, "dash": DASHES[at]}))
        mark, note = _operating_point(drawn.name, point, at, point[0] < 0.5 * furthest, system)
        data.append(mark)
        notes.append(note)
    most = max(*(h for d in swept.pumps for h in d.heads), *(h for _, h in swept.points))
    return frame.figure(
        data,
        x={
            "title": frame.title("flow", pretty(flow)),
            "range": [0, magnitude(1.05 * furthest, FLOW, flow, system)],
        },
        y={
            "title": frame.title("head where the pumps' lines meet", length),
            "range": [
                min(0.0, magnitude(min(swept.system.heads, default=0.0), LENGTH, length, system)),
                magnitude(1.1 * most, LENGTH, length, system),
            ],
        },
        annotations=notes,
        showlegend=True,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0, "font": {"size": 12}},
    )


def _operating_point(
    name: str, point: tuple[float, float], number: int, right: bool, system: System
) -> tuple[dict[str, Any], dict[str, Any]]:
    """(mark, label) of where a number of pumps meets the lines, the label to its right or left."""
    flow, length = FLOW_UNIT[system], frame.PLAN_UNIT[system]
    x, y = magnitude(point[0], FLOW, flow, system), magnitude(point[1], LENGTH, length, system)
    mark = {
        "type": "scatter",
        "mode": "markers",
        "x": [round(x, 3)],
        "y": [round(y, 3)],
        "name": f"{name}: operating point",
        "showlegend": False,
        "marker": {"size": 11, "color": frame.INK, "symbol": "circle"},
        "hoverinfo": "name+x+y",
    }
    note = {
        "x": x,
        "y": y,
        "text": f"{name}: {show(point[0], FLOW, system, flow)} at {show(point[1], LENGTH, system, length)}",
        "showarrow": True,
        "arrowwidth": 1,
        "arrowcolor": frame.FAINT,
        "ax": 26 if right else -30,
        "ay": -44 - 24 * number,
        "xanchor": "left" if right else "right",
        "bgcolor": "rgba(255,255,255,0.8)",
        "font": {"size": 12},
    }
    return mark, note


def alt_curves(water: WaterResult | None, system: System) -> str:
    """The curves in words."""
    swept = _swept(water)
    if swept is None:
        return "No pumps in balance."
    text = "; ".join(
        f"{drawn.name} {show(q, FLOW, system, FLOW_UNIT[system])} at {show(h, LENGTH, system, frame.PLAN_UNIT[system])}"
        for drawn, (q, h) in zip(swept.pumps, swept.points, strict=True)
    )
    return f"Pump and system curves, head over flow. Operating points: {text}."


POINTS = 25


def pump_curves(network: Network) -> PumpCurves:
    """Curves of a network and where they meet, for each number of running pumps."""
    states = []
    order = [index for index, pump in enumerate(network.pumps) if pump.running]
    for number in range(1, len(order) + 1):
        states.append(network.with_running([i in order[:number] for i in range(len(network.pumps))]))
    best = max(network.pumps[i].curve.shutoff for i in order)
    heads = np.linspace(0.0, best, POINTS)
    balanced = [balance(state) for state in states]
    pumps = tuple(
        _given(state, heads, f"{number} pump{'s' if number > 1 else ''}") for number, state in enumerate(states, 1)
    )
    return PumpCurves(
        _needed(network, max(b.branch_head for b in balanced)),
        pumps,
        tuple((b.flow, b.pump_head - network.source) for b in balanced),
    )


def _given(state: Network, heads: "np.ndarray[tuple[int], np.dtype[np.float64]]", name: str) -> HeadCurve:
    flows = [state.pump_discharge(float(lift)) for lift in heads]
    kept = [(q, float(h) - state.screen.loss(q)[0]) for q, h in zip(flows, heads, strict=True) if q >= 0]
    return HeadCurve(name, tuple(q for q, _ in kept), tuple(h for _, h in kept))


def _needed(network: Network, reached: float) -> HeadCurve:
    """Head over flow of main and branches, from no flow to a little past the head reached at the end of the main."""
    lowest = min(branch.end(0.0) for branch in network.branches if not branch.shut)
    ends = lowest + 1.35 * (reached - lowest) * np.linspace(0.0, 1.0, POINTS) ** 2
    rows = [(network.branch_discharge(float(end)), float(end)) for end in ends]
    mains = [(flow, end, network.main.loss(flow)[0] if network.main else 0.0) for flow, end in rows if flow >= 0]
    kept = [(flow, end + lost - network.source) for flow, end, lost in mains]
    return HeadCurve("lines", tuple(q for q, _ in kept), tuple(h for _, h in kept))
