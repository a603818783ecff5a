"""What can be taken hold of on the plan, and what each drag, press or key does to the document. No streamlit.

A handle stands for a place, size or turn of the document. Its id names what it moves by the path in the option, so
that an event of the browser finds its way back without anything being remembered between runs.
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
AT_PLACES = ("Links", "Stone", "Lifting", "Tunnels", "Water")  # whose things can be dragged whatever is on show
AHEAD = 1.25  # of the outline's reach: how far out its turn is taken hold of
BODY_AHEAD = 1.4  # of half a body's length: how far out its turn is taken hold of
ROUND = 48  # corners of the guide of a round outline
DECIMALS = 2  # of a place in the unit on show


@dataclass(frozen=True)
class Handle:
    """Something on the plan that can be dragged, by pointer or keys.

    Attributes:
        id: What it moves, see ``moved``.
        kind: "point" of an outline, "add" a point between two, "move" a whole thing, "turn" or "size" of an outline,
            "end" of the section line.
        at: Its place on the site [m].
        label: What it is, in words.
        corner: Which corner of the guide goes with it; None for none.
        removable: Whether the delete key takes it away.
        quiet: Whether it has no mark: things of other controls than those on show, which can be dragged all the same.
    """

    id: str
    kind: Kind
    at: Spot
    label: str
    corner: int | None = None
    removable: bool = False
    quiet: bool = False


@dataclass(frozen=True)
class OnPlan:
    """All that can be taken hold of, and the line that follows a drag at once.

    Attributes:
        handles: In the order in which the tab key reaches them.
        guide: Corners of the chosen outline on the site [m].
        about: Place that "move" and "turn" of the chosen outline go by [m]; None without one.
    """

    handles: tuple[Handle, ...]
    guide: tuple[Spot, ...] = ()
    about: Spot | None = None


def on_plan(project: Project, option: int, trade: str, index: int, line: tuple[Spot, Spot] | None) -> OnPlan:
    """The handles of what is chosen.

    Args:
        project: The document.
        option: Index of the option.
        trade: Whose controls are on show, as in the side bar.
        index: Which pool is chosen.
        line: Section line as it is drawn [m].
    """
    own, guide, about = _of_trade(project, option, trade, index)
    there = {handle.id for handle in own}
    others = [
        replace(handle, quiet=True)
        for other in AT_PLACES
        if other != trade
        for handle in _of_trade(project, option, other, index)[0]
        if handle.kind == "move" and handle.id not in there
    ]
    return OnPlan((*own, *_section(line), *others), guide, about)


def _of_trade(
    project: Project, option: int, trade: str, index: int
) -> tuple[list[Handle], tuple[Spot, ...], Spot | None]:
    """Handles, guide and centre of one trade's."""
    here = get(project, ("options", option))
    own: list[Handle] = []
    guide: tuple[Spot, ...] = ()
    about: Spot | None = None
    match trade:
        case "Pools" if here.pools:
            at = min(index, len(here.pools) - 1)
            pool = here.pools[at]
            own, guide = _pool(pool, f"pools/{at}")
            about = (float(pool.at[0]), float(pool.at[1]))
        case "Links":
            own = [
                Handle(f"links/{i}/at", "move", _spot(link.at), f"{link.kind} from {link.from_} to {link.to}")
                for i, link in enumerate(here.links)
            ]
            own += _link_handles(here.links)
        case "Stone" if here.stone:
            own = [
                Handle(f"stone/boulders/{i}/places/{k}", "move", _spot(place), f"boulder {row.name}", removable=True)
                for i, row in enumerate(here.stone.boulders)
                for k, place in enumerate(row.places)
            ]
        case "Lifting" if here.lifting:
            own = [
                Handle(f"lifting/positions/{i}/{field}", "move", _spot(getattr(row, field)), f"{said} of {row.name}")
                for i, row in enumerate(here.lifting.positions)
                for field, said in (("at", "machine"), ("pick_up", "stones waiting"))
            ]
            own += _way_in(project)
        case "Tunnels" if here.tunnels:
            own = [
                Handle(f"tunnels/nodes/{i}/at", "move", _spot(node.at), f"{node.kind} {node.name}")
                for i, node in enumerate(here.tunnels.nodes)
            ]
        case "Earth" if here.earth and here.earth.berm and here.earth.berm.outline:
            berm = here.earth.berm
            own, guide = _pool(berm, "earth/berm")
            about = _spot(berm.at)
        case "Water" if here.water:
            own = list(_body_handles(here.water))
        case "Walls" if here.walls:
            own = list(_wall_handles(here.walls))
        case "Site":
            own = [*_way_in(project), *_keep_out_handles(project.site.keep_outs)]
            if project.picture:
                own += _picture(project.picture)
                guide, about = images.corners(project.picture), _spot(project.picture.at)
    return own, guide, about


def _way_in(project: Project) -> list[Handle]:
    way = project.site.way_in
    places = way.points if way else ()
    said = [f"place {i + 1} of the way in" for i in range(len(places) - 1)] + ["way in, its end at the dig"]
    return [Handle(f"way_in/{i}", "move", _spot(place), said[i]) for i, place in enumerate(places)]


def _body_handles(water: Water) -> Iterator[Handle]:
    """Place and turn of every body that has a plan size."""
    for path, name, body, size, at in bodies_of(water):
        here = "/".join(str(step) for step in path)
        field = "at" if at is body.at else "second_at"
        yield Handle(f"{here}/{field}", "move", _spot(at), name)
        if field == "at":
            away, turn = BODY_AHEAD * float(size[0]) / 2, math.radians(body.turn_deg)
            tip = float(at[0]) + away * math.cos(turn), float(at[1]) + away * math.sin(turn)
            yield Handle(f"{here}/turn_deg", "turn", tip, f"turn of the {name}")


def _wall_handles(walls: Walls) -> Iterator[Handle]:
    """Every place of the line of each wall's front."""
    for index, wall in enumerate(walls.walls):
        for number, place in enumerate(wall.points):
            label = f"place {number + 1} of wall {wall.name}"
            removable = len(wall.points) > 2
            yield Handle(f"walls/walls/{index}/points/{number}", "point", _spot(place), label, removable=removable)


def _link_handles(links: Sequence[Link]) -> Iterator[Handle]:
    """Every place of the line of each link."""
    for index, link in enumerate(links):
        for number, place in enumerate(link.points):
            label = f"place {number + 1} of the {link.kind} from {link.from_} to {link.to}"
            yield Handle(f"links/{index}/points/{number}", "point", _spot(place), label, removable=True)


def _keep_out_handles(keep_outs: Sequence[KeepOut]) -> Iterator[Handle]:
    """Every place of what is to be kept clear of."""
    for index, keep in enumerate(keep_outs):
        several = len(keep.points) > 1
        for number, place in enumerate(keep.points):
            label = f"place {number + 1} of {keep.kind} {keep.name}" if several else f"{keep.kind} {keep.name}"
            yield Handle(f"keep_outs/{index}/points/{number}", "point", _spot(place), label, removable=several)


def _picture(picture: PlacedPicture) -> list[Handle]:
    marks = [
        Handle(f"picture/marks/{i}", "end", mark, f"mark {i + 1} on the picture")
        for i, mark in enumerate(images.marks(picture))
    ]
    turn = Handle("picture/turn_deg", "turn", images.turned_by(picture), "turn of the picture")
    return [*marks, Handle("picture/at", "move", _spot(picture.at), "all of the picture"), turn]


def _spot(place: Any) -> Spot:
    return float(place[0]), float(place[1])


def _section(line: tuple[Spot, Spot] | None) -> Iterator[Handle]:
    if line is None:
        return
    for index, (end, mark) in enumerate(zip(line, "AB", strict=True)):
        yield Handle(f"section/{index}", "end", end, f"end {mark} of the section line")
    middle = (line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2
    yield Handle("section", "move", middle, "the whole section line")


def _placed(pool: Any) -> Placed:
    return Placed(float(pool.at[0]), float(pool.at[1]), float(pool.turn_deg))


def _own_corners(outline: Any) -> list[Spot]:
    """Corners of an outline in its own axes, as entered."""
    match outline:
        case Points():
            return [_spot(point) for point in outline.points]
        case Offsets():
            return [_spot(p) for p in outline.left] + [(float(s), -float(off)) for s, off in reversed(outline.right)]
        case Rectangle():
            x, y = outline.length / 2, outline.width / 2
            return [(-x, -y), (x, -y), (x, y), (-x, y)]
        case _:
            sizes = _sizes(outline)
            x, y = sizes[0][1] / 2, sizes[-1][1] / 2
            turns = np.linspace(0.0, 2 * np.pi, ROUND, endpoint=False)
            return [(float(x * math.cos(t)), float(y * math.sin(t))) for t in turns]


def _sizes(outline: Any) -> list[tuple[str, float, int]]:
    """Field, value [m] and own axis of each size of an outline; none where it is drawn by points."""
    match outline:
        case Circle():
            return [("diameter", outline.diameter, 0)]
        case Ellipse() | Rectangle():
            return [("length", outline.length, 0), ("width", outline.width, 1)]
        case _:
            return []


def _pool(pool: Any, at: str) -> tuple[list[Handle], tuple[Spot, ...]]:
    """Of a pool, or of a berm, which has neither name nor pits."""
    outline, placed, name = pool.outline, _placed(pool), getattr(pool, "name", "the berm")
    corners = np.array(_own_corners(outline))
    site = [_spot(place) for place in placed.to_site(corners)]
    middle = _spot(placed.to_site(np.mean(corners, axis=0, keepdims=True))[0])
    found = [Handle(f"{at}/at", "move", middle, f"all of {name}")]
    reach = AHEAD * float(np.abs(corners[:, 0]).max())
    found.append(
        Handle(f"{at}/turn_deg", "turn", _spot(placed.to_site(np.array([[reach, 0.0]]))[0]), f"turn of {name}")
    )
    for side, size, axis in _sizes(outline):
        place = placed.to_site(np.array([[0.0, size / 2] if axis else [size / 2, 0.0]]))[0]
        found.append(Handle(f"{at}/outline/{side}", "size", _spot(place), f"{side} of {name}"))
    if isinstance(outline, Points):
        least = len(site) > 3
        for k, place in enumerate(site):
            found.append(Handle(f"{at}/outline/points/{k}", "point", place, f"point {k + 1} of {name}", k, least))
        for k, place in enumerate(site):
            nxt = site[(k + 1) % len(site)]
            between = (place[0] + nxt[0]) / 2, (place[1] + nxt[1]) / 2
            found.append(
                Handle(f"{at}/outline/points/{k}+", "add", between, f"a further point behind point {k + 1}", k)
            )
    if isinstance(outline, Offsets):
        sides = [("left", k) for k in range(len(outline.left))] + [
            ("right", k) for k in reversed(range(len(outline.right)))
        ]
        for corner, ((side, k), place) in enumerate(zip(sides, site, strict=True)):
            found.append(Handle(f"{at}/outline/{side}/{k}", "point", place, f"{side} offset {k + 1} of {name}", corner))
    for k, pit in enumerate(getattr(pool, "pits", ())):
        place = placed.to_site(np.array([_spot(pit.at)]))[0]
        found.append(Handle(f"{at}/pits/{k}/at", "move", _spot(place), f"pit {k + 1} of {name}"))
    return found, tuple(site)


def moved(
    project: Project, option: int, handle: str, to: Spot, line: tuple[Spot, Spot] | None, system: System
) -> tuple[Path, Any]:
    """What dragging a handle to a place puts where.

    Args:
        project: The document.
        option: Index of the option.
        handle: Id of the handle.
        to: Where it is now, on the site [m].
        line: Section line as it is drawn [m].
        system: Units in which new numbers are written.
    Returns: path in the project, and the value for ``put``.
    Raises: LookupError where the handle is no longer there.
    """
    write = writer(system)
    if handle.startswith("section"):
        if line is None:
            raise LookupError(handle)
        return ("site", "section"), _line_moved(line, handle, to, write)
    if handle.startswith("picture"):
        return _picture_moved(project.picture, handle, to, write)
    if handle.startswith("keep_outs"):
        _, number, _, place = handle.split("/")
        kept: Path = ("site", "keep_outs", int(number), "points")
        return kept, _with(get(project, kept), int(place), write(to))
    if handle.startswith("way_in"):
        places = project.site.way_in.points if project.site.way_in else ()
        return ("site", "way_in", "points"), _with(places, int(handle.split("/")[1]), write(to))
    path = _path(option, handle)
    held = get(project, path)
    head = path[:4]
    match path[2]:
        case "pools" | "earth":
            return _pool_moved(get(project, head), head, path, to, write)
        case "lifting":
            return path, write(to)
        case "water" | "walls" | "links":
            return _place_moved(project, path, to, write)
        case "stone":
            places = get(project, path[:-1])
            return path[:-1], _with(places, int(path[-1]), write(to))
        case _:
            return path, (*write(to), held[2])


def _path(option: int, handle: str) -> Path:
    return ("options", option, *(int(name) if name.isdigit() else name for name in handle.split("/")))


def writer(system: System) -> Callable[[Spot], tuple[str, str]]:
    """Writes a place [m] as the document holds it."""
    unit = frame.PLAN_UNIT[system]
    one = frame.magnitude_of(unit)

    def write(place: Spot) -> tuple[str, str]:
        x, y = (as_text(round(value / one, DECIMALS) * one, LENGTH, unit, system) for value in place)
        return x, y

    return write


def _with(items: tuple[Any, ...], index: int, item: Any) -> tuple[Any, ...]:
    if index >= len(items):
        raise LookupError(f"place {index + 1} of {len(items)}")
    return (*items[:index], item, *items[index + 1 :])


def _line_moved(line: tuple[Spot, Spot], handle: str, to: Spot, write: Callable[[Spot], Any]) -> Any:
    ends = list(line)
    if handle == "section":
        by = to[0] - (line[0][0] + line[1][0]) / 2, to[1] - (line[0][1] + line[1][1]) / 2
        ends = [(x + by[0], y + by[1]) for x, y in line]
    else:
        ends[int(handle[-1])] = to
    return tuple(write(end) for end in ends)


def _picture_moved(
    picture: PlacedPicture | None, handle: str, to: Spot, write: Callable[[Spot], Any]
) -> tuple[Path, Any]:
    if picture is None:
        raise LookupError(handle)
    match handle.split("/")[1:]:
        case ["at"]:
            return ("picture", "at"), write(to)
        case ["turn_deg"]:
            return ("picture", "turn_deg"), _bearing(picture.at, to)
        case ["marks", index]:
            return ("picture", "marks"), _with(picture.marks, int(index), images.mark_at(picture, to))
    raise LookupError(handle)


def _bearing(about: Any, to: Spot) -> float:
    return round(math.degrees(math.atan2(to[1] - about[1], to[0] - about[0])), 1)


def _pool_moved(pool: Any, head: Path, path: Path, to: Spot, write: Callable[[Spot], Any]) -> tuple[Path, Any]:
    placed = _placed(pool)
    own = _spot(placed.to_own(np.array([to]))[0])
    match path[4:]:
        case ("at",):
            middle = placed.to_site(np.mean(np.array(_own_corners(pool.outline)), axis=0, keepdims=True))[0]
            return path, write((pool.at[0] + to[0] - middle[0], pool.at[1] + to[1] - middle[1]))
        case ("turn_deg",):
            return path, _bearing(pool.at, to)
        case ("outline", ("diameter" | "length" | "width") as name):
            half = abs(own[1] if name == "width" else own[0])
            return path, write((2 * half, 0.0))[0]
        case ("outline", ("points" | "left" | "right") as name, int(index)):
            sign = -1.0 if name == "right" else 1.0
            return path[:-1], _with(get(pool, ("outline", name)), index, write((own[0], sign * own[1])))
        case ("pits", int(), "at"):
            return path, write(own)
    raise LookupError("/".join(str(name) for name in path))


def _place_moved(project: Project, path: Path, to: Spot, write: Callable[[Spot], Any]) -> tuple[Path, Any]:
    """As ``moved``, of a link, a wall or a body of the water side."""
    match path[-1]:
        case "turn_deg":
            return path, _bearing(get(project, (*path[:-1], "at")), to)
        case int(index):
            return path[:-1], _with(get(project, path[:-1]), index, write(to))
        case _:
            return path, write(to)


def added(project: Project, option: int, handle: str, to: Spot, system: System) -> Project:
    """A further point of an outline, behind the one that the handle names."""
    path = _path(option, handle.rstrip("+"))
    pool = get(project, path[:4])
    points = get(project, path[:-1])
    own = _spot(_placed(pool).to_own(np.array([to]))[0])
    behind = int(path[-1]) + 1
    return put(project, path[:-1], (*points[:behind], writer(system)(own), *points[behind:]), system)


def said(handle: Handle, system: System) -> str:
    """A handle in words: what it is and where it lies."""
    unit = frame.PLAN_UNIT[system]
    east, north = (show(value, LENGTH, system, unit) for value in handle.at)
    return f"{handle.label}: {east} east, {north} north"


GRIDS: dict[System, tuple[str, ...]] = {
    "us": ("1 in", "3 in", "6 in", "1 ft", "2 ft"),
    "si": ("2 cm", "5 cm", "10 cm", "25 cm", "50 cm"),
}


def grid(name: str | None, system: System) -> float:
    """Size of a grid in the unit of the plan; 0 for none."""
    return read(name, LENGTH, system) / frame.magnitude_of(frame.PLAN_UNIT[system]) if name else 0.0
