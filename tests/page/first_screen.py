"""Opens the page and waits for its first screen: ``python first_screen.py http://localhost:8501``.

Ends with an error when plan and section are not drawn in time, or when the page shows an exception.
"""

import sys

import chromium
from playwright.sync_api import Page, expect

PATIENCE = 60_000  # ms, a first start compiles and imports everything


def expect_first_screen(page: Page, url: str) -> None:
    """Opens the address and waits until two pictures at least are drawn, without an exception on the page."""
    page.goto(url, timeout=PATIENCE)
    page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for(timeout=PATIENCE)
    expect(page.get_by_test_id("stException")).to_have_count(0)


def expect_start(page: Page, url: str) -> None:
    """Opens the address and waits for the start, on which nothing was opened yet."""
    page.goto(url, timeout=PATIENCE)
    page.get_by_role("button", name="New pond").wait_for(timeout=PATIENCE)


if __name__ == "__main__":
    executable = chromium.path()
    if executable is None:
        sys.exit(chromium.MISSING)
    with chromium.started(executable) as browser:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        expect_first_screen(page, sys.argv[1])
        print(f"First screen is there: {page.title()}")
