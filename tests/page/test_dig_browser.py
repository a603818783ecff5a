"""What the crew digs by, in a real browser: a level found changes the liner, and the setting out is downloaded."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from first_screen import expect_first_screen
from playwright.sync_api import Page, expect
from screen import settled

from pondkit import evaluate
from tests.designs import DEMOS, demo

pytestmark = pytest.mark.browser


def test_a_level_found_changes_the_liner_and_the_points_are_downloaded(
    browser_page: Page, server: Callable[[Path | str], str]
) -> None:
    page = browser_page
    expect_first_screen(page, server(DEMOS / "turtle_yard.json"))
    settled(page)
    page.get_by_role("radio", name="C", exact=True).first.click()
    settled(page)
    page.get_by_role("radio", name="Dig", exact=True).click()
    settled(page)
    page.get_by_role("radio", name="Levels found", exact=True).click()
    settled(page)
    figure = page.locator("details", has_text="Liner length, as dug").first.locator("summary b")
    before = figure.inner_text()
    assert before.endswith(" ft")
    found = page.get_by_label("Level found, exact").first
    found.fill("-4.6 ft")
    found.press("Enter")
    expect(figure).not_to_have_text(before)
    assert float(figure.inner_text().split()[0]) > float(before.split()[0])
    page.get_by_role("radio", name="A", exact=True).first.click()
    settled(page)
    page.get_by_role("radio", name="Setting out", exact=True).click()
    with page.expect_download() as download:
        page.get_by_role("button", name="Setting out (CSV)").click()
    text = Path(download.value.path()).read_text(encoding="utf-8-sig")
    rows = list(csv.reader(io.StringIO(text)))
    dig = evaluate(demo("turtle_yard")).options[0].dig
    assert dig and dig.set_out
    assert rows[0][:3] == ["No.", "Line", "Tape from A [ft]"]
    assert len(rows) == 3 + len(dig.set_out.pegs)
