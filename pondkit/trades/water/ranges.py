"""Ranges of what a solver gives: the whole is worked out at the ends of what it depends on, and each figure spans
what comes out.
"""

from collections.abc import Sequence
from dataclasses import fields, replace
from typing import Any, TypeVar

from pondkit.core.caution import ACT, CHECK, Caution
from pondkit.core.entry import Entry
from pondkit.core.result import Result

R = TypeVar("R", bound=Result)
SAME = 1e-12  # relative: figures nearer than this are the same


def spanned(typical: R, ends: Sequence[R], source: str) -> R:
    """The typical result, each figure with the range that it has at the ends; what holds only there is said as 'to
    check'.

    Args:
        typical: At typical values.
        ends: The same at the ends of their ranges. A figure that an end lacks keeps its range from the others.
        source: What the ends are.
    """
    changes: dict[str, Any] = {}
    for field in fields(typical):
        value, others = getattr(typical, field.name), [getattr(end, field.name) for end in ends]
        if isinstance(value, Entry):
            changes[field.name] = _span(value, [other for other in others if isinstance(other, Entry)], source)
        elif isinstance(value, Result):
            changes[field.name] = spanned(value, [other for other in others if type(other) is type(value)], source)
        elif isinstance(value, tuple) and value and all(isinstance(item, Entry) for item in value):
            named = [_named(other) for other in others]
            changes[field.name] = tuple(
                _span(item, [other[name] for other in named if name in other], source)
                for name, item in _named(value).items()
            )
    return replace(typical, **changes)


def _named(entries: Sequence[Entry]) -> dict[tuple[str, int], Entry]:
    """Entries by subject, and by number where a subject has several."""
    found: dict[tuple[str, int], Entry] = {}
    for item in entries:
        number = sum(subject == item.subject for subject, _ in found)
        found[item.subject, number] = item
    return found


def _span(typical: Entry, ends: Sequence[Entry], source: str) -> Entry:
    low = min([typical.least, *(end.least for end in ends)])
    high = max([typical.most, *(end.most for end in ends)])
    keys = {each.key for each in typical.cautions if isinstance(each, Caution)}
    more: dict[str, Caution] = {}
    for each in (caution for end in ends for caution in end.cautions):
        if isinstance(each, Caution) and each.key not in keys:
            more.setdefault(each.key, replace(each, rank=CHECK) if each.rank == ACT else each)
    close = SAME * max(abs(low), abs(high))
    if high - low <= close and typical.low is None:
        return replace(typical, cautions=(*typical.cautions, *more.values())) if more else typical
    wider = low < typical.least - close or high > typical.most + close
    return replace(
        typical,
        low=low,
        high=high,
        source=f"{typical.source}; {source}" if wider else typical.source,
        cautions=(*typical.cautions, *more.values()),
    )
