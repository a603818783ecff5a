"""The start: a new pond, kept work, a file or an example; and which project the page opens with."""

import argparse
import sys
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import streamlit as st

from pondkit.core.refusal import Refused
from pondkit.core.units import SYSTEMS
from pondkit.page.components import found as in_browser
from pondkit.page.figures import told
from pondkit.page.keeping import FiledJob, JobFolder, browser_jobs, from_link, kept_line, listed, own_firm
from pondkit.page.state import Desk, blank, guarded, unmarked, widget
from pondkit.project.files import load, load_mended
from pondkit.project.project import Project

LINK = "design"  # name of the query parameter that carries a design
DEMOS = Path(__file__).parents[2] / "demo_data"
FIRST = "frog_garden"  # the simplest
UNITS = {"us": "US: feet, gallons, pounds", "si": "SI: metres, litres, kilograms"}
MOST_SHOWN = 8  # jobs of a list at first


def arguments(given: tuple[str, ...]) -> tuple[Path | None, str, str]:
    """(folder of jobs, file to open, what is wrong with the rest) of the command line behind ``--``."""
    reader = argparse.ArgumentParser(prog="streamlit run app.py --", add_help=False, exit_on_error=False)
    reader.add_argument("--jobs", type=Path)
    reader.add_argument("file", nargs="?", default="")
    try:
        read, rest = reader.parse_known_args(given)
    except (argparse.ArgumentError, SystemExit) as error:
        return None, "", f"The command line cannot be read ({error}). After -- may stand: --jobs FOLDER and a FILE."
    over = f"The command line holds {' '.join(rest)}, which is nothing that this page takes." if rest else ""
    return read.jobs, read.file, over and over + " After -- may stand: --jobs FOLDER and a FILE."


def folder_at(place: Path | None) -> JobFolder | None:
    """The folder that jobs are kept in as files; None without one, or where it is not there."""
    try:
        return JobFolder(place) if place else None
    except Refused:
        return None


def job_folder() -> JobFolder | None:
    """The folder that the command line names."""
    return folder_at(arguments(tuple(sys.argv[1:]))[0])


def first_project() -> tuple[Project | None, str]:
    """The project that the link carries, else the one named on the command line, and what is to be said of it; None
    for the start."""
    if carried := st.query_params.get(LINK):
        try:
            return from_link(carried), ""
        except Refused as refused:
            return None, " ".join(refused.reasons)
    place, named, wrong = arguments(tuple(sys.argv[1:]))
    if place and folder_at(place) is None:
        try:
            JobFolder(place)
        except Refused as refused:
            wrong = f"{wrong} {refused}".strip()
    if not named:
        return None, wrong
    try:
        project, mended = load_mended(named)
        return project, " ".join((*mended, *([wrong] if wrong else ())))
    except Refused as refused:
        return None, f"{named}: " + " ".join(refused.reasons)
    except OSError as error:
        return None, f"{named}: cannot be read ({error.strerror})."


def examples() -> dict[str, Path]:
    """The shipped projects by what they are called, the simplest first."""
    paths = sorted(DEMOS.glob("*.json"), key=lambda path: (path.stem != FIRST, path.stat().st_size))
    return {path.stem.replace("_", " ").capitalize(): path for path in paths}


def open_example(desk: Desk, name: str) -> None:
    """A shipped project as the beginning of a job of its own."""
    desk.open(
        load(examples()[name]).changed(job_id=""),
        f"This is a copy of the example '{name}': change what you like, the example itself stays as it is.",
    )


def open_new(desk: Desk, units: str) -> None:
    """A pond of one's own, with the firm's details as they were kept."""
    desk.open(blank("si" if units == "si" else "us", desk.firm or own_firm()))


def open_upload(desk: Desk, key: str) -> None:
    """The project file that was chosen; one that is refused is said, and the work stays."""
    given = widget(key)
    if given is None:
        return
    try:
        project, mended = load_mended(given.getvalue())
        desk.open(project)
        desk.message = " ".join(mended)
    except Refused as refused:
        desk.message = f"{given.name} was not opened, and your work is as it was. " + " ".join(refused.reasons[:4])


def start(desk: Desk) -> None:
    """The whole screen."""
    folder = job_folder()
    st.html(
        "<div class='pk-start'><h1>Ponds</h1><p>Draw one, and see what it holds, weighs, takes and costs.</p></div>"
    )
    told([desk.message])
    if not desk.nothing_yet:
        name = desk.project.title or "Untitled project"
        st.button(f"Back to {unmarked(name)}", key="back to work", on_click=guarded(setattr, desk, "starting", False))
    left, right = st.columns([1.7, 1], gap="large")
    with left:
        _new(desk)
        _kept(desk, folder)
    with right:
        _others(desk)


def _new(desk: Desk) -> None:
    with st.container(border=True, key="start new"):
        st.html("<h2 class='pk-head'>A new pond</h2>")
        units = st.radio("Units", SYSTEMS, format_func=UNITS.__getitem__, key="start units", horizontal=True)
        st.button(
            "New pond", type="primary", key="new pond", on_click=guarded(lambda: open_new(desk, widget("start units")))
        )
        assert units in SYSTEMS


def _kept(desk: Desk, folder: JobFolder | None) -> None:
    filed = folder.jobs() if folder else []
    newest = {job.id: job.when for job in filed}
    # A job that is in both stands once: where it was changed last.
    found = [work for work in in_browser() if work["when"] / 1e3 > newest.get(work["slot"], 0.0) + 1.0]
    mine = {work["slot"] for work in found}
    filed = [job for job in filed if job.id not in mine]
    if folder:
        with st.container(border=True, key="start folder"):
            st.html("<h2 class='pk-head'>Go on with a job of the folder</h2>")
            st.caption(f"Jobs are kept in {unmarked(str(folder.folder))}. Whoever opens this page sees all of them.")
            _filed(desk, folder, filed)
    if found:
        with st.container(border=True, key="kept work"):
            st.html("<h2 class='pk-head'>Go on with work in this browser</h2>")
            browser_jobs(desk, found, MOST_SHOWN)


def _filed(desk: Desk, folder: JobFolder, jobs: Sequence[FiledJob]) -> None:
    if not jobs:
        st.caption("There is none yet.")

    def line(job: FiledJob) -> None:
        more = ("", folder.changed_last(job), job.fault)
        kept_line(
            job.title or job.id if job.fault else job.title,
            job.when,
            more,
            f"filed {job.id}",
            partial(_open_filed, desk, folder, job.id),
            "cannot be opened" if job.fault else "",
        )

    listed(desk, jobs, line, lambda job: f"{job.title} {job.id}", MOST_SHOWN, "folder")


def _open_filed(desk: Desk, folder: JobFolder, job: str) -> None:
    try:
        project, mark = folder.read(job)
    except Refused as refused:
        desk.message = " ".join(refused.reasons[:4])
        return
    except OSError as error:
        desk.message = f"The job cannot be read ({error.strerror})."
        return
    desk.open(project if project.job_id == job else project.changed(job_id=job))
    desk.filed.add(mark)
    desk.filed_last, desk.filed_fault, desk.settled = desk.project, "", True


def _others(desk: Desk) -> None:
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
