"""Editing on the plan: what the picture is told that can be taken hold of, and what its events do."""

from typing import Any

import streamlit as st

from pondkit.core.result import Path
from pondkit.drawing import frame
from pondkit.drawing.site_image import aspect
from pondkit.page import on_plan
from pondkit.page.backdrop import called
from pondkit.page.components import Edit, PictureEvent, PictureUnder, backdrop
from pondkit.page.on_plan import Spot
from pondkit.page.state import Desk, guarded, widget

FINE = 0.1  # of a unit: step of an arrow key where no grid is set
NO_GRID = "off"


def graspable(desk: Desk, line: tuple[Spot, Spot] | None) -> Edit:
    """What can be taken hold of on the plan, in its unit.

    Args:
        desk: The person's work.
        line: Section line as it is drawn [m].
    """
    found = on_plan.on_plan(desk.project, desk.option, _trade(desk), chosen_pool(desk), line)
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
                "removable": handle.removable,
                "whole": handle.id == "picture/at" or (handle.id.startswith("pools/") and handle.id.count("/") == 2),
            }
            for handle in found.handles
        ],
        guide=[shown(place) for place in found.guide],
        about=shown(found.about) if found.about else None,
        line=[shown(end) for end in line] if line else None,
        grid=on_plan.grid(_grid(desk), desk.units),
        fine=FINE,
    )


def under(desk: Desk) -> PictureUnder | None:
    """The picture under the plan, in its unit; the browser is handed it where it has it not yet."""
    picture = desk.project.picture
    if picture is None:
        return None
    name = called(picture)
    backdrop(name, picture.data)
    unit = frame.PLAN_UNIT[desk.units]
    width = float(picture.width)
    x, y, wide, high = (float(v) for v in frame.in_unit([*picture.at, width, width * aspect(picture)], unit, 4))
    return PictureUnder(
        name=name, x=x, y=y, width=wide, height=high, turn_deg=float(picture.turn_deg), strength=float(picture.strength)
    )


def act(desk: Desk, event: PictureEvent, line: tuple[Spot, Spot] | None) -> None:
    """Do what an event of the plan asks for; what is refused is said, and the design stays."""
    if event["kind"] == "pick":
        if isinstance(event.get("what"), list):
            desk.chosen["trade"] = "Pools"
            desk.chosen[str(("options", desk.option, "pools"))] = int(event["what"][1])
        return
    one = frame.magnitude_of(frame.PLAN_UNIT[desk.units])
    handle = event["id"]
    try:
        if event["kind"] == "remove":
            desk.edit(lambda: on_plan.removed(desk.project, desk.option, handle))
            return
        to = (event["x"] * one, event["y"] * one)
        if event["kind"] == "add":
            desk.edit(lambda: on_plan.added(desk.project, desk.option, handle, to, desk.units))
            return
        path, value = on_plan.moved(desk.project, desk.option, handle, to, line, desk.units)
        _put(desk, path, value, event["drag"])
    except (LookupError, AttributeError):
        desk.message = "That part is no longer there: the plan has changed since."


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
        "A plus sets a further point; the Delete key takes a point or a placed boulder away."
    )
