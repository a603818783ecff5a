"""Keeps the work in the person's own browser, and tells what it keeps from before."""

from collections.abc import Callable
from typing import Any, TypedDict, cast

import streamlit as st

from pondkit.page.components.live import asset

_KEEPER = st.components.v2.component("pondkit_keeper", js=asset("keeper.js"))
KEY = "pondkit_keeper"


class KeptJob(TypedDict):
    """Work that the browser keeps.

    Attributes:
        slot: Name of its record.
        title, changed: Title of the job, and its last change in words.
        when: Time of the last change [ms since 1970].
        back, steps: Number of steps that can be undone, and of all steps.
        open: Whether another page has it open.
    """

    slot: str
    title: str
    changed: str
    when: float
    back: int
    steps: int
    open: bool


class Work(TypedDict):
    """A job as it is kept.

    Attributes:
        job, title, changed: Its id, title and last change in words.
        order, at: Ids of its projects from oldest to newest, and the index of the one on show.
        pictures: Ids of the pictures that the projects name.
        texts: By id, the texts that the browser does not hold yet.
    """

    job: str
    title: str
    changed: str
    order: list[str]
    at: int
    pictures: list[str]
    texts: dict[str, str]


def keeper(
    session: str,
    want: str,
    work: Work | None,
    firm: str,
    on_found: Callable[[], None],
    on_work: Callable[[], None],
    on_missing: Callable[[], None],
) -> None:
    """Hands the work to the browser, which keeps it in one record per job.

    Args:
        session: Id of this session; a new one makes the browser tell what it keeps.
        want: Slot of the kept work that is asked for; "" for none.
        work: The job as it is; None if nothing was changed.
        firm: The firm's details as JSON, kept for the next job; "" if they were not changed.
        on_found: Called when the browser has told what it keeps: see :func:`kept_jobs`.
        on_work: Called when it has handed over kept work: see :func:`requested_work`.
        on_missing: Called when it lacks texts of ``work``; all of them are then to be sent again.
    """
    _KEEPER(
        key=KEY,
        data={"session": session, "want": want, "work": work, "firm": firm},
        on_found_change=on_found,
        on_work_change=on_work,
        on_missing_change=on_missing,
        on_firm_change=lambda: None,
        on_full_change=lambda: None,
        on_twin_change=lambda: None,
    )


def _state() -> dict[str, Any]:
    return cast("dict[str, Any]", st.session_state.get(KEY) or {})


def kept_jobs() -> list[KeptJob]:
    """Work that the browser keeps, the last changed first."""
    return cast("list[KeptJob]", _state().get("found") or [])


def requested_work() -> tuple[str, list[str], int, dict[str, str]] | None:
    """Kept work that was asked for: its slot, the texts of its projects from oldest to newest, the index of the one on
    show, and its pictures by id. None if there is none.
    """
    work = _state().get("work")
    return (str(work["slot"]), list(work["texts"]), int(work["at"]), dict(work.get("pictures", {}))) if work else None


def kept_firm() -> str:
    """The firm's details that the browser keeps, as JSON; "" for none."""
    return str(_state().get("firm") or "")


def job_open_elsewhere() -> str:
    """Id of the job that another page of this browser has open too; "" for none."""
    return str(_state().get("twin") or "")


def storage_full() -> bool:
    """True if the browser has no room to keep the work."""
    return bool(_state().get("full"))
