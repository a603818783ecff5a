"""What the page remembers between runs: the history, what is chosen, and what was refused. Only here session state."""

import logging
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from typing import Any, cast
from uuid import uuid4

import streamlit as st

from pondkit.core.refusal import Refused, writable
from pondkit.core.result import Path
from pondkit.core.units import System
from pondkit.page.components import Live
from pondkit.page.framing import Framed
from pondkit.page.history import History
from pondkit.project.files import put
from pondkit.project.job import Firm
from pondkit.project.project import Option, Project
from pondkit.report.section import Reach
from pondkit.trades.earthwork.inputs.earth import Earth
from pondkit.trades.earthwork.results.excavation import EarthResult


@dataclass(frozen=True)
class Packed:
    """A project with its text and the text's id; it is held, so that its identity is not given to another.

    ``picture`` is the name that stands in the text for the picture under the plan; "" without one.
    """

    project: Project
    id: str
    text: str
    picture: str


@dataclass(frozen=True)
class Aims:
    """What came of an aim, or of asking what drives a figure; good for the project that it was worked out for.

    Attributes:
        project, option: What it was worked out for.
        said: In words.
        found: The design that reaches the target; None where there is none.
        bars: (input, change of the figure, length from 0 to 1), the greatest first.
    """

    project: Project
    option: int
    said: str
    found: Project | None
    bars: tuple[tuple[str, str, float], ...] = ()


@dataclass
class Desk:
    """One person's work.

    Attributes:
        history: The project with its undo and redo.
        units: Units on show.
        chosen: What is chosen, by place: "option", "trade", and the index in each list.
        refused: Text that was refused, and why, by widget key.
        against: Option that the others are compared with.
        message: One line about the last file opened or edit refused; "" for none.
        note: A calm word about what was opened; "" for none.
        starting: Whether the start is on show, and not the project.
        session: Name of this session, by which the browser knows that it has met it.
        wanted: Kept work that was asked for; "" for none.
        settled: Whether kept work was taken up or left.
        kept: Projects of the history as texts, by identity.
        sent: Ids of the texts that the browser holds.
        jobs: Ids of the jobs that begin with a project without one, by its identity; each with the project, which
            holds it.
        fault: Whether a control's work failed since the page was drawn last.
        aims: What came of the last aim; None where nothing was asked.
        whole: Whether the whole page runs, and not the part that follows the hand alone.
        seen: What the whole page was last drawn for, but for the values of sliders.
        framed: What the plan shows; None where it was not drawn yet.
        reach: How far the section goes; None where it was not drawn yet.
        fit: Whether the plan is to show all that is drawn, whatever it showed.
        notice: What was done last and can be taken back, in words; "" for nothing.
        drawn: Number of the last drawing on the plan that was taken up, and whether it was refused.
        firm: The firm's details, where the person changed them in this session.
        filed: Marks of the texts of jobs that this session read from the folder of jobs, or wrote there.
        filed_last: The project that was written there last.
        filed_fault: Why the last change is not in the job's file there; "" where it is.
        earth: Where the soil goes as it was last worked out, behind what was asked for; None where it never was.
        live: By which the browser has what follows the hand.
        folds: Which folds of the form the person opened or closed.
        acts: What each row of a form does, by the form's name and the row's id.
        answered: Number of the last entry that was taken, by the form's key.
    """

    history: History
    units: System
    chosen: dict[str, Any] = field(default_factory=dict)
    refused: dict[str, tuple[str, str]] = field(default_factory=dict)
    against: int = 0
    message: str = ""
    note: str = ""
    starting: bool = False
    session: str = field(default_factory=lambda: uuid4().hex)
    wanted: str = ""
    settled: bool = False
    kept: dict[int, Packed] = field(default_factory=dict)
    sent: set[str] = field(default_factory=set)
    jobs: dict[int, tuple[Project, str]] = field(default_factory=dict)
    fault: bool = False
    aims: Aims | None = None
    whole: bool = False
    seen: Hashable = None
    framed: Framed | None = None
    reach: Reach | None = None
    fit: bool = False
    notice: str = ""
    drawn: tuple[int, bool] = (0, False)
    firm: Firm | None = None
    filed: set[str] = field(default_factory=set)
    filed_last: Project | None = None
    filed_fault: str = ""
    earth: tuple[Earth | None, EarthResult | None] | None = None
    live: Live = field(default_factory=Live)
    folds: dict[str, bool] = field(default_factory=dict)
    acts: dict[str, dict[str, Callable[[Any, int], None]]] = field(default_factory=dict)
    answered: dict[str, int] = field(default_factory=dict)

    @property
    def project(self) -> Project:
        return self.history.now

    @property
    def option(self) -> int:
        """Index of the option that is drawn; within what there is."""
        return min(int(self.chosen.get("option", 0)), len(self.project.options) - 1)

    def enter(self, path: Path, value: Any, drag: int, key: str, text: str) -> None:
        """Put what a slider or box gave; what is refused stays beside the box, and the design as it was."""
        try:
            project = put(self.project, path, value, self.units)
        except Refused as refused:
            self.refused[key] = writable(text), refused.reasons[0]
            return
        self.refused.pop(key, None)
        self.message = self.notice = ""
        self._go_on(self.history.step(project, path, drag))

    def edit(self, change: Callable[[], Project], key: str = "", text: str = "") -> None:
        """One step of its own; what is refused is said, and the design stays as it was.

        Args:
            change: Makes the project after the step.
            key: Where the words are said: beside the control of that key, which keeps ``text``; "" for over the page.
            text: What was entered there.
        """
        try:
            project = change()
        except Refused as refused:
            if key:
                self.refused[key] = writable(text), refused.reasons[0]
            else:
                self.message = refused.reasons[0]
            return
        self.message = self.notice = ""
        self.refused.clear()
        self._go_on(self.history.changed(project))

    @property
    def nothing_yet(self) -> bool:
        """Whether the desk holds no work of the person's: the start is on show, and nothing was opened before."""
        return self.starting and not self.history.past and not self.project.options[0].pools and not self.project.job_id

    def job_of(self, project: Project) -> str:
        """Id of the job that a project of the history belongs to; "" for one that was never changed."""
        return project.job_id or self.jobs.get(id(project), (project, ""))[1]

    def _go_on(self, history: History) -> None:
        """A further step of the same job; the first gives it its id."""
        self.note = ""
        if (firm := history.now.site.job.firm) != self.project.site.job.firm:
            self.firm = firm
        if history is not self.history and not history.now.job_id:
            job = self.job_of(self.project) or uuid4().hex
            self.jobs[id(self.project)] = self.project, job
            history = replace(history, now=history.now.changed(job_id=job))
        self.history = history

    def copy(self) -> None:
        """Go on with a copy that is a job of its own."""
        self.history = self.history.changed(self.project.changed(job_id=uuid4().hex))

    def undo(self) -> None:
        self.message = self.notice = ""
        self.history = self.history.undo()

    def redo(self) -> None:
        self.message = self.notice = ""
        self.history = self.history.redo()

    def open(self, project: Project, note: str = "") -> None:
        """Another job on the desk; the one before stays in the history, unless it is the empty one of the start."""
        if self.nothing_yet:
            self.history = History(project, revision=self.history.revision + 1)
        else:
            self.history = self.history.changed(project)
        self.starting, self.note = False, note
        self.units = project.units
        self.chosen, self.against, self.message, self.fit = {}, 0, "", True
        self.refused.clear()


def desk(first: Callable[[], tuple[Project | None, str]]) -> Desk:
    """The desk of this session, laid out anew with a first project and a message where there is none; without a
    project the start is on show."""
    if "desk" not in st.session_state:
        project, message = first()
        starting = project is None
        project = project or blank("us")
        st.session_state.desk = Desk(History(project), project.units, message=message, starting=starting)
    return cast(Desk, st.session_state.desk)


def blank(units: System, firm: Firm | None = None) -> Project:
    """A project without a pool yet."""
    project = Project(units=units, options=(Option(name="A", pools=()),))
    return put(project, ("site", "job", "firm"), firm) if firm else project


def laid_out() -> Desk | None:
    """The desk of this session, if there is one yet."""
    return cast("Desk | None", st.session_state.get("desk"))


def guarded(work: Callable[..., Any], *given: Any) -> Callable[[], None]:
    """What a control does, as its callback: every ``on_…`` of the page is made by this.

    A fault of the program in it is kept for the page to say calmly; the terminal has its trace. Streamlit itself
    would show its own error screen, from which the work cannot be saved.
    """

    def callback() -> None:
        try:
            work(*given)
        except Exception:
            logging.getLogger(__name__).exception("a control's work failed")
            if here := laid_out():
                here.fault = True

    return callback


def widget(key: str) -> Any:
    """What a stock widget holds; for its callback."""
    return st.session_state[key]


def is_open(key: str) -> bool:
    """Whether a stock fold that stands on the page is open."""
    return bool(st.session_state.get(key))
