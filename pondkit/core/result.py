"""Results of a trade: frozen records of entries and geometry, complete when you get them; and problems in words."""

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, fields
from typing import Any, Protocol, get_args, get_type_hints

from pondkit.core.entry import Entry
from pondkit.core.sentence import Words, words

Path = tuple[str | int, ...]


class Holder(Protocol):
    """Anything that holds entries: a result, or an evaluated option."""

    def entries(self) -> Iterator[tuple[str, Entry]]: ...


@dataclass(frozen=True)
class Problem:
    """A fault because of which a part of the design cannot be computed, found by ``evaluate``.

    Attributes:
        path: Path of the input, from the option on: ("pools", 1, "tiers", 0, "depth").
        given: The value there, in words.
        allowed: What is allowed there.
        mend: How to mend it.
    """

    path: Path
    given: Words
    allowed: Words
    mend: Words


@dataclass(frozen=True)
class ToFill:
    """A value that only the person can find out and has not entered yet. It is no fault; figures that depend on it are
    left out.

    Attributes:
        path: Path of the input, as in ``Problem``.
        wanted: The value that is missing, and where it can be read off.
        waits: Figures that are left out until then.
    """

    path: Path
    wanted: Words
    waits: Words


def no_such(path: Path, thing: str, name: str, options: Iterable[str]) -> Problem:
    """Problem of a name that no part has. ``thing``: kind of part ("pool"); ``options``: the existing names."""
    names = tuple(options)
    near = difflib.get_close_matches(name, names, 1, 0.4)
    choose = f"write '{near[0]}' if that is meant" if near else "choose one of these"
    allowed = f"one of {', '.join(names)}" if names else f"a {thing} that is there"
    return Problem(
        path, words(f"no {thing} is called '{name}'"), words(allowed), words(f"{choose}, or rename a {thing}")
    )


class Trouble(Exception):
    """Raised by a trade if nothing of a part can be computed."""

    def __init__(self, *problems: Problem) -> None:
        super().__init__("; ".join(p.given.text for p in problems))
        self.problems = problems


@dataclass(frozen=True, eq=False)
class Result:
    """A frozen record, compared by identity. The name of a field that is an entry, or a tuple of entries, is a key of
    the takeoff.
    """

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Every (key, entry) of this record and of the records inside it, in the order of the fields."""
        return iter(self._gathered()[0])

    def figures(self, key: str) -> tuple[Entry, ...]:
        """The entries of one key."""
        return self._gathered()[1].get(key, ())

    def _gathered(self) -> tuple[tuple[tuple[str, Entry], ...], dict[str, tuple[Entry, ...]]]:
        """All entries, and the entries of each key; gathered once, as a record does not change."""
        if "_held" not in self.__dict__:
            every = tuple(pair for field in fields(self) for pair in _entries(field.name, getattr(self, field.name)))
            keyed: dict[str, tuple[Entry, ...]] = {}
            for key, entry in every:
                keyed[key] = (*keyed.get(key, ()), entry)
            self.__dict__["_held"] = every, keyed
        gathered: tuple[tuple[tuple[str, Entry], ...], dict[str, tuple[Entry, ...]]] = self.__dict__["_held"]
        return gathered


def keys_in(hint: Any) -> Iterator[str]:
    """Keys that a result type can hold: its fields that are entries or tuples of them, and those of
    results inside it.
    """
    for kind in (hint, *get_args(hint)):
        if isinstance(kind, type) and issubclass(kind, Result):
            hints = get_type_hints(kind)
            for field in fields(kind):
                if _holds_entry(hints[field.name]):
                    yield field.name
                yield from keys_in(hints[field.name])
        elif kind is not hint:
            yield from keys_in(kind)


def _holds_entry(hint: Any) -> bool:
    return hint is Entry or any(_holds_entry(arg) for arg in get_args(hint))


def by_key(parts: Iterable[Holder]) -> dict[str, list[Entry]]:
    """The entries of some results, by key."""
    entries: dict[str, list[Entry]] = {}
    for part in parts:
        for key, figure in part.entries():
            entries.setdefault(key, []).append(figure)
    return entries


def _entries(name: str, value: Any) -> Iterator[tuple[str, Entry]]:
    if isinstance(value, Entry):
        yield name, value
    elif isinstance(value, Result):
        yield from value.entries()
    elif isinstance(value, tuple):
        for item in value:
            if isinstance(item, (Entry, Result)):
                yield from _entries(name, item)
