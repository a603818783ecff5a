"""What all pictures share: figures are plain dictionaries in plotly's JSON form; colours, axes in the shown unit; and
plotly's own script, from its wheel.
"""

from functools import cache
from importlib.resources import files
from typing import Any

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
    at = share * (len(DEPTHS) - 1)
    low = int(at)
    high = min(low + 1, len(DEPTHS) - 1)
    mixed = [round(a + (b - a) * (at - low)) for a, b in zip(_rgb(DEPTHS[low]), _rgb(DEPTHS[high]), strict=True)]
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
