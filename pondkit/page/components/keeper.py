"""Keeps the work in the person's own browser, and offers what was kept there before."""

from collections.abc import Callable
from typing import Any, TypedDict, cast

import streamlit as st

from pondkit.page.components.assets import asset

_KEEPER = st.components.v2.component("pondkit_keeper", js=asset("keeper.js"))
KEY = "pondkit_keeper"


class Kept(TypedDict):
    """Work that the browser holds: where, its title, when it was last changed [ms since 1970], and how many steps can be
    undone of how many."""

    slot: str
    title: str
    when: float
    back: int
    steps: int


class Work(TypedDict):
    """A history as it is kept: title, ids of its projects from oldest to newest, which is on show, ids of the pictures that
    they name, and texts by id of what the browser does not hold yet."""

    title: str
    order: list[str]
    at: int
    pictures: list[str]
    texts: dict[str, str]


def keeper(session: str, want: str, work: Work | None, on_found: Callable[[], None], on_work: Callable[[], None], on_missing: Callable[[], None]) -> None:  # fmt: skip
    """Hands the work to the browser, which keeps it under a record of this page alone.

    Args:
        session: Name of this session; a new one makes the browser offer what it holds.
        want: Slot of kept work that is asked for; "" for none.
        work: The history as it is; None while nothing was changed.
        on_found: Called when the browser has said what it holds, see ``found``.
        on_work: Called when it has handed kept work over, see ``handed``.
        on_missing: Called when it lacks texts of ``work``: all are then to be sent again.
    """
    _KEEPER(
        key=KEY,
        data={"session": session, "want": want, "work": work},
        on_found_change=on_found,
        on_work_change=on_work,
        on_missing_change=on_missing,
        on_full_change=lambda: None,
    )


def _state() -> dict[str, Any]:
    return cast("dict[str, Any]", st.session_state.get(KEY) or {})


def found() -> list[Kept]:
    """Work that the browser holds and no open page is at, newest first."""
    return cast("list[Kept]", _state().get("found") or [])


def handed() -> tuple[str, list[str], int, dict[str, str]] | None:
    """Kept work that was asked for: its slot, the projects' texts from oldest to newest, which was on show, and the
    pictures that they name, by id."""
    work = _state().get("work")
    return (str(work["slot"]), list(work["texts"]), int(work["at"]), dict(work.get("pictures", {}))) if work else None


def full() -> bool:
    """True where the browser could not keep the work."""
    return bool(_state().get("full"))
