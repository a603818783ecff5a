"""A rough price of an option: its quantities times the prices of the price list, of liner rolls, and of the rates for
all else; and their sum. What lacks a price or a quantity is named, never counted as 0.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from pondkit.core.entry import Entry, entry, total, with_cautions
from pondkit.core.part import kind_in
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result, ToFill, by_key
from pondkit.core.sentence import Term, Words, words
from pondkit.core.tables import group_of
from pondkit.core.units import BULK, COUNT, SHARE, TIME, VOLUME, Kind, factor, nothing, pretty, show
from pondkit.trades.cost import cautions
from pondkit.trades.cost.cautions import LESS_THAN_ORDERED
from pondkit.trades.cost.formulas import (
    ANY_AMOUNT,
    BY_UNIT,
    COST,
    LOADS,
    PRICES,
    WORK,
    UnitPrice,
    cents,
    contingency,
    exact,
    own_contingency,
    paid,
    price_as_typed,
    sum_of,
)
from pondkit.trades.cost.inputs import (
    BY_ROLL,
    FIGURES_OF_RATE,
    ITEMS_OF_RATE,
    NAME_IF_UNPRICED,
    WHOLE_ENDS,
    PriceLine,
    Rates,
    is_goods,
    item_kind,
    items,
    kind_beside_price,
    ordered,
    orders_of,
    rate_label,
    units_of,
)
from pondkit.trades.cost.results import CostLine, Price, PricedLine, line_name, rate_of

Figures = dict[str, list[Entry]]  # figures of an option, by key


def priced_line(line: PriceLine, figures: Figures, high: bool) -> PricedLine:
    """A line without faults, priced for an option.

    Args:
        line: Inputs of the line.
        figures: Figures of the option, by key.
        high: True if goods are ordered at their high figure.
    """
    quantities = _named_by(line, figures.get(line.item, ()))
    if all(nothing(figure.value, figure.kind) for figure in quantities):
        return PricedLine(line)
    kind, name = kind_beside_price(line.item, line.unit), line_name(line)
    unit = factor(line.unit, kind)
    quantity = quantities[0] if len(quantities) == 1 else total(name, quantities)
    net = quantity_to_price(quantity, kind, high and is_goods(line.item))
    inputs: dict[str, Any] = {"net": net, "waste": line.waste, "minimum": line.minimum * unit}
    sale = line.sale_unit * unit or (1.0 if kind is COUNT else 0.0)  # counted items are bought whole
    amount = entry(BY_UNIT[kind], name, **inputs, sale_unit=sale) if sale else entry(ANY_AMOUNT[kind], name, **inputs)
    orders = [figure for key in orders_of(line.item) for figure in _named_by(line, figures.get(key, ()))]
    order = sum(figure.most if high else figure.value for figure in orders)
    if order > amount.value * (1 + 1e-9) and not nothing(order - amount.value, kind):
        amount = with_cautions(amount, LESS_THAN_ORDERED(order=(order, kind)))
    bought = quantity_to_price(amount, kind)
    price = loads = delivery = None
    if line.price is not None:
        price = priced(name, bought, unit_price(line), line.price / unit)
    if line.load_size:
        loads = entry(LOADS[kind], name, amount=bought, load_size=line.load_size * unit)
    if loads and line.load_price is not None:
        trips = quantity_to_price(loads, COUNT)
        delivery = priced(f"Delivery, {name}", trips, UnitPrice(exact(line.load_price), ""), line.load_price)
    return PricedLine(
        line=line,
        net=net,
        amount=amount,
        price=price,
        labour=entry(WORK[kind], name, net=net, unit=unit, time_for_one=line.labour) if line.labour else None,
        machine=entry(WORK[kind], name, net=net, unit=unit, time_for_one=line.machine) if line.machine else None,
        loads=loads,
        delivery=delivery,
    )


def unit_price(line: PriceLine) -> UnitPrice:
    """Price of a line for one of its units; zero if it has none."""
    return UnitPrice(exact(line.price or 0), "" if line.unit == "each" else pretty(line.unit))


def priced(name: str, quantity: Entry, each: UnitPrice, rate: float) -> Entry:
    """Cost of a quantity, to the cent.

    Args:
        name: Name of the item.
        quantity: Quantity, of the kind it is sold by.
        each: The price for one unit, as typed.
        rate: The same for one SI unit, for the working.
    """
    return entry(COST[quantity.kind], name, quantity=quantity, rate=rate, each=each)


def faults(lines: tuple[PriceLine, ...], place: Path) -> Iterator[tuple[int, Problem]]:
    """(index of the line, problem) of faults that concern two fields or two lines; ``place``: path of the prices."""
    parts_before: dict[str, set[str]] = {}  # parts of each item that have a line already
    for index, line in enumerate(lines):
        path: Path = (*place, "lines", index)
        before = parts_before.setdefault(line.item, set())
        for problem in (*_unit_fault(line, path), *_twice(line, path, before), *_amounts(line, path)):
            yield index, problem
        before.add(line.of)


def absent_parts(lines: tuple[PriceLine, ...], figures: Figures, place: Path) -> Iterator[tuple[int, Problem]]:
    """(index of the line, problem) of each line that names a part which the option does not have; ``place``: path of
    the prices.
    """
    for index, line in enumerate(lines):
        subjects = [figure.subject for figure in figures.get(line.item, ())]
        if line.of and subjects and line.of not in subjects:
            names = ", ".join(dict.fromkeys(subjects))
            yield (
                index,
                Problem(
                    (*place, "lines", index, "of"),
                    words(f"no {items()[line.item].lower()} of '{line.of}' is in this option"),
                    words(f"one of {names}" if any(subjects) else "nothing: it is one figure for the option"),
                    words("choose one of these, or leave it empty for all"),
                ),
            )


def _unit_fault(line: PriceLine, path: Path) -> Iterator[Problem]:
    """Problem of a unit of another kind than the item's."""
    possible = units_of(line.item)
    if line.unit not in possible:
        yield Problem(
            (*path, "unit"),
            words(f"'{line.unit}' for {items()[line.item].lower()}, which is {item_kind(line.item).name}"),
            words(f"one of {', '.join(possible)}"),
            words("choose one of these, with the price for it"),
        )


def _twice(line: PriceLine, path: Path, before: set[str]) -> Iterator[Problem]:
    """Problem of a line for an item, or a part of it, that an earlier line prices already; ``before``: their parts."""
    if before and (line.of in before or "" in before or not line.of):
        yield Problem(
            (*path, "item"),
            words(f"{line_name(line)} is priced by a line before it"),
            words("one line for all of an item, or one for each of its parts"),
            words("remove one of the lines, or name in each what it is for"),
        )


def _amounts(line: PriceLine, path: Path) -> Iterator[Problem]:
    """Problems of waste on an item that includes waste already, and of fractions of a counted item."""
    if line.item.endswith(WHOLE_ENDS) and line.waste > 0:
        yield Problem(
            (*path, "waste"),
            words("waste of {waste} on a number that includes its waste already", waste=(line.waste, SHARE)),
            words("0 %"),
            words("set the waste to 0, or price the area or length instead"),
        )
    if item_kind(line.item) is COUNT and line.sale_unit != math.floor(line.sale_unit):
        yield Problem(
            (*path, "sale_unit"),
            words(f"{line.sale_unit:g} of a counted thing"),
            words("a whole number"),
            words("write 1, 2, 3 …, or 0"),
        )


def unpriced_parts(lines: Iterable[PriceLine], figures: Figures) -> list[str]:
    """Names of the parts of an item that have no price, where other parts of it have one."""
    with_price = [line for line in lines if line.price is not None]
    names = []
    for item in dict.fromkeys(line.item for line in with_price):
        parts = {line.of for line in with_price if line.item == item}
        if "" not in parts:
            rest = (figure.subject for figure in figures.get(item, ()) if figure.subject not in parts)
            names += [f"{items()[item].lower()} of {part}" for part in rest]
    return names


def quantity_to_price(figure: Entry, kind: Kind, high: bool = False) -> Entry:
    """A quantity as it goes into a price: without its cautions, which stay at the quantity.

    Args:
        figure: The quantity.
        kind: Kind by which it is sold.
        high: True if it is ordered at its high figure: that is bought and paid, without a range.
    """
    if high:
        return Entry(figure.subject, figure.most, kind, "", "as ordered, at its high figure", (), figure.source)
    return Entry(figure.subject, figure.value, kind, "", "as ordered", (), figure.source, figure.low, figure.high)


def _named_by(line: PriceLine, figures: Iterable[Entry]) -> list[Entry]:
    """Those of an item's figures that a line is for: all of them, or the part that it names."""
    return [figure for figure in figures if not line.of or figure.subject == line.of]


DIG_VOLUME = "dig_volume"  # item by which the dig is priced by its volume; the rate is "dig"


@remembered
def compute(
    rates: Rates,
    parts: tuple[Result, ...],
    high: bool,
    complete: bool,
    place: Path = ("rates",),
    shared: bool = False,
) -> Price:
    """Rough price of an option.

    Args:
        rates: Inputs of rates and price list.
        parts: The option's results, which hold the quantities.
        high: True if goods are ordered at their high figure.
        complete: False if a part has a problem; there is no total then.
        place: Path of the rates, for problems.
        shared: True if several options share the rates; a line may then name a part that only another option has.
    """
    figures = by_key(parts)
    absent = tuple(absent_parts(rates.lines, figures, place))
    wrong = [*faults(rates.lines, place), *(() if shared else absent)]
    faulty = {line_index for line_index, _ in wrong}
    without_fault = [line for index, line in enumerate(rates.lines) if index not in faulty]
    lines = tuple(priced_line(line, figures, high) for line in without_fault)
    sums = _Sums(rates, figures, lines, high)
    sums.lacking += unpriced_parts(without_fault, figures)
    sums.lacking += _unpriced_orders(figures, sums.priced_items)
    sums.add_rolls()
    sums.add_rates()
    hours = sums.add_hours()
    prices = [cost.price for cost in sums.costs]
    whole_price = with_cautions(sum_of("", prices), *sums.notes()) if complete and not wrong and prices else None
    return Price(
        line_amount=tuple(line.amount for line in lines if line.amount),
        line_labour=tuple(line.labour for line in lines if line.labour),
        line_machine=tuple(line.machine for line in lines if line.machine),
        delivery_loads=tuple(line.loads for line in lines if line.loads),
        total_labour_time=hours["labour"],
        total_machine_time=hours["machine"],
        price=tuple(prices),
        total_price=whole_price,
        contingency=entry(contingency, "", typical=whole_price.value, high=whole_price.most)
        if whole_price and whole_price.low is not None
        else None,
        own_contingency=entry(
            own_contingency, "", total=quantity_to_price(whole_price, whole_price.kind), share=rates.contingency
        )
        if whole_price and rates.contingency is not None
        else None,
        lacking=tuple(sums.lacking),
        lines=lines,
        costs=tuple(sums.costs),
        problems=tuple(problem for _, problem in wrong),
        absent=absent if shared else (),
        to_fill=_prices_to_fill(sums.lacking, place),
    )


def _prices_to_fill(lacking: Sequence[str], place: Path) -> tuple[ToFill, ...]:
    """The prices that are still to be entered, as one item."""
    if not lacking:
        return ()
    names = ", ".join(dict.fromkeys(lacking))
    return (ToFill(place, Words(f"a price for {names}"), Words("the total price with these in it")),)


class _Sums:
    """Costs collected from price list, rolls, rates and hours, and the names of items for the cautions at their sum.

    Attributes:
        priced_items: Items that a line of the price list prices.
        rolls: Cost of the rolls of each liner, if that prices the liner.
        costs: The costs so far.
        lacking: Names of what has a quantity and no price.
        idle: Names of what has a price and no quantity.
        without_size: Names of lines whose load has a price and no size.
        replaced: Names of rates whose place a line takes.
        by_area: Names of lines and rates by area whose place the rolls take.
    """

    def __init__(self, rates: Rates, figures: Figures, lines: tuple[PricedLine, ...], high: bool) -> None:
        self.rates, self.figures, self.lines, self.high = rates, figures, lines, high
        self.priced_items = {line.line.item for line in lines if line.price}
        self.rolls = () if BY_ROLL in self.priced_items else _roll_costs(figures.get("plan_cost", []))
        replaced = [line for line in lines if line.price and self.rolls and line.line.item in ITEMS_OF_RATE["liner"]]
        self.costs = [cost for line in lines if line not in replaced for cost in _costs(line)]
        self.idle = [line_name(line.line).lower() for line in lines if line.net is None and line.line.price is not None]
        self.lacking = [
            line_name(line.line).lower()
            for line in lines
            if line.net and line.line.price is None and not self._priced_otherwise(line)
        ]
        undelivered = [line.line for line in lines if line.loads and not line.delivery]
        self.lacking += [f"delivery of {line_name(line).lower()}" for line in undelivered]
        of_loads = [line.line for line in lines if line.line.load_price is not None]
        self.without_size = [line_name(line).lower() for line in of_loads if not line.load_size]
        self.replaced: list[str] = []
        self.by_area = [line_name(line.line).lower() for line in replaced]

    def _priced_otherwise(self, line: PricedLine) -> bool:
        """True if the item of a line is priced by a rate, or by the price of a roll."""
        rate = rate_of(line.line.item)
        return bool(rate) and (getattr(self.rates, rate) is not None or (rate == "liner" and bool(self.rolls)))

    def quantity(self, name: str) -> Entry | None:
        """Quantity that a rate is multiplied by; None if the option has none of it."""
        present = (self.figures[key][0] for key in FIGURES_OF_RATE[name] if self.figures.get(key))
        figure = next(present, None)
        return None if figure is None or nothing(figure.value, figure.kind) or figure.value < 0 else figure

    def add_rolls(self) -> None:
        """Add the liner by its rolls, which takes precedence over a price by area."""
        if self.rolls:
            liner_price = sum_of(
                rate_label("liner"), [_to_cents(quantity_to_price(plan, plan.kind)) for plan in self.rolls]
            )
            self.costs.append(
                CostLine("Liner, by its rolls", "lining", Decimal(1), UnitPrice(paid(liner_price), ""), liner_price)
            )
            if self.rates.liner is not None:
                self.by_area.append("its rate")

    def add_rates(self) -> None:
        """Add everything that neither a line nor a roll prices, by its rate."""
        for name, covered in ITEMS_OF_RATE.items():
            rate, quantity, label = getattr(self.rates, name), self.quantity(name), rate_label(name)
            if name == "liner" and self.rolls:
                continue
            if self.priced_items.intersection(covered):
                if rate is not None:
                    self.replaced.append(label.lower())
            elif quantity is None:
                if rate is not None:
                    self.idle.append(label.lower())
            elif rate is None:
                self.lacking.append(label.lower())
            else:
                key = FIGURES_OF_RATE[name][0]
                goods = ordered(key) or ordered(key.removeprefix("total_"))  # "total_liner_order" sums "liner_order"
                bought = quantity_to_price(quantity, _kind_priced(name), self.high and goods)
                self._add(label, group_of(key), bought, rate, kind_in(Rates, name))

    def _add(self, name: str, group: str, quantity: Entry, rate: float, kind: Kind | None) -> None:
        """Add the cost of a quantity at a rate."""
        price_each = price_as_typed(rate, kind or PRICES[quantity.kind])
        bought = price_each.bought(quantity.value, quantity.kind)
        self.costs.append(CostLine(name, group, bought, price_each, priced(name, quantity, price_each, rate)))

    def add_hours(self) -> dict[str, Entry | None]:
        """Add labour and machine by their hours. Returns the hours of each; None if there are none."""
        labour = [line.labour for line in self.lines if line.labour]
        machine = [line.machine for line in self.lines if line.machine]
        # Hours entered for the dig replace those worked out from the bucket, as a line's price replaces a rate.
        digging = None if self._own_dig_hours() else self.quantity("machine")
        hours = {
            "labour": total("", labour) if labour else None,
            "machine": total("", [*machine, *([digging] if digging else [])])
            if machine or (digging and self.rates.machine is not None)
            else None,
        }
        for name, time in hours.items():
            rate = getattr(self.rates, name)
            if time and rate is not None:
                self._add(rate_label(name), "price", quantity_to_price(time, TIME), rate, PRICES[TIME])
            elif time:
                self.lacking.append(f"{show(time.value, TIME, 'us')} of {name}")
            elif rate is not None:
                self.idle.append(f"hours of {name}")
        return hours

    def _own_dig_hours(self) -> bool:
        """True if a line of the price list states machine hours for the dig."""
        return any(line.machine and line.line.item == DIG_VOLUME for line in self.lines)

    def notes(self) -> Iterator[Words]:
        """Cautions of the total."""
        yield cautions.ROUGH_TOTAL()
        for rule, names in (
            (cautions.NOT_IN_SUM, self.lacking),
            (cautions.PRICE_OF_NOTHING, self.idle),
            (cautions.LIST_OVER_RATE, self.replaced),
            (cautions.ROLLS_OVER_AREA, self.by_area),
            (cautions.LOAD_WITHOUT_SIZE, self.without_size),
        ):
            if names:
                yield rule(names=", ".join(names))
        for covered in ITEMS_OF_RATE.values():
            names = [items()[item].lower() for item in covered if item in self.priced_items]
            if len(names) > 1:
                yield cautions.PRICED_TWICE(names=", ".join(names))
        by_hours = self.rates.machine is not None and bool(self._own_dig_hours() or self.quantity("machine"))
        if by_hours and (self.rates.dig is not None or DIG_VOLUME in self.priced_items):
            yield cautions.DIG_PRICED_TWICE()


def _costs(line: PricedLine) -> Iterator[CostLine]:
    """Costs of a line of the price list, and of its deliveries."""
    group = group_of(line.line.item)
    for quantity, price, price_each in (
        (line.amount, line.price, unit_price(line.line)),
        (line.loads, line.delivery, UnitPrice(exact(line.line.load_price or 0), "")),
    ):
        if quantity and price:
            bought = price_each.bought(quantity.value, quantity.kind)
            yield CostLine(price.subject, group, bought, price_each, price, line.line.tax)


def _to_cents(price: Entry) -> Entry:
    """An amount from another trade, rounded to cents."""
    low, high = (None if end is None else float(cents(exact(end))) for end in (price.low, price.high))
    return replace(price, value=float(paid(price)), low=low, high=high)


def _roll_costs(plans: list[Entry]) -> tuple[Entry, ...]:
    """The cost of rolls of each liner (``plan_cost``); none if one of the rolls has no price. Those prices are the term
    ``prices`` of each cost's working; a roll without a price counts there as 0.
    """
    prices = [price for plan in plans for term in plan.terms if term.name == "prices" for price in _values(term)]
    return tuple(plans) if prices and all(price > 0 for price in prices) else ()


def _values(term: Term) -> tuple[float, ...]:
    """Numbers of a term, one or several."""
    return term.value if isinstance(term.value, tuple) else (term.value,)


def _kind_priced(name: str) -> Kind:
    """Kind of quantity that a rate is for."""
    rate = kind_in(Rates, name)
    kind = next(kind for kind, price in PRICES.items() if price is rate)
    return BULK if kind is VOLUME else kind


def _kind_and_name(form: str, name: str) -> str:
    """A part by its kind and its name: "pump {}" gives "pump old", but "pump 1" for a part of that name."""
    kind = form.removesuffix("{}").split()[-1:]
    text = form.format(name)
    return text.replace(f"{kind[0]} {name}", name) if kind and name.startswith(kind[0]) else text


def _unpriced_orders(figures: Figures, priced_items: set[str]) -> Iterator[str]:
    """Names of what is ordered without a rate and without a line: the item, or each of its parts."""
    for item in items():
        keys = [key for key in (*orders_of(item), item) if ordered(key)]
        present = [figure for key in keys for figure in figures.get(key, ()) if not nothing(figure.value, figure.kind)]
        if rate_of(item) or item in priced_items or not present:
            continue
        if item in NAME_IF_UNPRICED:
            yield from dict.fromkeys(_kind_and_name(NAME_IF_UNPRICED[item], figure.subject) for figure in present)
        else:
            yield items()[item].lower()
    if any(figure.subject == "filter" for figure in figures.get("body_order", ())) and not figures.get("media_order"):
        yield "media of the filter, whose area is not entered"
