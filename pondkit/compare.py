"""Options side by side: the summary figures and their differences from a chosen one, what differs, what is over the limit."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from pondkit.evaluate import OptionResult, Results
from pondkit.reference.tables import table
from pondkit.takeoff import Entry, total


@dataclass(frozen=True, eq=False)
class Compared:
    """One key of the summary over all options.

    Attributes:
        key: Key of the takeoff.
        figures: Its entry in each option; None where an option has none, or is in trouble there.
        differences: SI value of each less that of the chosen option; None where either lacks it.
    """

    key: str
    figures: tuple[Entry | None, ...]
    differences: tuple[float | None, ...]


def summary(results: Results, against: int = 0, keys: Collection[str] = ()) -> tuple[Compared, ...]:
    """The summary, a row a key in the order of the table of words; keys that no option has are left out.

    Args:
        results: The project worked out; an option in trouble has no summary figures, so that none silently lacks a part.
        against: Index of the option that the others are compared with.
        keys: Only these; all of the summary if left out.
    """
    found = [_by_key(option) for option in results.options]
    out = []
    for row in table("words"):
        if not row["summary"] or (keys and row["key"] not in keys):
            continue
        figures = tuple(
            _one(kept.get(row["key"], []), row["summary"]) if option.whole else None
            for kept, option in zip(found, results.options, strict=True)
        )
        if any(figure is not None for figure in figures):
            base = figures[against]
            differences = tuple(None if f is None or base is None else f.value - base.value for f in figures)
            out.append(Compared(row["key"], figures, differences))
    return tuple(out)


def _by_key(option: OptionResult) -> dict[str, list[Entry]]:
    found: dict[str, list[Entry]] = {}
    for key, figure in option.entries():
        found.setdefault(key, []).append(figure)
    return found


def _one(figures: Sequence[Entry], how: str) -> Entry | None:
    """The option's figure for a key that stands once a pool, liner … : their sum, or the greatest or least of them."""
    if not figures:
        return None
    match how:
        case "greatest":
            return max(figures, key=lambda figure: figure.value)
        case "least":
            return min(figures, key=lambda figure: figure.value)
        case _:
            return figures[0] if len(figures) == 1 else total("", figures)
