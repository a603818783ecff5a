"""Controls of one part, made from the declarations of its fields, as rows of a form. Rows show the document; only what
is entered in them changes it. What a slider shows of a quantity, its ends and its step, stands here too.
"""

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, cast, get_args

import streamlit as st

from pondkit.core import units
from pondkit.core.part import Ask, Part, ask_of, choices_in, get, kind_in, labels_in, refers_in, several_lines
from pondkit.core.result import Path
from pondkit.core.units import Entered, Kind, System, readings
from pondkit.geometry.shapes import Offsets, Points
from pondkit.page import edits
from pondkit.page.components import Row
from pondkit.page.form import Form
from pondkit.page.state import Desk
from pondkit.page.tables import table_control
from pondkit.project.files import put
from pondkit.project.project import Option, Project, Site
from pondkit.study.new_parts import row_names
from pondkit.trades.ground.inputs import LevelBook, PointsGround
from pondkit.trades.pools.inputs import Pool

KNOWN_TO_THE_PERSON = (
    units.PRICE_LENGTH,
    units.PRICE_AREA,
    units.PRICE_VOLUME,
    units.PRICE_MASS,
    units.PRICE_EACH,
    units.PRICE_TIME,
    units.PRICE_ENERGY,
    units.MONEY,
    units.MASS,
    units.POWER,
)


@dataclass(frozen=True)
class Declared:
    """How one field of a part is declared, as far as its control depends on it.

    Attributes:
        name, said, kind: Its name, what a person is told, and its kind of quantity.
        choices: (name, what it is called) of what it takes; empty where it is free.
        group: What the names in it refer to; "" for nothing.
        optional: Whether it may be left out, and is at first.
        blank: Whether a choice may be left to what holds for all.
        lines: Whether a text may have several lines.
        to_fill: Whether only the person knows it: a price, a rating, a reading. Left out, its box is empty.
    """

    name: str
    said: Ask
    kind: Kind | None
    choices: tuple[tuple[str, str], ...]
    group: str
    optional: bool
    blank: bool
    lines: bool
    to_fill: bool = False


@dataclass(frozen=True)
class Field:
    """One field to be asked for."""

    path: Path
    declared: Declared
    value: Any

    @property
    def name(self) -> str:
        return self.declared.name

    @property
    def id(self) -> str:
        return ident(self.path)


def ident(path: Path) -> str:
    """The name of a path in the form."""
    return "/".join(map(str, path))


@cache
def declared_in(held: type[Part]) -> tuple[Declared, ...]:
    """How the fields of a part are declared that are asked for one by one: all but parts inside it and lists of
    parts."""
    found = []
    for name, field in held.model_fields.items():
        said = ask_of(held, name)
        if said is None or _of_parts(cast(Hashable, field.annotation)):
            continue
        labels = labels_in(held, name)
        found.append(
            Declared(
                name,
                said,
                kind_in(held, name),
                tuple((choice, labels.get(choice, choice) or "as for all") for choice in choices_in(held, name)),
                refers_in(held, name),
                optional := not field.is_required() and field.default is None,
                optional or (name == "pipe" and held.__name__ == "Run"),
                several_lines(held, name),
                optional and (held.read_off or kind_in(held, name) in KNOWN_TO_THE_PERSON),
            )
        )
    return tuple(found)


def fields_of(part: Part, path: Path) -> list[Field]:
    """The fields of a part that are asked for one by one, as far as they concern its kind."""
    kind = getattr(part, "kind", "")
    return [
        Field((*path, one.name), one, getattr(part, one.name))
        for one in declared_in(type(part))
        if part.of_kind.get(one.name, kind) == kind
    ]


@cache
def _of_parts(annotation: Hashable) -> bool:
    """True for a part, one that may be left out, a choice of kinds of part, and a list of parts."""
    return (isinstance(annotation, type) and issubclass(annotation, Part)) or any(map(_of_parts, get_args(annotation)))


FINE = 120  # steps of a slider, at two pixels each; a wider range is shown as a window round the value


def quantity(id_: str, said: Ask, kind: Kind, value: float, label: str, system: System) -> Row:
    """A form's row of a quantity: thumb, ends and step in the unit of the field's step, text as typed where it fits.

    The slider is as long as what is common: where a range has more steps than can be told apart by hand, it is a window
    round the value, and the box takes the rest.
    """
    step, unit = said.stride(kind, system)
    shown = units.magnitude(value, kind, unit, system)
    low = _end(said.bound("low", kind), kind, unit, system)
    high = _end(said.bound("high", kind), kind, unit, system)
    if low is None or high is None or (high - low) / step > FINE:
        low, high = _window(shown, step, low, high)
    return Row(
        kind="quantity",
        id=id_,
        label=label,
        help=said.help,
        text=box_text(value, kind, unit, step, system),
        unit=units.pretty(unit),
        value=shown,
        min=low,
        max=high,
        step=step,
        message="",
    )


def _end(bound: float | None, kind: Kind, unit: str, system: System) -> float | None:
    return None if bound is None else units.magnitude(bound, kind, unit, system)


def _window(value: float, step: float, low: float | None, high: float | None) -> tuple[float, float]:
    """A range of ``FINE`` steps round a value, on a grid coarse enough that it stays put for small moves."""
    leap = step * FINE / 4
    middle = round(value / leap) * leap
    start, end = middle - 2 * leap, middle + 2 * leap
    if low is not None and start < low:
        start, end = low, low + 4 * leap
    if high is not None and end > high:
        start, end = max(high - 4 * leap, low if low is not None else -math.inf), high
    return start, end


def box_text(value: float, kind: Kind, unit: str, step: float, system: System) -> str:
    """Text for the box: as typed where it was typed in the units on show, else in the slider's unit, as fine as it is
    read there: three figures, or as many more as a tenth of the slider's step asks for. The value itself stays."""
    if isinstance(value, Entered) and units.system_of(value.text) in (system, ""):
        return value.text.replace("^2", "²").replace("^3", "³")
    shown = units.magnitude(value, kind, unit, system)
    digits = _power(shown) - _power(step / 10) + 1 if shown else 1
    return units.figures(shown, max(3, min(digits, 5))) + (f" {units.pretty(unit)}" if unit else "")


def _power(value: float) -> int:
    """The power of ten that a number begins with."""
    return math.floor(round(math.log10(abs(value)), 9))


def with_unit(text: str, kind: Kind, unit: str) -> str:
    """What was typed; a bare number means the unit that the box shows."""
    bare = text[-1:].isnumeric() and not units.system_of(text)
    return f"{text} {unit}" if bare and unit and not kind.plain else text


AXES = {2: ("east", "north"), 3: ("east", "north", "level")}
PAIRS = {"section": (("A", "B"), AXES[2]), "marks": (("Mark 1", "Mark 2"), ("right", "up"))}
SIDES = {
    "axes": ("length", "width", "height"),
    "size": ("length", "width", "height"),
    "plan_size": ("along", "across"),
    "second_size": ("along", "across"),
}
# Which kinds of outline and of ground there are, in the order of their unions.
UNIONS: dict[str, tuple[type[Part], ...]] = {
    "outline": get_args(Pool.model_fields["outline"].annotation),
    "ground": get_args(Site.model_fields["ground"].annotation),
}


def fold(heading: str, key: str, *, expanded: bool = False) -> Any:
    """A fold for stock widgets, whose content is made only while it is open: ask ``.open``."""
    return st.expander(heading, expanded=expanded, key=key, on_change="rerun")


def part_controls(
    form: Form, path: Path, *, front: bool | None = None, only: Sequence[str] = (), less: Sequence[str] = ()
) -> None:
    """Controls of the fields of the part at a path.

    Args:
        form: Where they stand.
        path: Where the part stands.
        front: Only the fields declared to stand in front, or only the others; None for all.
        only: Only the fields of these names; empty for all.
        less: Without the fields of these names.
    """
    for asked in fields_of(get(form.desk.project, path), path):
        wanted = front is None or asked.declared.said.front == front
        if wanted and (not only or asked.name in only) and asked.name not in less:
            field_control(form, asked)


def field_control(form: Form, asked: Field) -> None:
    """The one control of a field, by its kind."""
    declared, desk = asked.declared, form.desk
    if declared.choices:
        _choice(form, asked, declared.choices, "as for all" if declared.blank else "")
    elif declared.group:
        _reference(form, asked)
    elif declared.kind is not None:
        _quantities(form, asked)
    elif isinstance(asked.value, bool):
        form.add(
            {
                "kind": "switch",
                "id": asked.id,
                "label": declared.said.label,
                "help": declared.said.help,
                "value": asked.value,
            },
            lambda on, drag: desk.edit(lambda: put(desk.project, asked.path, bool(on))),
        )
    else:
        _text(form, asked)


def _taken(form: Form, asked: Field) -> Callable[[Any], None]:
    """Puts what was entered in the field's place; "" for nothing there."""
    desk = form.desk
    nothing = "" if asked.value == "" else None
    return lambda value: desk.edit(lambda: put(desk.project, asked.path, value or nothing))


def _choice(form: Form, asked: Field, options: Sequence[tuple[str, str]], none: str) -> None:
    """One of a list; ``none`` is what it is called to choose none of it, "" where one must be chosen."""
    said, value = asked.declared.said, asked.value or ""
    if none:
        options = [("", none), *((name, called) for name, called in options if name)]
    if value not in [name for name, _ in options]:
        options = [*options, (value, value or "none")]
    form.choice(asked.id, said.label, options, value, _taken(form, asked), said.help)


def _reference(form: Form, asked: Field) -> None:
    """A name of another part, or several."""
    desk, declared = form.desk, asked.declared
    if declared.group == "options":
        _choice(form, asked, [(option.name, option.name) for option in desk.project.options], "none")
        return
    option: Option = get(desk.project, asked.path[:2])
    parts: dict[str, Sequence[Any]] = {
        "pools": option.pools,
        "nodes": option.tunnels.nodes if option.tunnels else (),
        "own_pipes": getattr(get(desk.project, asked.path[:3]), "own_pipes", ()),
        "boulders": option.stone.boulders if option.stone else (),
    }
    group = declared.group
    names = list(row_names(option)) if group == "rows" else [part.name for part in parts[group]]
    if isinstance(asked.value, tuple):
        form.add(
            {
                "kind": "names",
                "id": asked.id,
                "label": declared.said.label,
                "help": declared.said.help,
                "options": [(name, name) for name in dict.fromkeys([*names, *asked.value])],
                "value": list(asked.value),
            },
            lambda chosen, drag: desk.edit(lambda: put(desk.project, asked.path, tuple(chosen))),
        )
        return
    none = "none" if declared.optional or asked.value is None else ""
    _choice(form, asked, [(name, name) for name in names], none)


def _text(form: Form, asked: Field) -> None:
    """A text; what is refused stays in its box. A name is changed wherever it is named."""
    desk, said = form.desk, asked.declared.said

    def change(text: str) -> Project:
        if asked.name == "name":
            return edits.rename(desk.project, asked.path[:-1], text)
        return put(desk.project, asked.path, text)

    text, message = desk.refused.get(asked.id, (str(asked.value), ""))
    form.add(
        {
            "kind": "text",
            "id": asked.id,
            "label": said.label,
            "help": said.help,
            "text": text,
            "message": message,
            "lines": asked.declared.lines,
        },
        lambda given, drag: desk.edit(lambda: change(str(given)), asked.id, str(given)),
    )


def _quantities(form: Form, asked: Field) -> None:
    """A quantity, with a switch where it may be left out."""
    desk, said, switch = form.desk, asked.declared.said, f"{asked.id}:set"
    if not asked.declared.optional:
        _quantity(form, asked)
        return
    form.acts[switch] = lambda on, drag: desk.edit(lambda: edits.set_quantity(desk.project, asked.path, bool(on)))
    if isinstance(asked.value, float):
        _quantity(form, asked, switch)
        return
    if asked.value is None and asked.declared.to_fill:
        _empty(form, asked)
        return
    several = asked.value is not None
    form.add(
        {
            "kind": "switch" if several else "quantity",
            "id": switch if several else asked.id,
            "label": f"Set {said.label.lower()}" if several else said.label,
            "help": said.help,
            "value": True if several else None,
            "switch": switch,
        }
    )
    if several:
        _quantity(form, asked)


def _empty(form: Form, asked: Field) -> None:
    """An empty box for what only the person knows, until it is typed: a price, a rating, a reading."""
    desk, said, kind = form.desk, asked.declared.said, asked.declared.kind
    assert kind is not None
    unit = said.stride(kind, desk.units)[1]
    text, message = desk.refused.get(asked.id, ("", ""))
    form.add(
        {
            "kind": "text",
            "id": asked.id,
            "label": f"{said.label}, to be filled in",
            "help": said.help,
            "text": text,
            "message": message,
            "lines": False,
        },
        lambda given, drag: desk.enter(asked.path, _typed(str(given), kind, unit), drag, asked.id, str(given)),
    )


def _typed(text: str, kind: Kind, unit: str) -> str | None:
    """What was typed into an empty box; nothing where it was left empty."""
    return with_unit(text.strip(), kind, unit) or None


def _quantity(form: Form, asked: Field, switch: str = "") -> None:
    """Sliders for a quantity: one, or one for each number of a place or size; of a list of places the chosen one's."""
    value, label = asked.value, asked.declared.said.label
    if not isinstance(value, tuple):
        _slider(form, asked, (), value, label, asked.id, switch)
    elif asked.name in PAIRS:
        ends, axes = PAIRS[asked.name]
        for at, (end, point) in enumerate(zip(ends, value, strict=True)):
            for index, axis in enumerate(axes):
                _slider(form, asked, (at, index), point[index], f"{end}, {axis}", f"{asked.id}/{at}{index}")
    elif (value and isinstance(value[0], tuple)) or asked.name in edits.PLACE_LISTS:
        _places(form, asked)
    else:
        names = SIDES.get(asked.name, AXES[len(value)])
        for index, number in enumerate(value):
            _slider(form, asked, (index,), number, f"{label}, {names[index]}", f"{asked.id}/{index}")


def _places(form: Form, asked: Field) -> None:
    """One place of a list at a time, with buttons to add one behind it and to remove it."""
    desk, key, count = form.desk, asked.id, len(asked.value)
    said = asked.declared.said
    chosen = min(int(desk.chosen.get(key, 0)), max(count - 1, 0))
    add = form.button(
        f"{key}:add",
        "+",
        lambda: desk.edit(lambda: edits.add_place(desk.project, asked.path, chosen)),
        "Add one behind it" if count else f"{said.label}: add the first",
    )
    drop = form.button(
        f"{key}:drop",
        "×",
        lambda: desk.edit(lambda: edits.remove_place(desk.project, asked.path, chosen)),
        "Remove it",
        off=not count,
    )
    if not count:
        form.add({"kind": "head", "id": f"{key}:at", "label": said.label, "help": said.help, "buttons": [add]})
        return
    form.choice(
        f"{key}:at",
        said.label,
        [(str(i), f"{i + 1} of {count}") for i in range(count)],
        str(chosen),
        lambda index: desk.chosen.__setitem__(key, int(index)),
        said.help,
        [add, drop],
    )
    axes = ("along", "offset") if asked.name in ("left", "right") else AXES[2]
    for index, axis in enumerate(axes):
        _slider(form, asked, (chosen, index), asked.value[chosen][index], axis, f"{key}/{chosen}/{index}")


def _slider(
    form: Form, asked: Field, inner: tuple[int, ...], value: float, label: str, id_: str, switch: str = ""
) -> None:
    """The live slider of one number, with its box."""
    desk, kind = form.desk, asked.declared.kind
    assert kind is not None
    row = quantity(id_, asked.declared.said, kind, value, label, desk.units)
    row["switch"] = switch
    unit = row["unit"]
    if id_ in desk.refused:
        still, (text, reason) = row["text"], desk.refused[id_]
        row["text"], row["message"] = text, f"{reason} Still in force: {still}."
        row["readings"] = list(readings(with_unit(text, kind, unit), kind, desk.units))
    form.add(row, lambda text, drag: _entered(desk, asked.path, inner, kind, unit, id_, str(text), drag))


def _entered(
    desk: Desk, path: Path, inner: tuple[int, ...], kind: Kind, unit: str, id_: str, text: str, drag: int
) -> None:
    value = edits.with_number(get(desk.project, path), inner, with_unit(text, kind, unit))
    desk.enter(path, value, drag, id_, text)


def union_control(form: Form, path: Path, name: str) -> None:
    """Which kind of outline or ground a part has, then the controls of that kind."""
    desk, here = form.desk, (*path, name)
    part = get(desk.project, here)
    tags = {edits.tag(kind): kind for kind in UNIONS[name]}
    said = ask_of(type(get(desk.project, path)), name)
    assert said is not None
    form.choice(
        ident(here),
        said.label,
        [(tag, tag) for tag in tags],
        edits.tag(type(part)),
        lambda tag: desk.edit(lambda: edits.change_kind(desk.project, here, tags[tag])),
        said.help,
    )
    if isinstance(part, PointsGround):
        part_controls(form, here, less=("points",))  # they stand in the table
        form.show()
        if not form.part:
            table_control(desk, (*here, "points"))
    elif isinstance(part, LevelBook):
        part_controls(form, here)
        form.show()
        if not form.part:
            table_control(desk, (*here, "rows"))
    elif isinstance(part, (Points, Offsets)):
        with form.fold(f"fold:{ident(here)}", "Points of the outline") as points:
            if points:
                part_controls(form, here)
    else:
        part_controls(form, here)


def item_bar(form: Form, path: Path, choose: Callable[[int], None], *, least: int = 0, what: str) -> None:
    """Buttons for one part of a list: copy, earlier, later, remove."""
    desk, held, index = form.desk, path[:-1], path[-1]
    assert isinstance(index, int)
    count, key = len(get(desk.project, held)), ident(path)

    def moved(change: Callable[[], tuple[Any, Path]]) -> None:
        at: list[Path] = []

        def apply() -> Any:
            project, to = change()
            at.append(to)
            return project

        desk.edit(apply)
        if at:
            choose(int(at[-1][-1]))

    form.buttons(
        form.button(
            f"{key}:copy",
            "Copy",
            lambda: moved(lambda: edits.copy_item(desk.project, path)),
            f"A copy of this {what}, beside it.",
        ),
        form.button(
            f"{key}:up",
            "↑",
            lambda: moved(lambda: edits.move_item(desk.project, path, -1)),
            "Earlier in the list.",
            off=index == 0,
        ),
        form.button(
            f"{key}:down",
            "↓",
            lambda: moved(lambda: edits.move_item(desk.project, path, 1)),
            "Later in the list.",
            off=index == count - 1,
        ),
        form.button(
            f"{key}:remove",
            "×",
            lambda: moved(lambda: (edits.remove_item(desk.project, path), (*held, max(index - 1, 0)))),
            f"Remove this {what}; undo brings it back.",
            off=count <= least,
        ),
    )
