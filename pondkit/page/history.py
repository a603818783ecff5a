"""Undo and redo: a frozen history of projects. One drag is one step."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from pondkit.core.part import Part, ask_of, get
from pondkit.core.refusal import place
from pondkit.core.result import Path
from pondkit.project.files import plain
from pondkit.project.project import Project

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
