"""How water runs down from pool to pool, and the levels with the pumps on and off: what comes back when they stop, and
how low the pool they draw from runs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from pondkit.core.entry import USER, entry, total, with_cautions
from pondkit.core.result import Path, Problem
from pondkit.core.sentence import words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import LENGTH, VOLUME
from pondkit.trades.pools.inputs import Link
from pondkit.trades.water.cautions import EMPTIES_AT_STOP, FILL_NO_HIGHER, RUNS_OVER_RIM, STOP_OVER_RIM
from pondkit.trades.water.formulas.channels import (
    crest_flow,
    drains_back,
    drawdown,
    head_of,
    level_after_stop,
    lowest_running_level,
    pipe_drains,
    running_level,
    water_in_transit,
)
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End
from pondkit.trades.water.pumping import PumpSystem
from pondkit.trades.water.results import LevelsResult, PoolWater

SAME = 1e-9
HIGHEST = 3.0  # m over a crest: more than any flow of pumps


@dataclass(frozen=True)
class LinkCrest:
    """The crest of one link.

    Attributes:
        index: Of the link in the document.
        name: "from – to".
        above, below: Names of the two pools.
        level: Of the crest [m].
        width: [m]
        crest, ends: Rows in the tables of crests and of their ends.
        coefficient: Of the weir formula.
        contraction: What its ends take of its width, over the head.
    """

    index: int
    name: str
    above: str
    below: str
    level: float
    width: float
    crest: str
    ends: str
    coefficient: float
    contraction: float

    def flow(self, level: float) -> float:
        """Flow over it at a level of the pool above [m³/s]."""
        return crest_flow(level - self.level, self.width, self.coefficient, self.contraction)


@dataclass(frozen=True)
class WaterCourse:
    """The pools in the order in which water runs through them, and the crests between.

    Attributes:
        bodies: By name.
        order: Names, upstream first.
        lips: Every crest.
        source: Pool that the pumps draw from.
    """

    bodies: Mapping[str, PoolWater]
    order: tuple[str, ...]
    lips: tuple[LinkCrest, ...]
    source: str


@dataclass(frozen=True)
class CourseState:
    """Water on its course: running level and inflow of each pool, flow over each crest [m, m³/s]."""

    levels: dict[str, float]
    through: dict[str, float]
    over: tuple[float, ...]


def course_of(
    links: Sequence[Link], bodies: Mapping[str, PoolWater], source: str, end: End = TYPICAL
) -> tuple[WaterCourse | None, list[Problem]]:
    """The course of an option's water; None with problems where the links make none.

    Args:
        links: As drawn; those to nowhere, to themselves and uphill are problems already and make no course.
        bodies: Every pool of the option by its name.
        source: Pool that the pumps draw from.
        end: Of the crests' coefficients: at the low one they take the most head, by their ends too.
    """
    if any(
        link.from_ not in bodies
        or link.to not in bodies
        or link.from_ == link.to
        or bodies[link.from_].level < bodies[link.to].level
        for link in links
    ):
        return None, []
    lips, problems = [], []
    for index, link in enumerate(links):
        body = bodies[link.from_]
        level = body.level if link.crest_level is None else float(link.crest_level)
        if not body.level - SAME <= level < body.rim_level:
            problems.append(_crest_problem(index, body, level))
        lips.append(crest_of(index, link, level, end))
    sorter: TopologicalSorter[str] = TopologicalSorter({name: [] for name in bodies})
    for lip in lips:
        sorter.add(lip.below, lip.above)
    try:
        order = tuple(sorter.static_order())
    except CycleError as loop:
        problems.append(_loop_problem(loop.args[1], lips))
        return None, problems
    return (None if problems else WaterCourse(bodies, order, tuple(lips), source)), problems


def crest_of(index: int, link: Link, level: float, end: End) -> LinkCrest:
    """The crest of a link at an end of the ranges of its coefficient and of what its ends take."""
    against: End = HIGH if end == LOW else LOW if end == HIGH else TYPICAL
    return LinkCrest(
        index,
        f"{link.from_} – {link.to}",
        link.from_,
        link.to,
        level,
        float(link.crest_width),
        link.crest,
        link.crest_ends,
        float(rows_by_name("trades/pools/crests")[link.crest][end]),
        float(rows_by_name("trades/pools/crest_ends")[link.crest_ends][against]),
    )


def _crest_problem(index: int, body: PoolWater, level: float) -> Problem:
    """A crest under the water at rest of the pool above it, or over its rim."""
    low = level < body.level
    where = "below the level" if low else "at or above the rim"
    mend = "raise the crest, or lower the pool's level" if low else "lower the crest, or raise the freeboard"
    return Problem(
        ("links", index, "crest_level"),
        words(
            f"its crest, {{crest}}, lies {where} of '{body.name}', {{mark}}",
            crest=(level, LENGTH),
            mark=(body.level if low else body.rim_level, LENGTH),
        ),
        words(
            "{level}, the pool's level at rest, up to below its rim, {rim}",
            level=(body.level, LENGTH),
            rim=(body.rim_level, LENGTH),
        ),
        words(mend),
    )


def _loop_problem(ring: Sequence[str], crests: Sequence[LinkCrest]) -> Problem:
    """Links that lead back to where they start."""
    at = next(crest.index for crest in crests if {crest.above, crest.below} <= set(ring))
    return Problem(
        ("links", at, "to"),
        words(f"the links run in a loop: {', '.join(ring)}"),
        words("links that lead downhill only: the pumps bring the water back up"),
        words("remove one of these links, or let it lead elsewhere"),
    )


def dead_ends(course: WaterCourse, fed: Mapping[str, Path]) -> list[Problem]:
    """Pools that water is led to and that it cannot leave; ``fed``: place of what leads to a pool, by its name."""
    problems = []
    reached = set(fed)
    for name in course.order:
        if name in reached:
            reached |= {lip.below for lip in course.lips if lip.above == name}
    for name in course.order:
        if name in reached and name != course.source and not any(lip.above == name for lip in course.lips):
            path = fed.get(name) or ("links", next(lip.index for lip in course.lips if lip.below == name), "to")
            problems.append(
                Problem(
                    path,
                    words(f"water is led to '{name}', and no link leads on from it"),
                    words(f"a way back to '{course.source}', which the pumps draw from"),
                    words("add a link from there, let the water go elsewhere, or let the pumps draw from there"),
                )
            )
    return problems


def running(course: WaterCourse, inflow: Mapping[str, float]) -> CourseState:
    """Levels and flows once nothing changes any more; the pool that the pumps draw from keeps its level at rest here.

    Args:
        course: Pools and crests.
        inflow: What pumps and filter bring to each pool [m³/s].
    """
    through = {name: max(inflow.get(name, 0.0), 0.0) for name in course.order}
    levels = {name: course.bodies[name].level for name in course.order}
    over = [0.0] * len(course.lips)
    for name in course.order:
        crests = [at for at, lip in enumerate(course.lips) if lip.above == name]
        if name == course.source or not crests or through[name] <= 0:
            continue
        level = _level([course.lips[at] for at in crests], through[name])
        levels[name] = max(level, levels[name])
        for at in crests:
            over[at] = course.lips[at].flow(level)
            through[course.lips[at].below] += over[at]
    return CourseState(levels, through, tuple(over))


def _level(lips: Sequence[LinkCrest], flow: float) -> float:
    """Level at which the crests of a pool together pass a flow [m]."""
    from scipy.optimize import brentq

    lowest = min(lip.level for lip in lips)
    if len(lips) == 1:
        crest = lips[0]
        return lowest + head_of(flow, crest.width, crest.coefficient, crest.contraction)
    return float(
        brentq(lambda level: sum(lip.flow(level) for lip in lips) - flow, lowest, lowest + HIGHEST, xtol=1e-12)
    )


@dataclass(frozen=True)
class Vessel:
    """Water above the open end of a branch that nothing stops from running back."""

    name: str
    area: float
    level: float
    port: float


def open_back(
    system: PumpSystem, bodies: Mapping[str, PoolWater], source: float
) -> tuple[list[Vessel], list[tuple[str, float, float]]]:
    """What runs back as the pumps stop: vessels above open ends, and (name, bore, length) of lines.

    Args:
        system: The lines.
        bodies: Pools by name.
        source: Level that the pumps draw from [m]: nothing runs back from below it.
    """
    drawn = system.drawn
    if all(pump.check_valve for pump in drawn.pumps):
        return [], []
    vessels, lines = [], []
    for index, branch in enumerate(drawn.branches):
        if branch.check_valve or branch.opening == 0:
            continue
        lines.append(system.branches[index])
        port = branch.outlet_level
        if port is None or system.free(index):
            continue
        end = system.ends[index]
        area = bodies[end].area if end else float(drawn.filter.area) if drawn.filter else 0.0
        depth_to = max(float(port), source)
        if system.at_rest[index] > depth_to:
            vessels.append(Vessel(branch.name, area, system.at_rest[index], depth_to))
    if system.main:
        lines.append(system.main)
    lines += [line for pump, line in zip(drawn.pumps, system.pumps, strict=True) if not pump.check_valve]
    return vessels, [(line.name, line.conduit.bore, line.conduit.length) for line in lines]


def held_up(system: PumpSystem, through: float) -> tuple[float, float]:
    """(area [m²], rise [m]) of the filter's first body, which stands higher while a flow goes through it [m³/s]."""
    drawn = system.drawn.filter
    area = float(drawn.settling_area or 0.0) if drawn else 0.0
    return area, system.bodies.loss(through)[0] if area and through > 0 else 0.0


def return_volume(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> float:
    """All water that comes back to the pool that the pumps draw from when they stop [m³]; ``through``: the filter
    [m³/s].
    """
    area, rise = held_up(system, through)
    source = course.bodies[course.source].level
    vessels, lines = open_back(system, course.bodies, source)
    return (
        sum(course.bodies[name].area * rise for name, rise in rises(course, state).items())
        + area * rise
        + sum(v.area * (v.level - v.port) for v in vessels)
        + sum(math.pi / 4 * bore**2 * length for _, bore, length in lines)
    )


def rises(course: WaterCourse, state: CourseState) -> dict[str, float]:
    """How high each pool runs above its lowest crest [m]; only pools that the water runs through."""
    found = {}
    for name in course.order:
        crests = [lip.level for lip in course.lips if lip.above == name]
        if name != course.source and crests and state.through[name] > 0:
            found[name] = state.levels[name] - min(crests)
    return found


def levels(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> LevelsResult:
    """Figures of the levels, once all is in balance; ``through``: flow through the filter [m³/s]."""
    source = course.bodies[course.source]
    vessels, lines = open_back(system, course.bodies, source.level)
    risen = rises(course, state)
    transit = [
        entry(water_in_transit, name, surface_area=course.bodies[name].area, rise=rise) for name, rise in risen.items()
    ]
    area, rise = held_up(system, through)
    if rise > 0:
        transit.append(entry(water_in_transit, "filter", surface_area=area, rise=rise))
    back = [
        entry(
            drains_back,
            v.name,
            source=USER,
            surface_area=v.area,
            water_level=v.level,
            port_level=v.port,
            cautions=[EMPTIES_AT_STOP()],
        )
        for v in vessels
    ]
    pipes = [entry(pipe_drains, name, bore=bore, length=length) for name, bore, length in lines]
    whole = total(source.name, [*transit, *back, *pipes], VOLUME)
    fall = entry(drawdown, source.name, return_volume=whole, surface_area=source.area)
    stop = entry(level_after_stop, source.name, source=USER, level=source.level, drawdown=fall)
    if stop.value > source.rim_level:
        stop = with_cautions(stop, STOP_OVER_RIM(over=(stop.value - source.rim_level, LENGTH)))
    low = entry(
        lowest_running_level,
        source.name,
        source=USER,
        level=source.level,
        drawdown=fall,
        cautions=[FILL_NO_HIGHER()],
    )
    rising = []
    for name, rise in risen.items():
        body = course.bodies[name]
        crest = min(lip.level for lip in course.lips if lip.above == name)
        figure = entry(running_level, name, source=USER, level=crest, rise=rise)
        if figure.value > body.rim_level:
            figure = with_cautions(figure, RUNS_OVER_RIM(over=(figure.value - body.rim_level, LENGTH)))
        rising.append(figure)
    return LevelsResult((*rising, low), tuple(transit), tuple(back), tuple(pipes), whole, fall, stop)
