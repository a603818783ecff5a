"""Relations of a price. There is one of each for every kind of quantity that is sold, made by one function, so that all
kinds are priced alike. Money is decimal, made from prices as typed and rounded to cents as people do on paper.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated

from pondkit.core.entry import Entry, rounded_up, total
from pondkit.core.units import (
    AREA,
    BULK,
    COUNT,
    LENGTH,
    MASS,
    PRICE_AREA,
    PRICE_EACH,
    PRICE_LENGTH,
    PRICE_MASS,
    PRICE_TIME,
    PRICE_VOLUME,
    TIME,
    VOLUME,
    Count,
    Entered,
    Kind,
    Money,
    Share,
    Time,
    figures,
    magnitude,
    pretty,
    unit_in,
)

CENT = Decimal("0.01")
ZERO = Decimal(0)
_PLAIN = re.compile(r"\d+(\.\d*)?|\.\d+")


def cents(amount: Decimal) -> Decimal:
    """An amount rounded to cents, half a cent upward."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def exact(number: float) -> Decimal:
    """A number of the document as the decimal written there: 0.1 is exactly a tenth."""
    return Decimal(repr(float(number)))


def paid(figure: Entry) -> Decimal:
    """A figure that is an amount of money, as a decimal in whole cents."""
    return cents(exact(figure.value))


@dataclass(frozen=True)
class UnitPrice:
    """A price for one unit, as it was typed.

    Attributes:
        amount: For one unit.
        unit: The unit, as people write it ("ft²"); "" for one of a thing.
    """

    amount: Decimal
    unit: str

    def bought(self, quantity: float, kind: Kind) -> Decimal:
        """A quantity [SI] in the unit of the price, as it is printed beside it: to two decimals, below ten to four
        figures; a count whole.
        """
        if kind is COUNT or not self.unit:
            return Decimal(f"{quantity:.10g}")
        size = magnitude(quantity, kind, self.unit)
        return Decimal(f"{size:.2f}" if abs(size) >= 10 else figures(size))

    def of(self, quantity: float, kind: Kind) -> float:
        """Price of a quantity [SI], in whole cents."""
        return float(cents(self.bought(quantity, kind) * self.amount))


def price_as_typed(rate: float, kind: Kind) -> UnitPrice:
    """A rate of the document ("1.10 per ft^2") as the price for one unit, as it was typed.

    Args:
        rate: The rate [SI], with the text that was entered if there is one.
        kind: Kind of the rate, such as price per area.
    """
    text = pretty(rate.text if isinstance(rate, Entered) else f"{rate!r} {kind.si}")
    unit = unit_in(text)
    number = text.removesuffix(unit).strip().replace(",", "").removeprefix("+")
    # A number that is no plain decimal, such as 3 1/2, is taken from its value to twelve digits.
    amount = Decimal(number) if _PLAIN.fullmatch(number) else Decimal(f"{magnitude(rate, kind, unit):.12g}")
    return UnitPrice(amount, re.sub(r"^(per |/)\s*", "", unit).removeprefix("each").strip())


def sum_of(subject: str, prices: Iterable[Entry]) -> Entry:
    """Sum of amounts in whole cents, itself in whole cents; its low and high are the sums of theirs."""
    total_entry = total(subject, prices)
    low, high = (None if end is None else round(end, 2) for end in (total_entry.low, total_entry.high))
    return replace(total_entry, value=round(total_entry.value, 2), low=low, high=high)


Relation = Callable[..., float]
PRICES: dict[Kind, Kind] = {
    COUNT: PRICE_EACH,
    LENGTH: PRICE_LENGTH,
    AREA: PRICE_AREA,
    VOLUME: PRICE_VOLUME,
    BULK: PRICE_VOLUME,
    MASS: PRICE_MASS,
    TIME: PRICE_TIME,
}


def _cost(kind: Kind, price: Kind) -> Relation:
    def cost(quantity: Annotated[float, kind], rate: Annotated[float, price], each: UnitPrice) -> Money:
        """Price of a quantity.

        Working: quantity, as it is printed in the unit of the price, times the price of one unit, rounded to a cent
        Source: quantity times price; the price: user input
        """
        return each.of(quantity, kind)

    return cost


def _any_amount(kind: Kind) -> Relation:
    def amount(net: Annotated[float, kind], waste: Share, minimum: Annotated[float, kind]) -> Annotated[float, kind]:
        """Amount to buy of goods sold in any amount.

        Source: net and waste, no less than the minimum order; waste and minimum: user input
        """
        return max(net * (1 + waste), minimum)

    return amount


def _by_unit(kind: Kind) -> Relation:
    def amount(
        net: Annotated[float, kind],
        waste: Share,
        minimum: Annotated[float, kind],
        sale_unit: Annotated[float, kind],
    ) -> Annotated[float, kind]:
        """Amount to buy of goods sold in whole multiples of a unit of sale.

        Source: net and waste, no less than the minimum order, rounded up to the unit of sale; all three: user input
        """
        return rounded_up(max(net * (1 + waste), minimum) / sale_unit) * sale_unit

    return amount


def _work(kind: Kind) -> Relation:
    def hours(net: Annotated[float, kind], unit: Annotated[float, kind], time_for_one: Time) -> Time:
        """Time for a net quantity, at a time for one unit.

        Source: quantity times time for one; the time: user input
        """
        return net / unit * time_for_one

    return hours


def _loads(kind: Kind) -> Relation:
    def loads(amount: Annotated[float, kind], load_size: Annotated[float, kind]) -> Count:
        """Number of deliveries for the amount bought.

        Source: amount bought over the size of a load, rounded up; the size: user input
        """
        return rounded_up(amount / load_size)

    return loads


COST = {kind: _cost(kind, price) for kind, price in PRICES.items()}
ANY_AMOUNT = {kind: _any_amount(kind) for kind in PRICES}
BY_UNIT = {kind: _by_unit(kind) for kind in PRICES}
WORK = {kind: _work(kind) for kind in PRICES}
LOADS = {kind: _loads(kind) for kind in PRICES}


def own_contingency(total: Money, share: Share) -> Money:
    """Contingency as the person enters it, a share of the rough total.

    Working: total times share, rounded to a cent
    Source: user input
    """
    return float(cents(exact(total) * exact(share)))


def contingency(typical: Money, high: Money) -> Money:
    """By how much the total may exceed its typical figure, as far as quantities have ranges. A person's own contingency
    is ``own_contingency``.

    Source: high total less typical total
    """
    return high - typical
