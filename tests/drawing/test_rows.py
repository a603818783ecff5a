"""Digits of figures: no more than their range supports, and the number in full beside them."""

import pytest

from pondkit.core.entry import Entry
from pondkit.core.units import LENGTH, MASS, MONEY, TEMPERATURE, VOLUME, Kind, System, read
from pondkit.drawing.rows import by_rod, by_rule, by_tape, row_of, signed


def figure(value: float, kind: Kind, low: float | None = None, high: float | None = None) -> Entry:
    return Entry("", value, kind, "", "", (), "user input", low, high)


def entered(texts: tuple[str, ...], kind: Kind, system: System = "us") -> list[float]:
    return [float(read(text, kind, system)) for text in texts]


@pytest.mark.parametrize(
    ("key", "kind", "texts", "shown", "span"),
    [
        # half the range is 2.6 yd³: whole cubic yards
        ("dig_volume", VOLUME, ("38.41 yd^3", "36 yd^3", "41 yd^3"), "38 yd³", "36 to 41 yd³"),
        # 0.6 short tons: tenths
        (
            "haul_mass",
            MASS,
            ("6.83 short ton", "6.27 short ton", "7.4 short ton"),
            "6.8 short ton",
            "6.3 to 7.4 short ton",
        ),
        # a range of more than a tenth leaves two digits, however wide it is
        ("dig_volume", VOLUME, ("38.41 yd^3", "10 yd^3", "90 yd^3"), "38 yd³", "10 to 90 yd³"),
        # none: four digits
        ("dig_volume", VOLUME, ("38.4149 yd^3",), "38.41 yd³", ""),
        # a narrow one: no more than four
        ("dig_volume", VOLUME, ("38.4149 yd^3", "38.4148 yd^3", "38.415 yd^3"), "38.41 yd³", "38.41 to 38.42 yd³"),
    ],
)
def test_a_figure_has_the_digits_that_its_range_supports(
    key: str, kind: Kind, texts: tuple[str, ...], shown: str, span: str
) -> None:
    row = row_of("A", "$", key, figure(entered(texts, kind)[0], kind, *entered(texts, kind)[1:]), "us")
    assert (row.text, row.range_text) == (shown, span)
    assert row.full_text.startswith(texts[0].split()[0])
    assert row.numbers["value"] == pytest.approx(float(texts[0].split()[0]), rel=1e-12)


def test_money_has_the_digits_that_its_range_supports() -> None:
    row = row_of("A", "$", "total_price", figure(6213.4, MONEY, 5840.0, 6590.0), "us")
    assert (row.text, row.range_text, row.full_text) == ("$6,200", "$5,800 to $6,600", "$6,213.40")


def test_a_difference_has_three_digits_of_its_own_and_none_beyond_the_fourth_of_the_figures() -> None:
    row = row_of("A", "$", "dig_volume", figure(*entered(("38.4149 yd^3",), VOLUME), VOLUME), "us")
    for text, said in (
        ("1.2349 yd^3", "+1.23"),
        ("-12.349 yd^3", "-12.3"),
        ("0.0123 yd^3", "+0.01"),
        ("0.001 yd^3", "0"),
    ):
        assert signed(*entered((text,), VOLUME), row, "us") == said


def test_a_difference_of_temperatures_has_no_zero_of_its_own() -> None:
    """5 °C more are 9 °F more, by the definition of the scales."""
    low, value, high = entered(("15 °C", "20 °C", "25 °C"), TEMPERATURE)
    row = row_of("A", "$", "deficit_ratio", figure(value, TEMPERATURE, low, high), "us")
    assert (row.text, row.spare_text, signed(5.0, row, "us")) == ("68 °F", "9 °F", "+9")


@pytest.mark.parametrize(
    ("text", "us", "si"),
    [  # 1 in is 0.0254 m; an eighth of it is 3.175 mm
        ("80.25 in", "6 ft 8 1/4 in", "2.038 m"),
        ("8.87 in", "8 7/8 in", "0.225 m"),
        ("45 ft", "45 ft", "13.716 m"),
        ("11.99 in", "1 ft", "0.305 m"),
        ("1/2 in", "1/2 in", "0.013 m"),
        ("12.5 in", "1 ft 1/2 in", "0.318 m"),
        ("-12 in", "-1 ft", "-0.305 m"),
        ("0 ft", "0 in", "0.000 m"),
    ],
)
def test_a_size_is_written_as_a_tape_reads_it(text: str, us: str, si: str) -> None:
    size = read(text, LENGTH, "us")
    assert by_tape(size, "us") == us
    assert by_tape(size, "si") == si


def test_a_level_is_written_as_a_rod_is_read() -> None:
    assert by_rod(read("-3 in", LENGTH, "us"), "us") == "-0.25 ft"
    assert by_rod(read("-3 in", LENGTH, "us"), "si") == "-0.076 m"


@pytest.mark.parametrize(
    ("sizes", "us", "si"),
    [
        # By hand, an inch being 2.54 cm: 111.76, 76.2 and 35.56 cm; 11.81, 17.72 and 37.40 in.
        (("44 in", "30 in", "14 in"), "44 × 30 × 14 in", "112 × 76 × 36 cm"),
        (("30 cm", "45 cm", "95 cm"), "12 × 17.5 × 37.5 in", "30 × 45 × 95 cm"),
        (("7 1/4 in",), "7.25 in", "18 cm"),
        (("12.5 cm",), "5 in", "12.5 cm"),
    ],
)
def test_sizes_by_the_rule_are_kept_in_their_own_system_and_rounded_in_the_other(
    sizes: tuple[str, ...], us: str, si: str
) -> None:
    values = [read(size, LENGTH, "us") for size in sizes]
    assert (by_rule(values, "us"), by_rule(values, "si")) == (us, si)
