"""The line over the page: title, views, units, undo and redo, and its menus: Job (the job card), Grid (of the plan),
Aim (reach a target, find what drives a figure), File (open, save, tables, papers, link) and ? (a first look).
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
from pondkit.page.images import FIRM, JOB, logo_control, photo_controls
from pondkit.page.keeping import as_link
from pondkit.page.plan_edit import plan_settings
from pondkit.page.sketch_view import file_stem
from pondkit.page.start import LINK, examples, open_example, open_new, open_upload
from pondkit.page.state import AimOutcome, Desk, escape_markdown, guarded, widget_value
from pondkit.project.answers import answered
from pondkit.project.files import save
from pondkit.project.project import Project
from pondkit.report import aims
from pondkit.report.papers import JOB_TABLES, PAPERS, TABLES, Paper, file_name, paper
from pondkit.report.papers.sheet import SIZES, USUAL, Sheet, Size
from pondkit.report.table import summary_csv, takeoff_csv
from pondkit.study.aim import scales
from pondkit.study.compare import chosen
from pondkit.study.evaluate import OptionResult, evaluate

VIEWS = ("Sketch", "Side by side", "Figures", "Show")
UNITS = {"us": "US", "si": "SI"}


def header(desk: Desk) -> str:
    """Shows the line over the page. Returns the view that is chosen in it."""
    title, views, unit, undo, redo, grid, aim, file, help_menu = st.columns(
        [2.0, 3.3, 1.3, 0.45, 0.45, 0.98, 0.9, 0.9, 0.6], vertical_alignment="center", gap="xsmall"
    )
    name = desk.project.title or "Untitled project"
    view = views.segmented_control(
        "View", VIEWS, default="Sketch", key="view", label_visibility="collapsed", required=True
    )
    key = f"units{desk.history.revision}{desk.units}"
    unit.segmented_control(
        "Units on show",
        SYSTEMS,
        default=desk.units,
        format_func=UNITS.__getitem__,
        key=key,
        label_visibility="collapsed",
        required=True,
        on_change=guarded(lambda: setattr(desk, "units", widget_value(key))),
    )
    if view == "Show":  # for the client, without controls
        title.html(f"<div class='pk-title'><h1>{html.escape(name)}</h1></div>")
        return str(view)
    with title.container(horizontal=True, vertical_alignment="center", gap="xsmall"):
        st.html(f"<div class='pk-title'><h1 title='{html.escape(name)}'>{html.escape(name)}</h1></div>")
        # A fixed label: if it changed with the title, the card would close while the title is written.
        with st.popover("Job", help="Title, for whom, by which firm, date", key="job card", on_change="rerun") as menu:
            if menu.open:
                job_card(desk)
    _undo_and_redo(desk, undo, redo)
    with grid.popover(
        "Grid",
        help="What places snap to, and how to draw on the plan",
        width="stretch",
        key="grid",
        on_change="rerun",
    ) as menu:
        if menu.open:
            plan_settings(desk)
    with aim.popover("Aim", width="stretch", key="aim", on_change="rerun") as menu:
        if menu.open:
            aim_panel(desk, evaluate(desk.project).options[desk.option])
    with file.popover("File", width="stretch", key="file", on_change="rerun") as menu:
        if menu.open:
            _file_menu(desk)
    with help_menu.popover(
        "?", help="A first look, and the words of the trade", width="stretch", key="first look", on_change="rerun"
    ) as menu:
        if menu.open:
            first_look()
    return str(view)


def _undo_and_redo(desk: Desk, undo: DeltaGenerator, redo: DeltaGenerator) -> None:
    undo.button(
        "↶",
        help="Undo",
        width="stretch",
        disabled=not desk.history.past,
        shortcut="Ctrl+Z",
        key="step back",
        on_click=guarded(desk.undo),
    )
    redo.button(
        "↷",
        help="Redo",
        width="stretch",
        disabled=not desk.history.future,
        shortcut="Ctrl+Y",
        key="step on",
        on_click=guarded(desk.redo),
    )


def job_card(desk: Desk) -> None:
    """The job card: title, client, firm, logo and photos."""
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
        logo_control(desk)
        photo_controls(desk)
        st.divider()
        for field in rest:
            field_control(form, field)
        form.show()


MOST_BARS = 8  # drivers on show
FIRST_AIM = "total_net_volume|"  # id of the figure that is chosen at first


def aim_panel(desk: Desk, result: OptionResult) -> None:
    """The Aim menu: choice of figure, target and input to move; then the result, or what drives the figure.

    Args:
        desk: The person's work.
        result: The option on show, as it is now.
    """
    st.html("<span class='pk-aiming'></span>")  # marks this popover for the style sheet
    figures = {figure.id: figure for figure in aims.aimable(result, desk.units)}
    moves = {aims.move_id(path): path for path in aims.movable(desk.project, desk.option)}
    if not figures:
        st.caption("Nothing of this option can be worked out: mend what stands beside the plan first.")
        return
    figure_names = {key: figure.name for key, figure in figures.items()}
    figure = figures[_aim_choice(desk, "Figure", "aim figure", figure_names, "Which figure is aimed at.")]
    target = st.text_input(
        "Target",
        key="aim target",
        placeholder=figure.text.replace(",", ""),
        help=f"What it shall be; it is {escape_markdown(figure.text)} now.",
    )
    if figure.hint:
        st.caption(figure.hint)
    input_names = {key: _input_name(desk.project, path) for key, path in moves.items()}
    move = moves[
        _aim_choice(
            desk, "Input to move", "aim move", input_names, "The one input that is moved until the target is reached."
        )
    ]
    left, right = st.columns([1, 1.4])
    if left.button("Solve", type="primary", width="stretch", disabled=not target.strip()):
        with st.spinner("Solving …"):
            desk.aim_outcome = _solve(desk, figure, target, move)
    if right.button("What drives it", width="stretch", help="What a tenth more of each input does to the figure."):
        with st.spinner("Changing each input …"):
            desk.aim_outcome = _drivers(desk, figure)
    if desk.aim_outcome and desk.aim_outcome.project is desk.project and desk.aim_outcome.option == desk.option:
        _show_outcome(desk, desk.aim_outcome)


def _aim_choice(desk: Desk, label: str, key: str, names_by_id: dict[str, str], help_text: str) -> str:
    """A select box whose list may differ at the next run; the choice stays as long as it is in the list."""
    names = list(names_by_id)
    last_choice = desk.chosen.get(key)
    widget_key = f"{key}{hash(tuple(names_by_id.items()))}"
    choice = st.selectbox(
        label,
        names,
        index=names.index(last_choice) if last_choice in names else names.index(FIRST_AIM) if FIRST_AIM in names else 0,
        format_func=names_by_id.__getitem__,
        key=widget_key,
        help=help_text,
    )
    desk.chosen[key] = choice
    return str(choice)


def _input_name(project: Project, path: Path) -> str:
    """Name of an input without the option's name: "pool 'lower', tier 2 'deep', depth"."""
    words = place(project, path).partition(", ")[2]
    return f"{words}, outline scaled" if scales(path) else words


def _solve(desk: Desk, figure: aims.Aimable, target: str, move: Path) -> AimOutcome:
    target = with_unit(target.strip(), figure.kind, figure.unit)  # a bare number is in the figure's unit
    try:
        project, message = aims.aim_text(
            desk.project, desk.option, figure.key, figure.subject, target, move, desk.units
        )
    except Refused as refused:
        project, message = None, refused.reasons[0]
    return AimOutcome(desk.project, desk.option, message, project)


def _drivers(desk: Desk, figure: aims.Aimable) -> AimOutcome:
    rows = aims.drive_rows(desk.project, desk.option, figure.key, figure.subject, aims.TENTH, desk.units)
    head = f"{figure.name}, {figure.text}: what a tenth more of each input, or the step named with it, does to it."
    bars = tuple((row.what.partition(", ")[2], row.text, row.length) for row in rows[:MOST_BARS])
    return AimOutcome(desk.project, desk.option, head if bars else f"{figure.name}: no input moves it.", None, bars)


def _show_outcome(desk: Desk, outcome: AimOutcome) -> None:
    st.html(f"<p class='pk-aimed' role='status'>{html.escape(writable(outcome.message))}</p>")
    if outcome.bars:
        bars = "".join(
            f"<li><span>{html.escape(name)}</span><b>{html.escape(text)}</b><i style='width:{length:.0%}' "
            f"class='{'pk-less' if text.startswith('-') else ''}'></i></li>"
            for name, text, length in outcome.bars
        )
        st.html(f"<ol class='pk-bars'>{bars}</ol>")
    if (design := outcome.design) is not None:
        st.button("Take it", width="stretch", key="aim take", on_click=guarded(lambda: desk.edit(lambda: design)))


def _file_menu(desk: Desk) -> None:
    """The File menu: save, tables, papers, what can be opened, and a link."""
    project = desk.project
    stem = file_stem(project)
    new, jobs = st.columns(2, gap="small")
    new.button("New", key="new", width="stretch", on_click=guarded(lambda: open_new(desk, project.units)))
    jobs.button(
        "All jobs …",
        key="all jobs",
        width="stretch",
        help="The start: kept work, files and examples. This work stays as it is.",
        on_click=guarded(setattr, desk, "at_start", True),
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
    table_files(desk, stem)
    paper_files(desk, stem)
    _file_choosers(desk)
    if st.button("Make a link with this design", width="stretch", key="link"):
        st.code(f"{(st.context.url or '').partition('?')[0]}?{LINK}={as_link(project)}", language=None)
        st.caption(
            "It opens this design, without its undo history, photos, logo and picture under the plan, where pondkit "
            "runs at that address."
        )


def _file_choosers(desk: Desk) -> None:
    """What can be opened: a project, the answers of a first visit, an example."""
    st.file_uploader(
        "Open a project file",
        type=["json"],
        key="upload",
        max_upload_size=5,
        on_change=guarded(lambda: open_upload(desk, "upload")),
    )
    st.file_uploader(
        "Answers of a first visit",
        type=["csv", "json"],
        key="visit",
        max_upload_size=1,
        on_change=guarded(lambda: _open_answers(desk)),
    )
    key = f"demo{desk.history.revision}"
    st.selectbox(
        "Look at an example",
        list(examples()),
        index=None,
        placeholder="choose one",
        key=key,
        on_change=guarded(lambda: open_example(desk, widget_value(key))),
    )
    st.caption("Opening keeps the work before: undo brings it back.")


def _copy(project: Project) -> str:
    return save(project.changed(job_id=uuid4().hex))


def _open_answers(desk: Desk) -> None:
    upload = widget_value("visit")
    if upload is None:
        return
    try:
        project = answered(desk.project, upload.getvalue())
    except Refused as refused:
        desk.message = f"{upload.name} was not taken, and the site is as it was. " + " ".join(refused.reasons[:4])
        return
    desk.edit(lambda: project)


SIZE_NAMES: dict[Size, str] = {"letter": "Letter", "a4": "A4"}


def table_files(desk: Desk, stem: str) -> None:
    """A download button for each table. ``stem`` is the beginning of the job's file names."""
    project = desk.project
    places = cycle(st.columns(2, gap="small"))
    base = chosen(project) if project.chosen else min(desk.base_option, len(project.options) - 1)
    stem = dated_stem(project, stem)
    _table_button(
        next(places),
        "Summary (CSV)",
        f"{stem}_summary.csv",
        partial(_summary, project, desk.units, base),
        "The options side by side: zones and water of every pool, then all that is dug, bought and set. "
        "Opens in a spreadsheet.",
    )
    _table_button(
        next(places),
        "Takeoff (CSV)",
        f"{stem}_takeoff.csv",
        partial(_takeoff, project, desk.units),
        "Every figure of every option with its working, source, range and cautions.",
    )
    option_stem = f"{stem}_{file_name(project.options[desk.option].name)}"
    for key, title, make in TABLES:
        make_csv = partial(_option_table, project, make, desk.option, desk.units)
        _table_button(next(places), title, f"{option_stem}_{key}.csv", make_csv, "Of this option.")


def dated_stem(project: Project, stem: str) -> str:
    """Beginning of the names of files that belong to a state of the job, with its date and revision if it has them."""
    job = project.site.job
    revision = file_name(job.revision) if job.revision.strip() else ""
    return "_".join(filter(None, (stem, job.date, f"r{revision}" if revision else "")))


def _table_button(place: DeltaGenerator, label: str, name: str, data: Callable[[], bytes], help_text: str) -> None:
    place.download_button(
        label, data=data, file_name=name, mime="text/csv", on_click="ignore", width="stretch", key=label, help=help_text
    )


def _summary(project: Project, system: System, base: int) -> bytes:
    return summary_csv(evaluate(project), system, base).encode("utf-8")


def _takeoff(project: Project, system: System) -> bytes:
    return takeoff_csv(evaluate(project), system).encode("utf-8")


def _option_table(project: Project, make: Callable[[Sheet], str], option: int, units: System) -> bytes:
    return make(Sheet(evaluate(project), option, units, USUAL[units])).encode("utf-8")


def paper_files(desk: Desk, stem: str) -> None:
    """A download button for each paper of the option on show, and the choice of paper size."""
    project, units = desk.project, desk.units
    stem = dated_stem(project, stem)
    st.caption("Papers (PDF)")
    size = st.segmented_control(
        "Size of the paper",
        SIZES,
        default=USUAL[units],
        format_func=lambda name: SIZE_NAMES[name],
        key=f"paper_size_{units}",
        label_visibility="collapsed",
    )
    option_stem = f"{stem}_{file_name(project.options[desk.option].name)}"
    for paper_kind, column in zip(PAPERS, cycle(st.columns(2, gap="small"))):
        column.download_button(
            paper_kind.title,
            data=partial(_paper, project, paper_kind, desk.option, units, size),
            file_name=f"{option_stem if paper_kind.each_option else stem}_{paper_kind.key}.pdf",
            mime="application/pdf",
            on_click="ignore",
            width="stretch",
            key=f"paper_{paper_kind.key}",
        )
    st.caption("To fill in and open again")
    for key, title, make in JOB_TABLES:
        make_csv = partial(_option_table, project, make, desk.option, units)
        help_text = "Fill in its last column; then open it as answers of a first visit."
        _table_button(st.container(), title, f"{stem}_{key}.csv", make_csv, help_text)


def _paper(project: Project, paper_kind: Paper, option: int, system: System, size: Size | None) -> bytes:
    return paper(paper_kind, evaluate(project), option, system, size)


STEPS = (
    "**Draw the water**: take Outline over the plan and go round it in one stroke, or drag an Oval out. Fall joins "
    "two pools; stones, pipe and what is kept clear have tools of their own.",
    "**Drag** a slider on the left, or a mark on the plan: plan, section and figures follow. A slider's box takes "
    "any size as you would write it.",
    "**Open a figure** for its working, source, range and cautions. A red mark is something to "
    "act on before you build, an amber one something to check on site.",
    "**Options** A, B, C … are ways to build it: the + beside them adds a copy; weigh them up in Side by "
    "side, turn Show to the client.",
    "**File** saves the project, the figures as CSV and the papers as PDF. This browser keeps your work by "
    "itself; ↶ takes a step back.",
)
WORDS = {row["term"]: row["meaning"] for row in table("core/glossary") if row["page"]}


def first_look() -> None:
    """Five things to do first, then the words of the trade."""
    st.markdown("\n".join(f"{number}. {step}" for number, step in enumerate(STEPS, 1)))
    with st.expander("Words of the trade"):
        st.markdown("\n".join(f"- **{word}**: {meaning}" for word, meaning in WORDS.items()))
