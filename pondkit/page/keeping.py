"""What is kept of the work in the person's own browser, one record per job, and how it is taken up again."""

import html
from collections.abc import Iterable
from datetime import UTC, datetime
from hashlib import blake2b
from typing import Any

import streamlit as st

from pondkit.core.part import Part, ask_of, get
from pondkit.core.refusal import Refused, place
from pondkit.core.result import Path
from pondkit.page.backdrop import called
from pondkit.page.components import KeptJob, Work, full, handed, keeper, twin
from pondkit.page.components import found as in_browser
from pondkit.page.history import History
from pondkit.page.state import Desk, Packed, guarded
from pondkit.project.files import load_unseen, plain, save
from pondkit.project.picture import look_into
from pondkit.project.project import Project

MOST_BACK = 60  # steps that can be undone after the work was taken up again: each takes 20 ms to read
MOST_SHOWN = 4  # jobs offered at first


def keep(desk: Desk) -> None:
    """Hand the work to the browser as it is after this run."""
    keeper(
        desk.session,
        desk.wanted,
        _work(desk),
        on_found=guarded(lambda: None),
        on_work=guarded(_take_up, desk),
        on_missing=guarded(desk.sent.clear),
    )


def _work(desk: Desk) -> Work | None:
    """The steps of the job on show by ids, with the texts that the browser does not hold yet; None while nothing of
    it was changed. Steps of another job, opened before, are in that one's record."""
    history, job = desk.history, desk.job_of(desk.project)
    every = (*reversed(history.past), history.now, *history.future)
    at = start = end = len(history.past)
    while start > 0 and desk.job_of(every[start - 1]) == job:
        start -= 1
    while end + 1 < len(every) and desk.job_of(every[end + 1]) == job:
        end += 1
    projects = every[start : end + 1]
    if not job or (len(projects) == 1 and not _copied(history)):
        return None
    kept = {id(project): desk.kept.get(id(project)) or _packed(project) for project in projects}
    desk.kept = kept
    order = [kept[id(project)].id for project in projects]
    pictures = {packed.picture: packed.project.picture.data for packed in kept.values() if packed.project.picture}
    texts = {packed.id: packed.text for packed in kept.values()} | pictures
    texts = {id_: text for id_, text in texts.items() if id_ not in desk.sent}
    desk.sent = {*order, *pictures}
    changed = changed_last(every[at - 1], history.now) if at > start else ""
    return Work(
        job=job,
        title=history.now.title,
        changed=changed,
        order=order,
        at=at - start,
        texts=texts,
        pictures=list(pictures),
    )


def _copied(history: History) -> bool:
    """True for a job that began as a copy of the one before it."""
    return bool(history.past) and history.past[0].changed(job_id=history.now.job_id) == history.now


def changed_last(before: Project, now: Project) -> str:
    """The first part in which two projects differ, in words: "option 'A', pool 'lower', level"; "" where none is
    left."""
    path = _difference(before, now)
    if path is None:
        return ""
    at = get(now, path)
    words = place(now, path)
    if isinstance(at, tuple) and at and isinstance(at[0], Part):  # a list that grew or shrank
        said = ask_of(type(get(now, path[:-1])), str(path[-1]))
        words = ", ".join(filter(None, (words, said.label.lower() if said else "")))
    return words


def _difference(before: Any, now: Any, path: Path = ()) -> Path | None:
    """Path of the first value, or of the first list of another length, in which two parts of the document differ."""
    if before is now:
        return None
    if isinstance(now, Part) and type(before) is type(now):
        for name in type(now).model_fields:
            if name != "job_id" and (found := _difference(getattr(before, name), getattr(now, name), (*path, name))):
                return found
        return None
    if isinstance(now, tuple) and now and isinstance(now[0], Part) and len(before or ()) == len(now):
        pairs = enumerate(zip(before, now, strict=True))
        return next((found for i, (a, b) in pairs if (found := _difference(a, b, (*path, i)))), None)
    return path if plain(before) != plain(now) else None


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
        jobs = st.container()
        rest = len(found) - MOST_SHOWN
        every = rest <= 0 or st.toggle(f"Show {rest} more", key="all kept work")
        with jobs:
            for work in found if every else found[:MOST_SHOWN]:
                _offered(desk, work)


def _told(desk: Desk) -> None:
    if full():
        st.html(
            "<div class='pk-problem' role='alert'>This browser has no room to keep the work: save the project "
            "file from time to time.</div>"
        )
    if twin() and twin() == desk.job_of(desk.project):
        said, copy = st.columns([4, 1.2], vertical_alignment="center")
        said.html(
            "<div class='pk-problem' role='alert'>This job is open in another tab too, and neither sees what the "
            "other changes. The work of both is kept: close one of them, or go on here with a copy.</div>"
        )
        copy.button("Go on with a copy", width="stretch", key="copy of job", on_click=guarded(desk.copy))


def _offered(desk: Desk, work: KeptJob) -> None:
    """One job: its title, when and what was changed last, and a button to go on with it."""
    said, go = st.columns([4, 1.2], vertical_alignment="center")
    when = datetime.fromtimestamp(work["when"] / 1e3, UTC).astimezone()
    title = html.escape(work["title"] or "Untitled project")
    changed = f": {html.escape(work['changed'])}" if work.get("changed") else ""
    steps = f"{work['back']} step{'s' * (work['back'] != 1)} to undo"
    beside = " · kept beside it by a second tab" if "+" in work["slot"] else ""
    said.html(
        f"<div class='pk-kept'><b>{title}</b> · last changed {when:%d %b, %H:%M}{changed} · {steps}{beside}</div>"
    )
    if work.get("open"):
        go.html("<div class='pk-kept'>open in another tab</div>")
        return
    go.button(
        "Go on with it",
        key=f"kept {work['slot']}",
        width="stretch",
        on_click=guarded(setattr, desk, "wanted", work["slot"]),
    )


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
