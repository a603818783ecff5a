"""The quotation as it is sent, its table, and the sheet that is for the builder alone."""

import csv
import io
from decimal import Decimal
from typing import Any

import pandas
import pytest

from pondkit import Project
from pondkit.core.units import SYSTEMS
from pondkit.drawing.blocks import Block, Items, Table, Text
from pondkit.project.files import put
from pondkit.report.papers import PAPERS, paper
from pondkit.report.papers.quotation import builder, quotation, quotation_csv
from pondkit.report.papers.sheet import Sheet
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, option, pool, read

from . import reading

TERMS: dict[str, Any] = {
    "overhead": "12 %",
    "margin": "15 %",
    "discount": "3 %",
    "tax_name": "Sales tax",
    "tax": "8.25 %",
    "valid_days": 30,
    "lines": [
        {"what": "Set up", "quantity": 2, "unit": "day", "price": 480, "tax": "0 %"},
        {"what": "Plants", "price": 1250.5, "kind": "optional"},
        {"what": "Thicker liner", "price": 2250, "kind": "alternative", "instead_of": "Liner"},
        {"what": "Electrician"},
    ],
    "steps": [{"when": "on order", "share": "33.3 %"}, {"when": "on completion"}],
    "excluded": "Mains supply\nPermits",
    "terms": "Access is kept free.",
}


def quoted(name: str = "turtle_yard", **terms: Any) -> Project:
    project = put(demo(name), ("quotation",), TERMS | terms)
    return put(project, ("site", "job"), {"client": "R. Meadow", "date": "2026-05-31", "firm": {"name": "Sedge"}})


def sheet(project: Project) -> Sheet:
    return Sheet(evaluate(project), 0, project.units, "letter")


def tables(blocks: Any) -> list[Table]:
    return [block for block in blocks if isinstance(block, Table)]


def amount(text: str) -> Decimal:
    return Decimal(text.replace(",", "").lstrip("-$€AUD ")) * (-1 if text.startswith("-") else 1)


OWN = [(name, demo(name)) for name in ("turtle_court", "platypus_creek")]


@pytest.mark.parametrize(
    "project",
    [pytest.param(quoted(name), id=name) for name in DEMO_NAMES]
    + [pytest.param(project, id=f"{name}, its own") for name, project in OWN],
)
def test_what_is_printed_adds_up_line_by_line(project: Project) -> None:
    """Quantity times price is the amount; sections sum to their lines, the total to what stands above it."""
    work = tables(quotation(sheet(project)))[0]
    lines = [row for row in work.rows if row[1]]
    for row in lines:
        product = Decimal(row[1].replace(",", "")) * amount(row[3])
        assert abs(product - amount(row[4])) <= Decimal("0.005"), row
    sections = [work.rows[at] for at in work.strong[:-2]]
    sum_of_lines, total = (work.rows[at] for at in work.strong[-2:])
    assert sum(amount(row[4]) for row in lines) == sum(amount(row[4]) for row in sections) == amount(sum_of_lines[4])
    between = work.rows[work.strong[-2] + 1 : work.strong[-1]]
    assert amount(sum_of_lines[4]) + sum(amount(row[4]) for row in between) == amount(total[4])
    payment = tables(quotation(sheet(project)))[-1]
    assert sum(amount(row[2]) for row in payment.rows[:-1]) == amount(payment.rows[-1][2]) == amount(total[4])


def test_the_quotation_says_what_is_optional_what_is_not_in_it_and_how_long_it_is_valid() -> None:
    blocks = list(quotation(sheet(quoted())))
    text = str(blocks)
    for words in (
        "30 days, until 2026-06-30",
        "R. Meadow",
        "Plants",
        "Thicker liner",
        "For Sedge",
        "Access is kept free.",
    ):
        assert words in text
    out = next(block for block in blocks if isinstance(block, Items)).texts
    assert out[:2] == ("Mains supply", "Permits")
    assert "Electrician" in out[2]
    assert "12 %" not in text and "margin" not in text.lower()  # the client sees no overhead and no margin
    work = tables(blocks)[0]
    assert not any(row[0] in ("Plants", "Thicker liner") for row in work.rows)


def test_a_range_is_shown_only_where_it_is_wanted() -> None:
    def said(show: bool) -> bool:
        return any(
            "ranges" in block.text for block in quotation(sheet(quoted(show_range=show))) if isinstance(block, Text)
        )

    assert said(True)
    assert not said(False)


def test_the_builder_s_sheet_has_cost_and_margin_and_what_drives_it() -> None:
    found = sheet(quoted())
    costs, sections, drivers, *_ = tables(builder(found))
    cost, overhead, margin, price = (amount(row[1]) for row in costs.rows)
    assert cost + overhead + margin == price
    assert amount(sections.rows[-1][1]) == cost
    sizes = [amount(row[1]) for row in drivers.rows]
    assert sizes == sorted(sizes, reverse=True)


def boxes(blocks: list[Block]) -> str:
    return " ".join(block.text for block in blocks if isinstance(block, Text) and block.look == "box")


def test_a_quotation_in_the_other_units_says_each_quantity_in_both_and_keeps_every_cent() -> None:
    """1 yd³ is 0.764554857984 m³, 1 ft² 0.09290304 m², a short ton 907.18474 kg, 1 ft 0.3048 m: exact by definition."""
    results = evaluate(quoted())
    us, si = (list(quotation(Sheet(results, 0, units, "letter"))) for units in SYSTEMS)
    factors = {  # to each unit in which the quantity may stand
        "yd³": {"m³": 0.764554857984, "L": 764.554857984},
        "ft²": {"m²": 0.09290304},
        "short ton": {"kg": 907.18474, "tonne": 0.90718474},
        "ft": {"m": 0.3048},
    }
    converted = set()
    for there, here in zip(tables(us), tables(si), strict=True):
        for own, row in zip(there.rows, here.rows, strict=True):
            assert row[1:] == own[1:]
            name, _, also = row[0].partition(" (")
            if row[2:] and row[2] in factors:
                number, _, unit = also.removesuffix(")").partition(" ")
                assert name == own[0]
                theirs = float(row[1].replace(",", "")) * factors[row[2]][unit]
                assert float(number.replace(",", "")) == pytest.approx(theirs, rel=5e-4)
                converted.add(row[2])
            else:
                assert row[0] == own[0]
    assert converted == set(factors)
    notes = [[block.text for block in blocks if isinstance(block, Text)] for blocks in (us, si)]
    assert [sum("in brackets" in text for text in texts) for texts in notes] == [0, 1]


@pytest.mark.parametrize("make", [quotation, builder])
def test_without_prices_or_with_an_option_in_trouble_it_says_what_is_missing(make: Any) -> None:
    assert "No prices are entered" in boxes(list(make(sheet(read(options=[option()])))))
    over = {"pools": [pool("one"), pool("two", at=["5 ft", "0 ft"])]}
    liner = {"lining": {"liners": [{"name": "main", "covers": ["none"]}]}}  # the pools are sound
    for trouble in (over, liner):
        project = put(read(options=[option("A", **trouble)]), ("prices",), {"dig": "40 per yd^3"})
        said = boxes(list(make(sheet(project))))
        assert "could be worked out" in said
        assert "No prices are entered" not in said


@pytest.mark.parametrize("key", ["quotation", "builder", "order", "quote_request"])
@pytest.mark.parametrize("size", ["letter", "a4"])
def test_each_paper_opens_and_no_word_lies_over_another(key: str, size: Any) -> None:
    odd = "</b> #strong[x] $a$ 水" + "e" * 60
    project = put(quoted(), ("quotation", "terms"), odd)
    kind = next(kind for kind in PAPERS if kind.key == key)
    made = paper(kind, evaluate(project), 0, "us", size)
    assert reading.pages(made)
    assert not reading.overprinted(made)
    if key == "quotation":
        assert "#strong[x] $a$" in reading.text(made)


def test_the_table_of_a_quotation_adds_up_and_opens_in_pandas() -> None:
    raw = quotation_csv(sheet(quoted()))
    frame = pandas.read_csv(io.BytesIO(raw.encode("utf-8")))
    assert list(frame.columns) == ["kind", "section", "what", "quantity", "unit", "price", "amount", "tax", "currency"]
    rows = list(csv.DictReader(io.StringIO(raw.removeprefix("\ufeff"))))
    of = {
        kind: [Decimal(row["amount"]) for row in rows if row["kind"] == kind] for kind in {row["kind"] for row in rows}
    }
    assert sum(of["line"]) == of["sum"][0]
    assert of["sum"][0] + sum(of["discount"]) + sum(of["tax"]) == of["total"][0] == sum(of["payment"])
    assert quotation_csv(sheet(read(options=[option()]))).count("\n") == 1
