"""Results of earthwork: excavation, structures, stream beds, and the soil they leave."""

from dataclasses import dataclass

import numpy as np

from pondkit.core.entry import Entry
from pondkit.core.result import Path, Problem, Result
from pondkit.core.sentence import Words
from pondkit.geometry.ditch import Ditch, Spot
from pondkit.geometry.hole import Hole
from pondkit.geometry.mound import Heaped
from pondkit.geometry.trench import TrenchCut
from pondkit.trades.earthwork.results.crew import Level
from pondkit.trades.pools.inputs import Link
from pondkit.trades.tunnels.results import DenBox


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
class HaulResult(Result):
    """The stone of an option as it comes: classes in the order in which they are set.

    ``total_stone_loads`` is None where the loads of a class are not known.
    """

    classes: tuple[StoneClass, ...]
    total_stone_loads: Entry | None
