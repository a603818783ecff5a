"""Faults of the program: said calmly, with a step back and the project to save, wherever they come from."""

import ast
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sketch import Sketch

from pondkit.page import edits, figures, sketch_view, state
from tests.designs import small

PAGE = Path(state.__file__).parent
Start = Callable[..., Sketch]
DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")


def fail(*_: Any, **__: Any) -> Any:
    raise RuntimeError("planted")


def test_every_callback_of_the_page_is_guarded() -> None:
    bare = []
    for path in sorted(PAGE.glob("*.py")):
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for given in call.keywords if isinstance(call, ast.Call) else ():
                if not (given.arg or "").startswith("on_") or isinstance(given.value, ast.Constant):
                    continue
                made = given.value.func if isinstance(given.value, ast.Call) else None
                passed_on = isinstance(given.value, ast.Name) and given.value.id == given.arg
                if not passed_on and not (isinstance(made, ast.Name) and made.id == "guarded"):
                    bare.append(f"{path.name}:{given.value.lineno}: {given.arg} is not made by page.state.guarded")
    assert not bare, "\n".join(bare)


def test_a_fault_in_a_callback_is_said_calmly_and_the_work_can_be_saved(
    start: Start, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = start(small()).slide(DEPTH, "33 in")
    before = page.saved
    with monkeypatch.context() as patch:
        patch.setattr(edits, "add_item", fail)
        page.press("Add a tier")
    (said,) = page.problems
    assert said.startswith("The last step could not be done. Your work is kept: ")
    assert page.saved == before
    assert [b.label for b in page.app.get("download_button")] == ["Save the project"]
    assert page.figures["Net volume in all"][0] != "–"  # the page itself stands below it
    page.press("Take the last step back")
    assert page.problems == []
    assert page.project.options[0].pools[0].tiers[1].depth.text == "30 in"


def test_a_fault_in_drawing_after_one_in_a_callback_is_said_too(start: Start, monkeypatch: pytest.MonkeyPatch) -> None:
    page = start(small()).slide(DEPTH, "33 in")
    monkeypatch.setattr(edits, "add_item", fail)
    monkeypatch.setattr(figures, "key_figures", fail)
    page.do("options/0/pools/0/tiers:add")
    page.app.run()
    assert not page.app.exception
    assert [said.partition(".")[0] for said in page.problems] == [
        "The last step could not be done",
        "The page could not be drawn",
    ]


def test_after_a_fault_in_what_follows_the_hand_the_whole_page_runs(
    start: Start, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    class Rerun(BaseException):
        pass

    def rerun() -> None:
        raise Rerun

    desk = start(small()).desk
    monkeypatch.setattr(figures, "key_figures", fail)
    monkeypatch.setattr(sketch_view.st, "rerun", rerun)
    with pytest.raises(Rerun):
        sketch_view._follow.__wrapped__(desk, None)
    assert "what follows the hand could not be drawn" in caplog.text


def test_the_table_of_the_first_visit_is_taken_through_the_page_or_refused_in_words(start: Start) -> None:
    page = start(small()).unfold("file")
    for table, soil in ((b"name,found\nsoil,clay\n", "clay"), (b"name,found\nsoil,claay\n", "claay")):
        before = page.saved
        page.app.file_uploader(key="visit").upload("visit.csv", table, "text/csv")
        page.run()
        assert page.problems == [] if soil == "clay" else soil in page.problems[0] and page.saved == before
        assert page.project.site.soil == "clay"


def test_half_a_character_in_an_answers_file_is_refused_in_words(start: Start) -> None:
    page = start(small()).unfold("file")
    before = page.saved
    file = json.dumps({"pondkit_visit": 1, "answers": {"soil": "\ud800"}}).encode()
    page.app.file_uploader(key="visit").upload("visit.json", file, "application/json")
    page.run()
    (said,) = page.problems
    assert "holds \\ud800, half of a character pair; write the whole character" in said
    assert page.saved == before


@pytest.mark.parametrize("path", [DEPTH, ("options", 0, "note"), ("options", 0, "name"), ("title",)])
def test_half_a_character_in_a_box_is_refused_in_words(start: Start, path: tuple[Any, ...]) -> None:
    page = start(small())
    before = page.saved
    page.slide(path, "9 in\udc80")
    text, said = page.desk.refusals["/".join(map(str, path))]
    assert text == "9 in\\udc80" and "\\udc80, half of a character pair" in said
    assert page.saved == before
