"""Drawing on the plan in a real browser: by mouse, by keys and by touch."""

import math
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from first_screen import expect_start
from playwright.sync_api import Browser, Page, expect
from screen import box, enter, figures, settled, undo

pytestmark = pytest.mark.browser
ON_SCREEN = """([x, y]) => {
  const plot = document.querySelector('.pondkit-plot'), l = plot._fullLayout, box = plot.getBoundingClientRect();
  return [box.left + l.xaxis._offset + l.xaxis.l2p(x), box.top + l.yaxis._offset + l.yaxis.l2p(y)];
}"""
# What has the keys, once a box that was reached has marked its text.
CALLED = """async () => {
  await new Promise((done) => setTimeout(done, 5));
  let at = document.activeElement;
  while (at.shadowRoot?.activeElement) at = at.shadowRoot.activeElement;
  return at.ariaLabel ?? at.textContent.trim();
}"""
MIDDLE = """() => {
  const { xaxis, yaxis } = document.querySelector('.pondkit-plot')._fullLayout;
  return [xaxis, yaxis].map(({ range }) => (range[0] + range[1]) / 2);
}"""
WIDE = """() => {
  const x = document.querySelector('.pondkit-plot').data.find(t => t.name.endsWith(': waterline')).x;
  return Math.max(...x) - Math.min(...x);
}"""
SEEN = """() => {
  const { range } = document.querySelector('.pondkit-plot')._fullLayout.xaxis;
  return range[1] - range[0];
}"""
SHARE = """() => {
  const { xaxis, yaxis } = document.querySelector('.pondkit-plot')._fullLayout;
  const side = document.querySelector('[data-testid=stSidebar]').getBoundingClientRect().width;
  return xaxis._length * yaxis._length / ((innerWidth - side) * innerHeight);
}"""


def on_a_blank_plan(page: Page) -> None:
    page.locator(".pondkit-plot:has(.main-svg)").first.wait_for()
    settled(page)


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


def test_a_pond_is_drawn_by_mouse(browser_page: Page, server: Callable[[Path | str], str]) -> None:
    page = browser_page
    expect_start(page, server(""))
    page.get_by_role("button", name="New pond").click()
    on_a_blank_plan(page)
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
    # A tool that is given up half way leaves nothing.
    before = page.evaluate("() => JSON.stringify(document.querySelector('.pondkit-plot').data.length)")
    for name in ("Pipe", "Wall", "Keep-out", "Section", "Tape"):
        tool(page, name)
        page.mouse.click(*page.evaluate(ON_SCREEN, [-5, 9]))
        page.keyboard.press("Escape")
    settled(page)
    assert page.evaluate("() => JSON.stringify(document.querySelector('.pondkit-plot').data.length)") == before
    # One that is ended too early says what it lacks.
    tool(page, "Pipe")
    page.mouse.click(*page.evaluate(ON_SCREEN, [-5, 9]))
    page.keyboard.press("Enter")
    expect(page.get_by_text("1 of at least 2 places: set 1 more")).to_be_visible()
    page.keyboard.press("Escape")
    # The plan is the hero, and at 200 % the head is not covered.
    for width, height in ((1024, 768), (1280, 800), (1920, 1080)):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_function(f"({SHARE})() >= 0.5")
    page.set_viewport_size({"width": 640, "height": 400})
    settled(page)
    undo(page).click()
    expect(page.get_by_role("button", name="Remove boulder")).to_have_count(0)
    has_pools(page, 2)


def reach(page: Page, name: str) -> None:
    """Goes on by the tab key to what is called so, or begins so."""
    for _ in range(150):
        page.keyboard.press("Tab")
        if page.evaluate(CALLED).startswith(name):
            return
    raise AssertionError(f"the tab key reaches no {name!r}")


def test_the_first_five_steps_are_taken_by_keys_alone(browser_page: Page, server: Callable[[Path | str], str]) -> None:
    """A new pond, its outline, a tier more, a spring above it, a fall between the two; then one is removed."""
    page = browser_page
    page.set_viewport_size({"width": 1024, "height": 768})
    expect_start(page, server(""))

    def keys(*names: str) -> None:
        for name in names:
            page.keyboard.press(name)

    def draw(tool: str, *places: tuple[float, float]) -> None:
        """From the middle of the view to each place, in steps of 3 in, ten at once with Shift."""
        reach(page, tool)
        keys("Enter")
        at = page.evaluate(MIDDLE)
        for place in places:
            for axis, (less, more) in enumerate((("ArrowLeft", "ArrowRight"), ("ArrowDown", "ArrowUp"))):
                steps = round(place[axis] / 0.25) - round(at[axis] / 0.25)
                way = more if steps > 0 else less
                keys(*[f"Shift+{way}"] * (abs(steps) // 10), *[way] * (abs(steps) % 10))
            keys("Enter")
            at = place

    reach(page, "New pond")
    keys("Enter")
    on_a_blank_plan(page)
    draw("Box", (-10, -7.5), (10, 7.5))
    has_pools(page, 1)
    reach(page, "Add a tier")
    keys("Enter")
    expect(box(page, "Depth", 2)).to_be_visible()
    settled(page)
    draw("Oval", (-2.5, 10), (2.5, 15))
    has_pools(page, 2)
    reach(page, "Level, exact")
    keys("Control+A")
    page.keyboard.type("4 in")
    keys("Enter")
    settled(page)
    draw("Fall", (0, 12.5), (0, 2.5))
    expect(page.get_by_role("button", name="Remove the fall")).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)
    settled(page)
    reach(page, "Remove the fall")
    keys("Enter")
    expect(page.get_by_text("was removed; ↶ brings it back")).to_be_visible()


@pytest.fixture
def touch(browser: Browser) -> Iterator[Page]:
    """A tablet on its side."""
    context = browser.new_context(viewport={"width": 1024, "height": 768}, has_touch=True)
    context.set_default_timeout(20_000)
    yield context.new_page()
    context.close()


def fingers(page: Page, *steps: list[tuple[float, float]]) -> None:
    """Fingers on the screen [px], from each step to the next, and lifted at the end."""
    session = page.context.new_cdp_session(page)
    for number, places in enumerate(steps):
        points = [{"x": x, "y": y, "id": index} for index, (x, y) in enumerate(places)]
        kind = "touchMove" if number else "touchStart"
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    session.detach()


def test_the_first_five_steps_are_taken_by_touch(touch: Page, server: Callable[[Path | str], str]) -> None:
    """A new pond, its outline, a tier more, a spring above it, a fall between the two; then zoom, stones, removal."""
    page = touch
    expect_start(page, server(""))
    page.get_by_role("button", name="New pond").tap()
    on_a_blank_plan(page)

    def screen(*place: float) -> tuple[float, float]:
        x, y = page.evaluate(ON_SCREEN, list(place))
        return x, y

    def tap(*place: float) -> None:
        page.touchscreen.tap(*screen(*place))

    page.get_by_role("button", name="Outline", exact=True).tap()
    for place in ((-8, -4), (6, -5), (8, 4), (-7, 5), (-7, 5)):  # the last one twice
        tap(*place)
    has_pools(page, 1)
    # A finger draws a corner out, and the page does not scroll away under it.
    wide = page.evaluate(WIDE)
    fingers(page, [screen(8, 4)], [screen(9, 4.5)], [screen(10, 5)], [screen(11, 5)])
    page.wait_for_function(f"wide => ({WIDE})() > wide + 2", arg=wide)
    settled(page)
    page.get_by_role("button", name="Add a tier").tap()
    expect(box(page, "Depth", 2)).to_be_visible()
    settled(page)
    page.get_by_role("button", name="Oval", exact=True).tap()
    fingers(page, [screen(-3, 9)], [screen(0, 11)], [screen(3, 14)])
    has_pools(page, 2)
    box(page, "Level").tap()
    enter(box(page, "Level"), "4 in")
    settled(page)
    page.get_by_role("button", name="Fall", exact=True).tap()
    for place in ((0, 11), (0, 2)):
        tap(*place)
    expect(page.get_by_role("button", name="Remove the fall")).to_be_visible()
    expect(page.get_by_role("alert")).to_have_count(0)
    settled(page)
    # Two fingers that go apart to twice as far bring the plan twice as near, about their middle, and choose nothing.
    seen, at = page.evaluate(SEEN), screen(5, 5)
    reach = [(at[0] + side * far, at[1]) for far in (50, 70, 100) for side in (-1, 1)]
    fingers(page, reach[:2], reach[2:4], reach[4:])
    page.wait_for_function(f"wide => Math.abs(({SEEN})() / wide - 0.5) < 0.02", arg=seen)
    settled(page)
    assert page.evaluate(ON_SCREEN, [5, 5]) == [pytest.approx(at[0], abs=2), pytest.approx(at[1], abs=2)]
    expect(page.get_by_role("button", name="Remove the fall")).to_be_visible()
    page.get_by_role("button", name="Fit all").tap()
    page.wait_for_function(f"wide => ({SEEN})() > 0.8 * wide", arg=seen)
    settled(page)
    page.get_by_role("button", name="Stone", exact=True).tap()
    tap(-12, 8)
    expect(page.get_by_role("button", name="Remove boulder")).to_be_visible()
    page.get_by_role("button", name="Stone", exact=True).tap()  # laid down
    settled(page)
    # A tap chooses, two remove.
    tap(4, -3)
    expect(page.get_by_role("button", name="Remove pool")).to_be_visible()
    settled(page)
    tap(4, -3)
    tap(4, -3)
    has_pools(page, 1)
