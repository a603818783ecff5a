"""What is kept of the work: in the person's own browser, one record per job; in a folder; in a link.

A folder of jobs holds ``<job_id>/job.json`` and its dated versions. A file is written beside its place and then put
there by one rename, so that it is whole or not at all. Nothing outside the folder is read or written: an id that is no
plain name, and whatever is a symbolic link, is refused.
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
from pondkit.page.components import KeptJob, Work, full, handed, keeper, kept_firm, twin
from pondkit.page.components import found as in_browser
from pondkit.page.images import called
from pondkit.page.state import Desk, History, Packed, changed_last, guarded
from pondkit.project.files import MOST_BYTES, load, load_unseen, plain, put, save
from pondkit.project.project import Firm, Project, look_into

JOB, VERSIONS = "job.json", "versions"
MOST_VERSIONS = 50
_ID = re.compile(r"[0-9A-Za-z_][0-9A-Za-z_.+-]{0,59}")
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\..*)?", re.I)  # no file on Windows can be called so
_VERSION = re.compile(r"\d{4}-\d\d-\d\dT\d\d-\d\d-\d\d\.\d{6}Z\.json")
_writing = Lock()  # tabs of one server write one after the other


@dataclass(frozen=True)
class FiledJob:
    """A job of the folder: its id, title, when it was changed last [s since 1970], and why it cannot be read; "" if it
    can."""

    id: str
    title: str
    when: float
    fault: str = ""


class JobFolder:
    """The folder that jobs are kept in."""

    def __init__(self, folder: Path | str) -> None:
        """Raises: Refused where there is no such folder."""
        self.folder = Path(folder).expanduser().absolute()
        if not self.folder.is_dir():
            raise Refused(
                f"--jobs {folder}: there is no such folder. Make it, or name another; until then jobs are kept in the "
                "browser alone."
            )

    def jobs(self) -> list[FiledJob]:
        """Every job of the folder, the one changed last first."""
        found = []
        with os.scandir(self.folder) as entries:
            for entry in entries:
                if not (_plain(entry.name) and entry.is_dir(follow_symlinks=False)):
                    continue
                with suppress(OSError):
                    state = os.lstat(os.path.join(entry.path, JOB))
                    if stat.S_ISREG(state.st_mode):
                        found.append((state.st_mtime_ns, entry.name, state.st_size))
        return [_head(str(self.folder), name, when, size) for when, name, size in sorted(found, reverse=True)]

    def changed_last(self, job: FiledJob) -> str:
        """What was changed last in a job, in words, from its last two versions; "" where that cannot be told."""
        return "" if job.fault else _changed_last(str(self.folder), job.id, job.when)

    def read(self, job: str) -> tuple[Project, str]:
        """A job as it was written last, and the mark of its text.

        Raises: Refused where the id is no plain name, a link stands in its place, or the file is refused; OSError.
        """
        raw = _bytes(self._place(job) / JOB)
        return load(raw), mark(raw)

    def write(self, project: Project, known: Callable[[bytes], bool]) -> bool:
        """Keep a job: as a dated version, and as its ``job.json`` unless that holds what this session has not seen.

        Args:
            project: With its id.
            known: Whether a text is one that this session has read or written, or a step that led to the project.
        Returns: False where ``job.json`` was left as it is, as another tab or program has changed it.
        Raises: Refused where the id is no plain name or a link stands in its place; OSError.
        """
        place, raw = self._place(project.job_id), save(project).encode()
        with _writing:
            versions = place / VERSIONS
            for folder in (place, versions):
                folder.mkdir(exist_ok=True)
                _no_link(folder)
            _put(versions / f"{datetime.now(UTC):%Y-%m-%dT%H-%M-%S.%fZ}.json", raw)
            for old in sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[:-MOST_VERSIONS]:
                (versions / old).unlink(missing_ok=True)
            job = place / JOB
            if os.path.lexists(job):
                held = _bytes(job)
                if held != raw and not known(held):
                    return False
            _put(job, raw)
        return True

    def _place(self, job: str) -> Path:
        if not _plain(job):
            raise Refused(
                f"{brief(job)} cannot be the name of a job's folder; allowed are letters, digits, '_', '.', '+' and "
                "'-', the first a letter or digit. Save a copy under File: it gets another id."
            )
        place = self.folder / job
        _no_link(place)
        return place


def mark(raw: bytes) -> str:
    """What a text is told by."""
    return blake2b(raw, digest_size=16).hexdigest()


def _plain(name: str) -> bool:
    return bool(_ID.fullmatch(name)) and not _DEVICES.fullmatch(name) and not name.endswith(".")


def _no_link(path: Path) -> None:
    if path.is_symlink():
        raise Refused(f"{path} is a symbolic link; jobs are kept in plain folders and files. Take the link away.")


def _bytes(path: Path) -> bytes:
    """A plain file, read no further than the first byte that is too many."""
    _no_link(path)
    file = os.open(path, os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0))
    with os.fdopen(file, "rb") as opened:
        if not stat.S_ISREG(os.fstat(file).st_mode):
            raise Refused(f"{path} is no plain file; take it away.")
        return opened.read(MOST_BYTES + 1)


def _put(path: Path, raw: bytes) -> None:
    """A file in its place, whole or not at all."""
    file, beside = tempfile.mkstemp(dir=path.parent, prefix=".", suffix=".part")
    try:
        with os.fdopen(file, "wb") as opened:
            opened.write(raw)
            opened.flush()
            os.fsync(opened.fileno())
        os.replace(beside, path)
    except BaseException:
        with suppress(OSError):
            os.unlink(beside)
        raise


@remembered
def _changed_last(folder: str, job: str, when: float) -> str:
    """See ``JobFolder.changed_last``; read once as long as the job's file stays as it is."""
    versions = Path(folder) / job / VERSIONS
    try:
        _no_link(versions)
        last = sorted(name for name in os.listdir(versions) if _VERSION.fullmatch(name))[-2:]
        before, now = (load_unseen(_bytes(versions / name)) for name in last)
    except (Refused, OSError, ValueError):
        return ""
    return changed_last(before, now)


@remembered
def _head(folder: str, job: str, when: int, size: int) -> FiledJob:
    """A job's line; read once as long as its file stays as it is."""
    try:
        title, fault = load(_bytes(Path(folder) / job / JOB)).title, ""
    except Refused as refused:
        title, fault = "", refused.reasons[0]
    except OSError as error:
        title, fault = "", f"It cannot be read ({error.strerror})."
    return FiledJob(job, title, when / 1e9, fault)


MOST_BACK = 60  # steps that can be undone after the work was taken up again: each takes 20 ms to read
MOST_SHOWN = 4  # jobs offered at first beside a project
MORE_SHOWN = 20  # at a time beyond those
MOST_UNSOUGHT = 12  # jobs that need no box to find one by

CHANGED_ELSEWHERE = (
    "This job's file was changed by another tab or program since it was opened here, and is left as it is. What is "
    "done here is kept beside it, among its versions: open the job anew from the start, or keep this as a copy."
)
T = TypeVar("T")


def keep(desk: Desk) -> None:
    """Hand the work to the browser as it is after this run."""
    keeper(
        desk.session,
        desk.wanted,
        _work(desk),
        json.dumps(plain(desk.firm), ensure_ascii=False) if desk.firm else "",
        on_found=guarded(lambda: None),
        on_work=guarded(_take_up, desk),
        on_missing=guarded(desk.sent.clear),
    )


def _work(desk: Desk) -> Work | None:
    """The steps of the job on show by ids, with the texts that the browser does not hold yet; None while nothing of
    it was changed. Steps of another job, opened before, are in that one's record."""
    history, job = desk.history, desk.job_of(desk.project)
    projects, at = _steps(desk)
    if not projects:
        return None
    kept = {id(project): desk.kept.get(id(project)) or _packed(project) for project in projects}
    desk.kept = kept
    order = [kept[id(project)].id for project in projects]
    pictures = {packed.picture: packed.project.picture.data for packed in kept.values() if packed.project.picture}
    texts = {packed.id: packed.text for packed in kept.values()} | pictures
    texts = {id_: text for id_, text in texts.items() if id_ not in desk.sent}
    desk.sent = {*order, *pictures}
    changed = changed_last(projects[at - 1], history.now) if at else ""
    return Work(
        job=job,
        title=history.now.title,
        changed=changed,
        order=order,
        at=at,
        texts=texts,
        pictures=list(pictures),
    )


def _steps(desk: Desk) -> tuple[tuple[Project, ...], int]:
    """The steps of the job on show from oldest to newest, and which is on show; none while nothing was changed."""
    history, job = desk.history, desk.job_of(desk.project)
    every = (*reversed(history.past), history.now, *history.future)
    at = start = end = len(history.past)
    while start > 0 and desk.job_of(every[start - 1]) == job:
        start -= 1
    while end + 1 < len(every) and desk.job_of(every[end + 1]) == job:
        end += 1
    projects = every[start : end + 1]
    return ((), 0) if not job or (len(projects) == 1 and not _copied(history)) else (projects, at - start)


def keep_as_file(desk: Desk, folder: JobFolder) -> None:
    """Keep the job on show in the folder of jobs, where it was changed since; what goes wrong is said above it."""
    steps, _ = _steps(desk)
    project = desk.project
    if not steps or project is desk.filed_last:
        return
    desk.filed_last = project
    project = project if project.job_id else project.changed(job_id=desk.job_of(project))
    try:
        written = folder.write(project, lambda raw: mark(raw) in desk.filed or any(_same(raw, step) for step in steps))
        desk.filed_fault = "" if written else CHANGED_ELSEWHERE
    except Refused as refused:
        desk.filed_fault = refused.reasons[0]
    except OSError as error:
        desk.filed_fault = (
            f"The job could not be written into the folder of jobs ({error.strerror}); this browser keeps it. Save the "
            "project file too."
        )
    if not desk.filed_fault:
        desk.filed.add(mark(save(project).encode()))


def _same(raw: bytes, step: Project) -> bool:
    return save(step).encode() == raw


def own_firm() -> Firm | None:
    """The firm's details that the browser keeps; None where there are none that can be read."""
    try:
        return Firm.model_validate_json(text) if (text := kept_firm()) else None
    except ValueError:
        return None


def _copied(history: History) -> bool:
    """True for a job that began as a copy of the one before it."""
    return bool(history.past) and history.past[0].changed(job_id=history.now.job_id) == history.now


def _packed(project: Project) -> Packed:
    """A project's text with a name in place of its picture, which many steps share and the browser keeps once."""
    name, bare = "", project
    if picture := project.picture:
        name = called(picture)
        bare = project.changed(picture=picture.changed(data=name))
    text = save(bare)
    return Packed(project, blake2b(text.encode(), digest_size=9).hexdigest(), text, name)


def _whole(project: Project, pictures: dict[str, str]) -> Project:
    """A project with its picture in place of the name; steps with one picture hold one text of it."""
    picture = project.picture
    if picture is None or picture.data not in pictures:
        return project
    return project.changed(picture=picture.changed(data=pictures[picture.data]))


def offer(desk: Desk) -> None:
    """Kept work, to go on with or to leave, until the person has begun to work; and what is to be said of keeping
    it."""
    _told(desk)
    found = [] if desk.history.past or desk.settled else in_browser()
    if not found:
        return
    with st.container(border=True, key="kept work"):
        head, leave = st.columns([4, 1.2], vertical_alignment="center")
        head.markdown("**This browser keeps work from before.**")
        leave.button(
            "Leave it there", width="stretch", key="leave kept work", on_click=guarded(setattr, desk, "settled", True)
        )
        browser_jobs(desk, found, MOST_SHOWN)


def _told(desk: Desk) -> None:
    if full():
        st.html(
            "<div class='pk-problem' role='alert'>This browser has no room to keep the work: save the project "
            "file from time to time.</div>"
        )
    if desk.filed_fault:
        said, copy = st.columns([4, 1.2], vertical_alignment="center")
        said.html(f"<div class='pk-problem' role='alert'>{html.escape(desk.filed_fault)}</div>")
        copy.button("Keep it as a copy", width="stretch", key="copy of file", on_click=guarded(_apart, desk))
    if desk.note:
        st.html(f"<div class='pk-calm' role='status'>{html.escape(desk.note)}</div>")
    if twin() and twin() == desk.job_of(desk.project):
        said, copy = st.columns([4, 1.2], vertical_alignment="center")
        said.html(
            "<div class='pk-problem' role='alert'>This job is open in another tab too, and neither sees what the "
            "other changes. The work of both is kept: close one of them, or go on here with a copy.</div>"
        )
        copy.button("Go on with a copy", width="stretch", key="copy of job", on_click=guarded(desk.copy))


def _apart(desk: Desk) -> None:
    """Go on with a copy, which is kept as a file of its own."""
    desk.copy()
    desk.filed_fault = ""


def browser_jobs(desk: Desk, found: Sequence[KeptJob], most: int) -> None:
    """A line for each job that the browser keeps, with a button to go on with it."""

    def line(work: KeptJob) -> None:
        steps = f"{work['back']} step{'s' * (work['back'] != 1)} to undo"
        beside = "kept beside it by a second tab" if "+" in work["slot"] else ""
        kept_line(
            work["title"],
            work["when"] / 1e3,
            (work.get("changed", ""), steps, beside),
            f"kept {work['slot']}",
            partial(setattr, desk, "wanted", work["slot"]),
            "open in another tab" if work.get("open") else "",
        )

    listed(desk, found, line, lambda work: f"{work['title']} {work.get('changed', '')}", most, "browser")


def listed(
    desk: Desk, jobs: Sequence[T], line: Callable[[T], None], words: Callable[[T], str], most: int, where: str
) -> None:
    """Jobs a line each: at first so many, then more at a press; a box finds those of a word among many.

    Args:
        desk: The person's work, which holds how many are on show.
        jobs: In their order.
        line: Draws the line of one.
        words: What one is found by.
        most: How many stand there at first.
        where: A name of the list.
    """
    if len(jobs) > MOST_UNSOUGHT:
        sought = st.text_input(
            "Find a job", key=f"find {where}", placeholder="a word of its title", label_visibility="collapsed"
        )
        jobs = [job for job in jobs if sought.lower() in words(job).lower()]
    shown = int(desk.chosen.get(f"shown {where}", most))
    for job in jobs[:shown]:
        line(job)
    if rest := max(0, len(jobs) - shown):
        st.button(
            f"Show {min(rest, MORE_SHOWN)} more",
            key=f"more {where}",
            on_click=guarded(desk.chosen.__setitem__, f"shown {where}", shown + MORE_SHOWN),
        )


def kept_line(
    title: str, when: float, more: tuple[str, ...], key: str, go_on: Callable[[], None], blocked: str = ""
) -> None:
    """One job: its title, when it was changed last [s since 1970], what else is to be said, and a button to go on
    with it; ``blocked`` says why there is none."""
    said, go = st.columns([4, 1.2], vertical_alignment="center")
    moment = datetime.fromtimestamp(when, UTC).astimezone()
    rest = " · ".join(html.escape(text) for text in more if text)
    said.html(
        f"<div class='pk-kept'><b>{html.escape(title or 'Untitled project')}</b> · {moment:%d %b %Y, %H:%M}"
        f"{': ' if more[0] else ' · ' if rest else ''}{rest}</div>"
    )
    if blocked:
        go.html(f"<div class='pk-kept'>{html.escape(blocked)}</div>")
        return
    go.button("Go on with it", key=key, width="stretch", on_click=guarded(go_on))


def _take_up(desk: Desk) -> None:
    given = handed()
    if given is None:
        return
    desk.settled, desk.wanted = True, ""
    slot, texts, at, pictures = given
    if not 0 <= at < len(texts):
        desk.message = "That work is no longer in this browser."
        return
    try:
        for letters in pictures.values():
            look_into(letters)
        now = _whole(load_unseen(texts[at].encode()), pictures)
    except Refused as refused:
        desk.message = (
            "The work kept in this browser cannot be read by this version; it stays there. " + refused.reasons[0]
        )
        return
    past = _read(reversed(texts[max(0, at - MOST_BACK) : at]), pictures)
    future = _read(texts[at + 1 : at + 1 + MOST_BACK], pictures)
    desk.open(now)
    steps = (now, *past, *future)
    job = next((project.job_id for project in steps if project.job_id), slot.partition("+")[0])
    for project in steps:
        if not project.job_id:  # as it was before its first change, or kept before a job had an id
            desk.jobs[id(project)] = project, job
    rest = tuple(
        other for other in desk.history.past if other not in steps
    )  # what was on the desk, unless a step of this
    desk.history = History(now, (*past, *rest), future, None, desk.history.revision)
    if len(past) < at or len(future) < len(texts) - 1 - at:
        desk.message = (
            f"Of the {at} steps before, the last {len(past)} can be undone, and {len(future)} of "
            f"{len(texts) - 1 - at} done again; all stay in this browser."
        )


def _read(texts: Iterable[str], pictures: dict[str, str]) -> tuple[Project, ...]:
    """Projects from the nearest on, as far as they can be read."""
    found: list[Project] = []
    for text in texts:
        try:
            found.append(_whole(load_unseen(text.encode()), pictures))
        except Refused:
            break
    return tuple(found)


CUT_SHORT = (
    "The link was cut short or changed on its way, so that its design cannot be read; copy it whole, or send the "
    "project file."
)


def as_link(project: Project) -> str:
    """The design, packed into the letters that a link may hold; a picture under the plan is too large for one, and so
    are a logo and photos. What is made of it is another job."""
    bare = put(project.changed(picture=None, job_id=""), ("site", "job", "firm", "logo"), "")
    bare = put(bare, ("site", "job", "photos"), ())
    text = json.dumps(plain(bare), ensure_ascii=False, separators=(",", ":"))
    return base64.urlsafe_b64encode(zlib.compress(text.encode(), 9)).decode().rstrip("=")


def from_link(text: str) -> Project:
    """The design that a link carries.

    Raises: Refused where the text is not whole, or the design in it is refused.
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
