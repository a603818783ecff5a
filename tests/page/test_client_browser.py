"""The half hour with a client in a real browser: prices, an aim, two tabs, and a server that goes away."""

import re
from collections.abc import Callable
from pathlib import Path

import chromium
import pytest
import serving
from first_screen import expect_first_screen
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect
from screen import box, enter, kept, radio, settled, undo

from tests.designs import FULL_DESIGN

pytestmark = pytest.mark.browser
TURTLES = FULL_DESIGN
SIZE: ViewportSize = {"width": 1280, "height": 800}
DEPTH = ("Depth", 1)  # of the second tier


def figure(page: Page, name: str) -> Locator:
    return page.locator(".pk-figures > *", has_text=name).first.locator("b").first


def test_a_price_list_is_taken_as_a_file_and_undone(
    browser_page: Page, server: Callable[[Path | str], str], tmp_path: Path
) -> None:
    page = browser_page
    prices = tmp_path / "prices.csv"
    prices.write_text("item,unit,price,waste,supplier\nDig volume,yd^3,400,10 %,Reed & Rush\n", encoding="utf-8")
    expect_first_screen(page, server(TURTLES))
    settled(page)
    total = figure(page, "Rough total")
    before = total.inner_text()
    radio(page, "Rates").click()
    page.locator("[data-testid=stSidebar] input[type=file]").set_input_files(prices)
    expect(total).not_to_have_text(before)
    settled(page)
    undo(page).click()
    expect(total).to_have_text(before)
    prices.write_text("item,unit,price\nDig volume,ft,much\n", encoding="utf-8")
    page.locator("[data-testid=stSidebar] input[type=file]").set_input_files(prices)
    said = page.get_by_role("alert").filter(has_text="prices.csv was not taken")
    expect(said).to_contain_text("row 2")
    expect(total).to_have_text(before)


def test_an_aim_is_solved_taken_and_undone(browser_page: Page, server: Callable[[Path | str], str]) -> None:
    page = browser_page
    expect_first_screen(page, server(TURTLES))
    settled(page)
    water = figure(page, "Net volume")
    before = water.inner_text()
    page.get_by_role("button", name="Aim").click()
    enter(page.get_by_role("textbox", name="Target"), "4000 gal")
    settled(page)
    page.get_by_role("button", name="Solve").click()
    expect(page.locator(".pk-aimed")).to_contain_text("4,000 gal", timeout=60_000)
    page.get_by_role("button", name="Take it").click()
    expect(water).to_have_text(re.compile("^4,000 gal"))
    page.keyboard.press("Escape")
    undo(page).click()
    expect(water).to_have_text(before)


def test_two_tabs_keep_their_own_work_and_neither_is_lost(
    browser: Browser, server: Callable[[Path | str], str]
) -> None:
    url = server(TURTLES)
    with chromium.watched(browser) as one:
        two = one.context.new_page()
        for page, depth in ((one, "2 ft 1 in"), (two, "2 ft 3 in")):
            expect_first_screen(page, url)
            settled(page)
            enter(box(page, *DEPTH), depth)
            settled(page)
        expect(box(one, *DEPTH)).to_have_value("2 ft 1 in")
        kept(two, 2)
        two.close()
        one.wait_for_timeout(300)
        expect_first_screen(one, url)
        expect(one.get_by_role("button", name="Go on with it")).to_have_count(2)
        one.get_by_role("button", name="Go on with it").first.click()
        expect(box(one, *DEPTH)).to_have_value(re.compile("^2 ft [13] in$"))


def test_work_outlives_its_server(browser: Browser, tmp_path: Path) -> None:
    log = tmp_path / "log"
    process, url = serving.start("app.py", [str(TURTLES)], log)
    context = browser.new_context(viewport=SIZE)  # not watched: the browser itself complains while nobody answers
    try:
        page = context.new_page()
        expect_first_screen(page, url)
        settled(page)
        enter(box(page, *DEPTH), "2 ft 1 in")
        kept(page)
        serving.stop(process)
        expect(page.get_by_role("dialog")).to_contain_text("Connection error")
        process, url = serving.start("app.py", [str(TURTLES)], log, int(url.rpartition(":")[2]))
        expect_first_screen(page, url)
        page.get_by_role("button", name="Go on with it").click()
        expect(box(page, *DEPTH)).to_have_value("2 ft 1 in")
        settled(page)
        undo(page).click()
        expect(box(page, *DEPTH)).to_have_value("20 in")
    finally:
        context.close()
        serving.stop(process)
    assert "Traceback" not in log.read_text(encoding="utf-8")
