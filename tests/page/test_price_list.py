"""The price list on the page: taken as a file, refused row by row, one step of the history."""

from collections.abc import Callable
from typing import Any

from sketch import Sketch

from tests.designs import full

LIST = b"item,unit,price,waste,supplier\nDig volume,yd^3,100,10 %,Reed & Rush\nLiner area,ft^2,2,,\n"


def loaded(page: Sketch, data: bytes) -> Sketch:
    page.choose("trade", "Rates").unfold("fold:price list")
    page.app.file_uploader(key="price list").upload("prices.csv", data, "text/csv")
    return page.run()


def test_a_list_is_taken_in_one_step_and_undone(start: Callable[..., Sketch]) -> None:
    page = start(full())
    before, lines = page.figures["Rough total"][0], page.project.prices.lines
    loaded(page, LIST)
    assert [line.item for line in page.project.prices.lines] == ["dig_volume", "liner_area"]
    assert page.figures["Rough total"][0] != before
    page.press("↶")
    assert page.project.prices.lines == lines
    assert page.figures["Rough total"][0] == before


def test_a_list_at_fault_is_told_row_by_row_and_changes_nothing(start: Callable[..., Any]) -> None:
    page = start(full())
    saved = page.saved
    loaded(page, b"item,unit,price\nDig volume,ft,100\nliner area,ft^2,much\n")
    (said,) = [text for text in page.problems if "prices.csv was not taken" in text]
    assert "row 2, unit" in said
    assert "row 3, Price: 'much'" in said
    assert page.saved == saved
    page.slide(("options", 0, "pools", 0, "tiers", 1, "depth"), "33 in")
    loaded(page, LIST)
    assert not any("was not taken" in text for text in page.problems)


def test_an_option_may_have_prices_of_its_own_and_go_back_to_the_job_s(start: Callable[..., Sketch]) -> None:
    data = full()
    data["options"] = [data["options"][0], data["options"][0] | {"name": "B"}]
    page = start(data)
    assert page.project.prices is not None and page.project.options[0].rates is None
    page.choose("trade", "Rates").press("Give this option prices of its own")
    assert page.project.options[0].rates == page.project.prices
    assert page.project.options[1].rates is None
    assert "prices of its own" in page.texts
    loaded(page, LIST)
    assert len(page.project.options[0].rates.lines) == 2
    assert page.project.prices.lines != page.project.options[0].rates.lines
    page.press("Remove rates")
    assert page.project.options[0].rates is None
    assert page.project.prices is not None
