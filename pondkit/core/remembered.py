"""What was worked out is remembered: the same arguments give the same result, without working it out again."""

from collections import deque
from collections.abc import Callable
from contextvars import ContextVar, Token
from functools import lru_cache, wraps
from typing import Any, ParamSpec, Self, TypeVar, cast

from pondkit.core.result import Trouble

P = ParamSpec("P")
R = TypeVar("R")

MOST = 4000  # results kept: a project of six options with thirty pools each fits several times


class Memory:
    """What remembered functions gave: parts of the document by value, results by identity, failures too.

    Bounded, and safe where several sessions ask at once; two of them may work the same thing out twice. All share one;
    ``with Memory():`` gives what is asked within it a memory of its own.

    Attributes:
        worked: Names of the functions that were last run.
    """

    def __init__(self, most: int = MOST) -> None:
        self.worked: deque[str] = deque(maxlen=1000)
        self._kept = lru_cache(most)(self._work)
        self._tokens: list[Token[Memory]] = []

    def ask(self, work: Callable[..., R], *args: Any) -> R:
        """``work(*args)``, as remembered where the same arguments were met before.

        Raises: Trouble as ``work`` did.
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
    """Name under which a remembered function is noted; ``compute``, which every trade has, with its trade
    ("tunnels.compute").
    """
    name = work.__name__
    if name != "compute":
        return name
    *_, folder, module = work.__module__.split(".")
    return f"{folder if module == name else module}.{name}"


def remembered(work: Callable[P, R]) -> Callable[P, R]:
    """Remember what ``work`` returns, by its arguments in their order. A remembered result is never written to.

    Raises: Trouble as ``work`` did.
    """

    @wraps(work)
    def ask(*args: P.args, **named: P.kwargs) -> R:
        assert not named, f"{work.__name__} is remembered by its arguments in their order"
        return _memory.get(SHARED).ask(work, *args)

    return ask
