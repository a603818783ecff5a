"""The order list: what to order, by supplier and by day of need, with the contingency of each figure."""

from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core import labels
from pondkit.core.labels import group_of
from pondkit.core.units import System
from pondkit.drawing.blocks import BLANK, Block, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.rows import FigureRow
from pondkit.report import table
from pondkit.report.papers.sheet import Sheet
from pondkit.study.evaluate import OptionResult
from pondkit.trades.cost.inputs.items import net_key, ordered
from pondkit.trades.cost.results import Listed
from pondkit.trades.earthwork.pictures import haul

# What each group is bought from, and before which stage of the work it must be there; another group stands under its
# own name.
BOUGHT: dict[str, tuple[str, str]] = {
    "totals": ("Gravel and stone yard", "5. Gravel, before the fill"),
    "lining": ("Liner and fabric", "2. After the dig is measured, before laying"),
    "stone": ("Gravel and stone yard", "4. Stone, once the liner is protected"),
    "tunnels": ("Pipe and fittings", "3. Pipe, while the dig is open"),
    "water": ("Pumps, pipe and valves", "3. Pipe, while the dig is open"),
}
# What is needed at another stage than its group: beds lie under the liner.
BEDDING = "1. Bedding, while the dig is open, before the liner"
EARLIER = {"bedding_order": BEDDING, "seat_order": BEDDING, "pipe_bedding_order": BEDDING}
ELSE = "As the work asks"
TAKES = {
    "typical": "The order takes the typical figure; the contingency beside it, high less typical, is to be kept "
    "in hand.",
    "high": "The order takes the high figure of each: the contingency, high less typical, is in it.",
}
STAGES = (
    "The order of the stages is common practice, no source. Measure the hole as it was dug before any liner is cut."
)


@dataclass(frozen=True)
class OrderRow:
    """One row of the list.

    Attributes:
        what, of: The figure and what it belongs to.
        text, spare: What is ordered, and the contingency beside it.
        by_list: What the price list makes of it; "" where no line of it has this.
        supplier: As entered in the price list; "" where none is.
        goods: What kind of goods it is, where no supplier is entered.
        stage: Before which stage of the work it must be there.
        lead_days: How long before that it is ordered.
    """

    what: str
    of: str
    text: str
    spare: str
    by_list: str
    supplier: str
    goods: str
    stage: str
    lead_days: int

    @property
    def before(self) -> str:
        return f"{self.lead_days} days before" if self.lead_days else "–"


def order(sheet: Sheet) -> Iterator[Block]:
    """What to order, by supplier, then by the day it is needed."""
    result, units = sheet.result, sheet.units
    yield Text(f"{TAKES[result.option.order_takes]} {STAGES}", look="small")
    rows = list(bought(result, units))
    by_list = any(row.by_list for row in rows)
    head = ("What", "For", "Order", "Contingency", *(("By the price list",) if by_list else ()), "Needed", "Order it")
    for supplier, goods in dict.fromkeys((row.supplier, "" if row.supplier else row.goods) for row in rows):
        lines = [
            (row.what, row.of, row.text, row.spare, *((row.by_list,) if by_list else ()), row.stage, row.before)
            for row in rows
            if (row.supplier, "" if row.supplier else row.goods) == (supplier, goods)
        ]
        yield from titled(supplier or f"{goods}: ____________________", tabled(head, lines, (2, 3, len(head) - 1)))
    yield from titled(
        "By day of need",
        tabled(("Stage", "What must be there", "From", "Order it", "Day"), _by_day(rows), (3,)),
    )
    yield from titled("Stone in the order in which it is set", haul.printed(result.haul, units))
    yield from titled("Money", tabled(("What", "Likely", "Contingency", "At most"), _money(result, units), (1, 2, 3)))


def bought(result: OptionResult, system: System) -> Iterator[OrderRow]:
    """Rows of the order: every figure that is one, then what else the price list buys."""
    high = result.option.order_takes == "high"
    priced = result.price.listed if result.price else ()
    rows = table.rows(result, system)
    amounts = {row.subject: _taken(row, high) for row in rows if row.key == "line_amount"}
    met = set()
    for row in rows:
        if ordered(row.key):
            line = _line(row, priced)
            met.add(line)
            by_list = amounts[line.amount.subject][0] if line and line.amount else ""
            shared = bool(line and not line.line.of and row.subject and _shared(row, rows))
            yield _row(
                row.label,
                row.subject,
                _taken(row, high),
                by_list + " in all" * (shared and bool(by_list)),
                line,
                row.group,
                EARLIER.get(row.key, ""),
            )
    for line in priced:
        if line.amount and line not in met:
            name = line.amount.subject
            yield _row(name, "", amounts[name], amounts[name][0], line, group_of(line.line.item))


def _row(
    what: str, of: str, taken: tuple[str, str], by_list: str, line: Listed | None, group: str, earlier: str = ""
) -> OrderRow:
    goods, stage = BOUGHT.get(group, (labels.GROUPS[group], ELSE))
    supplier, lead = (line.line.supplier, line.line.lead_days) if line else ("", 0)
    return OrderRow(what, of, *taken, by_list, supplier, goods, earlier or stage, lead)


def _line(row: FigureRow, priced: tuple[Listed, ...]) -> Listed | None:
    """The line of the price list that a figure of the order is bought by: one of its own name before one for all."""
    same = [line for line in priced if line.line.item == net_key(row.key) and line.line.of in ("", row.subject)]
    return max(same, key=lambda line: bool(line.line.of), default=None)


def _shared(row: FigureRow, rows: list[FigureRow]) -> bool:
    """True where further rows of the order are the same thing of other names."""
    return any(other.key == row.key and other.subject != row.subject for other in rows)


def _taken(row: FigureRow, high: bool) -> tuple[str, str]:
    """(what is ordered, the contingency beside it)."""
    if not row.range_text:
        return row.text, ""
    return (row.high_text, "in the order") if high else (row.text, row.spare_text)


def _by_day(rows: list[OrderRow]) -> Iterator[tuple[str, ...]]:
    """A row for each stage, supplier and lead; within a stage what is ordered first comes first."""
    heads = {(row.stage, -row.lead_days, row.supplier or row.goods): row.before for row in rows}
    for head in sorted(heads):
        held = [row for row in rows if (row.stage, -row.lead_days, row.supplier or row.goods) == head]
        yield (
            head[0],
            "; ".join(f"{row.what} {row.of} {row.by_list or row.text}" for row in held),
            head[2],
            heads[head],
            BLANK,
        )


def _money(result: OptionResult, system: System) -> Iterator[tuple[str, ...]]:
    for row in table.rows(result, system, ("price", "total_price")):
        yield row.subject or row.label, row.text, row.spare_text, row.high_text or row.text
