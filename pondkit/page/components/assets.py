"""What all components need: the files that stand beside them, numbers of what is sent, and two components without a
face, of which one brings plotly's script into the page and one tells that a run is over.
"""

import itertools
import time
from pathlib import Path

import streamlit as st

_HERE = Path(__file__).parent


def asset(name: str) -> str:
    """Text of a file of this folder. Streamlit takes a text with line breaks for content, one without for a path."""
    return (_HERE / name).read_text(encoding="utf-8")


# Numbers of what is sent and of runs. They grow over a restart of the server too, as the browser compares them.
_numbers = itertools.count(round(time.time() * 1000))


def next_number() -> int:
    """A number above all that were given before."""
    return next(_numbers)


_LOADER = st.components.v2.component("pondkit_plotly_loader", js=asset("plotly_loader.js"))
_RUN_DONE = st.components.v2.component("pondkit_run_done", js=asset("beat.js") + asset("run_done.js"))

_LOADER_KEY = "pondkit_plotly_loader"
_RUN_DONE_KEY = "pondkit_run_done"


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
    _RUN_DONE(key=_RUN_DONE_KEY, data={"run": next_number()}, on_beat_change=lambda: None)
