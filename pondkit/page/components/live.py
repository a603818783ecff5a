"""How a run of the page and the browser keep pace: the mark at the end of a run, and the one component through which
everything goes to and fro that follows the hand.

The whole page shows pictures, forms and texts as elements of their own. While the hand moves, only this component runs:
it brings what has changed of them, each under its key, and takes what is entered and dragged. One element costs the
browser a tenth of what all of them would. All components read their script and style by ``asset``, and number what they
send by ``next_number``.
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
    """Text of a file of this folder. Streamlit takes a text with line breaks for content, one without for a path."""
    return (_HERE / name).read_text(encoding="utf-8")


# Numbers of what is sent and of runs. They grow over a restart of the server too, as the browser compares them.
_numbers = itertools.count(round(time.time() * 1000))


def next_number() -> int:
    """A number above all that were given before."""
    return next(_numbers)


_RUN_DONE = st.components.v2.component("pondkit_run_done", js=asset("beat.js") + asset("run_done.js"))
_RUN_DONE_KEY = "pondkit_run_done"


def run_done() -> None:
    """Marks the end of a run of the whole page; its last call.

    Streamlit stops a run when a new value arrives. Sliders and pictures therefore hold the next value of a drag back
    until this mark has come, or the pictures of a page that takes longer than their pace would never be drawn.
    After runs of a part of the page alone it asks for one of the whole page once the hand rests.
    """
    _RUN_DONE(key=_RUN_DONE_KEY, data={"run": next_number()}, on_beat_change=lambda: None)


_LIVE = st.components.v2.component("pondkit_live", js=asset("beat.js") + asset("live.js"))
_KEY = "pondkit_live"
_DECIMALS = 4  # of coordinates in the unit on show: far below a pixel, and a third of the bytes of a full float
LONG = 40  # items of a list, from which on only what has changed in it is sent


@dataclass
class Live:
    """What the browser was sent, and what goes to it in a run.

    Attributes:
        part: Whether only what follows the hand runs: then nothing is mounted, and only what has changed is sent.
        mark: Number of the last such run.
        whole: What was sent of pictures as elements, by their keys, with the number of that sending.
        changes: What is sent in this run, by key.
    """

    part: bool = False
    mark: int = 0
    whole: dict[str, tuple[int, dict[str, Any]]] = field(default_factory=dict)
    changes: dict[str, dict[str, Any]] = field(default_factory=dict)

    def begin(self, *, part: bool) -> None:
        """Begins a run of the whole page, or of what follows the hand alone."""
        self.part = part
        self.changes = {}
        if not part:
            self.whole = {}

    def picture(self, key: str, shown: dict[str, Any]) -> dict[str, Any] | None:
        """All of a picture, to be mounted; None in a run of the part, by which only what has changed goes out.

        All that is sent has a number: the browser shows nothing that was sent before what it shows.
        """
        number = next_number()
        if not self.part:
            self.whole[key] = number, shown
            return {**shown, "sent": number}
        base, before = self.whole[key]
        self.changes[key] = {**_less(shown, before), "base": base, "sent": number}
        return None

    def form(self, key: str, shown: dict[str, Any]) -> dict[str, Any] | None:
        """A form, to be mounted; None in a run of the part, by which it goes out."""
        numbered = {**shown, "sent": next_number()}
        if not self.part:
            return numbered
        self.changes[key] = numbered
        return None

    def text(self, name: str, markup: str) -> None:
        """A block of markup, whose texts are escaped."""
        if self.part:
            self.changes[f"text {name}"] = {"markup": markup, "sent": next_number()}
        else:  # with a number, so that it is put anew over what came between
            st.html(f"<div data-live='{name}' data-sent='{next_number()}'>{markup}</div>")

    def show(self, on_entries: Callable[[], None], on_event: Callable[[], None]) -> None:
        """Sends what has changed; the end of a run of what follows the hand.

        Args:
            on_entries: Called before the next run when something was entered in a form: see :func:`live_entries`.
            on_event: Called before the next run when something was done in a picture: see :func:`live_event`.
        """
        if self.part:
            self.mark = next_number()
        data = encoded({"run": self.mark, "changes": self.changes})
        _LIVE(key=_KEY, data=data, on_entries_change=on_entries, on_event_change=on_event)


def live_entries() -> dict[str, list[dict[str, Any]]]:
    """What was entered and not yet answered, by the key of the form."""
    return cast("dict[str, list[dict[str, Any]]]", (st.session_state.get(_KEY) or {}).get("entries") or {})


def live_event(picture: str) -> Any:
    """What was done last in the picture of that key, a ``PictureEvent``; None when nothing was."""
    event = (st.session_state.get(_KEY) or {}).get("event") or {}
    return event["what"] if event.get("picture") == picture else None


def encoded(shown: dict[str, Any]) -> bytes:
    """Data as JSON. As bytes, since Streamlit would write a dictionary twice: to send it, and for its identity.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a plain float that is NaN or infinite; in an array it becomes a gap.
    """
    return json.dumps(shown, default=plain, allow_nan=False, separators=(",", ":")).encode()


def plain(value: object) -> Any:
    """Numpy's values as lists and numbers, a number that is not finite as None, which plotly draws as a gap."""
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


def _less(shown: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """What of a picture is not as it was. Of its traces, by their places: what has changed since ``like``, the place of
    the trace that it was made from; all of it where that is -1."""
    figure, old = shown["figure"], before["figure"]
    other = {name: value for name, value in shown.items() if name != "figure" and _differ(value, before[name])}
    rest = {name: value for name, value in figure.items() if name != "data" and _differ(value, old.get(name))}
    like = _places([trace.get("name") for trace in figure["data"]], [trace.get("name") for trace in old["data"]])
    traces: dict[int, dict[str, Any]] = {}
    for at, (trace, place) in enumerate(zip(figure["data"], like, strict=True)):
        last = old["data"][place] if place >= 0 else None
        if last is None or trace.keys() != last.keys():
            like[at], traces[at] = -1, trace
        elif trace is not last and (changed := _changed(trace, last)):
            traces[at] = changed
    moved = {} if like == list(range(len(old["data"]))) else {"like": like}
    return {**other, "figure": rest, "traces": traces, **moved}


def _places(names: list[str | None], before: list[str | None]) -> list[int]:
    """Where each name stood before, -1 for a new one: place by place where nothing came or went."""
    if len(names) == len(before):
        return list(range(len(names)))
    left: dict[str | None, list[int]] = {}
    for at, name in enumerate(before):
        left.setdefault(name, []).append(at)
    return [left[name].pop(0) if left.get(name) else -1 for name in names]


def _changed(trace: dict[str, Any], last: dict[str, Any]) -> dict[str, Any]:
    """What of a trace is not as it was."""
    return {name: _spliced(value, last[name]) for name, value in trace.items() if _differ(value, last[name])}


def _spliced(value: Any, last: Any) -> Any:
    """A long list by what has changed in it: (from where, how many are taken out, what is put there)."""
    if not (isinstance(value, list) and isinstance(last, list) and min(len(value), len(last)) >= LONG):
        return value
    short = min(len(value), len(last))
    before = _alike(value, last, short)
    behind = _alike(value[::-1], last[::-1], short - before)
    return {"stretch": [before, len(last) - before - behind, value[before : len(value) - behind]]}


def _alike(a: list[Any], b: list[Any], most: int) -> int:
    """How many items from the start on are equal in two lists, ``most`` at the most."""
    low, high = 0, most
    while low < high:
        middle = (low + high + 1) // 2
        if a[low:middle] == b[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def _differ(a: Any, b: Any) -> bool:
    """False where two values are known to be equal."""
    if a is b:
        return False
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        return not np.array_equal(a, b)
    try:
        return bool(a != b)
    except ValueError:  # arrays inside them are not looked into
        return True
