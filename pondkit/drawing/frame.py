"""Basis of all pictures: figures as plain dictionaries in plotly's JSON form, colours, axes in the unit displayed, and
plotly's script from its wheel.

``plan_layout`` lays out a picture in plan, with equal scales, scale bar, north arrow and section line. For a section,
``profile_trace`` draws profiles as one trace, ``waters`` gives the water up to its level, and ``exaggeration`` chooses
the vertical scale. A ``Panel`` is one picture with its description and the figures beside it, as a trade declares it;
page and papers show it.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
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
# Depth, shallow to deep: lightness falls throughout, so that it reads in print and without colour vision.
DEPTHS = ("#e3f1ee", "#b9dcd9", "#8ac2c7", "#5ca4b3", "#37829b", "#22607f", "#163f5f", "#0d233c")
PLAN_UNIT = {"us": "ft", "si": "m"}
DEPTH_UNIT = {"us": "in", "si": "cm"}
NORTH, SCREEN = "north", "on the screen alone"  # names of items that a paper draws in another way, or not at all
SECTION = "section"  # name of the section line


def shade(depth: float, deepest: float) -> str:
    """Colour of a depth on a scale from 0 to ``deepest`` [m]."""
    share = min(max(depth / deepest, 0.0), 1.0) if deepest > 0 else 0.0
    position = share * (len(DEPTHS) - 1)
    low = int(position)
    high = min(low + 1, len(DEPTHS) - 1)
    mixed = [round(a + (b - a) * (position - low)) for a, b in zip(_rgb(DEPTHS[low]), _rgb(DEPTHS[high]), strict=True)]
    return "#{:02x}{:02x}{:02x}".format(*mixed)


def text_on(colour: str) -> str:
    """Black or white, whichever has the higher contrast with a colour: 4.5 to 1 at least.

    Source: WCAG 2.2, relative luminance and contrast ratio; the two are equal at a luminance of 0.179.
    """
    linear = [(c / 255 / 12.92 if c <= 10 else ((c / 255 + 0.055) / 1.055) ** 2.4) for c in _rgb(colour)]
    return "#000000" if 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] > 0.179 else "#ffffff"


def _rgb(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def in_unit(values: Array | list[float] | float, unit: str, digits: int = 3) -> Any:
    """Lengths in metres as rounded numbers in a unit, for a picture."""
    return np.round(np.asarray(values, dtype=float) / magnitude_of(unit), digits)


def magnitude_of(unit: str) -> float:
    """Length of one unit [m]."""
    return 1.0 / magnitude(1.0, LENGTH, unit)


def straight(x: tuple[float, float], y: tuple[float, float], colour: str, width: float, **dash: str) -> dict[str, Any]:
    """A straight line over a picture; its ends in units of the axes."""
    ends = {"x0": x[0], "x1": x[1], "y0": y[0], "y1": y[1]}
    return {"type": "line", **ends, "line": {"color": colour, "width": width, **dash}}


def note(x: float, y: float, text: str, size: int, colour: str = "", **place: Any) -> dict[str, Any]:
    """A text over a picture, without an arrow; ``place``: how it is anchored, in plotly's terms."""
    font = {"size": size, "color": colour} if colour else {"size": size}
    return {"x": x, "y": y, "text": text, "showarrow": False, "font": font, **place}


def figure(data: list[dict[str, Any]], *, x: dict[str, Any], y: dict[str, Any], **layout: Any) -> Figure:
    """A picture in the common style. ``x`` and ``y``: axis settings; the zoom is kept while ``uirevision`` stays the
    same.
    """
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
        "config": {"displaylogo": False, "displayModeBar": False},
    }


def title(text: str, unit: str = "") -> dict[str, Any]:
    """An axis title with its unit."""
    return {"text": f"{text} [{unit}]" if unit else text, "standoff": 4, "font": {"size": 12}}


def legend_above(**more: Any) -> dict[str, Any]:
    """A legend in one line above the picture; ``more``: further settings in plotly's terms."""
    return {"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0, **more}


def row_axis(texts: Sequence[str], *, above: float = 0.5, grid: bool = False) -> dict[str, Any]:
    """A vertical axis with a row for each text, the first at the top; ``above``: room over it, in rows."""
    return {
        "tickvals": list(range(len(texts))),
        "ticktext": list(texts),
        "range": [len(texts) - 0.5, -above],
        "automargin": True,
        "ticks": "",
        "showgrid": grid,
    }


def system_units(system: System) -> tuple[str, str]:
    """(unit of plan lengths, unit of depths) in a system."""
    return PLAN_UNIT[system], DEPTH_UNIT[system]


def plain(text: str) -> str:
    """A name with its markup characters escaped: plotly reads some HTML in labels."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


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
    """Axes, scale bar, north arrow and section line of a picture in plan.

    Args:
        span: West, south, east and north limits [m].
        unit: Unit displayed.
        section: The two ends of the section line [m]; None to draw none.
        fills: Whether the picture fills its place, and so may show more than the span.
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
    if fills:  # no room for axis titles: the unit is at the last tick of each axis
        for axis in (layout["x"], layout["y"]):
            axis |= {"title": {"text": ""}, "ticksuffix": f" {unit}", "showticksuffix": "last"}
        layout["margin"] = {"l": 40, "r": 6, "t": 6, "b": 24}
    return layout


def _scale_bar(
    west: float, south: float, east: float, north: float, unit: str
) -> tuple[dict[str, Any], dict[str, Any]]:
    """(scale bar in the south-western corner, its length in words), in the unit displayed."""
    bar = round_length((east - west) / 5)
    left, base = west + 0.02 * (east - west), south + 0.03 * (north - south)
    tick = 0.012 * (north - south)
    path = f"M{left},{base + tick} L{left},{base} L{left + bar},{base} L{left + bar},{base + tick}"
    shape = {"type": "path", "path": path, "line": {"color": INK, "width": 2}}
    return shape | {"name": SCREEN}, note(left + bar / 2, base, f"{bar:g} {unit}", 12, yshift=9, name=SCREEN)


def _section_line(section: Sequence[Sequence[float]], unit: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """(the section line, the letters A and B at its ends)."""
    (x0, y0), (x1, y1) = (in_unit(list(end), unit, 2).tolist() for end in section)
    line = straight((x0, x1), (y0, y1), MARK, 3) | {"name": SECTION}
    behind = {"xshift": -14, "bgcolor": "rgba(255,255,255,0.7)"}
    ends = [note(x, y, mark, 14, MARK, **behind) for x, y, mark in ((x0, y0, "A"), (x1, y1, "B"))]
    return line, ends


def round_length(length: float) -> float:
    """The greatest of 1, 2, 5, 10, 20 … up to a length, for a scale bar; 1 if the length is not positive."""
    if length <= 0 or not math.isfinite(length):
        return 1.0
    power = 10 ** math.floor(math.log10(length))
    return float(max((step * power for step in (1, 2, 5) if step * power <= length * 1.0001), default=power))


TIMES = (1, 2, 3, 4, 5, 8)
SHAPE = 3.6  # width over height of the picture for which the exaggeration is chosen
WATER: dict[str, Any] = {
    "fill": "toself",
    "fillcolor": "rgba(92,164,179,0.55)",
    "line": {"color": "#37829b", "width": 1},
}
BED: dict[str, Any] = {"line": {"color": GROUND, "width": 2}}
# Stations and levels in the unit displayed, None in gaps, and the name of the pool.
NamedProfile = tuple[list[float], list[float | None], str]


def named_profile(stations: Array, levels: Array, unit: str, pool: str = "") -> NamedProfile:
    """A line of stations and levels [m], with NaN in gaps, as a trace takes it."""
    shown = [None if level != level else level for level in in_unit(levels, unit).tolist()]  # NaN alone differs
    return in_unit(stations, unit).tolist(), shown, pool


def profile_trace(parts: Sequence[NamedProfile], name: str, look: dict[str, Any]) -> dict[str, Any] | None:
    """Lines of one kind as one trace; None if there are none. The time that a picture takes in a drag goes by its
    number of traces.

    Args:
        parts: The lines.
        name: Name of the trace.
        look: Further settings of the trace.
    """
    x: list[float | None] = []
    y: list[float | None] = []
    hover: list[str] = []
    for stations, levels, pool in parts:
        if len(stations):
            x += [*stations, None]
            y += [*levels, None]
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
    """Water between its level and a surface z along stations x: a closed line (stations, levels) [m] round each stretch
    under water.
    """
    wet = np.nan_to_num(z, nan=np.inf) < level
    areas = []
    for first, last in stretches(wet):
        x_part, z_part = x[first:last], z[first:last]
        around = np.concatenate([x_part[:1], x_part, x_part[-1:], x_part[:1]])
        areas.append((around, np.concatenate([[level], z_part, [level], [level]])))
    return areas


def stretches(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """(first index, index after the last) of each stretch of true flags."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)]


def exaggeration(along: float, height: float) -> int:
    """Vertical exaggeration with which a section fills its picture; a whole number, so that it can be stated."""
    if height <= 0:
        return 1
    fits = [times for times in TIMES if along / (height * 1.35 * times) >= SHAPE]
    return fits[-1] if fits else 1


@dataclass(frozen=True)
class Panel:
    """One picture with the figures that belong to it, as a trade declares it.

    Attributes:
        title: Its heading.
        part: Part of the page's controls that it is shown with; "" if it is always shown.
        draw: Makes the picture from the results in ``of`` and the unit system; None if there is nothing to draw.
        alt: Describes the picture, from the results in ``alt_of`` and the unit system.
        of: Names of the results that ``draw`` takes, see ``report.scene.Scene``.
        alt_of: Names of the results that ``alt`` takes.
        keys: Keys of the takeoff that are shown beside it.
        height: Height of the picture [px].
        takes: "plan" or "section" if its height follows that of the window instead.
        csv: (name of its table, function that writes it from the results in ``of``) if a table can be downloaded.
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
    """Keys of the takeoff, from one text with blanks between them."""
    return tuple(names.split())
