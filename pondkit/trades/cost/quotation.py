"""Arithmetic of a quotation, in decimals: selling price of each line, discount, tax, total and payments. Printed
figures add up: quantity times price is the amount of a line, and every total is the sum of the amounts above it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import SHARE
from pondkit.trades.cost.formulas import CENT, NOTHING, cents, exact
from pondkit.trades.cost.inputs import ALTERNATIVE, INCLUDED, OPTIONAL, PaymentStep, Quotation
from pondkit.trades.cost.results import CostLine

FINE = Decimal("0.0001")  # below 1, a price for one unit keeps so much, or it would be off by per cents
ALL = Decimal(1)


@dataclass(frozen=True)
class QuoteItem:
    """One line as sold.

    Attributes:
        section: Key of the group of figures under which it stands.
        text, unit: What it is, and the unit of its quantity; "" for one of a thing.
        quantity, each, amount: How many units, the price for one, and their product in whole cents.
        tax: Its rate of tax as a share; None if no tax is stated.
        cost: What it costs the builder, in whole cents.
        instead_of: What an alternative takes the place of.
    """

    section: str
    text: str
    quantity: Decimal
    unit: str
    each: Decimal
    amount: Decimal
    tax: Decimal | None
    cost: Decimal
    instead_of: str = ""


@dataclass(frozen=True)
class TaxLine:
    """Lines of one tax rate: amount, discount, and tax on the remainder."""

    rate: Decimal | None
    base: Decimal
    discount: Decimal
    tax: Decimal


@dataclass(frozen=True)
class Payment:
    """One payment: when it is due, its share of the total (None for the remainder), and its amount."""

    text: str
    share: Decimal | None
    amount: Decimal


@dataclass(frozen=True)
class Quote:
    """A quotation.

    Attributes:
        items: Lines in the total; ``optional`` and ``alternatives`` are not.
        taxes: By rate of tax.
        net: Sum of the lines.
        discount, tax, total: Sums over the rates; total is net less discount with tax.
        payments: They add up to the total.
        unpriced: Lines of its own that have no price yet, by their text.
        cost, overhead: What the lines cost the builder, and the overhead on it.
        margin: Price less discount, cost and overhead.
    """

    items: tuple[QuoteItem, ...]
    optional: tuple[QuoteItem, ...]
    alternatives: tuple[QuoteItem, ...]
    taxes: tuple[TaxLine, ...]
    net: Decimal
    discount: Decimal
    tax: Decimal
    total: Decimal
    payments: tuple[Payment, ...]
    unpriced: tuple[str, ...]
    cost: Decimal
    overhead: Decimal
    margin: Decimal

    @property
    def margin_share(self) -> Decimal:
        """The margin over the price less discount; 0 of nothing."""
        price = self.net - self.discount
        return self.margin / price if price else NOTHING


def quote(terms: Quotation, costs: Sequence[CostLine], contingency: float | None) -> Quote:
    """Quotation for the costs of an option.

    Args:
        terms: Inputs of the quotation.
        costs: Costs of the option's quantities.
        contingency: Contingency entered by the person, as a share of the costs; None if not entered.
    """
    seller = _Seller(terms)
    items = [
        seller.item(cost.group, cost.name, cost.quantity, cost.each.unit, cost.each.amount, cost.tax) for cost in costs
    ]
    items_by_section: dict[str, list[QuoteItem]] = {INCLUDED: [], OPTIONAL: [], ALTERNATIVE: []}
    for line in terms.lines:
        if line.price is not None:
            amounts = exact(line.quantity), line.unit, exact(line.price)
            item = seller.item(line.section, line.what, *amounts, line.tax, line.instead_of)
            items_by_section[line.kind].append(item)
    items += items_by_section[INCLUDED]
    if contingency:
        spare = cents(sum((item.cost for item in items), NOTHING) * exact(contingency))
        items.append(seller.item("price", f"Contingency, {percent(exact(contingency))}", ALL, "", spare, None))
    net, cost = sum((item.amount for item in items), NOTHING), sum((item.cost for item in items), NOTHING)
    taxes = tuple(_taxes(items, exact(terms.discount)))
    discount, tax = (
        sum((tax_line.discount for tax_line in taxes), NOTHING),
        sum((tax_line.tax for tax_line in taxes), NOTHING),
    )
    total, overhead = net - discount + tax, cents(cost * exact(terms.overhead))
    return Quote(
        items=tuple(items),
        optional=tuple(items_by_section[OPTIONAL]),
        alternatives=tuple(items_by_section[ALTERNATIVE]),
        taxes=taxes,
        net=net,
        discount=discount,
        tax=tax,
        total=total,
        payments=payments(terms.steps, total),
        unpriced=tuple(line.what for line in terms.lines if line.price is None),
        cost=cost,
        overhead=overhead,
        margin=net - discount - cost - overhead,
    )


class _Seller:
    """Converts costs to selling prices: overhead on cost, and margin as a share of the price."""

    def __init__(self, terms: Quotation) -> None:
        self.factor = (ALL + exact(terms.overhead)) / (ALL - exact(terms.margin))
        self.tax = terms.tax

    def item(
        self,
        section: str,
        text: str,
        quantity: Decimal,
        unit: str,
        each: Decimal,
        tax: float | None,
        instead_of: str = "",
    ) -> QuoteItem:
        price = each * self.factor
        if self.factor != ALL:
            price = price.quantize(CENT if price >= 1 else FINE, ROUND_HALF_UP)
        rate = self.tax if tax is None else tax
        amount = cents(quantity * price)
        share = None if rate is None else exact(rate)
        return QuoteItem(section, text, quantity, unit, price, amount, share, cents(quantity * each), instead_of)


def _taxes(items: Sequence[QuoteItem], discount: Decimal) -> Iterator[TaxLine]:
    """Each rate of tax, the highest first, with what it is on; lines without tax last. The discount is that of the sum
    of all lines, to the cent: what rounding leaves stands with the rate that most is on.
    """
    rates: list[Decimal | None] = [*sorted({item.tax for item in items if item.tax is not None}, reverse=True)]
    rates += [None] if any(item.tax is None for item in items) else []
    bases = [sum((item.amount for item in items if item.tax == rate), NOTHING) for rate in rates]
    shares = [cents(base * discount) for base in bases]
    if shares:
        shares[bases.index(max(bases))] += cents(sum(bases) * discount) - sum(shares)
    for rate, base, discount_amount in zip(rates, bases, shares, strict=True):
        yield TaxLine(rate, base, discount_amount, cents((base - discount_amount) * rate) if rate else NOTHING)


def payments(steps: Sequence[PaymentStep], total: Decimal) -> tuple[Payment, ...]:
    """Payment schedule: shares of the total to the cent, with the remainder in the step without a share, or in the
    last one. Empty if the shares do not add up (``step_faults``).
    """
    if not steps or any(True for _ in step_faults(steps)):
        return ()
    taking_rest = next((index for index, step in enumerate(steps) if step.share is None), len(steps) - 1)
    amounts = [NOTHING if step.share is None else cents(total * exact(step.share)) for step in steps]
    amounts[taking_rest] = total - sum(
        (amount for index, amount in enumerate(amounts) if index != taking_rest), NOTHING
    )
    shares = [None if step.share is None else exact(step.share) for step in steps]
    return tuple(Payment(*amount) for amount in zip((step.when for step in steps), shares, amounts, strict=True))


def step_faults(steps: Sequence[PaymentStep]) -> Iterator[Problem]:
    """Problems of payment steps that do not add up to the total."""
    open_ones = [index for index, step in enumerate(steps) if step.share is None]
    sum_given = sum((exact(step.share) for step in steps if step.share is not None), NOTHING)
    amounts = {"given": (float(sum_given), SHARE)}
    if len(open_ones) > 1:
        yield Problem(
            ("quotation", "steps", open_ones[1], "share"),
            words("a second step without a share"),
            words("one, which takes the rest"),
            words("write its share of the total, or take the step out"),
        )
    elif steps and not open_ones and sum_given != ALL:
        yield Problem(
            ("quotation", "steps"),
            words("the payment steps make {given} of the total", **amounts),
            words("100 % in all"),
            words("change a share, or leave one of them empty: it takes the rest"),
        )
    elif open_ones and sum_given >= ALL:
        yield Problem(
            ("quotation", "steps"),
            words("the payment steps make {given} of the total, and one more takes the rest", **amounts),
            words("less than 100 % beside it"),
            words("lower a share, or take the step without one out"),
        )


def percent(share: Decimal) -> str:
    """A share as printed: 8.25 %."""
    return f"{plain(share * 100)} %"


def plain(number: Decimal) -> str:
    """A decimal without exponent and trailing zeros."""
    return f"{number.normalize():f}" if number else "0"


def spread(low: Decimal, high: Decimal, terms: Quotation) -> tuple[Decimal, Decimal]:
    """(saving, extra cost) from the ranges of quantities, at selling prices."""
    factor = _Seller(terms).factor
    return cents(low * factor), cents(high * factor)
