"""What the File menu gives away: the tables, and the papers as PDF."""

from collections.abc import Callable
from functools import partial
from itertools import cycle

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pondkit.core.units import System
from pondkit.page.state import Desk
from pondkit.project.project import Project
from pondkit.report.drawings import JOB_TABLES, PAPERS, TABLES, Paper, file_name, paper
from pondkit.report.papers.sheet import SIZES, USUAL, Sheet, Size
from pondkit.report.table import summary_csv, takeoff_csv
from pondkit.study.compare import chosen
from pondkit.study.evaluate import evaluate

SIZE_NAMES: dict[Size, str] = {"letter": "Letter", "a4": "A4"}


def table_files(here: Desk, stem: str) -> None:
    """A button for each table; ``stem`` is how the names of the job's files begin."""
    project = here.project
    places = cycle(st.columns(2, gap="small"))
    against = chosen(project) if project.chosen else min(here.against, len(project.options) - 1)
    stem = dated(project, stem)
    _table(
        next(places),
        "Summary (CSV)",
        f"{stem}_summary.csv",
        partial(_summary, project, here.units, against),
        "The options side by side: zones and water of every pool, then all that is dug, bought and set. "
        "Opens in a spreadsheet.",
    )
    _table(
        next(places),
        "Takeoff (CSV)",
        f"{stem}_takeoff.csv",
        partial(_takeoff, project, here.units),
        "Every figure of every option with its working, source, range and cautions.",
    )
    own = f"{stem}_{file_name(project.options[here.option].name)}"
    for key, title, make in TABLES:
        made = partial(_of_option, project, make, here.option, here.units)
        _table(next(places), title, f"{own}_{key}.csv", made, "Of this option.")


def dated(project: Project, stem: str) -> str:
    """How the names of files begin that belong to a state of the job: with its date and revision, where it has them."""
    job = project.site.job
    revision = file_name(job.revision) if job.revision.strip() else ""
    return "_".join(filter(None, (stem, job.date, f"r{revision}" if revision else "")))


def _table(place: DeltaGenerator, label: str, name: str, data: Callable[[], bytes], said: str) -> None:
    place.download_button(
        label, data=data, file_name=name, mime="text/csv", on_click="ignore", width="stretch", key=label, help=said
    )


def _summary(project: Project, system: System, against: int) -> bytes:
    return summary_csv(evaluate(project), system, against).encode("utf-8")


def _takeoff(project: Project, system: System) -> bytes:
    return takeoff_csv(evaluate(project), system).encode("utf-8")


def _of_option(project: Project, make: Callable[[Sheet], str], option: int, units: System) -> bytes:
    return make(Sheet(evaluate(project), option, units, USUAL[units])).encode("utf-8")


def paper_files(here: Desk, stem: str) -> None:
    """A button for each paper of the option on show, and the size of paper that they are set on."""
    project, units = here.project, here.units
    st.caption("Papers (PDF)")
    size = st.segmented_control(
        "Size of the paper",
        SIZES,
        default=USUAL[units],
        format_func=lambda name: SIZE_NAMES[name],
        key=f"paper_size_{units}",
        label_visibility="collapsed",
    )
    own = f"{stem}_{file_name(project.options[here.option].name)}"
    for one, column in zip(PAPERS, cycle(st.columns(2, gap="small"))):
        column.download_button(
            one.title,
            data=partial(_paper, project, one, here.option, units, size),
            file_name=f"{own if one.each_option else stem}_{one.key}.pdf",
            mime="application/pdf",
            on_click="ignore",
            width="stretch",
            key=f"paper_{one.key}",
        )
    st.caption("To fill in and open again")
    for key, title, make in JOB_TABLES:
        made = partial(_of_option, project, make, here.option, units)
        said = "Fill in its last column; then open it as answers of a first visit."
        _table(st.container(), title, f"{stem}_{key}.csv", made, said)


def _paper(project: Project, one: Paper, option: int, system: System, size: Size | None) -> bytes:
    return paper(one, evaluate(project), option, system, size)
