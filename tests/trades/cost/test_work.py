"""Order quantities times the person's own rates."""

import pytest

from pondkit.core.entry import Entry, input_entry
from pondkit.core.units import AREA, COUNT, LENGTH, MASS, VOLUME
from pondkit.project.files import put
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.inputs.items import FAMILIES
from pondkit.trades.cost.inputs.rates import Rates
from pondkit.trades.cost.work import Price
from pondkit.trades.cost.work import work_out as price_work_out
from tests.designs import DEMO_NAMES, demo, full_project, option, read

KINDS = {
    **dict.fromkeys(("dig", "haul", "gravel", "crushed", "pipe_bedding"), VOLUME),
    **dict.fromkeys(("liner", "underlay", "overlay"), AREA),
    **dict.fromkeys(("boulders", "edging", "wall_stone"), MASS),
    "pipe": LENGTH,
    "fittings": COUNT,
}
# (rate as entered, SI quantity, its price): each quantity written in the rate's own unit.
PRICED = [
    ("dig", "45 per yd^3", 12 * 0.9144**3, 540.0),
    ("haul", "30 per m^3", 7.5, 225.0),
    ("liner", "1.10 per ft^2", 600 * 0.3048**2, 660.0),
    ("underlay", "4 per m^2", 50.0, 200.0),
    ("overlay", "0.40 per ft^2", 600 * 0.3048**2, 240.0),
    ("boulders", "180 per short ton", 3 * 907.18474, 540.0),
    ("edging", "200 per tonne", 1500.0, 300.0),
    ("wall_stone", "90 per tonne", 2500.0, 225.0),
    ("crushed", "40 per m^3", 2.5, 100.0),
    ("pipe_bedding", "40 per yd^3", 3 * 0.9144**3, 120.0),
    ("gravel", "60 per yd^3", 2 * 0.9144**3, 120.0),
    ("pipe", "3.20 per ft", 40 * 0.3048, 128.0),
    ("fittings", "12.50 each", 8, 100.0),
]


def said(result: Price) -> str:
    return " ".join(caution.text for caution in result.total_price.cautions)


def test_a_kind_of_every_rate_is_priced() -> None:
    assert set(FAMILIES) == set(KINDS) == {name for name, *_ in PRICED}
    assert set(Rates.model_fields) == {*KINDS, "labour", "machine", "currency", "note", "lines"}


@pytest.mark.parametrize(("name", "rate", "quantity", "worth"), PRICED)
def test_price_is_quantity_times_rate_in_any_unit(name: str, rate: str, quantity: float, worth: float) -> None:
    rates = Rates.model_validate({name: rate})
    result = price_work_out(rates, {name: input_entry("", quantity, KINDS[name])}, True)
    assert [line.value for line in result.price] == [pytest.approx(worth)]
    assert result.total_price.value == pytest.approx(worth)


def test_the_sum_is_of_all_prices_with_low_and_high_as_theirs() -> None:
    rates = Rates.model_validate({name: rate for name, rate, *_ in PRICED})
    quantities = {name: input_entry("", quantity, KINDS[name]) for name, _, quantity, _ in PRICED}
    quantities["boulders"] = Entry("", 3 * 907.18474, MASS, "", "", (), "", low=2 * 907.18474, high=5 * 907.18474)
    result = price_work_out(rates, quantities, True)
    total = result.total_price
    assert total.value == pytest.approx(sum(worth for *_, worth in PRICED))
    assert (total.value - total.low, total.high - total.value) == (pytest.approx(180), pytest.approx(360))


def test_what_lacks_a_rate_is_named_and_not_counted() -> None:
    quantities = {"dig": input_entry("", 10, VOLUME), "pipe": input_entry("", 10, LENGTH)}
    result = price_work_out(Rates.model_validate({"dig": "10 per m^3"}), quantities, True)
    assert [line.subject for line in result.price] == ["Dig"]
    assert result.total_price.value == pytest.approx(100)
    assert "for want of a price: pipe" in said(result)


@pytest.mark.parametrize("quantity", [None, input_entry("", 0, LENGTH)])
def test_a_rate_without_a_quantity_is_named_and_has_no_price(quantity: Entry | None) -> None:
    rates = Rates.model_validate({"dig": "10 per m^3", "pipe": "3 per m"})
    result = price_work_out(rates, {"dig": input_entry("", 10, VOLUME), "pipe": quantity}, True)
    assert [line.subject for line in result.price] == ["Dig"]
    assert "nothing of it in this option: pipe" in said(result)


def test_a_rate_of_nothing_is_a_price_of_nothing() -> None:
    result = price_work_out(Rates.model_validate({"haul": "0 per m^3"}), {"haul": input_entry("", 10, VOLUME)}, True)
    assert [line.value for line in result.price] == [0]


def test_an_option_in_trouble_has_prices_but_no_sum() -> None:
    rates = Rates.model_validate({"dig": "10 per m^3"})
    result = price_work_out(rates, {"dig": input_entry("", 10, VOLUME)}, False)
    assert len(result.price) == 1
    assert result.total_price is None


def test_no_rates_no_sum() -> None:
    assert price_work_out(Rates(), {"dig": input_entry("", 10, VOLUME)}, True).total_price is None
    assert evaluate(read(options=[option()])).options[0].price is None


def test_a_rough_total_says_what_it_is() -> None:
    total = evaluate(full_project()).options[0].price.total_price
    assert any("Rough" in caution.text for caution in total.cautions)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_demos_have_a_total_and_say_that_their_rates_are_invented(name: str) -> None:
    for result in evaluate(demo(name)).options:
        assert result.price.total_price.value == pytest.approx(sum(line.value for line in result.price.price))
        assert "invented" in result.option.rates.note


def test_the_order_is_priced_and_not_the_net_figure() -> None:
    """By the takeoff's own figures: the liner's price is its order area times the rate."""
    result = evaluate(put(full_project(), ("options", 0, "rates", "lines"), ())).options[0]
    figures = {
        key: figure
        for key, figure in result.entries()
        if key in ("total_liner_area_order", "liner_area_order", "liner_area")
    }
    line = next(line for line in result.price.price if line.subject == "Liner")
    assert line.value == pytest.approx(figures["liner_area_order"].value * 1.10 / 0.3048**2)
    assert figures["liner_area_order"].value > figures["liner_area"].value
