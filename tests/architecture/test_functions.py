"""Functions that can be read at a glance: at most 60 lines, at most 7 parameters."""

import ast
from collections.abc import Iterator

from tests.architecture.test_layers import MODULES, PACKAGE

MOST_LINES = 60  # from its name to its end, words included
MOST_PARAMETERS = 7  # besides self and cls
MORE_PARAMETERS = {
    "core/part.py: ask": "the whole declaration of an input stands in one place",
    "trades/stone/formulas.py: placed_displaced": "one relation of eight inputs, two of which share a range",
}

Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions() -> Iterator[tuple[str, Function]]:
    for path in MODULES:
        for part in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(part, Function):
                yield f"{path.relative_to(PACKAGE).as_posix()}: {part.name}", part


def parameters(function: Function) -> int:
    names = [each.arg for each in (*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs)]
    return len([name for name in names if name not in ("self", "cls")])


def lines(function: Function) -> int:
    assert function.end_lineno is not None
    return function.end_lineno - function.lineno + 1


def test_no_function_is_long() -> None:
    long = {name: lines(function) for name, function in functions() if lines(function) > MOST_LINES}
    assert not long, "take out a part that has a name of its own"


def test_no_function_takes_many_parameters() -> None:
    many = {name for name, function in functions() if parameters(function) > MOST_PARAMETERS}
    assert many == set(MORE_PARAMETERS), "hand on a thing that holds several of them"
