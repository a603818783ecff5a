"""Money in decimals, made from prices as they were typed, and rounded to cents as people do on paper."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal

from pondkit.core.entry import Entry, total
from pondkit.core.units import COUNT, Entered, Kind, figures, magnitude, pretty, unit_in

CENT = Decimal("0.01")
NOTHING = Decimal(0)
_PLAIN = re.compile(r"\d+(\.\d*)?|\.\d+")


def cents(amount: Decimal) -> Decimal:
    """An amount rounded to cents, half a cent upward."""
    return amount.quantize(CENT, ROUND_HALF_UP)


def exact(number: float) -> Decimal:
    """A number of the document as the decimal that was written there: 0.1 is a tenth."""
    return Decimal(repr(float(number)))


def paid(figure: Entry) -> Decimal:
    """The decimal of a figure that is an amount in whole cents."""
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
        """A quantity [SI] in the unit of the price, as it is printed beside it: to a hundredth, below ten to four
        figures; a count whole.
        """
        if kind is COUNT or not self.unit:
            return Decimal(f"{quantity:.10g}")
        size = magnitude(quantity, kind, self.unit)
        return Decimal(f"{size:.2f}" if abs(size) >= 10 else figures(size))

    def of(self, quantity: float, kind: Kind) -> float:
        """Price of a quantity [SI], in whole cents."""
        return float(cents(self.bought(quantity, kind) * self.amount))


def typed(rate: float, kind: Kind) -> UnitPrice:
    """A rate of the document ("1.10 per ft^2") as the price for one unit of it."""
    text = pretty(rate.text if isinstance(rate, Entered) else f"{rate!r} {kind.si}")
    unit = unit_in(text)
    number = text.removesuffix(unit).strip().replace(",", "").removeprefix("+")
    # What is no plain decimal, such as 3 1/2, is taken from its value to twelve digits.
    amount = Decimal(number) if _PLAIN.fullmatch(number) else Decimal(f"{magnitude(rate, kind, unit):.12g}")
    return UnitPrice(amount, re.sub(r"^(per |/)\s*", "", unit).removeprefix("each").strip())


def sum_of(subject: str, prices: Iterable[Entry]) -> Entry:
    """Sum of amounts in whole cents, in whole cents, with low and high as the sums of theirs."""
    found = total(subject, prices)
    low, high = (None if end is None else round(end, 2) for end in (found.low, found.high))
    return replace(found, value=round(found.value, 2), low=low, high=high)
