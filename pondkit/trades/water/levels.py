"""The watercourse from pool to pool, and its levels with the pumps on and off: water that returns at a stop, and
drawdown of the pool that the pumps draw from.
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
from pondkit.trades.water.formulas.open_water import (
    crest_flow,
    crest_head,
    drains_back,
    drawdown,
    level_after_stop,
    lowest_running_level,
    pipe_drains,
    running_level,
    water_in_transit,
)
from pondkit.trades.water.lines import TYPICAL, Case, LineConduit, opposite
from pondkit.trades.water.pumping import PumpSystem
from pondkit.trades.water.results import LevelsResult, PoolWater

SAME = 1e-9  # m: a crest lower than the water at rest by less is level with it
MOST_HEAD = 3.0  # m: head over a crest up to which its level is looked for at first


@dataclass(frozen=True)
class LinkCrest:
    """The crest of one link.

    Attributes:
        index: Index of the link in the document.
        name: "from – to".
        above, below: Names of the upper and lower pool.
        level: Level of the crest [m].
        width: Width of the crest [m].
        kind, ends: Its rows in the tables of crests and of their ends.
        coefficient: Discharge coefficient of the weir formula.
        contraction: Width lost at both ends together, per unit of head.
    """

    index: int
    name: str
    above: str
    below: str
    level: float
    width: float
    kind: str
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
        pools: Every pool by its name.
        order: Their names, upstream first.
        crests: Every crest, in the order of the links.
        source: Name of the pool that the pumps draw from.
    """

    pools: Mapping[str, PoolWater]
    order: tuple[str, ...]
    crests: tuple[LinkCrest, ...]
    source: str


@dataclass(frozen=True)
class CourseState:
    """A steady state of the watercourse.

    Attributes:
        levels: Running level of each pool by its name [m].
        through: Inflow of each pool by its name [m³/s].
        over_crests: Flow over each crest, in the order of the crests [m³/s].
    """

    levels: dict[str, float]
    through: dict[str, float]
    over_crests: tuple[float, ...]


def course_of(
    links: Sequence[Link], pools: Mapping[str, PoolWater], source: str, case: Case = TYPICAL
) -> tuple[WaterCourse | None, list[Problem]]:
    """Watercourse of an option; None with problems if the links do not form one.

    Args:
        links: Inputs of the links. If one leads to no pool, to its own pool or uphill, that is a problem already, and
            there is no watercourse.
        pools: Every pool of the option by its name.
        source: Name of the pool that the pumps draw from.
        case: For which of the crest coefficients; the low ones give the highest heads.
    """
    if any(
        link.from_ not in pools
        or link.to not in pools
        or link.from_ == link.to
        or pools[link.from_].level < pools[link.to].level
        for link in links
    ):
        return None, []
    crests, problems = [], []
    for index, link in enumerate(links):
        pool = pools[link.from_]
        level = pool.level if link.crest_level is None else float(link.crest_level)
        if not pool.level - SAME <= level < pool.rim_level:
            problems.append(_crest_problem(index, pool, level))
        crests.append(crest_of(index, link, level, case))
    sorter: TopologicalSorter[str] = TopologicalSorter({name: [] for name in pools})
    for crest in crests:
        sorter.add(crest.below, crest.above)
    try:
        order = tuple(sorter.static_order())
    except CycleError as loop:
        problems.append(_loop_problem(loop.args[1], crests))
        return None, problems
    return (None if problems else WaterCourse(pools, order, tuple(crests), source)), problems


def crest_of(index: int, link: Link, level: float, case: Case) -> LinkCrest:
    """Crest of a link. The least coefficient goes with the greatest contraction: both raise the head.

    Args:
        index: Index of the link in the document.
        link: Inputs of the link.
        level: Level of its crest [m].
        case: For which of its coefficients.
    """
    return LinkCrest(
        index=index,
        name=f"{link.from_} – {link.to}",
        above=link.from_,
        below=link.to,
        level=level,
        width=float(link.crest_width),
        kind=link.crest,
        ends=link.crest_ends,
        coefficient=float(rows_by_name("trades/pools/crests")[link.crest][case]),
        contraction=float(rows_by_name("trades/pools/crest_ends")[link.crest_ends][opposite(case)]),
    )


def crest_source(link: Link) -> str:
    """Source of the discharge coefficient of a link's crest."""
    return rows_by_name("trades/pools/crests")[link.crest]["source"]


def _crest_problem(index: int, pool: PoolWater, level: float) -> Problem:
    """Problem of a crest below the water at rest of the pool above it, or above its rim."""
    low = level < pool.level
    where = "below the level" if low else "at or above the rim"
    mend = "raise the crest, or lower the pool's level" if low else "lower the crest, or raise the freeboard"
    return Problem(
        ("links", index, "crest_level"),
        words(
            f"its crest, {{crest}}, lies {where} of '{pool.name}', {{mark}}",
            crest=(level, LENGTH),
            mark=(pool.level if low else pool.rim_level, LENGTH),
        ),
        words(
            "{level}, the pool's level at rest, up to below its rim, {rim}",
            level=(pool.level, LENGTH),
            rim=(pool.rim_level, LENGTH),
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
    """Problems of pools with an inflow but no outlet.

    Args:
        course: Pools and crests.
        fed: By the name of each pool that pumps or filter feed, the path of the input that says so.
    """
    problems = []
    reached = set(fed)
    for name in course.order:
        if name in reached:
            reached |= {crest.below for crest in course.crests if crest.above == name}
    for name in course.order:
        if name in reached and name != course.source and not any(crest.above == name for crest in course.crests):
            into = next((crest.index for crest in course.crests if crest.below == name), 0)
            problems.append(
                Problem(
                    fed.get(name) or ("links", into, "to"),
                    words(f"water is led to '{name}', and no link leads on from it"),
                    words(f"a way back to '{course.source}', which the pumps draw from"),
                    words("add a link from there, let the water go elsewhere, or let the pumps draw from there"),
                )
            )
    return problems


def steady_state(course: WaterCourse, inflow: Mapping[str, float]) -> CourseState:
    """Steady levels and flows; the pool that the pumps draw from keeps its level at rest here.

    Args:
        course: Pools and crests.
        inflow: Flow from pumps and filter into each pool by its name [m³/s].
    """
    through = {name: max(inflow.get(name, 0.0), 0.0) for name in course.order}
    levels = {name: course.pools[name].level for name in course.order}
    over_crests = [0.0] * len(course.crests)
    for name in course.order:
        out = [index for index, crest in enumerate(course.crests) if crest.above == name]
        if name == course.source or not out or through[name] <= 0:
            continue
        level = _level([course.crests[index] for index in out], through[name])
        levels[name] = max(level, levels[name])
        for index in out:
            over_crests[index] = course.crests[index].flow(level)
            through[course.crests[index].below] += over_crests[index]
    return CourseState(levels, through, tuple(over_crests))


def _level(crests: Sequence[LinkCrest], flow: float) -> float:
    """Level at which the crests of a pool together pass a flow [m]."""
    from scipy.optimize import brentq

    lowest = min(crest.level for crest in crests)
    if len(crests) == 1:
        (crest,) = crests
        return lowest + crest_head(flow, crest.width, crest.coefficient, crest.contraction)

    def excess(level: float) -> float:
        return sum(crest.flow(level) for crest in crests) - flow

    head = MOST_HEAD
    while excess(lowest + head) < 0:
        head *= 2
    return float(brentq(excess, lowest, lowest + head, xtol=1e-12))


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
) -> tuple[list[DrainingWater], list[LineConduit]]:
    """What drains back when the pumps stop: (water over open ends, lines that run empty).

    Of several branches that end under the water of one pool only the lowest counts: it drains the pool as far as all of
    them together.

    Args:
        system: Pumps and lines.
        pools: Pools by name.
        drawn_from: Level at rest of the pool that the pumps draw from [m]; no water below it drains back.
    """
    water = system.ready
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
        pool, level = system.destinations[index], system.rest_levels[index]
        area = pools[pool].area if pool else float(water.filter.area) if water.filter else 0.0
        open_end = max(float(branch.outlet_level), drawn_from)
        if open_end < (draining[pool].open_end if pool in draining else level):
            draining[pool] = DrainingWater(branch.name, area, level, open_end)
    if system.main:
        lines.append(system.main)
    lines += [line for pump, line in zip(water.pumps, system.pumps, strict=True) if not pump.check_valve]
    return list(draining.values()), lines


def filter_storage(system: PumpSystem, filtered: float) -> tuple[float, float]:
    """(area [m²], rise [m]) of the filter's first body, whose level rises with the flow through it [m³/s]."""
    filter_part = system.ready.filter
    area = float(filter_part.settling_area or 0.0) if filter_part else 0.0
    return area, system.filter_loss.loss(filtered)[0] if area and filtered > 0 else 0.0


def return_volume(system: PumpSystem, course: WaterCourse, state: CourseState, filtered: float) -> float:
    """Volume that returns to the pool drawn from when the pumps stop [m³].

    Args:
        system: Pumps and lines.
        course: Pools and crests.
        state: Its levels and flows while the pumps run.
        filtered: Flow through the filter [m³/s].
    """
    area, rise = filter_storage(system, filtered)
    draining, lines = drain_back(system, course.pools, course.pools[course.source].level)
    return (
        sum(course.pools[name].area * pool_rise for name, pool_rise in rises(course, state).items())
        + area * rise
        + sum(water.area * (water.level - water.open_end) for water in draining)
        + sum(math.pi / 4 * line.conduit.bore**2 * line.conduit.length for line in lines)
    )


def rises(course: WaterCourse, state: CourseState) -> dict[str, float]:
    """Rise of the running level above the lowest crest of each pool with a flow, by its name [m]."""
    rises_by_pool = {}
    for name in course.order:
        crests = [crest.level for crest in course.crests if crest.above == name]
        if name != course.source and crests and state.through[name] > 0:
            rises_by_pool[name] = state.levels[name] - min(crests)
    return rises_by_pool


def levels(system: PumpSystem, course: WaterCourse, state: CourseState, filtered: float) -> LevelsResult:
    """Figures of the levels in equilibrium; arguments as for ``return_volume``."""
    source = course.pools[course.source]
    draining, lines = drain_back(system, course.pools, source.level)
    rise_of = rises(course, state)
    transit = [
        entry(water_in_transit, name, surface_area=course.pools[name].area, rise=rise) for name, rise in rise_of.items()
    ]
    filter_area, filter_rise = filter_storage(system, filtered)
    if filter_rise > 0:
        transit.append(entry(water_in_transit, "filter", surface_area=filter_area, rise=filter_rise))
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
    returned = total(source.name, [*transit, *back, *pipes], VOLUME)
    fall = entry(drawdown, source.name, return_volume=returned, surface_area=source.area)
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
    for name, rise in rise_of.items():
        pool = course.pools[name]
        lowest = min(crest.level for crest in course.crests if crest.above == name)
        figure = entry(running_level, name, source=USER, crest_level=lowest, rise=rise)
        if figure.value > pool.rim_level:
            figure = with_cautions(figure, RUNS_OVER_RIM(over=(figure.value - pool.rim_level, LENGTH)))
        rising.append(figure)
    return LevelsResult((*rising, low), tuple(transit), tuple(back), tuple(pipes), returned, fall, stop)
