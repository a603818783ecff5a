"""The arithmetic of a quotation: an example worked by hand to the cent, and what must hold of any."""

from decimal import Decimal
from typing import Any

import pytest

from pondkit.core.entry import input_entry
from pondkit.core.refusal import Refused
from pondkit.core.units import MONEY
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.formulas import UnitPrice
from pondkit.trades.cost.inputs import Quotation
from pondkit.trades.cost.quotation import Quote, percent, plain, quote, spread
from pondkit.trades.cost.results import CostLine
from tests.designs import option, read


def cost(name: str, quantity: str, each: str, tax: float | None = None, group: str = "dig") -> CostLine:
    worth = float(Decimal(quantity) * Decimal(each))
    return CostLine(
        name, group, Decimal(quantity), UnitPrice(Decimal(each), "m²"), input_entry(name, worth, MONEY), tax
    )


def made(costs: list[CostLine], contingency: float | None = None, **terms: Any) -> Quote:
    return quote(Quotation.model_validate(terms, context={"units": "si"}), costs, contingency)


STEPS = [{"when": "on order", "share": "33.3 %"}, {"when": "liner laid", "share": "40 %"}, {"when": "on completion"}]


def test_a_quotation_worked_by_hand() -> None:
    """Overhead 10 % and a margin of 20 % of the price sell at 1.1/0.8 = 1.375 of the cost.

    10.5 m² at 3.33 cost 34.965, so 34.97; they sell at 4.57875, so 4.58: 48.09. 3 h at 40.10 cost 120.30; at 55.1375,
    so 55.14: 165.42. Contingency of 5 % of 155.27 costs 7.7635, so 7.76; it sells at 10.67. In all 224.18. Less 2.5 %,
    5.60 (5.6045): of 58.76 at 20 % tax 1.47 (1.469), the rest, 4.13, of 165.42 at 10 %. Tax 20 % of 57.29 is 11.46
    (11.458), 10 % of 161.29 is 16.13 (16.129). Total 246.17. Payments: 33.3 % 81.97 (81.97461), 40 % 98.47, the rest
    65.73.
    """
    lines = [{"what": "watch", "quantity": 3, "unit": "h", "price": 40.10, "tax": "10 %"}]
    terms = {"overhead": "10 %", "margin": "20 %", "tax": "20 %", "discount": "2.5 %", "lines": lines, "steps": STEPS}
    found = made([cost("liner", "10.5", "3.33")], 0.05, **terms)
    assert [(str(item.each), str(item.amount), str(item.cost)) for item in found.items] == [
        ("4.58", "48.09", "34.97"),
        ("55.14", "165.42", "120.30"),
        ("10.67", "10.67", "7.76"),
    ]
    assert [tuple(map(str, (t.rate, t.base, t.discount, t.tax))) for t in found.taxes] == [
        ("0.2", "58.76", "1.47", "11.46"),
        ("0.1", "165.42", "4.13", "16.13"),
    ]
    assert tuple(map(str, (found.net, found.discount, found.tax, found.total))) == ("224.18", "5.60", "27.59", "246.17")
    assert [str(step.amount) for step in found.payments] == ["81.97", "98.47", "65.73"]
    assert tuple(map(str, (found.cost, found.overhead, found.margin))) == ("163.03", "16.30", "39.25")
    assert round(found.margin_share, 4) == Decimal("0.1796")  # 39.25 of 224.18 - 5.60


def test_the_discount_is_that_of_the_sum_whatever_taxes_it_is_parted_by() -> None:
    """1 % of 1.50 is 1.5 cents, so 2 cents; of each 0.50 alone half a cent, which rounds to a cent: 3 in all."""
    costs = [cost(name, "1", "0.50", tax) for name, tax in (("a", 0.0), ("b", 0.05), ("c", 0.2))]
    found = made(costs, discount="1 %")
    assert (found.net, found.discount) == (Decimal("1.50"), Decimal("0.02"))
    assert sum(line.discount for line in found.taxes) == found.discount


def test_what_ranges_may_save_and_add_is_sold_as_the_lines_are() -> None:
    """At 1.1 / 0.8 = 1.375 of the cost: 10 sell at 13.75, 20.30 at 27.9125."""
    terms = Quotation.model_validate({"overhead": "10 %", "margin": "20 %"}, context={"units": "si"})
    assert tuple(map(str, spread(Decimal("10"), Decimal("20.30"), terms))) == ("13.75", "27.91")


def test_without_overhead_and_margin_it_is_sold_as_it_costs() -> None:
    found = made([cost("liner", "1363", "1.15"), cost("underlay", "1359.99", "0.4233")])
    assert [item.each for item in found.items] == [Decimal("1.15"), Decimal("0.4233")]
    assert found.total == found.net == found.cost == Decimal("1567.45") + Decimal("575.68")  # 575.683767
    assert found.tax == 0


@pytest.mark.parametrize("kind", ["optional", "alternative"])
def test_what_is_optional_or_an_alternative_is_told_and_not_in_the_total(kind: str) -> None:
    line = {"what": "thicker liner", "quantity": 2, "price": 12.35, "kind": kind}
    found = made([cost("liner", "10", "1")], lines=[line], overhead="10 %")
    (item,) = found.optional if kind == "optional" else found.alternatives
    assert (item.each, item.amount) == (Decimal("13.59"), Decimal("27.18"))  # 13.585 a piece
    assert found.total == Decimal("11.00")


def test_a_line_without_a_price_is_named_and_in_no_sum() -> None:
    found = made([cost("liner", "10", "1")], lines=[{"what": "electrician"}])
    assert found.unpriced == ("electrician",)
    assert found.total == 10


@pytest.mark.parametrize("total", ["0.01", "0.02", "99.99", "100.00", "12345.67"])
def test_payments_add_up_to_the_total_to_the_cent(total: str) -> None:
    for steps in (STEPS, [{"when": f"step {at}", "share": share} for at, share in enumerate(("33.3 %", "66.7 %"))]):
        found = made([cost("all", "1", total)], steps=steps)
        assert sum(step.amount for step in found.payments) == found.total == Decimal(total)


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        (["30 %", "60 %"], "make {given} of the total"),
        (["60 %", "60 %"], "make {given} of the total"),
        (["100 %", None], "one more takes the rest"),
        ([None, None], "a second step without a share"),
    ],
)
def test_payments_that_do_not_make_the_whole_are_a_problem(shares: list[str | None], said: str) -> None:
    steps = [{"when": f"step {at}", "share": share} for at, share in enumerate(shares)]
    results = evaluate(put(read(options=[option()]), ("quotation",), {"steps": steps}))
    ((path, problem),) = results.problems
    assert path[:2] == ("quotation", "steps")
    assert said in problem.given.text
    assert not made([cost("all", "1", "100")], steps=steps).payments
    assert not evaluate(put(read(options=[option()]), ("quotation",), {"steps": STEPS})).problems


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("tax", "300 %", ("Tax is 300 %", "0 %", "50 %")),
        ("tax", "8,25 %", ("comma",)),
        ("margin", "100 %", ("Margin is 100 %", "80 %")),
        ("discount", "-5 %", ("Discount is -5 %",)),
        ("valid_days", 0, ("Valid for", "1")),
        ("lines", [{"what": "x", "price": "1,5"}], ("quotation line", "Price", "comma")),
        ("lines", [{"what": "x", "price": "dear"}], ("Price",)),
        ("terms", "a\x07b", ("Terms",)),
        ("tax_name", "", ("Tax is called",)),
    ],
)
def test_what_no_quotation_can_state_is_refused_by_name(field: str, value: Any, words: tuple[str, ...]) -> None:
    with pytest.raises(Refused) as refused:
        put(read(units="si", options=[option()]), ("quotation",), {field: value}, "si")
    assert all(word in str(refused.value) for word in words), str(refused.value)


def test_shares_and_numbers_are_printed_plainly() -> None:
    assert [percent(Decimal(share)) for share in ("0.0825", "0.1", "0", "1")] == ["8.25 %", "10 %", "0 %", "100 %"]
    assert [plain(Decimal(number)) for number in ("1363.00", "100", "0.050", "1E+2")] == ["1363", "100", "0.05", "100"]
