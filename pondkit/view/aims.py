"""Aims and drives in words: what a person asks for is read, and what came of it is said."""

import difflib

from pondkit.aim import aim, drives
from pondkit.document import Project, Refused, get, place
from pondkit.evaluate import evaluate
from pondkit.reference.tables import rows_by_name
from pondkit.result import Path
from pondkit.takeoff import Entry
from pondkit.units import Entered, System, UnitError, figures, read
from pondkit.view.say import say
from pondkit.view.table import row_of

POOL_STEPS = 4  # of the path of a pool: options, index, pools, index
WIDE = 30  # characters of the longest bar


def option_at(project: Project, name: str) -> int:
    """Index of an option by its name, the first for ''. Raises: Refused where there is none."""
    names = [option.name for option in project.options]
    if name and name not in names:
        raise Refused(f"no option is called {name!r}; the options are {', '.join(names)}.")
    return names.index(name) if name else 0


def aim_text(
    project: Project, option: int, key: str, subject: str, target: str, move: str, system: System
) -> tuple[Project | None, str]:
    """The design that reaches a target, and what was moved; None with the reason where it is not reached.

    Raises: Refused where the figure, the target or the input cannot be read.
    """
    entry = _entry(project, option, key, subject)
    try:
        wanted = float(read(target, entry.kind, system))
    except UnitError as error:
        raise Refused(f"target: {error.reason}; {error.mend}.") from None
    path: Path = ("options", option, *(int(step) if step.isdigit() else step for step in move.split(".")))
    found = aim(project, option, key, subject, wanted, path)
    if found.project is None:
        assert found.reason is not None
        return None, f"{place(project, path)}: {say(found.reason, system)}."
    reached = _entry(found.project, option, key, subject)
    before, after = (_said(design, path) for design in (project, found.project))
    moved = f"from {before} to {after}" if before else f"its outline times {figures(found.moved or 1.0, 7)}"
    return found.project, f"{place(project, path)}: {moved}. {_row(project, option, key, reached, system)}"


def drives_text(project: Project, option: int, key: str, subject: str, share: float, system: System) -> str:
    """A ranked bar of what a change of each input by a share of itself does to a figure."""
    if not 0 < abs(share) < 1:
        raise Refused(f"by: {share:g} is no share; write a number above 0 and below 1, such as 0.1.")
    entry = _entry(project, option, key, subject)
    found = drives(project, option, key, subject, share)
    lines = [f"{_row(project, option, key, entry, system)} Each input changed by {share:+.0%} of itself:"]
    for drive in found:
        part = drive.change / entry.value if entry.value else 0.0
        bar = "#" * max(1, round(WIDE * abs(drive.change / found[0].change)))
        lines.append(
            f"{part:+8.2%}  {bar:<{WIDE}}  {place(project, drive.path)}{', outline scaled' * (len(drive.path) == POOL_STEPS)}"
        )
    return "\n".join(lines if found else [*lines, "no input moves it."])


def _entry(project: Project, option: int, key: str, subject: str) -> Entry:
    if key not in (known := rows_by_name("words")):
        near = difflib.get_close_matches(key, known, 1, 0.3)
        raise Refused(f"figure: no key is called {key!r}" + (f"; write {near[0]!r} if that is meant." if near else "."))
    own = [entry for name, entry in evaluate(project).options[option].entries() if name == key]
    if not (same := [entry for entry in own if entry.subject == subject]):
        held = ", ".join(repr(entry.subject) for entry in own)
        raise Refused(
            f"of: this option has no {key} of {subject!r}; "
            + (f"it has it of {held}." if held else "it has none at all.")
        )
    return same[0]


def _row(project: Project, option: int, key: str, entry: Entry, system: System) -> str:
    drawn = project.options[option]
    row = row_of(drawn.name, drawn.rates.currency if drawn.rates else "", key, entry, system)
    return f"{row.label}{f' of {row.subject}' if row.subject else ''}: {row.text}."


def _said(project: Project, path: Path) -> str:
    held = get(project, path)
    return held.text if isinstance(held, Entered) else f"{held:.7g}" if isinstance(held, float) else ""
