"""Undo and redo: a history of whole projects in which one drag is one step."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pondkit import save
from pondkit.page.state import MOST, History
from pondkit.project.files import put
from tests.designs import full_project, read

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")
SHELF = ("options", 0, "pools", 0, "tiers", 0, "shelf")


def drag(history: History, path: tuple[str | int, ...], texts: list[str], number: int) -> History:
    for text in texts:
        history = history.step(put(history.now, path, text), path, number)
    return history


def test_one_drag_is_one_step() -> None:
    start = History(read())
    dragged = drag(start, DEPTH, ["31 in", "33 in", "36 in"], 1)
    assert len(dragged.past) == 1
    assert save(dragged.undo().now) == save(start.now)


def test_a_second_drag_of_the_same_slider_is_a_step_of_its_own() -> None:
    history = drag(drag(History(read()), DEPTH, ["31 in", "36 in"], 1), DEPTH, ["38 in", "40 in"], 2)
    assert len(history.past) == 2
    assert history.undo().now.options[0].pools[0].tiers[1].depth.text == "36 in"


def test_another_slider_is_a_step_of_its_own_even_with_one_drag_number() -> None:
    assert len(drag(drag(History(read()), DEPTH, ["31 in"], 1), SHELF, ["25 in"], 1).past) == 2


def test_a_drag_goes_on_joining_after_it_passed_its_first_value() -> None:
    history = drag(History(read()), DEPTH, ["31 in", "30 in", "29 in"], 1)
    assert len(history.past) == 1
    assert history.undo().now.options[0].pools[0].tiers[1].depth.text == "30 in"


def test_no_change_is_no_step() -> None:
    history = History(read())
    assert drag(history, DEPTH, ["30 in"], 1) is history


@pytest.mark.parametrize(
    ("path", "text"),
    [
        (DEPTH, "30.0 in"),
        (("options", 0, "pools", 0, "at"), ("0 in", "0 ft")),  # inside a pair, too
    ],
)
def test_another_text_of_the_same_value_is_a_step(path: tuple[str | int, ...], text: object) -> None:
    start = History(read())
    project = put(start.now, path, text)
    assert project == start.now
    after = start.step(project, path, 1)
    assert len(after.past) == 1
    assert save(after.now) == save(project) != save(start.now)


def test_undo_and_redo_give_the_projects_back_in_turn() -> None:
    history = drag(drag(History(read()), DEPTH, ["31 in"], 1), SHELF, ["25 in"], 2)
    texts = [save(history.now)]
    while history.past:
        history = history.undo()
        texts.append(save(history.now))
    assert len(texts) == len(set(texts)) == 3
    again = [save(history.now)]
    while history.future:
        history = history.redo()
        again.append(save(history.now))
    assert again == texts[::-1]


def test_undo_at_the_beginning_and_redo_at_the_end_do_nothing() -> None:
    history = History(read())
    assert history.undo() is history
    assert history.redo() is history


def test_a_step_after_an_undo_drops_what_was_undone() -> None:
    history = drag(drag(History(read()), DEPTH, ["31 in"], 1).undo(), SHELF, ["25 in"], 2)
    assert history.future == ()
    assert len(history.past) == 1


def test_a_drag_that_was_undone_is_not_joined_by_its_own_number() -> None:
    history = drag(drag(History(read()), DEPTH, ["31 in"], 1).undo(), DEPTH, ["32 in"], 1)
    assert len(history.past) == 1
    assert history.undo().now.options[0].pools[0].tiers[1].depth.text == "30 in"


def test_widgets_start_anew_after_all_but_their_own_steps() -> None:
    start = History(read())
    dragged = drag(start, DEPTH, ["31 in"], 1)
    assert dragged.revision == start.revision  # the slider in hand stays
    assert dragged.undo().revision > dragged.revision
    assert dragged.undo().redo().revision > dragged.undo().revision
    assert dragged.changed(full_project()).revision > dragged.revision


def test_a_change_to_the_same_is_no_step() -> None:
    history = History(read())
    assert history.changed(read()) is history
    assert history.changed(put(history.now, DEPTH, "30.0 in")) is not history


def test_the_history_is_bounded() -> None:
    history = History(read())
    for number in range(MOST + 20):
        history = drag(history, DEPTH, [f"{30 + number % 60}.5 in"], number)
    assert len(history.past) == MOST


def test_the_nearest_good_project_is_found_within_bounds() -> None:
    history = drag(drag(drag(History(read()), DEPTH, ["31 in"], 1), DEPTH, ["32 in"], 2), DEPTH, ["33 in"], 3)

    def deeper_than(inches: float) -> object:
        return lambda project: project.options[0].pools[0].tiers[1].depth < inches * 0.0254 + 1e-9

    assert history.back(deeper_than(33)) is history.now
    assert history.back(deeper_than(31)) is history.past[1]
    assert history.back(deeper_than(1)) is None
    assert history.back(deeper_than(30), most=2) is None


def test_before_is_the_project_of_the_last_step() -> None:
    start = History(read())
    assert start.before is start.now
    assert drag(start, DEPTH, ["31 in", "36 in"], 1).before is start.now


@given(
    moves=st.lists(
        st.one_of(
            st.tuples(st.just("drag"), st.integers(25, 60), st.integers(0, 2)),
            st.tuples(st.sampled_from(["undo", "redo"]), st.just(0), st.just(0)),
        ),
        max_size=25,
    )
)
@settings(max_examples=60, deadline=None)
def test_as_many_undos_as_steps_lead_back_to_the_beginning(moves: list[tuple[str, int, int]]) -> None:
    start = History(read())
    history = start
    for what, inches, number in moves:
        history = drag(history, DEPTH, [f"{inches} in"], number) if what == "drag" else getattr(history, what)()
    while history.past:
        history = history.undo()
    assert save(history.now) == save(start.now)
