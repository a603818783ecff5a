"""Controls of a part as rows of a form, made from the declarations of its fields. Rows show the document; only what is
entered in them changes it.

``quantity`` makes the row of a slider: its ends, its step, and the text in its box. ``part_controls`` gives each field
of a part its one control, by the field's kind.
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
from pondkit.page.components import Button, Row
from pondkit.page.form import Form
from pondkit.page.state import Desk
from pondkit.page.tables import table_control
from pondkit.project.files import put
from pondkit.project.project import Option, Project, Site
from pondkit.study.new_parts import row_names
from pondkit.trades.ground.inputs import LevelBook, PointsGround
from pondkit.trades.pools.inputs import Pool

# Kinds of quantity that only the person knows.
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
class Declaration:
    """How one field of a part is declared, as far as its control depends on it.

    Attributes:
        name, ask, kind: Name of the field; label, help and bounds; kind of quantity, None for anything else.
        choices: (value, name) of each choice; empty if any value may be entered.
        group: What the names in it refer to, such as "pools"; "" for nothing.
        optional: Whether it may be left out, and is at first.
        blank: Whether a choice may be left to the value common to all.
        lines: Whether a text may have several lines.
        to_fill: Whether only the person knows it: a price, a rating, a reading. While it is left out, its box is empty.
    """

    name: str
    ask: Ask
    kind: Kind | None
    choices: tuple[tuple[str, str], ...]
    group: str
    optional: bool
    blank: bool
    lines: bool
    to_fill: bool = False


@dataclass(frozen=True)
class Field:
    """One field of the document, with its path, declaration and present value."""

    path: Path
    declaration: Declaration
    value: Any

    @property
    def name(self) -> str:
        return self.declaration.name

    @property
    def id(self) -> str:
        return ident(self.path)


def ident(path: Path) -> str:
    """A path as an id in the form."""
    return "/".join(map(str, path))


@cache
def declarations_in(part_type: type[Part]) -> tuple[Declaration, ...]:
    """Declarations of the fields of a part that have a control of their own: all except parts inside it and lists of
    parts.
    """
    declarations = []
    for name, field in part_type.model_fields.items():
        ask = ask_of(part_type, name)
        if ask is None or _holds_parts(cast(Hashable, field.annotation)):
            continue
        labels = labels_in(part_type, name)
        declarations.append(
            Declaration(
                name,
                ask,
                kind_in(part_type, name),
                tuple((choice, labels.get(choice, choice) or "as for all") for choice in choices_in(part_type, name)),
                refers_in(part_type, name),
                optional := not field.is_required() and field.default is None,
                optional or (name == "pipe" and part_type.__name__ == "Run"),
                several_lines(part_type, name),
                optional and (part_type.read_off or kind_in(part_type, name) in KNOWN_TO_THE_PERSON),
            )
        )
    return tuple(declarations)


def fields_of(part: Part, path: Path) -> list[Field]:
    """The fields of a part that have a control of their own, without those that do not apply to its kind."""
    kind = getattr(part, "kind", "")
    return [
        Field((*path, declaration.name), declaration, getattr(part, declaration.name))
        for declaration in declarations_in(type(part))
        if part.of_kind.get(declaration.name, kind) == kind
    ]


@cache
def _holds_parts(annotation: Hashable) -> bool:
    """True for the type of a part, of an optional part, of a choice between kinds of part, and of a list of parts."""
    return (isinstance(annotation, type) and issubclass(annotation, Part)) or any(
        map(_holds_parts, get_args(annotation))
    )


FINE = 120  # most steps of a slider, at two pixels each


def quantity(id_: str, ask: Ask, kind: Kind, value: float, label: str, system: System) -> Row:
    """The row of a quantity: slider in the unit of the field's step, and a box with the text.

    The slider covers the field's bounds. If they hold more steps than a hand can tell apart, it covers a window round
    the value, and the box takes values outside.

    Args:
        id_, label: Id and label of the row.
        ask, kind: Declaration of the field, and its kind of quantity.
        value: Present value [SI].
        system: Unit system displayed.
    """
    step, unit, low, high = _scale(ask, kind, system)
    magnitude = units.magnitude(value, kind, unit, system)
    if low is None or high is None or (high - low) / step > FINE:
        low, high = _window(magnitude, step, low, high)
    return Row(
        kind="quantity",
        id=id_,
        label=label,
        help=ask.help,
        text=box_text(value, kind, unit, step, system),
        unit="°" if kind is units.ANGLE else units.pretty(unit),
        value=magnitude,
        min=low,
        max=high,
        step=step,
        message="",
    )


@cache
def _scale(ask: Ask, kind: Kind, system: System) -> tuple[float, str, float | None, float | None]:
    """(step, unit, lowest, highest) of a slider as declared; None without a bound."""
    step, unit = ask.stride(kind, system)
    low, high = (
        None if bound is None else units.magnitude(bound, kind, unit, system)
        for bound in (ask.bound("low", kind), ask.bound("high", kind))
    )
    return step, unit, low, high


def _window(value: float, step: float, low: float | None, high: float | None) -> tuple[float, float]:
    """(low, high) of FINE steps round a value, within the bounds. It moves in quarters of its length, so that it stays
    for small moves.
    """
    leap = step * FINE / 4
    middle = round(value / leap) * leap
    start, end = middle - 2 * leap, middle + 2 * leap
    if low is not None and start < low:
        start, end = low, low + 4 * leap
    if high is not None and end > high:
        start, end = max(high - 4 * leap, low if low is not None else -math.inf), high
    return start, end


def box_text(value: float, kind: Kind, unit: str, step: float, system: System) -> str:
    """Text for the box of a slider; the value itself stays as it is.

    It is the text as typed, if that was in the unit system displayed. Otherwise it is in the slider's unit with three
    figures, or with as many more as a tenth of the slider's step needs, five at most.
    """
    if isinstance(value, Entered) and units.system_of(value.text) in (system, ""):
        return value.text.replace("^2", "²").replace("^3", "³")
    magnitude = units.magnitude(value, kind, unit, system)
    digits = _power(magnitude) - _power(step / 10) + 1 if magnitude else 1
    number = units.figures(magnitude, max(3, min(digits, 5)))
    return f"{number}°" if kind is units.ANGLE else f"{number} {units.pretty(unit)}".rstrip()


def _power(value: float) -> int:
    """Exponent of ten of a number's first digit."""
    return math.floor(round(math.log10(abs(value)), 9))


def with_unit(text: str, kind: Kind, unit: str) -> str:
    """The text as typed, with the unit of the box if it is a bare number. Of a share, a bare number below 1 is the
    share itself: 0.1 is 10 %, and so is 10.
    """
    bare = text[-1:].isnumeric() and not units.system_of(text)
    if not (bare and unit):
        return text
    if kind in (units.SHARE, units.PORTION):
        try:
            share = units.read(text, units.PORTION, "us")
        except units.UnitError:
            return text
        return units.as_text(share, units.PORTION, unit, "us") if 0 < share < 1 else f"{text} {unit}"
    return f"{text} {unit}"


AXES = {2: ("east", "north"), 3: ("east", "north", "level")}
PAIRS = {"section": (("A", "B"), AXES[2]), "marks": (("Mark 1", "Mark 2"), ("right", "up"))}
SIDES = {
    "axes": ("length", "width", "height"),
    "size": ("length", "width", "height"),
    "plan_size": ("along", "across"),
    "second_size": ("along", "across"),
}
# The kinds of outline and of ground, in the order of their unions.
UNIONS: dict[str, tuple[type[Part], ...]] = {
    "outline": get_args(Pool.model_fields["outline"].annotation),
    "ground": get_args(Site.model_fields["ground"].annotation),
}


def stock_fold(heading: str, key: str, *, expanded: bool = False) -> Any:
    """A fold for stock widgets. Make its content only while its ``.open`` is true."""
    return st.expander(heading, expanded=expanded, key=key, on_change="rerun")


def part_controls(
    form: Form, path: Path, *, front: bool | None = None, only: Sequence[str] = (), without: Sequence[str] = ()
) -> None:
    """Add the controls of the part at a path.

    Args:
        form: Form that they are added to.
        path: Path of the part.
        front: Only the fields declared to stand in front (True) or only the others (False); None for all.
        only: Only the fields of these names; empty for all.
        without: Leave out the fields of these names.
    """
    for field in fields_of(get(form.desk.project, path), path):
        on_show = front is None or field.declaration.ask.front == front
        if on_show and (not only or field.name in only) and field.name not in without:
            field_control(form, field)


def field_control(form: Form, field: Field) -> None:
    """Add the one control of a field, by its kind."""
    declaration, desk = field.declaration, form.desk
    if declaration.choices:
        _choice(form, field, declaration.choices, "as for all" if declaration.blank else "")
    elif declaration.group:
        _reference(form, field)
    elif declaration.kind is not None:
        _quantities(form, field)
    elif isinstance(field.value, bool):
        form.add(
            {
                "kind": "switch",
                "id": field.id,
                "label": declaration.ask.label,
                "help": declaration.ask.help,
                "value": field.value,
            },
            lambda on, drag: desk.edit(lambda: put(desk.project, field.path, bool(on))),
        )
    else:
        _text(form, field)


def _setter(form: Form, field: Field) -> Callable[[Any], None]:
    """A function that puts what was chosen into the field; "" leaves the field empty."""
    desk = form.desk
    nothing = "" if field.value == "" else None
    return lambda value: desk.edit(lambda: put(desk.project, field.path, value or nothing))


def _choice(form: Form, field: Field, options: Sequence[tuple[str, str]], none: str) -> None:
    """A choice from a list. ``none`` is the name of choosing none of it; "" if one must be chosen."""
    ask, value = field.declaration.ask, field.value or ""
    if none:
        options = [("", none), *((choice, name) for choice, name in options if choice)]
    if value not in [choice for choice, _ in options]:
        options = [*options, (value, value or "none")]
    form.choice(field.id, ask.label, options, value, _setter(form, field), ask.help)


def _reference(form: Form, field: Field) -> None:
    """A choice of the name of another part, or of several names."""
    desk, declaration = form.desk, field.declaration
    if declaration.group == "options":
        _choice(form, field, [(option.name, option.name) for option in desk.project.options], "none")
        return
    option: Option = get(desk.project, field.path[:2])
    parts: dict[str, Sequence[Any]] = {
        "pools": option.pools,
        "nodes": option.tunnels.nodes if option.tunnels else (),
        "own_pipes": getattr(get(desk.project, field.path[:3]), "own_pipes", ()),
        "boulders": option.stone.boulders if option.stone else (),
    }
    group = declaration.group
    names = list(row_names(option)) if group == "rows" else [part.name for part in parts[group]]
    if isinstance(field.value, tuple):
        form.add(
            {
                "kind": "names",
                "id": field.id,
                "label": declaration.ask.label,
                "help": declaration.ask.help,
                "options": [(name, name) for name in dict.fromkeys([*names, *field.value])],
                "value": list(field.value),
            },
            lambda names, drag: desk.edit(lambda: put(desk.project, field.path, tuple(names))),
        )
        return
    none = "none" if declaration.optional or field.value is None else ""
    _choice(form, field, [(name, name) for name in names], none)


def _text(form: Form, field: Field) -> None:
    """A text; a refused one stays in its box. A changed name is changed wherever the part is referred to."""
    desk, ask = form.desk, field.declaration.ask

    def change(text: str) -> Project:
        if field.name == "name":
            return edits.rename(desk.project, field.path[:-1], text)
        return put(desk.project, field.path, text)

    still = str(field.value)
    text, reason = desk.refusals.get(field.id, (still, ""))
    message = f"{reason} Still in force: {units.brief(still) if still else 'nothing'}." if reason else ""
    form.add(
        {
            "kind": "text",
            "id": field.id,
            "label": ask.label,
            "help": ask.help,
            "text": text,
            "message": message,
            "lines": field.declaration.lines,
        },
        lambda entry, drag: desk.edit(lambda: change(str(entry)), field.id, str(entry)),
    )


def _quantities(form: Form, field: Field) -> None:
    """A quantity, with a switch if it may be left out."""
    desk, ask, switch = form.desk, field.declaration.ask, f"{field.id}:set"
    if not field.declaration.optional:
        _quantity(form, field)
        return
    form.actions[switch] = lambda on, drag: desk.edit(lambda: edits.set_quantity(desk.project, field.path, bool(on)))
    if isinstance(field.value, float):
        _quantity(form, field, switch)
        return
    if field.value is None and field.declaration.to_fill:
        _empty(form, field)
        return
    several = field.value is not None
    form.add(
        {
            "kind": "switch" if several else "quantity",
            "id": switch if several else field.id,
            "label": f"Set {ask.label.lower()}" if several else ask.label,
            "help": ask.help,
            "value": True if several else None,
            "switch": switch,
        }
    )
    if several:
        _quantity(form, field)


def _empty(form: Form, field: Field) -> None:
    """An empty box for a value that only the person knows, until it is typed."""
    desk, ask, kind = form.desk, field.declaration.ask, field.declaration.kind
    assert kind is not None
    unit = ask.stride(kind, desk.units)[1]
    text, reason = desk.refusals.get(field.id, ("", ""))
    message = f"{reason} It is still to be filled in." if reason else ""
    form.add(
        {
            "kind": "text",
            "id": field.id,
            "label": f"{ask.label}, to be filled in",
            "help": ask.help,
            "text": text,
            "message": message,
            "lines": False,
        },
        lambda entry, drag: desk.enter(field.path, _text_or_none(str(entry), kind, unit), drag, field.id, str(entry)),
    )


def _text_or_none(text: str, kind: Kind, unit: str) -> str | None:
    """What was typed into an empty box, with its unit; None if nothing was typed."""
    return with_unit(text.strip(), kind, unit) or None


def _quantity(form: Form, field: Field, switch: str = "") -> None:
    """The sliders of a quantity: one, or one for each number of a place or size. Of a list of places the chosen one is
    shown.
    """
    value, label = field.value, field.declaration.ask.label
    if not isinstance(value, tuple):
        _slider(form, field, (), value, label, field.id, switch)
    elif field.name in PAIRS:
        ends, axes = PAIRS[field.name]
        for row, (end, point) in enumerate(zip(ends, value, strict=True)):
            for index, axis in enumerate(axes):
                _slider(form, field, (row, index), point[index], f"{end}, {axis}", f"{field.id}/{row}{index}")
    elif (value and isinstance(value[0], tuple)) or field.name in edits.PLACE_LISTS:
        _places(form, field)
    else:
        names = SIDES.get(field.name, AXES[len(value)])
        for index, number in enumerate(value):
            _slider(form, field, (index,), number, f"{label}, {names[index]}", f"{field.id}/{index}")


def _places(form: Form, field: Field) -> None:
    """One place of a list at a time, with buttons to add one after it and to remove it."""
    desk, key, count = form.desk, field.id, len(field.value)
    ask = field.declaration.ask
    chosen = min(int(desk.chosen.get(key, 0)), max(count - 1, 0))
    add = form.button(
        f"{key}:add",
        "+",
        lambda: desk.edit(lambda: edits.add_place(desk.project, field.path, chosen)),
        "Add one behind it" if count else f"{ask.label}: add the first",
    )
    remove = form.button(
        f"{key}:drop",
        "×",
        lambda: desk.edit(lambda: edits.remove_place(desk.project, field.path, chosen)),
        "Remove it",
        off=not count,
    )
    if not count:
        form.add({"kind": "head", "id": f"{key}:at", "label": ask.label, "help": ask.help, "buttons": [add]})
        return
    form.choice(
        f"{key}:at",
        ask.label,
        [(str(i), f"{i + 1} of {count}") for i in range(count)],
        str(chosen),
        lambda index: desk.chosen.__setitem__(key, int(index)),
        ask.help,
        [add, remove],
    )
    axes = ("along", "offset") if field.name in ("left", "right") else AXES[2]
    for index, axis in enumerate(axes):
        _slider(form, field, (chosen, index), field.value[chosen][index], axis, f"{key}/{chosen}/{index}")


def _slider(
    form: Form, field: Field, inner: tuple[int, ...], value: float, label: str, id_: str, switch: str = ""
) -> None:
    """The slider of one number, with its box.

    Args:
        form, field: Form, and field that the number belongs to.
        inner: Indices of the number in the field's value; () if the value is the number.
        value, label, id_: The number, and label and id of the row.
        switch: Id of the switch of a quantity that may be left out; "" for one that may not.
    """
    desk, kind = form.desk, field.declaration.kind
    assert kind is not None
    row = quantity(id_, field.declaration.ask, kind, value, label, desk.units)
    row["switch"] = switch
    unit = row["unit"]
    if id_ in desk.refusals:
        text_in_force, (text, reason) = row["text"], desk.refusals[id_]
        row["text"], row["message"] = text, f"{reason} Still in force: {text_in_force}."
        row["readings"] = list(readings(with_unit(text, kind, unit), kind, desk.units))
    form.add(row, lambda text, drag: _enter_number(desk, field, inner, unit, id_, str(text), drag))


def _enter_number(desk: Desk, field: Field, inner: tuple[int, ...], unit: str, id_: str, text: str, drag: int) -> None:
    kind = field.declaration.kind
    assert kind is not None
    value = edits.with_number(get(desk.project, field.path), inner, with_unit(text, kind, unit))
    desk.enter(field.path, value, drag, id_, text)


def union_control(form: Form, path: Path, name: str) -> None:
    """A choice of the kind of outline or ground, and the controls of that kind."""
    desk, union_path = form.desk, (*path, name)
    part = get(desk.project, union_path)
    tags = {edits.tag(kind): kind for kind in UNIONS[name]}
    ask = ask_of(type(get(desk.project, path)), name)
    assert ask is not None
    form.choice(
        ident(union_path),
        ask.label,
        [(tag, tag) for tag in tags],
        edits.tag(type(part)),
        lambda tag: desk.edit(lambda: edits.change_kind(desk.project, union_path, tags[tag])),
        ask.help,
    )
    if isinstance(part, PointsGround):
        part_controls(form, union_path, without=("points",))  # these are in the table
        form.show()
        if not form.partial_run:
            table_control(desk, (*union_path, "points"))
    elif isinstance(part, LevelBook):
        part_controls(form, union_path)
        form.show()
        if not form.partial_run:
            table_control(desk, (*union_path, "rows"))
    elif isinstance(part, (Points, Offsets)):
        with form.fold(f"fold:{ident(union_path)}", "Points of the outline") as is_unfolded:
            if is_unfolded:
                part_controls(form, union_path)
    else:
        part_controls(form, union_path)


def _edited(desk: Desk, change: Callable[[], tuple[Any, Path]], choose: Callable[[int], None]) -> Callable[[], None]:
    """What a button does that changes a list: the change, then the choice of the item at the path that it gives."""

    def act() -> None:
        new_paths: list[Path] = []

        def changed_project() -> Any:
            project, new_path = change()
            new_paths.append(new_path)
            return project

        desk.edit(changed_project)
        if new_paths:
            choose(int(new_paths[-1][-1]))

    return act


def copy_button(form: Form, path: Path, choose: Callable[[int], None], label: str, help_: str) -> Button:
    """A button that copies the item at the path, and chooses the copy."""
    desk = form.desk
    return form.button(
        f"{ident(path)}:copy", label, _edited(desk, lambda: edits.copy_item(desk.project, path), choose), help_
    )


def item_bar(
    form: Form, path: Path, choose: Callable[[int], None], *, least: int = 0, noun: str, copies: bool = True
) -> None:
    """Add buttons for one item of a list: copy, earlier, later, remove.

    Args:
        form: Form that they are added to.
        path: Path of the item.
        choose: Called with the index of the item to show after a copy, move or removal.
        least: Least number of items in the list.
        noun: What the item is called.
        copies: Whether there is one for a copy.
    """
    desk, list_path, index = form.desk, path[:-1], path[-1]
    assert isinstance(index, int)
    count, key = len(get(desk.project, list_path)), ident(path)
    copy = [copy_button(form, path, choose, "Copy", f"A copy of this {noun}, beside it.")] if copies else []
    form.buttons(
        *copy,
        form.button(
            f"{key}:up",
            "↑",
            _edited(desk, lambda: edits.move_item(desk.project, path, -1), choose),
            "Earlier in the list.",
            off=index == 0,
        ),
        form.button(
            f"{key}:down",
            "↓",
            _edited(desk, lambda: edits.move_item(desk.project, path, 1), choose),
            "Later in the list.",
            off=index == count - 1,
        ),
        form.button(
            f"{key}:remove",
            "×",
            _edited(desk, lambda: (edits.remove_item(desk.project, path), (*list_path, max(index - 1, 0))), choose),
            f"Remove this {noun}; undo brings it back.",
            off=count <= least,
        ),
    )
