"""Where work is kept: in the person's own browser, in a folder of jobs, and in a link.

The browser keeps one record per job, with its undo steps (``keep``, ``offer_kept_work``). A folder of jobs holds
``<job_id>/job.json`` and dated versions of it (``JobFolder``). A file there is written under another name first and
then renamed, so that it is whole or absent. Nothing outside the folder is read or written: symbolic links are refused,
and so are ids that are no plain names. A link carries the design itself (``as_link``, ``from_link``).
"""

import base64
import binascii
import html
import json
import os
import re
import stat
import tempfile
import zlib
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from hashlib import blake2b
from pathlib import Path
from threading import Lock
from typing import TypeVar

import streamlit as st

from pondkit.core.refusal import Refused
from pondkit.core.remembered import remembered
from pondkit.core.units import brief
from pondkit.page.components import (
    KeptJob,
    Work,
    job_open_elsewhere,
    keeper,
    kept_firm,
    kept_jobs,
    requested_work,
    storage_full,
)
from pondkit.page.images import picture_name
from pondkit.page.state import Desk, History, ProjectText, guarded, last_change
from pondkit.project.files import MOST_BYTES, load, load_unseen, plain, put, save
from pondkit.project.project import Firm, Project, look_into

JOB, VERSIONS = "job.json", "versions"
MOST_VERSIONS = 50  # of a job
_ID = re.compile(r"[0-9A-Za-z_][0-9A-Za-z_.+-]{0,59}")
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.I)  # names that no file can have on Windows
_VERSION = re.compile(r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d\.\d{6}Z\.json")
_writing = Lock()  # sessions of one server write one after the other


@dataclass(frozen=True)
class FiledJob:
    """A job of the folder.

    Attributes:
        id, title: Of the job.
        when: Time of the last change [s since 1970].
        fault: Why it cannot be read; "" if it can.
    """

    id: str
    title: str
    when: float
    fault: str = ""


class JobFolder:
    """A folder in which jobs are kept as files."""

    def __init__(self, folder: Path | str) -> None:
        """Raises: Refused if there is no such folder."""
        self.folder = Path(folder).expanduser().absolute()
        if not self.folder.is_dir():
            raise Refused(
                f"--jobs {folder}: there is no such folder. Make it, or name another; until then jobs are kept in the "
                "browser alone."
            )

    def jobs(self) -> list[FiledJob]:
        """All jobs of the folder, the last changed first."""
        files = []
        with os.scandir(self.folder) as entries:
            for entry in entries:
                if not (_is_plain_name(entry.name) and entry.is_dir(follow_symlinks=False)):
                    continue
                with suppress(OSError):
                    state = os.lstat(os.path.join(entry.path, JOB))
                    if stat.S_ISREG(state.st_mode):
                        files.append((state.st_mtime_ns, entry.name, state.st_size))
        return [_filed_job(str(self.folder), name, when, size) for when, name, size in sorted(files, reverse=True)]

    def last_change(self, job: FiledJob) -> str:
        """The last change of a job in words, from its last two versions; "" if they do not tell."""
        return "" if job.fault else _last_change(str(self.folder), job.id, job.when)

    def read(self, job: str) -> tuple[Project, str]:
        """A job as last written, and the fingerprint of its text.

        Raises: Refused if the id is no plain name, a link is in its place, or the file is refused; OSError.
        """
        raw = _read_file(self._place(job) / JOB)
        return load(raw), fingerprint(raw)

    def write(self, project: Project, is_known: Callable[[bytes], bool]) -> bool:
        """Keep a job as a dated version, and as its ``job.json`` unless another tab or program has changed that.

        Args:
            project: The project, with its job id.
            is_known: Whether a text is one that this session has read or written, or a step that led to the project.
        Returns: False if ``job.json`` was changed elsewhere, and left as it is.
        Raises: Refused if the id is no plain name or a link is in its place; OSError.
        """
        place, raw = self._place(project.job_id), save(project).encode()
        with _writing:
            versions = place / VERSIONS
            for folder in (place, versions):
                folder.mkdir(exist_ok=True)
                _refuse_link(folder)
            _write_file(versions / f"{datetime.now(UTC):%Y-%m-%dT%H-%M-%S.%fZ}.json", raw)
            for old in sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[:-MOST_VERSIONS]:
                (versions / old).unlink(missing_ok=True)
            job = place / JOB
            if os.path.lexists(job):
                present = _read_file(job)
                if present != raw and not is_known(present):
                    return False
            _write_file(job, raw)
        return True

    def _place(self, job: str) -> Path:
        if not _is_plain_name(job):
            raise Refused(
                f"{brief(job)} cannot be the name of a job's folder; allowed are letters, digits, '_', '.', '+' and "
                "'-', the first a letter or digit. Save a copy under File: it gets another id."
            )
        place = self.folder / job
        _refuse_link(place)
        return place


def fingerprint(raw: bytes) -> str:
    """A hash by which a text is known again."""
    return blake2b(raw, digest_size=16).hexdigest()


def _is_plain_name(name: str) -> bool:
    return bool(_ID.fullmatch(name)) and not _DEVICES.fullmatch(name) and not name.endswith(".")


def _refuse_link(path: Path) -> None:
    if path.is_symlink():
        raise Refused(f"{path} is a symbolic link; jobs are kept in plain folders and files. Take the link away.")


def _read_file(path: Path) -> bytes:
    """Bytes of a plain file, up to one more than a project may hold."""
    _refuse_link(path)
    file = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(file, "rb") as stream:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise Refused(f"{path} is no plain file; take it away.")
        return stream.read(MOST_BYTES + 1)


def _write_file(path: Path, raw: bytes) -> None:
    """Write a file so that it is whole or absent."""
    file, part_file = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(file, "wb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(part_file, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(part_file)
        raise


@remembered
def _last_change(folder: str, job: str, when: float) -> str:
    """As ``JobFolder.last_change``; read again only when the job's file has changed."""
    versions = Path(folder) / job / VERSIONS
    try:
        _refuse_link(versions)
        last = sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[-2:]
        before, now = (load_unseen(_read_file(versions / name)) for name in last)
    except (Refused, OSError, ValueError):
        return ""
    return last_change(before, now)


@remembered
def _filed_job(folder: str, job: str, when: int, size: int) -> FiledJob:
    """A job's line in the list; read again only when its file has changed."""
    try:
        title, fault = load(_read_file(Path(folder) / job / JOB)).title, ""
    except Refused as refused:
        title, fault = "", refused.reasons[0]
    except OSError as error:
        title, fault = "", f"It cannot be read ({error.strerror})."
    return FiledJob(job, title, when / 1e9, fault)


MOST_BACK = 60  # undo steps that are read of kept work, at 20 ms each
MOST_SHOWN = 4  # jobs offered at first over a project
MORE_SHOWN = 20  # jobs added by one press
MOST_UNSOUGHT = 12  # jobs that are listed without a search box

CHANGED_ELSEWHERE = (
    "This job's file was changed by another tab or program since it was opened here, and is left as it is. What is "
    "done here is kept beside it, among its versions: open the job anew from the start, or keep this as a copy."
)
T = TypeVar("T")


def keep(desk: Desk) -> None:
    """Hand the work to the browser as it is after this run."""
    keeper(
        desk.session,
        desk.browser.requested_slot,
        _work(desk),
        json.dumps(plain(desk.firm), ensure_ascii=False) if desk.firm else "",
        on_found=guarded(lambda: None),
        on_work=guarded(_take_up, desk),
        on_missing=guarded(desk.browser.sent_ids.clear),
    )


def _work(desk: Desk) -> Work | None:
    """The steps of the job on show, with the texts that the browser does not hold yet; None if nothing was changed.
    Steps of a job that was opened before are in that job's record.
    """
    history, job = desk.history, desk.job_of(desk.project)
    projects, index = _steps(desk)
    if not projects:
        return None
    desk.browser.packed = {id(project): desk.browser.packed.get(id(project)) or _pack(project) for project in projects}
    order = [desk.browser.packed[id(project)].id for project in projects]
    pictures = {
        packed.picture: packed.project.picture.data for packed in desk.browser.packed.values() if packed.project.picture
    }
    texts = {packed.id: packed.text for packed in desk.browser.packed.values()} | pictures
    texts = {id_: text for id_, text in texts.items() if id_ not in desk.browser.sent_ids}
    desk.browser.sent_ids = {*order, *pictures}
    changed = last_change(projects[index - 1], history.now) if index else ""
    return Work(
        job=job,
        title=history.now.title,
        changed=changed,
        order=order,
        at=index,
        texts=texts,
        pictures=list(pictures),
    )


def _steps(desk: Desk) -> tuple[tuple[Project, ...], int]:
    """The steps of the job on show from oldest to newest, and the index of the present one; no steps if nothing was
    changed.
    """
    history, job = desk.history, desk.job_of(desk.project)
    all_steps = (*reversed(history.past), history.now, *history.future)
    index = start = end = len(history.past)
    while start > 0 and desk.job_of(all_steps[start - 1]) == job:
        start -= 1
    while end + 1 < len(all_steps) and desk.job_of(all_steps[end + 1]) == job:
        end += 1
    projects = all_steps[start : end + 1]
    return ((), 0) if not job or (len(projects) == 1 and not _is_copy(history)) else (projects, index - start)


def keep_as_file(desk: Desk, folder: JobFolder) -> None:
    """Keep the job on show in the folder of jobs, if it has changed. A failure is reported over the page."""
    steps, _ = _steps(desk)
    project = desk.project
    if not steps or project is desk.filing.last_project:
        return
    desk.filing.last_project = project
    project = project if project.job_id else project.changed(job_id=desk.job_of(project))
    try:
        written = folder.write(
            project,
            lambda raw: fingerprint(raw) in desk.filing.fingerprints or any(_has_text(raw, step) for step in steps),
        )
        desk.filing.fault = "" if written else CHANGED_ELSEWHERE
    except Refused as refused:
        desk.filing.fault = refused.reasons[0]
    except OSError as error:
        desk.filing.fault = (
            f"The job could not be written into the folder of jobs ({error.strerror}); this browser keeps it. Save the "
            "project file too."
        )
    if not desk.filing.fault:
        desk.filing.fingerprints.add(fingerprint(save(project).encode()))


def _has_text(raw: bytes, step: Project) -> bool:
    return save(step).encode() == raw


def firm_in_browser() -> Firm | None:
    """The firm's details that the browser keeps; None if there are none, or they cannot be read."""
    try:
        return Firm.model_validate_json(text) if (text := kept_firm()) else None
    except ValueError:
        return None


def _is_copy(history: History) -> bool:
    """True for a job that began as a copy of the job before it."""
    return bool(history.past) and history.past[0].changed(job_id=history.now.job_id) == history.now


def _pack(project: Project) -> ProjectText:
    """A project as text, with a name in place of its picture: many steps share a picture, and the browser keeps it
    once.
    """
    name, bare = "", project
    if picture := project.picture:
        name = picture_name(picture)
        bare = project.changed(picture=picture.changed(data=name))
    text = save(bare)
    return ProjectText(project, blake2b(text.encode(), digest_size=9).hexdigest(), text, name)


def _unpack(project: Project, pictures: dict[str, str]) -> Project:
    """A project with its picture in place of the name; all steps with one picture share its text."""
    picture = project.picture
    if picture is None or picture.data not in pictures:
        return project
    return project.changed(picture=picture.changed(data=pictures[picture.data]))


def offer_kept_work(desk: Desk) -> None:
    """Report what concerns keeping the work; and offer work kept in the browser, until the person begins to work or
    declines.
    """
    _notices(desk)
    jobs = [] if desk.history.past or desk.browser.offer_closed else kept_jobs()
    if not jobs:
        return
    with st.container(border=True, key="kept work"):
        head, leave = st.columns([4, 1.2], vertical_alignment="center")
        head.markdown("**This browser keeps work from before.**")
        leave.button(
            "Leave it there",
            width="stretch",
            key="leave kept work",
            on_click=guarded(setattr, desk.browser, "offer_closed", True),
        )
        browser_jobs(desk, jobs, MOST_SHOWN)


def _notices(desk: Desk) -> None:
    """Report if the browser is full, a file could not be written, or the job is open in another tab."""
    if storage_full():
        st.html(
            "<div class='pk-problem' role='alert'>This browser has no room to keep the work: save the project "
            "file from time to time.</div>"
        )
    if desk.filing.fault:
        message, action = st.columns([4, 1.2], vertical_alignment="center")
        message.html(f"<div class='pk-problem' role='alert'>{html.escape(desk.filing.fault)}</div>")
        action.button(
            "Keep it as a copy", width="stretch", key="copy of file", on_click=guarded(_go_on_with_copy, desk)
        )
    if desk.note:
        st.html(f"<div class='pk-calm' role='status'>{html.escape(desk.note)}</div>")
    if job_open_elsewhere() and job_open_elsewhere() == desk.job_of(desk.project):
        message, action = st.columns([4, 1.2], vertical_alignment="center")
        message.html(
            "<div class='pk-problem' role='alert'>This job is open in another tab too, and neither sees what the "
            "other changes. The work of both is kept: close one of them, or go on here with a copy.</div>"
        )
        action.button("Go on with a copy", width="stretch", key="copy of job", on_click=guarded(desk.copy))


def _go_on_with_copy(desk: Desk) -> None:
    """Go on with a copy, which has a file of its own."""
    desk.copy()
    desk.filing.fault = ""


def browser_jobs(desk: Desk, jobs: Sequence[KeptJob], most: int) -> None:
    """A line for each job that the browser keeps, with a button to go on with it."""

    def line(work: KeptJob) -> None:
        steps = f"{work['back']} step{'s' * (work['back'] != 1)} to undo"
        beside = "kept beside it by a second tab" if "+" in work["slot"] else ""
        job_line(
            work["title"],
            work["when"] / 1e3,
            (work.get("changed", ""), steps, beside),
            f"kept {work['slot']}",
            partial(setattr, desk.browser, "requested_slot", work["slot"]),
            "open in another tab" if work.get("open") else "",
        )

    job_list(desk, jobs, line, lambda work: f"{work['title']} {work.get('changed', '')}", most, "browser")


def job_list(
    desk: Desk, jobs: Sequence[T], line: Callable[[T], None], words: Callable[[T], str], most: int, where: str
) -> None:
    """A list of jobs: some at first, then more at a press of a button, and a box to find one if there are many.

    Args:
        desk: The person's work, which holds how many are on show.
        jobs: The jobs in order.
        line: Draws the line of one.
        words: The text in which one is searched.
        most: Number on show at first.
        where: Name of the list, unique on the page.
    """
    if len(jobs) > MOST_UNSOUGHT:
        word = st.text_input(
            "Find a job", key=f"find {where}", placeholder="a word of its title", label_visibility="collapsed"
        )
        jobs = [job for job in jobs if word.lower() in words(job).lower()]
    count = int(desk.chosen.get(f"shown {where}", most))
    for job in jobs[:count]:
        line(job)
    if rest := max(0, len(jobs) - count):
        st.button(
            f"Show {min(rest, MORE_SHOWN)} more",
            key=f"more {where}",
            on_click=guarded(desk.chosen.__setitem__, f"shown {where}", count + MORE_SHOWN),
        )


def job_line(
    title: str, when: float, more: tuple[str, ...], key: str, go_on: Callable[[], None], blocked: str = ""
) -> None:
    """The line of one job, with a button to go on with it.

    Args:
        title: Of the job.
        when: Time of the last change [s since 1970].
        more: Further words: first the last change, then anything else; "" for none.
        key: Key of the button.
        go_on: Called when it is pressed.
        blocked: Why there is no button; "" if there is one.
    """
    words, action = st.columns([4, 1.2], vertical_alignment="center")
    moment = datetime.fromtimestamp(when, UTC).astimezone()
    rest = " · ".join(html.escape(text) for text in more if text)
    words.html(
        f"<div class='pk-kept'><b>{html.escape(title or 'Untitled project')}</b> · {moment:%d %b %Y, %H:%M}"
        f"{': ' if more[0] else ' · ' if rest else ''}{rest}</div>"
    )
    if blocked:
        action.html(f"<div class='pk-kept'>{html.escape(blocked)}</div>")
        return
    action.button("Go on with it", key=key, width="stretch", on_click=guarded(go_on))


def _take_up(desk: Desk) -> None:
    """Go on with the kept work that the browser has handed over, with its undo and redo."""
    work = requested_work()
    if work is None:
        return
    desk.browser.offer_closed, desk.browser.requested_slot = True, ""
    slot, texts, index, pictures = work
    if not 0 <= index < len(texts):
        desk.message = "That work is no longer in this browser."
        return
    try:
        for letters in pictures.values():
            look_into(letters)
        now = _unpack(load_unseen(texts[index].encode()), pictures)
    except Refused as refused:
        desk.message = (
            "The work kept in this browser cannot be read by this version; it stays there. " + refused.reasons[0]
        )
        return
    past = _read_steps(reversed(texts[max(0, index - MOST_BACK) : index]), pictures)
    future = _read_steps(texts[index + 1 : index + 1 + MOST_BACK], pictures)
    desk.open(now)
    steps = (now, *past, *future)
    job = next((project.job_id for project in steps if project.job_id), slot.partition("+")[0])
    for project in steps:
        if not project.job_id:  # from before its first change, or before jobs had ids
            desk.jobs[id(project)] = project, job
    earlier = tuple(project for project in desk.history.past if project not in steps)  # what was on the desk before
    desk.history = History(now, (*past, *earlier), future, None, desk.history.revision)
    if len(past) < index or len(future) < len(texts) - 1 - index:
        desk.message = (
            f"Of the {index} steps before, the last {len(past)} can be undone, and {len(future)} of "
            f"{len(texts) - 1 - index} done again; all stay in this browser."
        )


def _read_steps(texts: Iterable[str], pictures: dict[str, str]) -> tuple[Project, ...]:
    """Projects of an undo history, the nearest first, up to one that cannot be read."""
    projects: list[Project] = []
    for text in texts:
        try:
            projects.append(_unpack(load_unseen(text.encode()), pictures))
        except Refused:
            break
    return tuple(projects)


CUT_SHORT = (
    "The link was cut short or changed on its way, so that its design cannot be read; copy it whole, or send the "
    "project file."
)


def as_link(project: Project) -> str:
    """The design in letters that a link may hold. Picture under the plan, logo and photos are left out, as too large.
    What is opened from it is a new job.
    """
    bare = put(project.changed(picture=None, job_id=""), ("site", "job", "firm", "logo"), "")
    bare = put(bare, ("site", "job", "photos"), ())
    text = json.dumps(plain(bare), ensure_ascii=False, separators=(",", ":"))
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def from_link(text: str) -> Project:
    """The design that a link carries.

    Raises: Refused if the text is not whole, or the design in it is refused.
    """
    try:
        packed = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
        unpacking = zlib.decompressobj()
        raw = unpacking.decompress(packed, MOST_BYTES + 1)
    except (binascii.Error, ValueError, zlib.error):
        raise Refused(CUT_SHORT) from None
    if not unpacking.eof and len(raw) <= MOST_BYTES:
        raise Refused(CUT_SHORT)
    return load(raw).changed(job_id="")
