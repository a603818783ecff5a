"""Pictures of the water side: pump and system curves with the operating points."""

from typing import Any

from pondkit.core.units import FLOW, LENGTH, System, magnitude, pretty, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.study.evaluate import OptionResult
from pondkit.trades.water.sweep import Drawn, Sweep, sweep

FLOW_UNIT = {"us": "gal/min", "si": "L/min"}
DASHES = ("solid", "dash", "dot", "dashdot")
BLUE = "#22607f"


def _swept(result: OptionResult) -> Sweep | None:
    network = result.water.run.pumping.network if result.water else None
    return sweep(network) if network else None


def curves(result: OptionResult, system: System) -> Figure | None:
    """Head over flow: what each number of pumps gives, what the lines need, and where the two meet.

    Args:
        result: The option worked out.
        system: Units on show.
    """
    found = _swept(result)
    if found is None:
        return None
    flow, length = FLOW_UNIT[system], frame.PLAN_UNIT[system]

    def line(drawn: Drawn, name: str, look: dict[str, Any]) -> dict[str, Any]:
        return {
            "type": "scatter",
            "mode": "lines",
            "x": [round(magnitude(q, FLOW, flow, system), 3) for q in drawn.flows],
            "y": [round(magnitude(h, LENGTH, length, system), 3) for h in drawn.heads],
            "name": name,
            "line": look,
            "hoverinfo": "name+x+y",
        }

    data = [line(found.system, "lines: head they need", {"color": frame.MARK, "width": 2.5})]
    notes = []
    furthest = max(*(q for d in found.pumps for q in d.flows), *found.system.flows, 1e-9)
    for at, (drawn, point) in enumerate(zip(found.pumps, found.points, strict=True)):
        data.append(line(drawn, f"{drawn.name}: head given", {"color": BLUE, "width": 2, "dash": DASHES[at]}))
        x, y = magnitude(point[0], FLOW, flow, system), magnitude(point[1], LENGTH, length, system)
        data.append(
            {
                "type": "scatter",
                "mode": "markers",
                "x": [round(x, 3)],
                "y": [round(y, 3)],
                "name": f"{drawn.name}: operating point",
                "showlegend": False,
                "marker": {"size": 11, "color": frame.INK, "symbol": "circle"},
                "hoverinfo": "name+x+y",
            }
        )
        notes.append(
            {
                "x": x,
                "y": y,
                "text": f"{drawn.name}: {show(point[0], FLOW, system, flow)} at {show(point[1], LENGTH, system, length)}",
                "showarrow": True,
                "arrowwidth": 1,
                "arrowcolor": frame.FAINT,
                "ax": 26 if (right := point[0] < 0.5 * furthest) else -30,
                "ay": -44 - 24 * at,
                "xanchor": "left" if right else "right",
                "bgcolor": "rgba(255,255,255,0.8)",
                "font": {"size": 12},
            }
        )
    most = max(*(h for d in found.pumps for h in d.heads), *(h for _, h in found.points))
    return frame.figure(
        data,
        x={
            "title": frame.title("flow", pretty(flow)),
            "range": [0, magnitude(1.05 * furthest, FLOW, flow, system)],
        },
        y={
            "title": frame.title("head where the pumps' lines meet", length),
            "range": [
                min(0.0, magnitude(min(found.system.heads, default=0.0), LENGTH, length, system)),
                magnitude(1.1 * most, LENGTH, length, system),
            ],
        },
        annotations=notes,
        showlegend=True,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0, "font": {"size": 12}},
    )


def alt_curves(result: OptionResult, system: System) -> str:
    """The curves in words."""
    found = _swept(result)
    if found is None:
        return "No pumps in balance."
    said = "; ".join(
        f"{drawn.name} {show(q, FLOW, system, FLOW_UNIT[system])} at {show(h, LENGTH, system, frame.PLAN_UNIT[system])}"
        for drawn, (q, h) in zip(found.pumps, found.points, strict=True)
    )
    return f"Pump and system curves, head over flow. Operating points: {said}."
