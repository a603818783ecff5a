"""Sentences and workings with their figures put in, in the units on show."""

import ast
import re
from collections.abc import Callable
from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.part import Part
from pondkit.core.refusal import place
from pondkit.core.result import Path, Problem, ToFill
from pondkit.core.sentence import Term, Words
from pondkit.core.units import FLOW, LENGTH, SPEED, TIME, Kind, System, magnitude, nothing, show

_SYMBOLS = {ast.Add: " + ", ast.Sub: " - ", ast.Mult: " × ", ast.Div: " / "}
_LEVELS = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 3}
READABLE = (0.1, 1e4)  # sizes of a time or rate in the unit of its figure; beyond them it has a unit by its own size
MOST_PARTS = 8  # numbers of a long sum that are written out


def say(text: Words, system: System, length: Callable[[float], str] | None = None) -> str:
    """A sentence with its figures; ``length`` writes its lengths otherwise than usual."""
    figures = {term.name: term for term in text.terms}

    def shown(match: re.Match[str]) -> str:
        term = figures.get(match[1])
        # Braces that are no figure's are a name's own: a pool may be called {x}.
        if term is None or isinstance(term.value, tuple):
            return match[0]
        return length(term.value) if length and term.kind is LENGTH else show(term.value, term.kind, system)

    return re.sub(r"\{(\w+)\}", shown, text.text)


def say_problem(project: Part, path: Path, problem: Problem, system: System) -> str:
    """A problem: place, what was given, what is allowed, how to mend it."""
    parts = [say(part, system) for part in (problem.given, problem.allowed, problem.mend)]
    return f"{_capital(place(project, path))}: {parts[0]}; allowed: {parts[1]}. To mend it, {parts[2]}."


def say_to_fill(project: Part, path: Path, item: ToFill, system: System) -> str:
    """What is to be filled in: place, what is wanted, and what waits for it."""
    wanted, waits = say(item.wanted, system), say(item.waits, system)
    return f"{_capital(place(project, path))}: to be filled in: {wanted}. Until then not worked out: {waits}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def working(entry: Entry, system: System, unit: str = "") -> str:
    """The formula in words, then with this design's numbers and units; or what is said of it, with the numbers that
    went in.

    Numbers of the entry's own kind are in ``unit``, the one that the entry is shown in.
    """
    shown = _Shown(system, entry.kind, unit, bool(entry.formula))
    if not entry.formula:
        given = ", ".join(f"{_spaced(term.name)} {_term(term, shown)}" for term in entry.terms)
        return entry.working + (f" ({given})" if given else "")
    terms = {term.name: term for term in entry.terms}
    tree = ast.parse(entry.formula, mode="eval").body
    symbols = _write(tree, {}, shown)
    numbers = _write(tree, terms, shown)
    return f"{symbols} = {numbers}" if symbols != numbers else numbers


def _spaced(name: str) -> str:
    return name.replace("_", " ")


@dataclass(frozen=True)
class _Shown:
    """How numbers of one working are written; in ``sums``, what is nothing beside its figure reads 0."""

    system: System
    own: Kind
    unit: str
    sums: bool

    def text(self, value: float, kind: Kind) -> str:
        if kind is not self.own or not self.unit:
            return show(value, kind, self.system)
        value = 0.0 if self.sums and nothing(value, kind) else value
        size = abs(magnitude(value, kind, self.unit, self.system))
        # 25 s are no 0.006944 h; what is added up keeps one unit.
        readable = kind not in (FLOW, SPEED, TIME) or value == 0 or READABLE[0] <= size < READABLE[1]
        return show(value, kind, self.system, self.unit if readable else None)


def _term(term: Term, shown: _Shown) -> str:
    if isinstance(term.value, tuple):
        written = [shown.text(value, term.kind) for value in term.value[:MOST_PARTS]]
        more = len(term.value) - MOST_PARTS
        return " + ".join(written) + (f" + {more} more" if more > 0 else "") if written else "nothing"
    return _number(term.value, term.kind, shown)


def _number(value: float, kind: Kind, shown: _Shown) -> str:
    text = shown.text(value, kind)
    return f"({text})" if value < 0 else text


def _write(node: ast.expr, terms: dict[str, Term], shown: _Shown, level: int = 0) -> str:
    """An expression as it is written on paper; names as words where ``terms`` lacks them, else as numbers."""
    match node:
        case ast.Name(id=name):
            return _term(terms[name], shown) if name in terms else _spaced(name)
        case ast.Constant(value=value):
            return f"{value:g}" if isinstance(value, int | float) else repr(value)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            return f"-{_write(operand, terms, shown, 3)}"
        case ast.BinOp(left=left, op=ast.Pow(), right=right):
            power = _write(right, terms, shown, 4)
            base = _write(left, terms, shown, 4)
            # "20 in³" is a volume of 20: a number with its unit is put in brackets.
            base = f"({base})" if terms and " " in base and not base.startswith("(") else base
            return f"{base}{ {'2': '²', '3': '³'}.get(power, '^' + power) }"
        case ast.BinOp(left=left, op=op, right=right):
            own = _LEVELS[type(op)]
            # What is behind a minus or a stroke keeps its brackets.
            behind = own + 1 if isinstance(op, (ast.Sub, ast.Div)) else own
            text = f"{_write(left, terms, shown, own)}{_SYMBOLS[type(op)]}{_write(right, terms, shown, behind)}"
            return f"({text})" if own < level else text
        case ast.Attribute(attr="pi"):
            return "π"
        case ast.Call(func=func, args=args):
            inner = ", ".join(_write(arg, terms, shown) for arg in args)
            name = func.attr if isinstance(func, ast.Attribute) else func.id if isinstance(func, ast.Name) else ""
            match name:
                case "sqrt":
                    return f"√({inner})"
                case "ceil" | "rounded_up":
                    return f"rounded up({inner})"
                case "sum":
                    return inner if terms and level <= 1 else f"({inner})" if terms else f"sum of {inner}"
                case "max" | "min":
                    word = "largest" if name == "max" else "smallest"
                    listed = inner if len(args) > 1 else inner.replace(" + ", ", ")  # one argument: a list of numbers
                    return f"{word} of ({listed})"
                case "float":
                    return inner
                case _:
                    return f"{name}({inner})"
        case ast.Subscript(value=held, slice=ast.Constant(value=int(index))):
            return (
                _item(terms, ast.unparse(held), index, shown) if terms else f"{_spaced(ast.unparse(held))} {index + 1}"
            )
        case _:
            raise ValueError(f"no way to write {ast.dump(node)}: give the relation a 'Working:' in its docstring")


def _item(terms: dict[str, Term], name: str, index: int, shown: _Shown) -> str:
    term = terms[name]
    assert isinstance(term.value, tuple)
    return _number(term.value[index], term.kind, shown)
