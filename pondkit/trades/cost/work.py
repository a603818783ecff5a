"""A rough price of an option. What lacks a price or a quantity is named, never counted as 0."""

from dataclasses import dataclass

from pondkit.core.entry import Entry, entry, total, with_cautions
from pondkit.core.part import kind_in
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result, by_key
from pondkit.core.sentence import Words
from pondkit.core.units import BULK, TIME, VOLUME, Kind, show
from pondkit.trades.cost.inputs.items import FAMILIES, items, ordered, orders_of
from pondkit.trades.cost.inputs.rates import Rates
from pondkit.trades.cost.listed import Listed, bare, called, faults, listed, rate_label, rest
from pondkit.trades.cost.relations import COST, PRICES, contingency

ROUGH = Words(
    "Rough: quantities times the prices entered; no labour, machine hours, delivery or tax unless a price or rate holds them."
)


TWICE_DUG = Words("The dig is priced by its volume and by the machine's hours too: keep both only where both are paid.")


@dataclass(frozen=True, eq=False)
class Price(Result):
    """Price of each thing, and their sum; None where a part of the option is in trouble.

    Attributes:
        line_amount: What is bought by each line of the price list.
        line_labour, line_machine: Hours of each line that has some.
        total_labour_time, total_machine_time: Hours in all; None where there are none.
        price: Each price; ``total_price`` their sum.
        lacking: What has a quantity and no price, so that the sum does not hold it.
        contingency: High total less typical; None where no figure has a range.
        listed: The lines of the price list, as they stand to this option.
        problems: What is wrong with lines of the price list.
    """

    line_amount: tuple[Entry, ...]
    line_labour: tuple[Entry, ...]
    line_machine: tuple[Entry, ...]
    total_labour_time: Entry | None
    total_machine_time: Entry | None
    price: tuple[Entry, ...]
    total_price: Entry | None
    contingency: Entry | None
    lacking: tuple[str, ...]
    listed: tuple[Listed, ...]
    problems: tuple[Problem, ...]


@remembered
def work_out(
    rates: Rates, quantities: tuple[tuple[str, Entry | None], ...], whole: bool, parts: tuple[Result, ...] = ()
) -> Price:
    """Price an option.

    Args:
        rates: The person's own.
        quantities: (rate's name, what is ordered), and ("machine", machine time of the dig); None where the option has none of it.
        whole: False where a part is in trouble: then there is no sum.
        parts: The option's results, from which the price list takes its quantities.
    """
    found, figures = dict(quantities), by_key(parts)
    wrong = list(faults(rates.lines, figures))
    sound = [line for index, line in enumerate(rates.lines) if index not in {at for at, _ in wrong}]
    against = tuple(listed(line, figures) for line in sound)
    own = {one.line.item for one in against if one.price}
    prices = [one.price for one in against if one.price]
    lacking = [
        called(one.line).lower() for one in against if one.net and one.line.price is None and not _by_rate(rates, one)
    ]
    lacking += rest(sound, figures)
    lacking += [items()[item].lower() for item in _unpriced(figures, own)]
    idle = [called(one.line).lower() for one in against if one.net is None and one.line.price is not None]
    replaced = []
    for name, keys in FAMILIES.items():
        rate, quantity, said = getattr(rates, name), found.get(name), rate_label(name)
        if own.intersection(keys):
            if rate is not None:
                replaced.append(said.lower())
        elif quantity is None or quantity.value <= 0:
            if rate is not None:
                idle.append(said.lower())
        elif rate is None:
            lacking.append(said.lower())
        else:
            prices.append(entry(COST[_sold(name)], said, quantity=bare(quantity, _sold(name)), rate=rate))
    labour = [one.labour for one in against if one.labour]
    machine = [one.machine for one in against if one.machine]
    # A person's own hours for the dig stand in for what its bucket makes of it, as a line's price does for a rate.
    digging = None if any(one.machine and one.line.item == "dig_volume" for one in against) else found.get("machine")
    hours = {
        "labour": total("", labour) if labour else None,
        "machine": total("", [*machine, *([digging] if digging else [])])
        if machine or (digging and rates.machine is not None)
        else None,
    }
    for name, time in hours.items():
        rate = getattr(rates, name)
        if time and rate is not None:
            prices.append(entry(COST[TIME], rate_label(name), quantity=bare(time, TIME), rate=rate))
        elif time:
            lacking.append(f"{show(time.value, TIME, 'us')} of {name}")
        elif rate is not None:
            idle.append(f"hours of {name}")
    notes = [ROUGH]
    if lacking:
        notes.append(Words(f"Not in the sum, for want of a price: {', '.join(lacking)}."))
    if idle:
        notes.append(Words(f"A price, but nothing of it in this option: {', '.join(idle)}."))
    if replaced:
        notes.append(Words(f"By the price list, and not by the rate: {', '.join(replaced)}."))
    notes += _twice(own)
    if digging and rates.machine is not None and (rates.dig is not None or "dig_volume" in own):
        notes.append(TWICE_DUG)
    sums = with_cautions(total("", prices), *notes) if whole and not wrong and prices else None
    return Price(
        line_amount=tuple(one.amount for one in against if one.amount),
        line_labour=tuple(labour),
        line_machine=tuple(machine),
        total_labour_time=hours["labour"],
        total_machine_time=hours["machine"],
        price=tuple(prices),
        total_price=sums,
        contingency=entry(contingency, "", typical=sums.value, high=sums.most)
        if sums and sums.low is not None
        else None,
        lacking=tuple(lacking),
        listed=against,
        problems=tuple(problem for _, problem in wrong),
    )


def _by_rate(rates: Rates, one: Listed) -> bool:
    """True for a line without a price that a rate prices."""
    return any(one.line.item in keys and getattr(rates, name) is not None for name, keys in FAMILIES.items())


def _sold(name: str) -> Kind:
    """Kind of quantity that a rate is for."""
    rate = kind_in(Rates, name)
    kind = next(kind for kind, price in PRICES.items() if price is rate)
    return BULK if kind is VOLUME else kind


def _unpriced(figures: dict[str, list[Entry]], own: set[str]) -> list[str]:
    """Items that something of is ordered, that no rate stands for and no line prices."""
    rated = {key for keys in FAMILIES.values() for key in keys}
    return [
        item
        for item in items()
        if item not in rated | own and any(f.value > 0 for key in (*orders_of(item), item) if ordered(key) for f in figures.get(key, ()))
    ]  # fmt: skip


def _twice(own: set[str]) -> list[Words]:
    """Lines for what may be the same goods."""
    met = [[items()[key].lower() for key in keys if key in own] for keys in FAMILIES.values()]
    return [
        Words(f"Lines that may price the same thing twice: {', '.join(names)}; keep both only where both are paid.")
        for names in met
        if len(names) > 1
    ]
