"""What makes two options differ, in words and as rows: prices by their size first, then figures by their share."""

from dataclasses import dataclass

from pondkit.core.units import System
from pondkit.drawing.rows import row_of, signed, with_unit
from pondkit.study.compare import Differing, comparable, currency_of, differing
from pondkit.study.evaluate import OptionResult, Results

MOST = 3  # things that a sentence names of each sort
NONE, UNPRICED = "none", "not priced"


@dataclass(frozen=True)
class Told:
    """One difference, written out: what differs, the figure in each option, and the difference in words."""

    what: str
    here: str
    there: str
    difference: str


def told(results: Results, option: int, against: int, system: System) -> list[Told]:
    """All differences of an option from another, largest first: money, then the other figures."""
    one, other = results.options[option], results.options[against]
    rows = [_told(found, one, other, system) for held in differing(results, option, against) for found in held]
    return [row for row in rows if row]


def sentence(results: Results, option: int, against: int, system: System) -> str:
    """The largest differences in words; "" where neither option could be worked out whole."""
    one, other = results.options[option], results.options[against]
    if not (one.whole and other.whole):
        return ""
    prices, figures = differing(results, option, against)
    parts = []
    if comparable(one, other):
        totals = [held.price.total_price if held.price else None for held in (one, other)]
        assert totals[0] is not None
        assert totals[1] is not None
        gap = totals[0].value - totals[1].value
        whole = _told(Differing("total_price", totals[0], totals[1], gap, 0.0), one, other, system)
        most = _listed(prices, one, other, system)
        if whole and most:
            parts.append(f"{one.option.name} costs {whole.difference} than {other.option.name}; largest: {most}.")
        else:
            parts.append(f"{one.option.name} costs as much as {other.option.name}.")
        if one.price and other.price and one.price.lacking != other.price.lacking:
            parts.append(f"The two sums do not hold the same: {_lacks(one)}; {_lacks(other)}.")
    elif one.price and other.price:
        parts.append("Money is not set side by side: one has no total, or their currencies differ.")
    if rest := _listed(figures, one, other, system):
        parts.append(f"{'Besides, the' if parts else 'The'} largest differences from {other.option.name}: {rest}.")
    return " ".join(parts)


def _lacks(one: OptionResult) -> str:
    lacking = ", ".join(one.price.lacking if one.price else ())
    return f"{one.option.name} has no price for {lacking}" if lacking else f"{one.option.name} has a price for all"


def _listed(found: tuple[Differing, ...], one: OptionResult, other: OptionResult, system: System) -> str:
    rows = [row for each in found if (row := _told(each, one, other, system))]
    return ", ".join(
        f"no {row.what.lower()}"
        if row.here == NONE
        else f"{row.what.lower()} without a price"
        if row.here == UNPRICED
        else f"{row.what.lower()} {row.difference}"
        for row in rows[:MOST]
    )


def _told(found: Differing, one: OptionResult, other: OptionResult, system: System) -> Told | None:
    """None where the difference is less than the figures show."""
    cells = [
        row_of(held.option.name, currency_of(held), found.key, figure, system) if figure else None
        for held, figure in ((one, found.here), (other, found.there))
    ]
    cell = next(cell for cell in cells if cell)
    difference = signed(found.difference, cell, system)
    if difference == "0":
        return None
    amount = with_unit(difference.lstrip("+-"), cell)
    lacks = UNPRICED if found.key == "price" else NONE
    texts = [cell.text if cell else lacks for cell in cells]
    what = cell.subject if found.key == "price" else cell.label
    return Told(what, texts[0], texts[1], f"{amount} {'less' if difference.startswith('-') else 'more'}")
