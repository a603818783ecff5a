"""Editing on the plan. ``edit_layer`` tells the picture which handles and tools it has, and ``act`` does what its
events ask for: a handle dragged, something drawn with a tool, a thing tapped, chosen or removed.

The second half finds things: which one lies at a place, its name, how it is chosen and how it is removed. A thing is
named by its path in the document: within the option (``stone/boulders/0/places/2``), or within the site
(``keep_outs/1``).
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import numpy as np
import streamlit as st

from pondkit.core.part import get
from pondkit.core.remembered import remembered
from pondkit.core.result import Path
from pondkit.core.units import System
from pondkit.drawing import frame
from pondkit.drawing.to_scale import aspect
from pondkit.page import edits, handles, images
from pondkit.page.components import Edit, PictureEvent, PictureHandle, PictureUnder, ToolButton, backdrop
from pondkit.page.contents import LISTS
from pondkit.page.handles import Spot
from pondkit.page.state import Desk, guarded, widget_value
from pondkit.page.tools import TOOLS, Drawing, distance, draw, pool_at
from pondkit.project.files import put
from pondkit.project.project import Option, Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.clearances.inputs import CLOSED
from pondkit.trades.earthwork.results import StreamBed
from pondkit.trades.water.inputs.water import bodies_of

FINE = 0.1  # step of an arrow key without a grid, in the unit of the plan
NO_GRID = "off"
REACH = 0.015  # of the plan's width: distance up to which a drawn place is at a thing
ON_PLAN = "on plan"  # key of the choice made on the plan: tapped, dragged or drawn last
FIELDS = ("at", "pick_up", "second_at", "turn_deg")  # fields that handles of whole things move
# The list of each trade whose chosen item is marked on the plan.
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


def edit_layer(desk: Desk, line: tuple[Spot, Spot] | None) -> Edit:
    """Handles, guide, grid, tools and choice for the picture of the plan, in the unit of the plan.

    Args:
        desk: The person's work.
        line: Ends of the section line [m]; None without one.
    """
    plan = handles.plan_handles(desk.project, desk.option, desk.trade, chosen_pool(desk), line)
    chosen = chosen_thing(desk)
    name = thing_name(desk.project, desk.option, chosen) if chosen else ""
    unit = frame.PLAN_UNIT[desk.units]

    picture_handles: list[PictureHandle] = []
    for handle, shown in zip(plan.handles, _picture_handles(plan.handles, desk.units), strict=True):
        path = _thing_path(handle.id)
        removable = handle.removable or bool(thing_name(desk.project, desk.option, path))
        picture_handles.append(shown | {"removable": removable, "chosen": bool(chosen) and path == chosen})
    return Edit(
        handles=picture_handles,
        guide=_in_unit(plan.guide, unit),
        about=_in_unit((plan.pivot,), unit)[0] if plan.pivot else None,
        line=_in_unit(line, unit) if line else None,
        grid=handles.grid_size(_grid(desk), desk.units),
        fine=FINE,
        unit=unit,
        tools=TOOL_BAR,
        chosen={"id": "/".join(map(str, chosen)), "label": name} if name else None,
        drawn={"number": desk.sketch.last_drawing[0], "refused": desk.sketch.last_drawing[1]},
    )


@remembered
def _picture_handles(plan_handles: tuple[handles.Handle, ...], system: System) -> tuple[PictureHandle, ...]:
    """Handles as the picture takes them, none of them chosen, in the unit of the plan. They stay while a slider
    moves.
    """
    places = _in_unit(tuple(handle.at for handle in plan_handles), frame.PLAN_UNIT[system])
    return tuple(
        PictureHandle(
            id=handle.id,
            kind=handle.kind,
            x=place[0],
            y=place[1],
            label=handles.describe(handle, system),
            corner=handle.corner,
            removable=handle.removable,
            whole=handle.id == "picture/at" or (handle.id.startswith("pools/") and handle.id.count("/") == 2),
            chosen=False,
            quiet=handle.quiet,
        )
        for handle, place in zip(plan_handles, places, strict=True)
    )


@remembered
def _in_unit(places: tuple[Spot, ...], unit: str) -> list[list[float]]:
    """Places in a unit, rounded for a picture."""
    numbers: list[list[float]] = frame.in_unit(np.array(places).reshape(-1, 2), unit, 4).tolist()
    return numbers


def picture_under_plan(desk: Desk) -> PictureUnder | None:
    """The picture under the plan, in the unit of the plan; None without one. Its image is handed to the browser if that
    does not have it yet.
    """
    picture = desk.project.picture
    if picture is None:
        return None
    name = images.picture_name(picture)
    if not desk.sketch.live.partial_run:
        backdrop(name, picture.data)
    unit = frame.PLAN_UNIT[desk.units]
    width = float(picture.width)
    sizes = frame.in_unit([*picture.at, width, width * aspect(picture)], unit, 4)
    x, y, wide, high = (float(size) for size in sizes)
    return PictureUnder(
        name=name, x=x, y=y, width=wide, height=high, turn_deg=float(picture.turn_deg), strength=float(picture.strength)
    )


def act(desk: Desk, event: PictureEvent, line: tuple[Spot, Spot] | None) -> None:
    """Do what an event of the plan asks for. If that is refused, the reason is shown and the design stays.

    Args:
        desk: The person's work.
        event: What was done, with places in the unit of the plan.
        line: Ends of the section line [m]; None without one.
    """
    unit_size = frame.magnitude_of(frame.PLAN_UNIT[desk.units])
    try:
        match event["kind"]:
            case "draw":
                _draw(desk, event, unit_size)
            case "tap":
                _tap(desk, (event["x"] * unit_size, event["y"] * unit_size), event["reach"] * unit_size, event["twice"])
            case "choose":
                choose(desk, _thing_path(event["id"]))
            case "remove":
                _remove(desk, _thing_path(event["id"]))
            case "leave":
                desk.message, desk.sketch.last_drawing = "", (desk.sketch.last_drawing[0], False)
            case "fit":
                desk.sketch.fit_plan = True
            case "add":
                place = (event["x"] * unit_size, event["y"] * unit_size)
                desk.edit(lambda: handles.with_point(desk.project, desk.option, event["id"], place, desk.units))
            case _:
                place = (event["x"] * unit_size, event["y"] * unit_size)
                path, value = handles.drag_edit(desk.project, desk.option, event["id"], place, line, desk.units)
                _put(desk, path, value, event["drag"])
                choose(desk, _thing_path(event["id"]))
    except (LookupError, AttributeError):
        desk.message = "That part is no longer there: the plan has changed since."


def _thing_path(handle: str) -> Path:
    """Path of the thing that a handle belongs to: without the field that the handle moves."""
    path = tuple(int(step) if step.isdigit() else step for step in handle.rstrip("+").split("/"))
    return path[:-1] if path[-1] in FIELDS else path


def _draw(desk: Desk, event: PictureEvent, unit_size: float) -> None:
    """Add what a tool drew. If that is refused, the browser keeps the drawing in sight."""
    places = tuple((float(x) * unit_size, float(y) * unit_size) for x, y in event["points"])
    drawing = Drawing(event["tool"], places, event["stroke"], REACH * _plan_width(desk), chosen_thing(desk))
    paths: list[Path] = []

    def with_drawing() -> Project:
        project, path = draw(desk.project, desk.option, drawing, desk.units)
        paths.append(path)
        return project

    desk.sketch.last_drawing = event["number"], True
    desk.edit(with_drawing)
    if paths:
        desk.sketch.last_drawing = event["number"], False
        choose(desk, path_of_thing(desk.option, paths[0]))


def _plan_width(desk: Desk) -> float:
    """Width of the site that the plan shows [m]."""
    return desk.sketch.frame.span[2] - desk.sketch.frame.span[0] if desk.sketch.frame else 0.0


def _tap(desk: Desk, place: Spot, reach: float, twice: bool) -> None:
    path = thing_at(desk.project, desk.option, place, reach)
    if path and twice:
        _remove(desk, path)
    elif path:
        choose(desk, path)


def _remove(desk: Desk, path: Path) -> None:
    """Remove a thing, with a notice of it, as two taps may have been meant otherwise."""
    name = thing_name(desk.project, desk.option, path)
    desk.edit(lambda: without_thing(desk.project, desk.option, path))
    desk.chosen.pop(ON_PLAN, None)
    desk.notice = f"{name[:1].upper()}{name[1:]} was removed; ↶ brings it back." if name and not desk.message else ""


def choose(desk: Desk, path: Path) -> None:
    """Choose a thing: its controls come into the sidebar, and it is marked on the plan."""
    if not (trade := trade_of(path)):
        return
    desk.chosen["trade"] = trade
    for list_path, index in lists_of(project_path(desk.option, path)):
        if list_path != ("options",):
            desk.chosen[str(list_path)] = index
    lists = LISTS.get(str(path[0]), ())
    for number, items in enumerate(lists):
        if len(lists) > 1 and len(path) > 1 and items.field == path[1]:
            desk.chosen[f"list {path[0]}"] = number
    desk.chosen[ON_PLAN] = "/".join(map(str, path))


def chosen_thing(desk: Desk) -> Path:
    """Path of the chosen thing; () for none. The choice on the plan counts as long as the sidebar shows that thing."""
    trade = desk.trade
    if name := desk.chosen.get(ON_PLAN):
        path = _thing_path(str(name))
        choices = [choice for choice in lists_of(project_path(desk.option, path)) if choice[0] != ("options",)]
        on_show = all(int(desk.chosen.get(str(list_path), 0)) == index for list_path, index in choices)
        if on_show and trade_of(path) == trade and thing_name(desk.project, desk.option, path):
            return path
    if trade not in FIRST_LISTS:
        return ()
    first_list = FIRST_LISTS[trade]
    path = (*first_list, int(desk.chosen.get(str(project_path(desk.option, first_list)), 0)))
    return path if thing_name(desk.project, desk.option, path) else ()


def _put(desk: Desk, path: Path, value: Any, drag: int) -> None:
    key = "on the plan"
    desk.enter(path, value, drag, key, "")
    if refusal := desk.refusals.pop(key, None):
        desk.message = refusal[1]


def chosen_pool(desk: Desk) -> int:
    """Index of the pool whose controls are on show, or were last."""
    return int(desk.chosen.get(str(("options", desk.option, "pools")), 0))


def _grid(desk: Desk) -> str | None:
    names = handles.GRIDS[desk.units]
    chosen = desk.chosen.get(f"grid {desk.units}", names[1])
    return None if chosen == NO_GRID else str(chosen)


def plan_settings(desk: Desk) -> None:
    """The menu of the grid: the grid to which places snap, and how to draw."""
    key = f"grid {desk.units}"
    st.segmented_control(
        "Snap to a grid of",
        (NO_GRID, *handles.GRIDS[desk.units]),
        default=_grid(desk) or NO_GRID,
        key=f"{key} widget",
        required=True,
        on_change=guarded(lambda: desk.chosen.__setitem__(key, widget_value(f"{key} widget"))),
    )
    st.caption(
        "Drag a mark on the plan, or reach it with the tab key and move it with the arrow keys (with Shift ten steps). "
        "A plus sets a further point. A tap chooses what is there; two taps, or the Delete key, remove it. A tool from "
        "the row over the plan draws by taps, or by the arrow keys with Enter at each place; Escape leaves it. Hold "
        "Ctrl and turn the wheel to zoom."
    )


Candidate = tuple[int, float, Path]  # rank, distance from it [m], path of a thing; the least is the one that is meant
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
    """Path of the thing at a place; () if there is none. Things at single places come before lines, lines before pools.

    Args:
        project: The document.
        option: Index of the option.
        place: East and north [m].
        reach: Distance up to which a thing counts as at the place [m].
    """
    design = get(project, ("options", option))
    beds = evaluate(project).options[option].stream_beds.each
    candidates = [*_places(design, place), *_lines(design, place), *_beds(beds, place), *_keep_outs(project, place)]
    near = [candidate for candidate in candidates if candidate[1] <= reach]
    if near:
        return min(near, key=lambda candidate: candidate[:2])[2]
    pool = pool_at(project, ("options", option), place, reach)
    return ("pools", design.pools.index(pool)) if pool is not None else ()


def _places(design: Option, place: Spot) -> Iterator[Candidate]:
    for i, row in enumerate(design.stone.boulders if design.stone else ()):
        radius = (float(row.axes[0]) + float(row.axes[1])) / 4
        for k, boulder_place in enumerate(row.places):
            yield 0, distance(boulder_place, place) - radius, ("stone", "boulders", i, "places", k)
    for i, node in enumerate(design.tunnels.nodes if design.tunnels else ()):
        yield 0, distance(node.at, place), ("tunnels", "nodes", i)
    for i, link in enumerate(design.links):
        yield 0, distance(link.at, place) - float(link.crest_width) / 2, ("links", i)
    for i, position in enumerate(design.lifting.positions if design.lifting else ()):
        yield 0, min(distance(position.at, place), distance(position.pick_up, place)), ("lifting", "positions", i)
    for body in bodies_of(design.water) if design.water else ():
        yield 0, distance(body.at, place) - min(float(side) for side in body.size) / 2, body.path


def _lines(design: Option, place: Spot) -> Iterator[Candidate]:
    for i, wall in enumerate(design.walls.walls if design.walls else ()):
        yield 1, _distance_to_line(wall.points, place), ("walls", "walls", i)
    for i, link in enumerate(design.links):
        yield 1, _distance_to_line((link.at, *link.points), place), ("links", i)
    nodes = {node.name: node.at for node in design.tunnels.nodes} if design.tunnels else {}
    for i, run in enumerate(design.tunnels.runs if design.tunnels else ()):
        if run.from_ in nodes and run.to in nodes:
            yield 1, _distance_to_line((nodes[run.from_], nodes[run.to]), place), ("tunnels", "runs", i)


def _beds(beds: Iterable[StreamBed], place: Spot) -> Iterator[Candidate]:
    """Falls and streams from one waterline to the other, as wide as they are drawn."""
    for bed in beds:
        yield 1, max(_distance_to_line(bed.line, place) - bed.half_width, 0.0), ("links", bed.index)


def _keep_outs(project: Project, place: Spot) -> Iterator[Candidate]:
    for i, keep_out in enumerate(project.site.keep_outs):
        closed = keep_out.kind in CLOSED and len(keep_out.points) > 2
        line = (*keep_out.points, keep_out.points[0]) if closed else keep_out.points
        yield 1, _distance_to_line(line, place), ("keep_outs", i)


def _distance_to_line(points: Sequence[Sequence[float]], place: Spot) -> float:
    """Distance of a place from a line through points [m]; infinite if there are no points."""
    if not points:
        return math.inf
    line = np.array([[float(point[0]), float(point[1])] for point in points])
    if len(line) == 1:
        return distance(line[0], place)
    start, direction = line[:-1], np.diff(line, axis=0)
    square = np.maximum(np.einsum("ij,ij->i", direction, direction), 1e-12)
    along = np.clip(np.einsum("ij,ij->i", np.array(place) - start, direction) / square, 0.0, 1.0)
    return float(np.hypot(*(start + along[:, None] * direction - np.array(place)).T).min())


def project_path(option: int, path: Path) -> Path:
    """Path in the project of a thing."""
    return ("site", *path) if path and path[0] in SITE_LISTS else ("options", option, *path)


def path_of_thing(option: int, path: Path) -> Path:
    """Path of a thing, from a path in the project; () if that is nothing on the plan."""
    if path[:1] == ("site",):
        return path[1:]
    return path[2:] if path[:2] == ("options", option) else ()


def trade_of(path: Path) -> str:
    """Trade whose controls show a thing; "" for none."""
    return TRADE_OF.get(str(path[0]), "") if path else ""


def lists_of(path: Path) -> Iterator[tuple[Path, int]]:
    """(path of a list, index in it) of each list in which a thing must be chosen to be shown in the sidebar."""
    for depth, step in enumerate(path):
        if isinstance(step, int) and path[depth - 1] not in ("places", "points", "left", "right"):
            yield path[:depth], step


def thing_name(project: Project, option: int, path: Path) -> str:
    """A thing in words; "" if it is no longer there, or cannot be removed."""
    try:
        part = get(project, project_path(option, path))
    except (LookupError, AttributeError, TypeError):
        return ""
    match path:
        case ("pools", int()):
            return f"pool {part.name}"
        case ("links", int()):
            return f"the {part.kind} from {part.from_} to {part.to}"
        case ("stone", "boulders", int(index), "places", int()):
            return f"boulder {get(project, project_path(option, ('stone', 'boulders', index))).name}"
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


def without_thing(project: Project, option: int, path: Path) -> Project:
    """The project without a thing and without what depends on it. Of a boulder one place goes, and the count of its
    kind goes down.

    Raises: LookupError if it is no longer there; Refused if it cannot be left out.
    """
    whole = project_path(option, path)
    match path:
        case ("stone", "boulders", int(), "places", int(index)):
            return _without_boulder(project, whole[:-2], index)
        case (*_, int(index)) if path[-2] in ("places", "points", "left", "right"):
            return edits.remove_place(project, whole[:-1], index)
        case (*_, int()):
            _check_index(get(project, whole[:-1]), int(str(path[-1])))
            return edits.remove_item(project, whole)
        case ("water", "intake" | "pit" | "filter"):
            return edits.set_part(project, whole, False)
    raise LookupError("/".join(map(str, path)))


def _without_boulder(project: Project, row: Path, index: int) -> Project:
    boulder = get(project, row)
    _check_index(boulder.places, index)
    if boulder.count <= 1:
        return edits.remove_item(project, row)
    project = put(project, (*row, "count"), boulder.count - 1)
    return edits.remove_place(project, (*row, "places"), index)


def _check_index(items: Sequence[Any], index: int) -> None:
    if index >= len(items):
        raise LookupError(f"place {index + 1} of {len(items)}")
