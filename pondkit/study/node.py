"""Work on demand: a node of a class is worked out when it is first asked for, and asks for what it needs by name."""

from collections.abc import Callable, Iterator
from copy import copy
from typing import Any, ClassVar, Generic, Self, TypeVar, get_type_hints

from pondkit.core.entry import Entry
from pondkit.core.result import Result, keys_in

T = TypeVar("T")


class node(Generic[T]):  # noqa: N801 - a decorator
    """A property that is worked out when it is first asked for, and then stands in the instance.

    Without a lock, other than ``functools.cached_property`` of Python 3.11: sessions would wait for each other.
    """

    def __init__(self, work: Callable[[Any], T]) -> None:
        self.work = work
        self.__doc__ = work.__doc__

    def __set_name__(self, owner: type, name: str) -> None:
        self.name = name

    def __get__(self, holder: Any, owner: type | None = None) -> T:
        value = holder.__dict__[self.name] = self.work(holder)
        return value


class OnDemand:
    """What holds nodes, some of which are results with entries.

    Attributes:
        RESULTS: Names of the nodes and properties that hold entries, in the order of the takeoff.
    """

    RESULTS: ClassVar[tuple[str, ...]]
    _known: ClassVar[dict[str, frozenset[str]]]

    def entries(self) -> Iterator[tuple[str, Entry]]:
        """Every (key, entry)."""
        for name in self.RESULTS:
            yield from self._entries_of(name)

    def figure(self, key: str, subject: str) -> Entry | None:
        """One figure, for which only its own node and what that asks for are worked out; None where it is not there."""
        return next((entry for entry in self._of(key) if entry.subject == subject), None)

    def figures(self, key: str) -> list[Entry]:
        """All figures of a key, for which only their own nodes and what those ask for are worked out."""
        return list(self._of(key))

    def given(self, **nodes: Any) -> Self:
        """A copy in which some nodes hold the values given, and are not worked out."""
        view = copy(self)
        view.__dict__.update(nodes)
        return view

    def ready(self, key: str) -> bool:
        """True where the figures of a key are worked out already."""
        return all(name in self.__dict__ for name in self.RESULTS if key in self._keys()[name])

    def _of(self, key: str) -> Iterator[Entry]:
        for name in self.RESULTS:
            if key in self._keys()[name]:
                for part in self._parts(name):
                    yield from part.figures(key)

    def _entries_of(self, name: str) -> Iterator[tuple[str, Entry]]:
        for part in self._parts(name):
            yield from part.entries()

    def _parts(self, name: str) -> Iterator[Result]:
        held = getattr(self, name)
        for part in held if isinstance(held, tuple) else (held,):
            if isinstance(part, Result):
                yield part

    @classmethod
    def _keys(cls) -> dict[str, frozenset[str]]:
        """Keys that each node with entries may hold, by the type that it declares."""
        if "_known" not in cls.__dict__:
            declared = {name: cls.__dict__[name] for name in cls.RESULTS}
            work = {name: each.work if isinstance(each, node) else each.fget for name, each in declared.items()}
            cls._known = {name: frozenset(keys_in(get_type_hints(each)["return"])) for name, each in work.items()}
        return cls._known
