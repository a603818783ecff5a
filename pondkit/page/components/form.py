"""All controls of what is chosen as one component: sliders, boxes, choices, names, switches, buttons and folds."""

from collections.abc import Callable
from typing import Any, Literal, NotRequired, TypedDict, cast

import streamlit as st

from pondkit.page.components.live import Live, asset, encoded, live_entries

_FORM = st.components.v2.component(
    "pondkit_form", html='<div class="form"></div>', css=asset("form.css"), js=asset("form.js")
)


class Button(TypedDict):
    """A button: its id, what stands on it, what it does, and whether it can be pressed now."""

    id: str
    label: str
    help: str
    disabled: NotRequired[bool]
    strong: NotRequired[bool]


class Row(TypedDict):
    """One line of a form.

    kind, id: what it is, and its name, unique on the page; a row that keeps both keeps its place on the screen, its
        focus and the text that is being typed.
    label, help: its name, and a line about it, shown on request.
    message: why the text in it was refused, and what stays in force; the refused text stays in sight.
    readings: what a refused text may mean, where it is in doubt; pressing one enters it.
    value: number of a quantity in its unit, None where it is left out; text, chosen name or names, or whether it is on.
    switch: id under which a quantity that may be left out is switched on and off; "" for one that may not.
    text, unit, min, max, step: of a quantity: what the box shows, unit of the numbers, ends and grid of the slider. The
        box takes what lies beyond its ends.
    options: what can be chosen, each as (value, what it is called); of "pick" also whether it stands under "More".
    buttons: what can be pressed beside it.
    open, rows, look: of a fold: whether it is open, what is in it while it is, and "fold" or "part", where its label is
        the heading of what stands behind it.
    lines: whether a text may have several lines.
    """

    kind: Literal["quantity", "choice", "names", "switch", "text", "pick", "words", "head", "buttons", "fold"]
    id: str
    label: NotRequired[str]
    help: NotRequired[str]
    message: NotRequired[str]
    readings: NotRequired[list[str]]
    value: NotRequired[Any]
    switch: NotRequired[str]
    text: NotRequired[str]
    unit: NotRequired[str]
    min: NotRequired[float]
    max: NotRequired[float]
    step: NotRequired[float]
    options: NotRequired[list[tuple[str, str] | tuple[str, str, bool]]]
    buttons: NotRequired[list[Button]]
    open: NotRequired[bool]
    rows: NotRequired[list["Row"]]
    look: NotRequired[str]
    lines: NotRequired[bool]


class FormEntry(TypedDict):
    """What a person entered: in which row, what, and a number that grows with each entry.

    drag: grows at each press of the pointer, each burst of arrow keys and each text typed, so that the steps of one
        drag can be told from the next.
    """

    id: str
    value: Any
    drag: int
    n: int


def entries(key: str) -> list[FormEntry]:
    """What was entered and not yet answered in the form of that key, in order, whichever way it came."""
    own = (st.session_state.get(key) or {}).get("entries") or []
    return cast("list[FormEntry]", sorted([*own, *live_entries().get(key, [])], key=lambda entry: entry["n"]))


def form(
    key: str,
    rows: list[Row],
    *,
    session: str,
    revision: int,
    answered: int,
    live: Live | None,
    on_entry: Callable[[], None],
) -> None:
    """Shows a form. Its rows are patched in place: nothing under the hand is built anew.

    From a slide the text of a quantity is the number with the decimals of the step and the unit; from its box it is the
    text as typed, on Enter or when the box is left, and only if it changed.

    Args:
        key: Name of the form, unique on the page.
        rows: What it shows.
        session: Name of the session; what waits to go to another is dropped.
        revision: Changes when the document was changed otherwise than by a slider; text that waits in a box is dropped.
        answered: Number of the last entry that was taken.
        live: By which it follows the hand, and an entry runs only what does so; None for one beside which the whole
            page runs at each entry. A run of the part is never stopped by a further value, so that the next one may
            go out before the answer.
        on_entry: Called before the next run of the whole page when something was entered; reads it with
            :func:`entries`.
    """
    shown: dict[str, Any] = {
        "key": key,
        "rows": rows,
        "session": session,
        "revision": revision,
        "answered": answered,
        "follows": live is not None,
    }
    data = live.form(key, shown) if live else shown
    if data is not None:
        _FORM(key=key, data=encoded(data), on_entries_change=on_entry)
