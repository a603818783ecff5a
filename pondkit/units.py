"""Quantities at the edge: text in, SI floats inside, text out. The only module that imports pint.

pint alone reads "45 mil" as an angle, "3 1/2 in" as 1.5 in and "2 ft 6 in" as 12 ft*in without a word, so the grammar
is our own and pint is asked for the factor of one unit at a time.
"""

import difflib
import itertools
import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Literal, Self, get_args, get_origin

import pint

System = Literal["us", "si"]
SYSTEMS: tuple[System, System] = ("us", "si")


@dataclass(frozen=True)
class Kind:
    """A kind of quantity.

    Attributes:
        name: What it is, with its article, for messages ("a length").
        si: pint's text of the SI unit that floats of this kind are in.
        example: How a person may write one.
        bare: Unit of a bare number in a file of each system.
        ladder: For showing: (least SI magnitude, unit) from small to large, for each system.
    """

    name: str
    si: str
    example: str
    bare: dict[str, str]
    ladder: dict[str, tuple[tuple[float, str], ...]]

    def __hash__(self) -> int:
        return hash((self.name, self.si))

    @property
    def plain(self) -> bool:
        """True for kinds that stay JSON numbers: ratios, counts, degrees."""
        return not self.bare


def _kind(name: str, si: str, example: str, us_unit: str = "", si_unit: str = "", **ladder: Any) -> Kind:
    bare = {"us": us_unit, "si": si_unit} if us_unit else {}
    steps = {"us": ladder.get("us", ((0.0, us_unit),)), "si": ladder.get("metric", ((0.0, si_unit),))}
    return Kind(name, si, example, bare, steps)


LENGTH = _kind(
    "a length", "m", "'30 in', '2 ft 6 in' or '0.6 m'", "ft", "m",
    us=((0.0, "mil"), (0.00254, "in"), (0.9144, "ft")), metric=((0.0, "mm"), (0.01, "cm"), (1.0, "m")),
)  # fmt: skip
AREA = _kind("an area", "m^2", "'120 ft^2' or '11 m^2'", "ft^2", "m^2")
VOLUME = _kind(
    "a volume", "m^3", "'300 gal' or '1.2 m^3'", "ft^3", "m^3",
    us=((0.0, "gal"), (10.0, "yd^3")), metric=((0.0, "L"), (1.0, "m^3")),
)  # fmt: skip
MASS = _kind(
    "a mass", "kg", "'150 lb' or '70 kg'", "lb", "kg",
    us=((0.0, "lb"), (4535.0, "short ton")), metric=((0.0, "kg"), (5000.0, "tonne")),
)  # fmt: skip
DENSITY = _kind("a density", "kg/m^3", "'165 lb/ft^3' or '2650 kg/m^3'", "lb/ft^3", "kg/m^3")
AREAL_MASS = _kind("a mass per area", "kg/m^2", "'12 oz/yd^2' or '400 g/m^2'", "oz/yd^2", "g/m^2")
RATIO = _kind("a plain number", "1", "0.5")
COUNT = _kind("a whole number", "1", "3")
ANGLE = _kind("an angle in degrees", "deg", "45")
MONEY = _kind("an amount of money", "1", "120")
PRICE_LENGTH = _kind("a price per length", "1/m", "'3.20 per ft'", "per ft", "per m")
PRICE_AREA = _kind("a price per area", "1/m^2", "'1.10 per ft^2'", "per ft^2", "per m^2")
PRICE_VOLUME = _kind("a price per volume", "1/m^3", "'45 per yd^3'", "per yd^3", "per m^3")
PRICE_MASS = _kind("a price per mass", "1/kg", "'180 per short ton'", "per short ton", "per tonne")
PRICE_EACH = _kind("a price for one", "1", "'12.50 each'", "each", "each")

Length = Annotated[float, LENGTH]
Area = Annotated[float, AREA]
Volume = Annotated[float, VOLUME]
Mass = Annotated[float, MASS]
Density = Annotated[float, DENSITY]
ArealMass = Annotated[float, AREAL_MASS]
Ratio = Annotated[float, RATIO]
Count = Annotated[float, COUNT]
Angle = Annotated[float, ANGLE]
Money = Annotated[float, MONEY]
PriceLength = Annotated[float, PRICE_LENGTH]
PriceArea = Annotated[float, PRICE_AREA]
PriceVolume = Annotated[float, PRICE_VOLUME]
PriceMass = Annotated[float, PRICE_MASS]
PriceEach = Annotated[float, PRICE_EACH]

KINDS = (
    LENGTH, AREA, VOLUME, MASS, DENSITY, AREAL_MASS, RATIO, COUNT, ANGLE, MONEY,
    PRICE_LENGTH, PRICE_AREA, PRICE_VOLUME, PRICE_MASS, PRICE_EACH,
)  # fmt: skip

# Words that a person may write, with pint's name of each and the system it belongs to ("" = both).
WORDS: dict[str, tuple[str, str]] = {
    "in": ("inch", "us"), "inch": ("inch", "us"), "inches": ("inch", "us"), '"': ("inch", "us"), "″": ("inch", "us"),
    "ft": ("foot", "us"), "foot": ("foot", "us"), "feet": ("foot", "us"), "'": ("foot", "us"), "′": ("foot", "us"),
    "yd": ("yard", "us"), "yard": ("yard", "us"), "yards": ("yard", "us"),
    "mil": ("thou", "us"), "mils": ("thou", "us"),
    "mm": ("millimeter", "si"), "cm": ("centimeter", "si"), "dm": ("decimeter", "si"), "m": ("meter", "si"),
    "oz": ("ounce", "us"), "lb": ("pound", "us"), "lbs": ("pound", "us"), "short ton": ("short_ton", "us"),
    "long ton": ("long_ton", "us"), "g": ("gram", "si"), "kg": ("kilogram", "si"), "tonne": ("metric_ton", "si"),
    "tonnes": ("metric_ton", "si"), "us gal": ("US_liquid_gallon", "us"), "us gallon": ("US_liquid_gallon", "us"),
    "imperial gal": ("imperial_gallon", "us"), "l": ("liter", "si"), "litre": ("liter", "si"),
    "litres": ("liter", "si"),
    "liter": ("liter", "si"), "liters": ("liter", "si"), "acre": ("acre", "us"), "acres": ("acre", "us"),
    "ha": ("hectare", "si"), "pcf": ("pound / foot ** 3", "us"), "gsm": ("gram / meter ** 2", "si"),
    "each": ("dimensionless", ""), "deg": ("degree", ""),
}  # fmt: skip
_GALLON = ("gal", "gallon", "gallons")
_TON = ("ton", "tons")
MOST_TEXT = 60  # characters of a quantity: longer is none
_REGISTRY: pint.UnitRegistry[Any] = pint.UnitRegistry(cache_folder=None)


class UnitError(ValueError):
    """A text that is no quantity of the wanted kind: what was given, and how to mend it."""

    def __init__(self, reason: str, mend: str) -> None:
        super().__init__(f"{reason}; {mend}")
        self.reason, self.mend = reason, mend


class Entered(float):
    """An SI float that remembers the text it was entered as. Compares, hashes and computes as the float."""

    text: str

    def __new__(cls, value: float, text: str) -> Self:
        self = super().__new__(cls, value)
        self.text = text
        return self

    def __reduce__(self) -> tuple[Any, ...]:
        return (Entered, (float(self), self.text))


def kind_of(annotation: Any) -> Kind | None:
    """The kind in an annotation such as ``Length``, ``tuple[Length, ...]`` or ``Length | None``; None where none is."""
    if isinstance(annotation, Kind):
        return annotation
    if get_origin(annotation) is Annotated or get_origin(annotation) is not None:
        for arg in get_args(annotation):
            if kind := kind_of(arg):
                return kind
    return None


@cache
def _word(token: str, system: System) -> str:
    """pint's expression for one unit word, as a person writes it."""
    word = " ".join(token.split())
    lower = word.lower()
    if lower in _GALLON:
        if system == "us":
            return "US_liquid_gallon"
        raise UnitError(
            f"'{word}' could be the US or the imperial gallon here", "write 'US gal', 'imperial gal' or 'L'"
        )
    if lower in _TON:
        raise UnitError(f"'{word}' could be three things", "write 'short ton', 'long ton' or 'tonne'")
    if lower in WORDS and (word == lower or lower not in {"m", "g", "mm", "cm", "dm"}):
        return WORDS[lower][0]
    near = difflib.get_close_matches(lower, [*WORDS, *_GALLON], 1)
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
        match = re.fullmatch(r"(?:(sq|cu)\s+)?(.+?)\s*([²³])?", part)
        assert match
        power = {"sq": 2, "²": 2, "cu": 3, "³": 3}.get(match[1] or match[3] or "", 1)
        done.append(f"({_word(match[2], system)}) ** {power}")
    return " / ".join(done)


@cache
def factor(unit: str, kind: Kind, system: System = "us") -> float:
    """SI magnitude of one ``unit``.

    Raises: UnitError if the unit is unknown, in doubt or of another kind.
    """
    if kind.plain:
        return 1.0
    expression = _expression(unit, system)
    try:
        return float(_REGISTRY.Quantity(1.0, expression).to(kind.si).magnitude)
    except pint.DimensionalityError:
        found = next((k.name for k in KINDS if not k.plain and _fits(expression, k)), "another kind of quantity")
        raise UnitError(f"'{unit}' is {found}, where {kind.name} is wanted", f"write {kind.example}") from None


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
    """A value to 15 digits, so that '30 in', '2 ft 6 in' and '0.762 m' are one float."""
    return float(f"{value:.15g}")


def _finite(number: float) -> float:
    """A number as a float; infinity where a whole number is too large for one."""
    try:
        return float(number)
    except OverflowError:
        return math.inf


def brief(given: Any) -> str:
    """Something that was given, for a message: no longer than a person reads."""
    if isinstance(given, str):
        return repr(given if len(given) <= MOST_TEXT else f"{given[: MOST_TEXT // 2]}…")
    text = repr(given)
    return text if len(text) <= MOST_TEXT else f"{text[: MOST_TEXT // 2]}…"


def read(given: Any, kind: Kind, system: System) -> float:
    """Read one quantity: text with a unit, or a bare number in the unit of the system.

    Args:
        given: "30 in", "2 ft 6 in", `5' 4"`, "3 1/2 in", "1.10 per ft^2", or a number.
        kind: What is wanted.
        system: How a bare number, and 'gal', is to be read.
    Returns: the SI float with its text (``Entered``); a plain float for ratios, counts and degrees.
    Raises: UnitError that says what is wrong and how to mend it.
    """
    if isinstance(given, Entered) and not kind.plain:
        return given
    if isinstance(given, bool) or not isinstance(given, (int, float, str)):
        raise UnitError(f"{brief(given)} is not {kind.name}", f"write {kind.example}")
    if isinstance(given, str) and len(given) > MOST_TEXT:
        raise UnitError(f"{brief(given)} is not {kind.name}", f"write {kind.example}")
    if isinstance(given, (int, float)):
        value = _finite(given)
        if not math.isfinite(value):
            raise UnitError(f"{brief(given)} is not a finite number", f"write {kind.example}")
        if kind.plain:
            return value
        unit = kind.bare[system]
        return Entered(_even(value * factor(unit, kind, system)), f"{given!r} {unit}")
    text = given
    for mark, plain in _HALVES.items():
        text = text.replace(mark, plain)
    text = re.sub(r"(?:\^|\*\*)\s*([23])", lambda m: "²³"[int(m[1]) - 2], text).strip()
    if not text:
        raise UnitError("nothing is written", f"write {kind.example}")
    if re.search(r"\d,\d", text):
        raise UnitError(
            f"'{given}' has a comma in its number", "write the decimals behind a point, and no comma between thousands"
        )
    sign = -1.0 if text.startswith("-") else 1.0
    parts = _parts(text[1:] if text[0] in "+-" else text, given, kind)
    if not parts:
        raise UnitError(f"'{given}' is not {kind.name}", f"write {kind.example}")
    if kind.plain or (len(parts) == 1 and not parts[0][1]):
        if len(parts) != 1 or parts[0][1]:
            raise UnitError(f"'{given}' is not {kind.name}", f"write {kind.example}, without a unit")
        value = float(read(sign * parts[0][0], kind, system))
        return value if kind.plain else Entered(value, f"{given.strip()} {kind.bare[system]}")
    if len(parts) > 1 and kind not in (LENGTH, MASS):
        raise UnitError(f"'{given}' has more than one number", f"write {kind.example}")
    factors = [factor(unit, kind, system) for _, unit in parts if unit]
    if len(factors) < len(parts):
        raise UnitError(f"'{given}' has a number without a unit", f"write {kind.example}")
    if any(later >= earlier for earlier, later in itertools.pairwise(factors)):
        raise UnitError(
            f"'{given}' goes from the smaller unit to the larger", "write the larger unit first, such as '2 ft 6 in'"
        )
    value = sign * sum(number * scale for (number, _), scale in zip(parts, factors, strict=True))
    if not math.isfinite(value):
        raise UnitError(f"'{given}' is not a finite number", f"write {kind.example}")
    return Entered(_even(value), given.strip())


def _parts(text: str, given: str, kind: Kind) -> list[tuple[float, str]]:
    """Parts of number and unit: "2 ft 6 in" -> [(2, "ft"), (6, "in")]."""
    parts, at = [], 0
    while at < len(text):
        match = _PART.match(text, at)
        if not match or match.end() == at:
            raise UnitError(f"'{given}' is not {kind.name}", f"write {kind.example}")
        parts.append((_number(match[1]), (match[2] or "").strip()))
        at = match.end()
    return parts


def system_of(text: str) -> str:
    """System whose units a text uses: "us", "si", or "" where it uses both or none."""
    words = {
        WORDS[w.lower()][1] for w in re.findall(r"short ton|long ton|[a-zA-Z]+|['\"′″]", text) if w.lower() in WORDS
    }
    words |= {"us"} if re.search(r"\bgal", text, re.I) else set()
    words.discard("")
    return words.pop() if len(words) == 1 else ""


def unit_for(value: float, kind: Kind, system: System) -> str:
    """Unit in which a value of this size is shown in a system; "" for plain numbers."""
    if kind.plain:
        return "°" if kind is ANGLE else ""
    unit = kind.ladder[system][0][1]
    for least, candidate in kind.ladder[system]:
        if abs(value) >= least * (1 - 1e-9) and (value or candidate in ("in", "cm")):
            unit = candidate
    return unit if value or kind is not LENGTH else {"us": "in", "si": "cm"}[system]


def unit_in(text: str) -> str:
    """Unit at the end of a quantity text: "in" of "1 in"; "" of a bare number."""
    match = re.search(r"[\d.½¼¾⅛⅜⅝⅞]\s*([^\d.½¼¾⅛⅜⅝⅞]*)$", text.strip().replace("^2", "²").replace("^3", "³"))
    return match[1].strip() if match else ""


def magnitude(value: float, kind: Kind, unit: str, system: System = "us") -> float:
    """A value in ``unit``; as it is for plain kinds."""
    return value if kind.plain or not unit else value / factor(unit, kind, system)


def figures(value: float, digits: int = 4) -> str:
    """A number in four significant figures, digits by size, without an exponent: 0.5236, 12.35, 12350."""
    if value == 0 or not math.isfinite(value):
        return "0" if value == 0 else str(value)
    places = digits - 1 - math.floor(math.log10(abs(value)))
    rounded = round(value, places)
    text = f"{rounded:.{max(places, 0)}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def pretty(unit: str) -> str:
    """A unit as it is printed: ft², kg/m³."""
    return unit.replace("^2", "²").replace("^3", "³")


def show(value: float, kind: Kind, system: System, unit: str | None = None) -> str:
    """A value with its unit in four significant figures; thousands set apart. ``unit`` overrides the one by size."""
    unit = unit_for(value, kind, system) if unit is None else unit
    number = grouped(figures(magnitude(value, kind, unit, system)) if kind is not COUNT else f"{value:.10g}")
    return number + (unit if unit == "°" else f" {pretty(unit)}" if unit else "")


def grouped(number: str) -> str:
    """12350 -> 12,350."""
    whole, dot, rest = number.partition(".")
    sign, whole = ("-", whole[1:]) if whole.startswith("-") else ("", whole)
    return sign + (f"{int(whole):,}" if whole.isdigit() and len(whole) > 3 else whole) + dot + rest


def as_text(value: float, kind: Kind, unit: str, system: System) -> str:
    """A computed SI value as a text that ``read`` takes back without loss (to 12 digits), in ``unit``."""
    return f"{magnitude(value, kind, unit, system):.12g}" + (f" {unit}" if unit and not kind.plain else "")


def quantity(value: float, kind: Kind, unit: str, system: System = "us") -> pint.Quantity[Any]:
    """A pint quantity for tests that work a formula out again with units; ``unit`` "" for plain kinds."""
    if kind.plain:
        return _REGISTRY.Quantity(value, "degree" if kind is ANGLE else "dimensionless")
    return _REGISTRY.Quantity(magnitude(value, kind, unit, system), _expression(unit, system))
