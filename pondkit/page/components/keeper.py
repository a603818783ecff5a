"""Keeps the work in the person's own browser, and offers what was kept there before."""

from collections.abc import Callable
from typing import Any, TypedDict, cast

import streamlit as st

from pondkit.page.components.live import asset

_KEEPER = st.components.v2.component("pondkit_keeper", js=asset("keeper.js"))
KEY = "pondkit_keeper"


class KeptJob(TypedDict):
    """Work that the browser holds: where, its title, what was changed last and when [ms since 1970], how many steps
    can be undone of how many, and whether another page is at it."""

    slot: str
    title: str
    changed: str
    when: float
    back: int
    steps: int
    open: bool


class Work(TypedDict):
    """A job as it is kept: its id, title, what was changed last, ids of its projects from oldest to newest, which
    is on show, ids of the pictures that they name, and texts by id of what the browser does not hold yet."""

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
        session: Name of this session; a new one makes the browser offer what it holds.
        want: Slot of kept work that is asked for; "" for none.
        work: The job as it is; None while nothing was changed.
        firm: The firm's details as JSON, kept for the next job; "" where they were not changed.
        on_found: Called when the browser has said what it holds, see ``found``.
        on_work: Called when it has handed kept work over, see ``handed``.
        on_missing: Called when it lacks texts of ``work``: all are then to be sent again.
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


def found() -> list[KeptJob]:
    """Work that the browser holds, the one changed last first."""
    return cast("list[KeptJob]", _state().get("found") or [])


def handed() -> tuple[str, list[str], int, dict[str, str]] | None:
    """Kept work that was asked for: its slot, the projects' texts from oldest to newest, which was on show, and the
    pictures that they name, by id."""
    work = _state().get("work")
    return (str(work["slot"]), list(work["texts"]), int(work["at"]), dict(work.get("pictures", {}))) if work else None


def kept_firm() -> str:
    """The firm's details that the browser keeps, as JSON; "" for none."""
    return str(_state().get("firm") or "")


def twin() -> str:
    """Id of the job that another page of this browser is at too; "" for none."""
    return str(_state().get("twin") or "")


def full() -> bool:
    """True where the browser could not keep the work."""
    return bool(_state().get("full"))
