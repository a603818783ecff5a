"""A plotly picture that is redrawn in place, keeps zoom and camera, and tells what was clicked or dragged."""

import json
from collections.abc import Callable
from typing import Any, Literal, NotRequired, TypedDict, cast

import numpy as np
import streamlit as st

from pondkit.page.components.assets import asset

# Not isolated: plotly puts its own styles into the document, where a shadow root would not see them.
_PICTURE = st.components.v2.component(
    "pondkit_picture",
    html=asset("picture.html"),
    css=asset("picture.css"),
    js=asset("picture.js"),
    isolate_styles=False,
)

_DECIMALS = 4  # of coordinates in the unit on show: far below a pixel, and a third of the bytes of a full float


class PictureEvent(TypedDict):
    """What a person did in a picture.

    kind "pick": a point or filled area was clicked; ``what`` is the point's ``customdata``, else its trace's ``meta``.
    kind "line": an editable line was moved; ``line`` is x0, y0, x1, y1 in the figure's own coordinates.
    drag: the same for all events of one drag of a line.
    n: grows with each event.
    """

    kind: Literal["pick", "line"]
    what: NotRequired[Any]
    line: NotRequired[list[float]]
    drag: NotRequired[int]
    n: int


def picture_event(key: str) -> PictureEvent | None:
    """What was done last in the picture of that key; None when nothing was. To be read in its ``on_event``."""
    return cast("PictureEvent | None", st.session_state.get(key, {}).get("event"))


def picture(
    key: str,
    figure: dict[str, Any],
    *,
    height: int,
    alt: str,
    stale: bool = False,
    note: str = "",
    may_lag: bool = False,
    on_event: Callable[[], None] | None = None,
) -> None:
    """Shows a plotly figure. :func:`plotly_loader` must be on the page too.

    A line in ``layout.shapes`` with ``editable`` true can be dragged when ``config`` has ``edits.shapePosition`` true;
    it is told during the drag, and a figure that arrives meanwhile is held until the drag was answered. Other shapes
    stay where they are. Zoom and camera stay while ``layout.uirevision`` does (a constant when it is left out).

    Args:
        key: Name of the picture, unique on the page; a new key makes a new one.
        figure: ``{"data": [...], "layout": {...}, "config": {...}}`` in plotly's JSON form, ``config`` may be left out;
            numpy arrays are allowed anywhere.
        height: Height [px]; the width is that of its place.
        alt: What the picture shows, in words, for screen readers.
        stale: Whether to grey it, as the last good picture of a design that has a problem now.
        note: Words laid over the picture.
        may_lag: Whether it is drawn less often while the pointer is down, so that the others follow a slider sooner.
        on_event: Called before the next run after a click or a drag; reads it with :func:`picture_event`.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a plain float that is NaN or infinite; in an array it becomes a gap.
    """
    done = picture_event(key)
    shown = {
        "figure": figure,
        "height": height,
        "alt": alt,
        "stale": stale,
        "note": note,
        "may_lag": may_lag,
        "listens": on_event is not None,
        "answered": done["n"] if done else 0,
    }
    # Bytes, since Streamlit would write a dictionary as JSON twice: to send it, and for its identity.
    text = json.dumps(shown, default=_plain, allow_nan=False, separators=(",", ":"))
    _PICTURE(key=key, data=text.encode(), height=height, on_event_change=on_event)


def _plain(value: object) -> Any:
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
    return np.where(np.isfinite(rounded), rounded, None).tolist()  # type: ignore[call-overload]  # None makes it an object array
