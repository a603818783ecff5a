"""Memory of results: with the same arguments a remembered function gives the same result without computing it again."""

from collections import deque
from collections.abc import Callable
from contextvars import ContextVar, Token
from functools import lru_cache, wraps
from typing import Any, ParamSpec, Self, TypeVar, cast

from pondkit.core.result import Trouble

P = ParamSpec("P")
R = TypeVar("R")

MOST = 4000  # number of results held: several times those of a project of six options with thirty pools each


class Memory:
    """Results of remembered functions. Arguments that are parts of the document are compared by value, results by
    identity; failures are remembered too.

    Bounded, and safe if several sessions ask at once, though two of them may compute the same thing twice. All share
    one memory; within ``with Memory():`` a separate one is used.

    Attributes:
        worked: Names of the functions that ran most recently.
    """

    def __init__(self, most: int = MOST) -> None:
        self.worked: deque[str] = deque(maxlen=1000)
        self._kept = lru_cache(most)(self._work)
        self._tokens: list[Token[Memory]] = []

    def ask(self, work: Callable[..., R], *args: Any) -> R:
        """The result of ``work(*args)``, from the memory if it is there.

        Raises: Trouble, as ``work`` does.
        """
        value, trouble = self._kept(work, *args)
        if trouble is not None:
            raise trouble
        return cast(R, value)

    def _work(self, work: Callable[..., R], *args: Any) -> tuple[R | None, Trouble | None]:
        self.worked.append(named(work))
        try:
            return work(*args), None
        except Trouble as trouble:
            return None, trouble

    def __enter__(self) -> Self:
        self._tokens.append(_memory.set(self))
        return self

    def __exit__(self, *raised: object) -> None:
        _memory.reset(self._tokens.pop())


SHARED = Memory()
_memory: ContextVar[Memory] = ContextVar("memory")


def named(work: Callable[..., Any]) -> str:
    """Name under which the memory notes a remembered function; that of a ``compute``, which every trade has, includes
    its trade ("tunnels.compute").
    """
    name = work.__name__
    if name != "compute":
        return name
    *_, folder, module = work.__module__.split(".")
    return f"{folder if module == name else module}.{name}"


def remembered(work: Callable[P, R]) -> Callable[P, R]:
    """Remember what ``work`` returns, by its positional arguments. A remembered result must not be written to.

    Raises: Trouble, as ``work`` does.
    """

    @wraps(work)
    def ask(*args: P.args, **named: P.kwargs) -> R:
        assert not named, f"{work.__name__} is remembered by its arguments in their order"
        return _memory.get(SHARED).ask(work, *args)

    return ask
