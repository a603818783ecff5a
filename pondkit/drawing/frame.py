"""What all pictures share: figures are plain dictionaries in plotly's JSON form; colours, axes in the shown unit; and
plotly's own script, from its wheel.

A picture in plan is laid out with equal scales, scale bar, north and the line of the section; one in section draws
profiles as one trace, water up to its level, and heights exaggerated. A ``Panel`` is one picture with its words and the
figures beside it, as a trade declares it; page and papers show it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from pondkit.core.units import LENGTH, System, magnitude

Array = NDArray[np.float64]
Figure = dict[str, Any]

INK = "#2b3a42"
FAINT = "#8a979c"
PAPER = "rgba(0,0,0,0)"
GROUND = "#b9a37e"
LINER = "#3c3f45"
FABRIC = "#9c8f79"
STONE = "#8c8a86"
PIPE = "#b4552d"
MARK = "#a33b20"
FONT = {"family": '"Source Sans", "Source Sans Pro", sans-serif', "size": 13, "color": INK}
# Depth, shallow to deep: lightness falls all the way, so that it reads in print and without colour vision.
DEPTHS = ("#e3f1ee", "#b9dcd9", "#8ac2c7", "#5ca4b3", "#37829b", "#22607f", "#163f5f", "#0d233c")
PLAN_UNIT = {"us": "ft", "si": "m"}
DEPTH_UNIT = {"us": "in", "si": "cm"}
NORTH, SCREEN = "north", "on the screen alone"  # names of what a paper draws in its own way, or not


def shade(depth: float, deepest: float) -> str:
    """Colour of a depth on a scale from 0 to ``deepest`` [m]."""
    share = min(max(depth / deepest, 0.0), 1.0) if deepest > 0 else 0.0
    position = share * (len(DEPTHS) - 1)
    low = int(position)
    high = min(low + 1, len(DEPTHS) - 1)
    mixed = [round(a + (b - a) * (position - low)) for a, b in zip(_rgb(DEPTHS[low]), _rgb(DEPTHS[high]), strict=True)]
    return "#{:02x}{:02x}{:02x}".format(*mixed)


def text_on(colour: str) -> str:
    """Black or white, whichever stands out more from a colour: 4.5 to 1 at least.

    Source: WCAG 2.2, relative luminance and contrast ratio; the two are equal at a luminance of 0.179.
    """
    linear = [(c / 255 / 12.92 if c <= 10 else ((c / 255 + 0.055) / 1.055) ** 2.4) for c in _rgb(colour)]
    return "#000000" if 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] > 0.179 else "#ffffff"


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def in_unit(values: Array | list[float] | float, unit: str, digits: int = 3) -> Any:
    """Lengths in metres as rounded numbers of a unit, for a picture."""
    return np.round(np.asarray(values, dtype=float) / magnitude_of(unit), digits)


def magnitude_of(unit: str) -> float:
    """Metres in one unit."""
    return 1.0 / magnitude(1.0, LENGTH, unit)


def straight(x: tuple[float, float], y: tuple[float, float], colour: str, width: float, **dash: str) -> dict[str, Any]:
    """A straight line over a picture, from and to in units of its axes."""
    ends = {"x0": x[0], "x1": x[1], "y0": y[0], "y1": y[1]}
    return {"type": "line", **ends, "line": {"color": colour, "width": width, **dash}}


def note(x: float, y: float, text: str, size: int, colour: str = "", **place: Any) -> dict[str, Any]:
    """A text over a picture without an arrow; ``place`` says how it is anchored."""
    font = {"size": size, "color": colour} if colour else {"size": size}
    return {"x": x, "y": y, "text": text, "showarrow": False, "font": font, **place}


def figure(data: list[dict[str, Any]], *, x: dict[str, Any], y: dict[str, Any], **layout: Any) -> Figure:
    """A picture with the shared look. ``x`` and ``y`` are axis settings; zoom stays while ``uirevision`` does."""
    axis = {
        "gridcolor": "#e4e2da",
        "zeroline": False,
        "linecolor": "#c9c6bb",
        "ticks": "outside",
        "tickcolor": "#c9c6bb",
        "title": {"standoff": 4, "font": {"size": 12}},
        "tickfont": {"size": 11},
    }
    base: dict[str, Any] = {
        "font": FONT,
        "paper_bgcolor": PAPER,
        "plot_bgcolor": PAPER,
        "margin": {"l": 48, "r": 10, "t": 8, "b": 36},
        "showlegend": False,
        "hovermode": "closest",
        "uirevision": "keep",
        "xaxis": axis | x,
        "yaxis": axis | y,
    }
    return {
        "data": data,
        "layout": base | layout,
        "config": {"displaylogo": False, "responsive": True, "displayModeBar": False},
    }


def title(text: str, unit: str = "") -> dict[str, Any]:
    """An axis title with its unit."""
    return {"text": f"{text} [{unit}]" if unit else text, "standoff": 4, "font": {"size": 12}}


def system_units(system: System) -> tuple[str, str]:
    """(unit of plan lengths, unit of depths) in a system."""
    return PLAN_UNIT[system], DEPTH_UNIT[system]


def plain(text: str) -> str:
    """A name as text: plotly reads some HTML in labels."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


@cache
def plotly_script() -> str:
    """The text of plotly's script, 4.7 MB."""
    return files("plotly").joinpath("package_data/plotly.min.js").read_text(encoding="utf-8")


_NORTH = note(
    1, 1, "N<br>↑", 16, name=NORTH, xref="paper", yref="paper", xanchor="right", yanchor="top", align="center"
)


def plan_layout(
    span: tuple[float, float, float, float],
    unit: str,
    section: Sequence[Sequence[float]] | None,
    *,
    fills: bool = False,
) -> dict[str, Any]:
    """Axes, scale bar, north and the line of the section of a picture in plan.

    Args:
        span: West, south, east, north [m].
        unit: Unit on show.
        section: The two ends of the section's line [m]; None where none is drawn.
        fills: Whether the picture takes all of its place, and shows more than the span where that is wider or higher.
    """
    west, south, east, north = (float(v) for v in in_unit(list(span), unit))
    bar, length = _scale_bar(west, south, east, north, unit)
    shapes, notes = [bar], [length, dict(_NORTH)]
    if section is not None:
        line, ends = _section_line(section, unit)
        shapes.append(line)
        notes += ends
    constrain = "range" if fills else "domain"
    layout: dict[str, Any] = {
        "x": {"title": title("east", unit), "range": [west, east], "constrain": constrain, "showgrid": True},
        "y": {
            "title": title("north", unit),
            "range": [south, north],
            "scaleanchor": "x",
            "scaleratio": 1,
            "constrain": constrain,
        },
        "shapes": shapes,
        "annotations": notes,
        "dragmode": "pan",
    }
    if fills:  # all room for what is drawn: the unit stands at the last mark of each axis
        for axis in (layout["x"], layout["y"]):
            axis |= {"title": {"text": ""}, "ticksuffix": f" {unit}", "showticksuffix": "last"}
        layout["margin"] = {"l": 40, "r": 6, "t": 6, "b": 24}
    return layout


def _scale_bar(
    west: float, south: float, east: float, north: float, unit: str
) -> tuple[dict[str, Any], dict[str, Any]]:
    """The scale bar in the south-western corner, and its length in words; all in the unit on show."""
    bar = round_length((east - west) / 5)
    left, base = west + 0.02 * (east - west), south + 0.03 * (north - south)
    tick = 0.012 * (north - south)
    path = f"M{left},{base + tick} L{left},{base} L{left + bar},{base} L{left + bar},{base + tick}"
    shape = {"type": "path", "path": path, "line": {"color": INK, "width": 2}}
    return shape | {"name": SCREEN}, note(left + bar / 2, base, f"{bar:g} {unit}", 12, yshift=9, name=SCREEN)


def _section_line(section: Sequence[Sequence[float]], unit: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The line of the section, and A and B at its ends."""
    (x0, y0), (x1, y1) = (in_unit(list(end), unit, 2).tolist() for end in section)
    line = straight((x0, x1), (y0, y1), MARK, 3) | {"name": "section"}
    behind = {"xshift": -14, "bgcolor": "rgba(255,255,255,0.7)"}
    ends = [note(x, y, mark, 14, MARK, **behind) for x, y, mark in ((x0, y0, "A"), (x1, y1, "B"))]
    return line, ends


def round_length(length: float) -> float:
    """The greatest of 1, 2, 5, 10, 20 … that a length holds, for a scale bar; 1 where it is nothing."""
    if length <= 0 or not math.isfinite(length):
        return 1.0
    power = 10 ** math.floor(math.log10(length))
    return float(max((step * power for step in (1, 2, 5) if step * power <= length * 1.0001), default=power))


TIMES = (1, 2, 3, 4, 5, 8)
SHAPE = 3.6  # width over height of the picture that the exaggeration is chosen for
WATER: dict[str, Any] = {
    "fill": "toself",
    "fillcolor": "rgba(92,164,179,0.55)",
    "line": {"color": "#37829b", "width": 1},
}
BED: dict[str, Any] = {"line": {"color": GROUND, "width": 2}}
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
    hover: list[str] = []
    for stations, levels, pool in parts:
        if len(stations):
            x += [*in_unit(stations, unit).tolist(), None]
            y += [*(None if v != v else v for v in in_unit(levels, unit).tolist()), None]  # NaN alone differs
            hover += [f"{pool}: {name}" if pool else name] * (len(stations) + 1)
    if not x:
        return None
    return {
        "type": "scatter",
        "mode": "lines",
        "x": x[:-1],
        "y": y[:-1],
        "name": name,
        "hovertext": hover[:-1],
        "hoverinfo": "text+y",
    } | look


def waters(x: Array, z: Array, level: float) -> list[tuple[Array, Array]]:
    """Water between level and surface: a closed line (stations, levels) [m] for each stretch under water."""
    wet = np.nan_to_num(z, nan=np.inf) < level
    areas = []
    for first, last in stretches(wet):
        x_part, z_part = x[first:last], z[first:last]
        around = np.concatenate([x_part[:1], x_part, x_part[-1:], x_part[:1]])
        areas.append((around, np.concatenate([[level], z_part, [level], [level]])))
    return areas


def stretches(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First index of each stretch that holds, and the one behind its last."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def exaggeration(along: float, height: float) -> int:
    """How many times heights are drawn, so that the section fills its picture; 1, 2, 3 … so that it can be stated."""
    if height <= 0:
        return 1
    fits = [times for times in TIMES if along / (height * 1.35 * times) >= SHAPE]
    return fits[-1] if fits else 1


@dataclass(frozen=True)
class Panel:
    """One picture with the figures that belong to it.

    Attributes:
        title: Its heading.
        part: Whose controls it goes with, as the page calls them; "" for those that are always on show.
        draw: Makes the picture of the results in ``of`` and the units on show; None where there is nothing to draw.
        alt: The picture in words, of the results in ``alt_of`` and the units on show.
        of: Names of the results that the picture is made from, see ``report.scene.Scene``.
        alt_of: The same for its words.
        keys: Keys of the takeoff that stand beside it.
        height: Height of the picture [px].
        takes: "plan" or "section" where its height goes by the window's instead.
        csv: What its table is called and who writes it, of what the picture is made from, where it can be downloaded.
    """

    title: str
    part: str
    draw: Callable[..., Figure | None]
    alt: Callable[..., str]
    of: tuple[str, ...]
    alt_of: tuple[str, ...]
    keys: tuple[str, ...] = ()
    height: int = 380
    csv: tuple[str, Callable[..., str]] | None = None
    takes: Literal["plan", "section"] | None = None


def keys(names: str) -> tuple[str, ...]:
    """Keys of the takeoff, written as one text with blanks between."""
    return tuple(names.split())
