"""The page: runs once after each change, and shows the header and the chosen view."""

import logging
from functools import cache, partial
from importlib.resources import files

import streamlit as st

from pondkit.drawing.frame import plotly_script
from pondkit.page import figures
from pondkit.page.comparison import present, side_by_side
from pondkit.page.components import plotly_loader, run_done
from pondkit.page.figures import told
from pondkit.page.header import head
from pondkit.page.keeping import keep, keep_as_file, offer
from pondkit.page.sidebar import sidebar
from pondkit.page.sketch_view import sketch
from pondkit.page.start import first_project, job_folder, start
from pondkit.page.state import Desk, desk, guarded, laid_out, unmarked
from pondkit.project.files import save
from pondkit.report.papers.sheet import NOT_CHECKED
from pondkit.study.evaluate import Results, evaluate


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
    view = head(here)
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
            side_by_side(here, results)
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
