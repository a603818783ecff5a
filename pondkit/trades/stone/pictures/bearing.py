"""What presses on the ground under each kind of boulder, against what it may bear."""

from typing import Any

from pondkit.core.entry import Entry
from pondkit.core.units import LENGTH, PRESSURE, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.rows import unit_of
from pondkit.trades.stone.results import BearingResult

KEY = "bearing_pressure"
ROOM = 1.15  # width of the picture over the greatest pressure
APART = 0.18  # of the rows: touched above, under the bedding below


def pressures(found: BearingResult | None, system: System) -> Figure | None:
    """Pressure of each kind where it is touched and under its bedding, low to high share of contact; None without any.

    Args:
        found: The ground under the boulders worked out; None without any.
        system: Units on show.
    """
    if found is None or found.bearing_allowed is None or not found.bearing_pressure:
        return None
    unit = unit_of(KEY, found.bearing_allowed.value, found.bearing_allowed, system)
    names = [figure.subject for figure in found.bearing_pressure]
    data = [
        _dots(found.contact_pressure, "where it is touched", -APART, frame.FAINT, "diamond-open", unit, system),
        _dots(found.bearing_pressure, "under the bedding", APART, frame.INK, "circle", unit, system),
    ]
    allowed = magnitude(found.bearing_allowed.value, PRESSURE, unit, system)
    most = max(
        allowed,
        *(magnitude(f.most, PRESSURE, unit, system) for f in (*found.contact_pressure, *found.bearing_pressure)),
    )
    return frame.figure(
        data,
        x={"title": frame.title("pressure", unit), "range": [0, most * ROOM]},
        y={
            "tickvals": list(range(len(names))),
            "ticktext": [frame.plain(name) for name in names],
            "range": [len(names) - 0.5, -1.0],
            "automargin": True,
            "ticks": "",
            "showgrid": False,
        },
        shapes=[frame.straight((allowed, allowed), (-0.6, len(names) - 0.5), frame.MARK, 2)],
        annotations=[frame.note(allowed, -1.0, " allowed", 12, frame.MARK, yanchor="top", xanchor="left")],
        showlegend=True,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
    )


def _dots(
    figures: tuple[Entry, ...], name: str, aside: float, colour: str, symbol: str, unit: str, system: System
) -> dict[str, Any]:
    at, low, high = (
        [round(magnitude(value, PRESSURE, unit, system), 2) for value in values]
        for values in ([f.value for f in figures], [f.least for f in figures], [f.most for f in figures])
    )
    return {
        "type": "scatter",
        "mode": "markers",
        "name": name,
        "x": at,
        "y": [row + aside for row in range(len(figures))],
        "marker": {"size": 11, "color": colour, "symbol": symbol, "line": {"width": 1.5}},
        "hoverinfo": "text",
        "hovertext": [frame.plain(f"{f.subject}, {name}: {_span(f, system)}") for f in figures],
        "error_x": {
            "type": "data",
            "symmetric": False,
            "array": [round(b - a, 2) for a, b in zip(at, high, strict=True)],
            "arrayminus": [round(a - b, 2) for a, b in zip(at, low, strict=True)],
            "color": colour,
            "thickness": 1.8,
            "width": 6,
        },
    }


def _span(figure: Entry, system: System) -> str:
    low, high = show(figure.least, PRESSURE, system), show(figure.most, PRESSURE, system)
    return low if low == high else f"{low} to {high}"


def alt_pressures(found: BearingResult | None, system: System) -> str:
    """The bearing in words."""
    if found is None or found.bearing_allowed is None:
        return "No bearing worked out."
    lines = [
        f"{under.subject}: {_span(touched, system)} where it is touched, {_span(under, system)} under its bedding; "
        f"{show(bed.value, LENGTH, system)} of bedding holds"
        for touched, under, bed in zip(
            found.contact_pressure, found.bearing_pressure, found.bedding_needed, strict=True
        )
    ]
    return f"The ground may bear {show(found.bearing_allowed.value, PRESSURE, system)}. " + "; ".join(lines) + "."
