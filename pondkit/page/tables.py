"""A list as a table of text that is typed or pasted from a spreadsheet, or read from a CSV file."""

import streamlit as st

from pondkit.core.part import ask_of, get
from pondkit.core.refusal import Refused, spreadsheet_text
from pondkit.core.result import Path
from pondkit.page import edits
from pondkit.page.state import Desk, guarded, widget
from pondkit.project.files import put

HEIGHT = 230  # px
MOST_MB = 1


def table_control(desk: Desk, path: Path) -> None:
    """The one widget of a list: its lines, and a file to take them from."""
    field = str(path[-1])
    said = ask_of(type(get(desk.project, path[:-1])), field)
    assert said is not None
    key = f"{desk.history.revision}:" + "/".join(map(str, path))
    columns = ", ".join(edits.TABLES[field].columns)
    st.caption(
        f"{said.help} A line each: {columns}; bare numbers in {edits.UNIT[desk.units]}. Paste from a spreadsheet."
    )
    shown = edits.text_of(field, get(desk.project, path), desk.units)
    st.text_area(
        said.label,
        value=shown,
        key=key,
        height=HEIGHT,
        placeholder=columns,
        help=said.help,
        on_change=guarded(lambda: _taken(desk, path, widget(key))),
    )
    file = f"{key}:file"
    st.file_uploader(
        "or from a CSV file",
        type=["csv", "txt"],
        key=file,
        max_upload_size=MOST_MB,
        on_change=guarded(lambda: _file(desk, path, file)),
    )


def _taken(desk: Desk, path: Path, text: str) -> None:
    held = get(desk.project, path)
    desk.edit(lambda: put(desk.project, path, edits.items_of(str(path[-1]), text, held, desk.units), desk.units))


def _file(desk: Desk, path: Path, key: str) -> None:
    given = widget(key)
    if given is None:
        return
    try:
        text = spreadsheet_text(given.getvalue(), given.name)
    except Refused as refused:
        desk.message = refused.reasons[0]
        return
    _taken(desk, path, text)
