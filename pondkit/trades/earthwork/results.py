"""Results of the earthwork: excavation, structures, stream beds and the soil they leave; levels, setting out and the
as-built survey that the crew works by.
"""

from dataclasses import dataclass

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.result import Path, Problem, Result, ToFill
from pondkit.core.sentence import Words
from pondkit.geometry.as_built import Correction, Way
from pondkit.geometry.hole import Hole
from pondkit.geometry.mound import Heaped
from pondkit.geometry.outline import Array
from pondkit.geometry.trench import Ditch, Spot, TrenchCut
from pondkit.trades.earthwork.inputs import Measured, Stakes, Tape
from pondkit.trades.pools.inputs import Link
from pondkit.trades.tunnels.results import DenBox


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


@dataclass(frozen=True)
class Structure:
    """A structure that stands in the ground: a body of the water side, or a wall.

    Attributes:
        path: Its place in the option.
        hole: The excavation for it, as deep as the bottom of its seat.
        body: Its footprint, as a hole down to its base elevation.
        seat: Thickness of what is laid under it [m].
        wall: True for a wall, False for a body of the water side.
        rim: Level of the top of its walls [m]; None where not entered, and of a wall.
    """

    path: Path
    hole: Hole
    body: Hole
    seat: float
    wall: bool
    rim: float | None = None

    @property
    def name(self) -> str:
        return self.hole.name


@dataclass(frozen=True, eq=False)
class Structures:
    """Structures that stand in the ground, and what is wrong with the others."""

    each: tuple[Structure, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class PipeTrenches:
    """Trenches of runs, each with the outside of its pipe [m], and pits of dens, each with its box.

    Attributes:
        bedding: Thickness of the bedding under all of them [m].
        whole: False where tunnels are in trouble, so that some may be missing.
    """

    ways: tuple[tuple[float, TrenchCut], ...]
    pits: tuple[tuple[DenBox, TrenchCut], ...]
    bedding: float = 0.0
    whole: bool = True

    @property
    def cuts(self) -> tuple[TrenchCut, ...]:
        return (*(cut for _, cut in self.ways), *(cut for _, cut in self.pits))


@dataclass(frozen=True)
class StreamBed:
    """The stream bed of one link as it is dug.

    Attributes:
        index, number: Its place in the option, and among the links that leave its upper pool, from 1.
        name: "from – to".
        link: As drawn.
        line: Middle of its bed as finished, from the upper waterline down.
        crest: Index in that of the crest.
        half, batter, down: Half the width of the bed as dug, its sides, and how far that bed lies under the finished
        one [m].
        cut: What is dug.
        bank: What is built, upside down.
        notes, bank_notes: What to heed with each.
    """

    index: int
    number: int
    name: str
    link: Link
    line: tuple[Spot, ...]
    crest: int
    half: float
    batter: float
    down: float
    cut: Ditch
    bank: Ditch
    notes: tuple[Words, ...]
    bank_notes: tuple[Words, ...]

    @property
    def length(self) -> float:
        """Level length of its line [m]."""
        return float(np.sum(np.linalg.norm(np.diff(np.array(self.line)[:, :2], axis=0), axis=1)))

    def levels(self, upper: str) -> tuple[Level, ...]:
        """Its bed at crest, places of its line, and the lower waterline."""
        names = bed_rows(upper, self.number, len(self.line) - self.crest - 2)
        return tuple(
            Level(name, "bed", place[2], place[2] - self.down)
            for name, place in zip(names, self.line[self.crest :], strict=True)
        )


def bed_rows(upper: str, number: int, places: int) -> list[str]:
    """Names of the levels of a bed that leaves a pool, with so many places between crest and lower pool."""
    return [
        f"{upper}: bed {number}, crest",
        *(f"{upper}: bed {number}, place {at}" for at in range(1, places + 1)),
        f"{upper}: bed {number}, lower end",
    ]


@dataclass(frozen=True, eq=False)
class StreamBeds:
    """Stream beds as they are dug, and what is wrong with the other links. A link whose pools meet at its crest takes
    no ground.

    Attributes:
        whole: False where a link has none because something is wrong.
        asked: Whether there is any link.
        outer: Banks round the pools, which those along the links run into.
    """

    each: tuple[StreamBed, ...]
    problems: tuple[Problem, ...]
    whole: bool
    outer: tuple[Hole, ...] = ()
    asked: bool = True


@dataclass(frozen=True, eq=False)
class ExcavationResult(Result):
    """What is dug besides the pools; subjects are names of runs, nodes, bodies and walls, "from – to" of links. Sums
    are None where a part is in trouble.

    Attributes:
        cuts: Trenches of the runs and pits of the dens as they are dug.
        problems: What could not be worked out, and how to mend it.
    """

    pipe_trench_volume: tuple[Entry, ...]
    den_pit_volume: tuple[Entry, ...]
    body_hole_volume: tuple[Entry, ...]
    footing_volume: tuple[Entry, ...]
    seat_volume: tuple[Entry, ...]
    seat_order: Entry | None
    pipe_bedding_volume: tuple[Entry, ...]
    pipe_bedding_order: Entry | None
    link_dig_volume: tuple[Entry, ...]
    link_bank_volume: tuple[Entry, ...]
    link_line_length: tuple[Entry, ...]
    total_link_bank: Entry | None
    trench_dig_volume: Entry | None
    backfill_volume: Entry | None
    cuts: tuple[TrenchCut, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class EarthResult(Result):
    """Volumes of soil. None where there is none of it, or a problem keeps it from being worked out.

    Attributes:
        heaped: The berm and the banks outside the rim lines as they are drawn; a berm without an outline has no place.
        problems: What could not be worked out, and how to mend it.
    """

    topsoil_bank: Entry | None = None
    topsoil_loose: Entry | None = None
    subsoil_bank: Entry | None = None
    dug_loose: Entry | None = None
    machine_time: Entry | None = None
    outer_bank_volume: tuple[Entry, ...] = ()
    total_outer_bank: Entry | None = None
    left_bank: Entry | None = None
    left_loose: Entry | None = None
    left_compacted: Entry | None = None
    berm_volume: Entry | None = None
    berm_height: Entry | None = None
    berm_height_allowed: Entry | None = None
    berm_base: Entry | None = None
    berm_top: Entry | None = None
    berm_top_allowed: Entry | None = None
    berm_area: Entry | None = None
    berm_toe_clearance: tuple[Entry, ...] = ()
    haul_bank: Entry | None = None
    haul_loose: Entry | None = None
    haul_mass: Entry | None = None
    truck_loads: Entry | None = None
    heaped: tuple[Heaped, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, eq=False)
class StoneClass(Result):
    """One class of stone. Subject is the boulder's or wall's name, "pool / seat" of edging, or what it is.

    Loads are None without a truck, and where one stone alone is more than the truck takes.

    Attributes:
        count: How many stones; None where they are not counted.
    """

    count: float | None
    delivery_turn: Entry
    class_mass: Entry
    loose_volume: Entry | None
    pieces_per_load: Entry | None
    volume_per_load: Entry | None
    stone_loads: Entry | None


@dataclass(frozen=True, eq=False)
class LooseResult(Result):
    """Mass of gravel and of each bed by its volume, where no delivery of stone says more of them."""

    class_mass: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class HaulResult(Result):
    """The stone of an option as it comes: classes in the order in which they are set.

    ``total_stone_loads`` is None where the loads of a class are not known.
    """

    classes: tuple[StoneClass, ...]
    total_stone_loads: Entry | None
