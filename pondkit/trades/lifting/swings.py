"""One lift: radii and heights at pick-up, in the swing and at the place, and how far each uses the chart."""

import math
from dataclasses import dataclass

from pondkit.core.entry import Entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.trades.lifting.chart import Chart, chart_of
from pondkit.trades.lifting.inputs import Lifting
from pondkit.trades.lifting.results import Lift, LiftLoad, Phase, Spot


@dataclass(frozen=True)
class Stance:
    """A sound position: index in the document, where machine and waiting stones stand [m], which way its tracks face
    [degrees clockwise from north], levels of the ground at both [m]."""

    index: int
    at: Spot
    pick_up: Spot
    facing: float
    level: float
    pick_level: float


@dataclass(frozen=True, eq=False)
class Machine:
    """The machine by itself: its limits and sizes as entered, and its chart, with what is wrong
    with that; None where there is none.

    Attributes:
        raw: Rated loads worked out from raw ones.
    """

    drawn: Lifting
    chart: Chart | None
    raw: tuple[Entry, ...]
    problems: tuple[Problem, ...]


@remembered
def machine_of(drawn: Lifting) -> Machine:
    """The machine of a lift plan; of its positions nothing is read."""
    return Machine(drawn, *chart_of(drawn.chart))


@remembered
def best(rig: Machine, load: LiftLoad, footings: tuple[Stance, ...]) -> Lift:
    """A boulder lifted from the position that uses the chart least, of a machine that has one."""
    chart = rig.chart
    assert chart is not None
    return min((lift(rig.drawn, chart, load, footing) for footing in footings), key=lambda each: each.use)


def heights(drawn: Lifting, load: LiftLoad, footing: Stance) -> tuple[float, float, float]:
    """Of the load point over the machine's ground [m]: at pick-up, at the place, and as it is carried between."""
    up = load.height + drawn.hook_over
    low, down = footing.pick_level - footing.level + up, load.level - footing.level + up
    # Over the highest that it comes from, goes to or passes at the machine.
    return low, down, max(low, down, up) + drawn.carry


def lift(drawn: Lifting, chart: Chart, load: LiftLoad, footing: Stance) -> Lift:
    """A boulder lifted from a position, at the worst of where it comes from, where it goes, and between."""
    machine, pick = footing.at, footing.pick_up
    low, down, carried = heights(drawn, load, footing)
    near, far = math.dist(machine, pick), math.dist(machine, load.at)
    hung = float(drawn.bucket + drawn.coupler + drawn.rigging)

    def phase(radius: float, rated: float | None) -> Phase:
        left = 0.0 if rated is None else rated - hung
        return Phase(radius, rated, load.mass / left if left > 0 else math.inf)

    return Lift(
        load,
        footing.index,
        (
            phase(near, chart.rated(near, low, carried, _over_front(drawn, footing, pick))),
            phase(max(near, far), chart.rated(max(near, far), carried, carried, False)),
            phase(far, chart.rated(far, down, carried, _over_front(drawn, footing, load.at))),
        ),
    )


def _over_front(drawn: Lifting, footing: Stance, load: Spot) -> bool:
    bearing = math.degrees(math.atan2(load[0] - footing.at[0], load[1] - footing.at[1]))
    off = (bearing - footing.facing + 180) % 360 - 180
    return abs(off) <= drawn.front_within_deg + 1e-9
