"""A plotly picture that is redrawn in place, keeps zoom and camera, and reports what was tapped, dragged or drawn in
it; and the image that lies under plans, sent to the browser once.
"""

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, NotRequired, TypedDict

import streamlit as st

from pondkit.page.components.live import Live, as_json, asset, live_event

_LOADER = st.components.v2.component("pondkit_plotly_loader", js=asset("plotly_loader.js"))
_LOADER_KEY = "pondkit_plotly_loader"


@st.fragment
def plotly_loader() -> None:
    """Loads plotly's script (4.7 MB) into the page as ``window.Plotly``, once.

    The browser answers when it has the script, and from then on it is neither encoded nor sent. The answer runs this
    fragment alone, and does not interrupt a run of the whole page.
    """
    loaded = st.session_state.get(_LOADER_KEY, {}).get("loaded", False)
    _LOADER(key=_LOADER_KEY, data=None if loaded else _plotly_script())


@cache
def _plotly_script() -> bytes:
    return files("plotly").joinpath("package_data/plotly.min.js").read_bytes()


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
    """Something that a person did in a picture.

    Attributes:
        kind: "handle": the handle ``id`` was dragged to x, y; "add": a further point was set there; "choose": the
            handle was tapped; "remove": its thing was removed. "tap": a place x, y away from all handles was tapped.
            "draw": something was drawn with a tool; "leave": a refused drawing was dismissed. "fit": everything is to
            be shown.
        x, y: Place in the figure's coordinates.
        reach: Distance up to which a thing counts as tapped, in the figure's coordinates.
        twice: Whether the place was tapped twice.
        tool, points, stroke, number: Id of the tool, the places drawn, whether by a stroke, and the number of the
            drawing.
        drag: The same number for all events of one drag or one burst of keys.
        n: Grows with each event.
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


class PictureHandle(TypedDict):
    """A handle over a picture.

    Attributes:
        id, kind, label: As of ``handles.Handle``.
        x, y: Its place in the figure's coordinates.
        corner: Index of the guide's corner that moves with it; None for none.
        removable: Whether its thing can be removed.
        whole: Whether all of the guide moves with it.
        chosen: Whether its thing is chosen.
        quiet: Whether it has no mark, as its controls are not on show.
    """

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
    """A drawing tool over a picture; see ``tools.Tool`` for its fields."""

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


class ChosenThing(TypedDict):
    """The chosen thing: the id by which it is removed, and its name."""

    id: str
    label: str


class LastDrawing(TypedDict):
    """Number of the last drawing that was handled, and whether it was refused."""

    number: int
    refused: bool


class Edit(TypedDict):
    """What can be edited in a picture, in the figure's coordinates.

    Attributes:
        handles: The handles.
        guide: Corners of the closed line that follows a drag at once.
        about: Pivot of "turn"; None without one.
        line: Ends of the section line; None without one.
        grid: Size of the grid that places snap to; 0 for none.
        fine: Step of an arrow key without a grid.
        unit: Unit of the figure's coordinates.
        tools: What can be drawn.
        chosen: The chosen thing; None for nothing.
        drawn: The last drawing.
    """

    handles: list[PictureHandle]
    guide: list[list[float]]
    about: list[float] | None
    line: list[list[float]] | None
    grid: float
    fine: float
    unit: str
    tools: list[ToolButton]
    chosen: ChosenThing | None
    drawn: LastDrawing


class PictureUnder(TypedDict):
    """An image under a plot, in the figure's coordinates: its name (see ``backdrop``), middle, width, height, turn
    anticlockwise [degrees], and strength from 0 to 1.
    """

    name: str
    x: float
    y: float
    width: float
    height: float
    turn_deg: float
    strength: float


@dataclass(frozen=True)
class PictureState:
    """How a picture is shown while the design is worked on.

    Attributes:
        stale: Whether to grey it, as the last good picture of a design that has a problem now.
        note: Words laid over the picture.
        may_lag: Whether it is drawn less often while the pointer is down, so that other pictures follow sooner.
        moves: Whether a change first moves the lines that are drawn already, and plotly draws anew when the hand rests.
            Only the bare page of the benchmark does without.
        edit: What can be edited in it; None for nothing.
        under: The image under it; None for none.
    """

    stale: bool = False
    note: str = ""
    may_lag: bool = False
    moves: bool = True
    edit: Edit | None = None
    under: PictureUnder | None = None


PLAIN = PictureState()


def picture(
    key: str,
    figure: dict[str, Any],
    *,
    height: int,
    takes: Takes | None = None,
    alt: str,
    state: PictureState = PLAIN,
    live: Live | None = None,
) -> None:
    """Shows a plotly figure. :func:`plotly_loader` must be on the page too.

    Zoom and camera stay as long as ``layout.uirevision`` does (a constant if it is left out).

    Args:
        key: Name of the picture, unique on the page; a new key makes a new picture.
        figure: ``{"data": [...], "layout": {...}, "config": {...}}`` in plotly's JSON form. ``config`` may be left out;
            numpy arrays are allowed anywhere.
        height: Height [px], without ``takes``. The width is that of the container.
        takes: Its role, if the style sheet sets its height by the height of the window.
        alt: What the picture shows, in words, for screen readers.
        state: How it is shown while the design is worked on.
        live: What makes it follow the hand, and reports what was done in it; None for a picture that stays as it is.

    Raises:
        TypeError: a value that JSON has no form for.
        ValueError: a plain float that is NaN or infinite; in an array it becomes a gap.
    """
    event = live_event(key) if live else None
    content: dict[str, Any] = {
        "key": key,
        "figure": figure,
        "height": 0 if takes else height,
        "takes": takes,
        "alt": alt,
        "stale": state.stale,
        "note": state.note,
        "may_lag": state.may_lag,
        "moves": state.moves,
        "edit": state.edit,
        "under": state.under,
        "answered": event["n"] if event else 0,
    }
    data = live.picture(key, content) if live else content
    if data is not None:
        _PICTURE(key=key, data=as_json(data), height="content" if takes else height)


_BACKDROP = st.components.v2.component("pondkit_backdrop", js=asset("backdrop.js"))
_KEY = "pondkit_backdrop"


def backdrop(name: str, letters: str) -> None:
    """Sends an image to the browser under a name, once.

    Args:
        name: Name by which plans refer to it; another image must have another name.
        letters: JPEG in base64.
    """
    held_name = st.session_state.get(_KEY, {}).get("held")
    data = {"name": name, "letters": None if held_name == name else letters}
    _BACKDROP(key=_KEY, data=data, on_held_change=lambda: None)
