"""The bare page's slider, as the page had one for each number when it was first measured: it reports while it is
dragged, with a box beside it that takes any text."""

from collections.abc import Callable
from pathlib import Path
from typing import TypedDict, cast

import streamlit as st

HERE = Path(__file__).parent


def asset(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8")


_SLIDER = st.components.v2.component(
    "pondkit_slider", html=asset("slider.html"), css=asset("slider.css"), js=asset("slider.js")
)


class SliderData(TypedDict):
    """What a slider shows.

    label: name of the input, over the slider.
    help: one line about it, shown on request; "" for none.
    text: what the box shows, as it was typed ("2 ft 6 in"), or the text that was refused.
    unit: unit of the numbers below, as it stands behind a number; "" for a ratio or a count.
    value, min, max, step: the thumb, its ends and its grid, in that unit; step is above 0.
    message: why the text in the box was refused; "" when it was not.
    disabled: whether it can only be looked at.
    revision: changes when the document was changed from elsewhere; text that waits in the box is then dropped.
    """

    label: str
    help: str
    text: str
    unit: str
    value: float
    min: float
    max: float
    step: float
    message: str
    disabled: bool
    revision: str


class SliderEntry(TypedDict):
    """What a person entered: the text ("25 in"), and a number that grows at each press of the pointer, each burst of
    arrow keys and each text typed, so that the steps of one drag can be told from the next."""

    text: str
    drag: int


def entered(key: str) -> SliderEntry | None:
    """What was entered last in the slider of that key; None when nothing was. To be read in its ``on_change``."""
    return cast("SliderEntry | None", st.session_state.get(key, {}).get("entry"))


def slider(key: str, data: SliderData, on_change: Callable[[], None]) -> None:
    """Shows a slider with its box.

    From the slide the text is the number with the decimals of the step and the unit; from the box it is the text as
    typed, on Enter or when the box is left, and only if it changed. While the pointer is down the thumb is not moved by
    ``data``.

    Args:
        key: Name of the slider, unique on the page; a new key makes a new slider.
        data: What it shows, see :class:`SliderData`.
        on_change: Called before the next run when something was entered; reads it with :func:`entered`.
    """
    _SLIDER(key=key, data={**data, "seen": entered(key)}, on_entry_change=on_change)
