"""Result types of a price: the lines of the price list for an option, each cost, and the total."""

from dataclasses import dataclass
from decimal import Decimal

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.trades.cost.formulas import UnitPrice
from pondkit.trades.cost.inputs import ITEMS_OF_RATE, PriceLine, items, rate_label


@dataclass(frozen=True)
class PricedLine:
    """One line of the price list, priced for an option.

    Attributes:
        line: Inputs of the line.
        net: Net quantity of its item; None if the option has none of it.
        amount, price: Amount to buy, and its price; no price if none is entered.
        labour, machine: Hours; None if none are entered.
        loads, delivery: Number of deliveries, and their price; None if size or price of a load is not entered.
    """

    line: PriceLine
    net: Entry | None = None
    amount: Entry | None = None
    price: Entry | None = None
    labour: Entry | None = None
    machine: Entry | None = None
    loads: Entry | None = None
    delivery: Entry | None = None

    @property
    def family(self) -> str:
        """What it is compared under with other lines and rates: the rate whose place it takes, else its own name."""
        rate = rate_of(self.line.item)
        return rate_label(rate) if rate else line_name(self.line)


def rate_of(item: str) -> str:
    """Name of the rate that stands for an item; "" for none."""
    return next((rate for rate, covered in ITEMS_OF_RATE.items() if item in covered), "")


def line_name(line: PriceLine) -> str:
    """Name of a line: its item, and the part of it."""
    return items()[line.item] + (f", {line.of}" if line.of else "")


@dataclass(frozen=True)
class CostLine:
    """Cost of one item, as printed: quantity times unit price, to the cent.

    Attributes:
        name: Name of the item.
        group: Key of the group of figures that it belongs to ("lining"); "price" for hours.
        quantity, each: How many units, and the price for one.
        price: Its entry in the takeoff.
        tax: Its rate of tax, where it is not that of the quotation; None if it is.
    """

    name: str
    group: str
    quantity: Decimal
    each: UnitPrice
    price: Entry
    tax: float | None = None


@dataclass(frozen=True, eq=False)
class Price(Result):
    """Price of each item, and their total; None if a part of the option has a problem.

    Attributes:
        line_amount: Amount bought by each line of the price list.
        line_labour, line_machine: Hours of each line that has some.
        delivery_loads: Deliveries of each line that is paid by the load.
        total_labour_time, total_machine_time: Hours in all; None if there are none.
        price: Each price; ``total_price`` is their sum.
        contingency: High total less typical; None if no figure has a range.
        own_contingency: The person's own share of the total; None if none is entered.
        lacking: Names of items with a quantity but no price, which the total does not include.
        lines: The lines of the price list, priced for this option.
        costs: Each price, as the quotation takes it.
        problems: Faults of lines of the price list.
        absent: (index of the line, problem) of lines that name a part which this option does not have, if several
            options share the list. They are a problem only if no option has the part.
        to_fill: The prices that are still to be entered, as one item.
    """

    line_amount: tuple[Entry, ...]
    line_labour: tuple[Entry, ...]
    line_machine: tuple[Entry, ...]
    delivery_loads: tuple[Entry, ...]
    total_labour_time: Entry | None
    total_machine_time: Entry | None
    price: tuple[Entry, ...]
    total_price: Entry | None
    contingency: Entry | None
    own_contingency: Entry | None
    lacking: tuple[str, ...]
    lines: tuple[PricedLine, ...]
    costs: tuple[CostLine, ...]
    problems: tuple[Problem, ...]
    absent: tuple[tuple[int, Problem], ...]
    to_fill: tuple[ToFill, ...] = ()
