"""The page in a real browser: what only a mouse, a keyboard and a screen show."""

import csv
import io
import json
import re
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import chromium
import pytest
from axe_playwright_python.sync_playwright import Axe
from first_screen import expect_first_screen
from PIL import Image
from playwright.sync_api import Browser, Locator, Page, TimeoutError, expect
from screen import box, enter, figures, kept, menu, part, radio, settled, slider, undo

from pondkit import load, save
from pondkit.core.units import grouped
from pondkit.report import table
from pondkit.study.evaluate import evaluate
from tests.designs import FULL_DESIGN, option, pool, small

pytestmark = pytest.mark.browser
TURTLES = FULL_DESIGN
SIZE = {"width": 1280, "height": 800}
# What plan and section draw, and a look whether so many of the two have changed.
PATHS = "plot => [...plot.querySelectorAll('.js-line, .js-fill')].map(path => path.getAttribute('d')).join('|')"
PICTURES = f"() => [...document.querySelectorAll('.pondkit-plot')].slice(0, 2).map({PATHS})"
CHANGED = f"""([before, count]) => [...document.querySelectorAll('.pondkit-plot')].slice(0, count)
  .every((plot, i) => ({PATHS})(plot) !== before[i])"""
RANGES = """() => {
    const l = document.querySelector('.pondkit-plot')._fullLayout;
    return [l.xaxis.range, l.yaxis.range];
}"""
# Where a place of the plan lies on the screen.
ON_SCREEN = """([x, y]) => {
  const plot = document.querySelector('.pondkit-plot'), l = plot._fullLayout, box = plot.getBoundingClientRect();
  return [box.left + l.xaxis._offset + l.xaxis.l2p(x), box.top + l.yaxis._offset + l.yaxis.l2p(y)];
}"""


@pytest.fixture(scope="module")
def loaded(browser: Browser, server: Callable[[Path | str], str]) -> Iterator[Page]:
    """One page on a demo for all tests here: to load it costs more than any of them."""
    with chromium.watched(browser) as page:
        expect_first_screen(page, server(TURTLES))
        yield page


@pytest.fixture
def page(loaded: Page) -> Iterator[Page]:
    """The page as it starts; what a test did is undone behind it."""
    settled(loaded)
    yield loaded
    loaded.set_viewport_size(SIZE)
    loaded.mouse.up()
    loaded.keyboard.press("Escape")
    for name in ("Sketch", "Pools", "US"):
        radio(loaded, name).click()
        settled(loaded)
    while undo(loaded).is_enabled():
        with suppress(TimeoutError):  # the run that was under way may have made it the first step
            undo(loaded).click(timeout=2000)
        settled(loaded)


def grip(slide: Locator) -> tuple[float, float, float]:
    """Where the middle of the thumb is, and the width of the track."""
    slide.scroll_into_view_if_needed()
    around = slide.bounding_box()
    assert around
    low, high, value = (float(slide.evaluate(f"node => node.{name}")) for name in ("min", "max", "value"))
    thumb = 16
    at = thumb / 2 + (value - low) / (high - low) * (around["width"] - thumb)
    return around["x"] + at, around["y"] + around["height"] / 2, around["width"]


def test_plan_section_and_figures_follow_the_thumb_before_it_is_let_go(page: Page) -> None:
    before, pictures = figures(page), page.evaluate(PICTURES)
    x, y, width = grip(slider(page, "Depth", 1))
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 7):
        page.mouse.move(x + step * 0.01 * width, y)
        page.wait_for_timeout(60)
    page.wait_for_function(CHANGED, arg=[pictures, 2])
    expect(page.locator(".pk-figures b").first).not_to_have_text(before[0])
    halfway, at_half = page.evaluate(PICTURES), figures(page)
    for step in range(7, 13):
        page.mouse.move(x + step * 0.01 * width, y)
        page.wait_for_timeout(60)
    page.wait_for_function(CHANGED, arg=[halfway, 2])
    page.mouse.up()
    settled(page)
    assert figures(page) != at_half
    # One drag is one step.
    undo(page).click()
    expect(page.locator(".pk-figures b").first).to_have_text(before[0])
    expect(undo(page)).to_be_disabled()
    settled(page)
    assert figures(page) == before
    assert page.evaluate(PICTURES) == pictures


def test_the_last_value_of_a_quick_drag_arrives(page: Page) -> None:
    slide = slider(page, "Depth", 1)
    x, y, width = grip(slide)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 0.05 * width, y, steps=30)
    page.mouse.up()
    said = f"{float(slide.evaluate('node => node.value')):g} in"
    expect(box(page, "Depth", 1)).to_have_value(said)
    page.wait_for_function(
        "said => document.querySelector('.pondkit-plot').data.find(trace => trace.name === "
        "'labels').text.includes(said)",
        arg=said,
    )


def test_arrow_keys_move_a_slider_and_a_burst_is_one_step(page: Page) -> None:
    before, start = figures(page), box(page, "Depth", 1).input_value()
    slider(page, "Depth", 1).focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    expect(box(page, "Depth", 1)).to_have_value(f"{float(start.split()[0]) + 4:g} in")
    expect(page.locator(".pk-figures b").first).not_to_have_text(before[0])
    settled(page)
    undo(page).click()
    expect(box(page, "Depth", 1)).to_have_value(start)
    expect(undo(page)).to_be_disabled()


def test_the_zoom_of_the_plan_stays_when_a_slider_moves(page: Page) -> None:
    home, pictures = page.evaluate(RANGES), page.evaluate(PICTURES)
    plan = page.locator(".pondkit-plot").first.bounding_box()
    assert plan
    x, y = plan["x"] + 0.3 * plan["width"], plan["y"] + 0.85 * plan["height"]

    def pan(from_x: float, from_y: float, to_x: float, to_y: float) -> None:
        page.mouse.move(from_x, from_y)
        page.mouse.down()
        page.mouse.move(to_x, to_y, steps=8)
        page.mouse.up()
        page.wait_for_timeout(200)

    pan(x, y, x + 60, y - 40)
    moved = page.evaluate(RANGES)
    assert moved != home
    slider(page, "Depth", 1).focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(CHANGED, arg=[pictures, 1])
    assert page.evaluate(RANGES) == moved
    settled(page)
    pan(x + 60, y - 40, x, y)


def test_text_is_typed_into_a_box_and_what_is_refused_stays_there(page: Page) -> None:
    before, depth = figures(page), box(page, "Depth", 1)
    enter(depth, "2 ft 6 in")
    expect(page.locator(".pk-figures b").first).not_to_have_text(before[0])
    expect(depth).to_have_value("2 ft 6 in")
    expect(slider(page, "Depth", 1)).to_have_js_property("value", "30")
    settled(page)
    good = figures(page)
    enter(depth, "three bananas")
    expect(depth).to_have_attribute("aria-invalid", "true")
    expect(depth).to_have_value("three bananas")
    expect(page.get_by_text("'three bananas' is not a length", exact=False)).to_be_visible()
    assert figures(page) == good
    enter(depth, "31")
    expect(depth).to_have_attribute("aria-invalid", "false")
    expect(depth).to_have_value("31 in")


def test_a_pool_is_chosen_by_a_click_on_the_plan(page: Page) -> None:
    pools = page.get_by_role("combobox", name="Pool", exact=True)
    for name in ("spring pool", "basking pool"):
        # Inside the waterline, beside the section line, which runs through the middle.
        inside = page.evaluate(
            """name => {
              const traces = document.querySelector('.pondkit-plot').data;
              const line = traces.find(trace => trace.name === `${name}: waterline`);
              const at = (v, share) => {
                const met = v.filter(n => n !== null), low = Math.min(...met);
                return low + share * (Math.max(...met) - low);
              };
              return [at(line.x, 0.35), at(line.y, 0.7)];
            }""",
            name,
        )
        page.mouse.click(*page.evaluate(ON_SCREEN, inside))
        expect(pools.locator("option:checked")).to_have_text(name)
        settled(page)


def handle(page: Page, label: str) -> Locator:
    return page.locator(f".handle[aria-label^='{label}']")


def hold(page: Page, label: str) -> tuple[float, float]:
    """Presses the pointer on a handle; where it was pressed."""
    around = handle(page, label).locator(".reach").bounding_box()
    assert around
    x, y = around["x"] + around["width"] / 2, around["y"] + around["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    return x, y


@pytest.mark.parametrize("label", ["point 1 of basking pool", "all of basking pool", "end A of the section line"])
def test_a_handle_is_dragged_and_all_follows_before_it_is_let_go(page: Page, label: str) -> None:
    first, said = page.evaluate(PICTURES), handle(page, label).get_attribute("aria-label")
    x, y = hold(page, label)
    for step in range(1, 11):
        page.mouse.move(x + 2 * step, y + 3 * step)
        page.wait_for_timeout(50)
    # The line that the browser draws itself, then the section, all with the pointer still down.
    assert page.locator(".ghost").first.get_attribute("d")
    page.wait_for_function(
        "before => JSON.stringify(document.querySelectorAll('.pondkit-plot')[1].data) !== before", arg=first[1]
    )
    page.mouse.up()
    settled(page)
    assert page.locator(".ghost").first.get_attribute("d") == ""
    expect(handle(page, label)).not_to_have_attribute("aria-label", str(said))
    undo(page).click()
    page.wait_for_function(f"first => JSON.stringify(({PICTURES})()) === JSON.stringify(first)", arg=first)
    expect(handle(page, label)).to_have_attribute("aria-label", str(said))
    expect(undo(page)).to_be_disabled()  # one drag is one step


def test_points_are_moved_added_and_taken_away_with_keys(page: Page) -> None:
    label = "point 1 of basking pool"
    before, said = page.locator(".handle.point").count(), handle(page, label).get_attribute("aria-label")
    handle(page, label).focus()
    for key in ("ArrowLeft", "ArrowLeft", "ArrowDown"):
        page.keyboard.press(key)
    expect(handle(page, label)).not_to_have_attribute("aria-label", str(said))
    settled(page)
    expect(handle(page, label)).to_be_focused()
    handle(page, "a further point behind point 1:").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".handle.point")).to_have_count(before + 1)
    handle(page, "point 2 of basking pool").focus()
    page.keyboard.press("Delete")
    expect(page.locator(".handle.point")).to_have_count(before)
    for _ in range(3):
        undo(page).click()
        settled(page)
    expect(handle(page, label)).to_have_attribute("aria-label", str(said))
    expect(undo(page)).to_be_disabled()


def test_the_numbers_beside_follow_what_is_drawn(page: Page) -> None:
    page.get_by_text("Points of the outline").click()
    number = box(page, "east")
    expect(number).to_be_visible()
    was = number.input_value()
    handle(page, "point 1 of basking pool").focus()
    page.keyboard.press("ArrowLeft")
    expect(number).not_to_have_value(was)
    enter(number, was)
    settled(page)
    page.get_by_text("Points of the outline").click()


def test_options_are_compared_side_by_side(page: Page) -> None:
    radio(page, "Side by side").click()
    expect(page.locator(".pk-table:not(.pk-ranking)")).to_be_visible()
    # Plan and section an option, and two rows of bars.
    expect(page.locator(".pondkit-plot:has(.main-svg)")).to_have_count(8)
    ranges = page.evaluate(
        """() => [...document.querySelectorAll('.pondkit-plot')].map(plot => plot._fullLayout)
          .map(l => [l.xaxis.range, l.yaxis.range, Math.round(l.xaxis._length)])"""
    )
    assert ranges[0] == ranges[2] == ranges[4]  # plans: one scale, drawn as large
    assert ranges[1] == ranges[3] == ranges[5]  # sections
    results = evaluate(load(TURTLES))
    for against, name in ((1, "B"), (0, "A")):
        page.get_by_test_id("stMain").get_by_role("radio", name=name, exact=True).click()
        line = next(line for line in table.summary_rows(results, "us", against) if line.key == "total_net_volume")
        cells = page.locator(".pk-table:not(.pk-ranking) tr", has_text=line.label).locator("td")
        for index, (text, difference) in enumerate(zip(line.texts, line.differences, strict=True)):
            expect(cells.nth(index)).to_contain_text(text)
            expect(cells.nth(index).locator("i")).to_have_text(difference or re.compile(r"^\s*$"))


def opener(page: Page) -> Locator:
    """Where a project file is given."""
    return page.get_by_test_id("stFileUploader").filter(has_text="Open a project file").locator("input[type=file]")


def test_the_csv_that_is_downloaded_says_what_the_page_says(page: Page) -> None:
    radio(page, "Figures").click()
    page.wait_for_function("() => document.querySelectorAll('.pk-takeoff summary').length > 100")
    settled(page)
    shown = page.locator(".pk-takeoff summary").evaluate_all(
        "nodes => nodes.map(node => node.querySelector('span:last-child b').textContent)"
    )
    menu(page)
    with page.expect_download() as download:
        page.get_by_role("button", name="Takeoff (CSV)").click()
    assert download.value.suggested_filename.endswith("_takeoff.csv")
    raw = Path(download.value.path()).read_bytes()
    lines = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert lines[0] == list(table.COLUMNS)
    own = [line for line in lines[1:] if line[0] == "A"]
    assert len(own) == len(shown) > 100
    as_shown = table.COLUMNS.index("text")
    # A sign in front is marked as text for spreadsheet programs.
    assert [line[as_shown].removeprefix("'") for line in own] == shown


def test_the_project_that_is_saved_opens_again(page: Page, tmp_path: Path) -> None:
    enter(box(page, "Depth", 1), "2 ft 1 in")
    settled(page)
    menu(page)
    with page.expect_download() as download:
        page.get_by_role("button", name="Save the project").click()
    project = load(Path(download.value.path()))
    assert project.options[0].pools[0].tiers[1].depth.text == "2 ft 1 in"
    file = tmp_path / "again.json"
    file.write_text(save(project).replace("2 ft 1 in", "2 ft 2 in"), encoding="utf-8")
    opener(page).set_input_files(file)
    expect(box(page, "Depth", 1)).to_have_value("2 ft 2 in")


def test_a_broken_file_gives_a_message_and_leaves_the_work(page: Page, tmp_path: Path) -> None:
    before, pictures = figures(page), page.evaluate(PICTURES)
    menu(page)
    heavy: dict[str, Any] = small(options=[option(pools=[pool(level="3 kg")])])
    for name, data, said in (
        ("a.json", b"{oops", "not JSON"),
        ("b.json", json.dumps(heavy).encode(), "'kg' is a mass"),
    ):
        file = tmp_path / name
        file.write_bytes(data)
        opener(page).set_input_files(file)
        told = page.get_by_role("alert").filter(has_text=f"{name} was not opened, and your work is as it was.")
        expect(told).to_contain_text(said)
    assert figures(page) == before
    assert page.evaluate(PICTURES) == pictures
    expect(undo(page)).to_be_disabled()


WIDE = """() => [...document.querySelectorAll('html, body, [data-testid=stMain], [data-testid=stSidebarContent]')]
  .filter(node => node.scrollWidth > node.clientWidth).map(node => node.outerHTML.slice(0, 60))"""
CUT = """() => [...document.querySelectorAll('.pk-figure b, .pk-label')]
  .filter(node => node.scrollWidth > node.clientWidth + 1).map(node => node.textContent)"""


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (1024, 768)])
def test_nothing_scrolls_sideways_and_the_plan_is_on_the_first_screen(page: Page, width: int, height: int) -> None:
    page.set_viewport_size({"width": width, "height": height})
    settled(page)
    assert page.evaluate(CUT) == []
    plan = page.locator(".pondkit-plot").first.bounding_box()
    assert plan
    assert plan["y"] + plan["height"] <= height
    for name in ("Side by side", "Figures", "Sketch", "Links", "Liner", "Stone", "Tunnels", "Rates", "Site"):
        radio(page, name).click()
        settled(page)
        assert page.evaluate(WIDE) == [], name


def test_the_plan_keeps_its_zoom_at_a_new_size_of_the_window_and_with_another_part(page: Page) -> None:
    plan = page.locator(".pondkit-plot").first

    def ranges() -> Any:
        settled(page)
        return plan.evaluate("plot => ['xaxis', 'yaxis'].flatMap(axis => plot._fullLayout[axis].range)")

    def resized_and_back() -> None:
        for size in ({"width": 1024, "height": 600}, {"width": 1280, "height": 1300}, SIZE):
            page.set_viewport_size(size)
            page.wait_for_function(
                "({_fullLayout: l, clientHeight, clientWidth}) => l.height === clientHeight"
                " && Math.abs(l.width - clientWidth) < 1",
                arg=plan.element_handle(),
            )

    whole = ranges()
    resized_and_back()
    assert ranges() == pytest.approx(whole)
    page.locator(".pondkit-tools [data-name=closer]").first.click()
    closer = ranges()
    assert closer[1] - closer[0] < 0.9 * (whole[1] - whole[0])
    resized_and_back()
    assert ranges() == pytest.approx(closer)
    part(page, "Walls")
    expect(page.get_by_role("button", name="Add walls")).to_be_visible()
    assert ranges() == pytest.approx(closer)
    page.get_by_role("button", name="Fit all").first.click()
    wider = "([plot, west]) => plot._fullLayout.xaxis.range[0] < west"
    page.wait_for_function(wider, arg=[plan.element_handle(), closer[0]])
    assert ranges() == pytest.approx(whole)


def violations(page: Page) -> list[tuple[str, str]]:
    """Rules of accessibility that the page breaks, each with where. Streamlit's own place for files has a name though
    its role forbids one."""
    found = Axe().run(page).response["violations"]
    places = [(rule["id"], node["html"][:120]) for rule in found for node in rule["nodes"]]
    return [(rule, place) for rule, place in places if "stFileUploaderDropzone" not in place]


def test_no_rule_of_accessibility_is_broken(page: Page) -> None:
    """Source of the rules: WCAG 2 and good practice, as axe-core looks for them."""
    for name in ("Side by side", "Figures", "Show", "Sketch"):
        radio(page, name).click()
        settled(page)
        assert violations(page) == [], name
    for name in ("Job", "Grid", "Aim", "File", "?"):
        page.get_by_role("button", name=name).filter(has_text=name).first.click()
        expect(page.get_by_test_id("stPopoverBody")).to_be_visible()
        settled(page)
        assert violations(page) == [], name
        page.keyboard.press("Escape")
        expect(page.get_by_test_id("stPopoverBody")).to_have_count(0)
    for name in ("Stone", "Water", "Lifting"):  # which hold every kind of control
        part(page, name)
        settled(page)
        assert violations(page) == [], name


def test_what_is_shown_to_a_client_has_no_controls(page: Page) -> None:
    radio(page, "Show").click()
    settled(page)
    expect(page.locator(".pondkit-plot:has(.main-svg)")).to_have_count(6)  # plan and section an option
    expect(page.get_by_role("slider")).to_have_count(0)
    expect(page.get_by_role("button", name="File")).to_have_count(0)
    expect(page.locator(".pk-present h2")).to_have_text(["A", "B", "C"])
    volume = next(line for line in table.summary_rows(evaluate(load(TURTLES)), "us") if line.key == "total_net_volume")
    for index, text in enumerate(volume.texts):
        expect(page.locator(".pk-plain").nth(index)).to_contain_text(text)
    # In words: what B and C have more or less than A.
    for index, signed in enumerate(volume.differences[1:], start=1):
        words = "more than A" if signed.startswith("+") else "less than A"
        expect(page.locator(".pk-plain").nth(index)).to_contain_text(
            f"{grouped(signed.lstrip('+-'))} {volume.unit} {words}"
        )
    # In three dimensions: soon there (three times the second that is wanted, on a machine as fast as this one is now),
    # and all options in one frame.
    machine = max(1.0, page.evaluate(ADDITIONS) / ADDED_IN)
    page.evaluate(WATCH_FIRST_VIEW)
    radio(page, "3-D").click()
    page.wait_for_function("window.firstView", timeout=60_000)
    assert page.evaluate("window.firstView - window.pressedAt") < 3_000 * machine
    page.wait_for_function(f"({FRAMES})().length === 3", timeout=60_000)
    frames = page.evaluate(FRAMES)
    assert frames[0] == frames[1] == frames[2]
    settled(page)
    assert violations(page) == []


ADDITIONS = """() => {
  const start = performance.now();
  for (let i = 0, sum = 0; i < 3e7; i++) window.sum = sum += i;
  return performance.now() - start;
}"""
ADDED_IN = 200  # ms, on the two cores that speed is measured on
WATCH_FIRST_VIEW = """() => {
  window.firstView = 0;
  addEventListener('pointerdown', () => { window.pressedAt = performance.now(); }, { capture: true, once: true });
  addEventListener('pondkit:drawn', (event) => {
    if (event.target.closest('.pondkit-model')) window.firstView ||= performance.now();
  });
}"""
# Ranges of the axes, proportions and camera of each view.
FRAMES = """() => [...document.querySelectorAll('.pondkit-model .pondkit-plot')].map((plot) => plot._fullLayout?.scene)
  .filter(Boolean).map((scene) => JSON.stringify([scene.xaxis.range, scene.yaxis.range, scene.zaxis.range,
  scene.aspectratio, scene.camera.eye, scene.camera.center], (_, value) => value?.toFixed?.(6) ?? value))"""


def test_a_design_in_trouble_keeps_its_plan_greyed_and_comes_back(page: Page) -> None:
    enter(box(page, "Depth"), "40 in")  # deeper than the tiers behind it
    expect(page.get_by_role("alert").first).to_contain_text("tier")
    expect(page.locator(".pondkit-stale").first).to_be_visible()
    expect(page.get_by_text("the last one that could be worked out")).to_be_visible()
    undo(page).click()
    expect(page.get_by_role("alert").filter(has_text="tier")).to_have_count(0)
    expect(page.locator(".pondkit-stale")).to_have_count(0)


def test_work_is_offered_after_a_reload_and_another_person_does_not_see_it(
    browser: Browser, server: Callable[[Path | str], str]
) -> None:
    url = server(TURTLES)
    with chromium.watched(browser) as page, chromium.watched(browser) as other:
        expect_first_screen(page, url)
        settled(page)
        enter(box(page, "Depth", 1), "2 ft 1 in")
        settled(page)
        kept(page)
        expect_first_screen(page, url)
        expect_first_screen(other, url)
        expect(box(page, "Depth", 1)).not_to_have_value("2 ft 1 in")
        page.get_by_role("button", name="Go on with it").click()
        expect(box(page, "Depth", 1)).to_have_value("2 ft 1 in")
        undo(page).click()
        expect(box(page, "Depth", 1)).to_have_value("20 in")
        settled(other)
        expect(other.get_by_text("This browser keeps work")).to_have_count(0)


def test_a_link_carries_the_design(browser: Browser, page: Page) -> None:
    enter(box(page, "Depth", 1), "2 ft 3 in")
    settled(page)
    menu(page)
    page.get_by_role("button", name="Make a link with this design").click()
    link = page.locator("[data-testid=stCode] code").inner_text()
    with chromium.watched(browser) as other:
        expect_first_screen(other, link)
        expect(box(other, "Depth", 1)).to_have_value("2 ft 3 in")
        other.goto(link[:-40])  # opens on the start
        expect(other.get_by_role("alert")).to_contain_text("cut short")


def test_a_photo_lies_under_the_plan_and_is_kept(
    browser: Browser, server: Callable[[Path | str], str], tmp_path: Path
) -> None:
    photo = tmp_path / "yard.png"
    Image.effect_noise((800, 600), 60).save(photo)
    url = server(TURTLES)
    with chromium.watched(browser) as page:
        expect_first_screen(page, url)
        settled(page)
        radio(page, "Site").click()
        page.get_by_text("Picture under the plan").click()
        page.locator("[data-testid=stSidebar] input[type=file]").set_input_files(photo)
        image = page.locator(".pondkit-under image").first
        expect(image).to_have_attribute("href", re.compile("^data:image/jpeg;base64,"))
        settled(page)
        width = float(image.get_attribute("width") or 0)
        x, y = hold(page, "mark 2 on the picture")
        page.mouse.move(x - 60, y + 30, steps=5)
        page.mouse.up()
        settled(page)
        enter(page.get_by_label("True distance between the marks"), "60 ft")
        settled(page)
        page.get_by_role("button", name="Scale the picture").click()
        expect(page.get_by_text("now 60 ft apart")).to_be_visible()
        page.wait_for_function(
            "was => +document.querySelector('.pondkit-under image').getAttribute('width') > 1.2 * was", arg=width
        )
        kept(page)
        expect_first_screen(page, url)
        expect(page.locator(".pondkit-under").first).to_be_hidden()
        page.get_by_role("button", name="Go on with it").click()
        expect(image).to_have_attribute("href", re.compile("^data:image/jpeg;base64,"))
