"""How the stock lengths of tunnel pipe are cut, as bars."""

from typing import Any

from pondkit.core.units import COUNT, LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.trades.tunnels.pictures.plan import CUT_UNIT
from pondkit.trades.tunnels.results import TunnelsResult


def cuts(tunnels: TunnelsResult | None, system: System) -> Figure | None:
    """How the stock lengths are cut: a bar a length, its pieces in order, alike ones together; None where not known.

    Args:
        tunnels: The passages; None where the option has none.
        system: Units on show.
    """
    unit, rows = CUT_UNIT[system], _stock_rows(tunnels)
    if not rows:
        return None
    sizes = {pipe: float(frame.in_unit(size, unit)) for pipe, size, _ in (tunnels.order.stock if tunnels else ())}
    whole = max(sizes.values())
    look = {"type": "bar", "orientation": "h", "width": 0.6}
    data: list[dict[str, Any]] = [
        look
        | {
            "y": list(range(len(rows))),
            "x": [sizes[pipe] for pipe, _, _ in rows],
            "name": "stock length",
            "hoverinfo": "skip",
            "marker": {"color": "rgba(0,0,0,0)", "line": {"color": frame.FAINT, "width": 1}},
        }
    ]
    for at in range(max(len(pieces) for _, pieces, _ in rows)):
        shown = [(row, pieces) for row, (_, pieces, _) in enumerate(rows) if len(pieces) > at]
        data.append(
            look
            | {
                "y": [row for row, _ in shown],
                "x": [float(frame.in_unit(pieces[at][1], unit)) for _, pieces in shown],
                "name": "piece",
                "base": [float(frame.in_unit(sum(length for _, length in pieces[:at]), unit)) for _, pieces in shown],
                "text": [
                    f"{frame.plain(pieces[at][0])}: {show(pieces[at][1], LENGTH, system, unit)}" for _, pieces in shown
                ],
                "textposition": "inside",
                "insidetextanchor": "middle",
                "hoverinfo": "text",
                "textfont": {"size": 12, "color": "#ffffff"},
                "marker": {"color": frame.PIPE, "line": {"color": "#ffffff", "width": 2}},
            }
        )
    return frame.figure(
        data,
        x={"title": frame.title("along the stock length, kerf apart", unit), "range": [0, whole * 1.02]},
        y={
            "tickvals": list(range(len(rows))),
            "ticktext": [f"{count} × {pipe}" for pipe, _, count in rows],
            "range": [len(rows) - 0.5, -0.5],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        barmode="overlay",
    )


def alt_cuts(tunnels: TunnelsResult | None, system: System) -> str:
    """The cutting plan in words."""
    unit = CUT_UNIT[system]
    lines = [
        f"{show(count, COUNT, system)} of {pipe}: "
        + ", ".join(f"{name} {show(length, LENGTH, system, unit)}" for name, length in pieces)
        for pipe, pieces, count in _stock_rows(tunnels)
    ]
    return "Stock lengths and what is cut from each: " + ("; ".join(lines) or "none") + "."


def _stock_rows(tunnels: TunnelsResult | None) -> list[tuple[str, tuple[tuple[str, float], ...], int]]:
    """(pipe, pieces, how many stock lengths are cut so)."""
    counted: dict[tuple[str, tuple[tuple[str, float], ...]], int] = {}
    for pipe, _, stock in tunnels.order.stock if tunnels else ():
        for pieces in stock:
            counted[pipe, pieces] = counted.get((pipe, pieces), 0) + 1
    return [(pipe, pieces, count) for (pipe, pieces), count in counted.items()]
