"""Lists that are pasted as a table, or read from a CSV file: survey points, a level book. No streamlit."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core.refusal import Refused
from pondkit.core.units import LENGTH, Entered, System, magnitude, system_of
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
