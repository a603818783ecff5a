"""Editing on the plan. ``graspable`` tells the picture what can be taken hold of, and ``act`` does what its events ask
for: a handle dragged, something drawn with a tool, a thing tapped, chosen or removed.

The second half finds things: which one lies at a place, what it is called, how it is chosen and removed. A thing is
named by its path in the document: within the option (``stone/boulders/0/places/2``), or within the site
(``keep_outs/1``).
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np
import streamlit as st

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.drawing import frame
from pondkit.drawing.to_scale import aspect
from pondkit.page import edits, handles, images
from pondkit.page.components import Edit, PictureEvent, PictureUnder, ToolButton, backdrop
from pondkit.page.contents import ITEMS
from pondkit.page.handles import Spot
from pondkit.page.state import Desk, guarded, widget
from pondkit.page.tools import TOOLS, Drawing, drawn, pool_at
from pondkit.project.files import put
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.clearances.inputs import CLOSED
from pondkit.trades.earthwork.results import StreamBed
from pondkit.trades.water.inputs.water import bodies_of

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
    found = handles.on_plan(desk.project, desk.option, _trade(desk), chosen_pool(desk), line)
    chosen = thing(desk)
    name = called(desk.project, desk.option, chosen) if chosen else ""
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
                "label": handles.said(handle, desk.units),
                "corner": handle.corner,
                "removable": handle.removable or bool(called(desk.project, desk.option, _path(handle.id))),
                "whole": handle.id == "picture/at" or (handle.id.startswith("pools/") and handle.id.count("/") == 2),
                "chosen": bool(chosen) and _path(handle.id) == chosen,
                "quiet": handle.quiet,
            }
            for handle in found.handles
        ],
        guide=[shown(place) for place in found.guide],
        about=shown(found.about) if found.about else None,
        line=[shown(end) for end in line] if line else None,
        grid=handles.grid(_grid(desk), desk.units),
        fine=FINE,
        unit=unit,
        tools=TOOL_BAR,
        chosen={"id": "/".join(map(str, chosen)), "label": name} if name else None,
        drawn={"number": desk.drawn[0], "refused": desk.drawn[1]},
    )


def under(desk: Desk) -> PictureUnder | None:
    """The picture under the plan, in its unit; the browser is handed it where it has it not yet."""
    picture = desk.project.picture
    if picture is None:
        return None
    name = images.called(picture)
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
                desk.edit(lambda: handles.added(desk.project, desk.option, event["id"], to, desk.units))
            case _:
                to = (event["x"] * one, event["y"] * one)
                path, value = handles.moved(desk.project, desk.option, event["id"], to, line, desk.units)
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
        choose(desk, thing_of(desk.option, made[0]))


def _wide(desk: Desk) -> float:
    """How wide the plan shows [m]."""
    return desk.frame.span[2] - desk.frame.span[0] if desk.frame else 0.0


def _tap(desk: Desk, place: Spot, reach: float, twice: bool) -> None:
    path = thing_at(desk.project, desk.option, place, reach)
    if path and twice:
        _remove(desk, path)
    elif path:
        choose(desk, path)


def _remove(desk: Desk, path: Path) -> None:
    """Without a thing; what went is said, since one that is removed by two taps may have been meant to stay."""
    name = called(desk.project, desk.option, path)
    desk.edit(lambda: removed(desk.project, desk.option, path))
    desk.chosen.pop(ON_PLAN, None)
    desk.notice = f"{name[:1].upper()}{name[1:]} was removed; ↶ brings it back." if name and not desk.message else ""


def choose(desk: Desk, path: Path) -> None:
    """Shows a thing's controls, and marks it on the plan."""
    if not (trade := trade_of(path)):
        return
    desk.chosen["trade"] = trade
    for held, index in lists_of(absolute(desk.option, path)):
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
        held = lists_of(absolute(desk.option, path))
        shown = all(int(desk.chosen.get(str(items), 0)) == index for items, index in held if items != ("options",))
        if shown and trade_of(path) == trade and called(desk.project, desk.option, path):
            return path
    if trade not in FIRST_LISTS:
        return ()
    items = FIRST_LISTS[trade]
    path = (*items, int(desk.chosen.get(str(absolute(desk.option, items)), 0)))
    return path if called(desk.project, desk.option, path) else ()


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
    names = handles.GRIDS[desk.units]
    chosen = desk.chosen.get(f"grid {desk.units}", names[1])
    return None if chosen == NO_GRID else str(chosen)


def plan_settings(desk: Desk) -> None:
    """What is set for drawing on the plan: the grid to which places snap."""
    key = f"grid {desk.units}"
    st.segmented_control(
        "Snap to a grid of",
        (NO_GRID, *handles.GRIDS[desk.units]),
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


Found = tuple[int, float, Path]  # rank, distance beyond it [m], path: the least of all is what is meant
SITE_LISTS = ("keep_outs", "way_in")
TRADE_OF = {
    "pools": "Pools",
    "links": "Links",
    "stone": "Stone",
    "lifting": "Lifting",
    "walls": "Walls",
    "tunnels": "Tunnels",
    "water": "Water",
    "earth": "Earth",
    "keep_outs": "Site",
    "way_in": "Site",
}


def thing_at(project: Project, option: int, place: Spot, reach: float) -> Path:
    """What is at a place: things set at places first, then lines, then pools; () where there is nothing.

    Args:
        project: The document.
        option: Index of the option.
        place: East and north [m].
        reach: How near counts as there [m].
    """
    here = get(project, ("options", option))
    beds = evaluate(project).options[option].stream_beds.each
    every = [*_places(here, place), *_lines(here, place), *_beds(beds, place), *_kept(project, place)]
    near = [(rank, away, path) for rank, away, path in every if away <= reach]
    if near:
        return min(near, key=lambda each: each[:2])[2]
    pool = pool_at(project, ("options", option), place, reach)
    return ("pools", here.pools.index(pool)) if pool is not None else ()


def _places(here: Option, place: Spot) -> Iterator[Found]:
    for i, row in enumerate(here.stone.boulders if here.stone else ()):
        half = (float(row.axes[0]) + float(row.axes[1])) / 4
        for k, at in enumerate(row.places):
            yield 0, _apart(at, place) - half, ("stone", "boulders", i, "places", k)
    for i, node in enumerate(here.tunnels.nodes if here.tunnels else ()):
        yield 0, _apart(node.at, place), ("tunnels", "nodes", i)
    for i, link in enumerate(here.links):
        yield 0, _apart(link.at, place) - float(link.crest_width) / 2, ("links", i)
    for i, stand in enumerate(here.lifting.positions if here.lifting else ()):
        yield 0, min(_apart(stand.at, place), _apart(stand.pick_up, place)), ("lifting", "positions", i)
    for body in bodies_of(here.water) if here.water else ():
        yield 0, _apart(body.at, place) - min(float(side) for side in body.size) / 2, body.path


def _lines(here: Option, place: Spot) -> Iterator[Found]:
    for i, wall in enumerate(here.walls.walls if here.walls else ()):
        yield 1, _beside(wall.points, place), ("walls", "walls", i)
    for i, link in enumerate(here.links):
        yield 1, _beside((link.at, *link.points), place), ("links", i)
    nodes = {node.name: node.at for node in here.tunnels.nodes} if here.tunnels else {}
    for i, run in enumerate(here.tunnels.runs if here.tunnels else ()):
        if run.from_ in nodes and run.to in nodes:
            yield 1, _beside((nodes[run.from_], nodes[run.to]), place), ("tunnels", "runs", i)


def _beds(beds: Iterable[StreamBed], place: Spot) -> Iterator[Found]:
    """Falls and streams from one waterline to the other, as wide as they are drawn."""
    for bed in beds:
        yield 1, max(_beside(bed.line, place) - bed.half, 0.0), ("links", bed.index)


def _kept(project: Project, place: Spot) -> Iterator[Found]:
    for i, keep in enumerate(project.site.keep_outs):
        closed = keep.kind in CLOSED and len(keep.points) > 2
        yield 1, _beside((*keep.points, keep.points[0]) if closed else keep.points, place), ("keep_outs", i)


def _apart(one: Sequence[float], other: Spot) -> float:
    return math.hypot(float(one[0]) - other[0], float(one[1]) - other[1])


def _beside(points: Sequence[Sequence[float]], place: Spot) -> float:
    """Distance of a place from a line through points [m]; infinite from none."""
    if not points:
        return math.inf
    line = np.array([[float(point[0]), float(point[1])] for point in points])
    if len(line) == 1:
        return _apart(line[0], place)
    start, way = line[:-1], np.diff(line, axis=0)
    square = np.maximum(np.einsum("ij,ij->i", way, way), 1e-12)
    share = np.clip(np.einsum("ij,ij->i", np.array(place) - start, way) / square, 0.0, 1.0)
    return float(np.hypot(*(start + share[:, None] * way - np.array(place)).T).min())


def absolute(option: int, path: Path) -> Path:
    """A thing's path in the project."""
    return ("site", *path) if path and path[0] in SITE_LISTS else ("options", option, *path)


def thing_of(option: int, path: Path) -> Path:
    """A thing's path as it is named here, from its path in the project; () of what is no thing on the plan."""
    if path[:1] == ("site",):
        return path[1:]
    return path[2:] if path[:2] == ("options", option) else ()


def trade_of(path: Path) -> str:
    """Whose controls show a thing; "" for none."""
    return TRADE_OF.get(str(path[0]), "") if path else ""


def lists_of(path: Path) -> Iterator[tuple[Path, int]]:
    """(path of a list, index in it) of every choice by which the controls show a thing."""
    for depth, step in enumerate(path):
        if isinstance(step, int) and path[depth - 1] not in ("places", "points", "left", "right"):
            yield path[:depth], step


def called(project: Project, option: int, path: Path) -> str:
    """A thing in words; "" where it is no longer there, or is nothing that can be removed."""
    try:
        part = get(project, absolute(option, path))
    except (LookupError, AttributeError, TypeError):
        return ""
    match path:
        case ("pools", int()):
            return f"pool {part.name}"
        case ("links", int()):
            return f"the {part.kind} from {part.from_} to {part.to}"
        case ("stone", "boulders", int(index), "places", int()):
            return f"boulder {get(project, absolute(option, ('stone', 'boulders', index))).name}"
        case ("tunnels", "nodes", int()):
            return f"{part.kind} {part.name}"
        case ("tunnels", "runs", int()):
            return f"run {part.from_} to {part.to}"
        case ("lifting", "positions", int()) | ("walls", "walls", int()) | ("stone", "boulders", int()):
            return f"{part.title_of_part} {part.name}"
        case ("keep_outs", int()):
            return f"{part.kind} {part.name}"
        case ("water", ("intake" | "pit" | "filter") as name):
            return {"intake": "intake basin", "pit": "pump pit", "filter": "filter"}[name]
    return ""


def removed(project: Project, option: int, path: Path) -> Project:
    """Without a thing, and without what cannot be without it; one boulder of its kind, whose count goes down with it.

    Raises: LookupError where it is no longer there; Refused where it cannot be left out.
    """
    whole = absolute(option, path)
    match path:
        case ("stone", "boulders", int(), "places", int(index)):
            return _without_boulder(project, whole[:-2], index)
        case (*_, int(index)) if path[-2] in ("places", "points", "left", "right"):
            return edits.remove_place(project, whole[:-1], index)
        case (*_, int()):
            _held(get(project, whole[:-1]), int(str(path[-1])))
            return edits.remove_item(project, whole)
        case ("water", "intake" | "pit" | "filter"):
            return edits.set_part(project, whole, False)
    raise LookupError("/".join(map(str, path)))


def _without_boulder(project: Project, row: Path, index: int) -> Project:
    boulder = get(project, row)
    _held(boulder.places, index)
    if boulder.count <= 1:
        return edits.remove_item(project, row)
    project = put(project, (*row, "count"), boulder.count - 1)
    return edits.remove_place(project, (*row, "places"), index)


def _held(items: Sequence[Any], index: int) -> None:
    if index >= len(items):
        raise LookupError(f"place {index + 1} of {len(items)}")
