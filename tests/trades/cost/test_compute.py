"""Order quantities times the person's own rates."""

from dataclasses import make_dataclass

import pytest

from pondkit import Project
from pondkit.core import tables
from pondkit.core.entry import Entry, input_entry
from pondkit.core.result import Result
from pondkit.core.units import AREA, COUNT, LENGTH, MASS, VOLUME
from pondkit.project.files import put
from pondkit.report.papers.order import bought
from pondkit.study.evaluate import evaluate
from pondkit.trades.cost.compute import compute
from pondkit.trades.cost.inputs import FIGURES_OF_RATE, ITEMS_OF_RATE, Rates
from pondkit.trades.cost.results import Price
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


def priced(rates: Rates, quantities: dict[str, Entry | None], whole: bool = True, high: bool = False) -> Price:
    """A price of quantities by the name of their rate."""
    keys = {FIGURES_OF_RATE[name][0]: quantity for name, quantity in quantities.items()}
    given = make_dataclass("Given", [(key, Entry) for key in keys], bases=(Result,), frozen=True, eq=False)
    return compute(rates, (given(**keys),), high, whole)


def said(result: Price) -> str:
    return " ".join(caution.text for caution in result.total_price.cautions)


def test_a_kind_of_every_rate_is_priced() -> None:
    assert set(ITEMS_OF_RATE) == set(KINDS) == {name for name, *_ in PRICED}
    assert set(Rates.model_fields) == {*KINDS, "labour", "machine", "contingency", "currency", "note", "lines"}


@pytest.mark.parametrize(("name", "rate", "quantity", "worth"), PRICED)
def test_price_is_quantity_times_rate_in_any_unit(name: str, rate: str, quantity: float, worth: float) -> None:
    rates = Rates.model_validate({name: rate})
    result = priced(rates, {name: input_entry("", quantity, KINDS[name])}, True)
    assert [line.value for line in result.price] == [pytest.approx(worth)]
    assert result.total_price.value == pytest.approx(worth)


def test_the_sum_is_of_all_prices_with_low_and_high_as_theirs() -> None:
    rates = Rates.model_validate({name: rate for name, rate, *_ in PRICED})
    quantities = {name: input_entry("", quantity, KINDS[name]) for name, _, quantity, _ in PRICED}
    quantities["boulders"] = Entry("", 3 * 907.18474, MASS, "", "", (), "", low=2 * 907.18474, high=5 * 907.18474)
    result = priced(rates, quantities, True)
    total = result.total_price
    assert total.value == pytest.approx(sum(worth for *_, worth in PRICED))
    assert (total.value - total.low, total.high - total.value) == (pytest.approx(180), pytest.approx(360))


def test_what_lacks_a_rate_is_named_and_not_counted() -> None:
    quantities = {"dig": input_entry("", 10, VOLUME), "pipe": input_entry("", 10, LENGTH)}
    result = priced(Rates.model_validate({"dig": "10 per m^3"}), quantities, True)
    assert [line.subject for line in result.price] == ["Dig"]
    assert result.total_price.value == pytest.approx(100)
    assert "as no price is entered: pipe" in said(result)


@pytest.mark.parametrize("quantity", [None, input_entry("", 0, LENGTH)])
def test_a_rate_without_a_quantity_is_named_and_has_no_price(quantity: Entry | None) -> None:
    rates = Rates.model_validate({"dig": "10 per m^3", "pipe": "3 per m"})
    result = priced(rates, {"dig": input_entry("", 10, VOLUME), "pipe": quantity}, True)
    assert [line.subject for line in result.price] == ["Dig"]
    assert "this option has none of it: pipe" in said(result)


def test_a_rate_of_nothing_is_a_price_of_nothing() -> None:
    result = priced(Rates.model_validate({"haul": "0 per m^3"}), {"haul": input_entry("", 10, VOLUME)}, True)
    assert [line.value for line in result.price] == [0]


def test_an_option_in_trouble_has_prices_but_no_sum() -> None:
    rates = Rates.model_validate({"dig": "10 per m^3"})
    result = priced(rates, {"dig": input_entry("", 10, VOLUME)}, False)
    assert len(result.price) == 1
    assert result.total_price is None


def test_no_rates_no_sum() -> None:
    assert priced(Rates(), {"dig": input_entry("", 10, VOLUME)}, True).total_price is None
    assert evaluate(read(options=[option()])).options[0].price is None


def test_a_rough_total_says_what_it_is() -> None:
    total = evaluate(full_project()).options[0].price.total_price
    assert any("Rough" in caution.text for caution in total.cautions)


@pytest.mark.parametrize("name", DEMO_NAMES)
def test_the_demos_have_a_total_and_say_that_their_rates_are_invented(name: str) -> None:
    for result in evaluate(demo(name)).options:
        assert result.price.total_price.value == pytest.approx(sum(line.value for line in result.price.price))
        assert "invented" in result.rates.note


def test_the_order_is_priced_and_not_the_net_figure() -> None:
    """By the takeoff's own figures: the liner's price is its order area with the laps of its seams, times the rate."""
    project = put(full_project(), ("options", 0, "lining", "rolls"), ())
    result = evaluate(put(project, ("prices", "lines"), ())).options[0]
    figures = {
        key: figure for key, figure in result.entries() if key in ("liner_made_area", "liner_area_order", "liner_area")
    }
    line = next(line for line in result.price.price if line.subject == "Liner")
    assert line.value == pytest.approx(figures["liner_made_area"].value * 1.10 / 0.3048**2)
    assert figures["liner_made_area"].value >= figures["liner_area_order"].value > figures["liner_area"].value


ROLL = ("options", 0, "lining", "rolls")
RATES = ("prices",)


def prices(project: Project) -> dict[str, float]:
    return {line.subject: line.value for line in evaluate(project).options[0].price.price}


def test_prices_of_rolls_reach_the_total_and_win_over_a_price_by_area() -> None:
    """By hand: the plan takes rolls of 900 each, as many as the takeoff says, whether a
    rate or a line prices the area too.
    """
    project = full_project()
    rolls = sum(f.value for key, f in evaluate(project).options[0].entries() if key == "rolls_to_buy")
    line = {"item": "liner_area", "unit": "ft^2", "price": 1}
    for rates in ({}, {"liner": "1.10 per ft^2"}, {"lines": [line]}):
        given = put(project, RATES, {"dig": "40 per yd^3"} | rates)
        assert prices(given)["Liner"] == pytest.approx(900 * rolls)
        assert sum("iner" in name for name in prices(given)) == 1
        names = " ".join(evaluate(given).options[0].price.lacking)
        assert "liner" not in names.replace("lid of", "")


def test_a_line_by_roll_wins_over_the_roll_s_own_price_and_a_roll_without_one_counts_for_nothing() -> None:
    project = put(full_project(), RATES, {"lines": [{"item": "rolls_to_buy", "price": 800}]})
    rolls = sum(f.value for key, f in evaluate(project).options[0].entries() if key == "rolls_to_buy")
    assert prices(project)["Rolls to buy"] == pytest.approx(800 * rolls)
    assert "Liner" not in prices(project)
    free = put(put(project, RATES, {"liner": "1 per ft^2"}), (*ROLL, 0, "price"), "0 each")
    area = evaluate(free).options[0].lining.total_liner_order.value
    assert prices(free)["Liner"] == pytest.approx(area / 0.3048**2)


def test_an_order_at_its_high_figures_is_priced_at_them() -> None:
    """By hand: boulders of 2 to 5 tons at 180 a ton, and a pipe without a range; the
    dig is no order and keeps its range.
    """
    rates = Rates.model_validate({"boulders": "180 per short ton", "pipe": "3 per m", "dig": "10 per m^3"})
    quantities = {
        "boulders": Entry("", 3 * 907.18474, MASS, "", "", (), "", low=2 * 907.18474, high=5 * 907.18474),
        "pipe": input_entry("", 10, LENGTH),
        "dig": Entry("", 10.0, VOLUME, "", "", (), "", low=9.0, high=12.0),
    }
    typical, high = priced(rates, quantities), priced(rates, quantities, high=True)
    assert {line.subject: line.value for line in typical.price} == pytest.approx(
        {"Boulders": 540, "Pipe": 30, "Dig": 100}
    )
    assert {line.subject: line.value for line in high.price} == pytest.approx({"Boulders": 900, "Pipe": 30, "Dig": 100})
    assert (high.total_price.low, high.total_price.value, high.total_price.high) == pytest.approx((1020, 1030, 1050))


def test_a_line_of_an_order_at_high_buys_the_high_figure() -> None:
    line = {"item": "boulders_order", "unit": "tonne", "price": 100, "waste": "10 %"}
    mass = Entry("", 3000.0, MASS, "", "", (), "", low=2000.0, high=5000.0)
    rates = Rates.model_validate({"lines": [line]})
    for high, amount in ((False, 3300.0), (True, 5500.0)):
        result = priced(rates, {"boulders": mass}, high=high)
        assert result.line_amount[0].value == pytest.approx(amount)
        assert result.total_price.value == pytest.approx(amount / 10)


def test_what_ranges_may_add_is_not_called_the_contingency_and_the_person_s_own_is_a_share_of_the_total() -> None:
    assert tables.figure_words()["contingency"]["label"] != "Contingency"
    assert tables.figure_words()["own_contingency"]["label"] == "Contingency"
    dig = {"dig": input_entry("", 10, VOLUME)}
    assert priced(
        Rates.model_validate({"dig": "10 per m^3", "contingency": "15 %"}), dig
    ).own_contingency.value == pytest.approx(15)
    assert priced(Rates.model_validate({"dig": "10 per m^3"}), dig).own_contingency is None


def test_bodies_dens_lids_and_media_are_named_one_by_one_where_they_have_no_price() -> None:
    """Everything that the full design has of them; each with a price of its own is named no more."""
    project = put(full_project(), ("options", 0, "water", "pit", "covered"), True)
    result = evaluate(project).options[0]
    wanted = {
        "intake basin",
        "pump pit",
        "filter",
        "filter, second body",
        "lid of pump pit",
        "den",
        "lid of den",
        "media to buy",
        "pump one",
    }
    assert wanted <= set(result.price.lacking)
    assert all(name in said(result.price) for name in wanted)
    items = ("body_order", "lid_order", "den_order", "den_lid_order", "pump_order")
    lines = [{"item": item, "price": 100} for item in items] + [{"item": "media_order", "unit": "ft^3", "price": 5}]
    after = evaluate(put(project, (*RATES, "lines"), lines)).options[0].price
    assert not wanted & set(after.lacking)
    counts = {"Bodies of the water side": 4, "Lids of bodies": 1, "Den chambers": 1, "Lids of dens": 1, "Pumps": 1}
    assert {line.subject: line.value / 100 for line in after.price if line.subject in counts} == pytest.approx(counts)


def test_media_without_an_area_are_named_as_that() -> None:
    project = put(full_project(), ("options", 0, "water", "filter", "media_area"), None)
    assert "media of the filter, whose area is not entered" in evaluate(project).options[0].price.lacking


def test_the_order_list_has_a_line_for_each_body_den_lid_and_the_media() -> None:
    project = put(full_project(), ("options", 0, "water", "pit", "covered"), True)
    listed = {(good.key, good.what, good.of) for good in bought(evaluate(project).options[0], "us")}
    assert listed >= {
        ("body_order", "Intake basin", ""),
        ("body_order", "Pump pit", ""),
        ("body_order", "Filter", ""),
        ("lid_order", "Lids of bodies", "pump pit"),
        ("den_order", "Den chambers", "den"),
        ("den_lid_order", "Lids of dens", "den"),
        ("media_order", "Media", ""),
    }
