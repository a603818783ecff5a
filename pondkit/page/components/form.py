"""The form: all controls of what is chosen as one component, with sliders, boxes, choices, names, switches, buttons and
folds.
"""

from collections.abc import Callable
from typing import Any, Literal, NotRequired, TypedDict, cast

import streamlit as st

from pondkit.page.components.live import Live, as_json, asset, live_entries

_FORM = st.components.v2.component(
    "pondkit_form", html='<div class="form"></div>', css=asset("form.css"), js=asset("form.js")
)


class Button(TypedDict):
    """A button: its id, label and help, whether it can be pressed now, and whether it stands out."""

    id: str
    label: str
    help: str
    disabled: NotRequired[bool]
    strong: NotRequired[bool]


class Row(TypedDict):
    """One row of a form.

    Attributes:
        kind, id: Kind of control, and its name, unique on the page. A row that keeps both keeps its place on the
            screen, its focus and the text that is being typed.
        label, help: Its label, and a line about it that is shown on request.
        message: Why the text in it was refused, and which value is in force. The refused text stays in sight.
        readings: Possible readings of a refused text whose unit is in doubt; pressing one enters it.
        value: Number of a quantity in its unit, None if it is left out; a text; the chosen name or names; whether a
            switch is on.
        switch: Id under which a quantity that may be left out is switched on and off; "" for one that may not.
        text, unit, min, max, step: Of a quantity: text of the box, unit of the numbers, ends and step of the slider.
            The box takes values beyond the ends.
        options: What can be chosen, each as (value, name); of "pick" also whether it stands under "More".
        buttons: Buttons beside it.
        open, rows, look: Of a fold: whether it is open, the rows in it while it is, and "fold", or "part" if its label
            is the heading of the rows after it.
        lines: Whether a text may have several lines.
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
    """Something that a person entered.

    Attributes:
        id, value: Id of the row, and what was entered.
        drag: Grows with each press of the pointer, each burst of arrow keys and each text typed, so that the steps of
            one drag can be told from those of the next.
        n: Grows with each entry.
    """

    id: str
    value: Any
    drag: int
    n: int


def entries(key: str) -> list[FormEntry]:
    """What was entered in the form of that key and not yet answered, in order, whether from the form itself or through
    ``Live``.
    """
    mounted = (st.session_state.get(key) or {}).get("entries") or []
    return cast("list[FormEntry]", sorted([*mounted, *live_entries().get(key, [])], key=lambda entry: entry["n"]))


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

    A slide gives the text of a quantity with the decimals of the step and the unit. A box gives its text as typed, on
    Enter or when the box is left, and only if it has changed.

    Args:
        key: Name of the form, unique on the page.
        rows: Its rows.
        session: Id of the session; entries that wait for another session are dropped.
        revision: Changes when the document was changed otherwise than by a slider; text that waits in a box is then
            dropped.
        answered: Number of the last entry that was handled.
        live: What makes it follow the hand: an entry then causes a partial run only. Such a run is never stopped by a
            further value, so that the next value may be sent before the answer. None for a form whose entries run the
            whole page.
        on_entry: Called before the next run of the whole page if something was entered; reads it with :func:`entries`.
    """
    data: dict[str, Any] = {
        "key": key,
        "rows": rows,
        "session": session,
        "revision": revision,
        "answered": answered,
        "follows": live is not None,
    }
    message = live.form(key, data) if live else data
    if message is not None:
        _FORM(key=key, data=as_json(message), on_entries_change=on_entry)
