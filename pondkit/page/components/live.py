"""What keeps the page and the browser in step: the mark at the end of a run (``run_done``), and the one component
through which everything that follows the hand is sent and received (``Live``).

The whole page shows pictures, forms and texts as elements of their own. While the hand moves, only this component runs:
it sends what has changed of them, each under its key, and receives what is entered and dragged. One element costs the
browser a tenth of what all of them would. Every component reads its script and style by ``asset``, and numbers what it
sends by ``next_number``.
"""

import itertools
import json
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, cast

import numpy as np
import streamlit as st

_HERE = Path(__file__).parent


def asset(name: str) -> str:
    """Text of a file of this folder. Streamlit takes a text with line breaks as content, and one without as a path."""
    return (_HERE / name).read_text(encoding="utf-8")


# Numbers of runs and of what is sent. The browser compares them, so they must grow over a restart of the server too.
_numbers = itertools.count(round(time.time() * 1000))


def next_number() -> int:
    """A number greater than all given before."""
    return next(_numbers)


_RUN_DONE = st.components.v2.component("pondkit_run_done", js=asset("beat.js") + asset("run_done.js"))
_RUN_DONE_KEY = "pondkit_run_done"


def run_done() -> None:
    """Marks the end of a run of the whole page; to be called last.

    Streamlit stops a run when a new value arrives. Sliders and pictures therefore hold back the next value of a drag
    until this mark has come; otherwise the pictures of a page slower than the hand would never be drawn. After partial
    runs it asks for one run of the whole page once the hand rests.
    """
    _RUN_DONE(key=_RUN_DONE_KEY, data={"run": next_number()}, on_beat_change=lambda: None)


_LIVE = st.components.v2.component("pondkit_live", js=asset("beat.js") + asset("live.js"))
_KEY = "pondkit_live"
_DECIMALS = 4  # of coordinates in the unit of the figure: far below a pixel, and a third of the bytes of a full float
LONG = 40  # least number of items in a list of which only the changed ones are sent


@dataclass
class Live:
    """What the browser was sent, and what is sent to it in this run.

    Attributes:
        partial_run: Whether only the part that follows the hand runs. Then no element is mounted, and only what has
            changed is sent.
        mark: Number of the last partial run.
        whole: Pictures that were sent whole, by key: the number under which, and the content.
        changes: What is sent in this run, by key.
    """

    partial_run: bool = False
    mark: int = 0
    whole: dict[str, tuple[int, dict[str, Any]]] = field(default_factory=dict)
    changes: dict[str, dict[str, Any]] = field(default_factory=dict)

    def begin(self, *, partial_run: bool) -> None:
        """Begins a run of the whole page, or a partial run."""
        self.partial_run = partial_run
        self.changes = {}
        if not partial_run:
            self.whole = {}

    def picture(self, key: str, content: dict[str, Any]) -> dict[str, Any] | None:
        """The content of a picture to be mounted. In a partial run only what has changed is sent, through this
        component, and the result is None.

        Everything sent has a number, so that the browser shows nothing older than what it shows already.
        """
        number = next_number()
        if not self.partial_run:
            self.whole[key] = number, content
            return {**content, "sent": number}
        base, before = self.whole[key]
        self.changes[key] = {**_picture_changes(content, before), "base": base, "sent": number}
        return None

    def form(self, key: str, content: dict[str, Any]) -> dict[str, Any] | None:
        """The content of a form to be mounted; None in a partial run, in which it is sent through this component."""
        numbered = {**content, "sent": next_number()}
        if not self.partial_run:
            return numbered
        self.changes[key] = numbered
        return None

    def text(self, name: str, markup: str) -> None:
        """Shows a block of markup. The caller escapes its texts."""
        if self.partial_run:
            self.changes[f"text {name}"] = {"markup": markup, "sent": next_number()}
        else:  # with a number, so that it replaces what a partial run has put there
            st.html(f"<div data-live='{name}' data-sent='{next_number()}'>{markup}</div>")

    def show(self, on_entries: Callable[[], None], on_event: Callable[[], None]) -> None:
        """Sends what has changed; to be called at the end of the part that follows the hand.

        Args:
            on_entries: Called before the next run if something was entered in a form: see :func:`live_entries`.
            on_event: Called before the next run if something was done in a picture: see :func:`live_event`.
        """
        if self.partial_run:
            self.mark = next_number()
        data = as_json({"run": self.mark, "changes": self.changes})
        _LIVE(key=_KEY, data=data, on_entries_change=on_entries, on_event_change=on_event)


def live_entries() -> dict[str, list[dict[str, Any]]]:
    """What was entered and not yet answered, by the key of the form."""
    return cast("dict[str, list[dict[str, Any]]]", (st.session_state.get(_KEY) or {}).get("entries") or {})


def live_event(picture: str) -> Any:
    """What was last done in the picture of that key, a ``PictureEvent``; None for nothing."""
    event = (st.session_state.get(_KEY) or {}).get("event") or {}
    return event["what"] if event.get("picture") == picture else None


def as_json(content: dict[str, Any]) -> bytes:
    """Data as JSON in bytes. Streamlit would encode a dictionary twice, to send it and to compare it.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a plain float that is NaN or infinite; in an array it becomes a gap.
    """
    return json.dumps(content, default=json_value, allow_nan=False, separators=(",", ":")).encode()


def json_value(value: object) -> Any:
    """Numpy values as lists and numbers. A number that is not finite becomes None, which plotly draws as a gap."""
    if isinstance(value, np.generic):
        value = np.asarray(value)
    if not isinstance(value, np.ndarray):
        raise TypeError(f"A figure holds a {type(value).__name__}, which JSON has no form for.")
    if value.dtype.kind != "f":
        return value.tolist()
    rounded = np.round(value.astype(float), _DECIMALS)
    if np.isfinite(rounded).all():
        return rounded.tolist()
    gaps = rounded.astype(object)
    gaps[~np.isfinite(rounded)] = None
    return gaps.tolist()


def _picture_changes(content: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """What has changed in a picture. ``traces`` has the changes of each trace by its index, ``like`` the index of the
    earlier trace that they are changes of; where that is -1 the trace is sent whole.
    """
    figure, old = content["figure"], before["figure"]
    other = {name: value for name, value in content.items() if name != "figure" and _differ(value, before[name])}
    rest = {name: value for name, value in figure.items() if name != "data" and _differ(value, old.get(name))}
    like = _earlier_indices(
        [trace.get("name") for trace in figure["data"]], [trace.get("name") for trace in old["data"]]
    )
    traces: dict[int, dict[str, Any]] = {}
    for index, (trace, place) in enumerate(zip(figure["data"], like, strict=True)):
        last = old["data"][place] if place >= 0 else None
        if last is None or trace.keys() != last.keys():
            like[index], traces[index] = -1, trace
        elif trace is not last and (changes := _trace_changes(trace, last)):
            traces[index] = changes
    moved = {} if like == list(range(len(old["data"]))) else {"like": like}
    return {**other, "figure": rest, "traces": traces, **moved}


def _earlier_indices(names: list[str | None], before: list[str | None]) -> list[int]:
    """Index at which each name stood before, -1 for a new one. Lists of equal length correspond index by index."""
    if len(names) == len(before):
        return list(range(len(names)))
    indices: dict[str | None, list[int]] = {}
    for index, name in enumerate(before):
        indices.setdefault(name, []).append(index)
    return [indices[name].pop(0) if indices.get(name) else -1 for name in names]


def _trace_changes(trace: dict[str, Any], last: dict[str, Any]) -> dict[str, Any]:
    """The items of a trace that have changed."""
    return {name: _list_change(value, last[name]) for name, value in trace.items() if _differ(value, last[name])}


def _list_change(value: Any, last: Any) -> Any:
    """A long list as a change of the last one: (index, number of items removed there, items put in). A short list is
    sent whole.
    """
    if not (isinstance(value, list) and isinstance(last, list) and min(len(value), len(last)) >= LONG):
        return value
    short = min(len(value), len(last))
    before = _common_start(value, last, short)
    after = _common_start(value[::-1], last[::-1], short - before)
    return {"stretch": [before, len(last) - before - after, value[before : len(value) - after]]}


def _common_start(a: list[Any], b: list[Any], most: int) -> int:
    """Number of equal items at the start of two lists, ``most`` at the most."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if a[low:middle] == b[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _differ(a: Any, b: Any) -> bool:
    """False if two values are known to be equal."""
    if a is b:
        return False
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        return not np.array_equal(a, b)
    try:
        return bool(a != b)
    except ValueError:  # values that hold arrays are not compared further
        return True
