"""The order list: the figure that is taken, its contingency, and who it comes from and when."""

import re

import pytest

from pondkit import Project
from pondkit.core.units import SYSTEMS, System
from pondkit.project.files import put
from pondkit.report import orders, table
from pondkit.study.evaluate import evaluate
from tests.designs import DEMO_NAMES, demo, full_project
from tests.report.papers import reading

OPTION = ("options", 0)
LINES = ("prices", "lines")


def ordering(project: Project, system: System = "us") -> dict[tuple[str, str], orders.OrderRow]:
    return {(row.what, row.of): row for row in orders.bought(evaluate(project).options[0], system)}


def printed(project: Project) -> str:
    """The order list's words, a line each."""
    return "\n".join(reading.texts(reading.blocks("order", evaluate(project), 0, "us")))


def number(text: str) -> float:
    return float(re.sub(r"[^\d.]", "", text))


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("name", DEMO_NAMES)
def test_typical_and_contingency_make_the_high_that_may_be_ordered(name: str, system: System) -> None:
    project = demo(name)
    typical, high = ordering(project, system), ordering(put(project, (*OPTION, "order_takes"), "high"), system)
    ranged = [key for key, row in typical.items() if row.spare]
    assert ranged
    for key, row in typical.items():
        if key in ranged:
            assert number(row.text) + number(row.spare) == pytest.approx(number(high[key].text), rel=2e-3)
            assert high[key].spare == "in the order"
        else:
            assert row == high[key]


@pytest.mark.parametrize("takes", ["typical", "high"])
def test_the_print_says_which_figure_it_takes(takes: str) -> None:
    results = evaluate(put(full_project(), (*OPTION, "order_takes"), takes))
    said = " ".join(reading.texts(reading.blocks("order", results, 0, "us")))
    assert orders.TAKES[takes] in said
    other = next(text for key, text in orders.TAKES.items() if key != takes)
    assert other not in said


def test_supplier_and_lead_of_a_line_stand_with_all_that_it_buys() -> None:
    lines = (
        {"item": "liner_area", "unit": "ft^2", "price": 1, "waste": "10 %", "supplier": "Reed & Rush", "lead_days": 21},
        {"item": "truck_loads", "price": 200, "supplier": "Ox Haulage", "lead_days": 3},
        {"item": "fitting_count", "supplier": "Bend & Sons"},
    )
    project = put(full_project(), LINES, lines)
    found = ordering(project)
    row = found["Liner to order", "main"]
    assert (row.supplier, row.lead_days) == ("Reed & Rush", 21)
    amount = next(r.text for r in table.rows(evaluate(project).options[0], "us") if r.key == "line_amount")
    assert row.by_list == amount
    fittings = [row for (what, _), row in found.items() if what == "Fittings"]
    assert {row.supplier for row in fittings} == {"Bend & Sons"}
    assert all(row.by_list.endswith(" in all") for row in fittings)
    page = printed(project)
    assert "Reed & Rush" in page
    assert "21 days before" in page
    assert page.index("By day of need") < page.rindex("Reed & Rush")


def test_what_only_the_list_buys_is_ordered_too() -> None:
    lines = ({"item": "dig_volume", "unit": "yd^3", "price": 40, "supplier": "Ox Haulage", "lead_days": 3},)
    row = ordering(put(full_project(), LINES, lines))["Dig volume", ""]
    assert (row.supplier, row.before) == ("Ox Haulage", "3 days before")


def test_within_a_stage_what_is_ordered_first_comes_first() -> None:
    lines = tuple(
        {"item": item, "unit": "ft^2", "supplier": f"S{days}", "lead_days": days}
        for item, days in (("liner_area", 5), ("underlay_area", 30), ("overlay_area", 12))
    )
    page = printed(put(full_project(), LINES, lines))
    tail = page[page.index("By day of need") :]
    assert tail.index("30 days before") < tail.index("12 days before") < tail.rindex("5 days before")


def test_beds_under_boulders_are_needed_before_the_liner() -> None:
    results = evaluate(demo("turtle_yard"))
    (row,) = [row for row in orders.bought(results.options[1], "us") if "edding" in row.what]
    assert row.stage.startswith("1.") and "before the liner" in row.stage


def test_the_list_by_day_says_what_is_bought() -> None:
    lines = ({"item": "total_gravel_volume", "unit": "yd^3", "price": 60, "minimum": 3},)
    page = printed(put(full_project(), LINES, lines))
    assert "Gravel in all  3 yd³" in page[page.index("By day of need") :]


def test_without_rates_there_is_a_list_without_money() -> None:
    page = printed(put(full_project(), ("prices",), None))
    assert "Liner to order" in page
    assert "By the price list" not in page
    assert "\nMoney\n" not in page
