"""Editing on the plan: what the picture is told that can be taken hold of, and what its events do."""

from typing import Any

import streamlit as st

from pondkit.core.result import Path
from pondkit.drawing import frame
from pondkit.drawing.to_scale import aspect
from pondkit.page import on_plan, things
from pondkit.page import photos as pictures
from pondkit.page.components import Edit, PictureEvent, PictureUnder, ToolButton, backdrop
from pondkit.page.on_plan import Spot
from pondkit.page.sidebar import ITEMS
from pondkit.page.state import Desk, guarded, widget
from pondkit.page.tools import TOOLS, Drawing, drawn
from pondkit.project.project import Project

FINE = 0.1  # of a unit: step of an arrow key where no grid is set
NO_GRID = "off"
REACH = 0.015  # of the width that the plan shows: how near to a thing counts as at it
ON_PLAN = "on plan"  # what was tapped, dragged or drawn last
FIELDS = ("at", "pick_up", "second_at", "turn_deg")  # what handles of whole things move
FIRST_LISTS: dict[str, Path] = {
    "Pools": ("pools",),
    "Links": ("links",),
    "Stone": ("stone", "boulders"),
    "Lifting": ("lifting", "positions"),
    "Walls": ("walls", "walls"),
    "Tunnels": ("tunnels", "nodes"),
}
TOOL_BAR: list[ToolButton] = [
    {
        "id": tool.id,
        "label": tool.label,
        "help": tool.help,
        "least": tool.least,
        "most": tool.most,
        "closed": tool.closed,
        "stroke": tool.stroke,
        "shape": tool.shape,
        "again": tool.again,
        "keeps": tool.keeps,
    }
    for tool in TOOLS
]


def graspable(desk: Desk, line: tuple[Spot, Spot] | None) -> Edit:
    """What can be taken hold of on the plan, in its unit.

    Args:
        desk: The person's work.
        line: Section line as it is drawn [m].
    """
    found = on_plan.on_plan(desk.project, desk.option, _trade(desk), chosen_pool(desk), line)
    chosen = thing(desk)
    called = things.called(desk.project, desk.option, chosen) if chosen else ""
    unit = frame.PLAN_UNIT[desk.units]

    def shown(place: Spot) -> list[float]:
        return [float(value) for value in frame.in_unit(list(place), unit, 4)]

    return Edit(
        handles=[
            {
                "id": handle.id,
                "kind": handle.kind,
                "x": shown(handle.at)[0],
                "y": shown(handle.at)[1],
                "label": on_plan.said(handle, desk.units),
                "corner": handle.corner,
                "removable": handle.removable or bool(things.called(desk.project, desk.option, _path(handle.id))),
                "whole": handle.id == "picture/at" or (handle.id.startswith("pools/") and handle.id.count("/") == 2),
                "chosen": bool(chosen) and _path(handle.id) == chosen,
                "quiet": handle.quiet,
            }
            for handle in found.handles
        ],
        guide=[shown(place) for place in found.guide],
        about=shown(found.about) if found.about else None,
        line=[shown(end) for end in line] if line else None,
        grid=on_plan.grid(_grid(desk), desk.units),
        fine=FINE,
        unit=unit,
        tools=TOOL_BAR,
        chosen={"id": "/".join(map(str, chosen)), "label": called} if called else None,
        drawn={"number": desk.drawn[0], "refused": desk.drawn[1]},
    )


def under(desk: Desk) -> PictureUnder | None:
    """The picture under the plan, in its unit; the browser is handed it where it has it not yet."""
    picture = desk.project.picture
    if picture is None:
        return None
    name = pictures.called(picture)
    if not desk.live.part:
        backdrop(name, picture.data)
    unit = frame.PLAN_UNIT[desk.units]
    width = float(picture.width)
    x, y, wide, high = (float(v) for v in frame.in_unit([*picture.at, width, width * aspect(picture)], unit, 4))
    return PictureUnder(
        name=name, x=x, y=y, width=wide, height=high, turn_deg=float(picture.turn_deg), strength=float(picture.strength)
    )


def act(desk: Desk, event: PictureEvent, line: tuple[Spot, Spot] | None) -> None:
    """Do what an event of the plan asks for; what is refused is said, and the design stays."""
    one = frame.magnitude_of(frame.PLAN_UNIT[desk.units])
    try:
        match event["kind"]:
            case "draw":
                _draw(desk, event, one)
            case "tap":
                _tap(desk, (event["x"] * one, event["y"] * one), event["reach"] * one, event["twice"])
            case "choose":
                choose(desk, _path(event["id"]))
            case "remove":
                _remove(desk, _path(event["id"]))
            case "leave":
                desk.message, desk.drawn = "", (desk.drawn[0], False)
            case "fit":
                desk.fit = True
            case "add":
                to = (event["x"] * one, event["y"] * one)
                desk.edit(lambda: on_plan.added(desk.project, desk.option, event["id"], to, desk.units))
            case _:
                to = (event["x"] * one, event["y"] * one)
                path, value = on_plan.moved(desk.project, desk.option, event["id"], to, line, desk.units)
                _put(desk, path, value, event["drag"])
                choose(desk, _path(event["id"]))
    except (LookupError, AttributeError):
        desk.message = "That part is no longer there: the plan has changed since."


def _path(handle: str) -> Path:
    """The thing that a handle or a name of it stands for: without the field that the handle moves."""
    path = tuple(int(step) if step.isdigit() else step for step in handle.rstrip("+").split("/"))
    return path[:-1] if path[-1] in FIELDS else path


def _draw(desk: Desk, event: PictureEvent, one: float) -> None:
    """What a tool drew; where that is refused the browser keeps it in sight."""
    places = tuple((float(x) * one, float(y) * one) for x, y in event["points"])
    drawing = Drawing(event["tool"], places, event["stroke"], REACH * _wide(desk), thing(desk))
    made: list[Path] = []

    def work() -> Project:
        project, path = drawn(desk.project, desk.option, drawing, desk.units)
        made.append(path)
        return project

    desk.drawn = event["number"], True
    desk.edit(work)
    if made:
        desk.drawn = event["number"], False
        choose(desk, things.thing_of(desk.option, made[0]))


def _wide(desk: Desk) -> float:
    """How wide the plan shows [m]."""
    return desk.framed.span[2] - desk.framed.span[0] if desk.framed else 0.0


def _tap(desk: Desk, place: Spot, reach: float, twice: bool) -> None:
    path = things.thing_at(desk.project, desk.option, place, reach)
    if path and twice:
        _remove(desk, path)
    elif path:
        choose(desk, path)


def _remove(desk: Desk, path: Path) -> None:
    """Without a thing; what went is said, since one that is removed by two taps may have been meant to stay."""
    called = things.called(desk.project, desk.option, path)
    desk.edit(lambda: things.removed(desk.project, desk.option, path))
    desk.chosen.pop(ON_PLAN, None)
    desk.notice = (
        f"{called[:1].upper()}{called[1:]} was removed; ↶ brings it back." if called and not desk.message else ""
    )


def choose(desk: Desk, path: Path) -> None:
    """Shows a thing's controls, and marks it on the plan."""
    if not (trade := things.trade_of(path)):
        return
    desk.chosen["trade"] = trade
    for held, index in things.lists_of(things.absolute(desk.option, path)):
        if held != ("options",):
            desk.chosen[str(held)] = index
    lists = ITEMS.get(str(path[0]), ())
    for number, items in enumerate(lists):
        if len(lists) > 1 and len(path) > 1 and items.field == path[1]:
            desk.chosen[f"list {path[0]}"] = number
    desk.chosen[ON_PLAN] = "/".join(map(str, path))


def thing(desk: Desk) -> Path:
    """What is chosen, on the plan or in the controls: the latter where they show something else now; () for nothing."""
    trade = _trade(desk)
    if name := desk.chosen.get(ON_PLAN):
        path = _path(str(name))
        held = things.lists_of(things.absolute(desk.option, path))
        shown = all(int(desk.chosen.get(str(items), 0)) == index for items, index in held if items != ("options",))
        if shown and things.trade_of(path) == trade and things.called(desk.project, desk.option, path):
            return path
    if trade not in FIRST_LISTS:
        return ()
    items = FIRST_LISTS[trade]
    path = (*items, int(desk.chosen.get(str(things.absolute(desk.option, items)), 0)))
    return path if things.called(desk.project, desk.option, path) else ()


def _put(desk: Desk, path: Path, value: Any, drag: int) -> None:
    key = "on the plan"
    desk.enter(path, value, drag, key, "")
    if refused := desk.refused.pop(key, None):
        desk.message = refused[1]


def _trade(desk: Desk) -> str:
    return str(desk.chosen.get("trade", "Pools"))


def chosen_pool(desk: Desk) -> int:
    """Index of the pool whose controls are on show, or were last."""
    return int(desk.chosen.get(str(("options", desk.option, "pools")), 0))


def _grid(desk: Desk) -> str | None:
    names = on_plan.GRIDS[desk.units]
    chosen = desk.chosen.get(f"grid {desk.units}", names[1])
    return None if chosen == NO_GRID else str(chosen)


def plan_settings(desk: Desk) -> None:
    """What is set for drawing on the plan: the grid to which places snap."""
    key = f"grid {desk.units}"
    st.segmented_control(
        "Snap to a grid of",
        (NO_GRID, *on_plan.GRIDS[desk.units]),
        default=_grid(desk) or NO_GRID,
        key=f"{key} widget",
        required=True,
        on_change=guarded(lambda: desk.chosen.__setitem__(key, widget(f"{key} widget"))),
    )
    st.caption(
        "Drag a mark on the plan, or reach it with the tab key and move it with the arrow keys (with Shift ten steps). "
        "A plus sets a further point. A tap chooses what is there; two taps, or the Delete key, remove it. A tool from "
        "the row over the plan draws by taps, or by the arrow keys with Enter at each place; Escape leaves it. Hold "
        "Ctrl and turn the wheel to zoom."
    )
