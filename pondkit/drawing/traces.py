"""Traces of pictures in plan: lines, areas, pipe, nodes, labels; one trace for each kind.

In a drag, the time that a picture takes depends on its number of traces far more than on their points.
"""

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np

from pondkit.core.units import LENGTH, System, show
from pondkit.drawing import frame
from pondkit.drawing.frame import Array
from pondkit.geometry.line_intersection import Spot
from pondkit.geometry.site_surface import SiteSurface, rings_at

# A white halo round letters, so that they read on dark water and across lines.
HALO = ", ".join(f"{x}px {y}px 1px #fff" for x in (-2, 0, 2) for y in (-2, 0, 2))
SYMBOLS = {
    "mouth": "circle-open",
    "junction": "circle",
    "gate": "bowtie-open",
    "shut gate": "bowtie",
    "chamber": "square",
}
NOTED = 0.01  # m: a smaller displacement of a node is not shown on a plan, only in its figures
Aside = tuple[str, Spot, Spot]  # node, place as entered, place as its fittings set it
Label = tuple[float, float, str, int, str]  # x, y, text, size, position relative to its place
Lines = tuple[list[float | None], list[float | None]]  # x, y in the unit displayed, None after each line


def pipe_trace(ends: list[tuple[Spot, Spot]], hover: list[str], unit: str) -> dict[str, Any]:
    """All runs as one trace. ``ends``: both ends of each run [m]; ``hover``: text of each under the pointer."""
    x: list[float | None] = []
    y: list[float | None] = []
    for pair in ends:
        shown = frame.in_unit(np.array([spot[:2] for spot in pair]), unit)
        x += [*shown[:, 0].tolist(), None]
        y += [*shown[:, 1].tolist(), None]
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x,
        "y": y,
        "line": {"color": frame.PIPE, "width": 5},
        "hovertext": [text for text in hover for _ in range(3)],
        "hoverinfo": "text",
        "name": "pipe",
    }


def noted(aside: Sequence[Aside]) -> list[Aside]:
    """Nodes that are set so far from where they were entered that a plan shows it."""
    return [each for each in aside if math.dist(each[1], each[2]) > NOTED]


def aside_trace(every: Sequence[Aside], unit: str, system: System) -> list[dict[str, Any]]:
    """One dotted trace from where each node was entered to where its fittings set it; none if no node moves."""
    aside = noted(every)
    if not aside:
        return []
    x, y = joined([np.array([old[:2], new[:2]]) for _, old, new in aside], unit)
    hover = [_set(*each, system) for each in aside]
    return [
        {
            "type": "scatter",
            "mode": "lines+markers",
            "x": x,
            "y": y,
            "name": "from where it is drawn to where it is set",
            "hoverinfo": "text",
            "hovertext": [text for text in hover for _ in range(3)],
            "line": {"color": frame.INK, "width": 1.5, "dash": "dot"},
            "marker": {
                "symbol": ["cross-thin", "circle-open", "circle-open"] * len(hover),
                "size": 10,
                "line": {"color": frame.INK, "width": 1.5},
                "opacity": [1, 0, 0] * len(hover),
            },
        }
    ]


def _set(name: str, old: Spot, new: Spot, system: System) -> str:
    level, rise = math.dist(old[:2], new[:2]), new[2] - old[2]
    beside, over = (show(abs(by), LENGTH, system, frame.DEPTH_UNIT[system]) for by in (level, rise))
    return (
        f"{frame.plain(name)}: its fittings set it {beside} to the side and {over} "
        f"{'higher' if rise >= 0 else 'lower'} than drawn"
    )


def node_marks(
    places: tuple[tuple[str, str, Spot], ...], passes: tuple[tuple[str, Spot], ...], unit: str, bare: bool
) -> dict[str, Any]:
    """Nodes by kind, and penetrations of the liner as rings round the pipe, as one trace."""
    through = len(passes)
    hover = [f"{kind} {frame.plain(name)}" for name, kind, _ in places]
    return points_trace(
        [*(spot[:2] for _, _, spot in places), *(spot[:2] for _, spot in passes)],
        [*hover, *(f"through the liner: {frame.plain(name)}" for name, _ in passes)],
        unit,
        mode="markers" if bare else "markers+text",
        name="nodes",
        text=[frame.plain(name) if kind != "junction" else "" for name, kind, _ in places] + [""] * through,
        textposition="top center",
        textfont={"size": 12, "color": frame.PIPE, "shadow": HALO},
        marker={
            "symbol": [SYMBOLS[kind] for _, kind, _ in places] + ["circle-open"] * through,
            "size": [14 if kind == "chamber" else 9 for _, kind, _ in places] + [13] * through,
            "opacity": 1,
            "color": [frame.PIPE] * len(places) + [frame.MARK] * through,
            "line": {
                "color": ["#ffffff"] * len(places) + [frame.MARK] * through,
                "width": [1.0] * len(places) + [2.5] * through,
            },
        },
    )


def outlined(rings: list[tuple[Array, str]], unit: str, name: str, line: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Closed lines as one trace, each with its text under the pointer."""
    hover = [text for ring, text in rings for _ in range(len(ring) + 1)]
    return ring_trace([ring for ring, _ in rings], unit, name, line=line, hovertext=hover, hoverinfo="text", **more)


def joined(rings: Sequence[Array], unit: str) -> Lines:
    """East and north of several rings in the unit displayed, with a gap after each."""
    x: list[float | None] = []
    y: list[float | None] = []
    for ring in rings:
        shown = frame.in_unit(ring, unit, 2)
        x += [*shown[:, 0].tolist(), None]
        y += [*shown[:, 1].tolist(), None]
    return x, y


def together(pieces: Iterable[Lines]) -> dict[str, list[float | None]]:
    """Coordinates of a trace made of several pieces."""
    x: list[float | None] = []
    y: list[float | None] = []
    for own_x, own_y in pieces:
        x += own_x
        y += own_y
    return {"x": x, "y": y}


def ring_trace(rings: Sequence[Array], unit: str, name: str, **look: Any) -> dict[str, Any]:
    """Rings as one trace of lines, without text under the pointer; ``look``: further settings in plotly's terms."""
    x, y = joined(rings, unit)
    return {"type": "scatter", "mode": "lines", "x": x, "y": y, "name": name, "hoverinfo": "skip", **look}


def line_trace(
    rings: Sequence[Array], unit: str, colour: str, width: float, *, name: str, dash: str = "solid"
) -> dict[str, Any]:
    """Lines of one style as one trace."""
    return ring_trace(rings, unit, name, line={"color": colour, "width": width, "dash": dash})


def fill_trace(rings: Sequence[Array], unit: str, colour: str, name: str) -> dict[str, Any]:
    """Filled areas of one style as one trace."""
    return ring_trace(rings, unit, name, fill="toself", fillcolor=colour, line={"width": 0.0, "color": colour})


def waterline_traces(surfaces: Iterable[tuple[str, SiteSurface]], unit: str) -> list[dict[str, Any]]:
    """Faint waterlines of pools, each as a trace of its own, by name and finished surface."""
    return [
        line_trace(rings_at(surface, 0.0), unit, frame.FAINT, 1.2, name=f"{frame.plain(name)}: waterline")
        for name, surface in surfaces
    ]


def points_trace(
    places: Sequence[Sequence[float]] | Array, texts: Sequence[str], unit: str, **look: Any
) -> dict[str, Any]:
    """Markers as one trace, each with its text under the pointer; ``look``: further settings in plotly's terms."""
    points = frame.in_unit(np.array(places, dtype=float).reshape(-1, 2), unit)
    return {
        "type": "scatter",
        "mode": "markers",
        "x": points[:, 0].tolist(),
        "y": points[:, 1].tolist(),
        "hovertext": list(texts),
        "hoverinfo": "text",
        **look,
    }


def written(labels: list[Label]) -> dict[str, Any]:
    """All labels as one trace: plotly would measure annotations anew at every step of a slider."""
    x, y, texts, sizes, positions = (list(values) for values in zip(*labels, strict=True))
    return {
        "type": "scatter",
        "mode": "text",
        "name": "labels",
        "x": x,
        "y": y,
        "text": texts,
        "textposition": positions,
        "textfont": {"size": sizes, "color": frame.INK, "shadow": HALO},
        "hoverinfo": "skip",
        "cliponaxis": False,
    }


def spread(low: Sequence[float], typical: Sequence[float], high: Sequence[float]) -> dict[str, Any]:
    """Error bars from low to high, for bars of typical values; each of shape (n,) in the unit of their axis."""
    return {
        "type": "data",
        "symmetric": False,
        "array": [round(h - t, 3) for h, t in zip(high, typical, strict=True)],
        "arrayminus": [round(t - v, 3) for t, v in zip(typical, low, strict=True)],
        "color": frame.INK,
        "thickness": 1.8,
        "width": 6,
    }
