"""Figures on the page: differences between options in words, and figures that are found."""

import html
import re
from collections.abc import Callable

import pytest
from sketch import Sketch

from pondkit import load
from pondkit.core import tables
from pondkit.core.caution import ACT, CHECK, REMINDER, Caution, Rank
from pondkit.drawing.rows import CautionText, rank_of
from pondkit.page.figures import KEY_FIGURES, difference
from pondkit.page.start import examples
from pondkit.report import table
from pondkit.report.plan import faults_at
from pondkit.study.evaluate import evaluate
from pondkit.study.problems import reminders
from tests.designs import full, full_project


@pytest.mark.parametrize(
    ("signed", "key", "said"),
    [
        ("+310", "total_net_volume", "310 gal more than A"),
        ("-1240", "total_net_volume", "1,240 gal less than A"),
        ("-756", "total_price", "$756 less than A"),
        ("0", "total_net_volume", "as A"),
        ("+2", "boulder_count", "2 more than A"),
        ("", "total_net_volume", ""),
    ],
)
def test_a_difference_is_said_in_words(signed: str, key: str, said: str) -> None:
    row = next(row for row in table.rows(evaluate(full_project()).options[0], "us") if row.key == key)
    assert difference(signed, row, "A") == said


def test_a_figure_is_marked_by_the_gravest_of_its_cautions_and_by_no_reminder() -> None:
    def text(rank: Rank) -> CautionText:
        return CautionText(Caution("Heed this.", (), rank, "key"), "us")

    assert rank_of([]) == rank_of([text(REMINDER)]) == ""
    assert rank_of([text(REMINDER), text(CHECK)]) == CHECK
    assert rank_of([text(CHECK), text(ACT), text(REMINDER)]) == ACT


def test_no_example_asks_to_act_and_few_checks_are_in_sight_at_once() -> None:
    """In sight at 1280 x 800 with nothing opened are the key figures; the plan marks what asks to act alone."""
    for path in examples().values():
        for option in evaluate(load(path)).options:
            ranks = {row.key: rank_of(row.cautions) for row in table.rows(option, "us")}
            assert ACT not in ranks.values() and faults_at(option) == {}, f"{path.name}, {option.option.name}"
            assert sum(rank == CHECK for key, rank in ranks.items() if key in KEY_FIGURES) <= 6


def test_reminders_stand_in_a_place_of_their_own_and_are_ticked_as_a_step(start: Callable[..., Sketch]) -> None:
    page = start(full()).choose("view", "Figures")
    every = reminders(evaluate(page.project).options)
    keys = {each.key for told in every.values() for each in told}
    assert len(keys) > 5 and not any("Reminders to read" in body for body in page.html("pk-fill"))  # they stand here
    (body,) = page.html("pk-takeoff")
    page.app.session_state["reminders"] = True
    page.run()
    assert [re.sub("<.*?>", "", body) for body in page.html("pk-group")] == [
        html.escape(tables.GROUPS[group]) for group in every
    ]
    boxes = [box for box in page.app.checkbox if ":read " in (box.key or "")]
    assert {box.key.split(":read ")[1] for box in boxes} == keys
    assert not any(html.escape(box.label) in body for box in boxes)  # at no figure
    first = boxes[0]
    first.set_value(True)
    page.run()
    assert page.project.reminders_read == (first.key.split(":read ")[1],)
    page.desk.undo()
    assert page.project.reminders_read == ()


def test_what_is_to_be_filled_in_is_said_calmly_and_is_no_problem(start: Callable[..., Sketch]) -> None:
    drawn = full()
    del drawn["options"][0]["stone"]["slings"][0]["vertical"]
    for view in ("Sketch", "Figures"):
        page = start(drawn).choose("view", view)
        assert any("the vertical rating on its tag" in body for body in page.html("pk-fill"))
        assert not any("vertical rating" in problem for problem in page.problems)


def test_figures_are_found_by_words_and_by_the_rank_of_their_cautions(start: Callable[..., Sketch]) -> None:
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
    for rank in (ACT, CHECK):
        page.choose("find cautions", rank)
        assert shown() == [row.label for row in rows if rank_of(row.cautions) == rank]
    page.choose("find cautions", "")
    page.app.text_input(key="find figure").set_value("no such thing")
    page.run()
    assert shown() == []
    assert any("No figure is called that" in caption.value for caption in page.app.caption)
