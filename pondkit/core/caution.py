"""Cautions: warnings that belong to a figure. Each is declared once, with its rank, its figure and its limit."""

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Final, Literal, Self

from pondkit.core.kinds import Kind
from pondkit.core.sentence import Words, words

Rank = Literal["act", "check", "reminder"]
ACT: Final = "act"  # will not work, or is not safe, as designed
CHECK: Final = "check"  # to be confirmed on site or with the maker
REMINDER: Final = "reminder"  # applies to every job of the kind: stated once in a project
RANKS: tuple[Rank, ...] = (ACT, CHECK, REMINDER)


@dataclass(frozen=True)
class Caution(Words):
    """A caution at a figure, with the values of this design in its text.

    Attributes:
        rank, key: Rank and key of its rule.
        about: Names of the parts concerned, where the figure is of the whole option.
    """

    rank: Rank = CHECK
    key: str = ""
    about: tuple[str, ...] = ()

    def of(self, names: Iterable[str]) -> Self:
        """The same caution, about the parts of these names."""
        return replace(self, about=tuple(names))


def of_every_job(text: Words) -> bool:
    """True for a reminder, which applies to every job of the kind."""
    return isinstance(text, Caution) and text.rank == REMINDER


@dataclass(frozen=True)
class CautionRule:
    """The declaration of a caution. The constant that holds it is named by its key in capitals.

    Attributes:
        key: Stable, in snake case; no two rules share one.
        rank: ``ACT``, ``CHECK`` or ``REMINDER``, the rank if the typical value of the figure calls for it.
        figure: Key of the figure that it belongs to.
        text: Its sentence; the call fills in the {names}.
        most: Greatest value [SI] that is allowed, of the figure or of the quantity that the text names; None if the
            design gives the limit, or if there is none.
        least: Least value that is allowed [SI]; None likewise.
        reached: True if a value equal to the limit is not allowed either.
    """

    key: str
    rank: Rank
    figure: str
    text: str
    most: float | None = None
    least: float | None = None
    reached: bool = False

    def __call__(self, rank: Rank | None = None, **named: tuple[float, Kind] | str) -> Caution:
        """The caution with its values filled in: (SI value, kind) or text by name, as in ``LEG_LOW(angle=(0.5, ANGLE),
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
        """The caution if a figure exceeds its limit, else nothing. Its rank is the declared one if the typical value
        exceeds the limit, and 'check' if only the unsafe end of the range does.

        Args:
            low, typical, high: The figure [SI].
            most, least: Limit of this design [SI], in place of the declared one.
            named: Values and texts for the sentence.
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
    """The range in which a relation is valid, as a predicate on some of its inputs, and the caution outside it."""

    predicate: Callable[..., bool]
    names: tuple[str, ...]
    caution: CautionRule
