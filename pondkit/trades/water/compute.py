"""The water side of an option; and the range of what a solver gives, from the whole worked out at the ends of what it
depends on."""

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
from pondkit.trades.water.filtration import filter_loss, filtration, intake
from pondkit.trades.water.formulas.channels import oxygen_saturation
from pondkit.trades.water.inputs.water import Intake, Water
from pondkit.trades.water.levels import CourseState, WaterCourse, course_of, dead_ends, levels, return_volume, running
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End, orders
from pondkit.trades.water.links import NOTHING, links
from pondkit.trades.water.pump_wanted import flow_notes, pump_wanted
from pondkit.trades.water.pumping import PumpSystem, lacking_lift, no_pumping, pump_system, pumping
from pondkit.trades.water.results import (
    NO_LEVELS,
    NO_LINKS,
    FilterLossResult,
    IntakeResult,
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
    """The typical result, each figure with its range from the results at both ends. A caution that applies only at an
    end gets the rank 'check'.

    Args:
        typical: At typical values.
        ends: Results at the ends of the input ranges. A figure missing at one end takes its range from the others.
        source: Which ends these are.
    """
    changes: dict[str, Any] = {}
    for field in fields(typical):
        value, end_values = getattr(typical, field.name), [getattr(end, field.name) for end in ends]
        if isinstance(value, Entry):
            changes[field.name] = _span(
                value, [end_entries for end_entries in end_values if isinstance(end_entries, Entry)], source
            )
        elif isinstance(value, Result):
            changes[field.name] = spanned(
                value, [end_entries for end_entries in end_values if type(end_entries) is type(value)], source
            )
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
    low = min([typical.least, *(end.least for end in ends)])
    high = max([typical.most, *(end.most for end in ends)])
    keys = {end_caution.key for end_caution in typical.cautions if isinstance(end_caution, Caution)}
    more: dict[str, Caution] = {}
    for end_caution in (caution for end in ends for caution in end.cautions):
        if isinstance(end_caution, Caution) and end_caution.key not in keys:
            more.setdefault(
                end_caution.key, replace(end_caution, rank=CHECK) if end_caution.rank == ACT else end_caution
            )
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


SETTLED = 1e-6  # m: levels that change less between two rounds stay
ROUNDS = 40
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
    parts: tuple[Link, ...],
    run: RunResult,
    bodies: tuple[PoolWater, ...],
    planned: tuple[float, float],
    volumes: tuple[Entry, ...],
    net_volume: Entry | None,
) -> WaterResult:
    """All figures of the water side.

    Args:
        water: Inputs of the water side.
        parts: Inputs of the links between pools.
        run: The water side in operation.
        bodies: Every pool of the option.
        planned: Rise above and fall below the level at rest that the option allows for [m].
        volumes: Net volume of each pool that has one.
        net_volume: Net volume of all pools; None if one of them has a problem.
    """
    year_figures = year(water, bodies, run, planned, volumes, net_volume)
    return WaterResult(pump_wanted(water, parts, bodies, net_volume), run, year_figures, orders(water))


def typical_network(water: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...]) -> Network | None:
    """Pumps and lines at the levels of running water, at typical values alone and without any figure; None if the water
    does not run.

    Args:
        water, parts, bodies: As for ``running_water``.
    """
    balanced = _equilibrium(water, parts, bodies, TYPICAL, TYPICAL)
    if balanced.system is None or balanced.network is None or lacking_lift(balanced.system, balanced.network):
        return None
    return balanced.network


@remembered
def running_water(water: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...]) -> RunResult:
    """Pumps, levels, links and filter in equilibrium, each figure with its range.

    Args:
        water: Inputs of the water side.
        parts: Inputs of the links between pools.
        bodies: Every pool of the option.
    """
    typical = _running(water, parts, bodies, TYPICAL, TYPICAL)
    if typical.pumping.balanced is None:
        return typical
    # What takes head moves the flow, and crests move the levels: their ends are met both ways.
    losses: tuple[End, ...] = (LOW, HIGH)
    crests: tuple[End, ...] = losses if parts else (TYPICAL,)
    ends = [_running(water, parts, bodies, end, crest) for end, crest in itertools.product(losses, crests)]
    result = spanned(typical, ends, AT_ENDS)
    uptakes = [run.links.uptake for run in (typical, *ends) if run.links.uptake]
    links = result.links
    if links.uptake:
        low, high = min(uptake[0] for uptake in uptakes), max(uptake[2] for uptake in uptakes)
        links = replace(links, uptake=(low, links.uptake[1], high))
    through = {
        name: Range(
            min(run.through[name].low for run in (typical, *ends) if name in run.through),
            flow.typical,
            max(run.through[name].high for run in (typical, *ends) if name in run.through),
            AT_ENDS,
        )
        for name, flow in typical.through.items()
    }
    return replace(result, links=links, through=through)


@dataclass(frozen=True, eq=False)
class _Equilibrium:
    """Pumps, lines and crests in equilibrium, before any figure of them.

    Attributes:
        source: Name of the pool drawn from.
        system: Pumps and lines; None if they have a problem.
        course: Links between the pools; None if there are none.
        feeds: Pool that each branch feeds, see ``_feeds``.
        network: The lines at the levels found; None without a system.
        low: Running level of the pool drawn from [m].
        state: State of the links; None if there are none, or a problem.
        near: Balance of the lines near the equilibrium; None if not solved for.
        problems: What could not be worked out.
    """

    source: str
    system: PumpSystem | None
    course: WaterCourse | None
    feeds: Mapping[int, str]
    network: Network | None
    low: float
    state: CourseState | None
    near: Balance | None
    problems: tuple[Problem, ...]


@remembered
def _equilibrium(
    water: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...], end: End, crests: End
) -> _Equilibrium:
    by_name = {body.name: body for body in bodies}
    at_rest = {body.name: body.level for body in bodies}
    basin = water.intake or Intake()
    source = basin.pool if basin.pool in by_name else min(at_rest, key=lambda name: at_rest[name])
    system, faults = pump_system(water, at_rest, end)
    course, more_faults = course_of(parts, by_name, source, crests)
    problems = [*faults, *more_faults]
    if system is None:
        return _Equilibrium(source, None, course, {}, None, at_rest[source], None, None, tuple(problems))
    feeds = _feeds(system, at_rest)
    if course:
        problems += dead_ends(course, {name: _place(system, index) for index, name in feeds.items()})
    low, levels_then, state, near = at_rest[source], at_rest, None, None
    if course is not None and not problems:
        if equilibrium := settled(system, course, feeds):
            low, state, near = equilibrium
            levels_then = {**state.levels, source: low}
        else:
            problems.append(not_settled())
    network = system.network(low, levels_then)
    return _Equilibrium(source, system, course, feeds, network, low, state, near, tuple(problems))


@remembered
def _running(water: Water, parts: tuple[Link, ...], bodies: tuple[PoolWater, ...], end: End, crests: End) -> RunResult:
    """The water side in equilibrium, for typical coefficients or for one end of the head-loss and crest
    coefficients.
    """
    balanced = _equilibrium(water, parts, bodies, end, crests)
    system, source, feeds = balanced.system, balanced.source, balanced.feeds
    basin, problems = water.intake or Intake(), [*balanced.problems]
    pumped, screen, level, falls, through = no_pumping(problems), _no_intake(), NO_LEVELS, NO_LINKS, None
    head = FilterLossResult()
    passing: dict[str, float] = {}
    streams: list[Stream] = []
    if system is not None and balanced.network is not None:
        course, state = balanced.course, balanced.state
        pumped = pumping(system, balanced.network, balanced.near)
        problems += pumped.problems
        if course is None or state is None:
            screen = intake(basin, source, pumped.total_flow, None) if water.intake else screen
        elif not pumped.problems:
            low = balanced.low
            screen = intake(basin, source, pumped.total_flow, low) if water.intake else screen
            filter_flow = through_filter(system, pumped.balanced)
            level, falls = levels(system, course, state, filter_flow), links(water, parts, course, state, low)
            streams += _over_links(course, state)
            passing = state.through | {source: pumped.total_flow.value if pumped.total_flow else 0.0}
        if pumped.balanced:
            streams = _pumped(system, source, pumped.balanced, feeds) + streams
            pumped = _heeded(pumped, system, source, feeds)
            through = through_filter(system, pumped.balanced)
            head = _filter_head(system, pumped, through)
    cleaned = filtration(
        water,
        through,
        oxygen_saturation(water.temperature, water.altitude),
        falls.uptake,
        sum(b.area for b in bodies),
        end,
    )
    return RunResult(
        pumped,
        screen,
        level,
        falls,
        cleaned,
        head,
        source,
        {name: Range(q, q, q, "") for name, q in passing.items()},
        tuple(streams),
        (*problems, *cleaned.problems),
        tuple(to_fill(water)),
    )


def _heeded(pumped: PumpingResult, system: PumpSystem, source: str, feeds: Mapping[int, str]) -> PumpingResult:
    """The pumping figures with cautions on the flow: assumed pump curves, water that only circulates
    within one pool.
    """
    open_ends = [
        feeds.get(index, end) if end == "" else end
        for index, (branch, end) in enumerate(zip(system.drawn.branches, system.ends, strict=True))
        if branch.opening > 0
    ]
    flow = pumped.total_flow
    notes = tuple(flow_notes(system.drawn, source, open_ends))
    return replace(pumped, total_flow=with_cautions(flow, *notes)) if flow and notes else pumped


def _pumped(system: PumpSystem, source: str, now: Balance, feeds: Mapping[int, str]) -> list[Stream]:
    """Streams moved by the pumps, and those that the filter passes on."""
    streams = [
        Stream(source, "pumps", pump.name, q) for pump, q in zip(system.drawn.pumps, now.pump_flows, strict=True)
    ]
    cleaned, to = 0.0, ""
    for index, (branch, end, q) in enumerate(zip(system.drawn.branches, system.ends, now.branch_flows, strict=True)):
        streams.append(Stream("pumps", end or "filter", branch.name, q))
        if not end:
            cleaned, to = cleaned + q, feeds[index]
    return [*streams, Stream("filter", to, "", cleaned)] if to else streams


def _over_links(course: WaterCourse, state: CourseState) -> list[Stream]:
    """Streams over the crests of links."""
    return [Stream(lip.above, lip.below, "", q) for lip, q in zip(course.lips, state.over, strict=True) if q > 0]


def _filter_head(system: PumpSystem, pumped: PumpingResult, flow: float) -> FilterLossResult:
    """Head loss of the filter and its connecting pipe; empty if no water runs through it."""
    water = system.drawn
    if water.filter is None or flow <= NOTHING:
        return FilterLossResult()
    passage = water.passage.name if water.passage else None
    piped = (e for e in (*pumped.line_friction, *pumped.line_fittings) if e.subject == passage)
    return filter_loss(water.filter, flow, system.water, tuple(piped), system.end)


def _no_intake() -> IntakeResult:
    return IntakeResult(*[None] * 8)


def _place(system: PumpSystem, index: int) -> Path:
    """Path in the document of the field that says where a branch discharges."""
    return ("water", "branches", index, "pool") if system.ends[index] else ("water", "filter", "to")


def _feeds(system: PumpSystem, at_rest: Mapping[str, float]) -> dict[int, str]:
    """Pool that each branch feeds, by the branch's index. A branch to the filter feeds the pool that the filter drains
    to.
    """
    filtered = (system.drawn.filter.to if system.drawn.filter else None) or max(at_rest, key=lambda name: at_rest[name])
    return {index: end or filtered for index, end in enumerate(system.ends)}


def _inflow(feeds: Mapping[int, str], flows: Sequence[float]) -> dict[str, float]:
    inflow: dict[str, float] = {}
    for index, name in feeds.items():
        inflow[name] = inflow.get(name, 0.0) + flows[index]
    return inflow


def through_filter(system: PumpSystem, now: Balance | None) -> float:
    """Flow through the filter [m³/s]."""
    return sum(q for q, end in zip(now.branch_flows, system.ends, strict=True) if not end) if now else 0.0


def settled(
    system: PumpSystem, course: WaterCourse, feeds: Mapping[int, str]
) -> tuple[float, CourseState, Balance] | None:
    """Equilibrium of pumps, lines and crests: (running level of the pool drawn from [m], state of the watercourse,
    balance of the lines). None if it is not found.

    A higher flow keeps more water in transit, which lowers the pool drawn from and so reduces the flow. As a rule a few
    rounds converge. Where much water is in transit over a small pool, they swing between too much flow and none.
    """
    source = course.bodies[course.source]
    low = source.level
    state = CourseState({name: body.level for name, body in course.bodies.items()}, {}, ())
    near: Balance | None = None
    for _ in range(ROUNDS):
        lower, state, near = _round(system, course, feeds, {**state.levels, course.source: low}, near)
        if abs(lower - low) < SETTLED:
            return lower, state, near
        low = lower
    return _settled_by_solver(system, course, feeds, {**state.levels, course.source: low})


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
    source = course.bodies[course.source]
    now = balance(system.network(levels_then[course.source], levels_then), near)
    state = running(course, _inflow(feeds, now.branch_flows))
    returned = return_volume(system, course, state, through_filter(system, now))
    return source.level - returned / source.area, state, now


def _settled_by_solver(
    system: PumpSystem, course: WaterCourse, feeds: Mapping[int, str], start: Mapping[str, float]
) -> tuple[float, CourseState, Balance] | None:
    """As ``settled``, by Powell's hybrid method over the levels of the pool drawn from and of the pools fed."""
    from scipy.optimize import root

    names = (course.source, *(name for name in course.order if name in system.ends and name != course.source))

    def next_round(trial: Sequence[float]) -> tuple[float, CourseState, Balance]:
        return _round(system, course, feeds, {**start, **dict(zip(names, map(float, trial), strict=True))})

    def changes(trial: Sequence[float]) -> list[float]:
        low, state, _ = next_round(trial)
        return [{**state.levels, course.source: low}[name] - level for name, level in zip(names, trial, strict=True)]

    trial = root(changes, [start[name] for name in names]).x
    return next_round(trial) if max(map(abs, changes(trial))) < SETTLED else None
