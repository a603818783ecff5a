"""Result types of the earthwork, first what the crew digs by (levels, setting out, as-built survey), then what is dug
and built (structures, trenches, stream beds, soil) and how stone is delivered.
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
    """One level to dig to.

    Attributes:
        row: Its name, such as "Upper pool: tier 2 floor" or "Den: pit".
        kind: "rim", "seat" (of edging), "floor" (of a tier), "hole" (of a body, wall or den), "trench", "bed" (of a
            stream) or "crest". It decides the tolerance and the cautions.
        finished, dig: Level of the finished surface, and of the dig under it, above the site datum [m]; None if there
            is none.
    """

    row: str
    kind: str
    finished: float | None
    dig: float | None


@dataclass(frozen=True, eq=False)
class LevelRows(Result):
    """Levels of one pool, or of all holes, trenches, beds or crests; low and high of each are its tolerance.

    Attributes:
        levels: The levels.
        finished_level, dig_level: An entry for each level that there is; its subject is the row.
        rod_dig, rod_finished: The rod readings to be had on them; empty if the height of instrument is unknown.
    """

    levels: tuple[Level, ...]
    finished_level: tuple[Entry, ...]
    dig_level: tuple[Entry, ...]
    rod_dig: tuple[Entry, ...]
    rod_finished: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class Levels(Result):
    """Levels to dig to, in digging order.

    Attributes:
        cut_to_level: Cut remaining at every rod reading entered; negative for fill.
        groups: Levels in digging order, see ``compute.levels.groups``.
        tolerances: Tolerance of the level read, one for each entry of ``cut_to_level`` [m].
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Values still to be read.
    """

    height_of_instrument: Entry | None
    cut_to_level: tuple[Entry, ...]
    groups: tuple[LevelRows, ...]
    tolerances: tuple[float, ...]
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()

    @property
    def levels(self) -> tuple[Level, ...]:
        """The levels of all groups."""
        return tuple(level for group in self.groups for level in group.levels)


LEAST_ANGLE, MOST_ANGLE = 30.0, 150.0  # degrees: tapes that cross at a flatter angle do not fix a point
# Kinds of staked lines: where the dig meets the ground; the finished waterline; everything else that is dug.
DAYLIGHT, WATERLINE, DUG = "dig meets the ground", "waterline", "edges and trenches as dug"
MARKING_ORDER = (DAYLIGHT, WATERLINE, DUG)


@dataclass(frozen=True, eq=False)
class StakedLine:
    """One closed line with its points to set out.

    Attributes:
        kind: DAYLIGHT, WATERLINE or DUG.
        name: Which line of which pool or structure, such as "waterline: Upper pool".
        ring: The line on the site, shape (n, 2) [m].
        points: Points to stake along it, shape (k, 2) [m].
        unsurveyed: True if part of it lies outside the survey.
    """

    kind: str
    name: str
    ring: Array
    points: Array
    unsurveyed: bool = False


@dataclass(frozen=True)
class StakedPoint:
    """One point to be set out: lengths in metres, angles in degrees.

    Attributes:
        number: Number of the point, from 1 through all lines.
        line: Index of its line in ``SettingOut.lines``.
        east, north: Place on the site.
        tape_a, tape_b: Level tape lengths from stakes A and B.
        side: "left" or "right" of the baseline as seen from A towards B, or "on" it.
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
        """True if two tapes fix the point well."""
        return LEAST_ANGLE <= self.crossing <= MOST_ANGLE


@dataclass(frozen=True, eq=False)
class SettingOut(Result):
    """Lines and points to set out from two stakes.

    Attributes:
        mark_length, mark_count: Length of each line, and number of its points.
        not_by_tapes: For each line that has such points: how many two tapes do not fix.
        stakes: Inputs of the stakes.
        lines: Lines in marking order: first where the dig meets the ground.
        points: All points in order.
        problems: Figures that could not be computed, why, and the remedy.
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
    """A level measured in the dig, and the design level there.

    Attributes:
        number: Its number in the list entered, from 1.
        measured: Its inputs.
        level, design: Measured and design level of the dig above the site datum [m].
        water: For a place on the bank, outside the waterline: level of its pool's water at rest [m]. None for a place
            inside the waterline.
    """

    number: int
    measured: Measured
    level: float
    design: float
    water: float | None = None

    @property
    def over(self) -> float:
        """Height above the design level [m]; negative if dug too deep."""
        return self.level - self.design


@dataclass(frozen=True, eq=False)
class SurveyedLevels:
    """Usable surveyed levels, and problems of the others."""

    levels: tuple[SurveyedLevel, ...]
    problems: tuple[Problem, ...]

    def inside(self, pool: str) -> list[SurveyedLevel]:
        """Surveyed levels inside the waterline of a pool."""
        return [level for level in self.levels if level.measured.pool == pool and level.water is None]

    def correction(self, pool: str) -> Correction | None:
        """Deviation of a pool's dig from design, from its levels inside the waterline; None if there are none."""
        inside = self.inside(pool)
        places = tuple((float(level.measured.at[0]), float(level.measured.at[1])) for level in inside)
        return Correction(places, tuple(level.over for level in inside)) if inside else None


@dataclass(frozen=True, eq=False)
class TapedLine:
    """One tape line over the dig.

    Attributes:
        tape: Its inputs.
        design, as_built: The line over ground and dig, by the drawing and by the levels measured.
        over_liner: The line over the liner's surface as built.
        edge: Width of liner beyond the rim [m].
        mean_error: Sum of the tolerances of its pools' mean levels [m]; 0 if the line was taped.
    """

    tape: Tape
    design: Way
    as_built: Way
    over_liner: Way
    edge: float
    mean_error: float

    @property
    def tape_excess(self) -> float:
        """Tape length less the length that the levels measured give [m]; 0 if the line was not taped."""
        return float(self.tape.taped) - self.as_built.length if self.tape.taped is not None else 0.0


@dataclass(frozen=True, eq=False)
class AsBuilt(Result):
    """As-built survey of the dig. Subjects are pools, liners or tape lines.

    Attributes:
        dug_difference: Deviations of levels, tapes and liner sizes from design, the largest first.
        levels: Levels surveyed, for pictures.
        lines: Tape lines, for pictures.
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Levels still to be read.
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
    """Results for the crew: levels, setting out, as-built survey."""

    levels: Levels
    setting_out: SettingOut | None
    as_built: AsBuilt | None

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Figures that could not be computed, why, and the remedy."""
        parts = (self.levels, self.setting_out, self.as_built)
        return tuple(problem for part in parts if part is not None for problem in part.problems)

    @property
    def to_fill(self) -> tuple[ToFill, ...]:
        """Values still to be read on site."""
        return (*self.levels.to_fill, *(self.as_built.to_fill if self.as_built else ()))


@dataclass(frozen=True)
class Structure:
    """A structure in the ground: a body of the water side, or a wall.

    Attributes:
        path: Its path in the option.
        hole: Its excavation, down to the bottom of its bedding.
        body: Its own plan, down to its base.
        seat: Thickness of the bedding under it [m].
        wall: True for a wall, False for a body of the water side (basin, pump pit, filter).
        rim: Level of the top of a body's sides [m]; None if not entered, and for a wall.
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
    """Structures in the ground, and problems of the others."""

    each: tuple[Structure, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, eq=False)
class PipeTrenches:
    """Trenches of pipe and pits of dens.

    Attributes:
        runs: (outside diameter of the pipe [m], trench) of each run.
        pits: (box, pit) of each den.
        bedding: Thickness of the bedding under all of them [m].
        whole: False if the tunnels have a problem, so that some may be missing.
    """

    runs: tuple[tuple[float, TrenchCut], ...]
    pits: tuple[tuple[DenBox, TrenchCut], ...]
    bedding: float = 0.0
    whole: bool = True

    @property
    def cuts(self) -> tuple[TrenchCut, ...]:
        """Trenches of the runs, then pits of the dens."""
        return (*(cut for _, cut in self.runs), *(cut for _, cut in self.pits))


@dataclass(frozen=True)
class StreamBed:
    """The stream bed of one link, with its excavation and fill.

    Attributes:
        index, number: Index of the link in the option, and its number among the links that leave the upper pool, from
            1.
        name: "from – to".
        link: Inputs of the link.
        line: Centre line of its finished bed, from the upper waterline down, (east, north, level) [m].
        crest: Index of the crest in that line.
        half_width: Half width of the bed as dug [m]; negative if the sides meet above that depth, in a V.
        batter: Batter of its sides.
        lowered: Depth of the cut below the finished bed [m].
        cut: Its excavation.
        bank: Its fill, as an inverted excavation.
        notes, bank_notes: Remarks on cut and fill.
    """

    index: int
    number: int
    name: str
    link: Link
    line: tuple[Spot, ...]
    crest: int
    half_width: float
    batter: float
    lowered: float
    cut: Ditch
    bank: Ditch
    notes: tuple[Words, ...]
    bank_notes: tuple[Words, ...]

    @property
    def length(self) -> float:
        """Level length of its line [m]."""
        return level_length(self.line)

    @property
    def dig_levels(self) -> tuple[float, ...]:
        """Level of the bottom of the excavation at each place of the line [m]."""
        # Where the sides meet above the depth wanted, the cut is a V that goes no deeper than where they meet.
        sides_meet = self.cut.sides[0][1]
        return tuple(level + sides_meet for _, _, level in self.cut.line)

    def levels(self, upper: str) -> tuple[Level, ...]:
        """Levels of its bed at the crest, at the places of its line, and at the lower waterline."""
        names = bed_rows(upper, self.number, len(self.line) - self.crest - 2)
        levels = zip(names, self.line[self.crest :], self.dig_levels[self.crest :], strict=True)
        return tuple(Level(name, "bed", finished, dig) for name, (_, _, finished), dig in levels)


def level_length(line: tuple[Spot, ...]) -> float:
    """Length of a line in plan [m]."""
    return float(np.sum(np.linalg.norm(np.diff(np.array(line)[:, :2], axis=0), axis=1)))


def bed_rows(upper: str, number: int, places: int) -> list[str]:
    """Rows of the levels of one stream bed.

    Args:
        upper: Name of the pool that it leaves.
        number: Its number among the links that leave that pool, from 1.
        places: Number of places entered between its crest and the lower pool.
    """
    return [
        f"{upper}: bed {number}, crest",
        *(f"{upper}: bed {number}, place {index}" for index in range(1, places + 1)),
        f"{upper}: bed {number}, lower end",
    ]


@dataclass(frozen=True, eq=False)
class StreamBeds:
    """Stream beds of all links. A link whose pools meet at its crest has none.

    Attributes:
        each: The beds.
        problems: Problems of the links that have none for that reason.
        whole: False if a link has no bed because of a problem of its own or of its pools.
        outer: Banks outside the rims of the pools, which the banks along links join.
        any_link: True if there is any link.
    """

    each: tuple[StreamBed, ...]
    problems: tuple[Problem, ...]
    whole: bool
    outer: tuple[Hole, ...] = ()
    any_link: bool = True


@dataclass(frozen=True, eq=False)
class ExcavationResult(Result):
    """Excavation besides the pools. Subjects are names of runs, dens, bodies and walls, and "from – to" of links.
    Totals are None if a part has a problem.

    Attributes:
        cuts: Trenches of the runs and pits of the dens.
        problems: Figures that could not be computed, why, and the remedy.
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
    """Soil balance. A field is None if there is no such soil, or if a problem keeps it from being worked out.

    Attributes:
        heaped: Plans of the berm and of the banks outside the rim lines; a straight berm has none.
        problems: Figures that could not be computed, why, and the remedy.
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
    """One class of stone, as it is ordered and delivered. The subject is the name of the boulder or wall, "pool / seat"
    for edging, or the material.

    Loads are None without a truck, or if a single stone is more than the truck takes.

    Attributes:
        count: Number of stones; None if not ordered by number.
    """

    count: float | None
    delivery_turn: Entry
    class_mass: Entry
    loose_volume: Entry | None
    pieces_per_load: Entry | None
    volume_per_load: Entry | None
    stone_loads: Entry | None


@dataclass(frozen=True, eq=False)
class BulkStone(Result):
    """Mass of gravel, crushed stone and bedding, from their volumes. If deliveries are entered, ``HaulResult`` has them
    instead.
    """

    class_mass: tuple[Entry, ...]


@dataclass(frozen=True, eq=False)
class HaulResult(Result):
    """Stone deliveries of an option: classes in the order in which they are set.

    ``total_stone_loads`` is None if the loads of a class are unknown.
    """

    classes: tuple[StoneClass, ...]
    total_stone_loads: Entry | None
