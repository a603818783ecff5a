"""The lift plan in a real browser: a machine position is moved, and table, plan and words follow."""

from collections.abc import Callable
from pathlib import Path

from first_screen import expect_first_screen
from playwright.sync_api import Page, expect
from screen import part

from tests.designs import FULL_DESIGN


def test_a_moved_machine_takes_table_plan_and_words_with_it(
    browser_page: Page, server: Callable[[Path | str], str]
) -> None:
    page = browser_page
    expect_first_screen(page, server(FULL_DESIGN))
    page.get_by_role("radio", name="B", exact=True).click()
    part(page, "Lifting")
    radius = page.locator("details", has_text="Radius at its place basking slab 1 / west bank").first
    expect(radius).to_contain_text("14.14 ft")
    handle = page.get_by_role("button", name="machine of west bank", exact=False).first
    expect(handle).to_be_visible()
    before = handle.bounding_box()
    east = page.get_by_label("Machine at, east, exact").first
    east.fill("-20 ft")
    east.press("Enter")
    expect(radius).to_contain_text("15.13 ft")  # from (-20, -2) to (-5, -4) ft: √(15² + 2²)
    page.wait_for_function(
        "before => [...document.querySelectorAll('.pondkit-plot')].some(p => (p.data || []).some("
        "t => t.name === 'machine' && Math.abs(t.x[0] - before) < 1e-6))",
        arg=-20,
    )
    after = handle.bounding_box()
    assert before
    assert after
    assert after["x"] != before["x"]
    east.fill("-4 ft")
    east.press("Enter")
    expect(page.get_by_text("the machine stands in 'basking pool'").first).to_be_visible()
