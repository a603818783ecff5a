"""The fields of a part, as far as their controls depend on their declarations."""

from collections.abc import Hashable
from dataclasses import dataclass
from functools import cache
from typing import Any, cast, get_args

from pondkit.core import units
from pondkit.core.part import Ask, Part, ask_of, choices_in, kind_in, labels_in, refers_in, several_lines
from pondkit.core.result import Path
from pondkit.core.units import Kind

KNOWN_TO_THE_PERSON = (
    units.PRICE_LENGTH,
    units.PRICE_AREA,
    units.PRICE_VOLUME,
    units.PRICE_MASS,
    units.PRICE_EACH,
    units.PRICE_TIME,
    units.PRICE_ENERGY,
    units.MONEY,
    units.MASS,
    units.POWER,
)


@dataclass(frozen=True)
class Declared:
    """How one field of a part is declared, as far as its control depends on it.

    Attributes:
        name, said, kind: Its name, what a person is told, and its kind of quantity.
        choices: (name, what it is called) of what it takes; empty where it is free.
        group: What the names in it refer to; "" for nothing.
        optional: Whether it may be left out, and is at first.
        blank: Whether a choice may be left to what holds for all.
        lines: Whether a text may have several lines.
        to_fill: Whether only the person knows it: a price, a rating, a reading. Left out, its box is empty.
    """

    name: str
    said: Ask
    kind: Kind | None
    choices: tuple[tuple[str, str], ...]
    group: str
    optional: bool
    blank: bool
    lines: bool
    to_fill: bool = False


@dataclass(frozen=True)
class Field:
    """One field to be asked for."""

    path: Path
    declared: Declared
    value: Any

    @property
    def name(self) -> str:
        return self.declared.name

    @property
    def id(self) -> str:
        return ident(self.path)


def ident(path: Path) -> str:
    """The name of a path in the form."""
    return "/".join(map(str, path))


@cache
def declared_in(held: type[Part]) -> tuple[Declared, ...]:
    """How the fields of a part are declared that are asked for one by one: all but parts inside it and lists of
    parts."""
    found = []
    for name, field in held.model_fields.items():
        said = ask_of(held, name)
        if said is None or _of_parts(cast(Hashable, field.annotation)):
            continue
        labels = labels_in(held, name)
        found.append(
            Declared(
                name,
                said,
                kind_in(held, name),
                tuple((choice, labels.get(choice, choice) or "as for all") for choice in choices_in(held, name)),
                refers_in(held, name),
                optional := not field.is_required() and field.default is None,
                optional or (name == "pipe" and held.__name__ == "Run"),
                several_lines(held, name),
                optional and (held.read_off or kind_in(held, name) in KNOWN_TO_THE_PERSON),
            )
        )
    return tuple(found)


def fields_of(part: Part, path: Path) -> list[Field]:
    """The fields of a part that are asked for one by one, as far as they concern its kind."""
    kind = getattr(part, "kind", "")
    return [
        Field((*path, one.name), one, getattr(part, one.name))
        for one in declared_in(type(part))
        if part.of_kind.get(one.name, kind) == kind
    ]


@cache
def _of_parts(annotation: Hashable) -> bool:
    """True for a part, one that may be left out, a choice of kinds of part, and a list of parts."""
    return (isinstance(annotation, type) and issubclass(annotation, Part)) or any(map(_of_parts, get_args(annotation)))
