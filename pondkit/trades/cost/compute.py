"""A rough price of an option: each line of the price list against the option's quantities, each rate, and their sum.
What lacks a price or a quantity is named, never counted as 0.
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
    sum_of,
    typed,
)
from pondkit.trades.cost.inputs import (
    BY_NAME,
    BY_ROLL,
    FAMILIES,
    RATED,
    WHOLE_ENDS,
    PriceLine,
    Rates,
    is_goods,
    item_kind,
    items,
    kind_by,
    ordered,
    orders_of,
    rate_label,
    units_of,
)
from pondkit.trades.cost.results import CostLine, Listed, Price, line_name


def listed(line: PriceLine, figures: dict[str, list[Entry]], high: bool) -> Listed:
    """A sound line against the quantities of an option.

    Args:
        line: Inputs of the line.
        figures: Figures of the option, by key.
        high: True if goods are ordered at their high figure.
    """
    quantity = _of(line, figures.get(line.item, ()))
    if all(nothing(figure.value, figure.kind) for figure in quantity):
        return Listed(line)
    kind, name = kind_by(line.item, line.unit), line_name(line)
    size = factor(line.unit, kind)
    net = bare(quantity[0] if len(quantity) == 1 else total(name, quantity), kind, high and is_goods(line.item))
    inputs: dict[str, Any] = {"net": net, "waste": line.waste, "minimum": line.minimum * size}
    sale = line.sale_unit * size or (1.0 if kind is COUNT else 0.0)  # counted items are bought whole
    amount = entry(BY_UNIT[kind], name, **inputs, sale_unit=sale) if sale else entry(ANY_AMOUNT[kind], name, **inputs)
    ordering = [figure for key in orders_of(line.item) for figure in _of(line, figures.get(key, ()))]
    order = sum(figure.most if high else figure.value for figure in ordering)
    if order > amount.value * (1 + 1e-9) and not nothing(order - amount.value, kind):
        amount = with_cautions(amount, LESS_THAN_ORDERED(order=(order, kind)))
    trips = entry(LOADS[kind], name, amount=bare(amount, kind), load=line.load_size * size) if line.load_size else None
    return Listed(
        line,
        net,
        amount,
        None if line.price is None else priced(name, bare(amount, kind), unit_price(line), line.price / size),
        entry(WORK[kind], name, net=net, unit=size, each=line.labour) if line.labour else None,
        entry(WORK[kind], name, net=net, unit=size, each=line.machine) if line.machine else None,
        trips,
        None
        if trips is None or line.load_price is None
        else priced(f"Delivery, {name}", bare(trips, COUNT), UnitPrice(exact(line.load_price), ""), line.load_price),
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
    """(index, problem) of lines with faults that concern two fields or two lines; ``place``: path of the list."""
    met: dict[str, set[str]] = {}
    for index, line in enumerate(lines):
        path: Path = (*place, "lines", index)
        before = met.setdefault(line.item, set())
        for problem in (*_unit_fault(line, path), *_twice(line, path, before), *_amounts(line, path)):
            yield index, problem
        before.add(line.of)


def strangers(
    lines: tuple[PriceLine, ...], figures: dict[str, list[Entry]], place: Path
) -> Iterator[tuple[int, Problem]]:
    """(index, problem) of each line that names a part which the option does not have."""
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
    if line.unit not in (fit := units_of(line.item)):
        yield Problem(
            (*path, "unit"),
            words(f"'{line.unit}' for {items()[line.item].lower()}, which is {item_kind(line.item).name}"),
            words(f"one of {', '.join(fit)}"),
            words("choose one of these, with the price for it"),
        )


def _twice(line: PriceLine, path: Path, before: set[str]) -> Iterator[Problem]:
    """Problem of a line for an item that an earlier line prices already."""
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
            words("waste of {waste} on a number that holds its waste already", waste=(line.waste, SHARE)),
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


def rest(lines: Iterable[PriceLine], figures: dict[str, list[Entry]]) -> list[str]:
    """Parts of an item without a line, where other parts of it have one."""
    priced = [line for line in lines if line.price is not None]
    names_left = []
    for item in dict.fromkeys(line.item for line in priced):
        names = {line.of for line in priced if line.item == item}
        if "" not in names:
            names_left += [
                f"{items()[item].lower()} of {f.subject}" for f in figures.get(item, ()) if f.subject not in names
            ]
    return names_left


def bare(figure: Entry, kind: Kind, high: bool = False) -> Entry:
    """A quantity without its cautions, which belong to the quantity and not to its price; of the kind it is sold by.

    If ordered at its ``high`` figure, that is the amount bought and paid, without a range.
    """
    if high:
        return Entry(figure.subject, figure.most, kind, "", "as ordered, at its high figure", (), figure.source)
    return Entry(figure.subject, figure.value, kind, "", "as ordered", (), figure.source, figure.low, figure.high)


def _of(line: PriceLine, figures: Iterable[Entry]) -> list[Entry]:
    return [figure for figure in figures if not line.of or figure.subject == line.of]


DUG = ("dig", "dig_volume")  # the rate and the item by which the dig is priced by its volume
Figures = dict[str, list[Entry]]


@remembered
def compute(
    rates: Rates,
    parts: tuple[Result, ...],
    high: bool,
    complete: bool,
    place: Path = ("rates",),
    shared: bool = False,
) -> Price:
    """Price an option.

    Args:
        rates: Inputs of rates and price list.
        parts: The option's results, from which rates and price list take their quantities.
        high: True if goods are ordered at their high figure.
        complete: False if a part has a problem; there is no total then.
        place: Path of the rates, for problems.
        shared: True if several options share the rates; a line may then name a part that only another option has.
    """
    figures = by_key(parts)
    absent = tuple(strangers(rates.lines, figures, place))
    wrong = [*faults(rates.lines, place), *(() if shared else absent)]
    faulty = {line_index for line_index, _ in wrong}
    sound = [line for index, line in enumerate(rates.lines) if index not in faulty]
    lines = tuple(listed(line, figures, high) for line in sound)
    sums = _Sums(rates, figures, lines, high)
    sums.lacking += rest(sound, figures)
    sums.lacking += _unpriced(figures, sums.own)
    sums.by_rolls()
    sums.by_rates()
    hours = sums.by_hours()
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
        own_contingency=entry(own_contingency, "", total=bare(whole_price, whole_price.kind), share=rates.contingency)
        if whole_price and rates.contingency is not None
        else None,
        lacking=tuple(sums.lacking),
        listed=lines,
        costs=tuple(sums.costs),
        problems=tuple(problem for _, problem in wrong),
        absent=absent if shared else (),
        to_fill=_wanted(sums.lacking, place),
    )


def _wanted(lacking: Sequence[str], place: Path) -> tuple[ToFill, ...]:
    """Prices that only the person knows, as one item still to be entered."""
    if not lacking:
        return ()
    names = ", ".join(dict.fromkeys(lacking))
    return (ToFill(place, Words(f"a price for {names}"), Words("the total price with these in it")),)


class _Sums:
    """Prices collected by lines, rolls, rates and hours, with the names of items for their cautions."""

    def __init__(self, rates: Rates, figures: Figures, lines: tuple[Listed, ...], high: bool) -> None:
        self.rates, self.figures, self.lines, self.high = rates, figures, lines, high
        self.own = {line.line.item for line in lines if line.price}
        self.rolls = () if BY_ROLL in self.own else _priced_plans(figures.get("plan_cost", []))
        self.over = [line for line in lines if line.price and self.rolls and line.line.item in FAMILIES["liner"]]
        self.costs = [cost for line in lines if line not in self.over for cost in _costs(line)]
        self.idle = [line_name(line.line).lower() for line in lines if line.net is None and line.line.price is not None]
        self.lacking = [
            line_name(line.line).lower()
            for line in lines
            if line.net and line.line.price is None and not self._rated(line)
        ]
        self.replaced: list[str] = []
        self.area_prices = [line_name(line.line).lower() for line in self.over]

    def _rated(self, line: Listed) -> bool:
        """True for a line without a price whose item is priced by a rate, or by the price of a roll."""
        family = next((name for name, keys in FAMILIES.items() if line.line.item in keys), None)
        return family is not None and (
            getattr(self.rates, family) is not None or (family == "liner" and bool(self.rolls))
        )

    def quantity(self, name: str) -> Entry | None:
        """Quantity that a rate applies to; None if the option has none of it."""
        keys = (key for key in RATED[name] if self.figures.get(key))
        figure = next((self.figures[key][0] for key in keys), None)
        return None if figure is None or nothing(figure.value, figure.kind) or figure.value < 0 else figure

    def by_rolls(self) -> None:
        """Price the liner by its rolls, which takes precedence over a price by area."""
        if self.rolls:
            liner_price = sum_of(rate_label("liner"), [_to_cents(bare(plan, plan.kind)) for plan in self.rolls])
            self.costs.append(
                CostLine("Liner, by its rolls", "lining", Decimal(1), UnitPrice(paid(liner_price), ""), liner_price)
            )
            if self.rates.liner is not None:
                self.area_prices.append("its rate")

    def by_rates(self) -> None:
        """Price by its rate everything that neither a line nor a roll prices."""
        for name, keys in FAMILIES.items():
            rate, quantity, label = getattr(self.rates, name), self.quantity(name), rate_label(name)
            if name == "liner" and self.rolls:
                continue
            if self.own.intersection(keys):
                if rate is not None:
                    self.replaced.append(label.lower())
            elif quantity is None:
                if rate is not None:
                    self.idle.append(label.lower())
            elif rate is None:
                self.lacking.append(label.lower())
            else:
                kind = _sold(name)
                bought = bare(
                    quantity,
                    kind,
                    self.high and any(ordered(RATED[name][0].removeprefix(head)) for head in ("", "total_")),
                )
                self._add(label, group_of(RATED[name][0]), bought, rate, kind_in(Rates, name))

    def _add(self, name: str, group: str, quantity: Entry, rate: float, kind: Kind | None) -> None:
        """Add the cost of a quantity at a rate."""
        price_each = typed(rate, kind or PRICES[quantity.kind])
        bought = price_each.bought(quantity.value, quantity.kind)
        self.costs.append(CostLine(name, group, bought, price_each, priced(name, quantity, price_each, rate)))

    def by_hours(self) -> dict[str, Entry | None]:
        """Hours of labour and of the machine, with their prices."""
        labour = [line.labour for line in self.lines if line.labour]
        machine = [line.machine for line in self.lines if line.machine]
        # Hours entered for the dig replace those from the bucket, as a line's price replaces a rate.
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
                self._add(rate_label(name), "price", bare(time, TIME), rate, PRICES[TIME])
            elif time:
                self.lacking.append(f"{show(time.value, TIME, 'us')} of {name}")
            elif rate is not None:
                self.idle.append(f"hours of {name}")
        return hours

    def _own_dig_hours(self) -> bool:
        return any(line.machine and line.line.item == DUG[1] for line in self.lines)

    def notes(self) -> Iterator[Words]:
        """Cautions of the total."""
        yield cautions.ROUGH_TOTAL()
        for rule, names in (
            (cautions.NOT_IN_SUM, self.lacking),
            (cautions.PRICE_OF_NOTHING, self.idle),
            (cautions.LIST_OVER_RATE, self.replaced),
            (cautions.ROLLS_OVER_AREA, self.area_prices),
        ):
            if names:
                yield rule(names=", ".join(names))
        for keys in FAMILIES.values():
            met = [items()[key].lower() for key in keys if key in self.own]
            if len(met) > 1:
                yield cautions.PRICED_TWICE(names=", ".join(met))
        by_hours = self.rates.machine is not None and bool(self._own_dig_hours() or self.quantity("machine"))
        if by_hours and (self.rates.dig is not None or DUG[1] in self.own):
            yield cautions.DIG_PRICED_TWICE()


def _costs(line: Listed) -> Iterator[CostLine]:
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


def _priced_plans(plans: list[Entry]) -> tuple[Entry, ...]:
    """Cost of the rolls of each liner; empty if one of them has no price."""
    prices = [price for plan in plans for term in plan.terms if term.name == "prices" for price in _values(term)]
    return tuple(plans) if prices and all(price > 0 for price in prices) else ()


def _values(term: Term) -> tuple[float, ...]:
    return term.value if isinstance(term.value, tuple) else (term.value,)


def _sold(name: str) -> Kind:
    """Kind of quantity that a rate applies to."""
    rate = kind_in(Rates, name)
    kind = next(kind for kind, price in PRICES.items() if price is rate)
    return BULK if kind is VOLUME else kind


def _named(form: str, name: str) -> str:
    """An item by its kind and its name: "pump old", but not "pump pump 1"."""
    kind = form.removesuffix("{}").split()[-1:]
    text = form.format(name)
    return text.replace(f"{kind[0]} {name}", name) if kind and name.startswith(kind[0]) else text


def _unpriced(figures: Figures, priced_keys: set[str]) -> Iterator[str]:
    """Ordered items without a rate and without a line: the item, or each of its parts by name."""
    rated = {key for keys in FAMILIES.values() for key in keys}
    for item in items():
        keys = [key for key in (*orders_of(item), item) if ordered(key)]
        present = [figure for key in keys for figure in figures.get(key, ()) if not nothing(figure.value, figure.kind)]
        if item in rated | priced_keys or not present:
            continue
        if item in BY_NAME:
            yield from dict.fromkeys(_named(BY_NAME[item], figure.subject) for figure in present)
        else:
            yield items()[item].lower()
    if any(figure.subject == "filter" for figure in figures.get("body_order", ())) and not figures.get("media_order"):
        yield "media of the filter, whose area is not entered"
