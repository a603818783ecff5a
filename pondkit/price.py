"""A rough price: order quantities times the person's own rates. What lacks a rate or a quantity is named, never counted as 0."""

from collections.abc import Callable
from dataclasses import dataclass

from pondkit.document.base import ask_of
from pondkit.document.rates import Rates
from pondkit.result import Result
from pondkit.takeoff import Entry, Words, entry, total, with_cautions
from pondkit.units import (
    Area,
    Count,
    Length,
    Mass,
    Money,
    PriceArea,
    PriceEach,
    PriceLength,
    PriceMass,
    PriceVolume,
    Volume,
)

ROUGH = Words(
    "Rough: order quantities times the rates entered; no labour, machine hours, delivery or tax unless a rate holds them."
)


def cost_by_volume(quantity: Volume, rate: PriceVolume) -> Money:
    """Price of a volume.

    Source: quantity times rate; the rate: user input
    """
    return quantity * rate


def cost_by_area(quantity: Area, rate: PriceArea) -> Money:
    """Price of an area ordered.

    Source: quantity times rate; the rate: user input
    """
    return quantity * rate


def cost_by_mass(quantity: Mass, rate: PriceMass) -> Money:
    """Price of a mass ordered.

    Source: quantity times rate; the rate: user input
    """
    return quantity * rate


def cost_by_length(quantity: Length, rate: PriceLength) -> Money:
    """Price of a length bought.

    Source: quantity times rate; the rate: user input
    """
    return quantity * rate


def cost_by_count(quantity: Count, rate: PriceEach) -> Money:
    """Price of a number of pieces.

    Source: quantity times rate; the rate: user input
    """
    return quantity * rate


RELATIONS: dict[str, Callable[..., float]] = {
    "dig": cost_by_volume, "haul": cost_by_volume, "liner": cost_by_area, "underlay": cost_by_area, "overlay": cost_by_area,
    "boulders": cost_by_mass, "edging": cost_by_mass, "gravel": cost_by_volume, "pipe": cost_by_length, "fittings": cost_by_count,
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Price(Result):
    """Price of each kind of quantity, and their sum; None where a part of the option is in trouble."""

    price: tuple[Entry, ...]
    total_price: Entry | None


def work_out(rates: Rates, quantities: tuple[tuple[str, Entry | None], ...], whole: bool) -> Price:
    """Price an option.

    Args:
        rates: The person's own.
        quantities: (rate's name, what is ordered); None where the option has none of it.
        whole: False where a part is in trouble: then there is no sum.
    """
    found = dict(quantities)
    lines: list[Entry] = []
    no_rate: list[str] = []
    no_quantity: list[str] = []
    for name, relation in RELATIONS.items():
        rate, quantity = getattr(rates, name), found.get(name)
        said = ask_of(Rates, name)
        assert said is not None
        if quantity is None or quantity.value <= 0:
            if rate is not None:
                no_quantity.append(said.label.lower())
        elif rate is None:
            no_rate.append(said.label.lower())
        else:
            lines.append(entry(relation, said.label, quantity=_bare(quantity), rate=rate))
    notes = [ROUGH]
    if no_rate:
        notes.append(Words(f"Not in the sum, for want of a rate: {', '.join(no_rate)}."))
    if no_quantity:
        notes.append(Words(f"A rate, but nothing of it in this option: {', '.join(no_quantity)}."))
    return Price(tuple(lines), with_cautions(total("", lines), *notes) if whole and lines else None)


def _bare(quantity: Entry) -> Entry:
    """A quantity without its cautions: they stand at the quantity, not at its price."""
    return Entry(
        quantity.subject,
        quantity.value,
        quantity.kind,
        "",
        "as ordered",
        (),
        quantity.source,
        quantity.low,
        quantity.high,
    )
