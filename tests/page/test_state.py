"""What the page remembers between runs: the desk, without a server."""

import pytest

from pondkit import save
from pondkit.core.refusal import Refused
from pondkit.page import edits
from pondkit.page.state import Desk, History
from pondkit.project.files import put
from tests.designs import full_project, read

POOL = ("options", 0, "pools", 0)
DEPTH = (*POOL, "tiers", 1, "depth")


@pytest.fixture
def desk() -> Desk:
    return Desk(History(read()), "us")


def test_a_drag_is_entered_value_by_value_as_one_step(desk: Desk) -> None:
    for inches in (31, 33, 36):
        desk.enter(DEPTH, f"{inches} in", 7, "k", f"{inches} in")
    assert len(desk.history.past) == 1
    assert desk.project.options[0].pools[0].tiers[1].depth.text == "36 in"


def test_refused_text_stays_and_the_design_too(desk: Desk) -> None:
    before = desk.history
    desk.enter(DEPTH, "3 kg", 1, "k", "3 kg")
    assert desk.history is before
    text, reason = desk.refusals["k"]
    assert text == "3 kg"
    assert reason.startswith("Depth") or ": Depth" in reason
    assert "length" in reason


def test_a_good_entry_clears_what_was_refused_there(desk: Desk) -> None:
    desk.enter(DEPTH, "3 kg", 1, "k", "3 kg")
    desk.enter((*POOL, "level"), "99 kg", 1, "other", "99 kg")
    desk.enter(DEPTH, "31 in", 2, "k", "31 in")
    assert set(desk.refusals) == {"other"}


def test_a_message_about_a_file_goes_with_the_next_good_entry(desk: Desk) -> None:
    desk.message = "mine.json was not opened"
    desk.enter(DEPTH, "3 kg", 1, "k", "3 kg")
    assert desk.message
    desk.enter(DEPTH, "31 in", 2, "k", "31 in")
    assert desk.message == ""


def test_a_message_names_the_bounds(desk: Desk) -> None:
    desk.enter(DEPTH, "999 ft", 1, "k", "999 ft")
    assert "1 in to 12 ft" in desk.refusals["k"][1]


def test_a_refused_edit_is_said_and_changes_nothing(desk: Desk) -> None:
    before = desk.history
    desk.edit(lambda: edits.rename(desk.project, POOL, ""))
    assert desk.history is before
    assert "Name" in desk.message
    desk.edit(lambda: edits.rename(desk.project, POOL, "round pool"))
    assert desk.message == ""
    assert desk.project.options[0].pools[0].name == "round pool"


def test_an_edit_drops_texts_that_were_refused(desk: Desk) -> None:
    desk.enter(DEPTH, "3 kg", 1, "k", "3 kg")
    desk.edit(lambda: edits.add_item(desk.project, (*POOL, "tiers"))[0])
    assert desk.refusals == {}


def test_an_edit_that_changes_nothing_is_no_step(desk: Desk) -> None:
    before = save(desk.project)
    desk.edit(lambda: edits.move_item(desk.project, POOL, 1)[0])
    assert desk.history.past == ()
    assert save(desk.project) == before


def test_an_opened_project_starts_anew_and_undo_brings_the_work_back(desk: Desk) -> None:
    desk.chosen["option"], desk.base_option, desk.message = 3, 2, "old"
    work = save(desk.project)
    other = put(full_project(), ("units",), "si")
    desk.open(other)
    assert (desk.project, desk.units, desk.chosen, desk.base_option, desk.message) == (other, "si", {}, 0, "")
    desk.history = desk.history.undo()
    assert save(desk.project) == work


def test_the_option_that_is_drawn_is_one_that_is_there(desk: Desk) -> None:
    desk.chosen["option"] = 4
    assert desk.option == 0
    desk.edit(lambda: edits.copy_item(desk.project, ("options", 0))[0])
    assert desk.option == 1


def test_units_on_show_say_how_a_text_in_doubt_is_read(desk: Desk) -> None:
    desk.units = "si"
    desk.enter(DEPTH, "0.9", 1, "k", "0.9")
    assert desk.project.options[0].pools[0].tiers[1].depth == pytest.approx(0.9)


def test_only_a_refusal_is_caught(desk: Desk) -> None:
    with pytest.raises(ZeroDivisionError):
        desk.edit(lambda: 1 // 0)  # type: ignore[arg-type, return-value]
    with pytest.raises(Refused):
        put(desk.project, DEPTH, "3 kg")
