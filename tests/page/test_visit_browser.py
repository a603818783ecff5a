"""A builder's first visit in a real browser, from the blank start to the table that is taken home; its presses counted.

A press is one of the pointer: a click, a drag or a stroke is one each. Keys are free.
"""

import csv
import io
import math
from collections.abc import Callable
from pathlib import Path

import pytest
from first_screen import expect_start
from playwright.sync_api import Locator, Page, expect
from screen import box, enter, settled

from pondkit.page.tools import TOOLS

pytestmark = pytest.mark.browser
MOST_PRESSES = 44
COUNTED = """
window.presses = 0;
addEventListener("pointerdown", () => { window.presses += 1; }, true);
"""
ON_SCREEN = """([x, y]) => {
  const plot = document.querySelector('.pondkit-plot'), l = plot._fullLayout, box = plot.getBoundingClientRect();
  return [box.left + l.xaxis._offset + l.xaxis.l2p(x), box.top + l.yaxis._offset + l.yaxis.l2p(y)];
}"""
WATERLINES = "() => document.querySelector('.pondkit-plot').data.filter(t => t.name?.endsWith(': waterline')).length"

BOULDERS = "() => document.querySelector('.pondkit-plot').data.find(t => t.name === 'boulders')?.x.length ?? 0"


class Visit:
    """What a person does with a pointer and keys."""

    def __init__(self, page: Page) -> None:
        self.page = page

    @property
    def presses(self) -> int:
        return int(self.page.evaluate("window.presses"))

    def press(self, name: str, *, exact: bool = True) -> None:
        self.click(self.page.get_by_role("button", name=name, exact=exact).first)

    def tool(self, name: str) -> None:
        """Takes up a tool of the plan."""
        button = self.page.get_by_role("button", name=name, exact=True)
        button.click()
        expect(button).to_have_attribute("aria-pressed", "true")

    def unfold(self, heading: str) -> None:
        self.click(self.page.get_by_role("button", expanded=False).filter(has_text=heading).first)

    def choose(self, name: str) -> None:
        self.click(self.page.get_by_role("radio", name=name, exact=True).first)

    def click(self, what: Locator) -> None:
        what.click()
        settled(self.page)

    def write(self, label: str, text: str, number: int = 0) -> None:
        """One press into the box, then keys."""
        where = box(self.page, label, number)
        where.click()
        enter(where, text)
        settled(self.page)

    def stroke(self, *places: tuple[float, float]) -> None:
        first, *further = [self.page.evaluate(ON_SCREEN, list(place)) for place in places]
        self.page.mouse.move(*first)
        self.page.mouse.down()
        for place in further:
            self.page.mouse.move(*place)
        self.page.mouse.up()
        settled(self.page)

    def tap(self, *places: tuple[float, float]) -> None:
        for place in places:
            self.page.mouse.click(*self.page.evaluate(ON_SCREEN, list(place)))
            settled(self.page)

    def has_pools(self, count: int) -> None:
        self.page.wait_for_function(f"count => ({WATERLINES})() === count", arg=count)
        settled(self.page)

    def saved(self) -> str:
        """The project as it is saved from the open menu."""
        with self.page.expect_download() as waiting:
            self.press("Save the project")
        return Path(waiting.value.path()).read_text(encoding="utf-8")

    def nothing_red(self) -> None:
        expect(self.page.get_by_role("alert")).to_have_count(0)


def kidney() -> list[tuple[float, float]]:
    turns = [2 * math.pi * step / 60 for step in range(60)]
    reach = [7 + 1.8 * math.cos(2 * turn) - 2 * math.sin(turn) for turn in turns]
    return [(1.4 * far * math.cos(turn), far * math.sin(turn)) for far, turn in zip(reach, turns, strict=True)]


def test_a_whole_visit_takes_fewer_than_45_presses(browser_page: Page, server: Callable[[Path | str], str]) -> None:
    page = browser_page
    page.add_init_script(COUNTED)
    page.set_viewport_size({"width": 1280, "height": 800})
    expect_start(page, server(""))
    visit = Visit(page)
    visit.press("New pond")
    # A kidney-shaped pool with three zones.
    visit.tool("Outline")
    visit.stroke(*kidney())
    visit.has_pools(1)
    visit.press("Add a tier")
    # A spring basin above it, and a fall between the two.
    visit.tool("Oval")
    visit.stroke((-4, 11), (0, 13), (4, 16))
    visit.has_pools(2)
    visit.write("Level", "4 in")
    visit.tool("Fall")
    visit.stroke((0, 13), (0, 8), (0, 2))
    # A liner between two fabrics, of which the one below it is there at once.
    visit.choose("Liner")
    visit.press("Add liner")
    visit.unfold("Overlay")
    visit.press("Add overlay")
    # Six boulders.
    visit.tool("Stone")
    for place in ((-15, 3), (-14, -4), (-9, -8.5), (9, -8.5), (14, -5), (15, 4)):
        before = page.evaluate(BOULDERS)
        visit.tap(place)
        page.wait_for_function(f"before => ({BOULDERS})() > before", arg=before)
        settled(page)
    page.keyboard.press("Escape")
    # A pipe from the water to a dry den.
    visit.tool("Pipe")
    visit.tap((9, 0), (17, -2), (20, -5))
    page.keyboard.press("Enter")
    settled(page)
    # A pump.
    visit.press("More")
    visit.choose("Water")
    visit.press("Add water")
    visit.press("Add a pump")
    # Three options.
    for count in (2, 3):
        visit.press("Add an option", exact=False)
        expect(page.get_by_role("radiogroup", name="Option").get_by_role("radio")).to_have_count(count)
        expect(page.locator("#tip:popover-open")).to_have_count(0)  # what was pressed covers nothing with its words
    visit.choose("Pools")
    visit.write("Freeboard", "7 in")
    # Shown to the client, then the table to take home.
    visit.choose("Show")
    expect(page.locator(".pk-present h2")).to_have_count(3)
    visit.choose("Sketch")
    visit.press("File", exact=False)
    with page.expect_download() as waiting:
        visit.press("Summary (CSV)")
    lines = list(csv.reader(io.StringIO(Path(waiting.value.path()).read_text(encoding="utf-8-sig"))))
    head, *rows = lines
    assert head[:6] == ["label", "subject", "unit", "A", "A 2", "A 3"]
    zones = [row[1] for row in rows if row[-1] == "zone_area" and row[1].startswith("pool / ")]
    assert len(zones) == 3
    figures = {row[-1]: row[3:6] for row in rows}
    assert {"total_net_volume", "liner_area_order", "stone_order"} <= figures.keys()
    assert figures["liner_area_order"][0] != figures["liner_area_order"][2]
    assert [row[3:6] for row in rows if row[-1] == "boulder_count"] == [["6", "6", "6"]]
    visit.nothing_red()
    assert visit.presses <= MOST_PRESSES
    # Every tool given up half way, then ten steps back and on again: the work is as it was, and nothing is red.
    project = visit.saved()
    page.keyboard.press("Escape")
    for tool in TOOLS:
        visit.tool(tool.label)
        if tool.least > 1:
            visit.tap((-18, -12))
        page.keyboard.press("Escape")
        expect(page.get_by_role("button", name=tool.label, exact=True)).to_have_attribute("aria-pressed", "false")
    for arrow in "↶↷":
        for _ in range(10):
            visit.press(arrow)
    visit.press("File", exact=False)
    assert visit.saved() == project
    visit.nothing_red()
