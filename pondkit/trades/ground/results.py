"""Result types of the existing ground, and of a reduced level book."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.terrain import Terrain


@dataclass(frozen=True)
class ReducedRow:
    """One row of a level book, reduced; levels in the datum of the book [m].

    Attributes:
        row: Its index in the book.
        instrument: Height of instrument by which it was read.
        as_read: Level by the readings.
        level: Level used: as read, less its part of the misclosure where that is spread.
    """

    row: int
    instrument: float
    as_read: float
    level: float


@dataclass(frozen=True)
class Book:
    """A reduced level book.

    Attributes:
        rows: Its rows.
        rises, falls: Between consecutive readings from one stand of the instrument [m]; of each pair one is 0.
    """

    rows: tuple[ReducedRow, ...]
    rises: tuple[float, ...]
    falls: tuple[float, ...]

    @property
    def last(self) -> float:
        """Level of the last point as read [m]."""
        return self.rows[-1].as_read


@dataclass(frozen=True, eq=False)
class LandResult(Result):
    """The existing ground, which all options share. Entries are None if the ground was not measured that way.

    Attributes:
        terrain: The ground; None if it has a problem.
        book: The reduced level book; None if there is none.
        problems: Figures that could not be computed, why, and the remedy; paths start at the project's ``site``.
    """

    terrain: Terrain | None = None
    survey_places: Entry | None = None
    survey_area: Entry | None = None
    backsights_less_foresights: Entry | None = None
    rises_less_falls: Entry | None = None
    last_less_first: Entry | None = None
    misclosure: Entry | None = None
    book: Book | None = None
    problems: tuple[Problem, ...] = ()
