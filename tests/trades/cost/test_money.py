"""Money as it is typed and rounded: by hand, and with prices that no float holds."""

from decimal import Decimal

import pytest

from pondkit.core.entry import input_entry
from pondkit.core.units import AREA, COUNT, MASS, MONEY, PRICE_AREA, PRICE_EACH, PRICE_TIME, TIME, VOLUME, Kind, read
from pondkit.project.files import put
from pondkit.study.evaluate import Results, evaluate
from pondkit.trades.cost.formulas import UnitPrice, cents, exact, price_as_typed, sum_of
from tests.designs import option
from tests.designs import read as project_of


@pytest.mark.parametrize(
    ("text", "kind", "amount", "unit"),
    [
        ("1.10 per ft^2", PRICE_AREA, "1.10", "ft²"),
        ("0.07 per m²", PRICE_AREA, "0.07", "m²"),
        (".5 per ft^2", PRICE_AREA, ".5", "ft²"),
        ("3 1/2 per ft^2", PRICE_AREA, "3.5", "ft²"),
        ("12.50 each", PRICE_EACH, "12.50", ""),
        ("45 per h", PRICE_TIME, "45", "h"),
        (1.1, PRICE_AREA, "1.1", "ft²"),
    ],
)
def test_a_price_is_the_decimal_that_was_typed(text: str | float, kind: Kind, amount: str, unit: str) -> None:
    assert price_as_typed(read(text, kind, "us"), kind) == UnitPrice(Decimal(amount), unit)


@pytest.mark.parametrize(
    ("amount", "worth"),
    # 1.005 is below half a cent as a float, and half a cent as it is written; so is 2.675.
    [("1.005", "1.01"), ("2.675", "2.68"), ("0.005", "0.01"), ("0.0049", "0.00"), ("-1.005", "-1.01")],
)
def test_half_a_cent_goes_up(amount: str, worth: str) -> None:
    assert cents(Decimal(amount)) == Decimal(worth)
    assert cents(exact(float(amount))) == Decimal(worth)


@pytest.mark.parametrize(
    ("quantity", "kind", "price", "worth"),
    [
        (600 * 0.3048**2, AREA, UnitPrice(Decimal("1.10"), "ft²"), 660.0),
        (1.0737 * 0.9144**3, VOLUME, UnitPrice(Decimal("58"), "yd³"), 62.29),  # 1.074 yd³ is printed: 62.292
        (38.4949 * 0.9144**3, VOLUME, UnitPrice(Decimal("38"), "yd³"), 1462.62),  # 38.49 yd³ is printed
        (12345.678, MASS, UnitPrice(Decimal("0.1"), "kg"), 1234.57),  # 12,345.68 kg: 1,234.568
        (3, COUNT, UnitPrice(Decimal("0.335"), ""), 1.01),
        (9000, TIME, UnitPrice(Decimal("33.33"), "h"), 83.33),  # 2.5 h: 83.325
    ],
)
def test_an_amount_follows_from_the_quantity_and_the_price_as_they_are_printed(
    quantity: float, kind: Kind, price: UnitPrice, worth: float
) -> None:
    assert price.of(quantity, kind) == worth
    assert Decimal(str(worth)) == cents(price.bought(quantity, kind) * price.amount)


def test_a_sum_of_many_amounts_has_no_rest_below_a_cent() -> None:
    assert sum_of("", [input_entry("", 0.1, MONEY)] * 3).value == 0.3


def test_the_rough_total_is_the_sum_of_its_lines_to_the_cent() -> None:
    project = project_of(options=[option()])
    rates = {"dig": "41.37 per yd^3", "labour": "33.33 per h"}
    lines = [{"item": "total_surface_area", "unit": "ft^2", "price": 0.335, "labour": "0.01 h"}]
    price = evaluate(put(project, ("prices",), rates | {"lines": lines})).options[0].price
    assert len(price.costs) == 3
    worked = [cents(cost.quantity * cost.each.amount) for cost in price.costs]
    assert [Decimal(str(line.value)) for line in price.price] == worked
    assert Decimal(str(price.total_price.value)) == sum(worked)


def test_deliveries_are_whole_loads_at_their_own_price() -> None:
    """By hand: 170 ft² and some of water surface, 50 a load: four loads at 85."""
    line = {"item": "total_surface_area", "unit": "ft^2", "price": 1, "load_size": 50, "load_price": "85"}
    price = evaluate(put(project_of(options=[option()]), ("prices",), {"lines": [line]})).options[0].price
    (loads,) = price.delivery_loads
    assert loads.value == 4
    assert [(cost.name, cost.price.value) for cost in price.costs][1:] == [("Delivery, Water surface in all", 340.0)]
    assert price.total_price.value == round(price.costs[0].price.value + 340, 2)


def test_a_line_of_the_job_may_name_a_stone_that_only_one_option_has() -> None:
    """Wrong is a name that no option has; one option alone has no other to look in."""

    def results(*names: str, of: str) -> Results:
        stone = {"axes": ["30 in", "24 in", "18 in"], "pool": "pool"}
        options = [option(name, stone={"boulders": [stone | {"name": name}]}) for name in names]
        lines = [{"item": "boulder_count", "of": of, "price": 90}]
        return evaluate(put(project_of(options=options), ("prices",), {"dig": "40 per yd^3", "lines": lines}))

    both = results("seat", "step", of="seat")
    assert not both.problems
    here, there = (each.price for each in both.options)
    assert len(here.costs) == len(there.costs) + 1
    assert "this option has none of it: boulders, seat" in " ".join(each.text for each in there.total_price.cautions)
    for wrong in (results("seat", "step", of="seet"), results("seat", of="step")):
        ((path, problem),) = wrong.problems
        assert path == ("prices", "lines", 0, "of")
        assert "is in this option" in problem.given.text
