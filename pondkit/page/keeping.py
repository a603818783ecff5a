"""What is kept of the work in the person's own browser, and how it is taken up again."""

import html
from collections.abc import Iterable
from datetime import UTC, datetime
from hashlib import blake2b

import streamlit as st

from pondkit.core.refusal import Refused
from pondkit.page.backdrop import called
from pondkit.page.components import Work, full, handed, keeper
from pondkit.page.components import found as in_browser
from pondkit.page.history import History
from pondkit.page.state import Desk, Packed, guarded
from pondkit.project.files import load_unseen, save
from pondkit.project.picture import look_into
from pondkit.project.project import Project

MOST_BACK = 60  # steps that can be undone after the work was taken up again: each takes 20 ms to read


def keep(desk: Desk) -> None:
    """Hand the work to the browser as it is after this run."""
    keeper(
        desk.session,
        desk.wanted,
        _work(desk),
        on_found=guarded(lambda: None),
        on_work=guarded(lambda: _take_up(desk)),
        on_missing=guarded(desk.sent.clear),
    )


def _work(desk: Desk) -> Work | None:
    """The history by ids, with the texts that the browser does not hold yet; None while nothing was changed."""
    history = desk.history
    if not history.past and not history.future:
        return None
    projects = (*reversed(history.past), history.now, *history.future)
    kept = {id(project): desk.kept.get(id(project)) or _packed(project) for project in projects}
    desk.kept = kept
    order = [kept[id(project)].id for project in projects]
    pictures = {packed.picture: packed.project.picture.data for packed in kept.values() if packed.project.picture}
    texts = {packed.id: packed.text for packed in kept.values()} | pictures
    texts = {id_: text for id_, text in texts.items() if id_ not in desk.sent}
    desk.sent = {*order, *pictures}
    return Work(title=history.now.title, order=order, at=len(history.past), texts=texts, pictures=list(pictures))


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
    """Kept work, to go on with or to leave, until the person has begun to work."""
    found = [] if desk.history.past or desk.settled else in_browser()
    if full():
        st.html(
            "<div class='pk-problem' role='alert'>This browser has no room to keep the work: save the project file from time to time.</div>"
        )
    if not found:
        return
    with st.container(border=True, key="kept work"):
        head, leave = st.columns([4, 1.2], vertical_alignment="center")
        head.markdown("**This browser keeps work from before.**")
        leave.button(
            "Leave it there",
            width="stretch",
            key="leave kept work",
            on_click=guarded(lambda: setattr(desk, "settled", True)),
        )
        for work in found:
            said, go = st.columns([4, 1.2], vertical_alignment="center")
            when = datetime.fromtimestamp(work["when"] / 1e3, UTC).astimezone()
            title = html.escape(work["title"] or "Untitled project")
            steps = f"{work['back']} step{'s' * (work['back'] != 1)} to undo"
            said.html(f"<div class='pk-kept'><b>{title}</b> · last changed {when:%d %b, %H:%M} · {steps}</div>")
            go.button(
                "Go on with it",
                key=f"kept {work['slot']}",
                width="stretch",
                on_click=guarded(lambda slot=work["slot"]: setattr(desk, "wanted", slot)),
            )


def _take_up(desk: Desk) -> None:
    given = handed()
    if given is None:
        return
    desk.settled, desk.wanted = True, ""
    _, texts, at, pictures = given
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
    desk.history = History(now, (*past, *desk.history.past), future, None, desk.history.revision)


def _read(texts: Iterable[str], pictures: dict[str, str]) -> tuple[Project, ...]:
    """Projects from the nearest on, as far as they can be read."""
    found: list[Project] = []
    for text in texts:
        try:
            found.append(_whole(load_unseen(text.encode()), pictures))
        except Refused:
            break
    return tuple(found)
