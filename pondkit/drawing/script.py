"""Plotly's own script, from its wheel: the one thing that is needed of it."""

from functools import cache
from importlib.resources import files


@cache
def plotly_script() -> str:
    """The text of plotly's script, 4.7 MB."""
    return files("plotly").joinpath("package_data/plotly.min.js").read_text(encoding="utf-8")
