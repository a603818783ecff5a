"""What walls hand on: what every joint holds, the wall as its section is drawn, and its stone."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result


@dataclass(frozen=True)
class CourseBox:
    """One course: front and back behind the toe of the wall, bottom and top over its base [m], weight [N/m]."""

    front: float
    back: float
    low: float
    high: float
    weight: float


@dataclass(frozen=True)
class WallSection:
    """A wall as its section is drawn, measured back from its toe and up from its base [m].

    Attributes:
        name: The wall.
        boxes: Its courses.
        slope: Of the backfill [deg].
        water: Height of the water behind it.
        through: (back, up) where the resultant passes each joint, from the base up; None for one that the water lifts.
        pull: (level, down) of the resultant on the base [N/m].
    """

    name: str
    boxes: tuple[CourseBox, ...]
    slope: float
    water: float
    through: tuple[tuple[float, float] | None, ...]
    pull: tuple[float, float]


@dataclass(frozen=True, eq=False)
class WallsResult(Result):
    """The walls of an option. Subjects are a wall, or "wall / course" for the joint
    under that course, from 1 at the base.

    Attributes:
        drawn: The walls that could be worked out, as they are drawn.
        problems: What could not be worked out, and how to mend it.
    """

    walls_unsafe: Entry | None
    wall_height: tuple[Entry, ...]
    wall_pressure_share: tuple[Entry, ...]
    wall_thrust: tuple[Entry, ...]
    wall_overturning: tuple[Entry, ...]
    wall_sliding: tuple[Entry, ...]
    wall_eccentricity: tuple[Entry, ...]
    toe_pressure: tuple[Entry, ...]
    heel_pressure: tuple[Entry, ...]
    drawn: tuple[WallSection, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class WallStone(Result):
    """Stone of the walls of which a line or a length is entered; subject is the wall.

    Attributes:
        unknown: Names of walls with courses and neither.
    """

    wall_volume: tuple[Entry, ...]
    wall_stone_order: tuple[Entry, ...]
    total_wall_stone_order: Entry | None
    unknown: tuple[str, ...]
