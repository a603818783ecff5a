"""What the crew digs by: levels, setting out, as-built survey."""

from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.geometry.as_built import Correction, Way
from pondkit.geometry.outline import Array
from pondkit.trades.earthwork.inputs.dig import Measured, Stakes, Tape


@dataclass(frozen=True)
class Level:
    """One level to dig by.

    Attributes:
        row: Its name: that of its pool or node, a colon, and what it is.
        kind: "rim", "seat", "floor", "hole", "trench", "bed" or "crest".
        finished, dig: Site levels [m]; None where there is none.
    """

    row: str
    kind: str
    finished: float | None
    dig: float | None


@dataclass(frozen=True, eq=False)
class LevelRows(Result):
    """Levels of one pool, or of all holes, trenches, beds or crests, with rod readings where the height of instrument
    is known.

    Low and high are the tolerance.
    """

    levels: tuple[Level, ...]
    finished_level: tuple[Entry, ...]
    dig_level: tuple[Entry, ...]
    rod_dig: tuple[Entry, ...]
    rod_finished: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Levels(Result):
    """Levels to dig by, in the order in which they are dug.

    Attributes:
        cut_to_level: For every reading, what is still to cut there; negative to fill.
        tolerances: Of each of those [m].
        problems: What could not be worked out, and how to mend it.
        to_fill: What is still to be read.
    """

    height_of_instrument: Entry | None
    cut_to_level: tuple[Entry, ...]
    groups: tuple[LevelRows, ...]
    tolerances: tuple[float, ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()

    @property
    def levels(self) -> tuple[Level, ...]:
        return tuple(level for group in self.groups for level in group.levels)


LEAST_ANGLE, MOST_ANGLE = 30.0, 150.0  # degrees: tapes that cross flatter say little of where they meet
EDGE, WATER, TIER = "dig meets the ground", "waterline", "tier edge"
KINDS = (EDGE, WATER, TIER)  # in the order in which they are marked


@dataclass(frozen=True, eq=False)
class StakedLine:
    """One closed line with the points that are set out along it.

    Attributes:
        kind: EDGE, WATER or TIER.
        name: What it is, with its pools.
        ring: The line on the site, shape (n, 2) [m].
        points: Places along it, shape (k, 2) [m].
        unknown: True where it depends on ground that was not surveyed.
    """

    kind: str
    name: str
    ring: Array
    points: Array
    unknown: bool = False


@dataclass(frozen=True)
class StakedPoint:
    """One point to be set out: lengths in metres, angles in degrees.

    Attributes:
        number: Counted through all lines.
        line: Index of its line.
        east, north: On the site.
        tape_a, tape_b: Level tape lengths from the stakes.
        side: "left" or "right" of the baseline as seen from A to B; "on" it.
        crossing: Angle at which the two tapes cross.
        along, offset: Along the baseline from A, and square to it, left positive.
    """

    number: int
    line: int
    east: float
    north: float
    tape_a: float
    tape_b: float
    side: str
    crossing: float
    along: float
    offset: float

    @property
    def by_tapes(self) -> bool:
        """True where two tapes fix the point well."""
        return LEAST_ANGLE <= self.crossing <= MOST_ANGLE


@dataclass(frozen=True, eq=False)
class SettingOut(Result):
    """Points to set out, and how many of them tapes do not fix.

    Attributes:
        stakes: As entered.
        lines: In the order in which they are marked: where the dig meets the ground first.
        points: All of them in order.
        problems: What could not be worked out, and how to mend it.
    """

    baseline_length: Entry | None
    mark_length: tuple[Entry, ...]
    mark_count: tuple[Entry, ...]
    not_by_tapes: tuple[Entry, ...]
    stakes: Stakes
    lines: tuple[StakedLine, ...]
    points: tuple[StakedPoint, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class SurveyedLevel:
    """A level found, with the level drawn there [m].

    Attributes:
        measured: As entered.
        level, drawn: Above the site datum.
        water: Level of its pool's water at rest [m] where it lies on the bank, outside the waterline; None inside it.
    """

    number: int
    measured: Measured
    level: float
    drawn: float
    water: float | None = None

    @property
    def over(self) -> float:
        return self.level - self.drawn


@dataclass(frozen=True, eq=False)
class SurveyedLevels:
    """Levels found that can be used, and what is wrong with the others."""

    levels: tuple[SurveyedLevel, ...]
    problems: tuple[Problem, ...]

    def inside(self, pool: str) -> list[SurveyedLevel]:
        """Those of a pool that lie inside its waterline."""
        return [level for level in self.levels if level.measured.pool == pool and level.water is None]

    def correction(self, pool: str) -> Correction | None:
        """How far a pool's hole stands over the drawing inside its waterline; None where nothing was measured there."""
        inside = self.inside(pool)
        places = tuple((float(s.measured.at[0]), float(s.measured.at[1])) for s in inside)
        return Correction(places, tuple(s.over for s in inside)) if inside else None


@dataclass(frozen=True, eq=False)
class TapedLine:
    """One tape line: the way over dig and ground as drawn and as found, over the liner's surface from rim to rim as
    found, and the edge [m].

    ``off`` is the sum of how far the means of its pools' levels may be off [m]; 0 where it was taped.
    """

    tape: Tape
    drawn: Way
    found: Way
    liner: Way
    edge: float
    off: float

    @property
    def more(self) -> float:
        """How much longer the tape was than the way found [m]; 0 where it was not taped."""
        return float(self.tape.taped) - self.found.length if self.tape.taped is not None else 0.0


@dataclass(frozen=True, eq=False)
class AsBuilt(Result):
    """The hole as it was dug.

    Attributes:
        dug_difference: Every length and level that differs from the drawing, the largest first.
        levels: Levels found, for pictures.
        lines: Tape lines, for pictures.
        problems: What could not be worked out, and how to mend it.
        to_fill: Levels that are still to be read.
    """

    liner_spare_as_dug: tuple[Entry, ...]
    dug_difference: tuple[Entry, ...]
    liner_length_as_dug: tuple[Entry, ...]
    liner_width_as_dug: tuple[Entry, ...]
    line_as_dug: tuple[Entry, ...]
    volume_as_dug: tuple[Entry, ...]
    wetted_as_dug: tuple[Entry, ...]
    dug_mean_within: tuple[Entry, ...]
    levels: tuple[SurveyedLevel, ...]
    lines: tuple[TapedLine, ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()


@dataclass(frozen=True, eq=False)
class DigResult(Result):
    """What the crew digs by."""

    levels: Levels
    setting_out: SettingOut | None
    as_built: AsBuilt | None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What could not be worked out, and how to mend it."""
        parts = (self.levels, self.setting_out, self.as_built)
        return tuple(problem for part in parts if part is not None for problem in part.problems)

    @property
    def to_fill(self) -> tuple[ToFill, ...]:
        """What is still to be read on site."""
        return (*self.levels.to_fill, *(self.as_built.to_fill if self.as_built else ()))
