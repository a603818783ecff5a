"""A thing that is worked out when it is first asked for."""

from collections.abc import Callable
from typing import Any, Generic, TypeVar

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
