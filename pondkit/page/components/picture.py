"""A plotly picture that is redrawn in place, keeps zoom and camera, and tells what was clicked or dragged; and the
picture of the site that plans draw under themselves, brought into the browser once.
"""

from dataclasses import dataclass
from typing import Any, Literal, NotRequired, TypedDict

import streamlit as st

from pondkit.page.components.live import Live, asset, encoded, live_event

_LOADER = st.components.v2.component("pondkit_plotly_loader", js=asset("plotly_loader.js"))
_LOADER_KEY = "pondkit_plotly_loader"


def plotly_loader(script: str) -> None:
    """Puts plotly's script into the page as ``window.Plotly``, once.

    The browser answers when it has the script, which costs one more run at the start; from then on nothing of it is
    sent or even encoded.

    Args:
        script: Text of ``plotly.min.js``.
    """
    loaded = st.session_state.get(_LOADER_KEY, {}).get("loaded", False)
    _LOADER(key=_LOADER_KEY, data=None if loaded else script.encode())


# Not isolated: plotly puts its own styles into the document, where a shadow root would not see them.
_PICTURE = st.components.v2.component(
    "pondkit_picture",
    html=asset("picture.html"),
    css=asset("picture.css"),
    js=asset("handles.js") + asset("tools.js") + asset("under.js") + asset("follow.js") + asset("picture.js"),
    isolate_styles=False,
)
Takes = Literal["plan", "section", "client", "client alone", "model", "model alone"]


class PictureEvent(TypedDict):
    """What a person did in a picture.

    kind "handle": a handle was dragged to x, y in the figure's own coordinates; "add": its further point was set there;
    "choose": it was tapped; "remove": its thing was taken away. ``id`` is the handle's.
    kind "tap": a place beside all handles was tapped, once or ``twice``; ``reach`` is how near counts as there.
    kind "draw": a ``tool`` gave ``points``, by a ``stroke`` or one by one, as drawing ``number``; "leave": what was
    refused was left; "fit": all is to be shown.
    drag: the same for all events of one drag, or one burst of keys.
    n: grows with each event.
    """

    kind: Literal["handle", "add", "choose", "remove", "tap", "draw", "leave", "fit"]
    reach: NotRequired[float]
    twice: NotRequired[bool]
    tool: NotRequired[str]
    points: NotRequired[list[list[float]]]
    stroke: NotRequired[bool]
    number: NotRequired[int]
    id: NotRequired[str]
    x: NotRequired[float]
    y: NotRequired[float]
    drag: NotRequired[int]
    n: int


class Grasp(TypedDict):
    """A handle over a picture: its id, its place in the figure's own coordinates, its mark and words, the corner of the
    guide that goes with it (None for none), whether it can be removed, whether the whole guide moves with it, whether
    it is what is chosen, and whether it is without a mark, as of what belongs to other controls than those on show."""

    id: str
    kind: str
    x: float
    y: float
    label: str
    corner: int | None
    removable: bool
    whole: bool
    chosen: bool
    quiet: bool


class ToolButton(TypedDict):
    """A tool over a picture: its id, label and help, the least and most places that it takes, whether they go round
    something, whether a stroke will do for them, the shape that two corners span ("" for none), whether it is taken up
    again for the next thing, and whether what it draws is kept."""

    id: str
    label: str
    help: str
    least: int
    most: int
    closed: bool
    stroke: bool
    shape: str
    again: bool
    keeps: bool


class Chosen(TypedDict):
    """What is chosen: the id by which it is removed, and its words."""

    id: str
    label: str


class Drawn(TypedDict):
    """The number of the last drawing that was taken up, and whether it was refused."""

    number: int
    refused: bool


class Edit(TypedDict):
    """What can be taken hold of in a picture, in the figure's own coordinates.

    handles: the handles.
    guide: corners of the closed line that follows a drag at once.
    about: centre that "turn" goes by; None without one.
    line: ends of the section line; None without one.
    grid: size of the grid that places snap to; 0 for none.
    fine: step of an arrow key where there is no grid.
    unit: unit of the figure's coordinates.
    tools: what can be drawn.
    chosen: what is chosen; None for nothing.
    drawn: the last drawing.
    """

    handles: list[Grasp]
    guide: list[list[float]]
    about: list[float] | None
    line: list[list[float]] | None
    grid: float
    fine: float
    unit: str
    tools: list[ToolButton]
    chosen: Chosen | None
    drawn: Drawn


class PictureUnder(TypedDict):
    """A picture under a plot, in the figure's own coordinates: its name (see ``backdrop``), middle, width, height, turn
    anticlockwise, and strength from 0 to 1."""

    name: str
    x: float
    y: float
    width: float
    height: float
    turn_deg: float
    strength: float


@dataclass(frozen=True)
class Worked:
    """How a picture is shown while the design is worked on.

    Attributes:
        stale: Whether to grey it, as the last good picture of a design that has a problem now.
        note: Words laid over the picture.
        may_lag: Whether it is drawn less often while the pointer is down, so that the others follow a slider sooner.
        moves: Whether a figure of the same make is first moved into what stands there, and drawn anew when the hand
            rests; the bare page of the benchmark does without.
        edit: What can be taken hold of in it; None for nothing.
        under: What lies under it; None for nothing.
    """

    stale: bool = False
    note: str = ""
    may_lag: bool = False
    moves: bool = True
    edit: Edit | None = None
    under: PictureUnder | None = None


PLAIN = Worked()


def picture(
    key: str,
    figure: dict[str, Any],
    *,
    height: int,
    takes: Takes | None = None,
    alt: str,
    worked: Worked = PLAIN,
    live: Live | None = None,
) -> None:
    """Shows a plotly figure. :func:`plotly_loader` must be on the page too.

    Zoom and camera stay while ``layout.uirevision`` does (a constant when it is left out).

    Args:
        key: Name of the picture, unique on the page; a new key makes a new one.
        figure: ``{"data": [...], "layout": {...}, "config": {...}}`` in plotly's JSON form, ``config`` may be left out;
            numpy arrays are allowed anywhere.
        height: Height [px]; the width is that of its place.
        takes: What it is, where its height goes by the window's, as the style sheet says.
        alt: What the picture shows, in words, for screen readers.
        worked: How it is shown while the design is worked on.
        live: By which it follows the hand, and tells what was done in it; None for a picture that stands still.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a plain float that is NaN or infinite; in an array it becomes a gap.
    """
    done = live_event(key) if live else None
    shown: dict[str, Any] = {
        "key": key,
        "figure": figure,
        "height": 0 if takes else height,
        "takes": takes,
        "alt": alt,
        "stale": worked.stale,
        "note": worked.note,
        "may_lag": worked.may_lag,
        "moves": worked.moves,
        "edit": worked.edit,
        "under": worked.under,
        "answered": done["n"] if done else 0,
    }
    data = live.picture(key, shown) if live else shown
    if data is not None:
        _PICTURE(key=key, data=encoded(data), height="content" if takes else height)


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
