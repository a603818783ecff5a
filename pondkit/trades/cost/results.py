"""Result types of a price: the lines of the price list for the option, each cost, and the total."""

from dataclasses import dataclass
from decimal import Decimal

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.trades.cost.formulas import UnitPrice
from pondkit.trades.cost.inputs import FAMILIES, PriceLine, items, rate_label


@dataclass(frozen=True)
class Listed:
    """One line of the price list for the option.

    Attributes:
        line: Inputs of the line.
        net: Its quantity; None if the option has none of it, or the line has a problem.
        amount, price, labour, machine, loads, delivery: Figures of the line; None if the line does not require it.
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
        """What it is priced under beside other lines and rates: the rate that it stands for, else what it is itself."""
        rate = next((name for name, keys in FAMILIES.items() if self.line.item in keys), "")
        return rate_label(rate) if rate else line_name(self.line)


def line_name(line: PriceLine) -> str:
    """Name of a line: its item, and which one of it."""
    return items()[line.item] + (f", {line.of}" if line.of else "")


@dataclass(frozen=True)
class CostLine:
    """Cost of one item, as printed: quantity times unit price, to the cent.

    Attributes:
        name: Name of the item.
        group: Key of the group of figures that it belongs to ("lining"); "price" for hours.
        quantity, each: How many units, and the price for one.
        price: Its entry in the takeoff.
        tax: Share of tax where it is not the job's own; None if it is.
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
        price: Each price; ``total_price`` their sum.
        contingency: High total less typical; None if no figure has a range.
        own_contingency: The person's own per cent of the total; None if none is entered.
        lacking: Items with a quantity but no price, which the total does not include.
        listed: The lines of the price list, as they stand to this option.
        costs: Each price, as the quotation takes it.
        problems: What is wrong with lines of the price list.
        absent: Lines of a list that several options share, by their index, that name a part which this one does not
            have; it is wrong only where no option has it.
        to_fill: The prices that are still wanted, in one.
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
    listed: tuple[Listed, ...]
    costs: tuple[CostLine, ...]
    problems: tuple[Problem, ...]
    absent: tuple[tuple[int, Problem], ...]
    to_fill: tuple[ToFill, ...] = ()
