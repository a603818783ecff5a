"""A bare page to compare the real one with: as many widgets of each kind, two prepared pictures, changing nothing else.

Its argument is a JSON object: counts by kind of widget, and two figures for each of the two pictures, shown in turn.
"""

import json
import sys
from pathlib import Path
from typing import Any

import streamlit as st
from slider import SliderData, entered, slider

from pondkit.page.components import PictureState, picture, plotly_loader, run_done


@st.cache_data
def prepared() -> dict[str, Any]:
    return dict(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8")))


def slide(key: str) -> None:
    given = entered(key)
    said = given["text"] if given else "30 in"
    data = SliderData(
        label=key,
        help="One line of help.",
        text=said,
        unit="in",
        value=float(said.split()[0]),
        min=1.0,
        max=144.0,
        step=1.0,
        message="",
        disabled=False,
        revision="",
    )
    slider(key, data, on_change=lambda: None)


st.set_page_config(layout="wide", initial_sidebar_state="expanded")
asked = prepared()
plotly_loader()
counts = asked["counts"]
with st.sidebar:
    for index in range(counts["slider"]):
        slide(f"Depth {index}")
    for index in range(counts["selectbox"]):
        st.selectbox(f"Choice {index}", ["one", "two"])
    for index in range(counts["text_input"]):
        st.text_input(f"Text {index}", "words")
    for index in range(counts["toggle"]):
        st.toggle(f"Switch {index}")
    for index in range(counts["button_group"]):
        st.pills(f"Row {index}", ["one", "two"], default="one")
    for index in range(counts["button"]):
        st.button(f"Button {index}")
value = float((entered("Depth 0") or {"text": "30 in"})["text"].split()[0])
st.html(f"<div class='pk-figures'><div class='pk-figure'><b>{value:g}</b></div></div>")
turn = int(value) % 2
for name, height in (("Plan", 396), ("Section A–B", 220)):
    picture(f"picture {name}", asked["pictures"][name][turn], height=height, alt=name, state=PictureState(moves=False))
run_done()
