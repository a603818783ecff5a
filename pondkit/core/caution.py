"""Cautions: what to heed with a figure. Each is declared once, with its rank, its figure and its limit."""

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal, Self

from pondkit.core.kinds import Kind
from pondkit.core.sentence import Words, words

Rank = Literal["act", "check", "reminder"]
ACT: Final = "act"  # will not work, or is not safe, as drawn
CHECK: Final = "check"  # to be confirmed on site or with the maker
REMINDER: Final = "reminder"  # true of every job of the kind: said once in a project
RANKS: tuple[Rank, ...] = (ACT, CHECK, REMINDER)


@dataclass(frozen=True)
class Caution(Words):
    """A caution as it stands at a figure, with the figures of this design in it.

    Attributes:
        rank, key: Of its rule.
        about: Names of what it is about, where its figure is of all.
    """

    rank: Rank = CHECK
    key: str = ""
    about: tuple[str, ...] = ()

    def of(self, names: Iterable[str]) -> Self:
        """The same, about the things of these names."""
        return replace(self, about=tuple(names))


def of_every_job(text: Words) -> bool:
    """True for a reminder: what is true of every job of the kind."""
    return isinstance(text, Caution) and text.rank == REMINDER


@dataclass(frozen=True)
class CautionRule:
    """The declaration of a caution. The module's name for it is its key in capitals.

    Attributes:
        key: Stable, in snake case; no two rules share one.
        rank: ``ACT``, ``CHECK`` or ``REMINDER``: what it is where the figure's typical value calls for it.
        figure: Key of the figure that it belongs to.
        text: What is said; {names} in it are put in by the call.
        most: Greatest value [SI], of the figure or of what its text names, at which it is silent; None where the limit
            is the design's own, or none.
        least: Least such value; None likewise.
        reached: True where the limit itself is too much: it is said from there on.
    """

    key: str
    rank: Rank
    figure: str
    text: str
    most: float | None = None
    least: float | None = None
    reached: bool = False

    def __call__(self, rank: Rank | None = None, **named: tuple[float, Kind] | str) -> Caution:
        """The caution with its figures, (SI value, kind) or text by name: ``LEG_LOW(angle=(0.5, ANGLE),
        sling="web")``.
        """
        texts = {name: value for name, value in named.items() if isinstance(value, str)}
        figures = {name: value for name, value in named.items() if not isinstance(value, str)}
        text = re.sub(r"\{(\w+)\}", lambda match: texts.get(match[1], match[0]), self.text)
        message = words(text, **figures)
        return Caution(message.text, message.terms, rank or self.rank, self.key)

    def where(
        self,
        low: float,
        typical: float,
        high: float,
        *,
        most: float | None = None,
        least: float | None = None,
        **named: tuple[float, Kind] | str,
    ) -> tuple[Caution, ...]:
        """The caution where a figure passes its limit, else nothing: ranked as declared where the typical value passes
        it, 'check' where only the unsafe end of the range does.

        Args:
            low, typical, high: The figure [SI].
            most, least: The design's own limit [SI], in place of the declared one.
            named: Figures and texts of the sentence.
        """
        upper = _given(most, self.most, math.inf)
        lower = _given(least, self.least, -math.inf)
        passed = [
            not (lower < value < upper if self.reached else lower <= value <= upper) for value in (low, typical, high)
        ]
        if not any(passed):
            return ()
        return (self(None if passed[1] or self.rank == REMINDER else CHECK, **named),)


def _given(own_limit: float | None, declared: float | None, none: float) -> float:
    return own_limit if own_limit is not None else declared if declared is not None else none


@dataclass(frozen=True)
class Limit:
    """The range in which a relation holds, as a predicate of some of its inputs, and the caution outside it."""

    predicate: Callable[..., bool]
    names: tuple[str, ...]
    caution: CautionRule
