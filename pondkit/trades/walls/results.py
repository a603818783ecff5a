"""Result types of the walls: joints, sections for drawing, and stone."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result


@dataclass(frozen=True)
class CourseBox:
    """One course in section.

    Attributes:
        front, back: Distance behind the toe of the wall [m].
        low, high: Height of bottom and top above its base [m].
        weight: Per length of wall [N/m].
    """

    front: float
    back: float
    low: float
    high: float
    weight: float


@dataclass(frozen=True)
class WallSection:
    """Section of a wall, measured back from its toe and up from its base [m].

    Attributes:
        name: Name of the wall.
        boxes: Its courses.
        slope: Slope of the backfill [deg].
        water: Height of the water behind it.
        resultants: (back, up) of the place where the resultant passes each joint, from the base up; None for a joint
            that is lifted.
        base_force: (horizontal, vertical) components of the resultant on the base [N/m].
    """

    name: str
    boxes: tuple[CourseBox, ...]
    slope: float
    water: float
    resultants: tuple[tuple[float, float] | None, ...]
    base_force: tuple[float, float]


@dataclass(frozen=True, eq=False)
class WallsResult(Result):
    """The walls of an option. Subjects are a wall, or "wall / course" for the joint under that course, from 1 at the
    base.

    Attributes:
        drawn: Sections of the walls without problems.
        problems: Figures that could not be computed, why, and the remedy.
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
    """Stone of the walls with a line or a length; subject is the wall.

    Attributes:
        unknown: Names of walls with courses but neither line nor length.
    """

    wall_volume: tuple[Entry, ...]
    wall_stone_order: tuple[Entry, ...]
    total_wall_stone_order: Entry | None
    unknown: tuple[str, ...]
