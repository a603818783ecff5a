"""The page in a real browser: what only a mouse, a keyboard and a screen show."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from first_screen import expect_first_screen
from playwright.sync_api import Locator, Page, expect

from pondkit import evaluate, load, save
from pondkit.view import table
from tests.designs import DEMOS, option, pool, small

TURTLES = DEMOS / "turtle_yard.json"
PICTURES = "() => [...document.querySelectorAll('.pondkit-plot')].slice(0, 2).map(plot => JSON.stringify(plot.data))"
CHANGED = "([before, count]) => [...document.querySelectorAll('.pondkit-plot')].slice(0, count).every((plot, i) => plot.data && JSON.stringify(plot.data) !== before[i])"
Open = Callable[..., Page]


@pytest.fixture
def opened(browser_page: Page, server: Callable[[Path | str], str], tmp_path: Path) -> Iterator[Open]:
    """``opened(data)`` opens the page on a project file. At the end the console holds no error."""
    errors: list[str] = []
    browser_page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)

    def begin(data: dict[str, Any] | Path = TURTLES) -> Page:
        file = data if isinstance(data, Path) else tmp_path / "mine.json"
        if isinstance(data, dict):
            file.write_text(json.dumps(data), encoding="utf-8")
        expect_first_screen(browser_page, server(file))
        settled(browser_page)
        return browser_page

    yield begin
    assert errors == []


def settled(page: Page) -> None:
    """Waits until no run is under way and the pictures stand."""
    page.wait_for_function("() => !document.querySelector('[data-testid=stStatusWidget]')")
    page.wait_for_timeout(300)


def slider(page: Page, name: str, number: int = 0) -> Locator:
    return page.get_by_role("slider", name=name, exact=True).nth(number)


def figures(page: Page) -> list[str]:
    return page.locator(".pk-figures b").all_inner_texts()


def undo(page: Page) -> Locator:
    return page.get_by_role("button", name="↶")


def grip(slide: Locator) -> tuple[float, float, float]:
    """Where the middle of the thumb is, and the width of the track."""
    slide.scroll_into_view_if_needed()
    box = slide.bounding_box()
    assert box
    low, high, value = (float(slide.evaluate(f"node => node.{name}")) for name in ("min", "max", "value"))
    thumb = 16
    at = thumb / 2 + (value - low) / (high - low) * (box["width"] - thumb)
    return box["x"] + at, box["y"] + box["height"] / 2, box["width"]


def test_plan_section_and_figures_follow_the_thumb_before_it_is_let_go(opened: Open) -> None:
    page = opened()
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
    assert halfway != pictures
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
    settled(page)
    assert figures(page) == before
    assert page.evaluate(PICTURES) == pictures
    expect(undo(page)).to_be_disabled()


def test_the_last_value_of_a_quick_drag_arrives(opened: Open) -> None:
    page = opened()
    slide = slider(page, "Depth", 1)
    x, y, width = grip(slide)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 0.05 * width, y, steps=30)
    page.mouse.up()
    settled(page)
    page.wait_for_timeout(1000)
    said = slide.evaluate("node => node.value")
    expect(page.get_by_label("Depth, exact").nth(1)).to_have_value(re.compile(rf"^{float(said):g} in$"))
    expect(page.locator(".pk-figure", has_text="Greatest depth")).to_be_visible()
    note = page.evaluate("() => document.querySelectorAll('.pondkit-plot')[0].data.map(trace => trace.name).join('|')")
    assert f"{float(said):g} in deep" in note


def test_arrow_keys_move_a_slider_and_a_burst_is_one_step(opened: Open) -> None:
    page = opened()
    before = figures(page)
    box = page.get_by_label("Depth, exact").nth(1)
    start = box.input_value()
    slider(page, "Depth", 1).focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    expect(page.locator(".pk-figures b").first).not_to_have_text(before[0])
    settled(page)
    assert float(box.input_value().split()[0]) == float(start.split()[0]) + 4
    undo(page).click()
    expect(box).to_have_value(start)
    expect(undo(page)).to_be_disabled()


def test_the_zoom_of_the_plan_stays_when_a_slider_moves(opened: Open) -> None:
    page = opened()
    ranges = "() => { const l = document.querySelectorAll('.pondkit-plot')[0]._fullLayout; return [l.xaxis.range, l.yaxis.range]; }"
    home = page.evaluate(ranges)
    plan = page.locator(".pondkit-plot").first.bounding_box()
    assert plan
    page.mouse.move(plan["x"] + 0.3 * plan["width"], plan["y"] + 0.8 * plan["height"])
    page.mouse.down()
    page.mouse.move(plan["x"] + 0.4 * plan["width"], plan["y"] + 0.7 * plan["height"], steps=8)
    page.mouse.up()
    page.wait_for_timeout(300)
    moved = page.evaluate(ranges)
    assert moved != home
    pictures = page.evaluate(PICTURES)
    slider(page, "Depth", 1).focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(CHANGED, arg=[pictures, 1])
    assert page.evaluate(ranges) == moved


def test_text_is_typed_into_a_box_and_what_is_refused_stays_there(opened: Open) -> None:
    page = opened()
    before = figures(page)
    box = page.get_by_label("Depth, exact").nth(1)
    box.click()
    box.fill("2 ft 6 in")
    box.press("Enter")
    expect(page.locator(".pk-figures b").first).not_to_have_text(before[0])
    settled(page)
    expect(box).to_have_value("2 ft 6 in")
    assert float(slider(page, "Depth", 1).evaluate("node => node.value")) == pytest.approx(30)
    good = figures(page)
    box.fill("three bananas")
    box.press("Enter")
    expect(box).to_have_attribute("aria-invalid", "true")
    expect(box).to_have_value("three bananas")
    expect(page.get_by_text("'three bananas' is not a length", exact=False)).to_be_visible()
    assert figures(page) == good
    box.fill("31")
    box.press("Enter")
    expect(box).to_have_attribute("aria-invalid", "false")
    expect(box).to_have_value("31 in")


def test_a_pool_is_chosen_by_a_click_on_the_plan(opened: Open) -> None:
    page = opened()
    pools = page.get_by_role("combobox", name="Pool", exact=True)
    expect(pools).to_have_value("basking pool")
    at = page.evaluate(
        """() => {
          const plot = document.querySelectorAll('.pondkit-plot')[0], l = plot._fullLayout, box = plot.getBoundingClientRect();
          const line = plot.data.find(trace => trace.name === 'spring pool: waterline');
          const middle = v => { const met = v.filter(n => n !== null); return (Math.min(...met) + Math.max(...met)) / 2; };
          return [box.left + l.xaxis._offset + l.xaxis.l2p(middle(line.x)), box.top + l.yaxis._offset + l.yaxis.l2p(middle(line.y))];
        }"""
    )
    page.mouse.click(*at)
    expect(pools).to_have_value("spring pool")


def test_options_are_compared_side_by_side(opened: Open) -> None:
    page = opened()
    page.get_by_role("radio", name="Side by side").click()
    expect(page.locator(".pk-table")).to_be_visible()
    expect(page.locator(".pondkit-plot:has(.main-svg)")).to_have_count(
        8
    )  # plan and section an option, two rows of bars
    ranges = page.evaluate(
        "() => [...document.querySelectorAll('.pondkit-plot')].map(p => p._fullLayout).map(l => [l.xaxis.range, l.yaxis.range, l.xaxis._length])"
    )
    assert ranges[0] == ranges[2] == ranges[4]  # plans: one scale, drawn as large
    assert ranges[1] == ranges[3] == ranges[5]  # sections
    results = evaluate(load(TURTLES))
    for against, name in ((0, "A"), (1, "B")):
        page.get_by_test_id("stMain").get_by_role("radio", name=name, exact=True).click()
        line = next(line for line in table.summary_rows(results, "us", against) if line.key == "total_net_volume")
        cells = page.locator(".pk-table tr", has_text=line.label).locator("td")
        for index, (text, difference) in enumerate(zip(line.texts, line.differences, strict=True)):
            expect(cells.nth(index)).to_contain_text(text)
            expect(cells.nth(index).locator("i")).to_have_text(difference or "\xa0")


def menu(page: Page) -> None:
    page.get_by_role("button", name="File").click()
    expect(page.get_by_text("Open a project file")).to_be_visible()


def test_the_project_that_is_saved_opens_again(opened: Open, tmp_path: Path) -> None:
    page = opened()
    box = page.get_by_label("Depth, exact").nth(1)
    box.fill("2 ft 1 in")
    box.press("Enter")
    settled(page)
    menu(page)
    with page.expect_download() as download:
        page.get_by_role("button", name="Save the project").click()
    project = load(Path(download.value.path()))
    assert project.options[0].pools[0].tiers[1].depth.text == "2 ft 1 in"
    file = tmp_path / "again.json"
    file.write_text(save(project).replace("2 ft 1 in", "2 ft 2 in"), encoding="utf-8")
    page.locator("input[type=file]").set_input_files(file)
    expect(box).to_have_value("2 ft 2 in")


def test_a_broken_file_gives_a_message_and_leaves_the_work(opened: Open, tmp_path: Path) -> None:
    page = opened()
    before, pictures = figures(page), page.evaluate(PICTURES)
    menu(page)
    for name, data, said in (
        ("broken.json", b"{oops", "not JSON"),
        ("heavy.json", json.dumps(small(options=[option(pools=[pool(level="3 kg")])])).encode(), "'kg' is a mass"),
    ):
        file = tmp_path / name
        file.write_bytes(data)
        page.locator("input[type=file]").set_input_files(file)
        expect(
            page.get_by_role("alert").filter(has_text=f"{name} was not opened, and your work is as it was.")
        ).to_contain_text(said)
    assert figures(page) == before
    assert page.evaluate(PICTURES) == pictures
    expect(undo(page)).to_be_disabled()
