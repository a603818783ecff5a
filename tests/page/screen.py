"""Where things are on the page, for a real browser."""

import itertools
import time

from playwright.sync_api import Locator, Page, expect

PATIENCE = 20.0  # s
# All that the browser's own store holds; nothing where the page has not made it yet: who opens it first makes it.
WORKS = """async () => {
  const db = await new Promise((done) => {
    const ask = indexedDB.open("pondkit", 1);
    ask.onupgradeneeded = () => ask.transaction.abort();
    ask.onsuccess = () => done(ask.result);
    ask.onerror = (event) => { event.preventDefault(); done(null); };
  });
  if (!db) return [];
  const ask = db.transaction("work").objectStore("work").getAll();
  const works = await new Promise((done) => { ask.onsuccess = () => done(ask.result); });
  db.close();
  return works;
}"""
# How many works of more than one step that is.
KEPT = f"async () => (await ({WORKS})()).filter((work) => (work.order?.length ?? 0) > 1).length"
# Whether nothing moved for 0.25 s since this was first asked with that number.
QUIET = """number => {
  const quiet = document.querySelector('[data-testid=stApp]')?.dataset.testScriptState === 'notRunning'
    && (!window.pondkitBeat?.due || window.pondkitBeat.held)
    && !document.querySelector('.pondkit-picture[data-resting]');
  if (!quiet || window.quietSince?.number !== number) window.quietSince = {number, at: performance.now()};
  return quiet && performance.now() - window.quietSince.at >= 250;
}"""
_calls = itertools.count()


def kept(page: Page, works: int = 1) -> None:
    """Waits until the browser keeps so many works that were changed."""
    until = time.monotonic() + PATIENCE
    while page.evaluate(KEPT) < works:
        assert time.monotonic() < until
        page.wait_for_timeout(100)


def settled(page: Page) -> None:
    """Waits until for a while no run was under way or due, and the pictures are truly drawn."""
    page.wait_for_function(QUIET, arg=next(_calls))


def radio(page: Page, name: str) -> Locator:
    return page.get_by_role("radio", name=name, exact=True)


def part(page: Page, name: str) -> None:
    """Chooses a part of the design, under "More" where it stands there."""
    if not radio(page, name).is_visible():
        page.get_by_role("radiogroup", name="Part").get_by_role("button", name="More").click()
    radio(page, name).click()


def choose(page: Page, name: str, what: str) -> None:
    """One of a list, by what it is called."""
    page.get_by_role("combobox", name=name, exact=True).first.select_option(label=what)


def slider(page: Page, name: str, number: int = 0) -> Locator:
    return page.get_by_role("slider", name=name, exact=True).nth(number)


def box(page: Page, name: str, number: int = 0) -> Locator:
    return page.get_by_label(f"{name}, exact").nth(number)


def enter(where: Locator, text: str) -> None:
    where.fill(text)
    where.press("Enter")


def figures(page: Page) -> list[str]:
    return page.locator(".pk-figures b").all_inner_texts()


def undo(page: Page) -> Locator:
    return page.get_by_role("button", name="↶")


def menu(page: Page) -> None:
    page.get_by_role("button", name="File", exact=False).first.click()
    expect(page.get_by_text("Open a project file")).to_be_visible()
