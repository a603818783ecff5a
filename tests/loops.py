"""One test that goes over many cases, where a test of its own for each would cost more than what it looks at."""

import itertools
from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any

TOLD = 5  # cases that are told when many fail


def for_each(**cases: Iterable[Any]) -> Callable[[Callable[..., None]], Callable[[], None]]:
    """Run a check with every combination of the cases, and tell those that fail by their names."""

    def test_of(check: Callable[..., None]) -> Callable[[], None]:
        def test() -> None:
            failed = []
            tried = 0
            for values in itertools.product(*map(tuple, cases.values())):
                tried += 1
                try:
                    check(**dict(zip(cases, values, strict=True)))
                except (AssertionError, ArithmeticError, LookupError, TypeError, ValueError) as fault:
                    failed.append((", ".join(map(_short, values)), fault))
            assert tried, "no case at all"
            told = "\n".join(f"{name}: {type(fault).__name__} {fault}" for name, fault in failed[:TOLD])
            assert not failed, f"{len(failed)} of {tried} cases fail:\n{told}"

        wraps(check)(test)
        del test.__wrapped__  # type: ignore[attr-defined]  # pytest would ask for the check's own arguments
        return test

    return test_of


def _short(value: Any) -> str:
    text = getattr(value, "__name__", None) or str(value)
    return text if len(text) < 120 else f"{text[:117]}…"
