"""An entry of the takeoff: a figure with its working, source, range and cautions.

A relation is a pure function of plain numbers. Its signature carries the kinds, its docstring the source, ``holds``
gives the range of inputs in which it is valid and ``keeps`` the limits of its value. The formula that a person reads
is taken from its own code, so that text and computation cannot differ. A relation that branches or integrates states
its working in its docstring instead.
"""

import ast
import inspect
import itertools
import math
import re
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Self, TypeVar, get_type_hints

from pondkit.core.caution import ACT, CHECK, CautionRule, Limit
from pondkit.core.sentence import Term, Words
from pondkit.core.tables import gathered
from pondkit.core.units import MONEY, Kind, factor, kind_of

USER = "user input"
PRACTICE = "common practice, no source"


def rounded_up(value: float) -> int:
    """The next whole number. A value above a whole number by a rounding error only is rounded down to it."""
    return math.ceil(value - 1e-9)


@dataclass(frozen=True)
class Range:
    """An input with uncertainty: low, typical and high value [SI], and the source of all three."""

    low: float
    typical: float
    high: float
    source: str


def within(value: float, share: float, most: float = math.inf, source: str = USER) -> Range:
    """An input that may differ by a share of itself either way, but does not exceed ``most``."""
    return Range(float(value) * (1 - share), float(value), min(float(value) * (1 + share), most), source)


@dataclass(frozen=True, eq=False)
class Entry:
    """One figure of the takeoff. Its key is the name of the result's field that holds it; label and group follow from
    the key.

    Attributes:
        subject: Pool, liner, run … that it belongs to; "" for the option as a whole.
        value: SI value.
        kind: Kind of quantity.
        formula: Expression of the relation; "" if it branches or integrates.
        working: Its working in words; "" if the formula is enough.
        terms: Its inputs, as numbers.
        source: Where the relation and its inputs come from.
        low, high: Its range [SI], if an input has one, else None.
        cautions: Cautions at this figure.
        to_keep: Whether it is the least that is to be kept, which is written rounded up.
    """

    subject: str
    value: float
    kind: Kind
    formula: str
    working: str
    terms: tuple[Term, ...]
    source: str
    low: float | None = None
    high: float | None = None
    cautions: tuple[Words, ...] = ()
    to_keep: bool = False

    @property
    def least(self) -> float:
        """Low end of the range, or the value if there is no range [SI]."""
        return self.value if self.low is None else self.low

    @property
    def most(self) -> float:
        """High end of the range, or the value if there is no range [SI]."""
        return self.value if self.high is None else self.high

    @property
    def bare(self) -> Self:
        """The figure with its range but without its cautions, as input of another entry: the cautions stay at the
        figure itself.
        """
        return replace(self, cautions=()) if self.cautions else self


Input = float | Range | Entry | Iterable["float | Entry"]


@dataclass(frozen=True)
class _Relation:
    """The parts of a relation that ``entry`` reads once: kinds, source, formula, working, limits."""

    kinds: dict[str, Kind]
    kind: Kind
    formula: str
    working: str
    source: str
    limits: tuple[Limit, ...]
    kept: tuple[CautionRule, ...]
    to_keep: bool


F = TypeVar("F", bound=Callable[..., float])


def holds(predicate: Callable[..., bool], caution: CautionRule | str) -> Callable[[F], F]:
    """Declare the range in which a relation is valid, by a predicate on some of its parameters.

    Outside the range the figure is kept and gets the caution: with its declared rank if the typical inputs are
    outside, and with 'check' if only an end of their ranges is.
    """
    rule = CautionRule("", CHECK, "", caution) if isinstance(caution, str) else caution

    def mark(relation: F) -> F:
        limit = Limit(predicate, tuple(inspect.signature(predicate).parameters), rule)
        relation.__dict__["limits"] = (*getattr(relation, "limits", ()), limit)
        return relation

    return mark


def keeps(*cautions: CautionRule) -> Callable[[F], F]:
    """Declare the cautions whose limits apply to a relation's value; see ``CautionRule.where``."""

    def mark(relation: F) -> F:
        relation.__dict__["kept"] = cautions
        return relation

    return mark


def least_to_keep(relation: F) -> F:
    """Say of a relation that its value is the least that is to be kept: a rule's 2 ft are written as 0.61 m, not as
    0.6096 m nor as 0.6 m."""
    relation.__dict__["to_keep"] = True
    return relation


@cache
def _read(relation: Callable[..., float]) -> _Relation:
    hints = get_type_hints(relation, include_extras=True)
    kinds = {name: kind for name, hint in hints.items() if name != "return" and (kind := kind_of(hint))}
    result = kind_of(hints["return"])
    if result is None:
        raise TypeError(f"{relation.__name__} does not say which kind of quantity it returns")
    doc = inspect.getdoc(relation) or ""
    body = ast.parse(textwrap.dedent(inspect.getsource(relation))).body[0]
    assert isinstance(body, ast.FunctionDef)
    last = [node for node in body.body if not isinstance(node, ast.Expr | ast.ImportFrom)]
    single = len(last) == 1 and isinstance(last[0], ast.Return) and last[0].value is not None
    working = _paragraph(doc, "Working")
    formula = ast.unparse(last[0].value) if single and not working else ""  # type: ignore[attr-defined]
    if not formula and not working:
        raise TypeError(f"{relation.__name__} has neither one expression nor a 'Working:' in its docstring")
    source = _paragraph(doc, "Source")
    if not source:
        raise TypeError(f"{relation.__name__} names no 'Source:' in its docstring")
    limits, rules = getattr(relation, "limits", ()), getattr(relation, "kept", ())
    return _Relation(kinds, result, formula, working, source, limits, rules, getattr(relation, "to_keep", False))


def _paragraph(doc: str, head: str) -> str:
    """The text after ``Head:``, up to the next blank line or the next head."""
    match = re.search(rf"^{head}:\s*(.*?)(?=\n\s*\n|\n[A-Z]\w+:|\Z)", doc, re.S | re.M)
    return " ".join(match[1].split()) if match else ""


def entry(
    relation: Callable[..., float],
    subject: str,
    *,
    cautions: Iterable[Words] = (),
    source: str = "",
    **inputs: Any,
) -> Entry:
    """Evaluate a relation at its inputs and at the corners of their ranges.

    Args:
        relation: Pure function whose annotations carry the kinds and whose docstring names the source.
        subject: Pool, liner, run … that the figure belongs to.
        cautions: Further cautions, from where the inputs were determined.
        source: Source of those inputs that are neither a ``Range`` nor an entry.
        inputs: By name: a float, a ``Range``, another entry, or several floats or entries; an input without a kind in
            the signature is passed on unchanged.
    Returns: the entry, with low and high if an input has a range.
    """
    facts = _read(relation)
    typical, corners, carried, sources = _gathered(facts.kinds, inputs)
    value = float(relation(**typical))
    cases = [typical]
    low = high = None
    if corners:
        cases += [typical | dict(corner) for corner in itertools.product(*corners)]
        values = [float(relation(**case)) for case in cases]
        low, high = min(values), max(values)
    ends = (value if low is None else low, value, value if high is None else high)
    limited = [caution for rule in facts.kept for caution in rule.where(*ends)]
    carried = [*cautions, *carried, *_passed(facts.limits, cases), *limited]
    terms = tuple(Term(name, typical[name], kind) for name, kind in facts.kinds.items() if name in typical)
    return Entry(
        subject=subject,
        value=value,
        kind=facts.kind,
        formula=facts.formula,
        working=facts.working,
        terms=terms,
        source="; ".join(dict.fromkeys(filter(None, (facts.source, source, *sources)))),
        low=low,
        high=high,
        cautions=tuple(dict.fromkeys(carried)) if carried else (),
        to_keep=facts.to_keep,
    )


Corner = tuple[tuple[str, Any], ...]  # low and high end of one input, by its name


def _gathered(
    kinds: dict[str, Kind], inputs: dict[str, Any]
) -> tuple[dict[str, Any], list[Corner], list[Words], list[str]]:
    """The typical inputs, the ends of those that have a range, and the cautions and sources that come
    with the inputs.
    """
    typical: dict[str, Any] = {}
    corners: list[Corner] = []
    sources: list[str] = []
    carried: list[Words] = []
    for name, value in inputs.items():
        if name not in kinds or type(value) is float:
            typical[name] = value
        elif isinstance(value, Range):
            typical[name] = value.typical
            sources.append(value.source)
            if value.low < value.high:
                corners.append(((name, value.low), (name, value.high)))
        elif isinstance(value, Entry):
            typical[name] = value.value
            carried += value.cautions
            if value.low is not None:
                corners.append(((name, value.least), (name, value.most)))
        elif isinstance(value, (tuple, list)):
            parts = tuple(value)
            typical[name] = tuple(p.value if isinstance(p, Entry) else float(p) for p in parts)
            carried += [c for p in parts if isinstance(p, Entry) for c in p.cautions]
            corners += _ends(name, parts)
        else:
            typical[name] = float(value)
    return typical, corners, carried, sources


def _ends(name: str, parts: tuple[float | Entry, ...]) -> list[Corner]:
    """Low and high of an input of several numbers, all low together or all high together; empty if none has a range."""
    if not any(isinstance(p, Entry) and p.low is not None for p in parts):
        return []
    least = tuple(p.least if isinstance(p, Entry) else float(p) for p in parts)
    most = tuple(p.most if isinstance(p, Entry) else float(p) for p in parts)
    return [((name, least), (name, most))]


def _passed(limits: tuple[Limit, ...], cases: list[dict[str, Any]]) -> list[Words]:
    """Cautions of the limits that are exceeded by the typical inputs (the first case) or at a corner of
    their ranges.
    """
    cautions: list[Words] = []
    for limit in limits:
        holding = [limit.predicate(**{name: case[name] for name in limit.names}) for case in cases]
        if not all(holding):
            cautions.append(limit.caution(CHECK if holding[0] and limit.caution.rank == ACT else None))
    return cautions


def total(subject: str, entries: Iterable[Entry], kind: Kind = MONEY) -> Entry:
    """Sum of entries of one kind. Its low and high are the sums of theirs.

    Args:
        subject: Pool, liner, run … that the sum belongs to.
        entries: The summands; without any the sum is 0 of ``kind``.
        kind: Kind of the sum if there are no summands.
    """
    parts = tuple(entries)
    ranged = any(part.low is not None for part in parts)
    return Entry(
        subject=subject,
        value=sum(part.value for part in parts),
        kind=parts[0].kind if parts else kind,
        formula="sum(parts)",
        working="",
        terms=(Term("parts", tuple(part.value for part in parts), parts[0].kind if parts else kind),),
        source="sum of the entries; low and high are the sums of theirs" if ranged else "sum of the entries",
        low=sum(part.least for part in parts) if ranged else None,
        high=sum(part.most for part in parts) if ranged else None,
        cautions=tuple(dict.fromkeys(c for part in parts for c in part.cautions)),
    )


def with_cautions(figure: Entry, *cautions: Words) -> Entry:
    """The same figure with further cautions added."""
    return replace(figure, cautions=tuple(dict.fromkeys((*figure.cautions, *cautions)))) if cautions else figure


def input_entry(subject: str, value: float, kind: Kind, cautions: Iterable[Words] = ()) -> Entry:
    """A figure that is an input of the person's own."""
    return Entry(subject, float(value), kind, "", "as entered", (), USER, cautions=tuple(cautions))


def limit(name: str, kind: Kind) -> tuple[float, str]:
    """(SI value, source) of a row in the table of limits."""
    row = gathered("limits")[name]
    return float(row["value"]) * factor(row["unit"], kind), row["source"]
