"""The job card: what the project is called, for whom it is, by which firm; the papers print it."""

from typing import Any

import streamlit as st

from pondkit.core.result import Path
from pondkit.page.controls import field_control, fields_of, part_controls
from pondkit.page.form import Form
from pondkit.page.photos import TYPES, as_jpeg, photos, say_refused
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.project.project import MOST_LETTERS, Project

JOB: Path = ("site", "job")
FIRM: Path = (*JOB, "firm")
LOGO = "logo"  # where what is refused of it is kept
LONGEST = 480  # px of a logo as it is kept


def job_card(desk: Desk) -> None:
    """The whole card."""
    st.caption("Papers print it; no figure depends on it.")
    left, right = st.columns(2, gap="medium")
    form = Form(desk, "job", follows=False)
    title, *rest = fields_of(desk.project, ())
    with left:
        field_control(form, title)
        part_controls(form, JOB)
        form.show()
    with right:
        part_controls(form, FIRM)
        form.show()
        _logo(desk)
        photos(desk)
        st.divider()
        for asked in rest:
            field_control(form, asked)
        form.show()


def _logo(desk: Desk) -> None:
    key = f"logo {desk.history.revision}"
    logo = desk.project.site.job.firm.logo
    if not logo:
        st.file_uploader(
            "Firm's logo",
            type=TYPES,
            key=key,
            max_upload_size=100,  # what is too large is refused in our own words
            on_change=guarded(lambda: _take(desk, widget(key))),
        )
        say_refused(desk, LOGO)
        return
    st.image(f"data:image/jpeg;base64,{logo}", width=160)
    st.button(
        "Remove the logo",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, (*FIRM, "logo"), ""))),
    )


def _take(desk: Desk, given: Any) -> None:
    if given is not None:
        desk.edit(lambda: with_logo(desk.project, given.name, given.getvalue()), key=LOGO, text=given.name)


def with_logo(project: Project, name: str, file: bytes) -> Project:
    """The project with the firm's logo, kept small.

    Raises: Refused as ``as_jpeg``, where it is too large or no picture.
    """
    return put(project, (*FIRM, "logo"), as_jpeg(name, file, LONGEST, MOST_LETTERS))
