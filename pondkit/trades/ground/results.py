"""Result types of the existing ground, with the level book."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.terrain import Terrain


@dataclass(frozen=True)
class Reduced:
    """One reduced row: index of the row, height of instrument [m], level as read and level used [m]."""

    row: int
    instrument: float
    read: float
    level: float


@dataclass(frozen=True)
class Book:
    """A reduced level book.

    Attributes:
        rows: Row by row.
        rises, falls: Between consecutive readings from one instrument station [m], none negative.
    """

    rows: tuple[Reduced, ...]
    rises: tuple[float, ...]
    falls: tuple[float, ...]

    @property
    def last(self) -> float:
        """Level of the last place as read [m]."""
        return self.rows[-1].read


@dataclass(frozen=True, eq=False)
class LandResult(Result):
    """The existing ground, shared by all options. Entries are None if the ground was not measured that way.

    Attributes:
        terrain: The ground; None if it has a problem.
        book: The reduced level book.
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
