"""Aims on the page: solved only when asked, taken in one step, refused in words."""

import html
from collections.abc import Callable

import pytest
from sketch import Sketch

from pondkit.study.evaluate import evaluate
from tests.designs import full, option, small

FT, GAL = 0.3048, 3.785411784e-3  # m, m³, exact


@pytest.fixture
def page(start: Callable[..., Sketch]) -> Sketch:
    return start(full()).unfold("aim")


def asked(page: Sketch, figure: str, target: str, move: str) -> Sketch:
    for start, wanted in (("aim figure", figure), ("aim move", move)):
        (box,) = [box for box in page.app.selectbox if (box.key or "").startswith(start)]
        box.set_value(wanted)
        page.run()
    page.app.text_input(key="aim target").set_value(target)
    page.run()
    return page.press("Solve")


def said(page: Sketch) -> str:
    return html.unescape(" ".join(page.html("pk-aimed")))


@pytest.mark.parametrize("target", ["2500 gal", "2500", "9.46352946 m^3"])
def test_a_volume_is_reached_taken_in_one_step_and_undone(page: Sketch, target: str) -> None:
    before, saved = page.desk.history, page.saved
    asked(page, "total_net_volume|", target, "pools.0")
    assert "2,500 gal" in said(page)
    assert page.desk.history is before  # nothing moves until it is taken
    page.press("Take it")
    reached = evaluate(page.project).options[0].totals.total_net_volume.value
    assert reached == pytest.approx(2500 * GAL, rel=1e-6)
    assert len(page.desk.history.past) == len(before.past) + 1
    page.press("↶")
    assert page.saved == saved


def test_a_budget_is_reached_by_one_input(start: Callable[..., Sketch]) -> None:
    data = full()
    data["options"][0]["rates"] = {"dig": "40 per yd^3"}
    page = start(data).unfold("aim")
    asked(page, "total_price|", "$1700", "pools.0.tiers.1.depth").press("Take it")
    # A size that can be built, and no cent over the budget.
    assert 0.99 * 1700 <= evaluate(page.project).options[0].price.total_price.value <= 1700
    quarters = page.project.options[0].pools[0].tiers[1].depth / (FT / 48)
    assert quarters == pytest.approx(round(quarters), abs=1e-9)


def test_a_budget_that_goes_by_whole_units_of_sale_is_told(start: Callable[..., Sketch]) -> None:
    sold = {"item": "dig_volume", "unit": "yd^3", "price": 40, "sale_unit": 5}
    page = start(small(options=[option(rates={"lines": [sold]})])).unfold("aim")
    asked(page, "line_amount|Dig volume", "22 yd^3", "pools.0")
    assert "jumps over the target" in said(page)


@pytest.mark.parametrize(
    ("target", "words"),
    [("900000 gal", "only goes from"), ("3 ft", "where a volume is wanted"), ("much", "is not a volume")],
)
def test_what_cannot_be_reached_or_read_is_told_and_cannot_be_taken(page: Sketch, target: str, words: str) -> None:
    asked(page, "total_net_volume|", target, "pools.0.tiers.1.depth")
    assert words in said(page)
    assert not page.can_press("Take it")


def test_what_was_found_goes_with_the_design_it_was_found_for(page: Sketch) -> None:
    asked(page, "total_net_volume|", "2500", "pools.0")
    page.slide(("options", 0, "pools", 0, "tiers", 1, "depth"), "31 in")
    assert said(page) == ""
    assert not page.can_press("Take it")


def test_drivers_are_ranked_bars_with_words(page: Sketch) -> None:
    page.press("What drives it")
    (body,) = page.html("pk-bars")
    shares = [abs(float(part.partition("%")[0])) for part in body.split("<b>")[1:]]
    assert len(shares) > 4
    assert shares == sorted(shares, reverse=True)
    assert "outline scaled" in body
    assert "a tenth more" in said(page)
