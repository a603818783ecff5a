"""The price list against a sum of its own: net quantity, waste, minimum, unit of sale,
price and hours, in exact fractions.
"""

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest

from pondkit import Project
from pondkit.drawing.rows import say_problem, working
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs import items, units_of
from tests.designs import DEMO_NAMES, demo, full_project

# SI size of each unit: exact by definition (international foot and pound of 1959, US gallon of 231 cubic inches).
FT, LB = Fraction("0.3048"), Fraction("0.45359237")
SIZE = {
    "each": Fraction(1),
    "in": FT / 12,
    "ft": FT,
    "yd": FT * 3,
    "cm": Fraction("0.01"),
    "m": Fraction(1),
    "ft^2": FT**2,
    "yd^2": FT**2 * 9,
    "m^2": Fraction(1),
    "ft^3": FT**3,
    "yd^3": FT**3 * 27,
    "US gal": 231 * (FT / 12) ** 3,
    "L": Fraction("0.001"),
    "m^3": Fraction(1),
    "lb": LB,
    "short ton": 2000 * LB,
    "long ton": 2240 * LB,
    "kg": Fraction(1),
    "tonne": Fraction(1000),
}
LINES = ("prices", "lines")
NO_WASTE = ("_to_buy", "_rolls", "_loads")


def with_lines(project: Project, lines: list[dict[str, Any]], **rates: Any) -> Project:
    """The first option with these lines and rates, and no others."""
    return put(project, LINES[:1], {"currency": "$", "lines": lines} | rates)


def result_of(project: Project) -> Any:
    return evaluate(project).options[0].price


def to_the_cent(quantity: Fraction, price: Decimal) -> Decimal:
    """Quantity as printed (to a hundredth, below ten to four figures) times price, half a cent upward."""
    number = Decimal(quantity.numerator) / Decimal(quantity.denominator)
    step = Decimal("0.01") if number >= 10 else Decimal(1).scaleb(number.adjusted() - 3)
    return (number.quantize(step) * price).quantize(Decimal("0.01"), ROUND_HALF_UP)


def every_line() -> list[dict[str, Any]]:
    """A line for every item, each with other terms, the units taken in turn."""
    lines = []
    for number, item in enumerate(items()):
        fit = units_of(item)
        counted = fit == ("each",)
        lines.append(
            {
                "item": item,
                "unit": fit[number % len(fit)],
                "price": 3 + number * 1.25,
                "waste": 0 if item.endswith(NO_WASTE) else f"{number % 13} %",
                "sale_unit": (0, 1, 5)[number % 3] if counted else (0, 0.5, 10)[number % 3],
                "minimum": (0, 3, 120)[number // 3 % 3],
                "labour": f"{number % 4 * 0.03} h",
                "machine": f"{number % 3 * 1.5} min",
            }
        )
    return lines


@pytest.mark.parametrize("project", [*map(demo, DEMO_NAMES), full_project()], ids=[*DEMO_NAMES, "full"])
def test_the_budget_is_the_independent_sum_of_quantities_times_prices(project: Project) -> None:
    project = with_lines(project, every_line(), labour="40 per h", machine="90 per h")
    option = evaluate(project).options[0]
    whole, labour, machine, met = Decimal(0), Fraction(0), Fraction(0), 0
    for line in every_line():
        net = sum(Fraction(figure.value) for key, figure in option.entries() if key == line["item"])
        if not net:
            continue
        met += 1
        units = net / SIZE[line["unit"]]
        bought = max(units * (1 + Fraction(str(line["waste"]).split()[0]) / 100), Fraction(line["minimum"]))
        step = Fraction(line["sale_unit"]) or (1 if line["unit"] == "each" else 0)
        if step:
            bought = math.ceil(bought / step - Fraction(1, 10**9)) * step  # a rounding error is no further unit
        whole += to_the_cent(bought, Decimal(str(line["price"])))
        labour += units * Fraction(line["labour"].split()[0])
        machine += units * Fraction(line["machine"].split()[0]) / 60
    (dig,) = [line for line in every_line() if line["item"] == "dig_volume"]
    if dig["machine"] == "0.0 min":  # else the person's own hours stand in for the bucket's
        machine += sum(Fraction(figure.value) / 3600 for key, figure in option.entries() if key == "machine_time")
    whole += to_the_cent(labour, Decimal(40)) + to_the_cent(machine, Decimal(90))
    assert met > 10
    assert not option.problems
    assert option.price.total_price.value == float(whole)
    assert option.price.total_labour_time.value == pytest.approx(float(labour) * 3600, rel=1e-9)


@pytest.mark.parametrize(
    ("terms", "worth"),
    [
        ({}, 10),  # 3 x 3.333 pieces of a plain 10 m²
        ({"waste": "10 %"}, 11),
        ({"sale_unit": 4}, 12),
        ({"minimum": 15}, 15),
        ({"minimum": 15, "sale_unit": 4}, 16),  # a minimum is sold in whole units too
        ({"waste": "20 %", "sale_unit": 4}, 12),  # 12 m² exactly: no further unit
    ],
)
def test_what_is_bought_by_hand(terms: dict[str, Any], worth: float) -> None:
    from pondkit.core.entry import Entry
    from pondkit.core.units import AREA
    from pondkit.trades.cost.compute import priced_line
    from pondkit.trades.cost.inputs import PriceLine

    line = PriceLine.model_validate({"item": "pad_area", "unit": "m^2", "price": 2} | terms)
    found = priced_line(line, {"pad_area": [Entry("a", 10.0, AREA, "", "", (), "", 5.0, 10.0)]}, False)
    assert found.amount.value == pytest.approx(worth)
    assert found.price.value == pytest.approx(2 * worth)
    assert found.price.low <= found.price.value == found.price.high


def test_a_line_takes_the_place_of_the_rate_and_of_nothing_else() -> None:
    project = put(full_project(), LINES, ())
    before = result_of(project)
    after = result_of(put(project, LINES, ({"item": "dig_volume", "unit": "yd^3", "price": 40},)))
    assert after.total_price.value == pytest.approx(before.total_price.value)
    assert [line.subject for line in after.price].count("Dig") == 0
    assert any("not by the rate: dig" in caution.text for caution in after.total_price.cautions)


@pytest.mark.parametrize(
    ("name", "option", "item", "rate"),
    [("turtle_yard", 0, "rolls_to_buy", "liner"), ("turtle_yard", 2, "haul_mass", "haul")],
)
def test_a_line_of_what_the_option_has_none_of_leaves_the_rate_alone(
    name: str, option: int, item: str, rate: str
) -> None:
    project = demo(name)
    lines = LINES
    unit = units_of(item)[0]
    before = evaluate(project).options[option].price
    after = evaluate(put(project, lines, ({"item": item, "price": 300, "unit": unit},))).options[option].price
    assert after.total_price.value == pytest.approx(before.total_price.value, rel=1e-12)
    assert any("this option has none of it" in caution.text for caution in after.total_price.cautions)
    bare = put(put(project, lines, ({"item": item, "price": 300, "unit": unit},)), (*lines[:1], rate), None)
    assert rate in " ".join(evaluate(bare).options[option].price.lacking)


def test_hours_for_the_dig_stand_in_for_those_of_its_bucket() -> None:
    """0.1 h a cubic yard of the dig's own volume, at 100 an hour, and nothing of the bucket beside it."""
    lines = [{"item": "dig_volume", "unit": "yd^3", "machine": "0.1 h"}]
    project = with_lines(full_project(), lines, machine="100 per h")
    option = evaluate(project).options[0]
    (dig,) = [figure.value for key, figure in option.entries() if key == "dig_volume"]
    hours = dig / float(SIZE["yd^3"]) / 10
    assert option.price.total_machine_time.value == pytest.approx(hours * 3600, rel=1e-9)
    (paid,) = [line.value for line in option.price.price if line.subject == "Machine"]
    assert paid == float(to_the_cent(Fraction(hours), Decimal(100)))


def test_a_dig_that_is_paid_by_volume_and_by_hours_is_told() -> None:
    said = [
        caution.text
        for caution in result_of(
            with_lines(full_project(), [], dig="40 per yd^3", machine="85 per h")
        ).total_price.cautions
    ]
    assert any("keep both only where both are paid" in text for text in said)
    only = [
        caution.text for caution in result_of(with_lines(full_project(), [], dig="40 per yd^3")).total_price.cautions
    ]
    assert not any("keep both only where both are paid" in text for text in only)


def test_what_is_ordered_without_a_rate_or_a_line_is_named() -> None:
    """Bedding has no rate: without a line of its own it is not in the sum, and that is said."""
    project = demo("turtle_yard")
    (bedding,) = [figure for key, figure in evaluate(project).options[1].entries() if key == "bedding_order"]
    assert bedding.value > 0
    assert any("bedding" in name for name in evaluate(project).options[1].price.lacking)
    priced = put(project, LINES, ({"item": "bedding_order", "unit": "yd^3", "price": 60},))
    assert not any("bedding" in name for name in evaluate(priced).options[1].price.lacking)


def test_a_line_without_a_price_leaves_the_rate_alone() -> None:
    project = put(full_project(), LINES, ({"item": "dig_volume", "unit": "yd^3", "supplier": "Reed & Rush"},))
    assert [line.subject for line in result_of(project).price].count("Dig") == 1


def test_what_no_line_prices_beside_one_that_does_is_named() -> None:
    project = full_project()
    fittings = [figure.subject for key, figure in evaluate(project).options[0].entries() if key == "fitting_count"]
    result = result_of(put(project, LINES, ({"item": "fitting_count", "of": fittings[0], "price": 9},)))
    said = " ".join(caution.text for caution in result.total_price.cautions)
    assert all(f"fittings of {name}" in said for name in fittings[1:])


def test_hours_without_a_rate_are_named() -> None:
    lines = [{"item": "dig_volume", "unit": "yd^3", "price": 1, "labour": "1 h"}]
    result = result_of(with_lines(full_project(), lines))
    assert "of labour" in " ".join(caution.text for caution in result.total_price.cautions)


@pytest.mark.parametrize(
    ("lines", "field", "words"),
    [
        ([{"item": "dig_volume", "unit": "ft^2", "price": 1}], "unit", ("'ft^2' for dig volume", "yd^3")),
        ([{"item": "dig_volume", "unit": "yd^3"}] * 2, "item", ("priced by a line before it", "remove one")),
        ([{"item": "fitting_count"}, {"item": "fitting_count", "of": "x"}], "item", ("priced by a line before it",)),
        ([{"item": "fitting_count", "of": "no such", "price": 1}], "of", ("'no such'", "elbow 45")),
        ([{"item": "underlay_rolls", "price": 1, "waste": "5 %"}], "waste", ("5 %", "set the waste to 0")),
        ([{"item": "boulder_count", "price": 1, "sale_unit": 0.5}], "sale_unit", ("0.5", "a whole number")),
    ],
)
def test_a_line_in_trouble_is_told_and_leaves_no_sum(
    lines: list[dict[str, Any]], field: str, words: tuple[str, ...]
) -> None:
    good = {"item": "pad_area", "unit": "ft^2", "price": 1}
    project = with_lines(put(full_project(), ("options", 0, "lining", "rolls"), ()), [good, *lines])
    results = evaluate(project)
    found = [(path, problem) for path, problem in results.problems if path[:2] == LINES]
    assert any(path[-1] == field for path, _ in found)
    said = " ".join(say_problem(project, path, problem, "us") for path, problem in found)
    assert "price line" in said
    assert all(word in said for word in words), said
    option = results.options[0]
    assert option.price.total_price is None
    assert [line.subject for line in option.price.price] == ["Pads under boulders"]
    assert option.totals.total_net_volume is not None


def test_buying_less_than_the_takeoff_orders_is_said_at_the_amount() -> None:
    def cautions(waste: str) -> list[str]:
        lines = [{"item": "liner_area", "unit": "ft^2", "price": 1, "waste": waste}]
        return [caution.text for caution in result_of(with_lines(full_project(), lines)).line_amount[0].cautions]

    assert any("The takeoff's own order" in text for text in cautions("0 %"))
    assert cautions("100 %") == []


def test_the_working_of_a_line_names_the_price_of_one_unit_of_the_quantity() -> None:
    """4.50 a foot is 14.76 a metre: times the length that is the price, but for what rounding the length does."""
    price = result_of(with_lines(full_project(), [{"item": "pipe_length", "unit": "ft", "price": 4.5}]))
    (figure,) = [one for one in price.price if "ipe" in one.subject]
    terms = {term.name: term.value for term in figure.terms}
    assert terms["rate"] == pytest.approx(4.5 / float(FT))
    assert terms["quantity"] * terms["rate"] == pytest.approx(figure.value, abs=0.03)


def test_a_working_keeps_its_sums() -> None:
    """The largest of two expressions is not the largest of their parts."""
    lines = [{"item": "dig_volume", "unit": "m^3", "price": 1, "waste": "10 %"}]
    assert "net × (1 + waste), minimum" in working(result_of(with_lines(full_project(), lines)).line_amount[0], "si")


def test_contingency_is_the_high_total_less_the_typical() -> None:
    result = result_of(full_project())
    assert result.contingency.value == pytest.approx(result.total_price.high - result.total_price.value)
    sure = with_lines(full_project(), [{"item": "dig_volume", "unit": "m^3", "price": 1}])
    assert result_of(sure).contingency is None
