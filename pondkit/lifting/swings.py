"""One lift: radii and heights at pick-up, in the swing and at the place, and how far each uses the chart."""

import math
from dataclasses import dataclass

from pondkit.document.lifting import Lifting, Position
from pondkit.lifting.chart import Chart

Spot = tuple[float, float]


@dataclass(frozen=True)
class Load:
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

    load: Load
    position: int
    phases: tuple[Phase, Phase, Phase]

    @property
    def use(self) -> float:
        """Greatest use of the chart over the phases."""
        return max(phase.use for phase in self.phases)

    @property
    def rated(self) -> bool:
        return math.isfinite(self.use)


@dataclass(frozen=True)
class Footing:
    """A sound position: index in the document, levels of the ground at machine and at pick-up [m]."""

    index: int
    position: Position
    level: float
    pick_level: float


def lift(drawn: Lifting, chart: Chart, load: Load, footing: Footing) -> Lift:
    """A boulder lifted from a position, at the worst of where it comes from, where it goes, and between."""
    position = footing.position
    machine = float(position.at[0]), float(position.at[1])
    pick = float(position.pick_up[0]), float(position.pick_up[1])
    up = load.height + drawn.hook_over
    low, down = footing.pick_level - footing.level + up, load.level - footing.level + up
    # Over the highest that it comes from, goes to or passes at the machine.
    carried = max(low, down, up) + drawn.carry
    near, far = math.dist(machine, pick), math.dist(machine, load.at)
    hung = float(drawn.bucket + drawn.coupler + drawn.rigging)

    def phase(radius: float, rated: float | None) -> Phase:
        left = 0.0 if rated is None else rated - hung
        return Phase(radius, rated, load.mass / left if left > 0 else math.inf)

    return Lift(
        load,
        footing.index,
        (
            phase(near, chart.rated(near, low, carried, _over_front(drawn, position, machine, pick))),
            phase(max(near, far), chart.rated(max(near, far), carried, carried, False)),
            phase(far, chart.rated(far, down, carried, _over_front(drawn, position, machine, load.at))),
        ),
    )


def _over_front(drawn: Lifting, position: Position, machine: Spot, load: Spot) -> bool:
    bearing = math.degrees(math.atan2(load[0] - machine[0], load[1] - machine[1]))
    off = (bearing - position.facing_deg + 180) % 360 - 180
    return abs(off) <= drawn.front_within_deg + 1e-9
