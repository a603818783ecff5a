"""Result types of the lift plan: lifts in order, machine positions, and its inputs from the site."""

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
    """Excavations, structures and fills beside the pools, and site data for the machine.

    Attributes:
        structures: Structures in an excavation.
        buried: Trenches of pipe and pits of dens.
        heaped: Berm and banks.
        walls: Inputs of the walls; None if there are none.
        lined: Names of the pools with a liner.
        liner_edge: Width of liner beyond a rim [m].
        groundwater: Groundwater level [m]; None if unknown.
        soil: Soil of the site, a name in the table of soils.
        way_end: End of the way in at the dig [m]; None if not entered.
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
        index: Index of its kind in the document.
        name: Name of its kind.
        number: Number of its place, from 1.
        at: Its place [m].
        level: Level of its base [m].
        height: Greatest height of the stone [m].
        half: Half its greatest length [m].
        mass: High mass [kg].
        rests_on: Kind of boulder that it is set on; "" for the ground.
        in_basin: True if it is set inside the rim of a pool.
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
    """Pick-up, swing or set: radius [m], rated load [kg] or None, and percent of chart, inf if there is no rating or
    no capacity is left.

    ``use`` is a share of the chart's rating.
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
        """Greatest share of the chart over the phases."""
        return max(phase.use for phase in self.phases)

    @property
    def rated(self) -> bool:
        return math.isfinite(self.use)


@dataclass(frozen=True, eq=False)
class LiftingResult(Result):
    """The lift plan of an option. Subjects are "boulder number", a position, "position / pool", or a row of the chart.

    Attributes:
        lifts: The best lift of each boulder that some position has a rating for, in the order of setting.
        spots: (name, place, bearing of its tracks, staging area) of each position [m, deg].
        reach: (least, greatest) radius of the chart [m]; None without one.
        size: Distance from the centre of slewing to the furthest corner of the tracks [m].
        limit: The person's own limit on the chart, as a share.
        problems: Figures that could not be computed, why, and the remedy.
        to_fill: Values still to be read from the machine's plate, or to be entered.
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
