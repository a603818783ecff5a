"""The page: asks, calls and shows."""

import html
import logging
from functools import cache, partial
from importlib.resources import files
from uuid import uuid4

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS
from pondkit.drawing.frame import plotly_script
from pondkit.page import compare_view, figures
from pondkit.page.aiming import aim_panel
from pondkit.page.components import plotly_loader, run_done
from pondkit.page.downloads import paper_files, table_files
from pondkit.page.job_card import job_card
from pondkit.page.keeping import as_link, keep, keep_as_file, offer
from pondkit.page.plan_edit import plan_settings
from pondkit.page.present import present
from pondkit.page.sidebar import sidebar
from pondkit.page.sketch_view import file_stem, sketch, told
from pondkit.page.start import (
    LINK,
    examples,
    first_look,
    first_project,
    job_folder,
    open_example,
    open_new,
    open_upload,
    start,
)
from pondkit.page.state import Desk, desk, guarded, laid_out, unmarked, widget
from pondkit.project.answers import answered
from pondkit.project.files import save
from pondkit.project.project import Project
from pondkit.report.papers.sheet import NOT_CHECKED
from pondkit.study.evaluate import Results, evaluate

VIEWS = ("Sketch", "Side by side", "Figures", "Show")
UNITS = {"us": "US", "si": "SI"}


@cache
def _style() -> str:
    return files("pondkit.page").joinpath("style.css").read_text(encoding="utf-8")


def run() -> None:
    """Show the page once, as Streamlit does after each change. A fault of the program is said calmly; the terminal
    has its trace. ``guarded`` does the same for what a control does."""
    try:
        _page()
    except Exception:
        logging.getLogger(__name__).exception("the page could not be drawn")
        _calm("The page could not be drawn.", "drawing", laid_out())


def _calm(what: str, key: str, here: Desk | None) -> None:
    """What is said and offered where the program is at fault: a step back, and the project to save."""
    st.html(
        f"<div class='pk-problem' role='alert'>{what} Your work is kept: take the last step back, or save the "
        "project and start again.</div>"
    )
    if here:
        st.button("Take the last step back", on_click=guarded(here.undo), key=f"back {key}")
        st.download_button(
            "Save the project",
            data=partial(save, here.project),
            file_name="pond.json",
            mime="application/json",
            on_click="ignore",
            key=f"rescue {key}",
        )


def _page() -> None:
    st.html(f"<style>{_style()}</style>")
    plotly_loader(plotly_script())
    here = desk(first_project)
    if here.fault:
        here.fault = False
        _calm("The last step could not be done.", "step", here)
    if here.starting:
        start(here)
        keep(here)
        run_done()
        return
    if folder := job_folder():
        keep_as_file(here, folder)
    view = _head(here)
    with st.container():
        offer(here)
    results = evaluate(here.project)
    controls = None
    if view != "Show":
        with st.sidebar:
            controls = st.container()
    match view:
        case "Side by side":
            told([here.message])
            compare_view.side_by_side(here, results)
        case "Figures":
            _figures(here, results)
        case "Show":
            present(here, results)
        case _:
            assert controls is not None
            sketch(here, results, controls)
    if controls is not None and view != "Sketch":  # there they follow the hand, with the pictures
        with controls:
            sidebar(here)
    keep(here)
    run_done()


def _head(here: Desk) -> str:
    title, views, unit, undo, redo, plan, reach, file, look = st.columns(
        [2.0, 3.3, 1.3, 0.45, 0.45, 0.98, 0.9, 0.9, 0.6], vertical_alignment="center", gap="xsmall"
    )
    name = here.project.title or "Untitled project"
    view = views.segmented_control(
        "View", VIEWS, default="Sketch", key="view", label_visibility="collapsed", required=True
    )
    key = f"units{here.history.revision}{here.units}"
    unit.segmented_control(
        "Units on show",
        SYSTEMS,
        default=here.units,
        format_func=UNITS.__getitem__,
        key=key,
        label_visibility="collapsed",
        required=True,
        on_change=guarded(lambda: setattr(here, "units", widget(key))),
    )
    if view == "Show":  # turned towards the client, without controls
        title.html(f"<div class='pk-title'><h1>{html.escape(name)}</h1></div>")
        return str(view)
    with title.container(horizontal=True, vertical_alignment="center", gap="xsmall"):
        st.html(f"<div class='pk-title'><h1 title='{html.escape(name)}'>{html.escape(name)}</h1></div>")
        # Its label stays: one that changes would close the card while the title is written.
        with st.popover("Job", help="Title, for whom, by which firm, date", key="job card", on_change="rerun") as menu:
            if menu.open:
                job_card(here)
    _history(here, undo, redo)
    with plan.popover("Draw", width="stretch", key="draw", on_change="rerun") as menu:
        if menu.open:
            plan_settings(here)
    with reach.popover("Aim", width="stretch", key="aim", on_change="rerun") as menu:
        if menu.open:
            aim_panel(here, evaluate(here.project).options[here.option])
    with file.popover("File", width="stretch", key="file", on_change="rerun") as menu:
        if menu.open:
            _file(here)
    with look.popover(
        "?", help="A first look, and the words of the trade", width="stretch", key="first look", on_change="rerun"
    ) as menu:
        if menu.open:
            first_look()
    return str(view)


def _history(here: Desk, undo: DeltaGenerator, redo: DeltaGenerator) -> None:
    undo.button(
        "↶",
        help="Undo",
        width="stretch",
        disabled=not here.history.past,
        shortcut="Ctrl+Z",
        key="step back",
        on_click=guarded(here.undo),
    )
    redo.button(
        "↷",
        help="Redo",
        width="stretch",
        disabled=not here.history.future,
        shortcut="Ctrl+Y",
        key="step on",
        on_click=guarded(here.redo),
    )


def _file(here: Desk) -> None:
    project = here.project
    stem = file_stem(project)
    new, every = st.columns(2, gap="small")
    new.button("New", key="new", width="stretch", on_click=guarded(lambda: open_new(here, project.units)))
    every.button(
        "All jobs …",
        key="all jobs",
        width="stretch",
        help="The start: kept work, files and examples. This work stays as it is.",
        on_click=guarded(setattr, here, "starting", True),
    )
    st.download_button(
        "Save the project",
        data=partial(save, project),
        file_name=f"{stem}.json",
        mime="application/json",
        on_click="ignore",
        width="stretch",
        key="save",
    )
    st.download_button(
        "Save a copy",
        data=partial(_copy, project),
        file_name=f"{stem}_copy.json",
        mime="application/json",
        on_click="ignore",
        width="stretch",
        key="copy",
        help="A job of its own, kept beside this one.",
    )
    table_files(here, stem)
    paper_files(here, stem)
    _file_choosers(here)
    if st.button("Make a link with this design", width="stretch", key="link"):
        st.code(f"{(st.context.url or '').partition('?')[0]}?{LINK}={as_link(project)}", language=None)
        st.caption(
            "It opens this design, without its undo history, photos, logo and picture under the plan, where pondkit "
            "runs at that address."
        )


def _file_choosers(here: Desk) -> None:
    """What can be opened: a project, answers, an example."""
    st.file_uploader(
        "Open a project file",
        type=["json"],
        key="upload",
        max_upload_size=5,
        on_change=guarded(lambda: open_upload(here, "upload")),
    )
    st.file_uploader(
        "Answers of a first visit",
        type=["csv", "json"],
        key="visit",
        max_upload_size=1,
        on_change=guarded(lambda: _answers(here)),
    )
    key = f"demo{here.history.revision}"
    st.selectbox(
        "Look at an example",
        list(examples()),
        index=None,
        placeholder="choose one",
        key=key,
        on_change=guarded(lambda: open_example(here, widget(key))),
    )
    st.caption("Opening keeps the work before: undo brings it back.")


def _copy(project: Project) -> str:
    return save(project.changed(job_id=uuid4().hex))


def _answers(here: Desk) -> None:
    given = widget("visit")
    if given is None:
        return
    try:
        project = answered(here.project, given.getvalue())
    except Refused as refused:
        here.message = f"{given.name} was not taken, and the site is as it was. " + " ".join(refused.reasons[:4])
        return
    here.edit(lambda: project)


def _figures(here: Desk, results: Results) -> None:
    result = results.options[here.option]
    told([here.message, *figures.problems(here.project, results, here.option, here.units)])
    st.caption(
        f"Every figure of option {unmarked(result.option.name)}; each opens to its working, source, range and "
        "cautions. A red mark: to act on before you build. An amber one: to check on site, or with the maker."
    )
    figures.wanting(here, results, elsewhere=False)
    figures.reminders_panel(here, results)
    figures.searched(result, here.units)
    st.caption(NOT_CHECKED)
