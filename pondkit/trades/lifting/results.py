"""Result types of the lift plan, and what it takes from other trades (``LiftSite``)."""

import math
from dataclasses import dataclass
from typing import NamedTuple

from pondkit.core.entry import Entry
from pondkit.core.result import Problem, Result, ToFill
from pondkit.geometry.mound import Heaped
from pondkit.geometry.trench import TrenchCut
from pondkit.trades.earthwork.results import Structure
from pondkit.trades.walls.inputs import Walls

Place = tuple[float, float]  # east and north on the site [m]


@dataclass(frozen=True)
class LiftSite:
    """What the machine must keep clear of besides the pools, and the site that it works on.

    Attributes:
        structures: Structures in an excavation.
        buried: Trenches of pipe and pits of dens.
        heaped: Berm and banks.
        walls: Inputs of the walls; None if there are none.
        lined: Names of the pools with a liner.
        liner_edge: How far a liner reaches beyond the rim, in plan [m].
        groundwater: Site level of the groundwater [m]; None if unknown.
        soil: Soil of the site, a name in the table of soils.
        way_in: Where the way in ends at the dig [m]; None if it is not drawn.
    """

    structures: tuple[Structure, ...]
    buried: tuple[TrenchCut, ...]
    heaped: tuple[Heaped, ...]
    walls: Walls | None
    lined: frozenset[str]
    liner_edge: float
    groundwater: float | None
    soil: str
    way_in: Place | None


@dataclass(frozen=True)
class LiftLoad:
    """One boulder to lift and set.

    Attributes:
        index: Index of its kind among the boulders of the project file.
        name: Name of its kind.
        number: Number of its place, from 1.
        at: Its place [m].
        level: Site level of its base [m].
        height: Greatest height of the stone [m].
        half_length: Half its greatest length [m].
        mass: High mass [kg].
        rests_on: Kind of boulder that it is set on; "" for the ground.
        in_basin: True if it is set inside the rim of a pool.
    """

    index: int
    name: str
    number: int
    at: Place
    level: float
    height: float
    half_length: float
    mass: float
    rests_on: str
    in_basin: bool = False

    @property
    def subject(self) -> str:
        return f"{self.name} {self.number}"


@dataclass(frozen=True)
class Phase:
    """Pick-up, swing or set of one lift.

    Attributes:
        when: Its name as a caution says it, such as "in the swing".
        radius: Radius of the load point [m].
        rated_load: Rated load of the chart there [kg]; None outside the chart.
        use: Mass of the stone over what the rated load leaves for it; inf if that is nothing, or if there is no rating.
    """

    when: str
    radius: float
    rated_load: float | None
    use: float


class Phases(NamedTuple):
    """The phases of one lift, in order."""

    pick_up: Phase
    swing: Phase
    at_set: Phase


@dataclass(frozen=True)
class Lift:
    """One boulder lifted from one position.

    Attributes:
        load: The boulder.
        position: Index of the position in the order entered.
        phases: Its phases.
    """

    load: LiftLoad
    position: int
    phases: Phases

    @property
    def use(self) -> float:
        """The greatest use of its phases."""
        return max(phase.use for phase in self.phases)

    @property
    def is_rated(self) -> bool:
        """True if the chart has a rating for every phase that leaves something for the stone."""
        return math.isfinite(self.use)


class MachinePosition(NamedTuple):
    """A position of the machine as entered: places on the site [m], bearing of its tracks [degrees]."""

    name: str
    at: Place
    facing_deg: float
    pick_up: Place


@dataclass(frozen=True, eq=False)
class LiftingResult(Result):
    """The lift plan of an option. Subjects are "name number" for a boulder, a position, "position / dig", or a row of
    the chart.

    Attributes:
        lifts: The best lift of each boulder that some position has a rating for, in setting order.
        positions: Every position, in the order entered.
        reach: (least, greatest) radius of the chart [m]; None without one.
        limit: The limit entered for the use of the chart, as a share.
        size: Distance from the centre of slewing to the furthest corner of the tracks [m].
        problems: What keeps figures from being computed, and the mend.
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
    positions: tuple[MachinePosition, ...]
    reach: tuple[float, float] | None
    limit: float
    size: float
    problems: tuple[Problem, ...]
    to_fill: tuple[ToFill, ...] = ()
