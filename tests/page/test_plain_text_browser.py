"""A file full of markup in a real browser: nothing of it is obeyed, and nothing is asked for outside."""

from collections.abc import Callable
from pathlib import Path

import pytest
from first_screen import expect_first_screen
from playwright.sync_api import Page
from screen import part, radio, settled

from pondkit import load, save
from pondkit.page import contents
from tests.designs import demo
from tests.markup import marked

pytestmark = pytest.mark.browser
TAGS = """() => [...document.querySelectorAll('a, img, image, iframe, script, link, svg [href]')]
  .filter((node) => ['href', 'src', 'xlink:href'].some((name) => (node.getAttribute(name) ?? '').includes('evil')))
  .concat([...document.querySelectorAll('.katex')]).map((node) => node.outerHTML.slice(0, 200))"""


def test_a_file_of_markup_asks_for_nothing_outside(
    browser_page: Page, server: Callable[[Path | str], str], tmp_path: Path
) -> None:
    """``watched`` fails at any request that leaves this computer."""
    page, file = browser_page, tmp_path / "marked.json"
    file.write_text(save(marked(demo("turtle_yard"))), encoding="utf-8")
    expect_first_screen(page, server(file))
    settled(page)
    seen = page.evaluate(TAGS)
    names = [option.name for option in load(file).options]
    for trade in contents.TRADES:
        part(page, trade)
        settled(page)
        seen += page.evaluate(TAGS)
    for view in ("Side by side", "Figures", "Show", "Sketch"):
        radio(page, view).click()
        settled(page)
        seen += page.evaluate(TAGS)
        if view == "Side by side":  # as it was typed
            texts = page.get_by_role("radio").evaluate_all("all => all.map(n => n.innerText || n.parentNode.innerText)")
            shown = [text.replace("\u2060", "") for text in texts]
            assert set(names) <= set(shown), (names, shown)
    assert not seen
