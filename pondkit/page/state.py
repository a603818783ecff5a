"""What the page remembers between runs: ``Desk``, one person's work. It holds the history of projects for undo and
redo, what is chosen, what was refused, and which part of the site the plan shows (``PlanFrame``).

One drag is one step of the history. Only this module keeps anything in session state. A person's text is shown as it
was typed, never as Markdown, a formula or HTML (``unmarked``).
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

MOST = 200  # steps kept


@dataclass(frozen=True)
class History:
    """The project as it is, what it was before, and what was undone.

    Attributes:
        now: The project on show.
        past, future: Older and undone projects, nearest first.
        mark: Path and drag number of the last step; a further step with the same joins it.
        revision: Grows whenever the project changes otherwise than by its own slider, so that widgets start anew.
    """

    now: Project
    past: tuple[Project, ...] = ()
    future: tuple[Project, ...] = ()
    mark: tuple[Path, int] | None = None
    revision: int = 0

    def step(self, project: Project, path: Path, drag: int) -> "History":
        """One step by a slider: joined with the one before while path and drag number are the same."""
        if project == self.now and not _retyped(project, self.now, path):
            return self
        joined = self.mark == (path, drag)
        past = self.past if joined else (self.now, *self.past)[:MOST]
        return replace(self, now=project, past=past, future=(), mark=(path, drag))

    def changed(self, project: Project) -> "History":
        """One step of its own: a part added, a choice, a file opened; none where nothing changed."""
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
        """The project before the last step; itself where there is none."""
        return self.past[0] if self.past else self.now

    def back(self, good: Callable[[Project], bool], most: int = 20) -> Project | None:
        """The nearest project, now or before, that is good; None within ``most`` steps."""
        return next((project for project in self._backward(most) if good(project)), None)

    def _backward(self, most: int) -> Iterator[Project]:
        yield self.now
        yield from self.past[:most]


def _retyped(a: Project, b: Project, path: Path) -> bool:
    """True where the values are equal but the text at the path is another ("30 in" for "2 ft 6 in")."""
    return bool(plain(get(a, path)) != plain(get(b, path)))


def changed_last(before: Project, now: Project) -> str:
    """The first part in which two projects differ, in words: "option 'A', pool 'lower', level"; "" where none is
    left."""
    path = _difference(before, now)
    if path is None:
        return ""
    at = get(now, path)
    words = place(now, path)
    if isinstance(at, tuple) and at and isinstance(at[0], Part):  # a list that grew or shrank
        said = ask_of(type(get(now, path[:-1])), str(path[-1]))
        words = ", ".join(filter(None, (words, said.label.lower() if said else "")))
    return words


def _difference(before: Any, now: Any, path: Path = ()) -> Path | None:
    """Path of the first value, or of the first list of another length, in which two parts of the document differ."""
    if before is now:
        return None
    if isinstance(now, Part) and type(before) is type(now):
        for name in type(now).model_fields:
            if name != "job_id" and (found := _difference(getattr(before, name), getattr(now, name), (*path, name))):
                return found
        return None
    if isinstance(now, tuple) and now and isinstance(now[0], Part) and len(before or ()) == len(now):
        pairs = enumerate(zip(before, now, strict=True))
        return next((found for i, (a, b) in pairs if (found := _difference(a, b, (*path, i)))), None)
    return path if plain(before) != plain(now) else None


@dataclass(frozen=True)
class PlanFrame:
    """What the plan shows.

    Attributes:
        span: West, south, east, north on the site [m].
        number: Another for each frame; a person's zoom holds as long as it stays.
        job: Id of the job that it was made for; "" for one that was never changed.
    """

    span: Span
    number: int
    job: str


def plan_frame(last: PlanFrame | None, drawn: Span, job: str, *, fit: bool = False) -> PlanFrame:
    """The frame as it was, or another one: where there is none, for another job, and where something lies outside.

    To be asked when the hand rests: while it moves, the frame stays.

    Args:
        last: The frame as it was; None where there is none.
        drawn: Round all that is drawn now, with some room [m].
        job: Id of the job.
        fit: Whether all is to be fitted in.
    """
    if last is None or fit:
        return PlanFrame(drawn, last.number + 1 if last else 1, job)
    outside = any(a < b for a, b in zip(drawn[:2], last.span[:2], strict=True)) or any(
        a > b for a, b in zip(drawn[2:], last.span[2:], strict=True)
    )
    other = bool(last.job and job and last.job != job)
    if outside or other:
        return PlanFrame(drawn, last.number + 1, job)
    return last if last.job == job else PlanFrame(last.span, last.number, job)


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
        frame: What the plan shows; None where it was not drawn yet.
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
    frame: PlanFrame | None = None
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
    project = in_round_numbers(Project(units=units, options=(Option(name="A", pools=()),)), ())
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


_JOINER = "\u2060"  # takes no room: what stands on both sides of it is not read as one
_MARKS = set("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")  # what Markdown lets be escaped (CommonMark 0.31, section 2.4)
_JOINS = set(":.@-<>=")  # of links, emoji and arrows, which are looked for behind the escapes too


def unmarked(text: str) -> str:
    """A text for a label that is read as Markdown, such as a choice of a segmented control: it shows as it was
    typed."""
    return "".join(_shown(mark) for mark in text)


def _shown(mark: str) -> str:
    if mark not in _MARKS:
        return mark
    return f"{_JOINER}\\{mark}{_JOINER}" if mark in _JOINS else f"\\{mark}"
