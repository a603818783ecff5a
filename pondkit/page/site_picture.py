"""The controls of the picture under the plan: taken in, scaled by two marks, moved, turned, removed."""

from typing import Any

import streamlit as st

from pondkit.page import backdrop
from pondkit.page.backdrop import TYPES
from pondkit.page.controls import part_controls
from pondkit.page.form import Form
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put
from pondkit.report.plan import extent
from pondkit.study.evaluate import evaluate

SUCH_AS = {"us": "such as 24 ft 6 in", "si": "such as 7.5 m"}


def picture_controls(form: Form) -> None:
    """A photo from above or a survey drawing: a file chooser without one, else all that can be set about it."""
    desk = form.desk
    picture, key = desk.project.picture, f"picture {desk.history.revision}"
    if picture is None and form.part:
        return
    if picture is None:
        st.file_uploader(
            "Photo from above, or survey drawing",
            type=TYPES,
            key=f"{key} file",
            max_upload_size=100,
            on_change=guarded(lambda: _take(desk, widget(f"{key} file"))),
        )
        return
    part_controls(form, backdrop.PATH)
    form.show()
    if form.part:
        return
    now = backdrop.apart(picture, desk.units)
    st.caption(
        "To scale it, drag the two round marks on the plan to the ends of something whose length you know: now "
        f"{now} apart."
    )
    true = st.text_input("True distance between the marks", key=f"{key} apart", placeholder=SUCH_AS[desk.units])
    st.button(
        "Scale the picture",
        key=f"{key} scale",
        width="stretch",
        disabled=not true,
        on_click=guarded(lambda: desk.edit(lambda: backdrop.scaled(desk.project, true, desk.units))),
    )
    st.button(
        "Remove the picture",
        key=f"{key} drop",
        on_click=guarded(lambda: desk.edit(lambda: put(desk.project, backdrop.PATH, None))),
    )


def _take(desk: Desk, given: Any) -> None:
    """The file as the picture under the plan, at first as wide as the plan."""
    if given is None:
        return
    west, south, east, north = extent([evaluate(desk.project).options[desk.option]])
    middle = ((west + east) / 2, (south + north) / 2)
    desk.edit(lambda: backdrop.pictured(desk.project, given.name, given.getvalue(), east - west, middle, desk.units))
