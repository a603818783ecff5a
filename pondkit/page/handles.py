"""Handles: what can be dragged on the plan, and what each drag, press or key changes in the document. No streamlit.

A handle stands for a place, a size or a turn in the document. Its id is the path of that value within the option, such
as ``pools/0/outline/points/3``, so that an event of the browser finds its value without anything kept between runs.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from pondkit.core.part import get
from pondkit.core.result import Path
from pondkit.core.units import LENGTH, System, as_text, read, show
from pondkit.drawing import frame
from pondkit.geometry.outline import Placed
from pondkit.geometry.shapes import Circle, Ellipse, Offsets, Points, Rectangle
from pondkit.page import images
from pondkit.project.files import put
from pondkit.project.project import PlacedPicture, Project
from pondkit.trades.clearances.inputs import KeepOut
from pondkit.trades.pools.inputs import Link
from pondkit.trades.walls.inputs import Walls
from pondkit.trades.water.inputs.water import Water, bodies_of

Spot = tuple[float, float]
Kind = Literal["point", "add", "move", "turn", "size", "end"]
AT_PLACES = (
    "Links",
    "Stone",
    "Lifting",
    "Tunnels",
    "Water",
)  # whose things can be dragged whichever trade is in the sidebar
OUTLINE_AHEAD = 1.25  # distance of the turn's handle, in reaches of the outline
BODY_AHEAD = 1.4  # distance of the turn's handle, in half lengths of a body
ROUND = 48  # corners of the guide of a round outline
DECIMALS = 2  # of a place in the unit of the plan


@dataclass(frozen=True)
class Handle:
    """Something on the plan that can be dragged, with the pointer or by keys.

    Attributes:
        id: Path of the value that it moves, see ``drag_edit``.
        kind: "point" of an outline or line, "add" a point between two, "move" a whole thing, "turn" or "size" of an
            outline, "end" of the section line.
        at: Its place on the site [m].
        label: Its name in words.
        corner: Index of the guide's corner that moves with it; None for none.
        removable: Whether the delete key removes its place.
        quiet: Whether it is shown without a mark. Things of other trades than the one in the sidebar are dragged by
            such handles.
    """

    id: str
    kind: Kind
    at: Spot
    label: str
    corner: int | None = None
    removable: bool = False
    quiet: bool = False


@dataclass(frozen=True)
class PlanHandles:
    """All handles of the plan, and the line that follows a drag at once.

    Attributes:
        handles: In the order in which the tab key reaches them.
        guide: Corners of the chosen outline on the site [m].
        pivot: Origin of the chosen outline, which moves and turns about it [m]; None without an outline.
    """

    handles: tuple[Handle, ...]
    guide: tuple[Spot, ...] = ()
    pivot: Spot | None = None


def plan_handles(project: Project, option: int, trade: str, index: int, line: tuple[Spot, Spot] | None) -> PlanHandles:
    """The handles of what is chosen, then those of the section line and of things of other trades.

    Args:
        project: The document.
        option: Index of the option.
        trade: Trade in the sidebar.
        index: Index of the chosen pool.
        line: Ends of the section line [m]; None without one.
    """
    handles, guide, pivot = _trade_handles(project, option, trade, index)
    ids = {handle.id for handle in handles}
    others = [
        replace(handle, quiet=True)
        for other in AT_PLACES
        if other != trade
        for handle in _trade_handles(project, option, other, index)[0]
        if handle.kind == "move" and handle.id not in ids
    ]
    return PlanHandles((*handles, *_section_handles(line), *others), guide, pivot)


def _trade_handles(
    project: Project, option: int, trade: str, index: int
) -> tuple[list[Handle], tuple[Spot, ...], Spot | None]:
    """Handles, guide and pivot of one trade."""
    design = get(project, ("options", option))
    handles: list[Handle] = []
    guide: tuple[Spot, ...] = ()
    pivot: Spot | None = None
    match trade:
        case "Pools" if design.pools:
            number = min(index, len(design.pools) - 1)
            pool = design.pools[number]
            handles, guide = _pool_handles(pool, f"pools/{number}")
            pivot = (float(pool.at[0]), float(pool.at[1]))
        case "Links":
            handles = [
                Handle(f"links/{i}/at", "move", _spot(link.at), f"{link.kind} from {link.from_} to {link.to}")
                for i, link in enumerate(design.links)
            ]
            handles += _link_handles(design.links)
        case "Stone" if design.stone:
            handles = [
                Handle(f"stone/boulders/{i}/places/{k}", "move", _spot(place), f"boulder {row.name}", removable=True)
                for i, row in enumerate(design.stone.boulders)
                for k, place in enumerate(row.places)
            ]
        case "Lifting" if design.lifting:
            handles = [
                Handle(
                    f"lifting/positions/{i}/{field}", "move", _spot(getattr(row, field)), f"{place_name} of {row.name}"
                )
                for i, row in enumerate(design.lifting.positions)
                for field, place_name in (("at", "machine"), ("pick_up", "staging area"))
            ]
            handles += _way_in_handles(project)
        case "Tunnels" if design.tunnels:
            handles = [
                Handle(f"tunnels/nodes/{i}/at", "move", _spot(node.at), f"{node.kind} {node.name}")
                for i, node in enumerate(design.tunnels.nodes)
            ]
        case "Earth" if design.earth and design.earth.berm and design.earth.berm.outline:
            berm = design.earth.berm
            handles, guide = _pool_handles(berm, "earth/berm")
            pivot = _spot(berm.at)
        case "Water" if design.water:
            handles = list(_body_handles(design.water))
        case "Walls" if design.walls:
            handles = list(_wall_handles(design.walls))
        case "Site":
            handles = [*_way_in_handles(project), *_keep_out_handles(project.site.keep_outs)]
            if project.picture:
                handles += _picture_handles(project.picture)
                guide, pivot = images.corners(project.picture), _spot(project.picture.at)
    return handles, guide, pivot


def _way_in_handles(project: Project) -> list[Handle]:
    way = project.site.way_in
    places = way.points if way else ()
    labels = [f"place {i + 1} of the way in" for i in range(len(places) - 1)] + ["way in, its end at the dig"]
    return [Handle(f"way_in/{i}", "move", _spot(place), labels[i]) for i, place in enumerate(places)]


def _body_handles(water: Water) -> Iterator[Handle]:
    """Place and turn of each body of the water side that has a plan size."""
    for path, name, body, size, place in bodies_of(water):
        prefix = "/".join(str(step) for step in path)
        field = "at" if place is body.at else "second_at"
        yield Handle(f"{prefix}/{field}", "move", _spot(place), name)
        if field == "at":
            distance, turn = BODY_AHEAD * float(size[0]) / 2, math.radians(body.turn_deg)
            tip = float(place[0]) + distance * math.cos(turn), float(place[1]) + distance * math.sin(turn)
            yield Handle(f"{prefix}/turn_deg", "turn", tip, f"turn of the {name}")


def _wall_handles(walls: Walls) -> Iterator[Handle]:
    """The places of each wall's front line."""
    for index, wall in enumerate(walls.walls):
        for number, place in enumerate(wall.points):
            label = f"place {number + 1} of wall {wall.name}"
            removable = len(wall.points) > 2
            yield Handle(f"walls/walls/{index}/points/{number}", "point", _spot(place), label, removable=removable)


def _link_handles(links: Sequence[Link]) -> Iterator[Handle]:
    """The places of each link's line."""
    for index, link in enumerate(links):
        for number, place in enumerate(link.points):
            label = f"place {number + 1} of the {link.kind} from {link.from_} to {link.to}"
            yield Handle(f"links/{index}/points/{number}", "point", _spot(place), label, removable=True)


def _keep_out_handles(keep_outs: Sequence[KeepOut]) -> Iterator[Handle]:
    """The places of each keep-out."""
    for index, keep in enumerate(keep_outs):
        several = len(keep.points) > 1
        for number, place in enumerate(keep.points):
            label = f"place {number + 1} of {keep.kind} {keep.name}" if several else f"{keep.kind} {keep.name}"
            yield Handle(f"keep_outs/{index}/points/{number}", "point", _spot(place), label, removable=several)


def _picture_handles(picture: PlacedPicture) -> list[Handle]:
    marks = [
        Handle(f"picture/marks/{i}", "end", mark, f"mark {i + 1} on the picture")
        for i, mark in enumerate(images.mark_places(picture))
    ]
    turn = Handle("picture/turn_deg", "turn", images.turn_place(picture), "turn of the picture")
    return [*marks, Handle("picture/at", "move", _spot(picture.at), "all of the picture"), turn]


def _spot(place: Any) -> Spot:
    return float(place[0]), float(place[1])


def _section_handles(line: tuple[Spot, Spot] | None) -> Iterator[Handle]:
    if line is None:
        return
    for index, (end, mark) in enumerate(zip(line, "AB", strict=True)):
        yield Handle(f"section/{index}", "end", end, f"end {mark} of the section line")
    middle = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
    yield Handle("section", "move", middle, "the whole section line")


def placement(pool: Any) -> Placed:
    """Where a pool, or anything else with a place and a turn, lies on the site."""
    return Placed(float(pool.at[0]), float(pool.at[1]), float(pool.turn_deg))


def _local_corners(outline: Any) -> list[Spot]:
    """Corners of an outline in its own axes [m], as entered; of a round one a polygon of ROUND corners."""
    match outline:
        case Points():
            return [_spot(point) for point in outline.points]
        case Offsets():
            return [_spot(p) for p in outline.left] + [
                (float(s), -float(offset)) for s, offset in reversed(outline.right)
            ]
        case Rectangle():
            x, y = outline.length / 2, outline.width / 2
            return [(-x, -y), (x, -y), (x, y), (-x, y)]
        case _:
            sizes = _sizes(outline)
            x, y = sizes[0][1] / 2, sizes[-1][1] / 2
            turns = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)
            return [(float(x * math.cos(t)), float(y * math.sin(t))) for t in turns]


def _sizes(outline: Any) -> list[tuple[str, float, int]]:
    """(field, value [m], axis 0 along or 1 across) of each size of an outline; none for an outline by points."""
    match outline:
        case Circle():
            return [("diameter", outline.diameter, 0)]
        case Ellipse() | Rectangle():
            return [("length", outline.length, 0), ("width", outline.width, 1)]
        case _:
            return []


def _pool_handles(pool: Any, prefix: str) -> tuple[list[Handle], tuple[Spot, ...]]:
    """Handles and guide of a pool, or of a berm, which has neither name nor pits."""
    outline, placed, name = pool.outline, placement(pool), getattr(pool, "name", "the berm")
    corners = np.array(_local_corners(outline))
    site = [_spot(place) for place in placed.to_site(corners)]
    middle = _spot(placed.to_site(np.mean(corners, axis=0, keepdims=True))[0])
    handles = [Handle(f"{prefix}/at", "move", middle, f"all of {name}")]
    reach = OUTLINE_AHEAD * float(np.abs(corners[:, 0]).max())
    handles.append(
        Handle(f"{prefix}/turn_deg", "turn", _spot(placed.to_site(np.array([[reach, 0.0]]))[0]), f"turn of {name}")
    )
    for side, size, axis in _sizes(outline):
        place = placed.to_site(np.array([[0.0, size / 2] if axis else [size / 2, 0.0]]))[0]
        handles.append(Handle(f"{prefix}/outline/{side}", "size", _spot(place), f"{side} of {name}"))
    if isinstance(outline, Points):
        removable = len(site) > 3
        for k, place in enumerate(site):
            handles.append(
                Handle(f"{prefix}/outline/points/{k}", "point", place, f"point {k + 1} of {name}", k, removable)
            )
        for k, place in enumerate(site):
            next_place = site[(k + 1) % len(site)]
            between = (place[0] + next_place[0]) / 2, (place[1] + next_place[1]) / 2
            handles.append(
                Handle(f"{prefix}/outline/points/{k}+", "add", between, f"a further point behind point {k + 1}", k)
            )
    if isinstance(outline, Offsets):
        sides = [("left", k) for k in range(len(outline.left))] + [
            ("right", k) for k in reversed(range(len(outline.right)))
        ]
        for corner, ((side, k), place) in enumerate(zip(sides, site, strict=True)):
            handles.append(
                Handle(f"{prefix}/outline/{side}/{k}", "point", place, f"{side} offset {k + 1} of {name}", corner)
            )
    for k, pit in enumerate(getattr(pool, "pits", ())):
        place = placed.to_site(np.array([_spot(pit.at)]))[0]
        handles.append(Handle(f"{prefix}/pits/{k}/at", "move", _spot(place), f"pit {k + 1} of {name}"))
    return handles, tuple(site)


def drag_edit(
    project: Project, option: int, handle: str, to: Spot, line: tuple[Spot, Spot] | None, system: System
) -> tuple[Path, Any]:
    """The edit that dragging a handle to a place makes.

    Args:
        project: The document.
        option: Index of the option.
        handle: Id of the handle.
        to: Where the handle is now, on the site [m].
        line: Ends of the section line [m]; None without one.
        system: Unit system in which new numbers are written.
    Returns: path in the project, and the value to ``put`` there.
    Raises: LookupError if what the handle moves is no longer there.
    """
    write = writer(system)
    if handle.startswith("section"):
        if line is None:
            raise LookupError(handle)
        return ("site", "section"), _section_drag(line, handle, to, write)
    if handle.startswith("picture"):
        return _picture_drag(project.picture, handle, to, write)
    if handle.startswith("keep_outs"):
        _, number, _, place = handle.split("/")
        keep_out_points: Path = ("site", "keep_outs", int(number), "points")
        return keep_out_points, _with_item(get(project, keep_out_points), int(place), write(to))
    if handle.startswith("way_in"):
        places = project.site.way_in.points if project.site.way_in else ()
        return ("site", "way_in", "points"), _with_item(places, int(handle.split("/")[1]), write(to))
    path = _project_path(option, handle)
    value = get(project, path)
    head = path[:4]
    match path[2]:
        case "pools" | "earth":
            return _pool_drag(get(project, head), head, path, to, write)
        case "lifting":
            return path, write(to)
        case "water" | "walls" | "links":
            return _place_drag(project, path, to, write)
        case "stone":
            places = get(project, path[:-1])
            return path[:-1], _with_item(places, int(path[-1]), write(to))
        case _:
            return path, (*write(to), value[2])


def _project_path(option: int, handle: str) -> Path:
    return ("options", option, *(int(name) if name.isdigit() else name for name in handle.split("/")))


def writer(system: System) -> Callable[[Spot], tuple[str, str]]:
    """A function that writes a place on the site [m] as the document holds it: two lengths, rounded, in the unit of the
    plan.
    """
    unit = frame.PLAN_UNIT[system]
    unit_size = frame.magnitude_of(unit)

    def write(place: Spot) -> tuple[str, str]:
        x, y = (as_text(round(value / unit_size, DECIMALS) * unit_size, LENGTH, unit, system) for value in place)
        return x, y

    return write


def _with_item(items: tuple[Any, ...], index: int, item: Any) -> tuple[Any, ...]:
    """The items with another one at an index. Raises LookupError if there is none at it."""
    if index >= len(items):
        raise LookupError(f"place {index + 1} of {len(items)}")
    return (*items[:index], item, *items[index + 1 :])


def _section_drag(line: tuple[Spot, Spot], handle: str, to: Spot, write: Callable[[Spot], Any]) -> Any:
    ends = list(line)
    if handle == "section":
        shift = to[0] - (line[0][0] + line[1][0]) / 2, to[1] - (line[0][1] + line[1][1]) / 2
        ends = [(x + shift[0], y + shift[1]) for x, y in line]
    else:
        ends[int(handle[-1])] = to
    return tuple(write(end) for end in ends)


def _picture_drag(
    picture: PlacedPicture | None, handle: str, to: Spot, write: Callable[[Spot], Any]
) -> tuple[Path, Any]:
    if picture is None:
        raise LookupError(handle)
    match handle.split("/")[1:]:
        case ["at"]:
            return ("picture", "at"), write(to)
        case ["turn_deg"]:
            return ("picture", "turn_deg"), _angle(picture.at, to)
        case ["marks", index]:
            return ("picture", "marks"), _with_item(picture.marks, int(index), images.mark_at(picture, to))
    raise LookupError(handle)


def _angle(start: Any, to: Spot) -> float:
    """Direction from one place to another, anticlockwise from east [degrees]."""
    return round(math.degrees(math.atan2(to[1] - start[1], to[0] - start[0])), 1)


def _pool_drag(pool: Any, head: Path, path: Path, to: Spot, write: Callable[[Spot], Any]) -> tuple[Path, Any]:
    placed = placement(pool)
    local = _spot(placed.to_own(np.array([to]))[0])
    match path[4:]:
        case ("at",):
            middle = placed.to_site(np.mean(np.array(_local_corners(pool.outline)), axis=0, keepdims=True))[0]
            return path, write((pool.at[0] + to[0] - middle[0], pool.at[1] + to[1] - middle[1]))
        case ("turn_deg",):
            return path, _angle(pool.at, to)
        case ("outline", ("diameter" | "length" | "width") as name):
            half = abs(local[1] if name == "width" else local[0])
            return path, write((2 * half, 0.0))[0]
        case ("outline", ("points" | "left" | "right") as name, int(index)):
            sign = -1.0 if name == "right" else 1.0
            return path[:-1], _with_item(get(pool, ("outline", name)), index, write((local[0], sign * local[1])))
        case ("pits", int(), "at"):
            return path, write(local)
    raise LookupError("/".join(str(name) for name in path))


def _place_drag(project: Project, path: Path, to: Spot, write: Callable[[Spot], Any]) -> tuple[Path, Any]:
    """As ``drag_edit``, for a link, a wall or a body of the water side."""
    match path[-1]:
        case "turn_deg":
            return path, _angle(get(project, (*path[:-1], "at")), to)
        case int(index):
            return path[:-1], _with_item(get(project, path[:-1]), index, write(to))
        case _:
            return path, write(to)


def with_point(project: Project, option: int, handle: str, to: Spot, system: System) -> Project:
    """The project with a further point of an outline, after the one that the handle names."""
    path = _project_path(option, handle.rstrip("+"))
    pool = get(project, path[:4])
    points = get(project, path[:-1])
    local = _spot(placement(pool).to_own(np.array([to]))[0])
    index = int(path[-1]) + 1
    return put(project, path[:-1], (*points[:index], writer(system)(local), *points[index:]), system)


def describe(handle: Handle, system: System) -> str:
    """A handle in words: its label, and where it lies."""
    unit = frame.PLAN_UNIT[system]
    east, north = (show(value, LENGTH, system, unit) for value in handle.at)
    return f"{handle.label}: {east} east, {north} north"


GRIDS: dict[System, tuple[str, ...]] = {
    "us": ("1 in", "3 in", "6 in", "1 ft", "2 ft"),
    "si": ("2 cm", "5 cm", "10 cm", "25 cm", "50 cm"),
}


def grid_size(name: str | None, system: System) -> float:
    """Size of a grid in the unit of the plan; 0 for none."""
    return read(name, LENGTH, system) / frame.magnitude_of(frame.PLAN_UNIT[system]) if name else 0.0
