"""Drags under bad conditions: nothing is lost, nothing is stuck, and the last value always arrives."""

import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import serving
from first_screen import expect_first_screen
from playwright.sync_api import Browser, Page, expect
from screen import box, kept, radio, settled, slider, undo

from pondkit import Project, evaluate
from pondkit.page.components import Live, as_json
from pondkit.page.components.live import asset
from pondkit.page.contents import PLAN
from pondkit.project.files import put
from pondkit.report.plan import shown_section
from pondkit.report.scene import Scene
from tests.designs import full_design

pytestmark = pytest.mark.browser
DEPTH = ("Depth", 1)  # of the second tier
DEPTH_PATH = ("options", 0, "pools", 0, "tiers", 1, "depth")
# Whether the plan says a depth: it was drawn for it.
SAYS = """said => document.querySelector('.pondkit-plot')?.data?.find(trace => trace.name === 'labels')?.text
  .includes(said)"""


def drawn(project: Project) -> dict[str, Any]:
    """The plan as the page draws it."""
    results = evaluate(project)
    figure = Scene(results.options[0], "us", results, 0, shown_section(results.options[0], None)).draw(PLAN)
    assert figure
    return figure


@dataclass
class Hand:
    """A pointer on the slider of the second tier's depth."""

    page: Page
    tools: Any
    kind: str = "mouse"

    def at(self, value: float) -> tuple[float, float]:
        slide = slider(self.page, *DEPTH)
        slide.scroll_into_view_if_needed()
        around = slide.bounding_box()
        assert around
        low, high = (float(slide.evaluate(f"node => node.{name}")) for name in ("min", "max"))
        share = (value - low) / (high - low)
        return around["x"] + 8 + share * (around["width"] - 16), around["y"] + around["height"] / 2

    def tell(self, what: str, x: float, y: float) -> None:
        if self.kind == "touch":
            name = {"down": "touchStart", "move": "touchMove", "up": "touchEnd"}[what]
            points = [] if what == "up" else [{"x": x, "y": y}]
            self.tools.send("Input.dispatchTouchEvent", {"type": name, "touchPoints": points})
            return
        name = {"down": "mousePressed", "move": "mouseMoved", "up": "mouseReleased"}[what]
        press = {"button": "left", "buttons": 0 if what == "up" else 1, "clickCount": 1, "pointerType": self.kind}
        self.tools.send("Input.dispatchMouseEvent", {"type": name, "x": x, "y": y, **press})

    def drag(self, *values: float, meanwhile: Callable[[], None] | None = None) -> str:
        """Takes hold of the thumb, drags it through values and lets go; what the box says then."""
        now = float(slider(self.page, *DEPTH).evaluate("node => node.value"))
        start, places = self.at(now), [self.at(value) for value in values]
        self.tell("down", *start)
        for number, place in enumerate(places):
            self.tell("move", *place)
            self.page.wait_for_timeout(25)
            if meanwhile and number == len(values) // 2:
                meanwhile()
        self.tell("up", *places[-1])
        # The browser may tell the last movement a frame later.
        shown = slider(self.page, *DEPTH).evaluate(
            "node => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(node.value))))"
        )
        return f"{float(shown):g} in"


def arrived(page: Page, said: str) -> None:
    """Waits until value and plan are those of the end of a drag, and looks whether they stay."""
    page.wait_for_function(SAYS, arg=said)
    settled(page)
    expect(box(page, *DEPTH)).to_have_value(said)
    assert page.evaluate(SAYS, said)
    expect(page.locator(".pondkit-stale")).to_have_count(0)


def one_step_back(page: Page, said: str) -> None:
    undo(page).click()
    arrived(page, said)


# Every label of the plan in sight, and where it stands, whole px.
LABELS = """() => [...document.querySelectorAll('.pondkit-plot')[0].querySelectorAll('.scatterlayer .textpoint text')]
  .map(each => [each.textContent, each.getBoundingClientRect()])
  .map(([text, box]) => [text, Math.round(box.left), Math.round(box.top)])"""


def moved_as_drawn(page: Page, hand: Hand) -> None:
    """Labels that were moved while the hand holds stand and read as those that are drawn when it has let go."""
    hand.tell("down", *hand.at(float(slider(page, *DEPTH).evaluate("node => node.value"))))
    hand.tell("move", *hand.at(33))
    hand.tell("move", *hand.at(34))
    page.wait_for_function(f"() => ({LABELS})().some(label => label[0] === '34 in')")
    held = page.evaluate(LABELS)
    hand.tell("up", *hand.at(34))
    arrived(page, "34 in")
    drawn = page.evaluate(LABELS)
    assert [label[0] for label in held] == [label[0] for label in drawn]
    assert all(
        abs(a - b) <= 1 for one, other in zip(held, drawn, strict=True) for a, b in zip(one[1:], other[1:], strict=True)
    )


# All that a person sees of the design: traces of each picture, key figures without their change, boxes of the controls.
STANDS = """() => ({
  pictures: [...document.querySelectorAll('.pondkit-plot')].map(plot => JSON.stringify(plot.data)),
  figures: [...document.querySelectorAll('.pk-figure b')].map(each => each.textContent),
})"""


def standing(page: Page) -> dict[str, list[str]]:
    boxes = page.locator("input.box:visible").evaluate_all("boxes => boxes.map(each => each.value)")
    return {**page.evaluate(STANDS), "boxes": boxes}


def as_loaded_anew(browser: Browser, page: Page, url: str) -> None:
    """What stands on a page is what stands where its file is loaded anew, in a browser that has kept nothing."""
    context = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    try:
        fresh = context.new_page()
        expect_first_screen(fresh, url)
        settled(fresh)
        there = standing(fresh)
        assert all(there.values()) and "…" not in there["figures"]
        assert standing(page) == there
    finally:
        context.close()


@contextmanager
def served(browser: Browser, script: str, arguments: list[str], log: Path) -> Iterator[tuple[Page, Any, str]]:
    process, url = serving.start(script, arguments, log)
    context = browser.new_context(viewport={"width": 1280, "height": 800}, has_touch=True)
    try:
        page = context.new_page()
        expect_first_screen(page, url)
        settled(page)
        yield page, process, url
    finally:
        context.close()
        serving.stop(process)
    assert "Traceback" not in log.read_text(encoding="utf-8")


def test_the_last_value_of_a_drag_arrives_whatever_happens_meanwhile(
    browser: Browser, mine: Path, tmp_path: Path
) -> None:
    delay = tmp_path / "delay"
    delay.write_text("0", encoding="utf-8")
    script = "tests/page/slow_app.py"
    job, file = json.loads(mine.read_text(encoding="utf-8")), tmp_path / "mine.json"
    file.write_text(json.dumps(job), encoding="utf-8")
    with served(browser, script, [str(file), str(delay)], tmp_path / "log") as (page, _, url):
        tools = page.context.new_cdp_session(page)
        hand = Hand(page, tools)
        start = "30 in"
        moved_as_drawn(page, hand)
        one_step_back(page, start)
        for seconds in ("0.5", "2"):
            delay.write_text(seconds, encoding="utf-8")
            said = hand.drag(31, 32, 33, 34, 35, 36, 37, 38)
            assert said == "38 in"
            arrived(page, said)
            one_step_back(page, start)
        delay.write_text("0.2", encoding="utf-8")
        slider(page, *DEPTH).focus()
        for _ in range(12):  # faster than the server answers, and a drag right behind them
            page.keyboard.press("ArrowRight")
        arrived(page, hand.drag(43, 44, 45))
        one_step_back(page, "42 in")
        one_step_back(page, start)
        delay.write_text("0", encoding="utf-8")
        # Into nonsense, shallower than the tier before it, and out again.
        arrived(page, hand.drag(25, 18, 10, 4, 4, 4, 10, 18, 26))
        one_step_back(page, start)
        for kind in ("pen", "touch"):
            hand.kind = kind
            arrived(page, hand.drag(35, 42, 49, 56, 60))  # a finger's first 15 pixels may be a tap
            one_step_back(page, start)
        hand.kind = "mouse"
        sizes: list[Any] = [{"width": 1100, "height": 760}, {"width": 1280, "height": 800}]
        for size in sizes:
            arrived(page, hand.drag(31, 32, 33, 34, meanwhile=lambda size=size: page.set_viewport_size(size)))
            one_step_back(page, start)

        def zoom() -> None:
            page.locator(".pondkit-plot").first.evaluate(
                "plot => Plotly.relayout(plot, {'xaxis.range': [-9, 9], 'yaxis.range': [-7, 7]})"
            )

        arrived(page, hand.drag(31, 32, 33, 34, meanwhile=zoom))
        one_step_back(page, start)
        hand.drag(31, 32, 33, 34, meanwhile=lambda: radio(page, "Figures").evaluate("node => node.click()"))
        settled(page)
        radio(page, "Sketch").click()
        page.locator(".pondkit-plot:has(.main-svg)").nth(1).wait_for()
        settled(page)
        arrived(page, box(page, *DEPTH).input_value())
        # Nothing is stuck: the next drag is as any other.
        before = box(page, *DEPTH).input_value()
        last = hand.drag(40, 41, 42)
        arrived(page, last)
        job["options"][0]["pools"][0]["tiers"][1]["depth"] = last
        file.write_text(json.dumps(job), encoding="utf-8")
        as_loaded_anew(browser, page, url)
        one_step_back(page, before)


def test_two_tabs_drag_one_job_and_the_server_is_killed_in_mid_drag(
    browser: Browser, mine: Path, tmp_path: Path
) -> None:
    with served(browser, "app.py", [str(mine)], tmp_path / "log") as (one, process, url):
        two = one.context.new_page()
        expect_first_screen(two, url)
        settled(two)
        hands = [Hand(page, page.context.new_cdp_session(page)) for page in (one, two)]
        last = ["", ""]
        for values in ((31, 32, 33), (34, 35, 36)):
            for number, hand in enumerate(hands):
                hand.page.bring_to_front()
                last[number] = hand.drag(*(value + number for value in values))
        for hand, said in zip(hands, last, strict=True):
            hand.page.bring_to_front()
            arrived(hand.page, said)
        kept(one, 2)
        two.close()
        port = int(url.rpartition(":")[2])
        hands[0].page.bring_to_front()
        hands[0].drag(37, 38, 39, 40, meanwhile=lambda: serving.stop(process))
        again, _ = serving.start("app.py", [str(mine)], tmp_path / "log 2", port)
        try:
            go_on = one.get_by_role("button", name="Go on with it").first
            expect(go_on).to_be_visible(timeout=60_000)
            go_on.click()
            # At most the drag under way is lost.
            expect(box(one, *DEPTH)).to_have_value(re.compile(r"^(3[6-9]|40) in$"))
            settled(one)
            arrived(one, hands[0].drag(41, 42))
        finally:
            serving.stop(again)


def test_what_has_changed_of_a_picture_makes_the_same_picture_in_the_browser(browser: Browser) -> None:
    """What goes to the browser while the hand moves, put together there, is what Python drew."""
    first = put(full_design(), DEPTH_PATH, "20 in")
    base, live = drawn(first), Live()
    live.begin(partial_run=False)
    live.picture("plan", {"figure": base})
    page = browser.new_page()
    page.add_script_tag(content=asset("picture.js").partition("export default")[0])
    sizes = []
    try:
        for path, value in (
            (DEPTH_PATH, "21 in"),  # some numbers of some traces
            ((*DEPTH_PATH[:4], "tiers", 2, "depth"), "60 in"),  # more traces of depths
            (("options", 0, "pools", 0, "level"), "-4 in"),
            (("options", 0, "pools", 0, "at"), ("2 ft", "1 ft")),
            (("site", "depth_limit"), "10 in"),  # a further trace in the middle
        ):
            figure = drawn(put(first, path, value))
            live.begin(partial_run=True)
            assert live.picture("plan", {"figure": figure}) is None
            change = json.loads(as_json(live.changes["plan"]))
            made = page.evaluate(
                "([figure, change]) => figureWithChanges(figure, change)", [json.loads(as_json(base)), change]
            )
            assert made == json.loads(as_json(figure))
            sizes.append(len(as_json(change)) / len(as_json(figure)))
    finally:
        page.close()
    assert sizes[0] < 0.3  # what one tier does not move is not sent
