"""How far each boulder uses each sling, as dots against the person's own limit and the rating."""

from typing import Any

from pondkit.core.entry import Entry
from pondkit.core.units import LENGTH, SHARE, System, magnitude, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Figure
from pondkit.drawing.say import say
from pondkit.trades.stone.results import SlingsResult

SYMBOLS = ("circle", "square", "diamond", "triangle-up", "cross", "star")
PER_CENT = "%"
ROOM = 1.1  # width of the picture over the greatest use


def _split(figure: Entry) -> tuple[str, str]:
    """Boulder and sling of a subject."""
    boulder, _, sling = figure.subject.rpartition(" / ")
    return boulder, sling


def uses(found: SlingsResult | None, system: System) -> Figure | None:
    """Use of every sling by every boulder at its high mass, hollow where it may not be used; None without any.

    Args:
        found: The slings worked out; None without any.
        system: Units on show.
    """
    if found is None or not found.sling_use:
        return None
    boulders = list(dict.fromkeys(_split(figure)[0] for figure in found.sling_use))
    slings = list(dict.fromkeys(_split(figure)[1] for figure in found.sling_use))
    data = [_dots(found, sling, number, boulders, system) for number, sling in enumerate(slings)]
    limit = magnitude(found.limit, SHARE, PER_CENT, system)
    full = magnitude(1.0, SHARE, PER_CENT, system)
    most = max(full, *(magnitude(figure.value, SHARE, PER_CENT, system) for figure in found.sling_use))
    rows = (-0.5, len(boulders) - 0.5)
    return frame.figure(
        data,
        x={"title": frame.title("use of the sling", PER_CENT), "range": [0, most * ROOM]},
        y={
            "tickvals": list(range(len(boulders))),
            "ticktext": [frame.plain(name) for name in boulders],
            "range": [len(boulders) - 0.5, -1.0],
            "automargin": True,
            "ticks": "",
        },
        shapes=[
            frame.straight((limit, limit), rows, frame.FAINT, 1.5, dash="dash"),
            frame.straight((full, full), rows, frame.MARK, 1.5, dash="solid"),
        ],
        annotations=[
            frame.note(limit, -0.5, "own limit ", 11, frame.INK, yanchor="bottom", xanchor="right"),
            frame.note(full, -0.5, " rating", 11, frame.MARK, yanchor="bottom", xanchor="left"),
        ],
        showlegend=True,
        legend={"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
    )


def _dots(found: SlingsResult, sling: str, number: int, boulders: list[str], system: System) -> dict[str, Any]:
    """Uses of one sling, the ``number``-th, by every boulder."""
    figures = [figure for figure in found.sling_use if _split(figure)[1] == sling]
    symbol = SYMBOLS[number % len(SYMBOLS)]
    return {
        "type": "scatter",
        "mode": "markers",
        "name": frame.plain(sling),
        "hoverinfo": "text",
        "x": [round(magnitude(figure.value, SHARE, PER_CENT, system), 2) for figure in figures],
        "y": [boulders.index(_split(figure)[0]) for figure in figures],
        "hovertext": [frame.plain(_said(figure, system)) for figure in figures],
        "marker": {
            "size": 12,
            "color": frame.INK if not number % 2 else frame.PIPE,
            "line": {"width": 1.5},
            "symbol": [symbol + ("-open" if figure.cautions else "") for figure in figures],
        },
    }


def alt_uses(found: SlingsResult | None, system: System) -> str:
    """The slings in words: which to use for each boulder, then every use."""
    if found is None or not found.sling_use:
        return "No slings worked out."
    taken = "; ".join(
        f"{boulder}: {sling}, {show(figure.value, LENGTH, system)} wide"
        for figure in found.sling_to_use
        for boulder, sling in [_split(figure)]
    )
    every = "; ".join(_said(figure, system) for figure in found.sling_use)
    return f"Use of slings against their ratings. Sling to use: {taken or 'none'}. All: {every}."


def _said(figure: Entry, system: System) -> str:
    boulder, sling = _split(figure)
    notes = " ".join(say(caution, system) for caution in figure.cautions)
    return f"{boulder} in {sling}: {show(figure.value, SHARE, system)}" + (f" ({notes})" if notes else "")
