"""The crew's print as a browser lays it out."""

from playwright.sync_api import Page

from pondkit.report.drawings import PRINTS
from pondkit.study.evaluate import evaluate
from tests.designs import demo

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
