"""The ground as it is, with the level book that it may come from."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result
from pondkit.geometry.terrain import Terrain


@dataclass(frozen=True)
class Reduced:
    """One row worked out: index of the row, height of instrument it was read from [m], level as read and level used
    [m]."""

    row: int
    instrument: float
    read: float
    level: float


@dataclass(frozen=True)
class Book:
    """A level book worked out.

    Attributes:
        rows: Row by row.
        rises, falls: From each reading to the next of the same stand of the instrument [m], none negative.
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
    """The ground as it is, the same for all options. Entries are None where the ground was not measured so.

    Attributes:
        terrain: The ground; None where it is in trouble.
        book: The level book worked out.
        problems: What could not be worked out, and how to mend it; paths start at the project's ``site``.
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
