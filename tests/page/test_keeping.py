"""The work that the browser keeps: what goes out, and how it is taken up again."""

import base64
import io
import json
from typing import Any

import pytest
from PIL import Image

from pondkit import load, save
from pondkit.core.result import Path
from pondkit.page import edits, header, keeping, state
from pondkit.page.keeping import as_link, from_link
from pondkit.page.state import Desk, History
from pondkit.project.files import put
from tests.designs import read

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")
TEXTS = [f"{30 + number} in" for number in range(5)]


@pytest.fixture
def desk() -> Desk:
    """A desk with four steps, two of them undone."""
    desk = Desk(History(read()), "us")
    for text in TEXTS[1:]:
        change(desk, text)
    desk.undo()
    desk.undo()
    return desk


def change(desk: Desk, text: str, path: Path = DEPTH) -> None:
    desk.edit(lambda: put(desk.project, path, text))


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
    desk.enter(DEPTH, "40 in", 7, "key", "40 in")
    second = keeping._work(desk)
    assert first is not None
    assert second is not None
    assert [depth(read_back(text)) for text in second["texts"].values()] == ["40 in"]
    assert second["order"][:3] == first["order"][:3]
    desk.browser.sent_ids.clear()  # the browser says that it lacks some
    again = keeping._work(desk)
    assert again is not None
    assert set(again["texts"]) == set(again["order"])


def hand(monkeypatch: pytest.MonkeyPatch, texts: list[str], at: int, pictures: dict[str, str] | None = None) -> Desk:
    monkeypatch.setattr(keeping, "requested_work", lambda: ("slot", texts, at, pictures or {}))
    desk = Desk(History(read(title="another")), "us")
    desk.browser.requested_slot = "slot"
    keeping._take_up(desk)
    return desk


def test_work_is_taken_up_with_its_undo_and_redo(monkeypatch: pytest.MonkeyPatch, desk: Desk) -> None:
    work = keeping._work(desk)
    assert work is not None
    taken = hand(monkeypatch, [work["texts"][name] for name in work["order"]], work["at"])
    assert save(taken.project) == save(desk.project)
    assert [depth(p) for p in taken.history.past[:2]] == [TEXTS[1], TEXTS[0]]
    assert [depth(p) for p in taken.history.future] == [TEXTS[3], TEXTS[4]]
    assert (taken.browser.requested_slot, taken.browser.offer_closed, taken.message) == ("", True, "")
    assert taken.history.past[-1].title == "another"  # what was on the desk is not dropped


def test_a_picture_is_kept_once_for_all_steps_and_comes_back(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.BytesIO()
    Image.effect_noise((64, 64), 90).save(out, "JPEG")
    letters = base64.b64encode(out.getvalue()).decode()
    project = put(read(), ("picture",), {"data": letters})
    desk = Desk(History(project), "us")
    for drag in range(3):
        desk.enter(DEPTH, f"{40 + drag} in", drag, "key", "")
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


def test_a_job_has_one_id_from_its_first_change_on() -> None:
    desk = Desk(History(read()), "us")
    change(desk, "31 in")
    job = desk.project.job_id
    assert job and desk.job_of(desk.history.past[0]) == job and desk.history.past[0].job_id == ""
    change(desk, "32 in")
    desk.undo()
    desk.undo()
    assert save(desk.project) == save(read())
    change(desk, "33 in")  # another way from the start on: still one job
    assert desk.project.job_id == job


def test_what_was_opened_before_is_kept_in_a_record_of_its_own(desk: Desk) -> None:
    first = keeping._work(desk)
    desk.open(read(title="another"))
    assert keeping._work(desk) is None  # nothing of it was changed
    change(desk, "50 in")
    second = keeping._work(desk)
    assert first and second and first["job"] != second["job"]
    assert [depth(read_back(second["texts"][name])) for name in second["order"]] == ["30 in", "50 in"]
    desk.undo()
    desk.undo()
    back = keeping._work(desk)
    assert back and back["job"] == first["job"] and back["at"] == 2


def test_a_copy_is_a_job_of_its_own(desk: Desk) -> None:
    was = keeping._work(desk)
    desk.copy()
    now = keeping._work(desk)
    assert was and now and was["job"] != now["job"] and len(now["order"]) == 1
    desk.undo()
    assert desk.project.job_id == was["job"]


def test_an_example_a_link_and_a_saved_copy_get_an_id_of_their_own(desk: Desk) -> None:
    change(desk, "36 in")
    mine = desk.project.job_id
    assert from_link(as_link(desk.project)).job_id == ""
    assert load(header._copy(desk.project).encode()).job_id not in ("", mine)
    assert load(save(desk.project).encode()).job_id == mine


CHANGES: list[tuple[Path, Any, str]] = [
    (DEPTH, "44 in", "option 'A', pool 'pool', tier 'deep', depth"),
    (("title",), "other", "title"),
    (("site", "depth_limit"), "25 in", "site, depth limit"),
    (
        ("options", 0, "pools", 0, "outline"),
        {"shape": "circle", "diameter": "9 ft"},
        "option 'A', pool 'pool', outline",
    ),
]


@pytest.mark.parametrize(("path", "value", "said"), CHANGES)
def test_what_was_changed_last_is_said(path: Path, value: Any, said: str) -> None:
    desk = Desk(History(read()), "us")
    desk.edit(lambda: put(desk.project, path, value))
    work = keeping._work(desk)
    assert work is not None
    assert work["changed"] == said.replace("site, depth limit", state.place(desk.project, path))


def test_a_list_that_grew_is_said() -> None:
    desk = Desk(History(read()), "us")
    desk.edit(lambda: edits.add_item(desk.project, ("options", 0, "pools"))[0])
    work = keeping._work(desk)
    assert work is not None and work["changed"] == "option 'A', pools"


def test_steps_that_do_not_come_back_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    texts = [save(put(read(), DEPTH, f"{20 + number / 10} in")) for number in range(119)]
    taken = hand(monkeypatch, texts, 118)
    assert len(taken.history.past) == keeping.MOST_BACK + 1  # and what was on the desk
    assert taken.message.startswith("Of the 118 steps before, the last 60 can be undone")


def test_work_of_an_older_version_goes_on_in_its_own_record(monkeypatch: pytest.MonkeyPatch, desk: Desk) -> None:
    work = keeping._work(desk)
    assert work is not None
    texts = [save(read_back(work["texts"][name]).changed(job_id="")) for name in work["order"]]
    taken = hand(monkeypatch, texts, 2)
    change(taken, "51 in")
    again = keeping._work(taken)
    assert again and again["job"] == "slot" and again["at"] == 3
