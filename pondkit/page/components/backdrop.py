"""Brings a picture into the browser, once, where plans draw it under themselves."""

import streamlit as st

from pondkit.page.components.assets import asset

_BACKDROP = st.components.v2.component("pondkit_backdrop", js=asset("backdrop.js"))
_KEY = "pondkit_backdrop"


def backdrop(name: str, letters: str) -> None:
    """Hands a picture to the browser under a name. Once it has it, nothing of it is sent any more.

    Args:
        name: By which plans ask for it; another picture, another name.
        letters: JPEG in base64.
    """
    held = st.session_state.get(_KEY, {}).get("held")
    data = {"name": name, "letters": None if held == name else letters}
    _BACKDROP(key=_KEY, data=data, on_held_change=lambda: None)
