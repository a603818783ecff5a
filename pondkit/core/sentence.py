"""Sentences with values in them, so that a caution or a problem reads the same in either unit system."""

from dataclasses import dataclass
from typing import NamedTuple

from pondkit.core.kinds import Kind

Value = float | tuple[float, ...]


class Term(NamedTuple):
    """A number in a formula or a sentence: its name, SI value (one, or shape (n,) as a tuple) and kind."""

    name: str
    value: Value
    kind: Kind


@dataclass(frozen=True)
class Words:
    """A sentence with values in it: ``drawing.rows.say`` fills in the {names} of ``text``, in the units displayed."""

    text: str
    terms: tuple[Term, ...] = ()


def words(text: str, **figures: tuple[float, Kind]) -> Words:
    """A sentence with values: ``words("reaches {one} of {all}", one=(0.4, LENGTH), all=(0.5, LENGTH))``."""
    return Words(text, tuple(Term(name, float(value), kind) for name, (value, kind) in figures.items()))
