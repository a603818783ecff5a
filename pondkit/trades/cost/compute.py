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
    """A line without fault against the figures of an option.

    Args:
        line: As entered.
        figures: The option's, by key.
        high: Whether what is ordered is taken at its high figure.
    """
    own = _of(line, figures.get(line.item, ()))
    if all(nothing(figure.value, figure.kind) for figure in own):
        return Listed(line)
    kind, name = kind_by(line.item, line.unit), line_name(line)
    size = factor(line.unit, kind)
    net = bare(own[0] if len(own) == 1 else total(name, own), kind, high and is_goods(line.item))
    given: dict[str, Any] = {"net": net, "waste": line.waste, "minimum": line.minimum * size}
    sale = line.sale_unit * size or (1.0 if kind is COUNT else 0.0)  # counted things come whole
    amount = entry(BY_UNIT[kind], name, **given, sale_unit=sale) if sale else entry(ANY_AMOUNT[kind], name, **given)
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
    """The price of a line for one of its units; of nothing where it has none."""
    return UnitPrice(exact(line.price or 0), "" if line.unit == "each" else pretty(line.unit))


def priced(name: str, quantity: Entry, each: UnitPrice, rate: float) -> Entry:
    """What a quantity costs, to the cent.

    Args:
        name: What it is.
        quantity: Of the kind that it is sold by.
        each: The price for one unit, as typed.
        rate: The same for one SI unit, for the working.
    """
    return entry(COST[quantity.kind], name, quantity=quantity, rate=rate, each=each)


def faults(lines: tuple[PriceLine, ...], place: Path) -> Iterator[tuple[int, Problem]]:
    """(index of the line, what is wrong with it): what needs two fields or two lines; ``place`` is where the
    list stands.
    """
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
    """(index of the line, the problem) of each line that names a part which the option does not have."""
    for index, line in enumerate(lines):
        subjects = [figure.subject for figure in figures.get(line.item, ())]
        if line.of and subjects and line.of not in subjects:
            named = ", ".join(dict.fromkeys(subjects))
            yield (
                index,
                Problem(
                    (*place, "lines", index, "of"),
                    words(f"no {items()[line.item].lower()} of '{line.of}' is in this option"),
                    words(f"one of {named}" if any(subjects) else "nothing: it is one figure for the option"),
                    words("choose one of these, or leave it empty for all"),
                ),
            )


def _unit_fault(line: PriceLine, path: Path) -> Iterator[Problem]:
    """A unit of another kind than the item's."""
    if line.unit not in (fit := units_of(line.item)):
        yield Problem(
            (*path, "unit"),
            words(f"'{line.unit}' for {items()[line.item].lower()}, which is {item_kind(line.item).name}"),
            words(f"one of {', '.join(fit)}"),
            words("choose one of these, with the price for it"),
        )


def _twice(line: PriceLine, path: Path, before: set[str]) -> Iterator[Problem]:
    """What an earlier line prices already."""
    if before and (line.of in before or "" in before or not line.of):
        yield Problem(
            (*path, "item"),
            words(f"{line_name(line)} is priced by a line before it"),
            words("one line for all of an item, or one for each of its parts"),
            words("remove one of the lines, or name in each what it is for"),
        )


def _amounts(line: PriceLine, path: Path) -> Iterator[Problem]:
    """Waste on what holds its waste already; a part of a counted thing."""
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
    """Parts of an item that no line prices, where lines price others of it."""
    priced = [line for line in lines if line.price is not None]
    out = []
    for item in dict.fromkeys(line.item for line in priced):
        names = {line.of for line in priced if line.item == item}
        if "" not in names:
            out += [f"{items()[item].lower()} of {f.subject}" for f in figures.get(item, ()) if f.subject not in names]
    return out


def bare(figure: Entry, kind: Kind, high: bool = False) -> Entry:
    """A quantity without its cautions, which stand at the quantity and not at its price; of the kind that it is sold
    by.

    Where it is ordered at its ``high`` figure, that is what is bought and paid, and has no range.
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
    whole: bool,
    place: Path = ("rates",),
    shared: bool = False,
) -> Price:
    """Price an option.

    Args:
        rates: The person's own.
        parts: The option's results, from which rates and price list take their quantities.
        high: Whether the order takes the high figure of what is bought.
        whole: False where a part is in trouble: then there is no sum.
        place: Where the rates stand, for problems.
        shared: Whether several options are priced by them: a line may name a part that only another option has.
    """
    figures = by_key(parts)
    absent = tuple(strangers(rates.lines, figures, place))
    wrong = [*faults(rates.lines, place), *(() if shared else absent)]
    faulty = {at for at, _ in wrong}
    sound = [line for index, line in enumerate(rates.lines) if index not in faulty]
    lines = tuple(listed(line, figures, high) for line in sound)
    sums = _Sums(rates, figures, lines, high)
    sums.lacking += rest(sound, figures)
    sums.lacking += _unpriced(figures, sums.own)
    sums.by_rolls()
    sums.by_rates()
    hours = sums.by_hours()
    prices = [cost.price for cost in sums.costs]
    whole_price = with_cautions(sum_of("", prices), *sums.notes()) if whole and not wrong and prices else None
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
    """The prices that only the person knows, as one thing to be filled in."""
    if not lacking:
        return ()
    names = ", ".join(dict.fromkeys(lacking))
    return (ToFill(place, Words(f"a price for {names}"), Words("the total price with these in it")),)


class _Sums:
    """Prices as they are gathered: by lines, by rolls, by rates, by hours; and the names of what is told of them."""

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
        """True for a line without a price that a rate, or the price of a roll, prices."""
        family = next((name for name, keys in FAMILIES.items() if line.line.item in keys), None)
        return family is not None and (
            getattr(self.rates, family) is not None or (family == "liner" and bool(self.rolls))
        )

    def quantity(self, name: str) -> Entry | None:
        """What a rate is for; None where the option has none of it."""
        keys = (key for key in RATED[name] if self.figures.get(key))
        figure = next((self.figures[key][0] for key in keys), None)
        return None if figure is None or nothing(figure.value, figure.kind) or figure.value < 0 else figure

    def by_rolls(self) -> None:
        """The liner by the prices of its rolls, which win over a price by area."""
        if self.rolls:
            whole = sum_of(rate_label("liner"), [_to_cents(bare(plan, plan.kind)) for plan in self.rolls])
            self.costs.append(CostLine("Liner, by its rolls", "lining", Decimal(1), UnitPrice(paid(whole), ""), whole))
            if self.rates.liner is not None:
                self.area_prices.append("its rate")

    def by_rates(self) -> None:
        """Every thing that neither a line nor a roll prices, by its rate."""
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
        """What a quantity costs at a rate of the kind."""
        each = typed(rate, kind or PRICES[quantity.kind])
        bought = each.bought(quantity.value, quantity.kind)
        self.costs.append(CostLine(name, group, bought, each, priced(name, quantity, each, rate)))

    def by_hours(self) -> dict[str, Entry | None]:
        """Hours of labour and of the machine, with their prices."""
        labour = [line.labour for line in self.lines if line.labour]
        machine = [line.machine for line in self.lines if line.machine]
        # A person's own hours for the dig stand in for what its bucket makes of it, as a line's price does for a rate.
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
        """Cautions at the sum."""
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
    """What a line of the price list costs, and its deliveries."""
    group = group_of(line.line.item)
    for quantity, price, each in (
        (line.amount, line.price, unit_price(line.line)),
        (line.loads, line.delivery, UnitPrice(exact(line.line.load_price or 0), "")),
    ):
        if quantity and price:
            bought = each.bought(quantity.value, quantity.kind)
            yield CostLine(price.subject, group, bought, each, price, line.line.tax)


def _to_cents(price: Entry) -> Entry:
    """An amount that another trade worked out, rounded to cents."""
    low, high = (None if end is None else float(cents(exact(end))) for end in (price.low, price.high))
    return replace(price, value=float(paid(price)), low=low, high=high)


def _priced_plans(plans: list[Entry]) -> tuple[Entry, ...]:
    """What the rolls of each liner cost; nothing where one of them has no price."""
    prices = [price for plan in plans for term in plan.terms if term.name == "prices" for price in _values(term)]
    return tuple(plans) if prices and all(price > 0 for price in prices) else ()


def _values(term: Term) -> tuple[float, ...]:
    return term.value if isinstance(term.value, tuple) else (term.value,)


def _sold(name: str) -> Kind:
    """Kind of quantity that a rate is for."""
    rate = kind_in(Rates, name)
    kind = next(kind for kind, price in PRICES.items() if price is rate)
    return BULK if kind is VOLUME else kind


def _named(form: str, name: str) -> str:
    """A thing by its kind and its name: "pump old", but not "pump pump 1"."""
    kind = form.removesuffix("{}").split()[-1:]
    said = form.format(name)
    return said.replace(f"{kind[0]} {name}", name) if kind and name.startswith(kind[0]) else said


def _unpriced(figures: Figures, own: set[str]) -> Iterator[str]:
    """What something of is ordered, that no rate stands for and no line prices: the item, or each of it by its name."""
    rated = {key for keys in FAMILIES.values() for key in keys}
    for item in items():
        keys = [key for key in (*orders_of(item), item) if ordered(key)]
        there = [figure for key in keys for figure in figures.get(key, ()) if not nothing(figure.value, figure.kind)]
        if item in rated | own or not there:
            continue
        if item in BY_NAME:
            yield from dict.fromkeys(_named(BY_NAME[item], figure.subject) for figure in there)
        else:
            yield items()[item].lower()
    if any(figure.subject == "filter" for figure in figures.get("body_order", ())) and not figures.get("media_order"):
        yield "media of the filter, whose area is not entered"
