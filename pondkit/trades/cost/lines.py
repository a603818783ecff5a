"""Lines of the price list against the option's quantities: what is bought, its cost, and the hours it takes."""

import math
from collections.abc import Iterable, Iterator
from typing import Any

from pondkit.core.entry import Entry, entry, total, with_cautions
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.units import COUNT, SHARE, Kind, factor, nothing, pretty
from pondkit.trades.cost.cautions import LESS_THAN_ORDERED
from pondkit.trades.cost.formulas import ANY_AMOUNT, BY_UNIT, COST, LOADS, WORK
from pondkit.trades.cost.inputs.items import WHOLE_ENDS, is_goods, item_kind, items, kind_by, orders_of, units_of
from pondkit.trades.cost.inputs.rates import PriceLine
from pondkit.trades.cost.money import UnitPrice, exact
from pondkit.trades.cost.results import Listed, line_name


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
