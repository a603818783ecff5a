"""What makes options differ, on the page: side by side and on the screen for the client."""

import html
from collections.abc import Callable

from sketch import Sketch

from pondkit.report import table
from pondkit.study.evaluate import evaluate
from tests.designs import demo, option, small


def test_differences_are_told_side_by_side_and_shown_to_the_client(start: Callable[..., Sketch]) -> None:
    page = start()
    page.desk.open(demo("turtle_yard"))
    results = evaluate(page.project)
    page.run().choose("view", "Side by side")
    ranked = [html.unescape(body) for body in page.html("pk-ranked")]
    assert len(ranked) == 2
    for index, body in enumerate(ranked, 1):
        assert table.sentence(results, index, 0, "us") in body
        assert all(row.difference in body for row in table.difference_rows(results, index, 0, "us"))
    page.choose("against", 1)
    assert table.sentence(results, 0, 1, "us") in html.unescape(page.html("pk-ranked")[0])
    page.choose("view", "Show")
    said = [html.unescape(body) for body in page.html("pk-differs")]
    assert len(said) == 2
    assert table.sentence(results, 1, 0, "us") in said[0]


def test_an_option_is_marked_as_chosen_and_that_is_taken_back(start: Callable[..., Sketch]) -> None:
    page = start(small(options=[option("A"), option("B")]))
    page.choose("view", "Side by side").choose("against", 1)
    page.press("Mark B as chosen")
    assert page.project.chosen == "B"
    page.press("B is chosen: take that back")
    assert page.project.chosen == ""
