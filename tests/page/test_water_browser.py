"""Water and slings in a real browser: the flush valve is closed and the operating point moves;
a tag is changed and its use moves.
"""

from collections.abc import Callable
from pathlib import Path

import pytest
from first_screen import expect_first_screen
from playwright.sync_api import Page, expect
from screen import choose, settled

from tests.designs import FULL_DESIGN

pytestmark = pytest.mark.browser


def test_the_flush_valve_moves_the_operating_point_and_a_tag_its_use(
    browser_page: Page, server: Callable[[Path | str], str]
) -> None:
    page = browser_page
    expect_first_screen(page, server(FULL_DESIGN))
    settled(page)
    page.get_by_role("radio", name="Water", exact=True).click()
    settled(page)
    page.get_by_role("radio", name="Branches", exact=True).click()
    settled(page)
    choose(page, "Branch", "tunnel flush")
    settled(page)
    flow = page.locator("details", has_text="Pumped flow").first.locator("summary b")
    head = page.locator("details", has_text="Total dynamic head").first.locator("summary b")
    before, under = flow.inner_text(), head.inner_text()
    opening = page.get_by_label("Valve opening, exact").first
    opening.fill("0")
    opening.press("Enter")
    expect(flow).not_to_have_text(before)
    assert float(flow.inner_text().split()[0]) < float(before.split()[0])
    expect(head).not_to_have_text(under)
    page.get_by_role("radio", name="Stone", exact=True).click()
    settled(page)
    for place in ("stSidebarUserContent", "stMainBlockContainer"):
        page.get_by_test_id(place).get_by_role("radio", name="Slings", exact=True).click()
        settled(page)
    use = page.locator("details", has_text="Sling load, % of rated").first.locator("summary b")
    before = use.inner_text()
    tag = page.get_by_label("Vertical rating, exact").first
    tag.fill("900 lb")
    tag.press("Enter")
    expect(use).not_to_have_text(before)
    assert float(use.inner_text().split()[0]) > float(before.split()[0])
