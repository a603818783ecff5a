"""Rows of the takeoff, and the CSV. The only text of numbers: page, CSV, drawings and command line read it."""

import csv
import io
import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import Self

from pondkit.core import labels
from pondkit.core.caution import CHECK, Caution
from pondkit.core.entry import Entry
from pondkit.core.sentence import Words
from pondkit.core.units import COUNT, LENGTH, MONEY, System, figures, grouped, magnitude, nothing, pretty, unit_for
from pondkit.drawing.say import say, working
from pondkit.study.compare import currency_of, summary
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.cost.inputs.price_list import FORMULA_STARTS

COLUMNS = (
    "option", "subject", "key", "group", "label", "value", "unit", "si_value", "si_unit", "working", "source", "low", "high", "cautions", "text",
)  # fmt: skip
TAPE_PLACES = {"us": 2, "si": 3}  # behind the point of feet and metres, as rod and tape are read


class CautionText(str):
    """A caution in words, that knows its rank and key."""

    rank: str
    key: str

    def __new__(cls, caution: Words, system: System) -> Self:
        text = super().__new__(cls, say(caution, system))
        text.rank = caution.rank if isinstance(caution, Caution) else CHECK
        text.key = caution.key if isinstance(caution, Caution) else ""
        return text

    @property
    def ranked(self) -> str:
        """With its rank before it, as it stands in one cell of a CSV."""
        return f"{self.rank}: {self}"


@dataclass(frozen=True)
class Row:
    """One entry, written out. ``value``, ``low`` and ``high`` are numbers as shown, as text without grouping, and ``numbers`` the same
    three unrounded, in ``unit``; ``text`` is for people.

    ``high_text`` is the high figure, and ``spare_text`` what it lies above the typical one: the contingency; "" without a range.
    """

    option: str
    subject: str
    key: str
    group: str
    label: str
    value: str
    unit: str
    si_value: float
    si_unit: str
    working: str
    source: str
    low: str
    high: str
    cautions: tuple[CautionText, ...]
    text: str
    range_text: str
    high_text: str
    spare_text: str
    numbers: dict[str, float | None]
    entry: Entry


def label(key: str) -> str:
    """What a key is called."""
    return labels.rows()[key]["label"]


def meaning(key: str) -> str:
    """One line on what a key means."""
    return labels.rows()[key]["meaning"]


def group_of(key: str) -> str:
    return labels.rows()[key]["group"]


def unit_of(key: str, value: float, figure: Entry, system: System) -> str:
    """Unit in which a key is shown: the table's, else one by size."""
    return labels.rows()[key][system] or unit_for(value, figure.kind, system)


def row_of(option: str, currency: str, key: str, figure: Entry, system: System) -> Row:
    """Write one entry out."""
    said = labels.rows()[key]
    unit = unit_of(key, figure.value, figure, system)

    def number(value: float | None) -> str:
        if value is None:
            return ""
        if nothing(value, figure.kind):
            return "0"
        if figure.kind is COUNT:
            return f"{value:.10g}"
        return figures(magnitude(value, figure.kind, unit, system))

    def shown(text: str) -> str:
        return _with_unit(text, figure, currency, unit)

    low, high = number(figure.low), number(figure.high)
    ranged = bool(low and high and low != high)
    return Row(
        option=option,
        subject=figure.subject,
        key=key,
        group=said["group"],
        label=said["label"],
        value=number(figure.value),
        unit=currency if figure.kind is MONEY else pretty(unit),
        si_value=figure.value,
        si_unit=pretty(figure.kind.si) if figure.kind.si != "1" else "",
        working=working(figure, system, unit),
        source=figure.source,
        low=low,
        high=high,
        cautions=tuple(CautionText(caution, system) for caution in figure.cautions),
        text=shown(number(figure.value)),
        range_text=f"{grouped(low)} to {shown(high)}" if ranged else "",
        high_text=shown(high) if ranged else "",
        spare_text=shown(number(figure.most - figure.value)) if ranged else "",
        numbers={
            name: None if value is None else magnitude(value, figure.kind, unit, system)
            for name, value in (("value", figure.value), ("low", figure.low), ("high", figure.high))
        },
        entry=figure,
    )


def _with_unit(text: str, figure: Entry, currency: str, unit: str) -> str:
    if figure.kind is MONEY:
        return f"{currency}{grouped(text)}" if len(currency) == 1 else f"{currency} {grouped(text)}"
    return grouped(text) + (unit if unit == "°" else f" {pretty(unit)}" if unit else "")


def with_unit(number: str, row: Row) -> str:
    """Another number of a row's kind, written as the row's own is."""
    return _with_unit(number, row.entry, row.unit, row.unit)


def rows(result: OptionResult, system: System, keys: Collection[str] = ()) -> list[Row]:
    """Every entry of an option, written out, grouped by trade in the order of ``labels.GROUPS``; only ``keys``, where some are named."""
    currency = currency_of(result)
    wanted = [(key, figure) for key, figure in result.entries() if not keys or key in keys]
    written = [row_of(result.option.name, currency, key, figure, system) for key, figure in wanted]
    order = list(labels.GROUPS)
    return sorted(written, key=lambda row: order.index(row.group))


@dataclass(frozen=True)
class SummaryRow:
    """One key over all options, written out; "" where an option has none. ``differences`` are signed, "" for the chosen option, and for
    money in another currency; ``unit`` names each option's currency where they differ."""

    key: str
    label: str
    unit: str
    values: tuple[str, ...]
    texts: tuple[str, ...]
    differences: tuple[str, ...]
    notes: tuple[str, ...]


def summary_rows(results: Results, system: System, against: int = 0, keys: Collection[str] = ()) -> list[SummaryRow]:
    """The summary table, a row a key; only ``keys``, where some are named."""
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


def _units(cells: Sequence[Row | None]) -> str:
    """The unit of a line; by option where each has a currency of its own."""
    there = [cell for cell in cells if cell is not None]
    units = list(dict.fromkeys(cell.unit for cell in there))
    return units[0] if len(units) == 1 else "; ".join(f"{cell.option}: {cell.unit}" for cell in there)


def signed(difference: float, cell: Row, system: System) -> str:
    """A difference from a figure, in the figure's unit, without it: "+310"; "0" where it shows none."""
    if nothing(difference, cell.entry.kind):
        return "0"
    unit = unit_of(cell.key, cell.si_value, cell.entry, system)
    # As precise as the figure it belongs to, so that a difference never shows digits that the figures lack.
    size = magnitude(difference, cell.entry.kind, unit, system)
    whole = magnitude(max(abs(cell.si_value), abs(cell.si_value - difference)), cell.entry.kind, unit, system)
    places = 0 if cell.entry.kind is COUNT or not whole else max(0, 3 - math.floor(math.log10(abs(whole))))
    text = f"{size:+.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if float(text) == 0 else text


def takeoff_csv(results: Results, system: System, against: int = 0) -> str:
    """The summary, an empty line, then the whole takeoff. Starts with UTF-8's mark: spreadsheet programs then keep the symbols."""
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


def record(row: Row) -> dict[str, str]:
    """A row's columns as text, its numbers unrounded."""
    fields = {name: getattr(row, name) for name in COLUMNS}
    numbers = {name: "" if value is None else repr(value) for name, value in row.numbers.items()}
    cautions = " | ".join(caution.ranked for caution in row.cautions)
    return fields | numbers | {"si_value": repr(row.si_value), "cautions": cautions}


def json_record(row: Row) -> dict[str, object]:
    """The same columns for JSON: numbers as numbers, cautions as a list."""
    cautions = [{"rank": each.rank, "key": each.key, "text": str(each)} for each in row.cautions]
    fields = {name: getattr(row, name) for name in COLUMNS}
    return fields | row.numbers | {"si_value": row.si_value, "cautions": cautions}


def safe(cells: Iterable[object]) -> list[str]:
    """Cells that a spreadsheet program takes as they are: a text that looks like a formula gets an apostrophe before it."""
    return [
        f"'{text}" if text.startswith(FORMULA_STARTS) and not _is_number(text) else text for text in map(str, cells)
    ]


def fixed(value: float, unit: str, places: int) -> str:
    """A length with so many places behind the point, for what is measured to the same fineness far and near."""
    text = f"{magnitude(value, LENGTH, unit):.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def table_text(written: Sequence[Row]) -> str:
    """Rows for a terminal."""
    if not written:
        return ""
    cells = [(row.option, row.subject, row.label, row.text, row.range_text) for row in written]
    widths = [max(len(line[i]) for line in cells) for i in range(5)]
    return "\n".join(
        "  ".join(text.ljust(width) for text, width in zip(line, widths, strict=True)).rstrip() for line in cells
    )
