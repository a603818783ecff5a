"""Boulders that rest on others: what the lowest of each stack bears."""

import math
from collections.abc import Sequence

from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.trades.stone.inputs.stone import Boulder

Stacked = tuple[int, Boulder, float]


def stacked(kinds: Sequence[Stacked]) -> tuple[dict[int, float], list[Problem]]:
    """Mass [kg] that rests on one boulder of each kind, by its index; and what is wrong with the stacks.

    Where more stones rest on a kind than it has, the fullest of its stones counts.

    Args:
        kinds: (index in the document, boulder, high mass of one [kg]).
    """
    named = {boulder.name: (index, boulder) for index, boulder, _ in kinds}
    problems: list[Problem] = []
    faulty: set[int] = set()
    for index, boulder, _ in kinds:
        path: Path = ("stone", "boulders", index, "rests_on")
        if boulder.rests_on is not None and boulder.rests_on not in named:
            problems.append(no_such(path, "boulder", boulder.rests_on, named))
            faulty.add(index)
        elif _rounds(boulder, named):
            problems.append(
                Problem(
                    path,
                    words(f"'{boulder.name}' comes to rest on itself"),
                    words("a stack that ends on the ground"),
                    words("leave out what the lowest of them rests on"),
                )
            )
            faulty.add(index)

    def above(name: str, count: int) -> float:
        rests = [(b, mass) for index, b, mass in kinds if b.rests_on == name and index not in faulty]
        return sum(math.ceil(b.count / count) * (mass + above(b.name, b.count)) for b, mass in rests)

    return {index: above(b.name, b.count) for index, b, _ in kinds if index not in faulty}, problems


def _rounds(boulder: Boulder, named: dict[str, tuple[int, Boulder]]) -> bool:
    """True where what a boulder rests on leads back to it."""
    met: set[str] = set()
    at: Boulder | None = boulder
    while at is not None and at.rests_on is not None and at.name not in met:
        met.add(at.name)
        at = named[at.rests_on][1] if at.rests_on in named else None
        if at is not None and at.name == boulder.name:
            return True
    return False
