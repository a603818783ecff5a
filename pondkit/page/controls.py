"""Controls of one part, made from the declarations of its fields. Widgets show the document; only callbacks change
it."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, cast, get_args

import streamlit as st

from pondkit.core.part import Ask, Part, ask_of, choices_in, get, kind_in, labels_in, refers_in, several_lines
from pondkit.core.result import Path
from pondkit.core.units import Kind
from pondkit.geometry.shapes import Offsets, Points
from pondkit.page import edits
from pondkit.page.components import entered, slider
from pondkit.page.sliders import slider_data, with_unit
from pondkit.page.state import Desk, guarded, widget
from pondkit.page.tables import table_control
from pondkit.project.files import put
from pondkit.project.project import Option, Site
from pondkit.study.choices import row_names
from pondkit.trades.ground.inputs import LevelBook, PointsGround
from pondkit.trades.pools.inputs.pool import Pool

LINES_HIGH = 76  # px of a box for several lines: two of them
AXES = {2: ("east", "north"), 3: ("east", "north", "level")}
PAIRS = {"section": (("A", "B"), AXES[2]), "marks": (("Mark 1", "Mark 2"), ("right", "up"))}
SIDES = {
    "axes": ("longest", "middle", "shortest"),
    "size": ("length", "width", "height"),
    "plan_size": ("along", "across"),
    "second_size": ("along", "across"),
}
# Which kinds of outline and of ground there are, in the order of their unions.
UNIONS: dict[str, tuple[type[Part], ...]] = {
    "outline": get_args(Pool.model_fields["outline"].annotation),
    "ground": get_args(Site.model_fields["ground"].annotation),
}


@dataclass(frozen=True)
class Field:
    """One field to be asked for."""

    path: Path
    name: str
    said: Ask
    kind: Kind | None
    value: Any


def fields_of(part: Part, path: Path) -> list[Field]:
    """The fields of a part that are asked for one by one: all but parts inside it and lists of parts."""
    held = type(part)
    return [
        Field((*path, name), name, said, kind_in(held, name), getattr(part, name))
        for name, field in held.model_fields.items()
        if (said := ask_of(held, name)) is not None and not _of_parts(cast(Hashable, field.annotation))
    ]


@cache
def _of_parts(annotation: Hashable) -> bool:
    """True for a part, one that may be left out, a choice of kinds of part, and a list of parts."""
    return (isinstance(annotation, type) and issubclass(annotation, Part)) or any(map(_of_parts, get_args(annotation)))


def fold(heading: str, key: str, *, expanded: bool = False) -> Any:
    """A fold whose content is made only while it is open: ask ``.open``."""
    return st.expander(heading, expanded=expanded, key=key, on_change="rerun")


def part_controls(desk: Desk, path: Path, *, front: bool | None = None) -> None:
    """Controls of the fields of the part at a path.

    Args:
        desk: The person's work.
        path: Where the part stands.
        front: Only the fields declared to stand in front, or only the others; None for all.
    """
    part = get(desk.project, path)
    for asked in fields_of(part, path):
        if front is None or asked.said.front == front:
            field_control(desk, asked, part)


def field_control(desk: Desk, asked: Field, part: Part) -> None:
    """The one widget of a field, by its kind."""
    key = _key(desk, asked.path)
    held = type(part)
    if names := choices_in(held, asked.name):
        _choice(
            desk,
            asked,
            names,
            key,
            none=(not held.model_fields[asked.name].is_required() and asked.value is None)
            or (asked.name == "pipe" and held.__name__ == "Run"),
        )
    elif group := refers_in(held, asked.name):
        _reference(desk, asked, group, key, none=_optional(held, asked.name))
    elif asked.kind is not None:
        if asked.value is None or _optional(held, asked.name):
            _optional_quantity(desk, asked, key)
        if asked.value is not None:
            _quantity(desk, asked, key)
    elif isinstance(asked.value, bool):
        st.toggle(
            asked.said.label,
            value=asked.value,
            key=key,
            help=asked.said.help,
            on_change=guarded(_taken, desk, asked.path, key),
        )
    elif asked.name == "name":
        st.text_input(
            asked.said.label,
            value=asked.value,
            key=key,
            help=asked.said.help,
            on_change=guarded(lambda: desk.edit(lambda: edits.rename(desk.project, asked.path[:-1], widget(key)))),
        )
    else:
        write = partial(st.text_area, height=LINES_HIGH) if several_lines(held, asked.name) else st.text_input
        write(
            asked.said.label,
            value=str(asked.value),
            key=key,
            help=asked.said.help,
            on_change=guarded(_taken, desk, asked.path, key),
        )


def _key(desk: Desk, path: Path) -> str:
    return f"{desk.history.revision}:" + "/".join(map(str, path))


def _taken(desk: Desk, path: Path, key: str) -> None:
    desk.edit(lambda: put(desk.project, path, widget(key)))


def _optional(held: type[Part], name: str) -> bool:
    return not held.model_fields[name].is_required() and held.model_fields[name].default is None


def _choice(desk: Desk, asked: Field, names: Sequence[str], key: str, *, none: bool) -> None:
    options = ["", *names] if none else list(names)
    at = options.index(asked.value) if asked.value in options else 0
    labels = labels_in(type(get(desk.project, asked.path[:-1])), asked.name)
    st.selectbox(
        asked.said.label,
        options,
        index=at,
        key=key,
        help=asked.said.help,
        format_func=lambda name: labels.get(name, name) or "as for all",
        on_change=guarded(lambda: desk.edit(lambda: put(desk.project, asked.path, widget(key) or None))),
    )


def _reference(desk: Desk, asked: Field, group: str, key: str, *, none: bool) -> None:
    if group == "options":
        _names(desk, asked, ["", *(option.name for option in desk.project.options)], key, left_out="")
        return
    option: Option = get(desk.project, asked.path[:2])
    parts: dict[str, Sequence[Any]] = {
        "pools": option.pools,
        "nodes": option.tunnels.nodes if option.tunnels else (),
        "own_pipes": getattr(get(desk.project, asked.path[:3]), "own_pipes", ()),
        "boulders": option.stone.boulders if option.stone else (),
    }
    names = list(row_names(option)) if group == "rows" else [part.name for part in parts[group]]
    if isinstance(asked.value, tuple):
        st.multiselect(
            asked.said.label,
            list(dict.fromkeys([*names, *asked.value])),
            default=list(asked.value),
            key=key,
            help=asked.said.help,
            on_change=guarded(_taken, desk, asked.path, key),
        )
        return
    _names(desk, asked, [*([""] if none or asked.value is None else []), *names], key)


def _names(desk: Desk, asked: Field, options: list[str], key: str, left_out: str | None = None) -> None:
    """One of some names; a name that is not there stands last. ``left_out`` is what is put where none is chosen."""
    if asked.value and asked.value not in options:
        options.append(asked.value)
    at = options.index(asked.value or "") if (asked.value or "") in options else 0
    st.selectbox(
        asked.said.label,
        options,
        index=at,
        key=key,
        help=asked.said.help,
        format_func=lambda name: name or "none",
        on_change=guarded(lambda: desk.edit(lambda: put(desk.project, asked.path, widget(key) or left_out))),
    )


def _optional_quantity(desk: Desk, asked: Field, key: str) -> None:
    """A switch for a quantity that may be left out."""
    own = f"{key}:set"
    st.toggle(
        f"Set {asked.said.label.lower()}",
        value=asked.value is not None,
        key=own,
        help=asked.said.help,
        on_change=guarded(lambda: desk.edit(lambda: edits.set_quantity(desk.project, asked.path, widget(own)))),
    )


def _quantity(desk: Desk, asked: Field, key: str) -> None:
    """Sliders for a quantity: one, or one for each number of a place or size; of a list of places the chosen one's."""
    value = asked.value
    if not isinstance(value, tuple):
        _slider(desk, asked, (), value, asked.said.label, key)
    elif asked.name in PAIRS:
        ends, axes = PAIRS[asked.name]
        for at, (end, point) in enumerate(zip(ends, value, strict=True)):
            for index, axis in enumerate(axes):
                _slider(desk, asked, (at, index), point[index], f"{end}, {axis}", f"{key}/{at}{index}")
    elif (value and isinstance(value[0], tuple)) or asked.name in edits.PLACE_LISTS:
        _places(desk, asked, key)
    else:
        names = SIDES.get(asked.name, AXES[len(value)])
        for index, number in enumerate(value):
            _slider(desk, asked, (index,), number, f"{asked.said.label}, {names[index]}", f"{key}/{index}")


def _places(desk: Desk, asked: Field, key: str) -> None:
    """One place of a list at a time, with buttons to add one behind it and to remove it."""
    count = len(asked.value)
    st.caption(f"{asked.said.label}: {asked.said.help}")
    chosen = min(int(desk.chosen.get(key, 0)), max(count - 1, 0))
    left, add, drop = st.columns([3, 1, 1], vertical_alignment="bottom")
    if count:
        own = f"{key}:at"
        left.selectbox(
            "Number",
            range(count),
            index=chosen,
            format_func=lambda i: f"{i + 1} of {count}",
            key=f"{own}{count}",
            label_visibility="collapsed",
            on_change=guarded(lambda: desk.chosen.__setitem__(key, widget(f"{own}{count}"))),
        )
    add.button(
        "+",
        key=f"{key}:add",
        width="stretch",
        help="Add one behind it",
        on_click=guarded(lambda: desk.edit(lambda: edits.add_place(desk.project, asked.path, chosen))),
    )
    drop.button(
        "×",
        key=f"{key}:drop",
        width="stretch",
        help="Remove it",
        disabled=not count,
        on_click=guarded(lambda: desk.edit(lambda: edits.remove_place(desk.project, asked.path, chosen))),
    )
    if count:
        axes = ("along", "offset") if asked.name in ("left", "right") else AXES[2]
        for index, axis in enumerate(axes):
            _slider(desk, asked, (chosen, index), asked.value[chosen][index], f"{axis}", f"{key}/{chosen}/{index}")


def _slider(desk: Desk, asked: Field, inner: tuple[int, ...], value: float, label: str, key: str) -> None:
    """The live slider of one number."""
    kind = asked.kind
    assert kind is not None
    data = slider_data(asked.said, kind, value, label, desk.units)
    if key in desk.refused:
        data["text"], data["message"] = desk.refused[key]
    data["revision"] = str(desk.history.revision)
    slider(key, data, on_change=guarded(_entered, desk, asked.path, inner, kind, data["unit"], key))


def _entered(desk: Desk, path: Path, inner: tuple[int, ...], kind: Kind, unit: str, key: str) -> None:
    given = entered(key)
    if given is None:
        return
    text = given["text"]
    desk.enter(
        path, edits.with_number(get(desk.project, path), inner, with_unit(text, kind, unit)), given["drag"], key, text
    )


def union_control(desk: Desk, path: Path, name: str) -> None:
    """Which kind of outline or ground a part has, then the controls of that kind."""
    here = (*path, name)
    part = get(desk.project, here)
    kinds = UNIONS[name]
    key = _key(desk, here)
    tags = [edits.tag(kind) for kind in kinds]
    said = ask_of(type(get(desk.project, path)), name)
    assert said is not None
    st.selectbox(
        said.label,
        tags,
        index=kinds.index(type(part)),
        key=key,
        help=said.help,
        on_change=guarded(
            lambda: desk.edit(lambda: edits.change_kind(desk.project, here, kinds[tags.index(widget(key))]))
        ),
    )
    if isinstance(part, PointsGround):
        for asked in fields_of(part, here):
            if asked.name != "points":  # they stand in the table
                field_control(desk, asked, part)
        table_control(desk, (*here, "points"))
    elif isinstance(part, LevelBook):
        part_controls(desk, here)
        table_control(desk, (*here, "rows"))
    elif isinstance(part, (Points, Offsets)):
        with fold("Points of the outline", f"fold:{here}") as points:
            if points.open:
                part_controls(desk, here)
    else:
        part_controls(desk, here)


def item_bar(desk: Desk, path: Path, choose: Callable[[int], None], *, least: int = 0, what: str) -> None:
    """Buttons for one part of a list: copy, earlier, later, remove."""
    held, index = path[:-1], path[-1]
    assert isinstance(index, int)
    count = len(get(desk.project, held))
    columns = st.columns([1.6, 1, 1, 1])
    key = _key(desk, path)

    def moved(change: Callable[[], tuple[Any, Path]]) -> None:
        at: list[Path] = []

        def apply() -> Any:
            project, to = change()
            at.append(to)
            return project

        desk.edit(apply)
        if at:
            choose(int(at[-1][-1]))

    columns[0].button(
        "Copy",
        key=f"{key}:copy",
        width="stretch",
        help=f"A copy of this {what}, beside it.",
        on_click=guarded(lambda: moved(lambda: edits.copy_item(desk.project, path))),
    )
    columns[1].button(
        "↑",
        key=f"{key}:up",
        width="stretch",
        help="Earlier in the list.",
        disabled=index == 0,
        on_click=guarded(lambda: moved(lambda: edits.move_item(desk.project, path, -1))),
    )
    columns[2].button(
        "↓",
        key=f"{key}:down",
        width="stretch",
        help="Later in the list.",
        disabled=index == count - 1,
        on_click=guarded(lambda: moved(lambda: edits.move_item(desk.project, path, 1))),
    )
    columns[3].button(
        "×",
        key=f"{key}:remove",
        width="stretch",
        help=f"Remove this {what}; undo brings it back.",
        disabled=count <= least,
        on_click=guarded(lambda: moved(lambda: (edits.remove_item(desk.project, path), (*held, max(index - 1, 0))))),
    )
