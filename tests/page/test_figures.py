"""Figures on the page: differences between options in words, and figures that are found."""

import html
import re
from collections.abc import Callable

import pytest
from sketch import Sketch

from pondkit.page.figures import difference
from pondkit.report import table
from pondkit.study.evaluate import evaluate
from tests.designs import full


@pytest.mark.parametrize(
    ("signed", "unit", "said"),
    [
        ("+310", "gal", "310 gal more than A"),
        ("-1.5", "yd³", "1.5 yd³ less than A"),
        ("0", "gal", "as A"),
        ("+2", "", "2 more than A"),
        ("", "gal", ""),
    ],
)
def test_a_difference_is_said_in_words(signed: str, unit: str, said: str) -> None:
    assert difference(signed, unit, "A") == said


def test_figures_are_found_by_words_and_those_with_a_caution_alone(start: Callable[..., Sketch]) -> None:
    page = start(full()).choose("view", "Figures")
    rows = table.rows(evaluate(page.project).options[0], "us")

    def shown() -> list[str]:
        (body,) = page.html("pk-takeoff")
        return [html.unescape(label) for label in re.findall(r"<summary><span>([^<]*?) ?<", body)]

    assert len(shown()) == len(rows)
    page.app.text_input(key="find figure").set_value("zone VOL")
    page.run()
    assert shown() == [row.label for row in rows if row.key == "zone_volume"]
    page.app.text_input(key="find figure").set_value("")
    page.app.toggle(key="find cautions").set_value(True)
    page.run()
    assert shown() == [row.label for row in rows if row.cautions]
    page.app.text_input(key="find figure").set_value("no such thing")
    page.run()
    assert shown() == []
    assert any("No figure is called that" in caption.value for caption in page.app.caption)
