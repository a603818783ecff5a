"""The work that a browser keeps, in a real one: one record per job, the newest change first, nothing written over."""

import json
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import chromium
import pytest
from axe_playwright_python.sync_playwright import Axe
from first_screen import expect_first_screen, expect_start
from playwright.sync_api import Browser, Page, expect
from screen import PATIENCE, WORKS, box, enter, settled

from tests.designs import small

pytestmark = pytest.mark.browser
DEPTH = ("Depth", 1)  # of the second tier
RECORDS = f"""async () => {{
  const depth = (text) => JSON.parse(text).options[0].pools[0].tiers[1].depth;
  return (await ({WORKS})()).filter((work) => work.order)
    .map(({{ slot, order, at, texts }}) => [slot, order.map((id) => depth(texts[id])), at]);
}}"""
FIRM = f"async () => (await ({WORKS})()).some((work) => work.slot === 'firm' && work.text?.includes('Rush & Co'))"


# The next time that the job's own record is written the store is full.
NO_ROOM = """() => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (record) {
    if (record.slot !== "mine") return put.call(this, record);
    IDBObjectStore.prototype.put = put;
    this.transaction.abort();
  };
}"""


@pytest.fixture
def url(server: Callable[[Path | str], str], mine: Path) -> str:
    """A page on a file of the job "mine"."""
    return server(mine)


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with chromium.watched(browser) as page:
        yield page


def records(page: Page) -> dict[str, list[str]]:
    """Depths of the steps of each record, by its slot."""
    return {slot: order for slot, order, _ in page.evaluate(RECORDS)}


def holds(page: Page, depth: str) -> None:
    """Waits until the browser keeps a record whose last step has that depth; a
    change is written when the hand rests.
    """
    until = time.monotonic() + PATIENCE
    while not any(order[-1] == depth for order in records(page).values()):
        assert time.monotonic() < until, f"{depth} is not kept: {records(page)}"
        page.wait_for_timeout(100)


def opened(page: Page, url: str, depth: str = "") -> None:
    expect_first_screen(page, url)
    settled(page)
    if depth:
        changed(page, depth)


def changed(page: Page, depth: str) -> None:
    enter(box(page, *DEPTH), depth)
    holds(page, depth)
    settled(page)


def go_on(page: Page, number: int = 0) -> None:
    page.get_by_role("button", name="Go on with it").nth(number).click()
    expect(page.get_by_role("button", name="Go on with it")).to_have_count(0)
    settled(page)


def test_three_rounds_are_one_record_that_says_what_was_changed(page: Page, url: str) -> None:
    opened(page, url, "31 in")
    for depth in ("32 in", "33 in"):
        opened(page, url)
        expect(page.locator(".pk-kept")).to_have_count(1)
        expect(page.locator(".pk-kept")).to_contain_text("option 'A', pool 'pool', tier 'deep', depth · ")
        go_on(page)
        changed(page, depth)
    assert records(page) == {"mine": ["30 in", "31 in", "32 in", "33 in"]}


def test_the_newest_change_stands_first_though_the_clock_was_set_back(
    browser: Browser, server: Callable[[Path | str], str], tmp_path: Path
) -> None:
    urls = []
    for name in "abcdef":
        file = tmp_path / f"{name}.json"
        file.write_text(json.dumps(small(title=f"job {name}", job_id=name)), encoding="utf-8")
        urls.append(file)
    first = server(urls[0])
    with chromium.watched(browser) as page:
        opened(page, first, "31 in")
        page.context.add_init_script("const now = Date.now; Date.now = () => now() - 9e8;")
        for number, file in enumerate(urls[1:], 32):
            opened(page, first)
            page.get_by_role("button", name="File", exact=False).first.click()
            page.locator("input[type=file]").first.set_input_files(file)
            expect(page.get_by_role("heading", name=f"job {file.stem}")).to_be_visible()
            settled(page)
            page.keyboard.press("Escape")
            changed(page, f"{number} in")
        opened(page, first)
        expect(page.locator(".pk-kept b")).to_have_text(["job f", "job e", "job d", "job c"])
        page.get_by_text("Show 2 more").click()
        expect(page.locator(".pk-kept b")).to_have_text([f"job {name}" for name in "fedcba"])


def test_an_older_copy_of_a_job_does_not_hide_what_was_done_since(page: Page, url: str) -> None:
    opened(page, url, "31 in")
    changed(page, "32 in")
    opened(page, url, "40 in")  # the file once more, as it was at first
    assert records(page) == {"mine": ["30 in", "31 in", "32 in", "30 in", "40 in"]}
    opened(page, url)
    expect(page.get_by_role("button", name="Go on with it")).to_have_count(1)
    go_on(page)
    expect(box(page, *DEPTH)).to_have_value("40 in")
    for _ in range(2):
        page.get_by_role("button", name="↶").click()
        settled(page)
    expect(box(page, *DEPTH)).to_have_value("32 in")


def test_two_tabs_on_one_job_are_told_and_lose_nothing(page: Page, url: str) -> None:
    told = "open in another tab too"
    two = page.context.new_page()
    opened(page, url, "31 in")
    opened(two, url, "41 in")
    for tab in (page, two):
        expect(tab.get_by_role("alert").filter(has_text=told)).to_be_visible()
    changed(page, "32 in")
    found = records(page)
    assert len(found) == 2 and found["mine"] == ["30 in", "31 in", "32 in"]
    two.evaluate(NO_ROOM)
    page.goto("about:blank")  # the second has the job alone now
    expect(two.get_by_role("alert").filter(has_text=told)).to_have_count(0)
    expect(two.get_by_role("alert").filter(has_text="no room to keep the work")).to_be_visible()
    assert sorted(records(two).values()) == [["30 in", "31 in", "32 in"], ["30 in", "41 in"]]
    both = {"mine": ["30 in", "31 in", "32 in", "30 in", "41 in", "42 in"]}
    changed(two, "42 in")  # what is in it now goes once it is written
    until = time.monotonic() + PATIENCE
    while records(two) != both:
        assert time.monotonic() < until, records(two)
        two.wait_for_timeout(100)


def test_a_tab_may_go_on_with_a_copy(page: Page, url: str) -> None:
    two: Any = page.context.new_page()
    opened(page, url, "31 in")
    opened(two, url, "41 in")
    two.get_by_role("button", name="Go on with a copy").click()
    settled(two)
    changed(two, "42 in")
    for tab in (page, two):
        expect(tab.get_by_role("button", name="Go on with a copy")).to_have_count(0)
    found = records(page)
    assert found.pop("mine") == ["30 in", "31 in"]
    assert ["41 in", "42 in"] in found.values()


def test_the_start_lists_kept_work_and_takes_the_firm_into_the_next_job(
    page: Page, server: Callable[[Path | str], str]
) -> None:
    """From the start alone: a new pond, its job card, another new pond with the firm, the first one taken up again."""
    url = server("")
    expect_start(page, url)
    page.get_by_role("button", name="New pond").click()
    page.get_by_role("button", name="Add a pool").click()
    settled(page)
    page.get_by_role("button", name="Job", exact=False).first.click()
    enter(page.get_by_label("Title", exact=True), "Mill pond")
    expect(page.get_by_role("heading", name="Mill pond")).to_be_visible()
    settled(page)
    enter(page.get_by_label("Firm", exact=True), "Rush & Co")
    settled(page)
    until = time.monotonic() + PATIENCE
    while not page.evaluate(FIRM):
        assert time.monotonic() < until
        page.wait_for_timeout(100)
    page.reload()
    expect(page.locator(".pk-kept b")).to_have_text(["Mill pond"])
    faults = [node["html"] for fault in Axe().run(page).response["violations"] for node in fault["nodes"]]
    assert [html for html in faults if "stFileUploaderDropzone" not in html] == []  # that is Streamlit's own
    page.get_by_role("button", name="New pond").click()
    page.get_by_role("button", name="Job", exact=False).first.click()
    expect(page.get_by_label("Firm", exact=True)).to_have_value("Rush & Co")
    page.reload()
    page.get_by_role("button", name="Go on with it").click()
    expect(page.get_by_role("heading", name="Mill pond")).to_be_visible()
