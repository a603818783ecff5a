"""Collects the requirements of a brief as they are checked."""

from pondkit.core.entry import Entry
from pondkit.core.sentence import words
from pondkit.trades.animals.results import RequirementMark, Site


class RequirementCheck:
    """Collects the demands of all kinds by key, with their places."""

    def __init__(self) -> None:
        self.found: dict[str, list[Entry]] = {}
        self.marks: list[RequirementMark] = []
        self.fails: list[float] = []
        self.unchecked: list[tuple[str, str]] = []

    def leave(self, what: str, why: str) -> None:
        """A demand that is filled in and cannot be checked."""
        self.unchecked.append((what, why))

    def add(self, key: str, what: str, figure: Entry, at: Site | None = None) -> None:
        passes = figure.value >= -1e-9
        self.found.setdefault(key, []).append(figure)
        self.fails.append(0.0 if passes else 1.0)
        if at is not None:
            text = words(
                f"{figure.subject}: {what}, {'passes' if passes else 'fails'} by {{by}}",
                by=(abs(figure.value), figure.kind),
            )
            self.marks.append(RequirementMark(text, at, passes))
