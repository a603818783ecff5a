"""Tables of figures, as rows, as CSV and for a terminal: the takeoff, the summary over all options, the differences of
two options (prices by their size, then figures by their share), and the price list, which
``trades/cost/inputs/price_list`` reads back. The only text of figures: page, CSV, papers and command line read it.
"""

import csv
import io
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from pondkit.core import tables
from pondkit.core.caution import ACT, CHECK
from pondkit.core.entry import Entry
from pondkit.core.result import by_key
from pondkit.core.units import COUNT, Entered, System, figures, magnitude, nothing
from pondkit.drawing.rows import FigureRow, row_of, safe, signed, with_unit
from pondkit.study.compare import Difference, comparable, currency_of, differences, summary, unknown_in
from pondkit.study.evaluate import OptionResult, Results
from pondkit.trades.cost.inputs import COLUMNS as PRICE_COLUMNS
from pondkit.trades.cost.inputs import ROW_FOR_EACH_NAME, PriceLine, item_kind, items, units_of

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
    """Every entry of an option, written out, by group in the order of ``core.tables.GROUPS``; only those of ``keys``,
    if any are given.
    """
    currency = currency_of(result)
    wanted = [(key, figure) for key, figure in result.entries() if not keys or key in keys]
    written = [row_of(result.option.name, currency, key, figure, system) for key, figure in wanted]
    order = list(tables.GROUPS)
    return sorted(written, key=lambda row: order.index(row.group))


@dataclass(frozen=True)
class SummaryRow:
    """One line of the summary over all options, written out; "" for an option without the figure.

    Attributes:
        key, label, subject: Key, its label, and the pool or zone that the line is for; "" for the option as a whole.
        unit: Its unit; for money each option's currency if they differ.
        cells: The figure of each option, written out.
        values: The figures as printed, without thousands separators.
        texts: The figures as text for people.
        differences: Signed difference of each option from the chosen one, to three digits; "" for the chosen one, and
            for money in another currency.
        printed: Difference of the two figures as printed.
        notes: Cautions of each, in one text.
        act, check: Number of different cautions of that rank, over all options.
    """

    key: str
    label: str
    subject: str
    unit: str
    cells: tuple[FigureRow | None, ...]
    values: tuple[str, ...]
    texts: tuple[str, ...]
    differences: tuple[str, ...]
    printed: tuple[str, ...]
    notes: tuple[str, ...]
    act: int
    check: int


def summary_rows(results: Results, system: System, against: int = 0, keys: Collection[str] = ()) -> list[SummaryRow]:
    """The summary, written out line by line; only the lines of ``keys``, if any are given."""
    currencies = [currency_of(option) for option in results.options]
    written = []
    for line in summary(results, against, keys):
        cells = [
            None if figure is None else row_of(option.option.name, currency, line.key, figure, system)
            for option, currency, figure in zip(results.options, currencies, line.figures, strict=True)
        ]
        there = [cell for cell in cells if cell is not None]
        changes = [
            None if difference is None or cell is None or index == against else (difference, cell)
            for index, (difference, cell) in enumerate(zip(line.differences, cells, strict=True))
        ]
        base = cells[against]
        cautions = {str(caution): caution.rank for cell in there for caution in cell.cautions}
        written.append(
            SummaryRow(
                key=line.key,
                label=there[0].label,
                subject=line.subject,
                unit=_units(there),
                cells=tuple(cells),
                values=tuple("" if cell is None else cell.value for cell in cells),
                texts=tuple("" if cell is None else cell.text for cell in cells),
                differences=tuple("" if pair is None else signed(*pair, system) for pair in changes),
                printed=tuple(
                    "" if pair is None or base is None else _less(pair[1].value, base.value) for pair in changes
                ),
                notes=tuple(
                    "" if cell is None else " | ".join(caution.ranked for caution in cell.cautions) for cell in cells
                ),
                act=sum(rank == ACT for rank in cautions.values()),
                check=sum(rank == CHECK for rank in cautions.values()),
            )
        )
    return written


def _less(value: str, base: str) -> str:
    """Difference of two figures as printed, exactly."""
    difference = Decimal(value) - Decimal(base)
    return f"{difference.normalize():f}" if difference else "0"


def _units(there: Sequence[FigureRow]) -> str:
    """Unit of a line, for each option if their currencies differ."""
    units = list(dict.fromkeys(cell.unit for cell in there))
    return units[0] if len(units) == 1 else "; ".join(f"{cell.option}: {cell.unit}" for cell in there)


def summary_head(results: Results, against: int) -> tuple[list[str], list[str]]:
    """(name of each option, name of each difference from the chosen one). Options of one name are numbered, so that no
    two columns share a name.
    """
    names: list[str] = []
    for option in results.options:
        name, number = option.option.name, 2
        while name in names:
            name, number = f"{option.option.name} ({number})", number + 1
        names.append(name)
    return names, [f"{name} less {names[against]}" for index, name in enumerate(names) if index != against]


def summary_csv(results: Results, system: System, against: int = 0) -> str:
    """The summary as a CSV file: a row for each figure, a column for each option, the differences from the chosen one,
    and the number of cautions of each rank. Begins with the byte order mark of UTF-8, as ``takeoff_csv`` does.
    """
    names, differences = summary_head(results, against)
    lines = [["label", "subject", "unit", *names, *differences, "act", "check", "key"]]
    for row in summary_rows(results, system, against):
        printed = [text for index, text in enumerate(row.printed) if index != against]
        counts = [str(row.act), str(row.check)]
        lines.append([row.label, row.subject, row.unit, *row.values, *printed, *counts, row.key])
    return csv_text(lines)


def summary_records(results: Results, system: System, against: int = 0) -> list[dict[str, object]]:
    """The summary for JSON: values by option, and differences by the option that is compared, None if there is none."""
    names, _ = summary_head(results, against)
    others = [index for index in range(len(names)) if index != against]
    return [
        {
            "key": row.key,
            "label": row.label,
            "subject": row.subject,
            "unit": row.unit,
            "values": {name: _plain(text) for name, text in zip(names, row.values, strict=True)},
            "differences": {names[index]: _plain(row.printed[index]) for index in others},
        }
        for row in summary_rows(results, system, against)
    ]


def _plain(text: str) -> int | float | None:
    if not text:
        return None
    return float(text) if "." in text else int(text)


def summary_text(results: Results, system: System, against: int = 0) -> str:
    """The summary for a terminal."""
    names, differences = summary_head(results, against)
    lines = [("", "", "", *names, *differences)]
    for row in summary_rows(results, system, against):
        printed = [text for index, text in enumerate(row.printed) if index != against]
        lines.append((row.label, row.subject, row.unit, *row.values, *printed))
    return _aligned(lines, range(3, 3 + len(names) + len(differences))) if len(lines) > 1 else ""


def takeoff_csv(results: Results, system: System) -> str:
    """The whole takeoff as CSV, a row for each figure. Begins with the byte order mark of UTF-8, so that spreadsheet
    programs keep the symbols.
    """
    written = [row for result in results.options for row in rows(result, system)]
    return csv_text([COLUMNS, *(tuple(record(row).values()) for row in written)])


def csv_text(lines: Iterable[Sequence[str]]) -> str:
    """Rows as a CSV file that a spreadsheet program opens directly."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(safe(line) for line in lines)
    return "\ufeff" + out.getvalue()


def record(row: FigureRow) -> dict[str, str]:
    """Columns of a row as text, with its numbers unrounded."""
    fields = {name: getattr(row, name) for name in COLUMNS}
    numbers = {name: "" if value is None else repr(value) for name, value in row.numbers.items()}
    cautions = " | ".join(caution.ranked for caution in row.cautions)
    return fields | numbers | {"si_value": repr(row.si_value), "cautions": cautions}


def json_record(row: FigureRow) -> dict[str, object]:
    """Columns of a row for JSON: numbers as numbers, cautions as a list."""
    cautions = [{"rank": each.rank, "key": each.key, "text": str(each)} for each in row.cautions]
    fields = {name: getattr(row, name) for name in COLUMNS}
    return fields | row.numbers | {"si_value": row.si_value, "cautions": cautions}


def table_text(written: Sequence[FigureRow]) -> str:
    """Rows for a terminal."""
    return _aligned([(row.option, row.subject, row.label, row.text, row.range_text) for row in written])


def _aligned(lines: Sequence[Sequence[str]], numbers: Collection[int] = ()) -> str:
    """Cells in columns, each as wide as its widest text; columns in ``numbers`` are right-aligned."""
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(
            text.rjust(width) if index in numbers else text.ljust(width)
            for index, (text, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )


MOST = 3  # most items of each sort in a sentence
NONE, UNPRICED = "none", "not priced"


@dataclass(frozen=True)
class DifferenceRow:
    """One difference, written out: what differs, the figure in each option, and the difference in words."""

    what: str
    here: str
    there: str
    difference: str


def difference_rows(results: Results, option: int, against: int, system: System) -> list[DifferenceRow]:
    """All differences of an option from another, largest first: money, then other figures."""
    result, base = results.options[option], results.options[against]
    rows = [
        _difference_row(pair, result, base, system) for group in differences(results, option, against) for pair in group
    ]
    return [row for row in rows if row]


def sentence(results: Results, option: int, against: int, system: System) -> str:
    """The largest differences in words; "" unless both options are whole."""
    result, base = results.options[option], results.options[against]
    if not (result.whole and base.whole):
        return ""
    prices, figures = differences(results, option, against)
    parts = []
    if comparable(result, base):
        totals = [side.price.total_price if side.price else None for side in (result, base)]
        assert totals[0] is not None
        assert totals[1] is not None
        gap = totals[0].value - totals[1].value
        whole = _difference_row(Difference("total_price", totals[0], totals[1], gap, 0.0), result, base, system)
        most = _listed(prices, result, base, system)
        if whole and most:
            parts.append(f"{result.option.name} costs {whole.difference} than {base.option.name}; largest: {most}.")
        else:
            parts.append(f"{result.option.name} costs as much as {base.option.name}.")
        if result.price and base.price and result.price.lacking != base.price.lacking:
            parts.append(f"The two sums do not hold the same: {_lacks(result)}; {_lacks(base)}.")
    elif result.price and base.price:
        parts.append("Money is not set side by side: one has no total, or their currencies differ.")
    if rest := _listed(tuple(each for each in figures if not each.slight) or figures, result, base, system):
        parts.append(f"{'Besides, the' if parts else 'The'} largest differences from {base.option.name}: {rest}.")
    if unknown := unknown_in(results, option, against):
        lack = "lack" if len(unknown) > 1 else "lacks"
        parts.append(f"Figures that {' and '.join(unknown)} {lack} because of a problem are not compared.")
    return " ".join(parts)


def _lacks(result: OptionResult) -> str:
    lacking = ", ".join(result.price.lacking if result.price else ())
    return (
        f"{result.option.name} has no price for {lacking}" if lacking else f"{result.option.name} has a price for all"
    )


def _listed(pairs: tuple[Difference, ...], result: OptionResult, base: OptionResult, system: System) -> str:
    rows = [row for each in pairs if (row := _difference_row(each, result, base, system))]
    return ", ".join(
        f"no {row.what.lower()}"
        if row.here == NONE
        else f"{row.what.lower()} without a price"
        if row.here == UNPRICED
        else f"{row.what.lower()} {row.difference}"
        for row in rows[:MOST]
    )


def _difference_row(pair: Difference, result: OptionResult, base: OptionResult, system: System) -> DifferenceRow | None:
    """A difference written out; None if it is less than the figures show."""
    cells = [
        row_of(owner.option.name, currency_of(owner), pair.key, figure, system) if figure else None
        for owner, figure in ((result, pair.here), (base, pair.there))
    ]
    cell = next(cell for cell in cells if cell)
    difference = signed(pair.difference, cell, system)
    if difference == "0":
        return None
    amount = with_unit(difference.lstrip("+-"), cell)
    lacks = UNPRICED if pair.key == "price" else NONE
    texts = [cell.text if cell else lacks for cell in cells]
    what = cell.subject if pair.key == "price" else cell.label
    return DifferenceRow(what, texts[0], texts[1], f"{amount} {'less' if difference.startswith('-') else 'more'}")


# --- the price list ---


def price_csv(result: OptionResult, system: System) -> str:
    """The price list: a row for each line entered, and a row without a price for each quantity of the option that has
    no line.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([heading for heading, *_ in PRICE_COLUMNS])
    lines = result.rates.lines if result.rates else ()
    figures_there = by_key((result,))
    by_item = {
        item: [figure for figure in figures_there.get(item, ()) if not nothing(figure.value, figure.kind)]
        for item in items()
    }
    for item in items():
        item_lines = [line for line in lines if line.item == item]
        for line in [*item_lines, *_unpriced(item, item_lines, by_item.get(item, []), system)]:
            writer.writerow(safe(_cells(line, by_item.get(item, []))))
    return "\ufeff" + out.getvalue()


def _unpriced(item: str, item_lines: list[PriceLine], entries: list[Entry], system: System) -> Iterator[PriceLine]:
    names = list(dict.fromkeys(figure.subject for figure in entries))
    if not names or any(not line.of for line in item_lines):
        return
    unit = _unit(item, system)
    if item_lines or (item in ROW_FOR_EACH_NAME and len(names) > 1):
        for name in names:
            if name not in {line.of for line in item_lines}:
                yield PriceLine(item=item, of=name, unit=unit)
    else:
        yield PriceLine(item=item, unit=unit)


def _unit(item: str, system: System) -> str:
    """Unit of a row without a line: that in the table of words if it can be priced in it."""
    shown, fit = tables.figure_words()[item][system], units_of(item)
    return next((unit for unit in fit if unit.removeprefix("US ") == shown), fit[0])


def _cells(line: PriceLine, entries: list[Entry]) -> Iterator[str]:
    net = sum(figure.value for figure in entries if not line.of or figure.subject == line.of)
    texts = {"name": items()[line.item], "net": ""}
    if net and line.unit in units_of(line.item):  # another unit is a problem of the line, reported there
        texts["net"] = (
            f"{net:.10g}" if item_kind(line.item) is COUNT else figures(magnitude(net, entries[0].kind, line.unit))
        )
    for heading, field, _ in PRICE_COLUMNS:
        value = getattr(line, field) if field else texts[heading]
        if isinstance(value, str):
            yield value
        elif not value:
            yield "0" if field == "price" and value is not None else ""  # a price of zero is a price
        else:
            yield value.text if isinstance(value, Entered) else f"{value:.10g}"
