# ruff: noqa: F403, F405 (all kinds come in by one star, and go out again: this stays the one door to quantities)
"""Quantities where they enter and leave: ``read`` makes SI floats from text, ``show`` writes them, and ``Typed`` writes
computed ones as a person would. The only module that imports pint.

pint alone reads "45 mil" as an angle, "3 1/2 in" as 1.5 in and "2 ft 6 in" as 12 ft*in without a word, so the grammar
is our own and pint is asked for the factor of one unit at a time.
"""

import difflib
import itertools
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Literal, Self

import pint

from pondkit.core.kinds import *
from pondkit.core.tables import table
from pondkit.core.text import control_in

System = Literal["us", "si"]
SYSTEMS: tuple[System, System] = ("us", "si")


# Words that a person may write, with pint's expression of each and the system it belongs to ("" = both).
WORDS = {row["word"]: (row["pint"], row["system"]) for row in table("core/unit_words")}
# The file's system decides which gallon is meant; the rest of the unit follows.
_GALLONS = {"gal": "", "gallon": "", "gallons": "", "gpm": " / minute", "gph": " / hour"}
_TON = ("ton", "tons")
_TONS = ("short ton", "long ton", "tonne")
_FEET = ("ft", "foot", "feet", "'", "′")
NOISE = 1e-9  # SI, of a length, volume, mass or amount: less is a rounding error of floats
MOST_TEXT = 60  # characters that a quantity's text has at most
_DEFINITIONS = files("pondkit").joinpath("core/units.txt").read_text(encoding="utf-8").splitlines()
_REGISTRY: pint.UnitRegistry[Any] = pint.UnitRegistry(_DEFINITIONS, cache_folder=None)


class UnitError(ValueError):
    """A text that is not a quantity of the kind wanted, with the reason and the mend.

    ``readings``: for an ambiguous text, what it may mean, each as a text that can be read; empty if the text is
    plainly wrong.
    """

    def __init__(self, reason: str, mend: str, readings: tuple[str, ...] = ()) -> None:
        super().__init__(f"{reason}; {mend}")
        self.reason, self.mend, self.readings = reason, mend, readings


class Entered(float):
    """An SI float that remembers the text that it was entered as. Compares, hashes and computes as the float."""

    text: str

    def __new__(cls, value: float, text: str) -> Self:
        self = super().__new__(cls, value)
        self.text = text
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (Entered, (float(self), self.text))


def _doubt(word: str, system: System, text: str = "") -> UnitError | None:
    """The error for a unit word that is ambiguous; its readings are ``text``, in which the word occurs, with each unit
    that may be meant.
    """
    lower = word.lower()
    alternatives: tuple[str, ...]
    if lower in _TON:
        reason, alternatives = f"'{word}' could be three things", _TONS
        mend = "write 'short ton', 'long ton' or 'tonne'"
    elif lower in _GALLONS and system != "us":
        rate = {"gpm": "/min", "gph": "/h"}.get(lower, "")
        alternatives = (f"US gal{rate}", f"imperial gal{rate}")
        spoken = {"": "", "/min": " a minute", "/h": " an hour"}[rate]
        reason = f"'{word}' could be the US or the imperial gallon{spoken} here"
        mend = f"write '{alternatives[0]}', '{alternatives[1]}' or 'L{rate}'"
    else:
        return None
    return UnitError(reason, mend, tuple(text.replace(word, each) for each in alternatives) if text else ())


@cache
def _word(token: str, system: System) -> str:
    """pint's expression for one unit word as a person writes it."""
    word = " ".join(token.split())
    lower = word.lower()
    if doubt := _doubt(word, system):
        raise doubt
    if lower in _GALLONS:
        return "US_liquid_gallon" + _GALLONS[lower]
    if lower in WORDS and (word == lower or lower not in {"m", "g", "mg", "mm", "cm", "dm"}):
        return WORDS[lower][0]
    near = difflib.get_close_matches(lower, [*WORDS, *_GALLONS], 1)
    raise UnitError(
        f"'{word}' is no unit known here", f"did you mean '{near[0]}'?" if near else "write ft, in, m, cm, lb, kg …"
    )


@cache
def _expression(unit: str, system: System) -> str:
    """pint's expression for a unit such as ``oz/yd^2``, ``m³`` or ``per short ton``."""
    parts = re.split(r"\s*/\s*|\s*\bper\s+", unit.strip().replace("^2", "²").replace("^3", "³"))
    done = []
    for part in parts:
        if not part:
            done.append("1")
            continue
        match = re.fullmatch(
            r"(?:(sq|cu|square|cubic)(?:\s+|(?=(?:ft|in|yd|m)$)))?(.+?)\s*([²³])?", part, re.IGNORECASE
        )
        assert match
        power = {"s": 2, "²": 2, "c": 3, "³": 3}.get((match[1] or match[3] or " ")[0].lower(), 1)
        done.append(f"({_word(match[2], system)}) ** {power}")
    return " / ".join(done)


def _numbered(kind: Kind) -> bool:
    """True for kinds that are shown as the plain number that they are."""
    return kind.plain and kind is not PORTION


@cache
def factor(unit: str, kind: Kind, system: System = "us") -> float:
    """SI value of one ``unit``.

    Raises: UnitError if the unit is unknown, ambiguous or of another kind.
    """
    if _numbered(kind):
        return 1.0
    expression = _expression(unit, system)
    try:
        if kind is TEMPERATURE:  # a scale may have another zero: take one degree as a difference
            step = expression.replace("degree_", "delta_degree_")
            return float(_REGISTRY.Quantity(1.0, step).to("delta_degC").magnitude)
        return float(_REGISTRY.Quantity(1.0, expression).to(kind.si).magnitude)
    except pint.DimensionalityError:
        kind_name = next((k.name for k in KINDS if not k.plain and _fits(expression, k)), "another kind of quantity")
        raise UnitError(f"'{unit}' is {kind_name}, where {kind.name} is wanted", f"write {kind.example}") from None


@cache
def shift(unit: str, kind: Kind, system: System = "us") -> float:
    """SI value of 0 in a unit; differs from 0 for temperatures only."""
    if kind is not TEMPERATURE:
        return 0.0
    scale = factor(unit, kind, system)  # refuses another kind
    start = _REGISTRY.Quantity(0.0, _REGISTRY.Unit(kind.si)).to(_expression(unit, system)).magnitude
    return -round(float(start), 6) * scale  # zero of each scale, exactly: pint's are off in the 12th digit


def _fits(expression: str, kind: Kind) -> bool:
    return bool(_REGISTRY.Quantity(1.0, expression).check(_REGISTRY.Quantity(1.0, kind.si).dimensionality))


_NUMBER = r"(?:\d+[ -]+\d+/\d+|\d+/\d+|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_PART = re.compile(rf"\s*({_NUMBER})\s*([^\d\s.+-][^\d.+-]*)?\s*")
_HALVES = {
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "⅛": " 1/8",
    "⅜": " 3/8",
    "⅝": " 5/8",
    "⅞": " 7/8",
    "−": "-",
    "–": "-",
}


def _number(text: str) -> float:
    whole, _, fraction = text.replace("-", " ").rpartition(" ") if "/" in text else ("", "", text)
    if "/" not in fraction:
        return float(fraction)
    top, bottom = fraction.split("/")
    if float(bottom) == 0:
        raise UnitError(f"'{text}' divides by nothing", "write a fraction such as 3 1/2")
    return float(whole or 0) + float(top) / float(bottom)


def _even(value: float) -> float:
    """A value rounded to 15 digits, so that '30 in', '2 ft 6 in' and '0.762 m' are one float."""
    return float(f"{value:.15g}")


def _si(value: float, unit: str, kind: Kind, system: System) -> float:
    """SI value of a magnitude that was scaled to SI already, but counts from the zero of its own unit."""
    return _even(value + shift(unit, kind, system))


def _finite(number: float) -> float:
    """A number as a float; infinity if a whole number is too large for one."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def brief(value: Any) -> str:
    """A value as given, shortened for a message."""
    if isinstance(value, str):
        return repr(value if len(value) <= MOST_TEXT else f"{value[: MOST_TEXT // 2]}…")
    text = repr(value)
    return text if len(text) <= MOST_TEXT else f"{text[: MOST_TEXT // 2]}…"


def read(entered: Any, kind: Kind, system: System) -> float:
    """Read one quantity: text with a unit, or a bare number in the unit of the system.

    Args:
        entered: "30 in", "2 ft 6 in", `5' 4"`, "3 1/2 in", "1.10 per ft^2", or a number.
        kind: Kind of quantity wanted.
        system: Decides how a bare number, and 'gal', is read.
    Returns: the SI float with its text (``Entered``); a plain float for ratios, counts and degrees.
    Raises: UnitError that says what is wrong and how to mend it.
    """
    if isinstance(entered, Entered) and not kind.plain:
        return entered
    if isinstance(entered, bool) or not isinstance(entered, (int, float, str)):
        raise UnitError(f"{brief(entered)} is not {kind.name}", f"write {kind.example}")
    if isinstance(entered, str) and len(entered) > MOST_TEXT:
        raise UnitError(f"{brief(entered)} is not {kind.name}", f"write {kind.example}")
    if isinstance(entered, (int, float)):
        value = _finite(entered)
        if not math.isfinite(value):
            raise UnitError(f"{brief(entered)} is not a finite number", f"write {kind.example}")
        if kind.plain:
            return value
        unit = kind.bare[system]
        si = _si(value * factor(unit, kind, system), unit, kind, system)
        return Entered(si, f"{entered!r} {unit}")
    text = entered.strip()
    if control := control_in(text):
        raise UnitError(f"{brief(entered)} has {control} in it", "write it on one line, without it")
    text = _spelled(text, kind, system)
    if kind is ANGLE:  # there are only degrees
        text = text.removesuffix("°").removesuffix("deg").rstrip()
    if not text:
        raise UnitError("nothing is written", f"write {kind.example}")
    sign = -1.0 if text.startswith("-") else 1.0
    parts = _parts(text[1:] if text[0] in "+-" else text, entered, kind)
    if not parts:
        raise UnitError(f"'{entered}' is not {kind.name}", f"write {kind.example}")
    if _numbered(kind) or (len(parts) == 1 and not parts[0][1]):
        if len(parts) != 1 or parts[0][1]:
            raise UnitError(f"'{entered}' is not {kind.name}", f"write {kind.example}, without a unit")
        value = float(read(sign * parts[0][0], kind, system))
        return value if kind.plain else Entered(value, f"{entered.strip()} {kind.bare[system]}")
    if len(parts) > 1 and kind not in (LENGTH, MASS):
        raise UnitError(f"'{entered}' has more than one number", f"write {kind.example}")
    if kind is LENGTH and len(parts) == 2 and parts[0][1] in _FEET and not parts[1][1]:
        parts[1] = (parts[1][0], "in")  # 2' 6
    factors = [factor(unit, kind, system) for _, unit in parts if unit]
    if len(factors) < len(parts):
        raise UnitError(f"'{entered}' has a number without a unit", f"write {kind.example}")
    if any(later >= earlier for earlier, later in itertools.pairwise(factors)):
        raise UnitError(
            f"'{entered}' goes from the smaller unit to the larger", "write the larger unit first, such as '2 ft 6 in'"
        )
    value = sign * sum(number * scale for (number, _), scale in zip(parts, factors, strict=True))
    if not math.isfinite(value):
        raise UnitError(f"'{entered}' is not a finite number", f"write {kind.example}")
    si = _si(value, parts[0][1], kind, system)
    return si if kind.plain else Entered(si, entered.strip())


def readings(text: str, kind: Kind, system: System) -> tuple[str, ...]:
    """What an ambiguous text may mean, as texts that can be read: "3 ton" is a short ton, a long ton or a tonne; empty
    if it is not ambiguous.
    """
    try:
        read(text, kind, system)
    except UnitError as error:
        return error.readings
    return ()


def _spelled(text: str, kind: Kind, system: System) -> str:
    """A text in one spelling: fractions and powers as ``_PART`` reads them, without a full stop after a unit or a
    thousands separator.
    """
    original = text
    for mark, plain in _HALVES.items():
        text = text.replace(mark, plain)
    text = re.sub(r"(?:\^|\*\*)\s*([23])", lambda m: "²³"[int(m[1]) - 2], text)
    if kind not in (LENGTH, MASS):  # the only unit that another number may follow: 2 ft 3 in
        text = re.sub(r"(?<=[a-zA-Z])([23])(?=$|[\s/])", lambda m: "²³"[int(m[1]) - 2], text)
    text = re.sub(r"(?<=[a-zA-Z])\.(?=$|[\s/])", "", text)
    if system == "us":
        text = re.sub(r"(?<![\d.,])\d{1,3}(?:,\d{3})+(?![\d,])", lambda m: m[0].replace(",", ""), text)
    if re.search(r"\d,\d", text):
        readings = tuple(original.replace(",", mark) for mark in ((".", "") if original.count(",") == 1 else ("",)))
        raise UnitError(
            f"'{original}' has a comma in its number",
            f"write {' or '.join(repr(each) for each in readings)}, whichever is meant",
            readings,
        )
    word = re.search(
        r"(?<!short )(?<!long )\btons?\b|(?<!us )(?<!imperial )\b(?:gal|gallons?|gpm|gph)\b", text, re.IGNORECASE
    )
    if word and (doubt := _doubt(word[0], system, text.strip())):
        raise doubt
    return text.strip()


def _parts(text: str, original: str, kind: Kind) -> list[tuple[float, str]]:
    """Numbers and units in a text: "2 ft 6 in" -> [(2, "ft"), (6, "in")]."""
    parts, position = [], 0
    while position < len(text):
        match = _PART.match(text, position)
        if not match or match.end() == position:
            raise UnitError(f"'{original}' is not {kind.name}", f"write {kind.example}")
        parts.append((_number(match[1]), (match[2] or "").strip()))
        position = match.end()
    return parts


def system_of(text: str) -> str:
    """System whose units a text uses: "us" or "si"; "" if it uses both, none, or units that both use (mg/L, W/m^2)."""
    text = re.sub(r"mg/L|W/m(²|\^2)", "", text)
    words = {
        WORDS[w.lower()][1] for w in re.findall(r"short ton|long ton|°?[a-zA-Z]+|['\"′″]", text) if w.lower() in WORDS
    }
    words |= {"us"} if re.search(r"\bgal", text, re.I) else set()
    words.discard("")
    return words.pop() if len(words) == 1 else ""


_OF_NOTHING = {LENGTH: {"us": "in", "si": "cm"}, FLOW: FLOW.bare, SPEED: SPEED.bare}


def unit_for(value: float, kind: Kind, system: System) -> str:
    """Unit in which a value of this size is shown in a system; "" for plain numbers."""
    if not value and kind in _OF_NOTHING:
        return _OF_NOTHING[kind][system]
    return [unit for least, unit in kind.ladder[system] if abs(value) >= least * (1 - 1e-9)][-1]


def unit_in(text: str) -> str:
    """Unit at the end of a quantity's text: "in" of "1 in"; "" of a bare number."""
    match = re.search(r"[\d.½¼¾⅛⅜⅝⅞]\s*([^\d.½¼¾⅛⅜⅝⅞]*)$", text.strip().replace("^2", "²").replace("^3", "³"))
    return match[1].strip() if match else ""


def magnitude(value: float, kind: Kind, unit: str, system: System = "us") -> float:
    """A value in ``unit``; unchanged for plain numbers."""
    return value if _numbered(kind) or not unit else (value - shift(unit, kind, system)) / factor(unit, kind, system)


def figures(value: float, digits: int = 4) -> str:
    """A number to four significant figures, or ``digits`` of them, without an exponent: 0.5236, 12.35, 12350."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:.{max(places, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def inward(value: float, down: bool, digits: int = 4) -> str:
    """A bound to four significant figures and never outside itself: an upper one is rounded down, a lower one up."""
    if value == 0:
        return "0"
    scale = 10.0 ** (digits - 1 - math.floor(math.log10(abs(value))))
    steps = value * scale
    nearest = round(steps)
    whole = nearest if abs(steps - nearest) < 1e-6 else math.floor(steps) if down else math.ceil(steps)
    return grouped(figures(whole / scale, digits))


def pretty(unit: str) -> str:
    """A unit as it is printed: ft², kg/m³."""
    return unit.replace("^2", "²").replace("^3", "³")


def show(value: float, kind: Kind, system: System, unit: str | None = None) -> str:
    """A value with its unit to four significant figures, with thousands separated. ``unit`` replaces the unit that goes
    by size.
    """
    value = 0.0 if kind in TOLERANCE and abs(value) < NOISE else value
    unit = unit_for(value, kind, system) if unit is None else unit
    plain = f"{value:.10g}" if kind is COUNT else f"{value:.2f}" if kind is MONEY else ""
    return with_its_unit(grouped(plain or figures(magnitude(value, kind, unit, system))), unit)


def with_its_unit(number: str, unit: str) -> str:
    """A number with its unit as people write both: 12 ft², 30°, 3 days."""
    if unit in ("", "°"):
        return number + unit
    return f"{number} {pretty(unit)}" + ("s" if unit == "day" and number != "1" else "")


def grouped(number: str) -> str:
    """A number with thousands separated: 12350 -> 12,350."""
    whole, dot, rest = number.partition(".")
    sign, whole = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
    return sign + (f"{int(whole):,}" if whole.isdigit() and len(whole) > 3 else whole) + dot + rest


def as_text(value: float, kind: Kind, unit: str, system: System) -> str:
    """A computed SI value as text in ``unit``, from which ``read`` gives it back to 12 digits."""
    return f"{magnitude(value, kind, unit, system):.12g}" + (f" {unit}" if unit and not _numbered(kind) else "")


def quantity(value: float, kind: Kind, unit: str, system: System = "us") -> pint.Quantity[Any]:
    """A pint quantity, for tests that evaluate a formula again with units; ``unit`` is "" for plain kinds."""
    if kind.plain:
        return _REGISTRY.Quantity(value, "degree" if kind is ANGLE else "dimensionless")
    return _REGISTRY.Quantity(magnitude(value, kind, unit, system), _expression(unit, system))


@dataclass(frozen=True)
class Typed:
    """Writes quantities for a file in the units of a system."""

    system: System

    def far(self, value: float, step: float = 0.1, whole: Callable[[float], int] = round) -> str:
        """A distance on the site [m] as text in feet or metres, rounded to a step of that unit; ``whole`` gives the
        direction of rounding.
        """
        return self._text(value, LENGTH, "ft" if self.system == "us" else "m", step, whole)

    def small(self, value: float, step: float = 1.0, whole: Callable[[float], int] = round) -> str:
        """A size, depth or level [m] as text in inches or centimetres, rounded to a step of that unit."""
        return self._text(value, LENGTH, "in" if self.system == "us" else "cm", step, whole)

    def mass(self, value: float) -> str:
        """A mass [kg] as text in pounds or kilograms, rounded up to tens."""
        return self._text(value, MASS, "lb" if self.system == "us" else "kg", 10.0, math.ceil)

    def place(self, place: tuple[float, float], step: float = 0.1) -> list[str]:
        """A place on the site [m] as two texts."""
        return [self.far(place[0], step), self.far(place[1], step)]

    def either(self, us: str, si: str) -> str:
        """The one of two round values that belongs to the system."""
        return us if self.system == "us" else si

    def _text(self, value: float, kind: Kind, unit: str, step: float, whole: Callable[[float], int]) -> str:
        # A value that is on a step already stays there, whichever way others are rounded.
        steps = round(magnitude(value, kind, unit, self.system) / step, 6)
        return f"{whole(steps) * step + 0.0:.6g} {unit}"
