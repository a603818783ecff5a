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
from pondkit.drawing.frame import PLAN_UNIT
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

_STEP = 0.6096  # m: 2 ft, how far a copy is moved aside


def _length_text(value: float, system: System) -> str:
    """A length [m] in the unit of the plan, rounded to one decimal."""
    number, _, unit = as_text(value, LENGTH, PLAN_UNIT[system], system).partition(" ")
    return f"{round(float(number), 1):g} {unit}"


def copy_item(project: Project, path: Path) -> tuple[Project, Path]:
    """The project with a copy of an item after it, under a name of its own; and the copy's path."""
    list_path, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = get(project, list_path)
    copy = _with_fresh_name(items[index], {getattr(item, "name", "") for item in items})
    if isinstance(copy, (Pool, Pit, Measured)):
        copy = _set_aside(copy, project.units)
    return _insert(project, list_path, index + 1, copy)


def add_item(project: Project, list_path: Path, place: Spot | None = None, kind: str = "") -> tuple[Project, Path]:
    """The project with a new item at the end of a list, and its path; see ``study.new_parts``.

    Args:
        project: The document.
        list_path: Path of the list.
        place: Place on the site where it is to be [m]; None for a free one.
        kind: Kind of the item, in lists of several kinds.
    Raises: Refused if there is no room for it.
    """
    return new_parts.add(project, list_path, place, kind)


def remove_item(project: Project, path: Path) -> Project:
    """The project without an item, and without what depends on its name: links and edging of a pool, runs of a node."""
    list_path, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = get(project, list_path)
    removed = items[index]
    if list_path == ("options",) and removed.name == project.chosen:
        project = put(project, ("chosen",), "")
    project = put(project, list_path, items[:index] + items[index + 1 :])
    group = _group(removed)
    if group and isinstance(path[0], str) and len(path) > 1:
        scope = _scope(path, group)
        project = put(project, scope, _without(get(project, scope), group, removed.name))
    return project


def move_item(project: Project, path: Path, by: int) -> tuple[Project, Path]:
    """The project with an item moved along its list, and the new path. At an end of the list nothing moves."""
    list_path, index = path[:-1], path[-1]
    assert isinstance(index, int)
    items = list(get(project, list_path))
    new_index = index + by
    if not 0 <= new_index < len(items):
        return project, path
    items[index], items[new_index] = items[new_index], items[index]
    return put(project, list_path, tuple(items)), (*list_path, new_index)


def rename(project: Project, path: Path, name: str) -> Project:
    """The project with another name for a part, also where other parts of its option refer to it."""
    part = get(project, path)
    old = part.name
    project = put(project, (*path, "name"), name)
    if path[:-1] == ("options",) and old == project.chosen:
        project = put(project, ("chosen",), name)
    group = _group(part)
    if group and len(path) > 2:
        scope = _scope(path, group)
        project = put(project, scope, _with_reference(get(project, scope), group, old, name))
    return project


def set_part(project: Project, path: Path, present: bool, place: Spot | None = None) -> Project:
    """The project with an optional part added with its defaults (at ``place`` if given), or removed."""
    return new_parts.add_part(project, path, place) if present else put(project, path, None)


def _insert(project: Project, list_path: Path, index: int, part: Part) -> tuple[Project, Path]:
    items = get(project, list_path)
    return put(project, list_path, (*items[:index], part, *items[index:])), (*list_path, index)


def _with_fresh_name(part: Any, used_names: set[str]) -> Any:
    return (
        put(part, ("name",), fresh_name(part.name, used_names))
        if "name" in type(part).model_fields and not isinstance(part, Fitting)
        else part
    )


def _set_aside(part: Any, system: System) -> Any:
    """The part moved east by its width, so that a copy is seen."""
    shift = _STEP if isinstance(part, (Pit, Measured)) else _size(part.outline)[0] + 2 * _STEP
    return put(part, ("at",), [_length_text(part.at[0] + shift, system), part.at[1]])


def _group(part: Part) -> str:
    """Group of names that a part belongs to; "" if nothing refers to it by name."""
    kinds = {Pool: "pools", Node: "nodes", Boulder: "boulders", Wall: "walls", OwnPipe: "own_pipes"}
    return kinds.get(type(part), "")


def _scope(path: Path, group: str) -> Path:
    """Path within which the part may be referred to: its option; of an own pipe its trade."""
    return path[:3] if group == "own_pipes" else path[:2]


def _with_reference(part: Any, group: str, old: str, new: str | None) -> Any:
    """A part in which all references to the name ``old`` are to ``new``."""
    changes: dict[str, Any] = {}
    for name in type(part).model_fields:
        value = getattr(part, name)
        if isinstance(value, Part):
            changes[name] = _with_reference(value, group, old, new)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            changes[name] = tuple(_with_reference(item, group, old, new) for item in value)
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
    """True if a row of levels belongs to the pool, node or wall of that name."""
    return row.startswith(f"{name}: ")


def _without(part: Any, group: str, gone: str) -> Any:
    """A part without the items that need the part of the name ``gone``, and without optional references to it."""
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
    """True if a part cannot be without the part of the name ``gone``."""
    for name, field in type(part).model_fields.items():
        if refers_in(type(part), name) == group:
            value = getattr(part, name)
            if (value == gone and field.is_required()) or value == (gone,):
                return True
        elif refers_in(type(part), name) == "rows" and _row_of(getattr(part, name), gone):
            return True
    return False


# Fields that hold a list of places.
PLACE_LISTS = ("points", "left", "right", "places")


def with_number(value: Any, inner: tuple[int, ...], text: str) -> Any:
    """A value with a number in it replaced by text.

    Args:
        value: A number, or nested tuples of numbers.
        inner: Indices of the number; () to replace all of the value.
        text: The text.
    """
    if not inner:
        return text
    return tuple(with_number(item, inner[1:], text) if i == inner[0] else item for i, item in enumerate(value))


def add_place(project: Project, path: Path, index: int) -> Project:
    """The project with a further place in a list, after the one at ``index`` and half way to the next."""
    places = get(project, path)
    if not places:
        start = getattr(get(project, path[:-1]), "at", None)  # the first bend of a link's line lies by its crest
        first = (start[0] + _STEP, start[1]) if start is not None else (0.0, 0.0)
        return put(project, path, (tuple(_length_text(side, project.units) for side in first),))
    place, next_place = places[index], places[(index + 1) % len(places)]
    if len(places) == 1:
        next_place = (place[0] + 2 * _STEP, place[1])
    middle = tuple(_length_text((a + b) / 2, project.units) for a, b in zip(place, next_place, strict=True))
    return put(project, path, (*places[: index + 1], middle, *places[index + 1 :]))


def remove_place(project: Project, path: Path, index: int) -> Project:
    """The project without one place of a list."""
    places = get(project, path)
    return put(project, path, places[:index] + places[index + 1 :])


def tag(kind: type[Part]) -> str:
    """Name of a kind of outline or ground in the document."""
    return str(next(iter(kind.model_fields.values())).default)


def change_kind(project: Project, path: Path, kind: type[Part]) -> Project:
    """The project with another kind of outline or ground in the same place, of about the same size."""
    old = get(project, path)
    if type(old) is kind:
        return project
    if path[-1] == "ground":
        return put(project, path, _other_ground(old, kind, project.units))
    if kind is Points:
        return put(project, path, as_points(old, project.units))
    length, width = _size(old)

    def text(value: float) -> str:
        return _length_text(value, project.units)

    def offsets(*shares: tuple[float, float]) -> list[list[str]]:
        return [[text(along * length / 2), text(off * width / 2)] for along, off in shares]

    values: dict[str, Any] = {
        "circle": {"diameter": text(min(length, width))},
        "ellipse": {"length": text(length), "width": text(width)},
        "rectangle": {"length": text(length), "width": text(width)},
        "offsets": {
            "left": offsets((-1, 0), (-0.5, 0.85), (0.5, 0.85), (1, 0)),
            "right": offsets((-0.5, 0.85), (0.5, 0.85)),
        },
    }
    return put(project, path, kind.model_validate(values[tag(kind)]))


def _other_ground(old: Any, kind: type[Part], system: System) -> Part:
    """Ground of another kind at about the level of the old one. Points lie on a square in the old plane."""
    half_side, unit = 50 if system == "us" else 15, PLAN_UNIT[system]
    level = getattr(old, "level", getattr(old, "benchmark", f"0 {unit}"))
    if kind is LevelBook:
        return kind.model_validate({"benchmark": level})
    if kind is not PointsGround:
        return kind.model_validate({"level": level})
    corners = [(x * half_side, y * half_side) for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    unit_size, plane = factor(unit, LENGTH, system), plane_of(old) if isinstance(old, PlaneGround) else None
    levels = [
        plane.level_at((x * unit_size, y * unit_size)) if plane else float(read(level, LENGTH, system))
        for x, y in corners
    ]
    rows = [
        (f"{x} {unit}", f"{y} {unit}", as_text(z, LENGTH, unit, system))
        for (x, y), z in zip(corners, levels, strict=True)
    ]
    return kind.model_validate({"points": rows})


def _size(outline: Any) -> tuple[float, float]:
    """Length and width of an outline [m]."""
    if hasattr(outline, "diameter"):
        return float(outline.diameter), float(outline.diameter)
    if hasattr(outline, "length"):
        return float(outline.length), float(outline.width)
    places = getattr(outline, "points", None) or (*outline.left, *((x, -y) for x, y in outline.right))
    x, y = [p[0] for p in places], [p[1] for p in places]
    return float(max(x) - min(x)), float(max(y) - min(y))


def set_quantity(project: Project, path: Path, present: bool) -> Project:
    """The project with an optional quantity set to a usual value within its bounds, or left out."""
    if not present:
        return put(project, path, None)
    part = get(project, path[:-1])
    name = str(path[-1])
    ask, kind = ask_of(type(part), name), kind_in(type(part), name)
    assert ask is not None
    assert kind is not None
    in_us_units = project.units == "us"
    if ask.first:
        return put(project, path, ask.first[0 if in_us_units else 1])
    if name == "section":
        return put(
            project, path, (("0 ft", "0 ft"), ("20 ft", "0 ft")) if in_us_units else (("0 m", "0 m"), ("6 m", "0 m"))
        )
    if name in ("plan_size", "second_size"):
        return put(project, path, ("4 ft", "3 ft") if in_us_units else ("1.2 m", "90 cm"))
    if name == "size":
        return put(project, path, ("24 in", "18 in", "16 in") if in_us_units else ("60 cm", "45 cm", "40 cm"))
    step, unit = ask.stride(kind, project.units)
    low, high = ask.bound("low", kind), ask.bound("high", kind)
    if kind is DENSITY:
        start = 2650.0
    elif kind is TEMPERATURE:
        start = 20.0
    elif kind is MASS and low is not None:
        start = low  # what the tag says: no rating is made up by which a stone could be lifted
    elif (low is not None and low < 0) or kind is ANGLE:
        start = 0.0
    else:
        most = magnitude(high, kind, unit, project.units) if high is not None else step
        start = min(24 * step if kind is LENGTH else 10 * step, most)
        return put(project, path, f"{start:g} {unit}".strip())
    return put(project, path, as_text(start, kind, unit, project.units))


def title(part: Any, index: int) -> str:
    """Name of an item where it is chosen from its list."""
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
        radius, height = (
            value.text if isinstance(value, Entered) else f"{value:g}" for value in (part.radius, part.height)
        )
        return f"{radius} out, load point {height}"
    if isinstance(part, Fitting):
        return f"{part.own_pipe or part.pipe}, {part.name}"
    return getattr(part, "name", "") or f"{part.title_of_part} {index + 1}"


def least_turn(project: Project, option: int, liner: int) -> Project:
    """The project with a liner turned to where it takes the least area; unchanged if one of its pools cannot be
    computed.
    """
    turn = least_liner_turn(project, option, liner)
    return (
        project
        if turn is None
        else put(project, ("options", option, "lining", "liners", liner, "turn_deg"), round(turn.turn_deg, 1))
    )
