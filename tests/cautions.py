"""How a caution is tried: just inside its limit it is silent, just outside it is said."""

import re
from collections.abc import Callable, Iterable
from typing import Any

from pondkit.core.caution import Caution, CautionRule
from pondkit.core.entry import Entry
from pondkit.core.result import Result
from pondkit.study.evaluate import OptionResult

NEAR = 0.02  # of the limit: how far apart the two sides of it may be tried


def told(thing: Any) -> dict[str, Caution]:
    """The cautions of an entry, of a result, or of many of either, by key."""
    if isinstance(thing, Entry):
        return {each.key: each for each in thing.cautions if isinstance(each, Caution)}
    if isinstance(thing, (Result, OptionResult)):
        return {key: each for _, figure in thing.entries() for key, each in told(figure).items()}
    if isinstance(thing, Iterable):
        return {key: each for part in thing for key, each in told(part).items()}
    return {}


def edge(
    rule: CautionRule,
    figure_at: Callable[[float], Any],
    *,
    inside: float,
    outside: float,
    step: float = 0.0,
    rank: str | None = None,
) -> None:
    """Hold a limit: ``figure_at`` makes the figure (or results) from one number, tried just inside and just outside.

    Args:
        rule: The declared caution.
        figure_at: Makes an entry, a result or several from the number.
        inside, outside: The two numbers, within 2 % of each other, or one ``step`` of what is shown.
        step: For a limit of 0.
        rank: Rank wanted outside; that of the rule if left out.
    """
    assert 0 < abs(outside - inside) <= max(step, NEAR * max(abs(inside), abs(outside))), (
        "too far apart to hold a limit"
    )
    cases(rule, without=figure_at(inside), with_it=figure_at(outside), rank=rank)


def cases(rule: CautionRule, *, without: Any, with_it: Any, rank: str | None = None) -> None:
    """Hold a caution that has no number for a limit: one case in which it is silent, and
    one, as near as may be, in which not.
    """
    assert rule.key not in told(without), f"{rule.key} is said where it should be silent"
    said = told(with_it)
    assert rule.key in said, f"{rule.key} is silent; said are: {sorted(said)}"
    caution = said[rule.key]
    assert caution.rank == (rank or rule.rank)
    unfilled = set(re.findall(r"\{(\w+)\}", caution.text)) - {term.name for term in caution.terms}
    assert not unfilled, f"{rule.key} is printed with {unfilled} left open"
