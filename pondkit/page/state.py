"""What the page remembers between runs: ``Desk``, one person's work. It holds the history of projects for undo and
redo, what is chosen, what was refused, and which part of the site the plan shows (``PlanFrame``).

One drag is one step of the history. Only this module keeps anything in session state. A person's text is shown as it
was typed, never as Markdown, a formula or HTML (``escape_markdown``).
"""

import logging
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any, cast
from uuid import uuid4

import streamlit as st

from pondkit.core.part import Part, ask_of, get
from pondkit.core.refusal import Refused, place, writable
from pondkit.core.result import Path
from pondkit.core.units import System
from pondkit.page.components import Live
from pondkit.project.files import plain, put
from pondkit.project.project import Firm, Option, Project
from pondkit.report.plan import Span
from pondkit.report.section import Reach
from pondkit.study.new_parts import in_round_numbers
from pondkit.trades.earthwork.inputs import Earth
from pondkit.trades.earthwork.results import EarthResult

MOST = 200  # steps that can be undone


@dataclass(frozen=True)
class History:
    """The project as it is, earlier ones for undo, and undone ones for redo.

    Attributes:
        now: The project on show.
        past, future: Earlier and undone projects, the nearest first.
        mark: Path and drag number of the last step. A further step with the same path and number joins it.
        revision: Grows with every change that is not a slider's step. It is part of the keys of stock widgets, which
            are then built anew.
    """

    now: Project
    past: tuple[Project, ...] = ()
    future: tuple[Project, ...] = ()
    mark: tuple[Path, int] | None = None
    revision: int = 0

    def step(self, project: Project, path: Path, drag: int) -> "History":
        """One step by a slider. It joins the step before as long as path and drag number stay the same."""
        if project == self.now and not _text_differs(project, self.now, path):
            return self
        joined = self.mark == (path, drag)
        past = self.past if joined else (self.now, *self.past)[:MOST]
        return replace(self, now=project, past=past, future=(), mark=(path, drag))

    def changed(self, project: Project) -> "History":
        """One step of its own: a part added, a choice, a file opened. No step if nothing changed."""
        if project == self.now and plain(project) == plain(self.now):
            return self
        return History(project, (self.now, *self.past)[:MOST], (), None, self.revision + 1)

    def undo(self) -> "History":
        if not self.past:
            return self
        return History(self.past[0], self.past[1:], (self.now, *self.future), None, self.revision + 1)

    def redo(self) -> "History":
        if not self.future:
            return self
        return History(self.future[0], (self.now, *self.past), self.future[1:], None, self.revision + 1)

    @property
    def before(self) -> Project:
        """The project before the last step, or the present one if there was none."""
        return self.past[0] if self.past else self.now

    def back(self, good: Callable[[Project], bool], most: int = 20) -> Project | None:
        """The nearest project that is ``good``, from the present one backwards; None if there is none within ``most``
        steps.
        """
        return next((project for project in self._backward(most) if good(project)), None)

    def _backward(self, most: int) -> Iterator[Project]:
        yield self.now
        yield from self.past[:most]


def _text_differs(a: Project, b: Project, path: Path) -> bool:
    """True if the text at the path differs though the values are equal ("30 in" and "2 ft 6 in")."""
    return bool(plain(get(a, path)) != plain(get(b, path)))


def last_change(before: Project, now: Project) -> str:
    """The first part in which two projects differ, in words, such as "option 'A', pool 'lower', level"; "" if they do
    not differ, or the part is gone.
    """
    path = _difference(before, now)
    if path is None:
        return ""
    value = get(now, path)
    words = place(now, path)
    if isinstance(value, tuple) and value and isinstance(value[0], Part):  # a list that grew or shrank
        list_field = ask_of(type(get(now, path[:-1])), str(path[-1]))
        words = ", ".join(filter(None, (words, list_field.label.lower() if list_field else "")))
    return words


def _difference(before: Any, now: Any, path: Path = ()) -> Path | None:
    """Path of the first value in which two parts of the document differ, or of the first list whose length differs;
    None if they are equal.
    """
    if before is now:
        return None
    if isinstance(now, Part) and type(before) is type(now):
        for name in type(now).model_fields:
            if name != "job_id" and (inner := _difference(getattr(before, name), getattr(now, name), (*path, name))):
                return inner
        return None
    if isinstance(now, tuple) and now and isinstance(now[0], Part) and len(before or ()) == len(now):
        pairs = enumerate(zip(before, now, strict=True))
        return next((inner for i, (a, b) in pairs if (inner := _difference(a, b, (*path, i)))), None)
    return path if plain(before) != plain(now) else None


@dataclass(frozen=True)
class PlanFrame:
    """Which part of the site the plan shows.

    Attributes:
        span: West, south, east and north limits on the site [m].
        number: Differs for each frame. The browser keeps a person's zoom as long as the number stays.
        job: Id of the job that the frame was made for; "" for a project that was never changed.
    """

    span: Span
    number: int
    job: str


def plan_frame(last: PlanFrame | None, extent: Span, job: str, *, fit: bool = False) -> PlanFrame:
    """The last frame, or a new one if there was none, the job is another, or something lies outside it.

    To be asked for when the hand rests: during a drag the frame stays.

    Args:
        last: The frame so far; None if there is none.
        extent: West, south, east and north limits of everything drawn now, with a margin [m].
        job: Id of the job.
        fit: Whether to fit everything drawn into a new frame.
    """
    if last is None or fit:
        return PlanFrame(extent, last.number + 1 if last else 1, job)
    outside = any(a < b for a, b in zip(extent[:2], last.span[:2], strict=True)) or any(
        a > b for a, b in zip(extent[2:], last.span[2:], strict=True)
    )
    other = bool(last.job and job and last.job != job)
    if outside or other:
        return PlanFrame(extent, last.number + 1, job)
    return last if last.job == job else PlanFrame(last.span, last.number, job)


@dataclass(frozen=True)
class ProjectText:
    """A project as text for the browser. It holds the project too, so that no other object gets the same ``id()``.

    Attributes:
        project: The project.
        id: Hash of the text.
        text: The project file, with a name in place of the picture under the plan.
        picture: That name; "" if there is no picture.
    """

    project: Project
    id: str
    text: str
    picture: str


@dataclass(frozen=True)
class AimOutcome:
    """Result of an aim, or of asking what drives a figure. Valid only for the project that it was computed for.

    Attributes:
        project, option: What it was computed for.
        message: The result in words.
        design: The design that reaches the target; None if there is none.
        bars: (input, change of the figure, length from 0 to 1), the greatest first.
    """

    project: Project
    option: int
    message: str
    design: Project | None
    bars: tuple[tuple[str, str, float], ...] = ()


@dataclass
class BrowserCopy:
    """What the person's browser keeps of the work.

    Attributes:
        packed: Projects of the history as texts, by ``id()``.
        sent_ids: Ids of the texts that the browser holds.
        requested_slot: Slot of the kept work that the person asked for; "" for none.
        offer_closed: Whether kept work was taken up or declined.
    """

    packed: dict[int, ProjectText] = field(default_factory=dict)
    sent_ids: set[str] = field(default_factory=set)
    requested_slot: str = ""
    offer_closed: bool = False


@dataclass
class Filing:
    """How the job stands in the folder of jobs.

    Attributes:
        fingerprints: Fingerprints of the job files that this session has read or written.
        last_project: The project that was last written there.
        fault: Why the last change is not in the job's file; "" if it is.
    """

    fingerprints: set[str] = field(default_factory=set)
    last_project: Project | None = None
    fault: str = ""


@dataclass
class SketchState:
    """What the Sketch view has drawn.

    Attributes:
        whole_page: Whether the whole page runs now, and not only the part that follows the hand.
        page_state: What the whole page was last drawn for, except for the values of sliders.
        frame: Part of the site that the plan shows; None before the first plan.
        fit_plan: Whether the next plan is to show everything drawn.
        reach: Extent of the section; None before the first section.
        earth: The earthwork that was last computed, with the inputs it was computed from; None before that.
        last_drawing: Number of the last drawing on the plan that was handled, and whether it was refused.
        live: What the browser was sent of all that follows the hand.
    """

    whole_page: bool = False
    page_state: Hashable = None
    frame: PlanFrame | None = None
    fit_plan: bool = False
    reach: Reach | None = None
    earth: tuple[Earth | None, EarthResult | None] | None = None
    last_drawing: tuple[int, bool] = (0, False)
    live: Live = field(default_factory=Live)


@dataclass
class FormState:
    """What the forms on the page hold.

    Attributes:
        folds: Folds that the person opened (True) or closed (False), by id.
        actions: What each row does, by the form's name and the row's id.
        answered_numbers: Number of the last entry that was handled, by the form's key.
    """

    folds: dict[str, bool] = field(default_factory=dict)
    actions: dict[str, dict[str, Callable[[Any, int], None]]] = field(default_factory=dict)
    answered_numbers: dict[str, int] = field(default_factory=dict)


@dataclass
class Desk:
    """One person's work.

    Attributes:
        history: The project with its undo and redo.
        units: Unit system displayed.
        chosen: Choices by name: "option", "trade", and the index in each list by its path.
        refusals: Text that was refused and the reason, by the control's key.
        base_option: Index of the option that the others are compared with.
        aim_outcome: Result of the last aim; None if nothing was asked.
        at_start: Whether the start is on show instead of the project.
        message: One line about the last file opened or edit refused; "" for none.
        note: What was opened, said calmly; "" for none.
        notice: What was done last and can be undone, in words; "" for nothing.
        fault: Whether a callback has failed since the page was last drawn.
        session: Id of this session, by which the browser tells a new session from one that it knows.
        jobs: Job ids of projects that have none of their own yet, by ``id()``; with the project, which holds its
            identity.
        firm: The firm's details if the person changed them in this session.
        browser, filing: How the work is kept in the browser, and in the folder of jobs.
        sketch, form: What the Sketch view has drawn, and what the forms hold.
    """

    history: History
    units: System
    chosen: dict[str, Any] = field(default_factory=dict)
    refusals: dict[str, tuple[str, str]] = field(default_factory=dict)
    base_option: int = 0
    aim_outcome: AimOutcome | None = None
    at_start: bool = False
    message: str = ""
    note: str = ""
    notice: str = ""
    fault: bool = False
    session: str = field(default_factory=lambda: uuid4().hex)
    jobs: dict[int, tuple[Project, str]] = field(default_factory=dict)
    firm: Firm | None = None
    browser: BrowserCopy = field(default_factory=BrowserCopy)
    filing: Filing = field(default_factory=Filing)
    sketch: SketchState = field(default_factory=SketchState)
    form: FormState = field(default_factory=FormState)

    @property
    def project(self) -> Project:
        """The project on show."""
        return self.history.now

    @property
    def option(self) -> int:
        """Index of the option on show, at most that of the last option."""
        return min(int(self.chosen.get("option", 0)), len(self.project.options) - 1)

    @property
    def trade(self) -> str:
        """Name of the trade whose controls are in the sidebar, as in ``contents.TRADES``."""
        return str(self.chosen.get("trade", "Pools"))

    def enter(self, path: Path, value: Any, drag: int, key: str, text: str) -> None:
        """Put a value from a slider or box into the project. A refused text stays in its box, with the reason; the
        design stays.
        """
        try:
            project = put(self.project, path, value, self.units)
        except Refused as refused:
            self.refusals[key] = writable(text), refused.reasons[0]
            return
        self.refusals.pop(key, None)
        self.message = self.notice = ""
        self._go_on(self.history.step(project, path, drag))

    def edit(self, change: Callable[[], Project], key: str = "", text: str = "") -> None:
        """Change the project in one step. If the change is refused, the reason is shown and the design stays as it was.

        Args:
            change: Returns the changed project; may raise Refused.
            key: Control beside which a reason is shown; "" shows it over the page.
            text: What was entered in that control, which keeps it.
        """
        try:
            project = change()
        except Refused as refused:
            if key:
                self.refusals[key] = writable(text), refused.reasons[0]
            else:
                self.message = refused.reasons[0]
            return
        self.message = self.notice = ""
        self.refusals.clear()
        self._go_on(self.history.changed(project))

    @property
    def nothing_yet(self) -> bool:
        """Whether there is no work of the person's yet: the start is on show, and nothing was opened before."""
        return self.at_start and not self.history.past and not self.project.options[0].pools and not self.project.job_id

    def job_of(self, project: Project) -> str:
        """Id of the job that a project of the history belongs to; "" if it was never changed."""
        return project.job_id or self.jobs.get(id(project), (project, ""))[1]

    def _go_on(self, history: History) -> None:
        """A further step of the same job. The first one gives the job its id."""
        self.note = ""
        if (firm := history.now.site.job.firm) != self.project.site.job.firm:
            self.firm = firm
        if history is not self.history and not history.now.job_id:
            job = self.job_of(self.project) or uuid4().hex
            self.jobs[id(self.project)] = self.project, job
            history = replace(history, now=history.now.changed(job_id=job))
        self.history = history

    def copy(self) -> None:
        """Go on with a copy of the project as a job of its own."""
        self.history = self.history.changed(self.project.changed(job_id=uuid4().hex))

    def undo(self) -> None:
        self.message = self.notice = ""
        self.history = self.history.undo()

    def redo(self) -> None:
        self.message = self.notice = ""
        self.history = self.history.redo()

    def open(self, project: Project, note: str = "") -> None:
        """Open another job. The one before stays in the history, unless it was the empty project of the start."""
        if self.nothing_yet:
            self.history = History(project, revision=self.history.revision + 1)
        else:
            self.history = self.history.changed(project)
        self.at_start, self.note = False, note
        self.units = project.units
        self.chosen, self.base_option, self.message, self.sketch.fit_plan = {}, 0, "", True
        self.refusals.clear()


def session_desk(first: Callable[[], tuple[Project | None, str]]) -> Desk:
    """The desk of this session.

    Args:
        first: Called for a new session; returns the project to open with and a message. Without a project the start is
            shown.
    """
    if "desk" not in st.session_state:
        project, message = first()
        at_start = project is None
        project = project or empty_project("us")
        st.session_state.desk = Desk(History(project), project.units, message=message, at_start=at_start)
    return cast(Desk, st.session_state.desk)


def empty_project(units: System, firm: Firm | None = None) -> Project:
    """A project with one option and no pool, with the firm's details if given."""
    project = in_round_numbers(Project(units=units, options=(Option(name="A", pools=()),)), ())
    return put(project, ("site", "job", "firm"), firm) if firm else project


def current_desk() -> Desk | None:
    """The desk of this session; None if there is none yet."""
    return cast("Desk | None", st.session_state.get("desk"))


def guarded(work: Callable[..., Any], *arguments: Any) -> Callable[[], None]:
    """The callback of a control; every ``on_…`` of the page is made by this.

    If ``work`` fails, the fault is logged and noted on the desk, and the page reports it calmly. Streamlit itself would
    show its own error screen, from which the work cannot be saved.
    """

    def callback() -> None:
        try:
            work(*arguments)
        except Exception:
            logging.getLogger(__name__).exception("a control's work failed")
            if desk := current_desk():
                desk.fault = True

    return callback


def widget_value(key: str) -> Any:
    """Value of a stock widget, for its callback."""
    return st.session_state[key]


def is_open(key: str) -> bool:
    """Whether a stock fold on the page is open."""
    return bool(st.session_state.get(key))


_JOINER = "\u2060"  # of no width; keeps Markdown from reading the two sides as one
_MARKS = set("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")  # may be escaped in Markdown (CommonMark 0.31, section 2.4)
_JOINS = set(":.@-<>=")  # of links, emoji and arrows, which Streamlit finds behind escapes too


def escape_markdown(text: str) -> str:
    """A text escaped for a label that Streamlit reads as Markdown, so that it shows as typed."""
    return "".join(_escaped(mark) for mark in text)


def _escaped(mark: str) -> str:
    if mark not in _MARKS:
        return mark
    return f"{_JOINER}\\{mark}{_JOINER}" if mark in _JOINS else f"\\{mark}"
