"""Edits of the document that change more than one value: parts of lists added, copied, renamed, moved and removed;
places of a list; kinds of outline and ground; optional parts. Each returns a new project. No streamlit.
"""

from typing import Any

from pondkit.core.part import Part, ask_of, get, kind_in, refers_in
from pondkit.core.result import Path
from pondkit.core.units import (
    ANGLE,
    DENSITY,
    LENGTH,
    MASS,
    TEMPERATURE,
    Entered,
    System,
    as_text,
    factor,
    magnitude,
    read,
)
from pondkit.geometry.outline import as_points
from pondkit.geometry.room import Spot
from pondkit.geometry.shapes import Points
from pondkit.project.files import put
from pondkit.project.project import Project
from pondkit.study import new_parts
from pondkit.study.aim import least_liner_turn
from pondkit.study.site_room import fresh_name
from pondkit.trades.earthwork.inputs import Measured, Reading
from pondkit.trades.ground.compute import plane_of
from pondkit.trades.ground.inputs import LevelBook, PlaneGround, PointsGround
from pondkit.trades.lifting.inputs import ChartRow
from pondkit.trades.liner.inputs import Burrow
from pondkit.trades.pools.inputs import Link, Pit, Pool
from pondkit.trades.stone.inputs import Boulder, Edging
from pondkit.trades.tunnels.inputs import Fitting, Node, Run
from pondkit.trades.walls.inputs import Wall
from pondkit.trades.water.inputs.pumping import OwnPipe

_STEP = 0.6096  # m: how far a copy is set aside, so that it is seen


def short(text: str) -> str:
    """A quantity's text with one digit behind the point at most."""
    number, _, unit = text.partition(" ")
    return f"{round(float(number), 1):g} {unit}"


def copy_item(project: Project, path: Path) -> tuple[Project, Path]:
    """A copy of the part at a path, set behind it with a name of its own; and the copy's path."""
    held, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = get(project, held)
    copy = _renamed(items[index], {getattr(item, "name", "") for item in items})
    if isinstance(copy, (Pool, Pit, Measured)):
        copy = _aside(copy, project.units)
    return _insert(project, held, index + 1, copy)


def add_item(project: Project, held: Path, place: Spot | None = None, kind: str = "") -> tuple[Project, Path]:
    """A new part at the end of a list, at a place on the site where one is wanted; see ``study.new_parts``."""
    return new_parts.add(project, held, place, kind)


def remove_item(project: Project, path: Path) -> Project:
    """Without the part at a path, nor what names it: links and edging of a removed pool, runs of a removed node."""
    held, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = get(project, held)
    gone = items[index]
    if held == ("options",) and gone.name == project.chosen:
        project = put(project, ("chosen",), "")
    project = put(project, held, items[:index] + items[index + 1 :])
    group = _group(gone)
    if group and isinstance(path[0], str) and len(path) > 1:
        scope = _scope(path, group)
        project = put(project, scope, _without(get(project, scope), group, gone.name))
    return project


def move_item(project: Project, path: Path, by: int) -> tuple[Project, Path]:
    """The part at a path moved up or down its list; and its new path. At the list's end nothing moves."""
    held, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = list(get(project, held))
    to = index + by
    if not 0 <= to < len(items):
        return project, path
    items[index], items[to] = items[to], items[index]
    return put(project, held, tuple(items)), (*held, to)


def rename(project: Project, path: Path, name: str) -> Project:
    """Another name for the part at a path, also where other parts of its option refer to it."""
    part = get(project, path)
    old = part.name
    project = put(project, (*path, "name"), name)
    if path[:-1] == ("options",) and old == project.chosen:
        project = put(project, ("chosen",), name)
    group = _group(part)
    if group and len(path) > 2:
        scope = _scope(path, group)
        project = put(project, scope, _refer(get(project, scope), group, old, name))
    return project


def set_part(project: Project, path: Path, wanted: bool, place: Spot | None = None) -> Project:
    """An optional part put in with its defaults, at a place where one is wanted; or taken out."""
    return new_parts.add_part(project, path, place) if wanted else put(project, path, None)


def _insert(project: Project, held: Path, index: int, part: Part) -> tuple[Project, Path]:
    items = get(project, held)
    return put(project, held, (*items[:index], part, *items[index:])), (*held, index)


def _renamed(part: Any, taken: set[str]) -> Any:
    return (
        put(part, ("name",), fresh_name(part.name, taken))
        if "name" in type(part).model_fields and not isinstance(part, Fitting)
        else part
    )


def _aside(part: Any, system: System) -> Any:
    unit = "ft" if system == "us" else "m"
    wide = _STEP if isinstance(part, (Pit, Measured)) else _width(part) + 2 * _STEP
    return put(part, ("at",), [short(as_text(part.at[0] + wide, LENGTH, unit, system)), part.at[1]])


def _width(pool: Pool) -> float:
    outline = pool.outline
    for name in ("diameter", "length"):
        if hasattr(outline, name):
            return float(getattr(outline, name))
    places = getattr(outline, "points", None) or (*outline.left, *outline.right)  # type: ignore[union-attr]
    return float(max(p[0] for p in places) - min(p[0] for p in places))


def _group(part: Part) -> str:
    kinds = {Pool: "pools", Node: "nodes", Boulder: "boulders", Wall: "walls", OwnPipe: "own_pipes"}
    return kinds.get(type(part), "")


def _scope(path: Path, group: str) -> Path:
    """Where the part at a path may be named: in its option, an own pipe in its own trade only."""
    return path[:3] if group == "own_pipes" else path[:2]


def _refer(part: Any, group: str, old: str, new: str | None) -> Any:
    """A part in which every name that refers to ``old`` is ``new``."""
    changes: dict[str, Any] = {}
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Part):
            changes[name] = _refer(value, group, old, new)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            changes[name] = tuple(_refer(item, group, old, new) for item in value)
        elif refers_in(type(part), name) == group:
            changes[name] = (
                tuple(new if v == old else v for v in value)
                if isinstance(value, tuple)
                else new
                if value == old
                else value
            )
        elif refers_in(type(part), name) == "rows" and new is not None and _row_of(value, old):
            changes[name] = new + value.removeprefix(old)
    return part.changed(**changes)


def _row_of(row: str, name: str) -> bool:
    """True for a row of the levels to dig by that belongs to the pool, node or wall of a name."""
    return row.startswith(f"{name}: ")


def _without(part: Any, group: str, gone: str) -> Any:
    """A part without what cannot be without the part that is gone; optional names of it are left out."""
    changes: dict[str, Any] = {}
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Part):
            changes[name] = _without(value, group, gone)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            changes[name] = tuple(_without(item, group, gone) for item in value if not _needs(item, group, gone))
        elif refers_in(type(part), name) == group:
            changes[name] = (
                tuple(v for v in value if v != gone) if isinstance(value, tuple) else None if value == gone else value
            )
    return part.changed(**changes)


def _needs(part: Part, group: str, gone: str) -> bool:
    for name, field in type(part).model_fields.items():
        if refers_in(type(part), name) == group:
            value = getattr(part, name)
            if (value == gone and field.is_required()) or value == (gone,):
                return True
        elif refers_in(type(part), name) == "rows" and _row_of(getattr(part, name), gone):
            return True
    return False


PLACE_LISTS = ("points", "left", "right", "places")


def with_number(value: Any, inner: tuple[int, ...], text: str) -> Any:
    """A value in which the number at ``inner`` is the text; the text itself where ``inner`` is ()."""
    if not inner:
        return text
    return tuple(with_number(item, inner[1:], text) if i == inner[0] else item for i, item in enumerate(value))


def add_place(project: Project, path: Path, behind: int) -> Project:
    """A further place behind one of a list, half way to the next."""
    places = get(project, path)
    unit = "ft" if project.units == "us" else "m"
    if not places:
        start = getattr(get(project, path[:-1]), "at", None)  # the first bend of a link's line lies by its crest
        first = (start[0] + _STEP, start[1]) if start is not None else (0.0, 0.0)
        return put(project, path, (tuple(short(as_text(x, LENGTH, unit, project.units)) for x in first),))
    here, nxt = places[behind], places[(behind + 1) % len(places)]
    if len(places) == 1:
        nxt = (here[0] + 2 * _STEP, here[1])
    middle = tuple(short(as_text((a + b) / 2, LENGTH, unit, project.units)) for a, b in zip(here, nxt, strict=True))
    return put(project, path, (*places[: behind + 1], middle, *places[behind + 1 :]))


def remove_place(project: Project, path: Path, index: int) -> Project:
    """Without one place of a list."""
    places = get(project, path)
    return put(project, path, places[:index] + places[index + 1 :])


def tag(kind: type[Part]) -> str:
    """The word by which a kind of outline or ground is chosen."""
    return str(next(iter(kind.model_fields.values())).default)


def change_kind(project: Project, path: Path, kind: type[Part]) -> Project:
    """Another kind of outline or ground in the same place, about as large."""
    old = get(project, path)
    if type(old) is kind:
        return project
    if path[-1] == "ground":
        return put(project, path, _other_ground(old, kind, project.units))
    unit = "ft" if project.units == "us" else "m"
    half = [next(v / 2 for v in _size(old)), [v / 2 for v in _size(old)][1]]

    def text(value: float) -> str:
        return short(as_text(value, LENGTH, unit, project.units))

    if kind is Points:
        return put(project, path, as_points(old, project.units))
    given: dict[str, Any] = {
        "circle": {"diameter": text(2 * min(half))},
        "ellipse": {"length": text(2 * half[0]), "width": text(2 * half[1])},
        "rectangle": {"length": text(2 * half[0]), "width": text(2 * half[1])},
        "offsets": {
            "left": [[text(x * half[0]), text(y * half[1])] for x, y in ((-1, 0), (-0.5, 0.85), (0.5, 0.85), (1, 0))],
            "right": [[text(x * half[0]), text(y * half[1])] for x, y in ((-0.5, 0.85), (0.5, 0.85))],
        },
    }
    return put(project, path, kind.model_validate(given[tag(kind)]))


def _other_ground(old: Any, kind: type[Part], system: System) -> Part:
    """Another kind of ground at about the level of the old one; points in a square lie on the plane that was drawn."""
    wide, unit = (50, "ft") if system == "us" else (15, "m")
    level = getattr(old, "level", getattr(old, "benchmark", f"0 {unit}"))
    if kind is LevelBook:
        return kind.model_validate({"benchmark": level})
    if kind is not PointsGround:
        return kind.model_validate({"level": level})
    corners = [(x * wide, y * wide) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    one, plane = factor(unit, LENGTH, system), plane_of(old) if isinstance(old, PlaneGround) else None
    levels = [plane.level_at((x * one, y * one)) if plane else float(read(level, LENGTH, system)) for x, y in corners]
    rows = [
        (f"{x} {unit}", f"{y} {unit}", as_text(z, LENGTH, unit, system))
        for (x, y), z in zip(corners, levels, strict=True)
    ]
    return kind.model_validate({"points": rows})


def _size(outline: Any) -> tuple[float, float]:
    if hasattr(outline, "diameter"):
        return outline.diameter, outline.diameter
    if hasattr(outline, "length"):
        return outline.length, outline.width
    places = getattr(outline, "points", None) or (*outline.left, *((x, -y) for x, y in outline.right))
    x, y = [p[0] for p in places], [p[1] for p in places]
    return max(x) - min(x), max(y) - min(y)


def set_quantity(project: Project, path: Path, wanted: bool) -> Project:
    """An optional quantity put in at a plain value within its bounds, or taken out."""
    if not wanted:
        return put(project, path, None)
    part = get(project, path[:-1])
    name = str(path[-1])
    said, kind = ask_of(type(part), name), kind_in(type(part), name)
    assert said is not None
    assert kind is not None
    us = project.units == "us"
    if said.first:
        return put(project, path, said.first[0 if us else 1])
    if name == "section":
        return put(project, path, (("0 ft", "0 ft"), ("20 ft", "0 ft")) if us else (("0 m", "0 m"), ("6 m", "0 m")))
    if name in ("plan_size", "second_size"):
        return put(project, path, ("4 ft", "3 ft") if us else ("1.2 m", "90 cm"))
    if name == "size":
        return put(project, path, ("24 in", "18 in", "16 in") if us else ("60 cm", "45 cm", "40 cm"))
    step, unit = said.stride(kind, project.units)
    low, high = said.bound("low", kind), said.bound("high", kind)
    if kind is DENSITY:
        start = 2650.0
    elif kind is TEMPERATURE:
        start = 20.0
    elif kind is MASS and low is not None:
        start = low  # a rating is what the tag says: none is made up that could lift a stone
    elif (low is not None and low < 0) or kind is ANGLE:
        start = 0.0
    else:
        most = magnitude(high, kind, unit, project.units) if high is not None else step
        start = min(24 * step if kind is LENGTH else 10 * step, most)
        return put(project, path, f"{start:g} {unit}".strip() if not kind.plain else start)
    return put(project, path, as_text(start, kind, unit, project.units) if not kind.plain else start)


def title(part: Any, index: int) -> str:
    """What a part of a list is called where it is chosen."""
    if isinstance(part, (Run, Link)):
        return f"{part.from_} – {part.to}"
    if isinstance(part, Reading):
        return f"{index + 1} · {part.row}"
    if isinstance(part, Measured):
        return f"{index + 1} · {part.pool}"
    if isinstance(part, Burrow):
        return f"{part.pool}, {part.zone}"
    if isinstance(part, Edging):
        return f"{part.pool}, {part.seat}"
    if isinstance(part, ChartRow):
        out, high = (value.text if isinstance(value, Entered) else f"{value:g}" for value in (part.radius, part.height))
        return f"{out} out, load point {high}"
    if isinstance(part, Fitting):
        return f"{part.own_pipe or part.pipe}, {part.name}"
    return getattr(part, "name", "") or f"{part.title_of_part} {index + 1}"


def least_turn(project: Project, option: int, liner: int) -> Project:
    """The liner turned to where it takes the least area; as it is where no pool of it can be worked out."""
    found = least_liner_turn(project, option, liner)
    return (
        project
        if found is None
        else put(project, ("options", option, "lining", "liners", liner, "turn_deg"), round(found.turn_deg, 1))
    )
