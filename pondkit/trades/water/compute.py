"""The water side of an option: pumps, lines, levels, links and filter in equilibrium, for typical coefficients and at
the ends of their ranges; and from it all figures of the water side.
"""

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from pondkit.core.caution import ACT, CHECK, Caution
from pondkit.core.entry import Entry, Range, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.result import Path, Problem, Result
from pondkit.solvers.pipe_network import Balance, Network, balance
from pondkit.trades.pools.inputs import Link
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.water.faults import not_settled, to_fill
from pondkit.trades.water.filtration import filter_loss, filtration
from pondkit.trades.water.formulas.open_water import oxygen_saturation
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.levels import (
    CourseState,
    WaterCourse,
    course_of,
    dead_ends,
    levels,
    return_volume,
    steady_state,
)
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, Case, orders
from pondkit.trades.water.links import link_figures
from pondkit.trades.water.pump_wanted import pump_wanted
from pondkit.trades.water.pumping import (
    NO_FLOW,
    PumpSystem,
    flow_cautions,
    intake,
    lacking_lift,
    pool_drawn_from,
    pump_system,
    pumping,
)
from pondkit.trades.water.results import (
    FilterLossResult,
    IntakeResult,
    LevelsResult,
    LinksResult,
    PoolWater,
    PumpingResult,
    RunResult,
    Stream,
    WaterResult,
)
from pondkit.trades.water.year import year

R = TypeVar("R", bound=Result)
SAME = 1e-12  # relative: figures nearer than this are the same


def spanned(typical: R, ends: Sequence[R], source: str) -> R:
    """The typical result, each figure with its range from the results at the ends. A caution of rank 'act' that applies
    only at an end gets the rank 'check'.

    Args:
        typical: Result at typical values.
        ends: Results at the ends of the input ranges. A figure missing at one end takes its range from the others.
        source: Which ends these are, for the source of each figure that they widen.
    """
    changes: dict[str, Any] = {}
    for field in fields(typical):
        value, end_values = getattr(typical, field.name), [getattr(end, field.name) for end in ends]
        if isinstance(value, Entry):
            changes[field.name] = _span(value, [figure for figure in end_values if isinstance(figure, Entry)], source)
        elif isinstance(value, Result):
            parts = [part for part in end_values if type(part) is type(value)]
            changes[field.name] = spanned(value, parts, source)
        elif isinstance(value, tuple) and value and all(isinstance(item, Entry) for item in value):
            entries_at_ends = [_named(end_entries) for end_entries in end_values]
            changes[field.name] = tuple(
                _span(item, [end_entries[name] for end_entries in entries_at_ends if name in end_entries], source)
                for name, item in _named(value).items()
            )
    return replace(typical, **changes)


def _named(entries: Sequence[Entry]) -> dict[tuple[str, int], Entry]:
    """Entries by subject and, where a subject has several, by their order."""
    by_subject: dict[tuple[str, int], Entry] = {}
    for item in entries:
        number = sum(subject == item.subject for subject, _ in by_subject)
        by_subject[item.subject, number] = item
    return by_subject


def _span(typical: Entry, ends: Sequence[Entry], source: str) -> Entry:
    """One figure with its range from the same figure at the ends; see ``spanned``."""
    low = min([typical.least, *(end.least for end in ends)])
    high = max([typical.most, *(end.most for end in ends)])
    keys = {caution.key for caution in typical.cautions if isinstance(caution, Caution)}
    more: dict[str, Caution] = {}
    for caution in (caution for end in ends for caution in end.cautions):
        if isinstance(caution, Caution) and caution.key not in keys:
            more.setdefault(caution.key, replace(caution, rank=CHECK) if caution.rank == ACT else caution)
    close = SAME * max(abs(low), abs(high))
    if high - low <= close and typical.low is None:
        return replace(typical, cautions=(*typical.cautions, *more.values())) if more else typical
    wider = low < typical.least - close or high > typical.most + close
    return replace(
        typical,
        low=low,
        high=high,
        source=f"{typical.source}; {source}" if wider else typical.source,
        cautions=(*typical.cautions, *more.values()),
    )


SETTLED = 1e-6  # m: change of level from one round to the next below which the levels are settled
ROUNDS = 40  # before the solver takes over
AT_ENDS = (
    "range: solved at the least and greatest loss of the tables that ship, of voids, hoses, bores of own pipes and "
    "idle pumps, and at the ends of the crests' coefficients"
)


def pool_waters(pools: Sequence[PoolResult]) -> tuple[PoolWater, ...]:
    """The water of each pool at rest."""
    at_rest = ((pool, pool.surfaces.finished) for pool in pools)
    return tuple(PoolWater(pool.name, water.level, water.rim_level, pool.surface_area.value) for pool, water in at_rest)


@remembered
def compute(
    water: Water,
    links: tuple[Link, ...],
    run: RunResult,
    pools: tuple[PoolWater, ...],
    planned: tuple[float, float],
    volumes: tuple[Entry, ...],
    net_volume: Entry | None,
) -> WaterResult:
    """All figures of the water side.

    Args:
        water: Inputs of the water side.
        links: Inputs of the links between pools.
        run: The water side in operation.
        pools: Every pool of the option, at rest.
        planned: Rise above and fall below the level at rest that the option allows for [m].
        volumes: Net volume of each pool that has one.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    figures = year(water, pools, run, planned, volumes, net_volume)
    return WaterResult(pump_wanted(water, links, pools, net_volume), run, figures, orders(water))


def typical_network(water: Water, links: tuple[Link, ...], pools: tuple[PoolWater, ...]) -> Network | None:
    """The network of pumps and lines at its running levels, for typical coefficients alone and without any figure.
    None if the water does not run. Arguments as for ``running_water``.
    """
    equilibrium = _equilibrium(water, links, pools, TYPICAL, TYPICAL)
    system, network = equilibrium.system, equilibrium.network
    return None if system is None or network is None or lacking_lift(system, network) else network


@remembered
def running_water(water: Water, links: tuple[Link, ...], pools: tuple[PoolWater, ...]) -> RunResult:
    """Pumps, levels, links and filter in equilibrium, each figure with its range.

    Args:
        water: Inputs of the water side.
        links: Inputs of the links between pools.
        pools: Every pool of the option, at rest.
    """
    typical = _running(water, links, pools, TYPICAL, TYPICAL)
    if typical.pumping.balanced is None:
        return typical
    # Losses move the flow and crests the levels: each end of the one is met by both ends of the other.
    losses: tuple[Case, ...] = (LOW, HIGH)
    crests: tuple[Case, ...] = losses if links else (TYPICAL,)
    ends = [_running(water, links, pools, loss, crest) for loss, crest in itertools.product(losses, crests)]
    result = spanned(typical, ends, AT_ENDS)
    aerations = [run.links.aeration for run in (typical, *ends) if run.links.aeration]
    of_links = result.links
    if of_links.aeration:
        low, high = min(aeration[0] for aeration in aerations), max(aeration[2] for aeration in aerations)
        of_links = replace(of_links, aeration=(low, of_links.aeration[1], high))
    through = {
        name: Range(
            min(run.through[name].low for run in (typical, *ends) if name in run.through),
            flow.typical,
            max(run.through[name].high for run in (typical, *ends) if name in run.through),
            AT_ENDS,
        )
        for name, flow in typical.through.items()
    }
    return replace(result, links=of_links, through=through)


@dataclass(frozen=True, eq=False)
class _Equilibrium:
    """Pumps, lines and crests in equilibrium, before any figure of them.

    Attributes:
        source: Name of the pool drawn from.
        system: Pumps and lines; None if they have a problem.
        course: Links between the pools; None if there are none.
        feeds: Pool that each branch feeds, see ``_feeds``.
        network: The lines at the levels found; None without a system.
        source_level: Running level of the pool drawn from [m].
        state: State of the links; None if there are none, or a problem.
        near: Balance of the lines near the equilibrium; None if not solved for.
        problems: What could not be computed.
    """

    source: str
    system: PumpSystem | None
    course: WaterCourse | None
    feeds: Mapping[int, str]
    network: Network | None
    source_level: float
    state: CourseState | None
    near: Balance | None
    problems: tuple[Problem, ...]


@remembered
def _equilibrium(
    water: Water, links: tuple[Link, ...], pools: tuple[PoolWater, ...], losses: Case, crests: Case
) -> _Equilibrium:
    """The equilibrium for one end of the head-loss coefficients and one of the crest coefficients."""
    by_name = {pool.name: pool for pool in pools}
    rest_levels = {pool.name: pool.level for pool in pools}
    source = pool_drawn_from(water, rest_levels)
    system, pump_problems = pump_system(water, rest_levels, losses)
    course, link_problems = course_of(links, by_name, source, crests)
    problems = [*pump_problems, *link_problems]
    source_level, state, near = rest_levels[source], None, None
    if system is None:
        return _Equilibrium(source, None, course, {}, None, source_level, None, None, tuple(problems))
    feeds = _feeds(system, rest_levels)
    if course:
        problems += dead_ends(course, {name: _destination_path(system, index) for index, name in feeds.items()})
    levels_then = rest_levels
    if course is not None and not problems:
        if solution := settled(system, course, feeds):
            source_level, state, near = solution
            levels_then = {**state.levels, source: source_level}
        else:
            problems.append(not_settled())
    network = system.network(source_level, levels_then)
    return _Equilibrium(source, system, course, feeds, network, source_level, state, near, tuple(problems))


@remembered
def _running(
    water: Water, links: tuple[Link, ...], pools: tuple[PoolWater, ...], losses: Case, crests: Case
) -> RunResult:
    """The water side in operation, for typical coefficients or for one end of those of head losses and of crests."""
    equilibrium = _equilibrium(water, links, pools, losses, crests)
    system, source, feeds = equilibrium.system, equilibrium.source, equilibrium.feeds
    course, state, source_level = equilibrium.course, equilibrium.state, equilibrium.source_level
    problems = [*equilibrium.problems]
    pumped = PumpingResult(problems=tuple(problems))
    screen, level_figures, of_links, filter_head = IntakeResult(), LevelsResult(), LinksResult(), FilterLossResult()
    filtered: float | None = None
    through: dict[str, float] = {}
    streams: list[Stream] = []
    if system is not None and equilibrium.network is not None:
        pumped = pumping(system, equilibrium.network, equilibrium.near)
        problems += pumped.problems
        if course is None or state is None:
            screen = _intake(water, source, pumped.total_flow, None)
        elif not pumped.problems:
            screen = _intake(water, source, pumped.total_flow, source_level)
            level_figures = levels(system, course, state, system.filtered_flow(pumped.balanced))
            of_links = link_figures(water, links, course, state, source_level)
            streams += _link_streams(course, state)
            through = state.through | {source: pumped.total_flow.value if pumped.total_flow else 0.0}
        if pumped.balanced:
            streams = _pump_streams(system, source, pumped.balanced, feeds) + streams
            pumped = _with_flow_cautions(pumped, system, source, feeds)
            filtered = system.filtered_flow(pumped.balanced)
            filter_head = _filter_head(system, pumped, filtered)
    saturation, area = oxygen_saturation(water.temperature, water.altitude), sum(pool.area for pool in pools)
    cleaned = filtration(water, filtered, saturation, of_links.aeration, area, losses)
    return RunResult(
        pumping=pumped,
        intake=screen,
        levels=level_figures,
        links=of_links,
        filter=cleaned,
        filter_loss=filter_head,
        source=source,
        through={name: Range(q, q, q, "") for name, q in through.items()},
        streams=tuple(streams),
        problems=(*problems, *cleaned.problems),
        to_fill=tuple(to_fill(water)),
    )


def _intake(water: Water, source: str, flow: Entry | None, running_level: float | None) -> IntakeResult:
    """Figures of the intake; none without an intake."""
    return intake(water.intake, source, flow, running_level) if water.intake else IntakeResult()


def _with_flow_cautions(
    pumped: PumpingResult, system: PumpSystem, source: str, feeds: Mapping[int, str]
) -> PumpingResult:
    """The pumping figures with the cautions that concern all of the pumped flow."""
    fed = [feeds[index] for index, branch in enumerate(system.ready.branches) if branch.opening > 0]
    flow = pumped.total_flow
    return (
        replace(pumped, total_flow=with_cautions(flow, *flow_cautions(system.ready, source, fed))) if flow else pumped
    )


def _pump_streams(system: PumpSystem, source: str, now: Balance, feeds: Mapping[int, str]) -> list[Stream]:
    """Streams moved by the pumps, and those that the filter passes on."""
    streams = [
        Stream(source, "pumps", pump.name, q) for pump, q in zip(system.ready.pumps, now.pump_flows, strict=True)
    ]
    filtered, to = 0.0, ""
    branches = zip(system.ready.branches, system.destinations, now.branch_flows, strict=True)
    for index, (branch, pool, q) in enumerate(branches):
        streams.append(Stream("pumps", pool or "filter", branch.name, q))
        if not pool:
            filtered, to = filtered + q, feeds[index]
    return [*streams, Stream("filter", to, "", filtered)] if to else streams


def _link_streams(course: WaterCourse, state: CourseState) -> list[Stream]:
    """Streams over the crests of links."""
    flows = zip(course.crests, state.over_crests, strict=True)
    return [Stream(crest.above, crest.below, "", q) for crest, q in flows if q > 0]


def _filter_head(system: PumpSystem, pumped: PumpingResult, filtered: float) -> FilterLossResult:
    """Head loss of the filter and its connecting pipe; without figures if no water runs through it."""
    water = system.ready
    if water.filter is None or filtered <= NO_FLOW:
        return FilterLossResult()
    passage = water.passage.name if water.passage else None
    of_passage = (loss for loss in (*pumped.line_friction, *pumped.line_fittings) if loss.subject == passage)
    return filter_loss(water.filter, filtered, system.fluid, tuple(of_passage), system.case)


def _destination_path(system: PumpSystem, index: int) -> Path:
    """Path in the document of the field that says where a branch discharges."""
    return ("water", "branches", index, "pool") if system.destinations[index] else ("water", "filter", "to")


def _feeds(system: PumpSystem, rest_levels: Mapping[str, float]) -> dict[int, str]:
    """Name of the pool that each branch feeds, by the branch's index. A branch to the filter feeds the pool that the
    filter flows to: the one entered, else the highest.
    """
    entered = system.ready.filter.to if system.ready.filter else None
    behind_filter = entered or max(rest_levels, key=lambda name: rest_levels[name])
    return {index: pool or behind_filter for index, pool in enumerate(system.destinations)}


def _inflow(feeds: Mapping[int, str], flows: Sequence[float]) -> dict[str, float]:
    """Flow from pumps and filter into each pool by its name [m³/s]; ``flows``: of the branches."""
    inflow: dict[str, float] = {}
    for index, name in feeds.items():
        inflow[name] = inflow.get(name, 0.0) + flows[index]
    return inflow


def settled(
    system: PumpSystem, course: WaterCourse, feeds: Mapping[int, str]
) -> tuple[float, CourseState, Balance] | None:
    """Equilibrium of pumps, lines and crests: (running level of the pool drawn from [m], state of the watercourse,
    balance of the lines). None if it is not found.

    A higher flow keeps more water in transit, which lowers the pool drawn from and so reduces the flow. As a rule a few
    rounds converge. Where much water is in transit over a small pool, they swing between too much flow and none.
    """
    source_level = course.pools[course.source].level
    state = CourseState({name: pool.level for name, pool in course.pools.items()}, {}, ())
    near: Balance | None = None
    for _ in range(ROUNDS):
        before = source_level
        source_level, state, near = _round(system, course, feeds, {**state.levels, course.source: before}, near)
        if abs(source_level - before) < SETTLED:
            return source_level, state, near
    return _settled_by_solver(system, course, feeds, {**state.levels, course.source: source_level})


def _round(
    system: PumpSystem,
    course: WaterCourse,
    feeds: Mapping[int, str],
    levels_then: Mapping[str, float],
    near: Balance | None = None,
) -> tuple[float, CourseState, Balance]:
    """What follows from running levels of the pools, by name [m]: (level of the pool drawn from [m], state of the
    watercourse, balance of the lines).
    """
    source = course.pools[course.source]
    now = balance(system.network(levels_then[course.source], levels_then), near)
    state = steady_state(course, _inflow(feeds, now.branch_flows))
    returned = return_volume(system, course, state, system.filtered_flow(now))
    return source.level - returned / source.area, state, now


def _settled_by_solver(
    system: PumpSystem, course: WaterCourse, feeds: Mapping[int, str], start: Mapping[str, float]
) -> tuple[float, CourseState, Balance] | None:
    """As ``settled``, by Powell's hybrid method over the levels of the pool drawn from and of the pools fed."""
    from scipy.optimize import root

    names = (course.source, *(name for name in course.order if name in system.destinations and name != course.source))

    def next_round(trial: Sequence[float]) -> tuple[float, CourseState, Balance]:
        return _round(system, course, feeds, {**start, **dict(zip(names, map(float, trial), strict=True))})

    def changes(trial: Sequence[float]) -> list[float]:
        source_level, state, _ = next_round(trial)
        after = {**state.levels, course.source: source_level}
        return [after[name] - level for name, level in zip(names, trial, strict=True)]

    trial = root(changes, [start[name] for name in names]).x
    return next_round(trial) if max(map(abs, changes(trial))) < SETTLED else None
