"""The start of the page: a new pond, kept work, a file or an example; and which project the page opens with."""

import argparse
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import streamlit as st

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS
from pondkit.page.components import kept_jobs
from pondkit.page.figures import show_messages
from pondkit.page.keeping import FiledJob, JobFolder, browser_jobs, firm_in_browser, from_link, job_line, job_list
from pondkit.page.state import Desk, empty_project, escape_markdown, guarded, widget_value
from pondkit.project.files import load, load_mended
from pondkit.project.project import Project

LINK = "design"  # name of the query parameter that carries a design
DEMOS = Path(__file__).parents[2] / "demo_data"
FIRST_EXAMPLE = "frog_garden"  # the simplest
UNITS = {"us": "US: feet, gallons, pounds", "si": "SI: metres, litres, kilograms"}
MOST_SHOWN = 8  # jobs on show in a list at first


def arguments(words: tuple[str, ...]) -> tuple[Path | None, str, str]:
    """The command line after ``--``: folder of jobs, file to open, and a message about what cannot be read in it."""
    reader = argparse.ArgumentParser(prog="streamlit run app.py --", add_help=False, exit_on_error=False)
    reader.add_argument("--jobs", type=Path)
    reader.add_argument("file", nargs="?", default="")
    try:
        read, rest = reader.parse_known_args(words)
    except (argparse.ArgumentError, SystemExit) as error:
        return None, "", f"The command line cannot be read ({error}). After -- may stand: --jobs FOLDER and a FILE."
    complaint = f"The command line holds {' '.join(rest)}, which is nothing that this page takes." if rest else ""
    return read.jobs, read.file, complaint and complaint + " After -- may stand: --jobs FOLDER and a FILE."


def folder_at(place: Path | None) -> JobFolder | None:
    """The folder in which jobs are kept as files; None without one, or if it does not exist."""
    try:
        return JobFolder(place) if place else None
    except Refused:
        return None


def job_folder() -> JobFolder | None:
    """The folder of jobs that the command line names; None without one."""
    return folder_at(arguments(tuple(sys.argv[1:]))[0])


def first_project() -> tuple[Project | None, str]:
    """The project to open with, and a message. It is the one in the link, or the one named on the command line; None
    for the start.
    """
    if design := st.query_params.get(LINK):
        try:
            return from_link(design), ""
        except Refused as refused:
            return None, " ".join(refused.reasons)
    place, file_name, complaint = arguments(tuple(sys.argv[1:]))
    if place and folder_at(place) is None:
        try:
            JobFolder(place)
        except Refused as refused:
            complaint = f"{complaint} {refused}".strip()
    if not file_name:
        return None, complaint
    try:
        project, mended = load_mended(file_name)
        return project, " ".join((*mended, *([complaint] if complaint else ())))
    except Refused as refused:
        return None, f"{file_name}: " + " ".join(refused.reasons)
    except OSError as error:
        return None, f"{file_name}: cannot be read ({error.strerror})."


def examples() -> dict[str, Path]:
    """The shipped projects by name, the simplest first."""
    paths = sorted(DEMOS.glob("*.json"), key=lambda path: (path.stem != FIRST_EXAMPLE, path.stat().st_size))
    return {path.stem.replace("_", " ").capitalize(): path for path in paths}


def open_example(desk: Desk, name: str) -> None:
    """Open a copy of a shipped project as a job of its own."""
    desk.open(
        load(examples()[name]).changed(job_id=""),
        f"This is a copy of the example '{name}': change what you like, the example itself stays as it is.",
    )


def open_new(desk: Desk, units: str) -> None:
    """Open an empty project, with the firm's details as last kept."""
    desk.open(empty_project("si" if units == "si" else "us", desk.firm or firm_in_browser()))


def open_upload(desk: Desk, key: str) -> None:
    """Open the project file that was chosen. If it is refused, the reasons are shown and the present work stays."""
    upload = widget_value(key)
    if upload is None:
        return
    try:
        project, mended = load_mended(upload.getvalue())
        desk.open(project)
        desk.message = " ".join(mended)
    except Refused as refused:
        desk.message = f"{upload.name} was not opened, and your work is as it was. " + " ".join(refused.reasons[:4])


def start(desk: Desk) -> None:
    """Shows the start."""
    folder = job_folder()
    st.html(
        "<div class='pk-start'><h1>Ponds</h1><p>Draw one, and see what it holds, weighs, takes and costs.</p></div>"
    )
    show_messages([desk.message])
    if not desk.nothing_yet:
        name = desk.project.title or "Untitled project"
        st.button(
            f"Back to {escape_markdown(name)}", key="back to work", on_click=guarded(setattr, desk, "at_start", False)
        )
    left, right = st.columns([1.7, 1], gap="large")
    with left:
        _new_pond(desk)
        _kept_work(desk, folder)
    with right:
        _files_and_examples(desk)


def _new_pond(desk: Desk) -> None:
    with st.container(border=True, key="start new"):
        st.html("<h2 class='pk-head'>A new pond</h2>")
        units = st.radio("Units", SYSTEMS, format_func=UNITS.__getitem__, key="start units", horizontal=True)
        st.button(
            "New pond",
            type="primary",
            key="new pond",
            on_click=guarded(lambda: open_new(desk, widget_value("start units"))),
        )
        assert units in SYSTEMS


def _kept_work(desk: Desk, folder: JobFolder | None) -> None:
    filed = folder.jobs() if folder else []
    newest = {job.id: job.when for job in filed}
    # A job in both the folder and the browser is shown once: where it was last changed.
    jobs = [work for work in kept_jobs() if work["when"] / 1e3 > newest.get(work["slot"], 0.0) + 1.0]
    in_browser_only = {work["slot"] for work in jobs}
    filed = [job for job in filed if job.id not in in_browser_only]
    if folder:
        with st.container(border=True, key="start folder"):
            st.html("<h2 class='pk-head'>Go on with a job of the folder</h2>")
            st.caption(
                f"Jobs are kept in {escape_markdown(str(folder.folder))}. Whoever opens this page sees all of them."
            )
            _folder_jobs(desk, folder, filed)
    if jobs:
        with st.container(border=True, key="kept work"):
            st.html("<h2 class='pk-head'>Go on with work in this browser</h2>")
            browser_jobs(desk, jobs, MOST_SHOWN)


def _folder_jobs(desk: Desk, folder: JobFolder, jobs: Sequence[FiledJob]) -> None:
    if not jobs:
        st.caption("There is none yet.")

    def line(job: FiledJob) -> None:
        more = ("", folder.last_change(job), job.fault)
        job_line(
            job.title or job.id if job.fault else job.title,
            job.when,
            more,
            f"filed {job.id}",
            partial(_open_folder_job, desk, folder, job.id),
            "cannot be opened" if job.fault else "",
        )

    job_list(desk, jobs, line, lambda job: f"{job.title} {job.id}", MOST_SHOWN, "folder")


def _open_folder_job(desk: Desk, folder: JobFolder, job: str) -> None:
    try:
        project, fingerprint = folder.read(job)
    except Refused as refused:
        desk.message = " ".join(refused.reasons[:4])
        return
    except OSError as error:
        desk.message = f"The job cannot be read ({error.strerror})."
        return
    desk.open(project if project.job_id == job else project.changed(job_id=job))
    desk.filing.fingerprints.add(fingerprint)
    desk.filing.last_project, desk.filing.fault, desk.browser.offer_closed = desk.project, "", True


def _files_and_examples(desk: Desk) -> None:
    with st.container(border=True, key="start file"):
        st.html("<h2 class='pk-head'>Open a file</h2>")
        st.file_uploader(
            "A project file",
            type=["json"],
            key="start upload",
            max_upload_size=5,
            on_change=guarded(lambda: open_upload(desk, "start upload")),
        )
    with st.container(border=True, key="start examples"):
        st.html("<h2 class='pk-head'>Look at an example</h2>")
        st.caption("It opens as a copy.")
        for name in examples():
            st.button(name, key=f"example {name}", width="stretch", on_click=guarded(open_example, desk, name))
