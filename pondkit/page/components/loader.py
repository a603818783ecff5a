"""Two components without a face: one brings plotly's script into the page, one tells that a run is over."""

import streamlit as st

from pondkit.page.components.assets import asset, next_number

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
