"""A list as a table: its items written as lines of text and read from such lines, and the control in which the text is
typed, pasted from a spreadsheet or read from a CSV file. Survey points and level books are entered this way.
"""

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
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.trades.ground.inputs import MOST_POINTS, Sight

UNIT: dict[System, str] = {"us": "ft", "si": "m"}
BREAKS = ("\t", ";", ",")  # between cells; the first that is met counts


@dataclass(frozen=True)
class LineFormat:
    """How a list is written as lines: its columns, the cells of an item, and what the cells of a line make."""

    columns: tuple[str, ...]
    cells: Callable[[Any], Sequence[float | str | None]]
    item: Callable[[Sequence[str | None]], Any]
    least: int  # cells that a line has at least


def _sight(cells: Sequence[str | None]) -> dict[str, Any]:
    name, east, north, back, between, fore = cells
    if (east is None) != (north is None):
        raise Refused("east and north belong together; write both, or leave both out.")
    at = None if east is None else [east, north]
    return {"name": name or "", "at": at, "backsight": back, "intermediate": between, "foresight": fore}


def _sight_cells(row: Sight) -> tuple[float | str | None, ...]:
    return (row.name, *(row.at or (None, None)), row.backsight, row.intermediate, row.foresight)


TABLES = {
    "points": LineFormat(("east", "north", "level"), tuple, list, 3),
    "rows": LineFormat(("place", "east", "north", "backsight", "intermediate", "foresight"), _sight_cells, _sight, 4),
}


def text_of(field: str, items: Sequence[Any], system: System) -> str:
    """A list as lines of cells, lengths as bare numbers of the unit on show."""
    return "\n".join(_line(field, item, system) for item in items)


def _line(field: str, item: Any, system: System) -> str:
    return ", ".join(_cell(value, system) for value in TABLES[field].cells(item)).rstrip(", ")


def _cell(value: float | str | None, system: System) -> str:
    if value is None or isinstance(value, str):
        return (value or "").replace(",", " ")
    number, _, unit = value.text.partition(" ") if isinstance(value, Entered) else ("", "", "")
    if unit == UNIT[system]:
        return number
    return f"{magnitude(value, LENGTH, UNIT[system], system):.4f}".rstrip("0").rstrip(".")


def items_of(field: str, text: str, held: Sequence[Any], system: System) -> list[Any]:
    """What lines of cells make, for ``put``; a line that is as it was shown stays what it was, in its own units.

    Raises: Refused, with the line's number.
    """
    table, kept = TABLES[field], {_line(field, item, system): item for item in held}
    lines = [line.strip() for line in text.splitlines()]
    first = next((line for line in lines if line), "")
    found = []
    for number, line in enumerate(lines, 1):
        if not line or (line is first and not any(mark.isdigit() for mark in line)):  # headings
            continue
        if line in kept:
            found.append(kept[line])
            continue
        mark = next((mark for mark in BREAKS if mark in line), ",")
        cells = [cell.strip().strip('"') for cell in line.split(mark)]
        while len(cells) > len(table.columns) and not cells[-1]:
            cells.pop()
        if not table.least <= len(cells) <= len(table.columns):
            raise Refused(
                f"line {number} has {len(cells)} values; write {', '.join(table.columns)}, with commas, "
                "semicolons or tabs between."
            )
        cells += [""] * (len(table.columns) - len(cells))
        named = table.columns[0] == "place"
        given = [
            cell if named and at == 0 else _with_unit(cell, system) if cell else None for at, cell in enumerate(cells)
        ]
        try:
            found.append(table.item(given))
        except Refused as refused:
            raise Refused(f"line {number}: {refused.reasons[0]}") from None
    if len(found) > MOST_POINTS:
        raise Refused(f"{len(found)} lines are given; at most {MOST_POINTS} are taken. Leave some out.")
    return found


def _with_unit(cell: str, system: System) -> str:
    """A bare number means the unit on show."""
    return f"{cell} {UNIT[system]}" if cell[-1:].isnumeric() and not system_of(cell) else cell


HEIGHT = 230  # px
MOST_MB = 1


def table_control(desk: Desk, path: Path) -> None:
    """The one widget of a list: its lines, and a file to take them from."""
    field = str(path[-1])
    said = ask_of(type(get(desk.project, path[:-1])), field)
    assert said is not None
    key = f"{desk.history.revision}:" + "/".join(map(str, path))
    columns = ", ".join(TABLES[field].columns)
    st.caption(f"{said.help} A line each: {columns}; bare numbers in {UNIT[desk.units]}. Paste from a spreadsheet.")
    shown = text_of(field, get(desk.project, path), desk.units)
    st.text_area(
        said.label,
        value=shown,
        key=key,
        height=HEIGHT,
        placeholder=columns,
        help=said.help,
        on_change=guarded(lambda: _taken(desk, path, widget(key))),
    )
    file = f"{key}:file"
    st.file_uploader(
        "or from a CSV file",
        type=["csv", "txt"],
        key=file,
        max_upload_size=MOST_MB,
        on_change=guarded(lambda: _file(desk, path, file)),
    )


def _taken(desk: Desk, path: Path, text: str) -> None:
    held = get(desk.project, path)
    desk.edit(lambda: put(desk.project, path, items_of(str(path[-1]), text, held, desk.units), desk.units))


def _file(desk: Desk, path: Path, key: str) -> None:
    given = widget(key)
    if given is None:
        return
    try:
        text = spreadsheet_text(given.getvalue(), given.name)
    except Refused as refused:
        desk.message = refused.reasons[0]
        return
    _taken(desk, path, text)
