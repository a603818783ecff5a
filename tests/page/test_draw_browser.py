"""Drawing on the plan in a real browser: by mouse, by keys and by touch."""

import json
import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from screen import figures, settled, undo

from tests.designs import option, small

pytestmark = pytest.mark.browser
ON_SCREEN = """([x, y]) => {
  const plot = document.querySelector('.pondkit-plot'), l = plot._fullLayout, box = plot.getBoundingClientRect();
  return [box.left + l.xaxis._offset + l.xaxis.l2p(x), box.top + l.yaxis._offset + l.yaxis.l2p(y)];
}"""
SHARE = """() => {
  const { xaxis, yaxis } = document.querySelector('.pondkit-plot')._fullLayout;
  const side = document.querySelector('[data-testid=stSidebar]').getBoundingClientRect().width;
  return xaxis._length * yaxis._length / ((innerWidth - side) * innerHeight);
}"""


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory, server: Callable[[Path | str], str]) -> str:
    """Address of a plan without anything on it."""
    path = tmp_path_factory.mktemp("blank") / "blank.json"
    path.write_text(json.dumps(small(options=[option(pools=[])])), encoding="utf-8")
    return server(path)


def opened(page: Page, url: str) -> Page:
    page.goto(url)
    page.locator(".pondkit-plot:has(.main-svg)").first.wait_for()
    settled(page)
    return page


def tool(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def has_pools(page: Page, count: int) -> None:
    page.wait_for_function(
        "count => document.querySelector('.pondkit-plot').data.filter(t => t.name.endsWith(': waterline')).length"
        " === count",
        arg=count,
    )
    settled(page)


def stroke(page: Page, places: list[tuple[float, float]]) -> None:
    """A line drawn with the pointer pressed, through places of the plan."""
    first, *further = [page.evaluate(ON_SCREEN, list(place)) for place in places]
    page.mouse.move(*first)
    page.mouse.down()
    for place in further:
        page.mouse.move(*place)
    page.mouse.up()


def round_about(reach: Callable[[float], float], wide: float = 1.0) -> list[tuple[float, float]]:
    turns = [2 * math.pi * step / 60 for step in range(60)]
    return [(wide * reach(turn) * math.cos(turn), reach(turn) * math.sin(turn)) for turn in turns]


KIDNEY = round_about(lambda turn: 7 + 1.8 * math.cos(2 * turn) - 2 * math.sin(turn), 1.4)
EIGHT = [(8 * math.sin(2 * math.pi * k / 50), 5 * math.sin(4 * math.pi * k / 50)) for k in range(50)]


def test_a_pond_is_drawn_by_mouse_and_by_keys(browser_page: Page, blank: str) -> None:
    page = opened(browser_page, blank)
    expect(page.get_by_text("draw round the water in one stroke")).to_be_visible()
    # A stroke that crosses itself is said, stays in sight, and is left without a trace.
    tool(page, "Outline")
    stroke(page, EIGHT)
    expect(page.get_by_role("alert")).to_contain_text("crosses itself")
    expect(page.locator(".pondkit-drawing.refused .drawn")).to_have_attribute("d", re.compile("^M"))
    page.keyboard.press("Escape")
    expect(page.get_by_role("alert")).to_have_count(0)
    expect(page.locator(".pondkit-drawing .drawn")).to_have_attribute("d", "")
    expect(undo(page)).to_be_disabled()
    # A kidney in one stroke, with its length and area beside it while it is drawn.
    tool(page, "Outline")
    first, *further = [page.evaluate(ON_SCREEN, list(place)) for place in KIDNEY]
    page.mouse.move(*first)
    page.mouse.down()
    for place in further:
        page.mouse.move(*place)
    expect(page.locator(".pondkit-drawing .measure")).to_contain_text("ft²")
    page.mouse.up()
    has_pools(page, 1)
    assert figures(page)[0] != "–"
    # A second pool dragged out, a fall from pool to pool, a boulder.
    tool(page, "Oval")
    stroke(page, [(15, 6), (18, 8), (21, 11)])
    has_pools(page, 2)
    tool(page, "Fall")
    stroke(page, [(18, 8.5), (10, 4), (3, -1)])
    expect(page.get_by_role("button", name="Remove the fall")).to_be_visible()
    settled(page)
    tool(page, "Stone")
    page.mouse.click(*page.evaluate(ON_SCREEN, [-13, 6]))
    expect(page.get_by_role("button", name="Remove boulder")).to_be_visible()
    page.keyboard.press("Escape")
    settled(page)
    # By keys alone: the tool, a place some way off, with Shift by ten steps at once, and the other corner.
    page.get_by_role("button", name="Box", exact=True).focus()
    away, across = ["Shift+ArrowLeft"] * 6 + ["Shift+ArrowDown"] * 5, ["Shift+ArrowLeft", "Shift+ArrowDown"] * 2
    for key in ("Enter", *away, "Enter", *across, "Enter"):
        page.keyboard.press(key)
    has_pools(page, 3)
    remove = page.get_by_role("button", name="Remove pool")
    remove.focus()
    page.keyboard.press("Enter")
    has_pools(page, 2)
    expect(page.get_by_text("was removed; ↶ brings it back")).to_be_visible()
    # A tool that is given up half way leaves nothing.
    before = page.evaluate("() => JSON.stringify(document.querySelector('.pondkit-plot').data.length)")
    for name in ("Pipe", "Wall", "Keep-out", "Section", "Tape"):
        tool(page, name)
        page.mouse.click(*page.evaluate(ON_SCREEN, [-5, 9]))
        page.keyboard.press("Escape")
    settled(page)
    assert page.evaluate("() => JSON.stringify(document.querySelector('.pondkit-plot').data.length)") == before
    # The plan is the hero, and at 200 % the head is not covered.
    for width, height in ((1024, 768), (1280, 800), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_function(f"({SHARE})() >= 0.5")
    page.set_viewport_size({"width": 640, "height": 400})
    settled(page)
    undo(page).click()
    has_pools(page, 3)


@pytest.fixture
def touch(browser: Browser) -> Iterator[Page]:
    """A tablet on its side."""
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()


def test_a_pond_is_drawn_by_touch(touch: Page, blank: str) -> None:
    page = opened(touch, blank)

    def tap(*place: float) -> None:
        page.touchscreen.tap(*page.evaluate(ON_SCREEN, list(place)))

    page.get_by_role("button", name="Outline", exact=True).tap()
    for place in ((-8, -4), (6, -5), (8, 4), (-7, 5), (-7, 5)):  # the last one twice
        tap(*place)
    has_pools(page, 1)
    page.get_by_role("button", name="Stone", exact=True).tap()
    tap(-12, 8)
    expect(page.get_by_role("button", name="Remove boulder")).to_be_visible()
    page.get_by_role("button", name="Stone", exact=True).tap()  # laid down
    settled(page)
    # A tap chooses, two remove.
    tap(5, 3)
    expect(page.get_by_role("button", name="Remove pool")).to_be_visible()
    settled(page)
    tap(5, 3)
    tap(5, 3)
    has_pools(page, 0)
