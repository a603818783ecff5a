"""The start: what the page opens on, and what can be begun, gone on with and opened there."""

import json
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sketch import Sketch

from pondkit import load, save
from pondkit.core.refusal import Refused
from pondkit.page import keeping, start
from pondkit.page.keeping import MOST_VERSIONS, JobFolder
from pondkit.page.state import Desk, History, empty_project
from pondkit.project.files import put
from pondkit.project.project import Project
from tests.designs import pool, read, small

DEPTH = ("options", 0, "pools", 0, "tiers", 1, "depth")
TITLE = ("site", "job", "firm", "name")
Open = Callable[..., Sketch]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Open:
    """``opened("--jobs", folder)`` opens the page with that command line."""

    def begin(*given: object) -> Sketch:
        monkeypatch.setattr(sys, "argv", ["app.py", *map(str, given)])
        return Sketch()

    return begin


def words(page: Sketch) -> str:
    return " ".join(block.proto.body for block in page.app.get("html"))


# --- what it opens on ---


def test_a_new_pond_asks_for_nothing_but_units_and_opens_blank(opened: Open) -> None:
    page = opened()
    assert page.desk.at_start and page.problems == []
    (units,) = page.app.radio
    units.set_value("si")
    page.press("New pond")
    assert not page.desk.at_start and page.problems == []
    assert page.project.units == "si" and page.project.options[0].pools == ()
    assert page.desk.history.past == ()  # nothing to take back
    page.press("Add a pool")
    assert page.desk.project.job_id


def test_each_example_opens_as_a_copy_and_says_so(opened: Open) -> None:
    for name, path in start.examples().items():
        page = opened().press(name)
        assert page.problems == [] and page.desk.history.past == ()
        assert page.saved == save(load(path).changed(job_id=""))
        assert "copy of the example" in " ".join(page.html("pk-calm"))
        page.slide(("options", 0, "pools", 0, "level"), "-3 in")
        assert page.html("pk-calm") == []


def test_work_on_the_desk_stays_while_the_start_is_looked_at(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "mine.json").write_text(json.dumps(small(job_id="mine", title="Mill pond")), encoding="utf-8")
    page = opened(tmp_path / "mine.json")
    assert not page.desk.at_start
    work = page.saved
    page.unfold("file").press("All jobs …")
    assert page.desk.at_start
    page.press("Back to Mill pond")
    assert page.saved == work
    page.unfold("file").press("New")
    assert page.project.options[0].pools == ()
    page.press("↶")
    assert page.saved == work


BAD_LINES: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "a file that is not there": (("no such.json",), ("no such.json", "cannot be read")),
    "a folder that is not there": (("--jobs", "/no/such/folder"), ("/no/such/folder", "no such folder", "Make it")),
    "an option without its folder": (("--jobs",), ("--jobs", "expected one argument")),
    "what it does not know": (("--job", "x", "--loud"), ("--loud",)),
}


@pytest.mark.parametrize("what", BAD_LINES)
def test_a_command_line_that_cannot_be_followed_is_said_on_the_start(opened: Open, what: str) -> None:
    given, told = BAD_LINES[what]
    page = opened(*given)
    assert page.desk.at_start
    for word in told:
        assert word in " ".join(page.problems)


def test_a_refused_file_is_said_on_the_start_and_nothing_is_lost(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "old.json").write_text(json.dumps(small(pondkit=9)), encoding="utf-8")
    page = opened(tmp_path / "old.json")
    assert page.desk.at_start and "version" in page.problems[0]
    page.app.file_uploader(key="start upload").upload("bad.json", b"{oops", "application/json")
    page.run()
    assert page.desk.at_start and page.problems[0].startswith("bad.json was not opened")
    page.app.file_uploader(key="start upload").upload("good.json", json.dumps(small()).encode(), "application/json")
    page.run()
    assert not page.desk.at_start and page.project.title == "small"


# --- the firm's details ---


def test_the_firm_s_details_go_into_the_next_job(monkeypatch: pytest.MonkeyPatch) -> None:
    desk = Desk(History(read()), "us")
    desk.edit(lambda: put(desk.project, TITLE, "Rush & Co"))
    assert desk.firm is not None and desk.firm.name == "Rush & Co"
    start.open_new(desk, "si")
    assert desk.project.site.job.firm.name == "Rush & Co"
    later = Desk(History(empty_project("us")), "us", at_start=True)
    monkeypatch.setattr(keeping, "kept_firm", lambda: '{"name": "Rush & Co", "logo": ""}')
    start.open_new(later, "us")
    assert later.project.site.job.firm.name == "Rush & Co"
    assert later.firm is None  # not typed here, so the browser need not keep it again
    monkeypatch.setattr(keeping, "kept_firm", lambda: '{"nme": 3}')
    assert keeping.firm_in_browser() is None


# --- many jobs ---


def test_all_of_three_hundred_jobs_can_be_reached_and_found(opened: Open, monkeypatch: pytest.MonkeyPatch) -> None:
    works = [
        {"slot": f"s{n}", "title": f"job {n}", "changed": "", "when": 1e12 - n, "back": 1, "steps": 2, "open": False}
        for n in range(300)
    ]
    monkeypatch.setattr(start, "kept_jobs", lambda: works)
    page = opened()
    assert sum(button.label == "Go on with it" for button in page.app.button) == start.MOST_SHOWN
    page.press("Show 20 more")
    assert sum(button.label == "Go on with it" for button in page.app.button) == start.MOST_SHOWN + 20
    page.desk.chosen["shown browser"] = 288  # as after further presses
    page.run().press("Show 12 more")
    assert sum(button.label == "Go on with it" for button in page.app.button) == 300
    page.app.text_input(key="find browser").set_value("job 29")
    page.run()
    assert sum(button.label == "Go on with it" for button in page.app.button) == 11  # 29 and 290 to 299


# --- jobs as files ---


def job(job_id: str = "mill", title: str = "Mill pond", **more: Any) -> Project:
    return read(job_id=job_id, title=title, **more)


def deeper(project: Project, depth: str) -> Project:
    return put(project, DEPTH, depth)


def never(raw: bytes) -> bool:
    return False


def test_a_job_is_kept_as_a_file_with_versions_and_opened_again(opened: Open, tmp_path: Path) -> None:
    page = opened("--jobs", tmp_path).press("New pond").press("Add a pool")
    page.slide(("options", 0, "pools", 0, "level"), "-3 in")
    ((folder,), job_id) = list(tmp_path.iterdir()), page.project.job_id
    assert folder.name == job_id
    assert (folder / "job.json").read_text(encoding="utf-8") == page.saved
    assert len(list((folder / "versions").iterdir())) == 2
    again = opened("--jobs", tmp_path)
    assert "Whoever opens this page sees all of them" in again.texts
    assert "option &#x27;A&#x27;, pool &#x27;pool&#x27;, level" in words(again)
    again.press(f"filed {job_id}")
    assert again.saved == page.saved
    again.slide(("options", 0, "pools", 0, "level"), "-5 in")
    assert (folder / "job.json").read_text(encoding="utf-8") == again.saved
    # The first tab goes on with what it had: the newer file is not written over, and its own is kept beside it.
    page.slide(("options", 0, "pools", 0, "level"), "-9 in", drag=2).run()
    assert (folder / "job.json").read_text(encoding="utf-8") == again.saved
    assert "changed by another tab" in " ".join(page.problems)
    assert page.saved in [path.read_text(encoding="utf-8") for path in (folder / "versions").iterdir()]
    page.press("Keep it as a copy").run()
    assert page.problems == []
    assert (tmp_path / page.project.job_id / "job.json").read_text(encoding="utf-8") == page.saved


def test_the_newest_stands_first_and_only_the_last_versions_are_kept(tmp_path: Path) -> None:
    folder = JobFolder(tmp_path)
    project = job()
    held: set[bytes] = set()
    for number in range(MOST_VERSIONS + 5):
        project = deeper(project, f"{20 + number} in")
        assert folder.write(project, held.__contains__)
        held.add(save(project).encode())
    versions = sorted((tmp_path / "mill" / "versions").iterdir())
    assert len(versions) == MOST_VERSIONS
    assert versions[-1].read_bytes() == save(project).encode()
    folder.write(job("quay", "Quay pond"), never)
    os.utime(tmp_path / "mill" / "job.json", ns=(1, 1))
    assert [(one.id, one.title) for one in folder.jobs()] == [("quay", "Quay pond"), ("mill", "Mill pond")]


def test_a_job_cut_short_while_it_was_written_leaves_the_last_whole_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = JobFolder(tmp_path)
    folder.write(job(), never)
    before = (tmp_path / "mill" / "job.json").read_bytes()

    def full(file: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    desk = Desk(History(job()), "us")
    desk.edit(lambda: deeper(desk.project, "33 in"))
    keeping.keep_as_file(desk, folder)
    assert "No space left on device" in desk.filing.fault and "this browser keeps it" in desk.filing.fault
    assert (tmp_path / "mill" / "job.json").read_bytes() == before
    assert list(tmp_path.rglob("*.part")) == []


@pytest.mark.parametrize(
    "name", ["", ".", "..", ".x", "-x", "a" * 61, "../x", "a/b", "con", "NUL.txt", "a.", "a\\b", "é"]
)
def test_an_id_that_is_no_plain_name_is_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "jobs").mkdir()
    folder = JobFolder(tmp_path / "jobs")
    for act in (lambda: folder.read(name), lambda: folder.write(job().changed(job_id=name), never)):
        with pytest.raises(Refused, match="cannot be the name of a job's folder; allowed are letters"):
            act()
    assert list((tmp_path / "jobs").iterdir()) == [] and [path.name for path in tmp_path.iterdir()] == ["jobs"]


def test_nothing_is_read_or_written_through_a_link(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    secret = outside / "job.json"
    secret.write_text(save(job("far", "secret")), encoding="utf-8")
    before = secret.read_bytes()
    jobs = tmp_path / "jobs"
    (jobs / "inner").mkdir(parents=True)
    (jobs / "far").symlink_to(outside)
    (jobs / "inner" / "job.json").symlink_to(secret)
    (jobs / "held").mkdir()
    (jobs / "held" / "versions").symlink_to(outside)
    folder = JobFolder(jobs)
    assert folder.jobs() == []
    for name in ("far", "inner"):
        with pytest.raises(Refused, match="symbolic link"):
            folder.read(name)
    for name in ("far", "inner", "held"):
        with pytest.raises(Refused, match="symbolic link"):
            folder.write(job(name), never)
    assert secret.read_bytes() == before and [path.name for path in outside.iterdir()] == ["job.json"]


def test_a_file_that_is_no_project_is_listed_with_its_fault_and_cannot_be_opened(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "job.json").write_text("{oops", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("not a job", encoding="utf-8")
    page = opened("--jobs", tmp_path)
    assert "broken" in words(page) and "the file is not JSON there" in words(page)
    assert not page.can_press("filed broken")


def test_a_job_of_the_folder_may_have_any_shape_that_a_project_has(tmp_path: Path) -> None:
    folder = JobFolder(tmp_path)
    folder.write(job("bare", options=[{"name": "A", "pools": [pool()]}]), never)
    assert folder.read("bare")[0].options[0].pools[0].name == "pool"
