"""The order list, and the same without prices to ask for quotes: by supplier and by the day it is needed; on paper and
as CSV.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pondkit.drawing.blocks import BLANK, Block, Fields, NewPage, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.report import table
from pondkit.report.papers.goods import HIRE, Good, bought
from pondkit.report.papers.sheet import Sheet

TAKES = {
    "typical": "The order takes the typical figure; the contingency beside it, high less typical, is to be kept "
    "in hand.",
    "high": "The order takes the high figure of each: the contingency, high less typical, is in it.",
}
STAGES = (
    "The order of the stages is common practice, no source. Measure the hole as it was dug before any liner is cut."
)
ASKED = "Please give a price and the days to deliver for each line, with what you would supply in place of it."
TO_QUOTE = ("Price for one", "Amount", "Days to deliver")
RATED = (
    "Have the hire firm confirm what it rents: the machine by its own chart for the radius and the ground, each sling "
    "by its tag, with a person who is competent to plan and lead the lifts under your local code."
)


@dataclass(frozen=True)
class _Column:
    """One column: its head, what it says of a row, and whether it is to the right, left out where it says nothing, and
    no supplier's business.
    """

    head: str
    cell: Callable[[Good], str]
    right: bool = False
    spare: bool = True
    own: bool = False

    def needed(self, goods: Sequence[Good]) -> bool:
        return not self.spare or any(self.cell(good) for good in goods)


COLUMNS = (
    _Column("What", lambda good: good.what, spare=False),
    _Column("Size and kind", lambda good: good.size),
    _Column("For", lambda good: good.of),
    _Column("Order", lambda good: good.text, right=True, spare=False),
    _Column("Contingency", lambda good: good.spare, right=True, own=True),
    _Column("By the price list", lambda good: good.by_list, right=True, own=True),
    _Column("Price", lambda good: good.price, right=True, own=True),
    _Column("Needed", lambda good: good.stage.partition(".")[0] if good.stage[1:2] == "." else "", own=True),
    _Column("To be ordered", lambda good: f"{good.lead_days} days before" if good.lead_days else "", own=True),
)


def order(sheet: Sheet) -> Iterator[Block]:
    """What to order, by supplier, then by the day it is needed."""
    yield from _list(sheet)


def quote_request(sheet: Sheet) -> Iterator[Block]:
    """The same without a price, a page for each supplier to fill in and send back."""
    job, firm = sheet.site.job, sheet.site.job.firm
    goods = list(bought(sheet.result, sheet.units))
    for number, (seller, own) in enumerate(_by_seller(goods)):
        if number:
            yield NewPage()
        yield Fields(
            (
                ("To", own[0].supplier),
                ("From", ", ".join(filter(None, (firm.name, *firm.contacts.splitlines())))),
                ("Deliver to", ", ".join(job.address.splitlines())),
                ("Needed on, reply by", ""),
            )
        )
        yield Text(ASKED, look="small")
        yield from titled(own[0].supplier or seller, *_table(own, goods, asking=True))
        yield Fields(
            (("Delivery, for how many loads", ""), ("Tax", ""), ("Prices hold until", ""), ("Quoted by, on", ""))
        )


def _list(sheet: Sheet) -> Iterator[Block]:
    goods = list(bought(sheet.result, sheet.units))
    ranged = any(good.spare for good in goods)
    takes = f"{TAKES[sheet.result.option.order_takes]} " if ranged else ""
    yield Text(f"{takes}{STAGES}", look="small")
    missing = [
        f"{good.what}{f' for {good.of}' if good.of else ''}: {', '.join(good.open)}" for good in goods if good.open
    ]
    if missing:
        yield Text("; ".join(missing) + ".", lead="To be filled in before it is sent:", look="box")
    for seller, own in _by_seller(goods):
        name = seller if own[0].supplier else f"{seller}: ____________________"
        yield from titled(name, *_table(own, goods))
    early = any(good.lead_days for good in goods)
    days = ("Stage", "What must be there", "From", *(("To be ordered",) if early else ()), "Day")
    yield from titled("By day of need", tabled(days, _by_day(goods, early=early)))


def _by_seller(goods: Sequence[Good]) -> Iterator[tuple[str, list[Good]]]:
    """Each supplier with what comes from there, in the order in which it is needed."""
    for seller in dict.fromkeys(good.seller for good in goods):
        yield seller, sorted((good for good in goods if good.seller == seller), key=lambda good: good.stage)


def _table(own: Sequence[Good], goods: Sequence[Good], *, asking: bool = False) -> Iterator[Block]:
    """What one supplier brings; to ask for quotes without prices, with columns to fill in."""
    held = own if asking else goods  # a list has the same columns for all; a request goes to one
    columns = [column for column in COLUMNS if column.needed(held) and not (asking and column.own)]
    head = [*(column.head for column in columns), *(TO_QUOTE if asking else ())]
    right = [at for at, column in enumerate(columns) if column.right]
    blank = (BLANK,) * len(TO_QUOTE) if asking else ()
    if own[0].goods == HIRE:
        yield Text(RATED, look="small")
    yield from tabled(head, [(*(column.cell(good) for column in columns), *blank) for good in own], right)


def order_csv(sheet: Sheet, *, asking: bool = False) -> str:
    """The list as one plain table; for a request the price and the days are left to be filled in."""
    head = ("supplier", "goods", "what", "size", "for", "quantity", "unit", "contingency", "needed", "days before need")
    rows = [(*head, *(("price", "days to deliver") if asking else ("by price list", "price")), "key")]
    for good in bought(sheet.result, sheet.units):
        cells = (good.supplier, good.goods, good.what, good.size, good.of, good.number, good.unit, good.spare)
        last = ("", "") if asking else (good.by_list, good.price)
        rows.append((*cells, good.stage, str(good.lead_days or ""), *last, good.key))
    return table.csv_text(rows)


def quote_request_csv(sheet: Sheet) -> str:
    """The request as a table for the supplier to fill in."""
    return order_csv(sheet, asking=True)


def _by_day(goods: Sequence[Good], *, early: bool) -> Iterator[tuple[str, ...]]:
    """A row for each stage, supplier and lead; within a stage what is ordered first comes first."""
    heads = {(good.stage, -good.lead_days, good.seller) for good in goods}
    for head in sorted(heads):
        held = [good for good in goods if (good.stage, -good.lead_days, good.seller) == head]
        what = "; ".join(_briefly([good for good in held if good.what == each]) for each in _names(held))
        ahead = (f"{-head[1]} days before" if head[1] else "",) if early else ()
        yield head[0], what, head[2], *ahead, BLANK


def _names(goods: Sequence[Good]) -> dict[str, None]:
    return dict.fromkeys(good.what for good in goods)


def _briefly(goods: Sequence[Good]) -> str:
    """Things of one name: what is ordered of it, or of how many kinds it is."""
    first = goods[0]
    return f"{first.what} {first.by_list or first.text}" if len(goods) == 1 else f"{first.what}, {len(goods)} kinds"
