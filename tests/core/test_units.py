"""The grammar of quantities, factors as printed, and round trips."""

import math
import pickle

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit.core import units
from pondkit.core.units import (
    ANGLE,
    AREA,
    AREAL_MASS,
    BULK,
    COUNT,
    DENSITY,
    FLOW,
    KINDS,
    LENGTH,
    MASS,
    POWER,
    PRESSURE,
    PRICE_AREA,
    PRICE_EACH,
    PRICE_LENGTH,
    PRICE_MASS,
    PRICE_VOLUME,
    RATIO,
    SYSTEMS,
    TEMPERATURE,
    TIME,
    VOLUME,
    Entered,
    Kind,
    UnitError,
    as_text,
    factor,
    figures,
    kind_of,
    read,
    show,
    unit_for,
    unit_in,
)

QUANTITIES = [kind for kind in KINDS if not kind.plain]

# NIST SP 811 (2008), appendix B.8, as printed: seven figures, or exact where the print is bold.
NIST = [
    ("1 ft", LENGTH, 0.3048, 0.0),
    ("1 in", LENGTH, 0.0254, 0.0),
    ("1 yd", LENGTH, 0.9144, 0.0),
    ("1 mil", LENGTH, 2.54e-5, 0.0),
    ("1 ft^2", AREA, 9.290304e-2, 0.0),
    ("1 acre", AREA, 4.046873e3, 1.3e-7),
    ("1 ha", AREA, 1.0e4, 0.0),
    ("1 hp", POWER, 7.456999e2, 1.4e-7),  # of 550 foot pounds-force a second
    ("1 ft^3", VOLUME, 2.831685e-2, 1.8e-7),
    ("1 yd^3", VOLUME, 7.645549e-1, 1.4e-7),
    ("1 US gal", VOLUME, 3.785412e-3, 1.4e-7),
    ("1 imperial gal", VOLUME, 4.54609e-3, 0.0),
    ("1 L", VOLUME, 1.0e-3, 0.0),
    ("1 lb", MASS, 4.535924e-1, 1.2e-7),
    ("1 oz", MASS, 2.834952e-2, 1.8e-7),
    ("1 short ton", MASS, 9.071847e2, 5.6e-8),
    ("1 long ton", MASS, 1.016047e3, 5e-7),
    ("1 tonne", MASS, 1.0e3, 0.0),
    ("1 lb/ft^3", DENSITY, 1.601846e1, 3.2e-7),
    ("1 oz/yd^2", AREAL_MASS, 3.390575e-2, 1.5e-7),
]


@pytest.mark.parametrize(("text", "kind", "printed", "tolerance"), NIST)
def test_factors_as_printed_in_nist_sp_811_appendix_b8(text: str, kind: Kind, printed: float, tolerance: float) -> None:
    assert float(read(text, kind, "us")) == pytest.approx(printed, rel=tolerance or 1e-15)


def test_the_pound_and_the_short_ton_are_exact() -> None:
    # International yard and pound agreement, 1959; a short ton is 2000 lb (NIST Handbook 44, appendix C).
    assert float(read("1 lb", MASS, "us")) == pytest.approx(0.45359237, rel=1e-15)
    assert float(read("1 short ton", MASS, "us")) == pytest.approx(907.18474, rel=1e-15)
    # 231 cubic inches (NIST Handbook 44, appendix C)
    assert float(read("1 US gal", VOLUME, "us")) == pytest.approx(231 * 0.0254**3, rel=1e-14)


# What the project's own documents write, worked out by hand with 1 in = 0.0254 m.
FORMS = [
    ("30 in", LENGTH, 30 * 0.0254),
    ("2 ft 6 in", LENGTH, 30 * 0.0254),
    ("2ft6in", LENGTH, 30 * 0.0254),
    ("5' 4\"", LENGTH, 64 * 0.0254),
    ("5′ 4″", LENGTH, 64 * 0.0254),
    ("3 1/2 in", LENGTH, 3.5 * 0.0254),
    ("3-1/2 in", LENGTH, 3.5 * 0.0254),
    ("3½ in", LENGTH, 3.5 * 0.0254),
    ("1/8 in", LENGTH, 0.125 * 0.0254),
    ("2 ft 3 1/2 in", LENGTH, 27.5 * 0.0254),
    ("0.6 m", LENGTH, 0.6),
    (".6 m", LENGTH, 0.6),
    ("6e-1 m", LENGTH, 0.6),
    ("60 cm", LENGTH, 0.6),
    ("1 m 20 cm", LENGTH, 1.2),
    ("-4 in", LENGTH, -4 * 0.0254),
    ("−4 in", LENGTH, -4 * 0.0254),
    ("-2 ft 6 in", LENGTH, -30 * 0.0254),
    ("+4 in", LENGTH, 4 * 0.0254),
    ("  4   in ", LENGTH, 4 * 0.0254),
    ("30 Inches", LENGTH, 30 * 0.0254),
    ("45 mil", LENGTH, 45 * 2.54e-5),
    ("4 mm", LENGTH, 0.004),
    ("0 in", LENGTH, 0.0),
    ("120 ft²", AREA, 120 * 0.3048**2),
    ("120 ft^2", AREA, 120 * 0.3048**2),
    ("120 ft**2", AREA, 120 * 0.3048**2),
    ("120 sq ft", AREA, 120 * 0.3048**2),
    ("3 cu yd", VOLUME, 3 * 0.9144**3),
    ("1.2 m³", VOLUME, 1.2),
    ("12 oz/yd^2", AREAL_MASS, 12 * 0.028349523125 / 0.9144**2),
    ("400 gsm", AREAL_MASS, 0.4),
    ("1150 kg/m^3", DENSITY, 1150.0),
    ("165 pcf", DENSITY, 165 * 0.45359237 / 0.3048**3),
    ("165 lb / ft^3", DENSITY, 165 * 0.45359237 / 0.3048**3),
    ("50 lb", MASS, 50 * 0.45359237),
    ("5 lb 4 oz", MASS, 5.25 * 0.45359237),
    ("2 tonnes", MASS, 2000.0),
    ("1.10 per ft^2", PRICE_AREA, 1.10 / 0.3048**2),
    ("3.20 per ft", PRICE_LENGTH, 3.20 / 0.3048),
    ("45 per yd^3", PRICE_VOLUME, 45 / 0.9144**3),
    ("180 per short ton", PRICE_MASS, 180 / 907.18474),
    ("200 per tonne", PRICE_MASS, 0.2),
    ("12.50 each", PRICE_EACH, 12.5),
]


@pytest.mark.parametrize(("text", "kind", "value"), FORMS)
def test_a_text_is_read_in_either_system_and_keeps_its_words(text: str, kind: Kind, value: float) -> None:
    for system in SYSTEMS:
        got = read(text, kind, system)
        assert got == pytest.approx(value, rel=1e-12, abs=1e-15)
        assert isinstance(got, Entered)
        assert got.text == text.strip()


@pytest.mark.parametrize(
    ("kind", "us", "si"),
    [
        (LENGTH, 0.3048, 1.0),
        (MASS, 0.45359237, 1.0),
        (VOLUME, 0.3048**3, 1.0),
        (AREAL_MASS, 0.028349523125 / 0.9144**2, 0.001),
        (PRICE_MASS, 1 / 907.18474, 0.001),
    ],
)
def test_a_bare_number_is_in_the_unit_of_the_file_and_gets_it_as_text(kind: Kind, us: float, si: float) -> None:
    for system, one in (("us", us), ("si", si)):
        got = read(2.5, kind, system)  # type: ignore[arg-type]
        assert got == pytest.approx(2.5 * one, rel=1e-12)
        assert isinstance(got, Entered)
        assert got.text == f"2.5 {kind.bare[system]}"
        assert read(got.text, kind, "si" if system == "us" else "us") == got


def test_a_bare_number_in_quotes_is_read_like_one_without_and_keeps_its_words() -> None:
    got = read("3 1/2", LENGTH, "us")
    assert got == pytest.approx(3.5 * 0.3048)
    assert isinstance(got, Entered)
    assert got.text == "3 1/2 ft"
    assert read("-30", LENGTH, "si") == -30


def test_plain_kinds_stay_numbers() -> None:
    for kind in (RATIO, ANGLE, COUNT):
        got = read("0.5", kind, "us")
        assert got == 0.5
        assert type(got) is float
        assert type(read(3, kind, "si")) is float


REFUSED = [
    ("3 kg", LENGTH, "is a mass, where a length is wanted"),
    ("3 ft", MASS, "is a length, where a mass is wanted"),
    ("3 ft^2", LENGTH, "is an area, where a length is wanted"),
    ("3 gal", LENGTH, "is a volume, where a length is wanted"),
    ("1500 furlong", LENGTH, "'furlong' is no unit known here"),
    ("3 q", LENGTH, "'q' is no unit known here"),
    ("3 M", LENGTH, "'M' is no unit known here"),
    ("3 ton", MASS, "write 'short ton', 'long ton' or 'tonne'"),
    ("3 tons", MASS, "write 'short ton', 'long ton' or 'tonne'"),
    ("180 per ton", PRICE_MASS, "write 'short ton', 'long ton' or 'tonne'"),
    ("1,5 m", LENGTH, "comma"),
    ("1,50 ft", LENGTH, "write '1.50 ft' or '150 ft'"),
    ("1,5000 ft", LENGTH, "comma"),
    ("1,500,00 ft", LENGTH, "comma"),
    ("6 in 2 ft", LENGTH, "from the smaller unit to the larger"),
    ("2 ft 2 ft", LENGTH, "from the smaller unit to the larger"),
    ("2 m 6", LENGTH, "number without a unit"),
    ("1 lb 3", MASS, "number without a unit"),
    ("3 ft^2 2 in^2", AREA, "more than one number"),
    ("2 ft - 6 in", LENGTH, "is not a length"),
    ("2 ft*in", LENGTH, "no unit known here"),
    ("about 3 ft", LENGTH, "is not a length"),
    ("ft", LENGTH, "is not a length"),
    ("-", LENGTH, "is not a length"),
    ("+", MASS, "is not a mass"),
    ("", LENGTH, "nothing is written"),
    ("   ", LENGTH, "nothing is written"),
    ("1/0 in", LENGTH, "divides by nothing"),
    ("NaN", LENGTH, "is not a length"),
    ("Infinity ft", LENGTH, "is not a length"),
    ("1e999 ft", LENGTH, "not a finite number"),
    ("1e999", RATIO, "not a finite number"),
    ("=1+1", LENGTH, "is not a length"),
    ("1 in; 2 in", LENGTH, "is no unit known here"),
    ("0.5 ft", RATIO, "without a unit"),
    ("45 rad", ANGLE, "without a unit"),
    ("°", ANGLE, "nothing is written"),
    (float("nan"), LENGTH, "not a finite number"),
    (float("inf"), RATIO, "not a finite number"),
    (10**400, LENGTH, "not a finite number"),
    (True, LENGTH, "is not a length"),
    (None, LENGTH, "is not a length"),
    ([1], LENGTH, "is not a length"),
    ({"value": 1}, MASS, "is not a mass"),
]


@pytest.mark.parametrize(("given", "kind", "said"), REFUSED, ids=lambda value: repr(value)[:30])
def test_what_is_no_such_quantity_is_refused_with_its_reason_and_how_to_mend_it(
    given: object, kind: Kind, said: str
) -> None:
    with pytest.raises(UnitError) as error:
        read(given, kind, "us")
    assert said in str(error.value)
    assert "write" in error.value.mend or "did you mean" in error.value.mend


def test_a_gallon_is_the_us_one_in_a_us_file_and_in_doubt_in_an_si_file() -> None:
    assert read("300 gal", VOLUME, "us") == pytest.approx(300 * 3.785411784e-3, rel=1e-12)
    with pytest.raises(UnitError, match="'US gal', 'imperial gal' or 'L'"):
        read("300 gal", VOLUME, "si")
    assert read("300 US gal", VOLUME, "si") == read("300 gal", VOLUME, "us")


def test_a_comma_before_three_digits_parts_thousands_in_a_us_file_alone() -> None:
    assert read("5,000 gal", VOLUME, "us") == read("5000 gal", VOLUME, "us")
    assert read("1,234,567.5 lb", MASS, "us") == read("1234567.5 lb", MASS, "us")
    with pytest.raises(UnitError, match=r"write '5.000 L' or '5000 L'") as error:
        read("5,000 L", VOLUME, "si")
    assert [read(text, VOLUME, "si") for text in error.value.readings] == pytest.approx([0.005, 5.0])


def test_what_is_in_doubt_comes_with_its_readings() -> None:
    with pytest.raises(UnitError) as error:
        read("3 tons", MASS, "us")
    # NIST SP 811 (2008), appendix B.8: short ton 907.1847 kg, long ton 1016.047 kg
    assert [read(text, MASS, "us") for text in error.value.readings] == pytest.approx(
        [3 * 907.1847, 3 * 1016.047, 3000.0], rel=1e-6
    )
    with pytest.raises(UnitError) as error:
        read("40 gpm", FLOW, "si")
    # the same: US gallon 3.785412 L, imperial gallon 4.54609 L
    assert [read(text, FLOW, "si") for text in error.value.readings] == pytest.approx(
        [40 * 3.785412e-3 / 60, 40 * 4.54609e-3 / 60], rel=1e-6
    )


@pytest.mark.parametrize(
    ("short", "written", "kind"),
    [
        ("40 gpm", "40 gal/min", FLOW),
        ("2400 GPH", "40 gal/min", FLOW),
        ("150 lpm", "150 L/min", FLOW),
        ("9 m3/h", "9 m^3/h", FLOW),
        ("9 m3/hr", "9 m^3/h", FLOW),
        ("60 cfm", "1 ft^3/s", FLOW),
        ("1 HP", "1 hp", POWER),
        ("2' 6", "2 ft 6 in", LENGTH),
        ("2'6 1/2", "2 ft 6 1/2 in", LENGTH),
        ("-2' 6", "-30 in", LENGTH),
        ('1/2"', "0.5 in", LENGTH),
        ("30 in.", "30 in", LENGTH),
        ("3 yds", "9 ft", LENGTH),
        ("120 sqft", "120 ft^2", AREA),
        ("120 sq. ft.", "120 ft^2", AREA),
        ("120 sf", "120 ft^2", AREA),
        ("120 square feet", "120 ft^2", AREA),
        ("3 cu yd", "3 yd^3", BULK),
        ("3 yd3", "3 yd^3", BULK),
        ("3 cubic yards", "3 yd^3", BULK),
        ("3 cy", "3 yd^3", BULK),
        ("3 short tons", "6000 lb", MASS),
        ("50 psi", "7200 psf", PRESSURE),
        ("68 F", "20 °C", TEMPERATURE),
        ("90 minutes", "1.5 h", TIME),
        ("1.10 per sqft", "1.10 per ft^2", PRICE_AREA),
    ],
)
def test_words_of_the_trade_are_read(short: str, written: str, kind: Kind) -> None:
    assert read(short, kind, "us") == pytest.approx(read(written, kind, "us"), rel=1e-12)
    assert read(short, kind, "us").text == short  # type: ignore[attr-defined]


def test_a_misspelt_unit_is_answered_with_the_nearest() -> None:
    with pytest.raises(UnitError, match="did you mean 'inches'"):
        read("3 inchs", LENGTH, "us")


@pytest.mark.parametrize(
    "text", ["9" * 5000 + " ft", "1/" + "9" * 5000 + " ft", "1 " * 100_000, "x" * 1_000_000, "1 ft " * 50_000]
)
def test_an_overlong_text_is_refused_at_once_in_few_words(text: str) -> None:
    with pytest.raises(UnitError) as error:
        read(text, LENGTH, "us")
    assert len(str(error.value)) < 300


@settings(deadline=None)
@given(
    kind=st.sampled_from(QUANTITIES),
    system=st.sampled_from(SYSTEMS),
    value=st.floats(1e-6, 1e6),
    sign=st.sampled_from([1, -1]),
)
def test_a_computed_value_as_text_is_read_back_to_twelve_digits(
    kind: Kind, system: units.System, value: float, sign: int
) -> None:
    unit = unit_for(value, kind, system)
    text = as_text(sign * value, kind, unit, system)
    apart = 1e-9 if kind is TEMPERATURE else None  # its digits count from the scale's own zero
    assert read(text, kind, system) == pytest.approx(sign * value, rel=1e-11, abs=apart)


@settings(deadline=None)
@given(kind=st.sampled_from(QUANTITIES), system=st.sampled_from(SYSTEMS), value=st.floats(1e-3, 1e4))
def test_what_is_shown_is_read_back_to_its_four_figures(kind: Kind, system: units.System, value: float) -> None:
    text = show(value, kind, system).replace(",", "")
    if text.endswith("gal"):
        text = text.replace("gal", "US gal")
    start = 0.006 if kind is units.TEMPERATURE else 0.0  # its figures count from another start of scale
    assert read(text, kind, system) == pytest.approx(value, rel=5.1e-4, abs=start)


@settings(deadline=None)
@given(value=st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9))
def test_figures_are_four_significant_ones_without_exponent(value: float) -> None:
    text = figures(value)
    assert "e" not in text
    assert float(text) == pytest.approx(value, rel=5.01e-4, abs=1e-300)
    digits = text.lstrip("-").replace(".", "").strip("0")
    assert len(digits) <= 4


@pytest.mark.parametrize(
    ("value", "kind", "us", "si"),
    [
        (0.0254, LENGTH, "1 in", "2.54 cm"),
        (0.9144, LENGTH, "3 ft", "91.44 cm"),
        (1.143e-3, LENGTH, "45 mil", "1.143 mm"),
        (0.0, LENGTH, "0 in", "0 cm"),
        (-0.1016, LENGTH, "-4 in", "-10.16 cm"),
        (12350 * 0.003785411784, VOLUME, "61.15 yd³", "46.75 m³"),
        (1000.0, MASS, "2,205 lb", "1,000 kg"),
        (9071.8474, MASS, "10 short ton", "9.072 tonne"),
        (2650.0, DENSITY, "165.4 lb/ft³", "2,650 kg/m³"),
        (4.0, COUNT, "4", "4"),
        (12500.0, COUNT, "12,500", "12,500"),
        (0.5235987, RATIO, "0.5236", "0.5236"),
        (45.0, ANGLE, "45°", "45°"),
    ],
)
def test_a_value_is_shown_in_a_unit_by_its_size(value: float, kind: Kind, us: str, si: str) -> None:
    # 1,000 kg = 2204.62 lb and 2,650 kg/m³ = 165.4 lb/ft³: NIST SP 811 factors, worked by hand
    assert (show(value, kind, "us"), show(value, kind, "si")) == (us, si)


@pytest.mark.parametrize("text", ["45°", "45 °", "45 deg", "45"])
def test_an_angle_is_read_as_it_is_shown(text: str) -> None:
    assert read(text, ANGLE, "us") == read(text, ANGLE, "si") == 45.0


def test_an_entered_number_computes_and_compares_as_its_float_and_survives_copying() -> None:
    depth = read("2 ft 6 in", LENGTH, "us")
    assert depth == pytest.approx(0.762)
    assert hash(depth) == hash(float(depth))
    assert type(depth * 2) is float
    again = pickle.loads(pickle.dumps(depth))
    assert again == depth
    assert again.text == "2 ft 6 in"
    assert read(depth, LENGTH, "si") is depth


def test_what_floats_leave_of_nothing_is_shown_as_nothing() -> None:
    assert show(2.7e-16, LENGTH, "us", "ft") == "0 ft"
    assert show(-1e-12, VOLUME, "us", "yd^3") == "0 yd³"
    assert show(2e-6, LENGTH, "si") == "0.002 mm"  # a rough wall of a pipe is no noise


def test_kinds_are_found_in_annotations() -> None:
    assert kind_of(units.Length) is LENGTH
    assert kind_of(tuple[units.Length, ...]) is LENGTH
    assert kind_of(units.Mass | None) is MASS
    assert kind_of(str) is None


@pytest.mark.parametrize("word", [*units.WORDS, "gal", "gallons"])
def test_every_word_for_a_unit_has_a_factor_of_some_kind(word: str) -> None:
    found = []
    for kind in QUANTITIES:
        try:
            found.append(factor(word, kind, "us"))
        except UnitError:
            continue
    assert all(value == pytest.approx(found[0], rel=1e-12) for value in found)  # two kinds may share a dimension
    assert found or word == "deg"
    assert all(math.isfinite(value) and value > 0 for value in found)


@pytest.mark.parametrize(
    ("text", "unit"), [("1 in", "in"), ("3 1/2 in", "in"), ("12 oz/yd^2", "oz/yd²"), ("0.5", ""), ("2 ft 6 in", "in")]
)
def test_the_unit_at_the_end_of_a_text(text: str, unit: str) -> None:
    assert unit_in(text) == unit


def test_every_unit_comes_to_what_pint_s_own_list_gives() -> None:
    """The definitions of units.txt against pint's whole list, to the last digit."""
    whole = pint.UnitRegistry(cache_folder=None)
    checked = 0
    for kind in QUANTITIES:
        if kind is TEMPERATURE or "1" in kind.si.split("/")[0]:
            continue
        for word, (name, _) in units.WORDS.items():
            try:
                own = factor(word, kind)
            except UnitError:
                continue
            assert own == whole.Quantity(1.0, name).to(kind.si).magnitude, word
            checked += 1
    for unit in {unit for kind in QUANTITIES for steps in kind.ladder.values() for _, unit in steps}:
        for kind in QUANTITIES:
            if any(unit == each for steps in kind.ladder.values() for _, each in steps) and kind is not TEMPERATURE:
                expression = units._expression(unit, "us")
                assert factor(unit, kind) == whole.Quantity(1.0, expression).to(kind.si).magnitude, unit
                checked += 1
    for word in ("°F", "°C"):
        step = whole.Quantity(1.0, units.WORDS[word.lower()][0].replace("degree_", "delta_degree_"))
        assert factor(word, TEMPERATURE) == step.to("delta_degC").magnitude
        zero = whole.Quantity(0.0, whole.Unit("degC")).to(units.WORDS[word.lower()][0]).magnitude
        assert units.shift(word, TEMPERATURE) == -round(float(zero), 6) * factor(word, TEMPERATURE)
    assert checked > 100
