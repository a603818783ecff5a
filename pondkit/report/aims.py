"""Aims and drivers in words: reads the figure, target and input that a person names, and describes the result."""

import difflib
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from pondkit.core import tables
from pondkit.core.entry import Entry
from pondkit.core.part import ask_of, get, kind_in
from pondkit.core.refusal import Refused, place
from pondkit.core.renamed import takeoff_key
from pondkit.core.result import Path
from pondkit.core.units import (
    LENGTH,
    MONEY,
    TEMPERATURE,
    Entered,
    Kind,
    System,
    UnitError,
    brief,
    factor,
    figures,
    nothing,
    read,
    show,
)
from pondkit.drawing.rows import FigureRow, row_of, say_problem, unit_of
from pondkit.project.project import Project
from pondkit.report.table import rows
from pondkit.study.aim import AimFailure, Drive, aim, drives, quantities, rounded, scales
from pondkit.study.compare import currency_of
from pondkit.study.evaluate import OptionResult, evaluate

WIDE = 30  # characters of the longest bar
TENTH = 0.1
# Further figures that a person may aim at.
MORE = (
    "zone_area",
    "zone_volume",
    "surface_area",
    "net_volume",
    "liner_length",
    "liner_width",
    "spoil_volume",
    "left_compacted",
    "haul_bank",
    "berm_height",
    "line_amount",
)


MOST_TARGET = 1e15  # SI: larger than any figure; written in full it would fill lines


@dataclass(frozen=True)
class Aimable:
    """A figure that can be aimed at: key, subject, name, its present value as text, kind, the unit in which it is
    shown, and a suggested target in words, or "".
    """

    key: str
    subject: str
    name: str
    text: str
    kind: Kind
    unit: str
    hint: str

    @property
    def id(self) -> str:
        """Key and subject in one text, for a list of choices."""
        return f"{self.key}|{self.subject}"


@dataclass(frozen=True)
class Driver:
    """Effect of a change of one input on a figure.

    Attributes:
        path: Path of the input.
        text: Change of the figure as a share of it, or the change itself if the figure is 0.
        length: Its size over that of the greatest effect (0 to 1).
        what: The input in words, with the option's name first, and its change if that is not a share of itself.
    """

    path: Path
    text: str
    length: float
    what: str


def aimable(result: OptionResult, system: System) -> Iterator[Aimable]:
    """Figures of an option that can be aimed at, beginning with those of the summary."""
    known = tables.figure_words()
    written = rows(result, system)
    hints = _hints(result, written, system)
    for row in sorted(
        (row for row in written if known[row.key]["summary"] or row.key in MORE), key=lambda row: row.key in MORE
    ):
        name = f"{row.label}, {row.subject}" if row.subject else row.label
        yield Aimable(
            row.key,
            row.subject,
            name,
            row.text,
            row.entry.kind,
            unit_of(row.key, row.si_value, row.entry, system),
            hints.get(row.key, ""),
        )


def _hints(result: OptionResult, written: list[FigureRow], system: System) -> dict[str, str]:
    """Suggested targets by key: the widest liner from stock without a seam, and the soil that just fills the berm."""
    hints = {}
    if lining := result.option.lining:
        widest = show(lining.stock_width - lining.allowance, LENGTH, system)
        hints["liner_width"] = f"{widest} is the widest that is cut without a seam from the stock, less its allowance."
    for row in written:
        if row.key == "berm_volume":
            hints["left_compacted"] = f"{row.text} is what the berm takes."
    return hints


def movable(project: Project, option: int) -> Iterator[Path]:
    """Inputs of an option that an aim can move: the outline of each pool first, then every single quantity with bounds,
    except prices.
    """
    for path, _, kind in quantities(project, option):
        if scales(path):
            yield path
            continue
        part = type(get(project, path[:-1]))
        declaration = ask_of(part, str(path[-1]))
        if (
            declaration
            and kind_in(part, str(path[-1]))
            and declaration.bound("low", kind) is not None
            and "rates" not in path
        ):
            yield path


def move_id(path: Path) -> str:
    """An input by its path within the option, in the form of the command line."""
    return ".".join(map(str, path[2:]))


def path_of(option: int, move: str) -> Path:
    """Path of an input from its path within the option."""
    return (
        "options",
        option,
        *(int(step) if re.fullmatch(r"\d{1,4}", step, re.A) else step for step in move.split(".")),
    )


def option_at(project: Project, name: str) -> int:
    """Index of an option by its name; 0 for "". Raises: Refused if no option has that name."""
    names = [option.name for option in project.options]
    if name and name not in names:
        raise Refused(f"no option is called {name!r}; the options are {', '.join(names)}.")
    return names.index(name) if name else 0


def aim_text(
    project: Project, option: int, key: str, subject: str, target: str, path: Path, system: System
) -> tuple[Project | None, str]:
    """(design that reaches a target, what was moved, in words), or (None, reason) if the target is not reached.

    Raises: Refused if the figure, the target or the input cannot be read.
    """
    key = takeoff_key(key)
    entry = _entry(project, option, key, subject)
    given = target.strip()
    if entry.kind is MONEY:
        given = given.removeprefix(_currency(project, option)).strip()
    try:
        target_value = float(read(given, entry.kind, system))
    except UnitError as error:
        raise Refused(f"target: {error.reason}; {error.mend}.") from None
    if abs(target_value) > MOST_TARGET:
        raise Refused(f"target: {brief(given)} is more than any figure comes to; look at its number and its unit.")
    aimed = aim(project, option, key, subject, target_value, path)
    if aimed.project is None:
        assert aimed.missed is not None
        return (
            None,
            f"{place(project, path)}: {_reason(project, option, key, entry, target_value, aimed.missed, system)}.",
        )
    solved, aimed = aimed, rounded(project, option, (key, subject), target_value, path, aimed, system)
    assert aimed.project is not None
    reached = _entry(aimed.project, option, key, subject)
    before, after = (_value_text(design, path) for design in (project, aimed.project))
    moved = f"from {before} to {after}" if before else f"its outline times {figures(aimed.moved or 1.0, 7)}"
    message = f"{place(project, path)}: {moved}. {_row(project, option, key, reached, system)}"
    if aimed is not solved and not math.isclose(aimed.moved or 0.0, solved.moved or 0.0, rel_tol=1e-9):
        exact = show(solved.moved or 0.0, _kind(project, path), system)
        message += f" Rounded to what can be built, never past the target; the target itself is met at {exact}."
    return aimed.project, message + _new_problems_text(project, aimed.project, option, system)


def _kind(project: Project, path: Path) -> Kind:
    kind = kind_in(type(get(project, path[:-1])), str(path[-1]))
    assert kind is not None
    return kind


def _reason(
    project: Project, option: int, key: str, entry: Entry, target: float, missed: AimFailure, system: System
) -> str:
    """Reason why a target is not reached, each figure in the unit in which it is shown."""

    def shown(value: float) -> str:
        return _text(project, option, key, replace(entry, value=value, low=None, high=None), system)

    low, high, jump = (show(value, missed.kind, system) for value in (missed.low, missed.high, missed.at))
    match missed.why:
        case "none":
            return f"no option has the figure '{key}' of '{entry.subject}' at any value of that input"
        case "jump":
            return (
                f"the figure jumps over the target {shown(target)} where that input is {jump}: it goes by whole pieces "
                "or lengths there"
            )
        case "gap":
            return (
                f"from {low} to {high} of that input the figure goes from {shown(missed.least)} to "
                f"{shown(missed.most)}, but where it would come to the target, "
                f"{shown(target)}, the option cannot be worked out or goes past it; move another input, or mend "
                "what is in trouble there"
            )
        case "range":
            return (
                f"from {low} to {high} of that input the figure only goes from {shown(missed.least)} to "
                f"{shown(missed.most)}, and the target is {shown(target)}; "
                "move another input"
            )


def _new_problems_text(before: Project, after: Project, option: int, system: System) -> str:
    """Problems of the design that reaches the target which the design before did not have, in words; "" if there are
    none.
    """
    old_problems = {problem for _, problem in evaluate(before).problems}
    new_problems = [(path, problem) for path, problem in evaluate(after).problems if problem not in old_problems]
    if not new_problems:
        return ""
    first = say_problem(after, *new_problems[0], system)
    return f" It brings {len(new_problems)} problem{'s' * (len(new_problems) > 1)} with it; the first: {first}"


def drive_rows(project: Project, option: int, key: str, subject: str, share: float, system: System) -> list[Driver]:
    """Effect of a change of each input on a figure, as a share of the figure, the greatest first.

    Raises: Refused if the option has no such figure.
    """
    key = takeoff_key(key)
    entry = _entry(project, option, key, subject)
    ranked = drives(project, option, key, subject, share)
    most = max((abs(drive.change or 0.0) for drive in ranked), default=0.0) or 1.0
    return [_driver(project, drive, entry, most, share, system) for drive in ranked]


def _driver(project: Project, drive: Drive, entry: Entry, most: float, share: float, system: System) -> Driver:
    if drive.change is None:
        text = "no figure"
    elif nothing(entry.value, entry.kind):
        text = show(drive.change, entry.kind, system)
    else:
        text = f"{drive.change / abs(entry.value):+.2%}"  # so that '+' is more of it for a figure below 0 too
    return Driver(drive.path, text, abs(drive.change or 0.0) / most, driver_words(project, drive, share, system))


def driver_words(project: Project, drive: Drive, share: float, system: System) -> str:
    """An input that was changed, in words, with its change if that is not the share of itself that was asked for."""
    words = place(project, drive.path)
    if scales(drive.path):
        words += ", outline scaled"
    full_step = share * (1.0 if scales(drive.path) else abs(drive.value))
    if drive.stated or abs(drive.step) < abs(full_step) * (1 - 1e-9):
        unit = {"us": "°F", "si": "°C"}[system]
        by = (
            f"{figures(drive.step / factor(unit, TEMPERATURE))} {unit}"  # a difference, not a temperature
            if drive.kind is TEMPERATURE
            else show(drive.step, drive.kind, system)
        )
        words += f", by {by}"
    return words


def drives_text(project: Project, option: int, key: str, subject: str, share: float, system: System) -> str:
    """Bars, ranked, for the effect on a figure when each input changes by a share of itself."""
    if not 0 < abs(share) < 1:
        raise Refused(f"by: {share:g} is no share; write a number between -1 and 1 that is not 0, such as 0.1.")
    key = takeoff_key(key)
    entry = _entry(project, option, key, subject)
    lines = [
        f"{_row(project, option, key, entry, system)} Each input changed by {share:+.0%} of itself, or by the "
        "step named with it:"
    ]
    for row in (drivers := drive_rows(project, option, key, subject, share, system)):
        bar = "#" * max(1, round(WIDE * row.length))
        lines.append(f"{row.text:>9}  {bar:<{WIDE}}  {row.what}")
    return "\n".join(lines if drivers else [*lines, "no input moves it."])


def _entry(project: Project, option: int, key: str, subject: str) -> Entry:
    if key not in (known := tables.figure_words()):
        near = difflib.get_close_matches(key, known, 1, 0.3)
        raise Refused(f"figure: no key is called {key!r}" + (f"; write {near[0]!r} if that is meant." if near else "."))
    entries = [entry for name, entry in evaluate(project).options[option].entries() if name == key]
    if not (same := [entry for entry in entries if entry.subject == subject]):
        subjects = ", ".join(repr(entry.subject) for entry in entries)
        raise Refused(
            f"of: this option has no {key} of {subject!r}; "
            + (f"it has it of {subjects}." if subjects else "it has none at all.")
        )
    return same[0]


def _currency(project: Project, option: int) -> str:
    return currency_of(evaluate(project).options[option])


def _row(project: Project, option: int, key: str, entry: Entry, system: System) -> str:
    design = project.options[option]
    row = row_of(design.name, _currency(project, option), key, entry, system)
    return f"{row.label}{f' of {row.subject}' if row.subject else ''}: {row.text}."


def _text(project: Project, option: int, key: str, entry: Entry, system: System) -> str:
    design = project.options[option]
    return row_of(design.name, _currency(project, option), key, entry, system).text


def _value_text(project: Project, path: Path) -> str:
    value = get(project, path)
    return value.text if isinstance(value, Entered) else f"{value:.7g}" if isinstance(value, float) else ""
