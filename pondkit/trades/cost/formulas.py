"""Relations of a price, one for each kind of quantity that is sold: made alike, so that every kind is priced in the
same way.
"""

from collections.abc import Callable
from typing import Annotated

from pondkit.core.entry import rounded_up
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
    Kind,
    Money,
    Share,
    Time,
)
from pondkit.trades.cost.money import UnitPrice, cents, exact

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

        Working: quantity, as it is printed in the unit of the price, times the price, rounded to a cent
        Source: quantity times price; the price: user input
        """
        return each.of(quantity, kind)

    return cost


def _any_amount(kind: Kind) -> Relation:
    def amount(net: Annotated[float, kind], waste: Share, minimum: Annotated[float, kind]) -> Annotated[float, kind]:
        """What is bought of goods that are sold in any amount.

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
        """What is bought of goods that are sold in whole multiples of a unit of sale.

        Source: net and waste, no less than the minimum order, rounded up to the unit of sale; all three: user input
        """
        return rounded_up(max(net * (1 + waste), minimum) / sale_unit) * sale_unit

    return amount


def _work(kind: Kind) -> Relation:
    def hours(net: Annotated[float, kind], unit: Annotated[float, kind], each: Time) -> Time:
        """Time that a net quantity takes, at so much for one unit.

        Source: quantity times time for one; the time: user input
        """
        return net / unit * each

    return hours


def _loads(kind: Kind) -> Relation:
    def loads(amount: Annotated[float, kind], load: Annotated[float, kind]) -> Count:
        """Deliveries that bring what is bought.

        Source: what is bought over what one load holds, rounded up; the load: user input
        """
        return rounded_up(amount / load)

    return loads


COST = {kind: _cost(kind, price) for kind, price in PRICES.items()}
ANY_AMOUNT = {kind: _any_amount(kind) for kind in PRICES}
BY_UNIT = {kind: _by_unit(kind) for kind in PRICES}
WORK = {kind: _work(kind) for kind in PRICES}
LOADS = {kind: _loads(kind) for kind in PRICES}


def own_contingency(total: Money, share: Share) -> Money:
    """The person's own per cent of the rough total, for what is not foreseen.

    Working: total times share, rounded to a cent
    Source: user input
    """
    return float(cents(exact(total) * exact(share)))


def contingency(typical: Money, high: Money) -> Money:
    """What the total may come to beyond its typical figure.

    Source: high total less typical total
    """
    return high - typical
