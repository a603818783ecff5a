"""A price list as CSV: there and back, as spreadsheet programs write it, and what is wrong told by row and column."""

import csv
import io

import pytest

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS, System
from pondkit.project.files import put
from pondkit.report.table import price_csv
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import items, price_list
from tests.designs import DEMO_NAMES, demo, full_project

LINES = ("prices", "lines")


def refused(text: str | bytes) -> str:
    with pytest.raises(Refused) as caught:
        price_list(text if isinstance(text, bytes) else text.encode(), "us")
    return str(caught.value)


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_list_goes_out_and_comes_back_as_it_was(system: System) -> None:
    project = full_project()
    text = price_csv(evaluate(project).options[0], system)
    lines = price_list(text.encode(), system)
    assert lines == project.prices.lines
    again = put(project, LINES, lines)
    assert price_csv(evaluate(again).options[0], system) == text


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_template_has_every_quantity_and_each_row_can_be_priced(name: str, system: System) -> None:
    project = demo(name)
    if project.prices:  # an example's own lines name parts that another option has
        project = put(project, LINES, ())
    result = evaluate(project).options[0]
    rows = list(csv.DictReader(io.StringIO(price_csv(result, system).removeprefix("\ufeff"), newline="")))
    assert {row["item"] for row in rows} == {
        key for key, figure in result.entries() if key in items() and figure.value > 0
    }
    assert all(float(row["net"]) > 0 for row in rows)
    for row in rows:
        row["price"] = "2"
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    lines = price_list(out.getvalue().encode(), system)
    assert len(lines) == len(rows)
    assert not [p for path, p in evaluate(put(project, LINES, lines)).problems if path[:3] == LINES[:3]]


def test_a_list_without_a_price_is_told() -> None:
    bare = put(full_project(), LINES, ())
    assert "No row of the list has a price" in refused(price_csv(evaluate(bare).options[0], "us"))


@pytest.mark.parametrize("apart", [",", ";", "\t"])
@pytest.mark.parametrize("unit", ["ft^2", "ft²", "sq ft", "ft2", "per ft^2", "SQ FT", "square feet"])
def test_units_and_separators_as_people_write_them(apart: str, unit: str) -> None:
    rows = [["Item", "UNIT", "Price", "lead time"], ["Liner to order", unit, "1.10", "12"]]
    text = "\ufeff" + "\r\n".join(apart.join(row) for row in rows) + "\r\n\r\n"
    (line,) = price_list(text.encode(), "us")
    assert (line.item, line.unit, line.price, line.lead_days) == ("liner_area", "ft^2", 1.1, 12)


@pytest.mark.parametrize("name", ["liner_area", "Liner area", "liner_area_order", "total_liner_order", "LINER IN ALL"])
def test_an_item_by_key_or_name_is_priced_by_its_net(name: str) -> None:
    (line,) = price_list(f"item,unit,price\n{name},ft^2,1\n".encode(), "us")
    assert line.item == "liner_area"


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("Liner area,,1", ("row 3, unit: nothing is written; write one of ft^2, yd^2, m^2",)),
        ("Liner area,ft,1", ("row 3, unit: 'ft' for liner area, which is an area", "ft^2")),
        ("Liner area,ft^2,one", ("row 3, Price: 'one' is not an amount of money; write 120",)),
        ('Liner area,ft^2,"1,10"', ("row 3, Price", "a comma in its number", "write '1.10' or '110'")),
        ("Liner area,ft^2,-1", ("row 3, Price is -1; allowed is 0 to 100000",)),
        ("Liner area,ft^2,=A1*2", ("row 3, Price: '=A1*2' is not an amount of money",)),
        ("Liner area,ft^2,1,500", ("row 3, Waste is 500 %; allowed is 0 % to 100 %",)),
        ("Liner aera,ft^2,1", ("row 3, item: 'Liner aera' is no quantity", "Did you mean 'Liner area'")),
        (",ft^2,1", ("row 3, item: nothing is written",)),
        ("boulders to order,ton,1", ("row 3, unit: 'ton'", "short ton, long ton, kg, tonne")),
        ("dig volume,yd^3,2", ("row 3, item: Dig volume (all of it) is priced in row 2 already",)),
    ],
)
def test_what_is_wrong_is_told_by_row_and_column(row: str, words: tuple[str, ...]) -> None:
    message = refused(f"item,unit,price,waste\ndig volume,yd^3,40\n{row}\n")
    assert all(word in message for word in words), message


def test_every_row_at_fault_is_told_and_no_more_than_a_person_reads() -> None:
    assert len(refused("item,unit,price\n" + "nothing,ft,x\n" * 3).splitlines()) == 3
    many = refused("item,unit,price\n" + "nothing,ft,x\n" * 50).splitlines()
    assert many[-1] == "… and 38 more."


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "The list is empty"),
        (b"PK\x03\x04", "a workbook"),
        (b"item,unit,price\n\xff", "not UTF-8"),
        (b"item,unit\n", "the column 'price' is not there"),
        (b"item,unit,pricce\n", "'pricce' is no column here. Did you mean 'price'?"),
        (b"item,unit,price,unit price\n", "stands twice"),
        (b"item,unit,price\na\0b,ft,1\n", "row 2"),
        (b"x" * 600_000, "600,000 bytes"),
        (b'item,unit,price\n"' + b"x" * 200_000 + b'",ft,1\n', "Row"),
        (
            b"item,unit,price\nliner area,ft^2,1\n" + b"".join(b"fittings,each,1\n" for _ in range(2)),
            "is priced in row 3",
        ),
    ],
)
def test_a_file_that_is_no_list_is_told(raw: bytes, words: str) -> None:
    assert words in refused(raw)


@pytest.mark.parametrize("text", ["=1+2", "+cmd", "-rush", "@here"])
def test_a_text_that_looks_like_a_formula_is_escaped_and_comes_back(text: str) -> None:
    line = {"item": "dig_volume", "unit": "yd^3", "price": 3, "supplier": text, "note": text}
    project = put(full_project(), LINES, (line,))
    out = price_csv(evaluate(project).options[0], "us")
    cells = [cell for row in csv.reader(io.StringIO(out.removeprefix("\ufeff"), newline="")) for cell in row]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
    assert f"'{text}" in cells
    assert price_list(out.encode(), "us") == project.prices.lines


def test_a_gallon_is_not_guessed_in_a_list_of_si_units() -> None:
    text = b"item,unit,price\ntotal_net_volume,gal,1\n"
    (line,) = price_list(text, "us")
    assert line.unit == "US gal"
    with pytest.raises(Refused) as refused:
        price_list(text, "si")
    assert "'gal'" in refused.value.reasons[0] and "US gal" in refused.value.reasons[0]
