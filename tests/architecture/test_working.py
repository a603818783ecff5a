"""The formula of every entry of every demo, worked out again by pint from its terms
with their units, equals its value.
"""

import ast
import math
from typing import Any

import pytest

from pondkit.core.entry import Entry
from pondkit.core.sentence import Term
from pondkit.core.units import SYSTEMS, System, quantity, unit_for
from pondkit.drawing.rows import working
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo


def _terms(entry: Entry, system: System) -> dict[str, Any]:
    def one(value: float, term: Term) -> Any:
        return quantity(value, term.kind, unit_for(value, term.kind, system), system)

    return {
        t.name: [one(v, t) for v in t.value] if isinstance(t.value, tuple) else one(t.value, t) for t in entry.terms
    }


def _sum(parts: list[Any]) -> Any:
    return sum(parts[1:], parts[0]) if parts else 0


def _up(value: Any) -> Any:
    return math.ceil(value.to("dimensionless").magnitude - 1e-9)


NAMES = {
    "sum": _sum,
    "min": lambda *a: min(a[0] if len(a) == 1 else a),
    "max": max,
    "abs": abs,
    "rounded_up": _up,
    "ceil": _up,
    "float": lambda value: value,
}


class _Maths:
    pi = math.pi
    ceil = staticmethod(_up)

    @staticmethod
    def sqrt(value: Any) -> Any:
        return value**0.5


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_formulas_hold_with_units(name: str, system: System) -> None:
    checked = 0
    for option in evaluate(demo(name)).options:
        for key, entry in option.entries():
            if not entry.formula:
                continue
            space = {"__builtins__": {}, "math": _Maths, **NAMES}
            if entry.formula == "sum(parts)" and not entry.terms[0].value:
                assert entry.value == 0
                continue
            again = eval(compile(ast.parse(entry.formula, mode="eval"), key, "eval"), space, _terms(entry, system))
            si = (
                again.to(entry.kind.si if entry.kind.si not in ("1", "deg") else "dimensionless").magnitude
                if hasattr(again, "to")
                else again
            )
            assert si == pytest.approx(entry.value, rel=1e-9, abs=1e-12), f"{key} of {entry.subject}: {entry.formula}"
            checked += 1
    assert checked > 50


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_every_working_can_be_written_and_prose_names_its_numbers(name: str) -> None:
    for option in evaluate(demo(name)).options:
        for key, entry in option.entries():
            text = working(entry, "us")
            assert text, key
            if not entry.formula:
                for term in entry.terms:
                    assert term.name.replace("_", " ") in text, f"{key}: {term.name}"
