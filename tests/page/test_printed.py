"""Drawings as a browser prints them: what a PDF measures, against what the sheet states."""

import re
import zlib

import pytest
from playwright.sync_api import Page

from pondkit.report.drawings import PRINTS
from pondkit.study.evaluate import evaluate
from tests.designs import demo, full_project

NUMBER = rb"-?\d*\.?\d+"
Matrix = tuple[float, ...]


def filled_boxes(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height [mm] of every upright rectangle in a PDF's pages, by their own transformations."""
    boxes = []
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S):
        try:
            text = zlib.decompressobj().decompress(
                stream
            )  # its last byte may look like the line's end before "endstream"
        except zlib.error:
            continue
        now: Matrix = (1, 0, 0, 1, 0, 0)
        kept: list[Matrix] = []
        for found in re.finditer(rb"((?:" + NUMBER + rb"\s+)*)(cm|re|q|Q)(?=\s)", text):
            n = [float(v) for v in found[1].split()]
            if found[2] == b"q":
                kept.append(now)
            elif found[2] == b"Q" and kept:
                now = kept.pop()
            elif found[2] == b"cm" and len(n) >= 6:
                a, b, c, d, e, f = n[-6:]
                now = (
                    a * now[0] + b * now[2],
                    a * now[1] + b * now[3],
                    c * now[0] + d * now[2],
                    c * now[1] + d * now[3],
                    e * now[0] + f * now[2] + now[4],
                    e * now[1] + f * now[3] + now[5],
                )
            elif found[2] == b"re" and len(n) >= 4:
                boxes.append(
                    (abs(n[-2] * now[0]) / 72 * 25.4, abs(n[-1] * now[3]) / 72 * 25.4)
                )  # 72 points to the inch (ISO 32000)
    return boxes


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_bar_in_a_printed_pdf_measures_what_it_states(browser_page: Page, paper: str) -> None:
    results = evaluate(full_project())
    for one in PRINTS:
        markup = one.make(results, 0, "us")
        browser_page.set_content(markup)
        bars = [
            box
            for box in filled_boxes(browser_page.pdf(format=paper))
            if box[1] == pytest.approx(1.0, abs=0.05) and box[0] > 60
        ]
        assert len(bars) == markup.count("class='bar'"), one.key
        assert all(width == pytest.approx(100.0, abs=0.1) for width, _ in bars), one.key


# Words of names that are wider than the cell in which they stand, with room for a letter less.
BROKEN = """() => [...document.querySelectorAll('table.figures tr:not(.more) td:nth-child(-n+2)')].flatMap(cell => {
  const style = getComputedStyle(cell), pen = document.createElement('canvas').getContext('2d');
  pen.font = `${style.fontSize} ${style.fontFamily}`;
  const room = cell.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
  return cell.textContent.split(/[ -]/).filter(word => pen.measureText(word).width > room + 1);
})"""


def test_no_name_of_a_figure_is_broken_within_a_word_on_a4(browser_page: Page) -> None:
    browser_page.set_viewport_size({"width": 794, "height": 1123})  # A4 at 96 px to the inch
    browser_page.emulate_media(media="print")
    browser_page.set_content(
        next(one for one in PRINTS if one.key == "crew").make(evaluate(demo("turtle_yard")), 0, "us")
    )
    assert browser_page.locator("table.figures tr:not(.more) td:nth-child(-n+2)").count() > 100
    assert browser_page.evaluate(BROKEN) == []
    assert browser_page.evaluate("document.documentElement.scrollWidth") <= 794
