"""The line over the page: title, views, units, undo and redo, and its menus: Job (the job card), Draw, Aim (reach a
target, find what drives a figure), File (open, save, tables, papers, link) and ? (a first look).
"""

import html
from collections.abc import Callable
from functools import partial
from itertools import cycle
from uuid import uuid4

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from pondkit.core.refusal import Refused, place, writable
from pondkit.core.result import Path
from pondkit.core.tables import table
from pondkit.core.units import SYSTEMS, System
from pondkit.page.controls import field_control, fields_of, part_controls, with_unit
from pondkit.page.form import Form
from pondkit.page.images import FIRM, JOB, logo, photos
from pondkit.page.keeping import as_link
from pondkit.page.plan_edit import plan_settings
from pondkit.page.sketch_view import file_stem
from pondkit.page.start import LINK, examples, open_example, open_new, open_upload
from pondkit.page.state import Aims, Desk, guarded, unmarked, widget
from pondkit.project.answers import answered
from pondkit.project.files import save
from pondkit.project.project import Project
from pondkit.report import aims
from pondkit.report.drawings import JOB_TABLES, PAPERS, TABLES, Paper, file_name, paper
from pondkit.report.papers.sheet import SIZES, USUAL, Sheet, Size
from pondkit.report.table import summary_csv, takeoff_csv
from pondkit.study.aim import scales
from pondkit.study.compare import chosen
from pondkit.study.evaluate import OptionResult, evaluate

VIEWS = ("Sketch", "Side by side", "Figures", "Show")
UNITS = {"us": "US", "si": "SI"}


def head(here: Desk) -> str:
    """Shows the line; gives the view that is chosen in it."""
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
        logo(desk)
        photos(desk)
        st.divider()
        for asked in rest:
            field_control(form, asked)
        form.show()


MOST_BARS = 8
FIRST = "total_net_volume|"  # figure that is chosen first


def aim_panel(desk: Desk, result: OptionResult) -> None:
    """Figure, target and input to move; then what was found, and the drivers of the figure.

    Args:
        desk: The person's work.
        result: The option on show, as it is.
    """
    st.html("<span class='pk-aiming'></span>")  # by which the style sheet knows this popover
    figures = {figure.id: figure for figure in aims.aimable(result, desk.units)}
    moves = {aims.move_id(path): path for path in aims.movable(desk.project, desk.option)}
    if not figures:
        st.caption("Nothing of this option can be worked out: mend what stands beside the plan first.")
        return
    chosen = figures[
        _choice(
            desk, "Figure", "aim figure", {key: one.said for key, one in figures.items()}, "Which figure is aimed at."
        )
    ]
    target = st.text_input(
        "Target",
        key="aim target",
        placeholder=chosen.text.replace(",", ""),
        help=f"What it shall be; it is {unmarked(chosen.text)} now.",
    )
    if chosen.hint:
        st.caption(chosen.hint)
    said = {key: _said(desk.project, path) for key, path in moves.items()}
    move = moves[
        _choice(desk, "Input to move", "aim move", said, "The one input that is moved until the target is reached.")
    ]
    left, right = st.columns([1, 1.4])
    if left.button("Solve", type="primary", width="stretch", disabled=not target.strip()):
        with st.spinner("Solving …"):
            desk.aims = _solved(desk, chosen, target, move)
    if right.button("What drives it", width="stretch", help="What a tenth more of each input does to the figure."):
        with st.spinner("Changing each input …"):
            desk.aims = _driven(desk, chosen)
    if desk.aims and desk.aims.project is desk.project and desk.aims.option == desk.option:
        _found(desk, desk.aims)


def _choice(desk: Desk, label: str, key: str, said: dict[str, str], help_text: str) -> str:
    """One of a list that may be another at the next run; what was chosen stays as long as it is there."""
    names = list(said)
    held = desk.chosen.get(key)
    own = f"{key}{hash(tuple(said.items()))}"
    found = st.selectbox(
        label,
        names,
        index=names.index(held) if held in names else names.index(FIRST) if FIRST in names else 0,
        format_func=said.__getitem__,
        key=own,
        help=help_text,
    )
    desk.chosen[key] = found
    return str(found)


def _said(project: Project, path: Path) -> str:
    """An input without the option's name: "pool 'lower', tier 2 'deep', depth"."""
    words = place(project, path).partition(", ")[2]
    return f"{words}, outline scaled" if scales(path) else words


def _solved(desk: Desk, figure: aims.Aimable, target: str, move: Path) -> Aims:
    asked = with_unit(
        target.strip(), figure.kind, figure.unit
    )  # a bare number is in the unit that the figure is shown in
    try:
        found, said = aims.aim_text(desk.project, desk.option, figure.key, figure.subject, asked, move, desk.units)
    except Refused as refused:
        found, said = None, refused.reasons[0]
    return Aims(desk.project, desk.option, said, found)


def _driven(desk: Desk, figure: aims.Aimable) -> Aims:
    rows = aims.drive_rows(desk.project, desk.option, figure.key, figure.subject, aims.TENTH, desk.units)
    head = f"{figure.said}, {figure.text}: what a tenth more of each input, or the step named with it, does to it."
    bars = tuple((row.what.partition(", ")[2], row.text, row.length) for row in rows[:MOST_BARS])
    return Aims(desk.project, desk.option, head if bars else f"{figure.said}: no input moves it.", None, bars)


def _found(desk: Desk, found: Aims) -> None:
    st.html(f"<p class='pk-aimed' role='status'>{html.escape(writable(found.said))}</p>")
    if found.bars:
        bars = "".join(
            f"<li><span>{html.escape(what)}</span><b>{html.escape(text)}</b><i style='width:{length:.0%}' "
            f"class='{'pk-less' if text.startswith('-') else ''}'></i></li>"
            for what, text, length in found.bars
        )
        st.html(f"<ol class='pk-bars'>{bars}</ol>")
    if (aimed := found.found) is not None:
        st.button("Take it", width="stretch", key="aim take", on_click=guarded(lambda: desk.edit(lambda: aimed)))


def _file(here: Desk) -> None:
    """The File menu: save, tables, papers, what can be opened, and a link."""
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


STEPS = (
    "**Draw the water**: take Outline over the plan and go round it in one stroke, or drag an Oval out. Fall joins "
    "two pools; stones, pipe and what is kept clear have tools of their own.",
    "**Drag** a slider on the left, or a mark on the plan: plan, section and figures follow. A slider's box takes "
    "any size as you would write it.",
    "**Open a figure** for its working, source, range and cautions. A red mark is something to "
    "act on before you build, an amber one something to check on site.",
    "**Options** A, B, C … are ways to build it: copy one under Edit, weigh them up in Side by side, turn Show "
    "to the client.",
    "**File** saves the project, the figures as CSV and the papers as PDF. This browser keeps your work by "
    "itself; ↶ takes a step back.",
)
WORDS = {row["term"]: row["meaning"] for row in table("core/glossary") if row["page"]}


def first_look() -> None:
    """Five things to do, then the words."""
    st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(STEPS, 1)))
    with st.container(height=190):
        st.markdown("\n".join(f"- **{word}**: {meaning}" for word, meaning in WORDS.items()))
