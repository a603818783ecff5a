"""The page: runs once after each change, and shows the header and the chosen view."""

import gc
import logging
from functools import cache, partial
from importlib.resources import files

import streamlit as st

from pondkit.page import figures
from pondkit.page.comparison import present, side_by_side
from pondkit.page.components import run_done
from pondkit.page.figures import show_messages
from pondkit.page.header import header
from pondkit.page.keeping import keep, keep_as_file, offer_kept_work
from pondkit.page.sidebar import sidebar
from pondkit.page.sketch_view import sketch
from pondkit.page.start import first_project, job_folder, start
from pondkit.page.state import Desk, current_desk, escape_markdown, guarded, session_desk
from pondkit.project.files import save
from pondkit.report.papers.sheet import NOT_CHECKED
from pondkit.study.evaluate import Results, evaluate

# Modules and libraries stay for good. As long as a full collection looked through them all, a drag stood still for a
# tenth of a second now and then.
gc.freeze()


@cache
def _style() -> str:
    return files("pondkit.page").joinpath("style.css").read_text(encoding="utf-8")


def run() -> None:
    """Show the page once; Streamlit calls this after each change.

    A fault of the program is logged and reported calmly. ``guarded`` does the same for callbacks.
    """
    try:
        _page()
    except Exception:
        logging.getLogger(__name__).exception("the page could not be drawn")
        _show_fault("The page could not be drawn.", "drawing", current_desk())


def _show_fault(message: str, key: str, desk: Desk | None) -> None:
    """Report a fault of the program, and offer to undo the last step and to save the project."""
    st.html(
        f"<div class='pk-problem' role='alert'>{message} Your work is kept: take the last step back, or save the "
        "project and start again.</div>"
    )
    if desk:
        st.button("Take the last step back", on_click=guarded(desk.undo), key=f"back {key}")
        st.download_button(
            "Save the project",
            data=partial(save, desk.project),
            file_name="pond.json",
            mime="application/json",
            on_click="ignore",
            key=f"rescue {key}",
        )


def _page() -> None:
    st.html(f"<style>{_style()}</style>")
    desk = session_desk(first_project)
    if desk.fault:
        desk.fault = False
        _show_fault("The last step could not be done.", "step", desk)
    if desk.at_start:
        start(desk)
        keep(desk)
        run_done()
        return
    if folder := job_folder():
        keep_as_file(desk, folder)
    view = header(desk)
    with st.container():
        offer_kept_work(desk)
    results = evaluate(desk.project)
    controls = None
    if view != "Show":
        with st.sidebar:
            controls = st.container()
    match view:
        case "Side by side":
            show_messages([desk.message])
            side_by_side(desk, results)
        case "Figures":
            _figures_view(desk, results)
        case "Show":
            present(desk, results)
        case _:
            assert controls is not None
            sketch(desk, results, controls)
    if controls is not None and view != "Sketch":  # which has the sidebar follow the hand, with the pictures
        with controls:
            sidebar(desk)
    keep(desk)
    run_done()


def _figures_view(desk: Desk, results: Results) -> None:
    """The view "Figures": messages, reminders, and every figure of the option on show."""
    result = results.options[desk.option]
    show_messages([desk.message, *figures.problems(desk.project, results, desk.option, desk.units)])
    st.caption(
        f"Every figure of option {escape_markdown(result.option.name)}; each opens to its working, source, range and "
        "cautions. A red mark: to act on before you build. An amber one: to check on site, or with the maker."
    )
    figures.show_to_fill(desk, results, elsewhere=False)
    figures.reminders_panel(desk, results)
    figures.figure_search(result, desk.units)
    st.caption(NOT_CHECKED)
