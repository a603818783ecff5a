"""The price list as CSV: the lines entered, and every quantity of an option with its net figure;
``trades/cost/inputs/price_list`` reads it.
"""

import csv
import io
from collections.abc import Iterator

from pondkit.core import tables
from pondkit.core.entry import Entry
from pondkit.core.result import by_key
from pondkit.core.units import COUNT, Entered, System, figures, magnitude, nothing
from pondkit.drawing.rows import safe
from pondkit.study.evaluate import OptionResult
from pondkit.trades.cost.inputs import COLUMNS, NAMED, PriceLine, item_kind, items, units_of


def price_csv(result: OptionResult, system: System) -> str:
    """The price list: a row for each line entered, and a row without a price for each quantity of the option that has
    no line.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([heading for heading, *_ in COLUMNS])
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
    if item_lines or (item in NAMED and len(names) > 1):
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
    for heading, field, _ in COLUMNS:
        value = getattr(line, field) if field else texts[heading]
        if isinstance(value, str):
            yield value
        elif not value:
            yield "0" if field == "price" and value is not None else ""  # a price of zero is a price
        else:
            yield value.text if isinstance(value, Entered) else f"{value:.10g}"
