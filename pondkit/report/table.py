"""Rows of the takeoff, and the CSV. The only text of numbers: page, CSV, drawings and command line read it."""

import csv
import io
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from pondkit.core import labels
from pondkit.core.units import System
from pondkit.drawing.cells import safe
from pondkit.drawing.rows import FigureRow, row_of, signed
from pondkit.study.compare import currency_of, summary
from pondkit.study.evaluate import OptionResult, Results

COLUMNS = (
    "option",
    "subject",
    "key",
    "group",
    "label",
    "value",
    "unit",
    "si_value",
    "si_unit",
    "working",
    "source",
    "low",
    "high",
    "cautions",
    "text",
)


def rows(result: OptionResult, system: System, keys: Collection[str] = ()) -> list[FigureRow]:
    """Every entry of an option, written out, grouped by trade in the order of ``labels.GROUPS``; only ``keys``, where
    some are named.
    """
    currency = currency_of(result)
    wanted = [(key, figure) for key, figure in result.entries() if not keys or key in keys]
    written = [row_of(result.option.name, currency, key, figure, system) for key, figure in wanted]
    order = list(labels.GROUPS)
    return sorted(written, key=lambda row: order.index(row.group))


@dataclass(frozen=True)
class SummaryRow:
    """One key over all options, written out; "" where an option has none. ``differences`` are signed, "" for the
    chosen option, and for money in another currency; ``unit`` names each option's currency where they differ."""

    key: str
    label: str
    unit: str
    values: tuple[str, ...]
    texts: tuple[str, ...]
    differences: tuple[str, ...]
    notes: tuple[str, ...]


def summary_rows(results: Results, system: System, against: int = 0, keys: Collection[str] = ()) -> list[SummaryRow]:
    """The summary table, one row per key; only ``keys``, where some are named."""
    written = []
    for line in summary(results, against, keys):
        currencies = [currency_of(option) for option in results.options]
        cells = [
            None if figure is None else row_of(option.option.name, currency, line.key, figure, system)
            for option, currency, figure in zip(results.options, currencies, line.figures, strict=True)
        ]
        first = next(cell for cell in cells if cell is not None)
        differences = tuple(
            "" if difference is None or cell is None or index == against else signed(difference, cell, system)
            for index, (difference, cell) in enumerate(zip(line.differences, cells, strict=True))
        )
        written.append(
            SummaryRow(
                key=line.key,
                label=first.label,
                unit=_units(cells),
                values=tuple("" if cell is None else cell.value for cell in cells),
                texts=tuple("" if cell is None else cell.text for cell in cells),
                differences=differences,
                notes=tuple(
                    "" if cell is None else " | ".join(caution.ranked for caution in cell.cautions) for cell in cells
                ),
            )
        )
    return written


def _units(cells: Sequence[FigureRow | None]) -> str:
    """The unit of a line; by option where each has a currency of its own."""
    there = [cell for cell in cells if cell is not None]
    units = list(dict.fromkeys(cell.unit for cell in there))
    return units[0] if len(units) == 1 else "; ".join(f"{cell.option}: {cell.unit}" for cell in there)


def takeoff_csv(results: Results, system: System, against: int = 0) -> str:
    """The summary, an empty line, then the whole takeoff. Starts with UTF-8's mark: spreadsheet programs then keep the
    symbols.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    names = [option.option.name for option in results.options]
    others = [index for index in range(len(names)) if index != against]
    head = ["key", "label", "unit", *names, *[f"{names[i]} less {names[against]}" for i in others], "cautions"]
    writer.writerow(safe(head))
    for line in summary_rows(results, system, against):
        notes = " | ".join(dict.fromkeys(note for note in line.notes if note))
        writer.writerow(
            safe([line.key, line.label, line.unit, *line.values, *[line.differences[i] for i in others], notes])
        )
    writer.writerow([])
    writer.writerow(COLUMNS)
    for result in results.options:
        for row in rows(result, system):
            writer.writerow(safe(record(row).values()))
    return "\ufeff" + out.getvalue()


def record(row: FigureRow) -> dict[str, str]:
    """A row's columns as text, its numbers unrounded."""
    fields = {name: getattr(row, name) for name in COLUMNS}
    numbers = {name: "" if value is None else repr(value) for name, value in row.numbers.items()}
    cautions = " | ".join(caution.ranked for caution in row.cautions)
    return fields | numbers | {"si_value": repr(row.si_value), "cautions": cautions}


def json_record(row: FigureRow) -> dict[str, object]:
    """The same columns for JSON: numbers as numbers, cautions as a list."""
    cautions = [{"rank": each.rank, "key": each.key, "text": str(each)} for each in row.cautions]
    fields = {name: getattr(row, name) for name in COLUMNS}
    return fields | row.numbers | {"si_value": row.si_value, "cautions": cautions}


def table_text(written: Sequence[FigureRow]) -> str:
    """Rows for a terminal."""
    if not written:
        return ""
    cells = [(row.option, row.subject, row.label, row.text, row.range_text) for row in written]
    widths = [max(len(line[i]) for line in cells) for i in range(5)]
    return "\n".join(
        "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip() for line in cells
    )
