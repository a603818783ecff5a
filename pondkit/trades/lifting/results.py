"""Results of the lift plan: lifts in their order, where the machine stands, and what it must know of the site."""

import math
from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.geometry.mound import Heaped
from pondkit.geometry.trench import TrenchCut
from pondkit.trades.earthwork.results import Structure
from pondkit.trades.walls.inputs import Walls

Spot = tuple[float, float]


@dataclass(frozen=True)
class LiftSite:
    """What is dug, built and heaped beside the pools, and the site as a machine meets it.

    Attributes:
        structures: What stands in an excavation.
        buried: Trenches of pipe and pits of dens.
        heaped: Berm and banks.
        walls: As drawn; None without any.
        lined: Names of the pools that lie on a liner.
        liner_edge: How far beyond a rim a liner reaches [m].
        groundwater: Its level [m]; None where it is not known.
        soil: Name in the table of soils.
        way_end: Where the way in ends, at the dig [m]; None where it is not drawn.
    """

    structures: tuple[Structure, ...]
    buried: tuple[TrenchCut, ...]
    heaped: tuple[Heaped, ...]
    walls: Walls | None
    lined: frozenset[str]
    liner_edge: float
    groundwater: float | None
    soil: str
    way_end: Spot | None


@dataclass(frozen=True)
class LiftLoad:
    """One boulder to be set.

    Attributes:
        index: Of its kind in the document.
        name: Of its kind.
        number: Of its place, from 1.
        at: Where it is set [m].
        level: Of what it is set on [m].
        height: Of the stone at most [m].
        half: Half its length at most [m].
        mass: The high one [kg].
        rests_on: Kind of boulder that it is set on; "" for the ground.
        in_basin: True where it is set inside the rim of a pool.
    """

    index: int
    name: str
    number: int
    at: Spot
    level: float
    height: float
    half: float
    mass: float
    rests_on: str
    in_basin: bool = False

    @property
    def subject(self) -> str:
        return f"{self.name} {self.number}"


@dataclass(frozen=True)
class Phase:
    """Pick-up, swing or place: radius [m], the rating that holds there [kg], None where there is none, and its use.

    The use is inf where there is no rating, or nothing is left of it.
    """

    radius: float
    rated: float | None
    use: float


@dataclass(frozen=True)
class Lift:
    """One boulder lifted from one position: phases in order pick-up, swing, place."""

    load: LiftLoad
    position: int
    phases: tuple[Phase, Phase, Phase]

    @property
    def use(self) -> float:
        """Greatest use of the chart over the phases."""
        return max(phase.use for phase in self.phases)

    @property
    def rated(self) -> bool:
        return math.isfinite(self.use)


@dataclass(frozen=True, eq=False)
class LiftingResult(Result):
    """The lift plan of an option. Subjects are "boulder number", a position, "position / pool", or a row of the chart.

    Attributes:
        lifts: The best lift of each boulder that some position has a rating for, in the order of setting.
        spots: (name, machine at, bearing it faces, stones wait at) of each position [m, deg].
        reach: (least, greatest) radius of the chart [m]; None without one.
        size: From the middle of slewing to the furthest corner of the tracks [m].
        limit: The person's own limit on the chart, as a share.
        problems: What could not be worked out, and how to mend it.
        to_fill: What is still to be read off the machine's plate, or to be drawn.
    """

    boulders_not_lifted: Entry | None
    lift_turn: tuple[Entry, ...]
    lift_radius: tuple[Entry, ...]
    pick_use: tuple[Entry, ...]
    swing_use: tuple[Entry, ...]
    place_use: tuple[Entry, ...]
    chart_rated: tuple[Entry, ...]
    set_back_spare: tuple[Entry, ...]
    way_out_stones: tuple[Entry, ...]
    lifts: tuple[Lift, ...]
    spots: tuple[tuple[str, tuple[float, float], float, tuple[float, float]], ...]
    reach: tuple[float, float] | None
    limit: float
    size: float
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()
