"""Figures and sentences as text in the units displayed: entries as rows for page, CSV, drawings and command line; cells
of a CSV; sentences and workings with their values filled in.
"""

import ast
import math
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Self

from pondkit.core import tables
from pondkit.core.caution import ACT, CHECK, Caution
from pondkit.core.entry import Entry
from pondkit.core.part import Part
from pondkit.core.refusal import place
from pondkit.core.result import Path, Problem, ToFill
from pondkit.core.sentence import Term, Words
from pondkit.core.text import FORMULA_STARTS
from pondkit.core.units import (
    COUNT,
    FLOW,
    LENGTH,
    MONEY,
    SPEED,
    TIME,
    Kind,
    System,
    factor,
    figures,
    grouped,
    inward,
    magnitude,
    nothing,
    pretty,
    show,
    unit_for,
    with_its_unit,
)

_SYMBOLS = {ast.Add: " + ", ast.Sub: " - ", ast.Mult: " × ", ast.Div: " / "}
_LEVELS = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 3}
# range in which a time or rate keeps the unit of its figure; outside, its unit goes by its own size
READABLE = (0.1, 1e4)
MOST_PARTS = 8  # numbers of a long sum that are written


def say(text: Words, system: System, length: Callable[[float], str] | None = None) -> str:
    """A sentence with its values filled in; ``length`` writes its lengths in another form than usual."""
    figures = {term.name: term for term in text.terms}

    def shown(match: re.Match[str]) -> str:
        term = figures.get(match[1])
        # Other braces belong to a name: a pool may be called {x}.
        if term is None or isinstance(term.value, tuple):
            return match[0]
        return length(term.value) if length and term.kind is LENGTH else show(term.value, term.kind, system)

    return re.sub(r"\{(\w+)\}", shown, text.text)


def say_problem(project: Part, path: Path, problem: Problem, system: System) -> str:
    """A problem in words: place, value given, what is allowed, how to mend it."""
    parts = [say(part, system) for part in (problem.given, problem.allowed, problem.mend)]
    return f"{_capital(place(project, path))}: {parts[0]}; allowed: {parts[1]}. To mend it, {parts[2]}."


def say_to_fill(project: Part, path: Path, item: ToFill, system: System) -> str:
    """A value that is missing, in words: its place, what to enter, and which figures are left out until then."""
    wanted, waits = say(item.wanted, system), say(item.waits, system)
    return f"{_capital(place(project, path))}: to be filled in: {wanted}. Until then not worked out: {waits}."


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def working(entry: Entry, system: System, unit: str = "") -> str:
    """The formula in words, then with this design's numbers and units; or the relation's own description of its
    working, with the numbers that it used.

    Numbers of the entry's own kind are in ``unit``, in which the entry itself is shown.
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
    """How the numbers of one working are written. With ``sums``, a value that counts as zero is written 0."""

    system: System
    own: Kind
    unit: str
    sums: bool

    def text(self, value: float, kind: Kind) -> str:
        if kind is not self.own or not self.unit:
            return show(value, kind, self.system)
        value = 0.0 if self.sums and nothing(value, kind) else value
        size = abs(magnitude(value, kind, self.unit, self.system))
        # 25 s, not 0.006944 h; lengths, areas and the like keep one unit, so that a sum can be followed.
        readable = kind not in (FLOW, SPEED, TIME) or value == 0 or READABLE[0] <= size < READABLE[1]
        return show(value, kind, self.system, self.unit if readable else None)


def _term(term: Term, shown: _Shown) -> str:
    if isinstance(term.value, tuple):
        written = [shown.text(value, term.kind) for value in term.value[:MOST_PARTS]]
        more = len(term.value) - MOST_PARTS
        return " + ".join(written) + (f" + {more} more" if more > 0 else "") if written else "nothing"
    return _digits(term.value, term.kind, shown)


def _digits(value: float, kind: Kind, shown: _Shown) -> str:
    text = shown.text(value, kind)
    return f"({text})" if value < 0 else text


def _write(node: ast.expr, terms: dict[str, Term], shown: _Shown, level: int = 0) -> str:
    """An expression as it is written on paper, with numbers for the names in ``terms`` and words for other names."""
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
            # "20 in³" would be a volume: a number with its unit is put in brackets.
            base = f"({base})" if terms and " " in base and not base.startswith("(") else base
            return f"{base}{ {'2': '²', '3': '³'}.get(power, '^' + power) }"
        case ast.BinOp(left=left, op=op, right=right):
            precedence = _LEVELS[type(op)]
            # The operand after a minus or a division keeps its brackets.
            behind = precedence + 1 if isinstance(op, (ast.Sub, ast.Div)) else precedence
            text = f"{_write(left, terms, shown, precedence)}{_SYMBOLS[type(op)]}{_write(right, terms, shown, behind)}"
            return f"({text})" if precedence < level else text
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
                    # a single argument is a list of numbers
                    listed = inner if len(args) > 1 else inner.replace(" + ", ", ")
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
    return _digits(term.value[index], term.kind, shown)


CENTS = 2  # decimal places of an amount of money
DIGITS = 4  # significant digits of a figure without a range
OF_LEAST = 3  # digits of the least that is to be kept, rounded up
FEWEST = 2  # least number of digits, however wide the range
OF_DIFFERENCE = 3  # digits of a difference
FULL = 7  # digits of a full number
TAPE_PLACES = {"us": 2, "si": 3}  # decimal places of feet and metres, as rod and tape are read


class CautionText(str):
    """A caution in words, with its rank and key."""

    rank: str
    key: str

    def __new__(cls, caution: Words, system: System) -> Self:
        text = super().__new__(cls, say(caution, system))
        text.rank = caution.rank if isinstance(caution, Caution) else CHECK
        text.key = caution.key if isinstance(caution, Caution) else ""
        return text

    @property
    def ranked(self) -> str:
        """The caution with its rank before it, as in a cell of a CSV."""
        return f"{self.rank}: {self}"


@dataclass(frozen=True)
class FigureRow:
    """One entry, written out. ``value``, ``low`` and ``high`` are the numbers displayed, as text without thousands
    separators; ``numbers`` holds the same three unrounded, in ``unit``; ``text`` is for people.

    ``text`` has as many digits as its range supports, ``full_text`` seven. ``high_text`` is the high figure, and
    ``spare_text`` the contingency, high less typical; both "" without a range.
    """

    option: str
    subject: str
    key: str
    group: str
    label: str
    value: str
    unit: str
    si_value: float
    si_unit: str
    source: str
    low: str
    high: str
    cautions: tuple[CautionText, ...]
    text: str
    range_text: str
    full_text: str
    high_text: str
    spare_text: str
    numbers: dict[str, float | None]
    entry: Entry
    shown_in: tuple[System, str]  # system of units, and the unit before it is made pretty

    @property
    def working(self) -> str:
        """The working of the entry: written when it is asked for, as most that show figures do not print it."""
        return working(self.entry, *self.shown_in)


def rank_of(cautions: Iterable[CautionText]) -> str:
    """The gravest rank of some cautions, by which a figure is marked; "" if there are none or only reminders, which are
    stated once in a project.
    """
    ranks = {caution.rank for caution in cautions}
    return next((rank for rank in (ACT, CHECK) if rank in ranks), "")


def label(key: str) -> str:
    """Label of a key."""
    return tables.figure_words()[key]["label"]


def meaning(key: str) -> str:
    """Meaning of a key, in one line."""
    return tables.figure_words()[key]["meaning"]


def unit_of(key: str, value: float, figure: Entry, system: System) -> str:
    """Unit in which a key is shown: that in the table of words, else one by size."""
    return tables.figure_words()[key][system] or unit_for(value, figure.kind, system)


def row_of(option: str, currency: str, key: str, figure: Entry, system: System) -> FigureRow:
    """An entry, written out."""
    words = tables.figure_words()[key]
    unit = unit_of(key, figure.value, figure, system)

    places = _decimals(figure, unit)

    def number(value: float | None) -> str:
        return "" if value is None else _number(value, figure, unit, places)

    def shown(text: str) -> str:
        return _with_unit(text, figure, currency, unit)

    low, high = number(figure.low), number(figure.high)
    ranged = bool(low and high and low != high)
    return FigureRow(
        option=option,
        subject=figure.subject,
        key=key,
        group=words["group"],
        label=words["label"],
        value=number(figure.value),
        unit=currency if figure.kind is MONEY else pretty(unit),
        si_value=figure.value,
        si_unit=pretty(figure.kind.si) if figure.kind.si != "1" else "",
        source=figure.source,
        low=low,
        high=high,
        cautions=tuple(CautionText(caution, system) for caution in figure.cautions),
        text=shown(number(figure.value)),
        range_text=f"{shown(low) if figure.kind is MONEY else grouped(low)} to {shown(high)}" if ranged else "",
        full_text=shown(_number(figure.value, figure, unit, None, FULL)),
        high_text=shown(high) if ranged else "",
        spare_text=shown(_contingency(figure, unit, places)) if ranged else "",
        numbers={
            name: None if value is None else magnitude(value, figure.kind, unit, system)
            for name, value in (("value", figure.value), ("low", figure.low), ("high", figure.high))
        },
        entry=figure,
        shown_in=(system, unit),
    )


def _decimals(figure: Entry, unit: str) -> int | None:
    """Decimal places that the range of a figure supports, negative before the decimal point; None without a range.

    The last digit shown is at the place of the first digit of half the range: 38 yd³ if 36 to 41 are possible. There
    are at least two digits.
    """
    size = abs(magnitude(figure.value, figure.kind, unit))
    spread = _difference_in_unit(max(figure.value - figure.least, figure.most - figure.value), figure, unit)
    if not size or not spread > 0 or not math.isfinite(spread) or figure.kind is COUNT:
        return None
    first, last = (math.floor(math.log10(each)) for each in (size, spread))
    return min(max(first - last + 1, FEWEST), DIGITS) - 1 - first


def _difference_in_unit(difference: float, figure: Entry, unit: str) -> float:
    """A difference of two values of a figure's kind, in a unit; for temperatures without the offset of the scale."""
    return difference if figure.kind.plain or not unit else difference / factor(unit, figure.kind)


def _number(value: float, figure: Entry, unit: str, places: int | None, digits: int = DIGITS) -> str:
    """A value of a figure's kind as a number in a unit."""
    if nothing(value, figure.kind):
        return "0"
    if figure.kind is COUNT:
        return f"{value:.10g}"
    if figure.kind is MONEY and (places is None or places >= CENTS):
        return f"{value:.{CENTS}f}"  # always with cents, so that sums can be followed
    size = magnitude(value, figure.kind, unit)
    if figure.to_keep and digits == DIGITS:
        return inward(size, down=False, digits=OF_LEAST).replace(",", "")
    return figures(size if places is None else round(size, places), digits)


def _contingency(figure: Entry, unit: str, places: int | None) -> str:
    """High less typical figure, both rounded as displayed, as a number in a unit."""
    spare = figure.most - figure.value
    if nothing(spare, figure.kind) or figure.kind is COUNT:
        return f"{spare:.10g}" if figure.kind is COUNT else "0"
    if figure.kind is MONEY and (places is None or places >= CENTS):
        return f"{spare:.{CENTS}f}"
    if places is None:
        return figures(_difference_in_unit(spare, figure, unit), DIGITS)
    most, value = (round(magnitude(each, figure.kind, unit), places) for each in (figure.most, figure.value))
    return figures(round(most - value, places), DIGITS)


def _with_unit(text: str, figure: Entry, currency: str, unit: str) -> str:
    if figure.kind is MONEY:
        return with_currency(grouped(text), currency)
    return with_its_unit(grouped(text), unit)


def with_currency(amount: str, currency: str) -> str:
    """An amount with its currency before it: "$12.50", "AUD 12.50"."""
    return f"{currency}{amount}" if len(currency) == 1 else f"{currency} {amount}".strip()


def with_unit(number: str, row: FigureRow) -> str:
    """Another number of a row's kind, with the row's unit."""
    return _with_unit(number, row.entry, row.unit, row.unit)


def signed(difference: float, cell: FigureRow, system: System) -> str:
    """A difference from a figure, in the figure's unit but without its name: "+310"; "0" if it is below the figure's
    digits.

    It has up to three significant digits, and none beyond the fourth digit of the larger of the two figures.
    """
    if nothing(difference, cell.entry.kind):
        return "0"
    unit = unit_of(cell.key, cell.si_value, cell.entry, system)
    size = _difference_in_unit(difference, cell.entry, unit)
    if cell.entry.kind is COUNT:
        return f"{size:+.0f}" if round(size) else "0"
    now = magnitude(cell.si_value, cell.entry.kind, unit, system)
    figure_power, difference_power = (
        math.floor(math.log10(each)) for each in (max(abs(now), abs(now - size)), abs(size))
    )
    digits = min(OF_DIFFERENCE, DIGITS - (figure_power - difference_power))
    if digits < 1:
        return "0"
    text = figures(size, digits)
    if cell.entry.kind is MONEY and "." in text:
        text = f"{float(text):.{CENTS}f}"
    return ("+" if size > 0 else "") + text


def by_rod(value: float, system: System) -> str:
    """A level or rod reading, to the fineness of a rod: decimals of a foot or of a metre."""
    unit = "ft" if system == "us" else "m"
    return f"{fixed(value, unit, TAPE_PLACES[system])} {unit}"


def by_tape(value: float, system: System) -> str:
    """A size to the fineness of a tape: feet, inches and eighths of an inch, or metres to the millimetre."""
    if system == "si":
        return f"{fixed(value, 'm', TAPE_PLACES[system])} m"
    eighths = round(abs(magnitude(value, LENGTH, "in")) * 8)
    feet, left = divmod(eighths, 12 * 8)
    inches, part = divmod(left, 8)
    share = f"{Fraction(part, 8)}" if part else ""
    small = " ".join(text for text in (str(inches) if inches or not (feet or part) else "", share) if text)
    sign = "-" if value < 0 and eighths else ""
    return sign + " ".join(filter(None, (f"{feet} ft" if feet else "", f"{small} in" if small else "")))


def by_rule(sizes: Iterable[float], system: System) -> str:
    """Sizes of one thing as a rule reads them, "44 × 30 × 14 in": eighths of an inch or half centimetres as they are,
    what lies between them, as a size entered in the other system, to the half inch or centimetre.
    """
    unit, finest, usual = ("in", 8, 2) if system == "us" else ("cm", 2, 1)
    numbers = []
    for size in sizes:
        number = magnitude(size, LENGTH, unit)
        parts = number * finest
        even = abs(parts - round(parts)) < 1e-6 * max(1.0, abs(parts)) or abs(number) < 1
        numbers.append(figures(number) if even else f"{round(number * usual) / usual:g}")
    return f"{' × '.join(numbers)} {unit}"


def fixed(value: float, unit: str, places: int) -> str:
    """A length with a fixed number of decimal places, for measurements whose accuracy does not depend on their size."""
    text = f"{magnitude(value, LENGTH, unit):.{places}f}"
    return text.removeprefix("-") if float(text) == 0 else text


def safe(cells: Iterable[object]) -> list[str]:
    """Cells that a spreadsheet program reads unchanged: a text like a formula gets an apostrophe before it."""
    return [
        f"'{text}" if text.startswith(FORMULA_STARTS) and not _is_number(text) else text for text in map(str, cells)
    ]


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
