"""Watercourse from pool to pool, and its levels with pumps on and off: return volume at a stop, and drawdown of the
pool that the pumps draw from.
"""

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
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End, PipeLine
from pondkit.trades.water.pumping import PumpSystem
from pondkit.trades.water.results import LevelsResult, PoolWater

SAME = 1e-9
HIGHEST = 3.0  # m over a crest: more than any flow of pumps


@dataclass(frozen=True)
class LinkCrest:
    """The crest of one link.

    Attributes:
        index: Index of the link in the document.
        name: "from – to".
        above, below: Names of the upper and lower pool.
        level: Level of the crest [m].
        width: Width of the crest [m].
        crest, ends: Rows in the tables of crests and of their ends.
        coefficient: Discharge coefficient of the weir formula.
        contraction: Reduction of its width by both ends together, per unit of head.
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
        """Flow over the crest [m³/s] for a level of the upper pool [m]."""
        return crest_flow(level - self.level, self.width, self.coefficient, self.contraction)


@dataclass(frozen=True)
class WaterCourse:
    """Pools in the order in which water runs through them, and the crests between them.

    Attributes:
        bodies: Pools by name.
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
    """State of the watercourse: running level [m] and inflow [m³/s] of each pool, flow over each crest [m³/s]."""

    levels: dict[str, float]
    through: dict[str, float]
    over: tuple[float, ...]


def course_of(
    links: Sequence[Link], bodies: Mapping[str, PoolWater], source: str, end: End = TYPICAL
) -> tuple[WaterCourse | None, list[Problem]]:
    """Watercourse of an option; None with problems if the links do not form one.

    Args:
        links: Inputs of the links. Those to no pool, to the same pool and uphill are problems already and are left out.
        bodies: Every pool of the option by its name.
        source: Pool that the pumps draw from.
        end: End of the ranges of the crest coefficients; the low one gives the highest heads.
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
    """Crest of a link, for one end of the ranges of its discharge coefficient and end contractions."""
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
    """Problem of a crest below the water at rest of the pool above it, or above its rim."""
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
    """Problem of links that form a closed loop."""
    index = next(crest.index for crest in crests if {crest.above, crest.below} <= set(ring))
    return Problem(
        ("links", index, "to"),
        words(f"the links run in a loop: {', '.join(ring)}"),
        words("links that lead downhill only: the pumps bring the water back up"),
        words("remove one of these links, or let it lead elsewhere"),
    )


def dead_ends(course: WaterCourse, fed: Mapping[str, Path]) -> list[Problem]:
    """Problems of pools with an inflow but no outlet. ``fed``: path of what feeds each pool, by the pool's name."""
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
    """Steady levels and flows; the pool that the pumps draw from keeps its level at rest here.

    Args:
        course: Pools and crests.
        inflow: Flow from pumps and filter to each pool [m³/s].
    """
    through = {name: max(inflow.get(name, 0.0), 0.0) for name in course.order}
    levels = {name: course.bodies[name].level for name in course.order}
    over = [0.0] * len(course.lips)
    for name in course.order:
        crests = [index for index, lip in enumerate(course.lips) if lip.above == name]
        if name == course.source or not crests or through[name] <= 0:
            continue
        level = _level([course.lips[index] for index in crests], through[name])
        levels[name] = max(level, levels[name])
        for index in crests:
            over[index] = course.lips[index].flow(level)
            through[course.lips[index].below] += over[index]
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
class DrainingWater:
    """Water that drains back at a stop through a branch without check valve, whose open end is under it.

    Attributes:
        branch: Name of the branch.
        area: Water surface of the pool, or of the filter [m²].
        level: Its level at rest [m].
        open_end: Level down to which it drains [m].
    """

    branch: str
    area: float
    level: float
    open_end: float


def drain_back(
    system: PumpSystem, pools: Mapping[str, PoolWater], drawn_from: float
) -> tuple[list[DrainingWater], list[PipeLine]]:
    """What drains back when the pumps stop: (water over open ends, lines that run empty).

    Of several branches that end under the water of one pool only the lowest counts: it drains the pool as far as all of
    them together.

    Args:
        system: Pumps and lines.
        pools: Pools by name.
        drawn_from: Level at rest of the pool that the pumps draw from [m]; no water below it drains back.
    """
    water = system.drawn
    if all(pump.check_valve for pump in water.pumps):
        return [], []
    draining: dict[str, DrainingWater] = {}  # by the pool; "" is the filter
    lines = []
    for index, branch in enumerate(water.branches):
        if branch.check_valve or branch.opening == 0:
            continue
        lines.append(system.branches[index])
        if branch.outlet_level is None or system.free(index):
            continue
        end = system.ends[index]
        area = pools[end].area if end else float(water.filter.area) if water.filter else 0.0
        open_end = max(float(branch.outlet_level), drawn_from)
        lowest = draining[end].open_end if end in draining else system.at_rest[index]
        if open_end < lowest:
            draining[end] = DrainingWater(branch.name, area, system.at_rest[index], open_end)
    if system.main:
        lines.append(system.main)
    lines += [line for pump, line in zip(water.pumps, system.pumps, strict=True) if not pump.check_valve]
    return list(draining.values()), lines


def held_up(system: PumpSystem, through: float) -> tuple[float, float]:
    """(area [m²], rise [m]) of the filter's first body, whose level rises with the flow through it [m³/s]."""
    filter_part = system.drawn.filter
    area = float(filter_part.settling_area or 0.0) if filter_part else 0.0
    return area, system.bodies.loss(through)[0] if area and through > 0 else 0.0


def return_volume(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> float:
    """Volume that returns to the pool drawn from when the pumps stop [m³]; ``through``: flow through
    the filter [m³/s].
    """
    area, rise = held_up(system, through)
    source = course.bodies[course.source].level
    draining, lines = drain_back(system, course.bodies, source)
    return (
        sum(course.bodies[name].area * rise for name, rise in rises(course, state).items())
        + area * rise
        + sum(water.area * (water.level - water.open_end) for water in draining)
        + sum(math.pi / 4 * line.conduit.bore**2 * line.conduit.length for line in lines)
    )


def rises(course: WaterCourse, state: CourseState) -> dict[str, float]:
    """Rise of each pool's running level above its lowest crest [m], for pools with a flow."""
    rises_by_pool = {}
    for name in course.order:
        crests = [lip.level for lip in course.lips if lip.above == name]
        if name != course.source and crests and state.through[name] > 0:
            rises_by_pool[name] = state.levels[name] - min(crests)
    return rises_by_pool


def levels(system: PumpSystem, course: WaterCourse, state: CourseState, through: float) -> LevelsResult:
    """Figures of the levels in equilibrium; ``through``: flow through the filter [m³/s]."""
    source = course.bodies[course.source]
    draining, lines = drain_back(system, course.bodies, source.level)
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
            water.branch,
            source=USER,
            surface_area=water.area,
            water_level=water.level,
            open_end=water.open_end,
            cautions=[EMPTIES_AT_STOP()],
        )
        for water in draining
    ]
    pipes = [entry(pipe_drains, line.name, bore=line.conduit.bore, length=line.conduit.length) for line in lines]
    return_total = total(source.name, [*transit, *back, *pipes], VOLUME)
    fall = entry(drawdown, source.name, return_volume=return_total, surface_area=source.area)
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
    return LevelsResult((*rising, low), tuple(transit), tuple(back), tuple(pipes), return_total, fall, stop)
