"""The quotation, its CSV, and the sheet of costs that is for the builder alone."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date, timedelta
from decimal import Decimal

from pondkit.core.tables import GROUPS, ORDER
from pondkit.core.units import AREA, LENGTH, MASS, TIME, VOLUME, System, UnitError, grouped, read, show, system_of
from pondkit.drawing.blocks import Block, Fields, Items, Signature, Text, titled
from pondkit.drawing.blocks import table as tabled
from pondkit.drawing.rows import label, with_currency
from pondkit.report.papers.sheet import Sheet
from pondkit.report.table import csv_text
from pondkit.report.table import rows as rows_of
from pondkit.study.compare import currency_of
from pondkit.trades.cost.formulas import exact
from pondkit.trades.cost.inputs import Quotation
from pondkit.trades.cost.quotation import Quote, QuoteItem, percent, plain, quote, spread
from pondkit.trades.cost.results import CostLine

SECTIONS = GROUPS | {"price": "Labour, machine and other", "totals": "Gravel and water"}
# In the order of the work.
_FIRST = ("ground", "dig", "earth", "walls", "tunnels", "water", "lining", "stone", "totals")
WORK = (*_FIRST, *(group for group in ORDER if group not in _FIRST))
HEAD = ("What", "Quantity", "Unit", "Price for one", "Amount", "Tax")
NUMBERS = (1, 3, 4, 5)
MOST_DRIVERS = 12
NO_PRICES = "No prices are entered, so there is nothing to quote: enter rates or a price list."
NOT_KNOWN = "Not all of this option could be worked out, so no quotation can be made of it."


def terms_of(sheet: Sheet) -> Quotation:
    """Terms of the quotation; those of an empty form if none is entered."""
    return sheet.results.project.quotation or Quotation()


def quoted(sheet: Sheet) -> Quote | None:
    """The option's quotation; None if the option has no total price to start from."""
    result = sheet.result
    terms = terms_of(sheet)
    if result.price is None or (result.price.total_price is None and (result.price.costs or not terms.lines)):
        return None
    return quote(terms, result.price.costs, result.rates.contingency if result.rates else None)


def quotation(sheet: Sheet) -> Iterator[Block]:
    """The quotation: price line by line, what is not included, payment, and a place to sign."""
    terms, job = terms_of(sheet), sheet.site.job
    yield Fields(
        (
            ("Quotation", terms.number),
            ("Date", job.date),
            ("For", ", ".join(filter(None, (job.client, *job.address.splitlines())))),
            ("Valid", _validity(terms, job.date)),
        )
    )
    offer = quoted(sheet)
    if offer is None:
        yield Text(NOT_KNOWN if sheet.result.price and sheet.result.problems else NO_PRICES, look="box")
        return
    money = Money(currency_of(sheet.result))
    lines, strong = _lines(offer, money, sheet.units)
    sums = [(what, "", "", "", money(amount), "") for _, what, amount in _sums(offer, terms, money)]
    strong = (*strong, len(lines), len(lines) + len(sums) - 1)
    yield from titled("Work and goods", tabled(HEAD, (*lines, *sums), NUMBERS, strong=strong))
    if any(in_system(item, sheet.units) for item in (*offer.items, *offer.optional, *offer.alternatives)):
        yield Text(IN_SYSTEM.format({"us": "US", "si": "metric"}[sheet.units]), look="small")
    yield from _range(sheet, terms, money)
    yield from titled(
        "Optional, not in the total",
        tabled(HEAD, [money.line(item, sheet.units) for item in offer.optional], NUMBERS),
    )
    head = ("What", "Instead of", *HEAD[1:])
    lines_of = ((item, money.line(item, sheet.units)) for item in offer.alternatives)
    others = [(line[0], item.instead_of, *line[1:]) for item, line in lines_of]
    yield from titled("Alternatives, not in the total", tabled(head, others, tuple(column + 1 for column in NUMBERS)))
    out = tuple(_exclusions(sheet, offer, terms))
    yield from titled("Not included", *((Items(out),) if out else ()))
    steps = [
        (step.text, percent(step.share) if step.share is not None else "the rest", money(step.amount))
        for step in offer.payments
    ]
    if steps:
        steps.append(("In all", "", money(offer.total)))
    payment = tabled(("When", "Share of the total", "Amount"), steps, (1, 2), strong=(len(steps) - 1,), kept=True)
    yield from titled("Payment", payment)
    yield from titled("Terms", *((Text(terms.terms, look="small"),) if terms.terms.strip() else ()))
    yield from titled(
        "Acceptance",
        Text(f"Option {sheet.result.option.name} as stated here, for {money(offer.total)} in all.", look="kept"),
        Signature(("For the client, accepted", f"For {job.firm.name}" if job.firm.name else "For the firm")),
    )


def builder(sheet: Sheet) -> Iterator[Block]:
    """Cost, margin and what drives the cost: for the builder, not for the client."""
    offer, terms = quoted(sheet), terms_of(sheet)
    yield Text("Costs and margin: not for the client.", look="box")
    if offer is None or sheet.result.price is None:
        yield Text(NOT_KNOWN if sheet.result.price and sheet.result.problems else NO_PRICES, look="box")
        return
    money, price = Money(currency_of(sheet.result)), sheet.result.price
    left = offer.net - offer.discount
    sums = [
        ("Cost of all lines", money(offer.cost), ""),
        (f"Overhead, {percent(exact(terms.overhead))} of the cost", money(offer.overhead), ""),
        ("Margin", money(offer.margin), _share_text(offer.margin, left)),
        ("Price less discount, before tax", money(left), ""),
    ]
    yield from titled("Cost and margin", tabled(("", "Amount", "Of the price"), sums, (1, 2), strong=(3,)))
    lines = []
    for section, items in _sections(offer.items):
        cost, sold = (sum((getattr(item, name) for item in items), Decimal(0)) for name in ("cost", "amount"))
        lines.append((SECTIONS[section], money(cost), _share_text(cost, offer.cost), money(sold), money(sold - cost)))
    lines.append(("In all", money(offer.cost), "", money(offer.net), money(offer.net - offer.cost)))
    head = ("Section", "Cost", "Of the cost", "Sold at", "Over the cost")
    yield from titled("By section", tabled(head, lines, (1, 2, 3, 4), strong=(len(lines) - 1,)))
    drivers = sorted(offer.items, key=lambda item: -item.cost)[:MOST_DRIVERS]
    spans = {cost.name: cost for cost in price.costs}
    yield from titled(
        "What drives the cost: the largest lines, and what their quantities' ranges may change",
        tabled(
            ("What", "Cost", "Of the cost", "From", "To"),
            [
                (
                    _client_name(item.text),
                    money(item.cost),
                    _share_text(item.cost, offer.cost),
                    *_cost_range(spans.get(item.text), money),
                )
                for item in drivers
            ],
            (1, 2, 3, 4),
        ),
    )
    hours = [
        (name, show(time.value, TIME, sheet.units, "h"))
        for name, time in (("Labour", price.total_labour_time), ("Machine", price.total_machine_time))
        if time
    ]
    yield from titled("Hours", tabled(("", "Hours"), hours, (1,)))
    yield from titled("Without a price, and in no sum", *_items((*price.lacking, *offer.unpriced)))
    yield from titled("To heed at the sum", *_items(tuple(_cautions(sheet))))


def quotation_csv(sheet: Sheet) -> str:
    """The quotation as one plain table with a row for each line; sums and payments are rows of their own kind."""
    offer, terms = quoted(sheet), terms_of(sheet)
    rows: list[Sequence[str]] = [("kind", "section", "what", "quantity", "unit", "price", "amount", "tax", "currency")]
    if offer is None:
        return csv_text(rows)
    currency = currency_of(sheet.result)
    parts = (("line", offer.items), ("optional", offer.optional), ("alternative", offer.alternatives))
    for kind, items in parts:
        for section, section_items in _sections(items):
            for item in section_items:
                what = _client_name(item.text) + (f", instead of {item.instead_of}" if item.instead_of else "")
                tax = "" if item.tax is None else plain(item.tax * 100)
                numbers = (plain(item.quantity), item.unit, plain(item.each), f"{item.amount:.2f}", tax)
                rows.append((kind, SECTIONS[section], what, *numbers, currency))
    for kind, what, amount in _sums(offer, terms, Money(currency)):
        rows.append((kind, "", what, "", "", "", f"{amount:.2f}", "", currency))
    for step in offer.payments:
        rows.append(("payment", "", step.text, "", "", "", f"{step.amount:.2f}", "", currency))
    return csv_text(rows)


class Money:
    """Amounts and lines, written with the currency."""

    def __init__(self, currency: str) -> None:
        self.currency = currency

    def __call__(self, amount: Decimal) -> str:
        places = "" if amount == amount.quantize(Decimal("0.01")) else "4"
        text = with_currency(grouped(f"{abs(amount):.{places or 2}f}"), self.currency)
        return f"-{text}" if amount < 0 else text

    def line(self, item: QuoteItem, units: System) -> tuple[str, ...]:
        """Cells of a line of the quotation: name, quantity, unit, price of one, amount, tax."""
        tax = "" if item.tax is None else percent(item.tax)
        quantity = grouped(plain(item.quantity))
        name, also = _client_name(item.text), in_system(item, units)
        return f"{name} ({also})" if also else name, quantity, item.unit, self(item.each), self(item.amount), tax


IN_SYSTEM = (
    "Quantity and price are in the units of the price list, so that one times the other is the amount, to the cent; in "
    "brackets the same quantity in {} units."
)


def in_system(item: QuoteItem, units: System) -> str:
    """Quantity of a line in the paper's units, where its own unit is of the other system; "" elsewhere."""
    text = f"{plain(item.quantity)} {item.unit}"
    if system_of(text) not in ("", units):
        for kind in (LENGTH, AREA, VOLUME, MASS):
            with suppress(UnitError):  # a unit of another kind
                return show(read(text, kind, units), kind, units)
    return ""


def _client_name(what: str) -> str:
    """Name of a line for a client: goods by their own name."""
    for word in (" to order", " to buy"):
        what = what.replace(word, "")
    group, _, name = what.partition(", ")
    return name[:1].upper() + name[1:] if name and group == label("body_order") else what


def sum_of(items: Iterable[QuoteItem]) -> Decimal:
    """Sum of the amounts of some lines."""
    return sum((item.amount for item in items), Decimal(0))


def _sections(items: Sequence[QuoteItem]) -> Iterator[tuple[str, list[QuoteItem]]]:
    for section in WORK:
        if section_items := [item for item in items if item.section == section]:
            yield section, section_items


def _lines(offer: Quote, money: Money, units: System) -> tuple[list[tuple[str, ...]], tuple[int, ...]]:
    """(rows of all lines in the total, each section below a row with its sum; indices of the rows with sums)."""
    lines: list[tuple[str, ...]] = []
    strong = []
    for section, items in _sections(offer.items):
        strong.append(len(lines))
        lines.append((SECTIONS[section], "", "", "", money(sum_of(items)), ""))
        lines += (money.line(item, units) for item in items)
    return lines, tuple(strong)


def _sums(offer: Quote, terms: Quotation, money: Money) -> Iterator[tuple[str, str, Decimal]]:
    """(kind, name, amount) from the sum of the lines down to the total."""
    yield "sum", "Sum of all lines", offer.net
    if offer.discount:
        yield "discount", f"Discount, {percent(exact(terms.discount))}", -offer.discount
    for line in offer.taxes:
        if line.rate:
            on = money(line.base - line.discount)
            yield "tax", f"{terms.tax_name}, {percent(line.rate)} on {on}", line.tax
    yield "total", "Total", offer.total


def _range(sheet: Sheet, terms: Quotation, money: Money) -> Iterator[Block]:
    whole = sheet.result.price.total_price if sheet.result.price else None
    if terms.show_range and whole and whole.low is not None:
        less, more = spread(exact(whole.value - whole.least), exact(whole.most - whole.value), terms)
        yield Text(
            f"Quantities have ranges: before discount and tax, the work may come to {money(less)} less or "
            f"{money(more)} more."
        )


def _exclusions(sheet: Sheet, offer: Quote, terms: Quotation) -> Iterator[str]:
    """Items that are not included, in words: the builder's own lines, then everything without a price."""
    yield from (line.strip() for line in terms.excluded.splitlines() if line.strip())
    price = sheet.result.price
    lacking = (*(price.lacking if price else ()), *offer.unpriced)
    if lacking:
        yield f"Not priced yet, and so not in the total: {', '.join(lacking)}."
    if terms.tax is None and any(item.tax is None for item in offer.items):
        yield f"{terms.tax_name}, of which this quotation states no rate."


def _validity(terms: Quotation, day: str) -> str:
    if terms.valid_days is None:
        return ""
    days = "1 day" if terms.valid_days == 1 else f"{terms.valid_days} days"
    return f"{days}, until {date.fromisoformat(day) + timedelta(days=terms.valid_days)}" if day else days


def _cost_range(cost: CostLine | None, money: Money) -> tuple[str, str]:
    """Lower and upper cost of a line whose quantity has a range."""
    if cost is None or cost.price.low is None or cost.price.low == cost.price.high:
        return "", ""
    return money(exact(cost.price.least)), money(exact(cost.price.most))


def _share_text(part: Decimal, whole: Decimal) -> str:
    return percent((part / whole).quantize(Decimal("0.001"))) if whole else ""


def _items(texts: Sequence[str]) -> tuple[Block, ...]:
    return (Items(tuple(texts)),) if texts else ()


def _cautions(sheet: Sheet) -> Iterator[str]:
    for row in rows_of(sheet.result, sheet.units, ("total_price",)):
        yield from map(str, row.cautions)
