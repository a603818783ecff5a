"""Arithmetic of a quotation, in decimals: selling price of each line, discount, tax, total and payments. The printed
figures add up: quantity times price is the amount of a line, and every total is the sum of the amounts above it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import SHARE
from pondkit.trades.cost.formulas import CENT, ZERO, cents, exact
from pondkit.trades.cost.inputs import ALTERNATIVE, INCLUDED, OPTIONAL, PaymentStep, Quotation
from pondkit.trades.cost.results import CostLine

FINE = Decimal("0.0001")  # to which a selling price below 1 is rounded: a cent would be several per cent of it
ONE = Decimal(1)


@dataclass(frozen=True)
class QuoteItem:
    """One line as sold.

    Attributes:
        section: Key of the group of figures under which it stands.
        text, unit: What it is, and the unit of its quantity; "" for one of a thing.
        quantity, each, amount: How many units, the price for one, and their product in whole cents.
        tax: Its rate of tax; None if no tax is stated.
        cost: Its cost to the builder, in whole cents.
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
    """All lines of one tax rate.

    Attributes:
        rate: The rate; None for lines without tax.
        base, discount, tax: Sum of their amounts, discount on it, and tax on the remainder.
    """

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
    """A quotation as worked out; ``Quotation`` has its terms as entered.

    Attributes:
        items: Lines in the total.
        optional, alternatives: Lines that are not in the total.
        taxes: The lines by their rate of tax.
        net: Sum of the lines.
        discount, tax: Sums over the rates of tax.
        total: Net less discount, plus tax.
        payments: They add up to the total; empty if there are none, or their shares do not.
        unpriced: Texts of the quotation's own lines that have no price yet.
        cost, overhead: Cost of the lines to the builder, and the overhead on it.
        margin: Net less discount, cost and overhead.
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
        """The margin as a share of the price after discount; 0 for a price of 0."""
        price = self.net - self.discount
        return self.margin / price if price else ZERO


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
        reserve = cents(sum((item.cost for item in items), ZERO) * exact(contingency))
        items.append(seller.item("price", f"Contingency, {percent(exact(contingency))}", ONE, "", reserve, None))
    net, cost = sum((item.amount for item in items), ZERO), sum((item.cost for item in items), ZERO)
    taxes = tuple(_taxes(items, exact(terms.discount)))
    discount, tax = (
        sum((tax_line.discount for tax_line in taxes), ZERO),
        sum((tax_line.tax for tax_line in taxes), ZERO),
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
    """Turns costs into selling prices: overhead comes on the cost, and margin is a share of the price.

    Attributes:
        factor: Selling price over cost.
        tax: Rate of tax of lines that state no other; None if no tax is stated.
    """

    def __init__(self, terms: Quotation) -> None:
        self.factor = (ONE + exact(terms.overhead)) / (ONE - exact(terms.margin))
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
        """A line as sold; ``each``: its cost for one unit, ``tax``: its own rate of tax or None."""
        price = each * self.factor
        if self.factor != ONE:
            price = price.quantize(CENT if price >= 1 else FINE, ROUND_HALF_UP)
        rate = self.tax if tax is None else tax
        amount = cents(quantity * price)
        share = None if rate is None else exact(rate)
        return QuoteItem(section, text, quantity, unit, price, amount, share, cents(quantity * each), instead_of)


def _taxes(items: Sequence[QuoteItem], discount: Decimal) -> Iterator[TaxLine]:
    """Each rate of tax, the highest first, with the sums of its lines; lines without tax last. The discounts add up to
    that on the sum of all lines, to the cent: the rate with the greatest sum takes what rounding leaves.
    """
    rates: list[Decimal | None] = [*sorted({item.tax for item in items if item.tax is not None}, reverse=True)]
    rates += [None] if any(item.tax is None for item in items) else []
    bases = [sum((item.amount for item in items if item.tax == rate), ZERO) for rate in rates]
    shares = [cents(base * discount) for base in bases]
    if shares:
        shares[bases.index(max(bases))] += cents(sum(bases) * discount) - sum(shares)
    for rate, base, discount_amount in zip(rates, bases, shares, strict=True):
        yield TaxLine(rate, base, discount_amount, cents((base - discount_amount) * rate) if rate else ZERO)


def payments(steps: Sequence[PaymentStep], total: Decimal) -> tuple[Payment, ...]:
    """Payment schedule: shares of the total, to the cent. The step without a share takes the remainder, else the last
    one. Empty if the shares do not add up, see ``step_faults``.
    """
    if not steps or any(True for _ in step_faults(steps)):
        return ()
    taking_rest = next((index for index, step in enumerate(steps) if step.share is None), len(steps) - 1)
    amounts = [ZERO if step.share is None else cents(total * exact(step.share)) for step in steps]
    amounts[taking_rest] = total - sum((amount for index, amount in enumerate(amounts) if index != taking_rest), ZERO)
    shares = [None if step.share is None else exact(step.share) for step in steps]
    return tuple(Payment(*amount) for amount in zip((step.when for step in steps), shares, amounts, strict=True))


def step_faults(steps: Sequence[PaymentStep]) -> Iterator[Problem]:
    """Problems of payment steps that do not add up to the total."""
    without_share = [index for index, step in enumerate(steps) if step.share is None]
    sum_given = sum((exact(step.share) for step in steps if step.share is not None), ZERO)
    amounts = {"given": (float(sum_given), SHARE)}
    if len(without_share) > 1:
        yield Problem(
            ("quotation", "steps", without_share[1], "share"),
            words("a second step without a share"),
            words("one, which takes the rest"),
            words("write its share of the total, or take the step out"),
        )
    elif steps and not without_share and sum_given != ONE:
        yield Problem(
            ("quotation", "steps"),
            words("the payment steps make {given} of the total", **amounts),
            words("100 % in all"),
            words("change a share, or leave one of them empty: it takes the rest"),
        )
    elif without_share and sum_given >= ONE:
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


def spread(less: Decimal, more: Decimal, terms: Quotation) -> tuple[Decimal, Decimal]:
    """What the ranges of quantities may save and add, at selling prices, before discount and tax.

    Args:
        less, more: What they may save and add, at cost.
        terms: Inputs of the quotation.
    """
    factor = _Seller(terms).factor
    return cents(less * factor), cents(more * factor)
