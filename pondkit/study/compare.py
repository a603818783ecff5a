"""Options compared: the figures of the summary, their differences from a chosen option, and the largest differences of
two options.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from pondkit.core import tables
from pondkit.core.entry import Entry, total, with_cautions
from pondkit.core.units import MASS, MONEY, VOLUME, Kind, nothing
from pondkit.project.project import Project
from pondkit.study.evaluate import OptionResult, Results
from pondkit.study.problems import CURRENCIES_DIFFER
from pondkit.trades.cost.results import Price

EACH = "each"  # mark in the table of words of a key with a line for every pool or zone
ZONE = "zone_"  # beginning of the keys of a zone
BULK_KINDS = (VOLUME, MASS)  # kinds of what is dug, carried and poured
SLIGHT = 0.01  # share of the greatest volume or mass on the job below which a difference is slight


@dataclass(frozen=True, eq=False)
class SummaryLine:
    """One line of the summary over all options.

    Attributes:
        key: Key of the takeoff.
        subject: The pool, or "pool / zone", of a line for one of them; "" for the option as a whole.
        figures: Entry of each option; None if an option has none, or has a problem there.
        differences: Value of each option less that of the chosen one [SI]; None if either lacks it, or for money in
            another currency.
    """

    key: str
    subject: str
    figures: tuple[Entry | None, ...]
    differences: tuple[float | None, ...]


def summary(results: Results, against: int = 0, keys: Collection[str] = ()) -> tuple[SummaryLine, ...]:
    """The summary in its fixed order: for each pool its zones and its water, then the figures of the option as a whole
    in the order of the table of words. Figures that no option has are left out.

    Args:
        results: Results of the project. So that no total silently lacks a part, an option with a problem of its pools
            has no figures in the summary, and one with a problem of its liners, say, no sum over the liners.
        against: Index of the option with which the others are compared.
        keys: Keys wanted; the whole summary if left out.
    """
    rows = [row for row in tables.figure_words().values() if row["summary"] and (not keys or row["key"] in keys)]
    each = [row["key"] for row in rows if row["summary"] == EACH]
    out = [_summary_line(key, subject, figures, against, results) for key, subject, figures in _by_pool(results, each)]
    for row in rows:
        if row["summary"] != EACH:
            figures = tuple(
                _combined(option, row["key"], row["summary"]) if option.whole else None for option in results.options
            )
            if any(figure is not None for figure in figures):
                out.append(_summary_line(row["key"], "", figures, against, results))
    return tuple(out)


def _by_pool(results: Results, keys: Sequence[str]) -> Iterator[tuple[str, str, tuple[Entry | None, ...]]]:
    """(key, subject, figure of each option) for every zone of a pool and then for the pool, pool by pool."""
    by_subject = [
        {(key, f.subject): f for key in keys for f in option.figures(key)} if option.whole else {}
        for option in results.options
    ]
    zones: dict[str, dict[str, None]] = {}
    for option in results.options:
        for pool in option.pools:
            zones.setdefault(pool.name, {}).update(dict.fromkeys(zone.subject for zone in pool.zone_area))
    for name, pool_zones in zones.items():
        lines = [(zone, key) for zone in pool_zones for key in keys if key.startswith(ZONE)]
        for subject, key in (*lines, *((name, key) for key in keys if not key.startswith(ZONE))):
            figures = tuple(option.get((key, subject)) for option in by_subject)
            if any(figure is not None for figure in figures):
                yield key, subject, figures


def _summary_line(
    key: str, subject: str, figures: tuple[Entry | None, ...], against: int, results: Results
) -> SummaryLine:
    """One line. Amounts in different currencies have no differences, and get a caution."""
    base = figures[against]
    differences = tuple(None if f is None or base is None else f.value - base.value for f in figures)
    currencies = [currency_of(option) for option in results.options]
    met = {currency for currency, f in zip(currencies, figures, strict=True) if f is not None and f.kind is MONEY}
    if len(met) < 2:
        return SummaryLine(key, subject, figures, differences)
    caution = CURRENCIES_DIFFER(currencies=", ".join(sorted(currency or "none named" for currency in met)))
    return SummaryLine(
        key,
        subject,
        tuple(None if f is None else with_cautions(f, caution) for f in figures),
        tuple(
            d if currency == currencies[against] else None for d, currency in zip(differences, currencies, strict=True)
        ),
    )


def chosen(project: Project) -> int:
    """Index of the chosen option; 0 as long as none is chosen."""
    names = [option.name for option in project.options]
    return names.index(project.chosen) if project.chosen in names else 0


def currency_of(option: OptionResult) -> str:
    """Currency of an option's prices; "" if it has none."""
    return option.rates.currency if option.rates else ""


def _combined(option: OptionResult, key: str, how: str) -> Entry | None:
    """The option's figure for a key that has one figure for each pool, liner …: their sum, or the greatest or least of
    them; None if one of them may be missing because of a problem.
    """
    figures = option.figures(key)
    if not figures or (any(figure.subject for figure in figures) and option.in_trouble(key)):
        return None
    match how:
        case "greatest":
            return max(figures, key=lambda figure: figure.value)
        case "least":
            return min(figures, key=lambda figure: figure.value)
        case _:
            return figures[0] if len(figures) == 1 else total("", figures)


@dataclass(frozen=True, eq=False)
class Difference:
    """One figure or price in which two options differ.

    Attributes:
        key: Key of the takeoff.
        here, there: Figure of the one option and of the other; None if it has none.
        difference: Value here less value there [SI].
        share: Size of the difference over that of the larger figure.
        slight: Whether it is negligible beside the greatest volume or mass of the job.
    """

    key: str
    here: Entry | None
    there: Entry | None
    difference: float
    share: float
    slight: bool = False


def differences(results: Results, option: int, against: int) -> tuple[tuple[Difference, ...], tuple[Difference, ...]]:
    """Differences of two options: (prices by their size, figures of the summary by their share), largest first.

    Prices are compared if both options have a total in one currency; an item without a price is not in the total. A
    figure that an option with a problem lacks is left out, as it is not known to be nothing. Empty if either option has
    a problem of its pools.
    """
    result, base = results.options[option], results.options[against]
    if not (result.whole and base.whole):
        return (), ()
    prices: list[Difference | None] = []
    if comparable(result, base):
        here, there = (_by_family(side.price) for side in (result, base) if side.price)
        prices = [_difference("price", here.get(name), there.get(name)) for name in dict.fromkeys([*here, *there])]
    lines = [line for line in _whole_lines(result, base, results.project) if not _unknown_in(line, result, base)]
    most = {
        kind: max((abs(f.value) for line in lines for f in line.figures if f and f.kind is kind), default=0.0)
        for kind in BULK_KINDS
    }
    figures = [_difference(line.key, line.figures[0], line.figures[1], most) for line in lines]
    return (
        tuple(
            sorted(
                (difference for difference in prices if difference), key=lambda difference: -abs(difference.difference)
            )
        ),
        tuple(sorted((difference for difference in figures if difference), key=lambda difference: -difference.share)),
    )


def unknown_in(results: Results, option: int, against: int) -> tuple[str, ...]:
    """Names of those of two options that lack a figure of the other one because of their problems."""
    sides = results.options[option], results.options[against]
    lines = _whole_lines(*sides, results.project) if all(side.whole for side in sides) else []
    return tuple(dict.fromkeys(name for line in lines for name in _unknown_in(line, *sides)))


def _whole_lines(result: OptionResult, base: OptionResult, project: Project) -> list[SummaryLine]:
    """Lines of the summary of two options for figures of an option as a whole, except its price."""
    lines = summary(Results(project, (result, base)), 1)
    return [line for line in lines if line.key != "total_price" and not line.subject]


def _unknown_in(line: SummaryLine, result: OptionResult, base: OptionResult) -> list[str]:
    """Names of those of two options that lack a figure and have problems, so that it is not known to be nothing."""
    sides = zip(line.figures, (result, base), strict=True)
    return [side.option.name for figure, side in sides if figure is None and side.problems]


def _by_family(price: Price) -> dict[str, Entry]:
    """Prices by the goods or work that they are for, whether a rate or lines of a price list give them."""
    families = {line.price.subject: line.family for line in price.lines if line.price}
    by_family: dict[str, list[Entry]] = {}
    for line in price.price:
        by_family.setdefault(families.get(line.subject, line.subject), []).append(line)
    return {name: total(name, lines) for name, lines in by_family.items()}


def comparable(first: OptionResult, second: OptionResult) -> bool:
    """True if both options have a total price in one currency."""
    totals = [side.price.total_price if side.price else None for side in (first, second)]
    return None not in totals and currency_of(first) == currency_of(second)


def _difference(
    key: str, here: Entry | None, there: Entry | None, most: Mapping[Kind, float] = MappingProxyType({})
) -> Difference | None:
    """The difference of two figures; None if it is a rounding error or below the tolerance of the kind.

    Args:
        key, here, there: Key, figure of the one option, and of the other.
        most: Greatest figure of a kind on the job [SI], for kinds whose small differences are slight.
    """
    a, b = (figure.value if figure else 0.0 for figure in (here, there))
    larger = max(abs(a), abs(b))
    kind = next(figure.kind for figure in (here, there) if figure)
    same = abs(a - b) <= 1e-9 * larger or nothing(a - b, kind)
    slight = abs(a - b) < SLIGHT * most.get(kind, 0.0)
    return None if same else Difference(key, here, there, a - b, abs(a - b) / larger, slight)
