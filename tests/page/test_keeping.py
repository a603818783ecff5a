"""The work that the browser keeps: what goes out, and how it is taken up again."""

import base64
import io
import json
from typing import Any

import pytest
from PIL import Image

from pondkit import load, save
from pondkit.page import keeping
from pondkit.page.history import History
from pondkit.page.state import Desk
from pondkit.project.files import put
from tests.designs import read

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")
TEXTS = [f"{30 + number} in" for number in range(5)]


@pytest.fixture
def desk() -> Desk:
    """A desk with four steps, two of them undone."""
    history = History(read())
    for text in TEXTS[1:]:
        history = history.changed(put(history.now, DEPTH, text))
    return Desk(history.undo().undo(), "us")


def depth(project: Any) -> str:
    return str(project.options[0].pools[0].tiers[1].depth.text)


def test_nothing_is_kept_before_the_first_change() -> None:
    assert keeping._work(Desk(History(read()), "us")) is None


def test_the_history_goes_out_from_oldest_to_newest(desk: Desk) -> None:
    work = keeping._work(desk)
    assert work is not None
    assert [depth(read_back(work["texts"][name])) for name in work["order"]] == TEXTS
    assert work["at"] == 2
    assert depth(desk.project) == TEXTS[2]


def read_back(text: str) -> Any:
    return load(text.encode())


def test_only_what_the_browser_lacks_goes_out(desk: Desk) -> None:
    first = keeping._work(desk)
    desk.history = desk.history.step(put(desk.project, DEPTH, "40 in"), DEPTH, 7)
    second = keeping._work(desk)
    assert first is not None
    assert second is not None
    assert [depth(read_back(text)) for text in second["texts"].values()] == ["40 in"]
    assert second["order"][:3] == first["order"][:3]
    desk.sent.clear()  # the browser says that it lacks some
    again = keeping._work(desk)
    assert again is not None
    assert set(again["texts"]) == set(again["order"])


def hand(monkeypatch: pytest.MonkeyPatch, texts: list[str], at: int, pictures: dict[str, str] | None = None) -> Desk:
    monkeypatch.setattr(keeping, "handed", lambda: ("slot", texts, at, pictures or {}))
    desk = Desk(History(read(title="another")), "us", wanted="slot")
    keeping._take_up(desk)
    return desk


def test_work_is_taken_up_with_its_undo_and_redo(monkeypatch: pytest.MonkeyPatch, desk: Desk) -> None:
    work = keeping._work(desk)
    assert work is not None
    taken = hand(monkeypatch, [work["texts"][name] for name in work["order"]], work["at"])
    assert save(taken.project) == save(desk.project)
    assert [depth(p) for p in taken.history.past[:2]] == [TEXTS[1], TEXTS[0]]
    assert [depth(p) for p in taken.history.future] == [TEXTS[3], TEXTS[4]]
    assert (taken.wanted, taken.settled, taken.message) == ("", True, "")
    assert taken.history.past[-1].title == "another"  # what was on the desk is not dropped


def test_a_picture_is_kept_once_for_all_steps_and_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.BytesIO()
    Image.effect_noise((64, 64), 90).save(out, "JPEG")
    letters = base64.b64encode(out.getvalue()).decode()
    project = put(read(), ("picture",), {"data": letters})
    desk = Desk(History(project), "us")
    for drag in range(3):
        desk.history = desk.history.step(put(desk.project, DEPTH, f"{40 + drag} in"), DEPTH, drag)
    work = keeping._work(desk)
    assert work is not None
    assert len(work["order"]) == 4 and len(work["pictures"]) == 1
    assert sum(letters in text for text in work["texts"].values()) == 1
    texts = [work["texts"][name] for name in work["order"]]
    taken = hand(monkeypatch, texts, work["at"], {name: work["texts"][name] for name in work["pictures"]})
    steps = (taken.project, *taken.history.past[:3])
    assert [save(step) for step in steps] == [save(step) for step in (desk.project, *desk.history.past)]
    assert len({id(step.picture.data) for step in steps if step.picture}) == 1  # one text, however many steps


def test_a_picture_that_the_browser_changed_is_not_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    text = save(put(read(), ("picture",), {"data": "kept:1"}))
    taken = hand(monkeypatch, [text], 0, {"kept:1": base64.b64encode(b"%!PS-Adobe-3.0 EPSF-3.0").decode()})
    assert taken.project.picture is None and "picture, data" in taken.message


def test_a_state_of_another_version_is_said_and_the_desk_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    old = json.dumps(json.loads(save(read())) | {"pondkit": 99})
    taken = hand(monkeypatch, [old], 0)
    assert taken.project.title == "another"
    assert "cannot be read by this version" in taken.message
    assert "99" in taken.message


def test_an_older_step_that_cannot_be_read_ends_the_undo_there(monkeypatch: pytest.MonkeyPatch) -> None:
    texts = [save(read()), "{oops", save(put(read(), DEPTH, "31 in")), save(put(read(), DEPTH, "32 in"))]
    taken = hand(monkeypatch, texts, 3)
    assert [depth(p) for p in taken.history.past] == ["31 in", depth(read())]  # the last is what was on the desk


@pytest.mark.parametrize(("texts", "at"), [([], 0), (["{}"], 3)])
def test_work_that_is_gone_is_said(monkeypatch: pytest.MonkeyPatch, texts: list[str], at: int) -> None:
    assert "no longer in this browser" in hand(monkeypatch, texts, at).message
