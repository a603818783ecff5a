"""Rows, summary and CSV: read back as a spreadsheet program reads them."""

import csv
import io
from decimal import Decimal
from typing import Any

import pandas
import pytest

from pondkit.core import tables
from pondkit.core.entry import input_entry
from pondkit.core.units import ANGLE, COUNT, LENGTH, MASS, MONEY, SYSTEMS, VOLUME, System, pretty
from pondkit.drawing.rows import row_of, signed
from pondkit.report import table
from pondkit.study.evaluate import Results, evaluate
from tests.designs import DEMO_NAMES, demo, full_project, option, pool, read

GPM = 231 * 0.0254**3 / 60  # m³/s: a US gallon is 231 cubic inches
# One unit in SI: NIST SP 811 (2008), appendix B.8; all exact.
SI = {
    **{"mil": 2.54e-5, "in": 0.0254, "ft": 0.3048, "ft²": 0.3048**2, "ft³": 0.3048**3, "yd³": 0.9144**3},
    **{"gal": 3.785411784e-3, "lb": 0.45359237, "short ton": 907.18474},
    **{"mm": 1e-3, "cm": 0.01, "m": 1.0, "m²": 1.0, "m³": 1.0, "L": 1e-3, "kg": 1.0, "tonne": 1e3, "°": 1.0, "%": 0.01},
    **{
        "psf": 0.45359237 * 9.80665 / 0.3048**2,
        "lbf/ft": 0.45359237 * 9.80665 / 0.3048,
        "kPa": 1e3,
        "kN/m": 1e3,
        "N/m": 1.0,
    },
    **{"gal/min": GPM, "L/min": 1e-3 / 60, "ft/s": 0.3048, "m/s": 1.0, "W": 1.0, "kWh": 3.6e6},
    **{
        "gal/min/ft": GPM / 0.3048,
        "L/min/m": 1e-3 / 60,
        "mg/L": 1e-3,
        "day": 86400.0,
        "h": 3600.0,
        "min": 60.0,
        "s": 1.0,
    },
    **{"gal/min/ft²": GPM / 0.3048**2, "mm/s": 1e-3, "lb/day": 0.45359237 / 86400, "g/day": 1e-3 / 86400},
    **{
        "in/day": 0.0254 / 86400,
        "mm/day": 1e-3 / 86400,
        "gal/day": 3.785411784e-3 / 86400,
        "L/day": 1e-3 / 86400,
        "g": 1e-3,
        "oz": 0.028349523125,
    },
}
FORMULA = ("=", "+", "-", "@", "\t", "\r")


def records_of(text: str) -> list[dict[str, str]]:
    """Records of the takeoff's CSV as a spreadsheet program opens it."""
    head, *rest = cells_of(text)
    assert tuple(head) == table.COLUMNS
    return [dict(zip(head, line, strict=True)) for line in rest]


def cells_of(text: str) -> list[list[str]]:
    assert text.startswith("\ufeff")
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True))


def two_options(**changes: Any) -> Results:
    """One pool beside a deeper one with a rate."""
    deeper = pool(tiers=[{"zone": "marsh", "depth": "9 in", "shelf": "2 ft"}, {"zone": "deep", "depth": "42 in"}])
    return evaluate(read(options=[option("A"), option("B", pools=[deeper])], **changes))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_csv_says_what_the_rows_say(name: str, system: System) -> None:
    results = evaluate(demo(name))
    records = records_of(table.takeoff_csv(results, system))
    rows = [row for result in results.options for row in table.rows(result, system)]
    assert len(records) == len(rows) == sum(1 for result in results.options for _ in result.entries())
    for record, row in zip(records, rows, strict=True):
        assert (record["option"], record["subject"], record["key"], record["label"]) == (
            row.option,
            row.subject,
            row.key,
            row.label,
        )
        assert (record["unit"], record["text"].removeprefix("'")) == (row.unit, row.text)
        for column, number in row.numbers.items():
            assert record[column] == ("" if number is None else repr(number))
        assert float(record["si_value"]) == row.si_value
        assert record["source"] == row.source != ""
        assert record["cautions"] == " | ".join(f"{each.rank}: {each}" for each in row.cautions)
        assert record["working"].removeprefix("'") == row.working


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_value_and_unit_alone_give_the_si_value(name: str, system: System) -> None:
    for record in records_of(table.takeoff_csv(evaluate(demo(name)), system)):
        if record["si_unit"] or record["unit"] == "%":
            # Unrounded: what the factors as printed give.
            assert float(record["value"]) * SI[record["unit"]] == pytest.approx(float(record["si_value"]), rel=1e-9)
        else:
            assert float(record["value"]) == float(record["si_value"])


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_page_s_text_is_the_csv_s_number_with_its_unit(name: str, system: System) -> None:
    for result in evaluate(demo(name)).options:
        for row in table.rows(result, system):
            assert row.value in row.text.replace(",", "")
            assert row.unit in row.text


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_low_value_and_high_stand_in_order(name: str) -> None:
    for result in evaluate(demo(name)).options:
        for row in table.rows(result, "us"):
            if row.low:
                assert float(row.low) <= float(row.value) <= float(row.high)
            assert (row.range_text != "") == (row.low != row.high)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_rows_stand_by_group(name: str) -> None:
    for result in evaluate(demo(name)).options:
        order = [list(tables.GROUPS).index(row.group) for row in table.rows(result, "us")]
        assert order == sorted(order)


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_summary_opens_in_pandas_with_no_option_as_one_plain_table(name: str, system: System) -> None:
    results = evaluate(demo(name))
    options = [result.option.name for result in results.options]
    others = [f"{other} less {options[0]}" for other in options[1:]]
    frame = pandas.read_csv(io.BytesIO(table.summary_csv(results, system).encode("utf-8")))
    assert list(frame.columns) == ["label", "subject", "unit", *options, *others, "act", "check", "key"]
    assert all(frame[column].dtype.kind in "if" for column in (*options, *others, "act", "check"))
    assert frame["label"].notna().all()
    assert frame["key"].isin(list(tables.figure_words())).all()
    assert not frame.duplicated(["key", "subject"]).any()
    assert max(len(str(cell)) for column in ("label", "subject", "unit", "key") for cell in frame[column]) < 60


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_a_printed_difference_follows_from_the_two_figures_as_printed(name: str) -> None:
    results = evaluate(demo(name))
    for against in range(len(results.options)):
        head, *lines = cells_of(table.summary_csv(results, "us", against))
        names = [result.option.name for result in results.options]
        for line in lines:
            cell = dict(zip(head, line, strict=True))
            for other in names:
                if other != names[against]:
                    pair = cell[other], cell[names[against]]
                    told = cell[f"{other} less {names[against]}"]
                    assert (told == "") == ("" in pair)
                    if told:
                        assert Decimal(told) == Decimal(pair[0]) - Decimal(pair[1])


def test_the_summary_starts_with_each_pool_s_zones_and_ends_with_the_price() -> None:
    """By hand: the demo's basking pool has its zones, each by area, water, depth and share, before its totals."""
    lines = cells_of(table.summary_csv(evaluate(demo("turtle_yard")), "us"))[1:]
    keys = [(line[-1], line[1]) for line in lines]
    assert keys[:4] == [
        (key, "basking pool / marsh") for key in ("zone_area", "zone_volume", "zone_depth", "zone_share")
    ]
    first = {key: at for at, (key, _) in reversed(list(enumerate(keys)))}
    order = (
        "zone_area",
        "open_water_area",
        "total_net_volume",
        "dig_volume",
        "liner_area_order",
        "total_underlay_order",
        "stone_order",
        "total_pipe_order",
        "total_flow",
        "total_price",
    )
    assert [first[key] for key in order] == sorted(first[key] for key in order)
    assert keys[-1] == ("total_price", "")


def test_zones_that_only_one_option_has_stand_with_it_and_shares_add_up() -> None:
    """By hand: 9 in marsh in both; the deep zone of B is 42 in, of A 30 in; a zone named otherwise is B's alone."""
    other = pool(tiers=[{"zone": "marsh", "depth": "9 in", "shelf": "2 ft"}, {"zone": "pit", "depth": "42 in"}])
    results = evaluate(read(options=[option("A"), option("B", pools=[other])]))
    rows = {(row.key, row.subject): row for row in table.summary_rows(results, "us")}
    (alone,) = [subject for key, subject in rows if key == "zone_depth" and subject.endswith("/ pit")]
    assert rows["zone_depth", alone].values == ("", "42")
    assert rows["zone_depth", alone].printed == ("", "")
    for index in (0, 1):
        shares = [row.values[index] for (key, _), row in rows.items() if key == "zone_share" and row.values[index]]
        assert sum(map(float, shares)) == pytest.approx(100, abs=0.02)


def test_cautions_are_counted_once_by_rank_over_all_options() -> None:
    results = evaluate(demo("turtle_yard"))
    for row in table.summary_rows(results, "us"):
        texts = {text for note in row.notes if note for text in note.split(" | ")}
        assert row.act == sum(text.startswith("act:") for text in texts)
        assert row.check == sum(text.startswith("check:") for text in texts)
    assert any(row.act for row in table.summary_rows(results, "us"))


def test_two_options_of_one_name_have_columns_of_their_own() -> None:
    results = evaluate(read(options=[option("A"), option("A")]))
    assert cells_of(table.summary_csv(results, "us"))[0][3:6] == ["A", "A (2)", "A (2) less A"]
    assert set(table.summary_records(results, "us")[0]["values"]) == {"A", "A (2)"}


def test_every_figure_of_the_summary_has_one_unit_whatever_its_size() -> None:
    """A column in one unit can be set side by side: the unit comes from the table of words, or there is none."""
    for row in table.summary_rows(evaluate(demo("turtle_yard")), "si"):
        assert row.unit == "$" or row.unit == pretty(tables.figure_words()[row.key]["si"])


def test_differences_are_taken_from_the_chosen_option() -> None:
    results = two_options()
    head, *lines = cells_of(table.summary_csv(results, "si", against=1))
    assert head[3:6] == ["A", "B", "A less B"]
    volume = next(line for line in lines if line[-1] == "total_gross_volume")
    assert float(volume[5]) < 0


def test_a_difference_has_a_sign_and_no_more_digits_than_its_figures() -> None:
    for line in table.summary_rows(two_options(), "us"):
        assert line.differences[0] == ""
        text = line.differences[1]
        if text and text != "0":
            assert text[0] in "+-"
            places = [len(value.partition(".")[2]) for value in (*line.values, text)]
            assert places[-1] <= max(places[:-1]) + 1


def test_an_option_in_trouble_has_no_sum() -> None:
    crossing = pool(
        outline={
            "shape": "points",
            "smooth": False,
            "points": [["0 ft", "0 ft"], ["9 ft", "9 ft"], ["9 ft", "0 ft"], ["0 ft", "9 ft"]],
        }
    )
    results = evaluate(read(options=[option("A"), option("B", pools=[pool("good", at=["60 ft", "0 ft"]), crossing])]))
    assert results.options[1].problems
    for line in table.summary_rows(results, "us"):
        assert line.values[0]
        assert line.values[1] == line.texts[1] == line.differences[1] == ""
    records = records_of(table.takeoff_csv(results, "us"))
    assert any(record["option"] == "B" and record["subject"] == "good" for record in records)  # what holds stands


@pytest.mark.parametrize("start", FORMULA)
def test_no_name_becomes_a_formula(start: str) -> None:
    name = f"{start}1+1" if start not in "\t\r" else '=cmd|"/c x"!A0'
    results = evaluate(read(options=[option(name, pools=[pool(f"{name}'s pool")])]))
    records = records_of(table.takeoff_csv(results, "us"))
    for line in [*cells_of(table.summary_csv(results, "us")), *[list(record.values()) for record in records]]:
        for cell in line:
            assert not cell.startswith(FORMULA) or is_number(cell), cell
    assert records[0]["option"] == f"'{name}"  # the name itself is kept behind the mark


def is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize(
    "name", ["a, b", 'with "quotes"', "Тритон", "水", "90° bend, ½ m²", "tab\u2003space", "semi;colon", "'quoted'"]
)
def test_a_name_comes_back_as_it_was(name: str) -> None:
    results = evaluate(read(options=[option(name)]))
    assert cells_of(table.summary_csv(results, "us"))[0][3] == name
    assert {record["option"] for record in records_of(table.takeoff_csv(results, "us"))} == {name}


def test_symbols_survive_as_bytes() -> None:
    project = read(units="si", options=[option(rates={"currency": "€", "dig": "40 per m^3"})])
    raw = table.takeoff_csv(evaluate(project), "si").encode("utf-8")
    assert raw.startswith(b"\xef\xbb\xbf")  # spreadsheet programs know UTF-8 by it
    text = raw.decode("utf-8-sig")
    assert all(symbol in text for symbol in ("m²", "m³", "€"))
    assert "\r\n" in text


def test_a_degree_sign_follows_its_number() -> None:
    assert row_of("A", "", "steepest_batter", input_entry("", 33.5, ANGLE), "us").text.endswith("33.5°")


@pytest.mark.parametrize(("currency", "text"), [("$", "$1,234.40"), ("€", "€1,234.40"), ("AUD", "AUD 1,234.40")])
def test_money_stands_behind_its_currency(currency: str, text: str) -> None:
    assert row_of("A", currency, "total_price", input_entry("", 1234.4, MONEY), "us").text == text


def test_a_count_keeps_every_digit() -> None:
    row = row_of("A", "", "boulder_count", input_entry("seat", 12345, COUNT), "us")
    assert (row.value, row.text) == ("12345", "12,345")


def test_a_terminal_s_table_has_a_line_an_entry() -> None:
    rows = table.rows(evaluate(full_project()).options[0], "us")
    lines = table.table_text(rows).splitlines()
    assert len(lines) == len(rows)
    for line, row in zip(lines, rows, strict=True):
        assert row.label in line
        assert row.text in line
    assert table.table_text([]) == ""


def test_what_is_below_the_tolerance_of_its_kind_is_shown_as_nothing_and_kept_whole() -> None:
    """0.1 mm, 0.1 l, 1 g, half a cent: just above each stands, just below is 0, and its number stays."""
    for kind, least, key in (
        (LENGTH, 1e-4, "max_depth"),
        (VOLUME, 1e-4, "gross_volume"),
        (MASS, 1e-3, "boulders_order"),
        (MONEY, 0.005, "total_price"),
    ):
        for system in SYSTEMS:
            above, below = (
                row_of("A", "$", key, input_entry("", value, kind), system) for value in (least * 1.01, -least * 0.99)
            )
            assert above.value != "0", kind.name
            assert below.value == "0", kind.name
            assert below.numbers["value"] < 0
            assert signed(least * 0.99, above, system) == "0"


def test_money_in_two_currencies_is_not_subtracted_and_each_keeps_its_own() -> None:
    """By hand: the same pool dug at 40 and at 50 a cubic yard, in dollars and in euros; a third at 50 in dollars."""
    rates = [
        {"currency": currency, "dig": f"{price} per yd^3"} for currency, price in (("$", 40), ("€", 50), ("$", 50))
    ]
    results = evaluate(read(options=[option(name, rates=each) for name, each in zip("ABC", rates, strict=True)]))
    (line,) = [line for line in table.summary_rows(results, "us") if line.key == "total_price"]
    assert line.unit == "A: $; B: €; C: $"
    assert [text[0] for text in line.texts] == ["$", "€", "$"]
    assert line.differences[:2] == ("", "")
    dug = float(line.values[0]) / 40
    assert float(line.differences[2]) == pytest.approx(10 * dug, rel=1e-2)
    assert all("different currencies ($, €)" in note for note in line.notes)
    one = evaluate(read(options=[option("A", rates=rates[0]), option("C", rates=rates[2])]))
    (line,) = [line for line in table.summary_rows(one, "us") if line.key == "total_price"]
    assert line.unit == "$"
    assert not any("currencies" in note for note in line.notes)
