"""Drawings as a browser prints them: what a PDF measures, against what the sheet states."""

import re
import zlib

import pytest
from playwright.sync_api import Page

from pondkit import evaluate
from pondkit.view.drawings import PRINTS
from tests.designs import full_project

NUMBER = rb"-?\d*\.?\d+"
Matrix = tuple[float, ...]


def filled_boxes(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height [mm] of every upright rectangle in a PDF's pages, by their own transformations."""
    boxes = []
    for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.S):
        try:
            text = zlib.decompress(stream)
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
                now = (a * now[0] + b * now[2], a * now[1] + b * now[3], c * now[0] + d * now[2], c * now[1] + d * now[3],
                       e * now[0] + f * now[2] + now[4], e * now[1] + f * now[3] + now[5])  # fmt: skip
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
