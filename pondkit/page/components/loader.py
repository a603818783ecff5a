"""Two components without a face: one brings plotly's script into the page, one tells that a run is over."""

import itertools
import time

import streamlit as st

from pondkit.page.components.assets import asset

_LOADER = st.components.v2.component("pondkit_plotly_loader", js=asset("plotly_loader.js"))
_RUN_DONE = st.components.v2.component("pondkit_run_done", js=asset("run_done.js"))

_LOADER_KEY = "pondkit_plotly_loader"
_RUN_DONE_KEY = "pondkit_run_done"
_runs = itertools.count(round(time.time() * 1000))  # grows over a restart of the server too, as the browser compares


def plotly_loader(script: str) -> None:
    """Puts plotly's script into the page as ``window.Plotly``, once.

    The browser answers when it has the script, which costs one more run at the start; from then on nothing of it is
    sent or even encoded.

    Args:
        script: Text of ``plotly.min.js``.
    """
    loaded = st.session_state.get(_LOADER_KEY, {}).get("loaded", False)
    _LOADER(key=_LOADER_KEY, data=None if loaded else script.encode())


def run_done() -> None:
    """Marks the end of a run of the whole page; its last call.

    Streamlit stops a run when a new value arrives. Sliders and pictures therefore hold the next value of a drag back
    until this mark has come, or the pictures of a page that takes longer than their pace would never be drawn.
    After runs of a part of the page alone it asks for one of the whole page once the hand rests.
    """
    _RUN_DONE(key=_RUN_DONE_KEY, data={"run": next(_runs), "part": False}, on_beat_change=lambda: None)


def part_done(last: int | None = None) -> int:
    """Marks the end of a run of the part that follows the hand, and gives the mark's number.

    Args:
        last: The number that stands, where the whole page runs and this is not the end of it.
    """
    number = next(_runs) if last is None else last
    _RUN_DONE(key=f"{_RUN_DONE_KEY}_part", data={"run": number, "part": True})
    return number
