"""A list as a table: its items written as lines of text and read from such lines, and the control in which the text is
typed, pasted from a spreadsheet or read from a CSV file. Survey points and level books are entered this way.
"""

import html
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st

from pondkit.core.part import ask_of, get
from pondkit.core.refusal import Refused, spreadsheet_text
from pondkit.core.result import Path
from pondkit.core.units import (
    LENGTH,
    Entered,
    System,
    magnitude,
    system_of,
)
from pondkit.drawing.frame import PLAN_UNIT
from pondkit.page.state import Desk, guarded, widget_value
from pondkit.project.files import put
from pondkit.trades.ground.inputs import MOST_POINTS, Sight

SEPARATORS = ("\t", ";", ",")  # between cells; the first of these that a line holds counts


@dataclass(frozen=True)
class LineFormat:
    """How a list is written as lines of cells.

    Attributes:
        columns: Names of the columns.
        cells: Gives the cells of an item.
        item: Makes an item, for ``put``, from the cells of a line.
        least: Least number of cells in a line.
    """

    columns: tuple[str, ...]
    cells: Callable[[Any], Sequence[float | str | None]]
    item: Callable[[Sequence[str | None]], Any]
    least: int


def _sight(cells: Sequence[str | None]) -> dict[str, Any]:
    name, east, north, backsight, intermediate, foresight = cells
    if (east is None) != (north is None):
        raise Refused("east and north belong together; write both, or leave both out.")
    place = None if east is None else [east, north]
    return {
        "name": name or "",
        "at": place,
        "backsight": backsight,
        "intermediate": intermediate,
        "foresight": foresight,
    }


def _sight_cells(row: Sight) -> tuple[float | str | None, ...]:
    return (row.name, *(row.at or (None, None)), row.backsight, row.intermediate, row.foresight)


TABLES = {
    "points": LineFormat(("east", "north", "level"), tuple, list, 3),
    "rows": LineFormat(("place", "east", "north", "backsight", "intermediate", "foresight"), _sight_cells, _sight, 4),
}


def text_of(field: str, items: Sequence[Any], system: System) -> str:
    """A list as lines of cells, with lengths as bare numbers in the unit displayed."""
    return "\n".join(_line(field, item, system) for item in items)


def _line(field: str, item: Any, system: System) -> str:
    return ", ".join(_cell(value, system) for value in TABLES[field].cells(item)).rstrip(", ")


def _cell(value: float | str | None, system: System) -> str:
    if value is None or isinstance(value, str):
        return (value or "").replace(",", " ")
    number, _, unit = value.text.partition(" ") if isinstance(value, Entered) else ("", "", "")
    if unit == PLAN_UNIT[system]:
        return number
    return f"{magnitude(value, LENGTH, PLAN_UNIT[system], system):.4f}".rstrip("0").rstrip(".")


def items_of(field: str, text: str, present: Sequence[Any], system: System) -> list[Any]:
    """Items made from lines of cells, for ``put``. A line that was not changed keeps its item, in the units it was
    typed in.

    Args:
        field: Name of the list, a key of TABLES.
        text: The lines; a first line without digits counts as headings.
        present: Items of the list now.
        system: Unit system displayed, of bare numbers.
    Raises: Refused, with the number of the line.
    """
    table, known = TABLES[field], {_line(field, item, system): item for item in present}
    lines = [line.strip() for line in text.splitlines()]
    first = next((line for line in lines if line), "")
    items = []
    for number, line in enumerate(lines, 1):
        if not line or (line is first and not any(letter.isdigit() for letter in line)):  # headings
            continue
        if line in known:
            items.append(known[line])
            continue
        separator = next((mark for mark in SEPARATORS if mark in line), ",")
        cells = [cell.strip().strip('"') for cell in line.split(separator)]
        while len(cells) > len(table.columns) and not cells[-1]:
            cells.pop()
        if not table.least <= len(cells) <= len(table.columns):
            raise Refused(
                f"line {number} has {len(cells)} values; write {', '.join(table.columns)}, with commas, "
                "semicolons or tabs between."
            )
        cells += [""] * (len(table.columns) - len(cells))
        has_names = table.columns[0] == "place"
        values = [
            cell if has_names and column == 0 else _with_unit(cell, system) if cell else None
            for column, cell in enumerate(cells)
        ]
        try:
            items.append(table.item(values))
        except Refused as refused:
            raise Refused(f"line {number}: {refused.reasons[0]}") from None
    if len(items) > MOST_POINTS:
        raise Refused(f"{len(items)} lines are given; at most {MOST_POINTS} are taken. Leave some out.")
    return items


def _with_unit(cell: str, system: System) -> str:
    """A cell with the unit displayed if it is a bare number."""
    return f"{cell} {PLAN_UNIT[system]}" if cell[-1:].isnumeric() and not system_of(cell) else cell


HEIGHT = 230  # px, of the text box
MOST_MB = 1  # of a CSV file


def table_control(desk: Desk, path: Path) -> None:
    """The control of a list: its lines as text, and a file to read them from."""
    field = str(path[-1])
    ask = ask_of(type(get(desk.project, path[:-1])), field)
    assert ask is not None
    key = f"{desk.history.revision}:{_id(path)}"
    columns = ", ".join(TABLES[field].columns)
    st.caption(f"{ask.help} A line each: {columns}; bare numbers in {PLAN_UNIT[desk.units]}. Paste from a spreadsheet.")
    text = text_of(field, get(desk.project, path), desk.units)
    st.text_area(
        ask.label,
        value=text,
        key=key,
        height=HEIGHT,
        placeholder=columns,
        help=ask.help,
        on_change=guarded(lambda: _enter_text(desk, path, widget_value(key))),
    )
    if _id(path) in desk.refusals:
        _, reason = desk.refusals[_id(path)]
        message = f"{reason} Still in force: the {len(get(desk.project, path))} lines that were there."
        st.html(f"<div class='pk-problem' role='alert'>{html.escape(message)}</div>")
    file = f"{key}:file"
    st.file_uploader(
        "or from a CSV file",
        type=["csv", "txt"],
        key=file,
        max_upload_size=MOST_MB,
        on_change=guarded(lambda: _read_csv(desk, path, file)),
    )


def _id(path: Path) -> str:
    """Where a refused text of the list at the path is kept."""
    return "/".join(map(str, path))


def _enter_text(desk: Desk, path: Path, text: str) -> None:
    present = get(desk.project, path)
    desk.edit(
        lambda: put(desk.project, path, items_of(str(path[-1]), text, present, desk.units), desk.units),
        _id(path),
        text,
    )


def _read_csv(desk: Desk, path: Path, key: str) -> None:
    upload = widget_value(key)
    if upload is None:
        return
    try:
        text = spreadsheet_text(upload.getvalue(), upload.name)
    except Refused as refused:
        desk.refusals[_id(path)] = upload.name, refused.reasons[0]
        return
    _enter_text(desk, path, text)
