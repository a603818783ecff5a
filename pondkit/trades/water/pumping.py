"""Pumps and lines, their network in balance and its figures; and the intake with its screen."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY, Fluid, fluid
from pondkit.core.entry import USER, Entry, entry, input_entry, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.tables import table
from pondkit.core.units import FLOW, LENGTH, POWER, RATIO, SPEED
from pondkit.solvers.curves import PumpPath, curve_through
from pondkit.solvers.friction import NO_LOSS, Resistance, Series
from pondkit.solvers.pipe_network import NOWHERE, Balance, BranchPath, Network, balance
from pondkit.trades.water.cautions import (
    APPROACH_FAST,
    APPROACH_NOT_PASSIVE,
    BRANCH_RUNS_BACK,
    CIRCLES,
    CURVE_ASSUMED,
    ELECTRICITY_BY_WATER,
    FORCED_BACK,
    HELD_SHUT,
    LINE_FAST,
    LINE_SLOW,
    OPENINGS_FAST,
    OPENINGS_WIDE,
    PAST_CURVE,
    RUNS_BACK,
    SCREEN_BARE,
    SCREEN_OUT,
    SCREEN_SMALL,
    SUCTION_ENTRAPMENT,
    WIRE_WIDE,
    judged,
)
from pondkit.trades.water.faults import cannot_lift, faults
from pondkit.trades.water.filtration import resistances_of
from pondkit.trades.water.formulas import pumping as relations
from pondkit.trades.water.inputs.pumping import Intake, Line, Pump, assumed_curve, curve_points, has_curve
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.lines import TYPICAL, Case, LineConduit, conduit_of, opposite
from pondkit.trades.water.results import IntakeResult, PumpingResult

DAYS = 365  # in a year
NO_FLOW = 1e-9  # m³/s: less counts as none
NEARLY = 1e-9  # relative: a value typed in the other system may differ from a limit by rounding
States = dict[tuple[bool, ...], Balance]  # balance of the network by which of its pumps run


def pool_drawn_from(water: Water, levels: Mapping[str, float]) -> str:
    """Name of the pool that the pumps draw from: the one entered, else the lowest.

    Args:
        water: Inputs of the water side.
        levels: Level at rest of each pool by its name [m], of one pool or more.
    """
    entered = water.intake.pool if water.intake else None
    return entered if entered is not None and entered in levels else min(levels, key=lambda name: levels[name])


@dataclass(frozen=True)
class PumpSystem:
    """Pumps, main and branches as hydraulic lines, for typical coefficients or for one end of their ranges.

    Attributes:
        inputs: Inputs of the water side.
        ready: The same inputs, without pumps whose curve is still to be read.
        fluid: Density and viscosity of the water.
        pumps, main, branches: The lines; those of pumps and branches in the order of ``ready``.
        pump_paths: The pumps with curve and line, as the solver takes them.
        destinations: Where each branch ends: the name of a pool, or "" for the filter.
        rest_levels: Level of the water where each branch ends, with the pumps off [m].
        screen_loss: Head loss of the intake screen.
        filter_loss: Head loss through the filter: passage or opening, and media.
        passage: The pipe between the filter's two bodies; None if there is none.
        case: For which of the coefficients.
    """

    inputs: Water
    ready: Water
    fluid: Fluid
    pumps: tuple[LineConduit, ...]
    pump_paths: tuple[PumpPath, ...]
    main: LineConduit | None
    branches: tuple[LineConduit, ...]
    destinations: tuple[str, ...]
    rest_levels: tuple[float, ...]
    screen_loss: Series
    filter_loss: Series
    passage: LineConduit | None
    case: Case = TYPICAL

    def free(self, index: int) -> bool:
        """True if the open end of a branch lies at or above the water."""
        level = self.ready.branches[index].outlet_level
        return level is not None and level >= self.rest_levels[index]

    def network(self, drawn_from: float, levels: Mapping[str, float]) -> Network:
        """The network of lines at given levels.

        Args:
            drawn_from: Level of the pool that the pumps draw from [m].
            levels: Running level of each pool by its name [m].
        """
        branches = []
        for index, (branch, line) in enumerate(zip(self.ready.branches, self.branches, strict=True)):
            pool, outlet = self.destinations[index], branch.outlet_level
            free = self.free(index)
            # The filter's level is that at rest: the solver adds what the water rises in it, and lifts to the open end.
            level = self.rest_levels[index] if not pool else float(outlet or 0.0) if free else levels[pool]
            branches.append(
                BranchPath(
                    name=branch.name,
                    conduit=line.conduit,
                    level=level,
                    shut=branch.opening == 0,
                    one_way=branch.check_valve or free,
                    filtered=not pool,
                    outlet=NOWHERE if outlet is None else float(outlet),
                )
            )
        main = self.main.conduit if self.main else None
        return Network(drawn_from, self.pump_paths, main, tuple(branches), self.screen_loss, self.filter_loss)

    def filtered_flow(self, now: Balance | None) -> float:
        """Flow through the filter [m³/s]."""
        return sum(q for q, pool in zip(now.branch_flows, self.destinations, strict=True) if not pool) if now else 0.0


def pump_system(
    inputs: Water, levels: Mapping[str, float], case: Case = TYPICAL
) -> tuple[PumpSystem | None, list[Problem]]:
    """Hydraulic lines of the water side; None if there are no pumps, or with problems that prevent a balance.

    Args:
        inputs: Inputs of the water side.
        levels: Level at rest of each pool by its name [m].
        case: Typical, or the end of all ranges with the least or greatest head loss.
    """
    problems = list(faults(inputs, levels))
    if problems or not any(has_curve(pump) for pump in inputs.pumps):
        return None, problems
    ready = inputs.changed(pumps=tuple(pump for pump in inputs.pumps if has_curve(pump)))
    water = fluid(ready.temperature)

    def conduit(line: Line) -> LineConduit:
        return conduit_of(line, ready, water.viscosity, case)

    lowest = min(levels, key=lambda name: levels[name])
    destinations = tuple("" if branch.to == "filter" else branch.pool or lowest for branch in ready.branches)
    filter_level = float(ready.filter.level) if ready.filter else 0.0
    passage = conduit(ready.passage) if ready.passage else None
    filter_losses = (
        ((passage.conduit,) if passage else ()) + resistances_of(ready.filter, water, case) if ready.filter else ()
    )
    pumps = tuple(conduit(pump) for pump in ready.pumps)
    system = PumpSystem(
        inputs=inputs,
        ready=ready,
        fluid=water,
        pumps=pumps,
        pump_paths=tuple(_pump_path(pump, line, case) for pump, line in zip(ready.pumps, pumps, strict=True)),
        main=conduit(ready.main) if ready.main else None,
        branches=tuple(conduit(branch) for branch in ready.branches),
        destinations=destinations,
        rest_levels=tuple(levels[pool] if pool else filter_level for pool in destinations),
        screen_loss=Series((screen_resistance(ready.intake),)) if ready.intake else NO_LOSS,
        filter_loss=Series(filter_losses),
        passage=passage,
        case=case,
    )
    return system, []


def _pump_path(pump: Pump, line: LineConduit, case: Case) -> PumpPath:
    """A pump with its curve and line, as the solver takes it."""
    # Least head loss goes with the highest curve. It goes with the greatest loss of a stopped pump too, as less runs
    # back through that one, so that the range spans the most that reaches the branches.
    other = opposite(case)
    above_one = getattr(within(pump.shutoff - 1, pump.shutoff_within), other)
    curve = curve_through(*zip(*curve_points(pump, 1 + above_one), strict=True))
    idle_k = getattr(within(pump.idle_k, pump.idle_k_within), other)
    return PumpPath(pump.name, line.conduit, curve, pump.running, pump.check_valve, idle_k)


def pumping(system: PumpSystem, network: Network, near: Balance | None = None) -> PumpingResult:
    """Figures of pumps and lines in balance, or the problem that the pumps cannot lift the water.

    Args:
        system: Pumps and lines.
        network: Their network at the running levels.
        near: A balance near the one wanted, from which the solver starts; None if none is known.
    """
    problem = lacking_lift(system, network)
    return PumpingResult(problems=(problem,)) if problem else _figures(system, network, balance(network, near))


def lacking_lift(system: PumpSystem, network: Network) -> Problem | None:
    """The problem that the pumps cannot lift the water to any open end; None if they can."""
    to_filter = [branch.end(0.0) for branch in network.branches if branch.filtered and not branch.shut]
    lowest = min(to_filter or [branch.end(0.0) for branch in network.branches if not branch.shut])
    shutoff = max(pump.curve.shutoff for pump in network.pumps if pump.running)
    if network.source - network.screen.loss(0.0)[0] + shutoff <= lowest:
        return cannot_lift(system.inputs, network.source, lowest, filtered=bool(to_filter))
    return None


@dataclass(frozen=True)
class _PumpEntries:
    """Figures of the pumps; stopped pumps have only a flow."""

    flow: tuple[Entry, ...]
    head: tuple[Entry, ...]
    water_power: tuple[Entry, ...]
    power: tuple[Entry, ...]


def _pump_entries(system: PumpSystem, network: Network, now: Balance) -> _PumpEntries:
    """Figures of every pump that has a curve."""
    flows, heads, powers, electric = [], [], [], []
    for index, (pump, path) in enumerate(zip(system.ready.pumps, network.pumps, strict=True)):
        flow = entry(
            relations.pump_flow,
            pump.name,
            cautions=_pump_cautions(path, now.pump_flows[index]),
            balanced=now,
            index=index,
            level_drawn_from=now.drawn_from,
            level_where_lines_meet=now.pump_head,
        )
        flows.append(flow)
        if not pump.running:
            continue
        head = entry(relations.pump_head, pump.name, curve_head=path.gain(now.pump_flows[index])[0])
        power = entry(
            relations.water_power,
            pump.name,
            density=system.fluid.density,
            gravity=GRAVITY,
            flow=max(now.pump_flows[index], 0.0),
            pump_head=head,
        )
        heads.append(head)
        powers.append(power)
        electric.append(_electric(pump, power))
    return _PumpEntries(tuple(flows), tuple(heads), tuple(powers), tuple(electric))


def _electric(pump: Pump, power: Entry) -> Entry:
    """Electric power of a pump: by its plate, or by its efficiency."""
    notes = [ELECTRICITY_BY_WATER()]
    if pump.power is not None:
        return input_entry(pump.name, pump.power, POWER, notes)
    efficiency = within(pump.efficiency, pump.efficiency_within)
    return entry(relations.electric_power, pump.name, cautions=notes, water_power=power, efficiency=efficiency)


def _line_entries(system: PumpSystem, now: Balance) -> "list[_LineFigures]":
    """Figures of every line; those of a line without flow lack friction."""
    streams = [
        *zip(system.pumps, now.pump_flows, strict=True),
        *([(system.main, now.flow)] if system.main else []),
        *zip(system.branches, now.branch_flows, strict=True),
        *([(system.passage, system.filtered_flow(now))] if system.passage and system.ready.filter else []),
    ]
    return [_line_figures(line, flow, system.fluid) for line, flow in streams]


def _figures(system: PumpSystem, network: Network, now: Balance) -> PumpingResult:
    """All figures of a network in balance (``now``)."""
    inputs = system.ready
    states = {tuple(pump.running for pump in network.pumps): now}
    pumps = _pump_entries(system, network, now)
    flows = [
        entry(
            relations.branch_flow,
            branch.name,
            cautions=[BRANCH_RUNS_BACK()] if flow < -NO_FLOW else [],
            balanced=now,
            index=index,
            level_where_branches_part=now.branch_head,
            level_it_ends_at=now.ends[index],
        )
        for index, (branch, flow) in enumerate(zip(inputs.branches, now.branch_flows, strict=True))
    ]
    energy = entry(
        relations.energy_year, "", source="user input", power=pumps.power, runs_a_day=inputs.runs_a_day, days=DAYS
    )
    lines = _line_entries(system, now)
    without, back = _if_one_stops(network, states)
    return PumpingResult(
        total_flow=entry(relations.total_flow, "", flows=pumps.flow),
        pump_flow=pumps.flow,
        pump_head=pumps.head,
        branch_flow=tuple(flows),
        static_head=tuple(
            entry(relations.static_head, path.name, source="user input", outlet_level=end, intake_level=network.source)
            for path, end in zip(network.branches, now.ends, strict=True)
        ),
        line_velocity=tuple(line.velocity for line in lines),
        flush_line_velocity=_flush_velocity(system, network),
        line_friction_factor=tuple(line.factor for line in lines if line.factor),
        line_friction=tuple(line.friction for line in lines if line.friction),
        line_fittings=tuple(line.fittings for line in lines),
        line_hazen_williams=tuple(line.hazen_williams for line in lines if line.hazen_williams),
        water_power=pumps.water_power,
        pump_power=pumps.power,
        energy_year=energy,
        energy_cost=entry(relations.energy_cost, "", energy=energy, price=inputs.energy_price)
        if inputs.energy_price is not None
        else None,
        flow_by_pumps=tuple(_by_number(network, states)),
        flow_without=tuple(without),
        back_flow=tuple(back),
        network=network,
        balanced=now,
        problems=(),
    )


def _pump_cautions(path: PumpPath, flow: float) -> list[Caution]:
    """Cautions on the flow of one pump [m³/s]."""
    if not path.running:
        return [RUNS_BACK()] if flow < -NO_FLOW else []
    if flow < -NO_FLOW:
        return [FORCED_BACK()]
    if flow <= NO_FLOW:
        return [HELD_SHUT()]
    if flow > path.curve.flows[-1]:
        return [PAST_CURVE(past=(flow - path.curve.flows[-1], FLOW))]
    return []


@dataclass(frozen=True, eq=False)
class _LineFigures:
    """Figures of one line; no friction if it has no flow."""

    velocity: Entry
    factor: Entry | None
    friction: Entry | None
    fittings: Entry
    hazen_williams: Entry | None


def _line_figures(line: LineConduit, flow: float, water: Fluid) -> _LineFigures:
    """Figures of one line at a flow [m³/s]."""
    pipe = line.conduit
    velocity = entry(relations.line_velocity, line.name, source=line.pipe_source, flow=flow, bore=pipe.bore)
    velocity = judged_velocity(velocity)
    speed = velocity.value  # without its cautions, which stay at the velocity
    fittings = entry(
        relations.fitting_head, line.name, source=line.source, sum_of_k=pipe.k, velocity=speed, gravity=GRAVITY
    )
    if abs(flow) <= NO_FLOW:
        return _LineFigures(velocity, None, None, fittings, None)
    factor = entry(
        relations.friction_factor,
        line.name,
        source=line.pipe_source,
        velocity=speed,
        bore=pipe.bore,
        roughness=pipe.roughness,
        viscosity=water.viscosity,
        over_smooth=pipe.over_smooth,
    )
    friction = entry(
        relations.friction_head,
        line.name,
        friction_factor=factor,
        length=pipe.length,
        bore=pipe.bore,
        velocity=speed,
        gravity=GRAVITY,
    )
    surface = table("trades/water/surfaces")[0]
    hazen_williams = entry(
        relations.hazen_williams_head,
        line.name,
        source=f"C: {surface['source']}",
        velocity=speed,
        bore=pipe.bore,
        length=pipe.length,
        hazen_williams_c=float(surface["hazen_williams_c"]),
    )
    return _LineFigures(velocity, factor, friction, fittings, hazen_williams)


def judged_velocity(velocity: Entry) -> Entry:
    """A velocity with cautions outside the limits of the table; still water gets none."""
    still = abs(velocity.value) <= NO_FLOW
    fast = replace(velocity, value=abs(velocity.value))
    return velocity if still else with_cautions(velocity, *judged(fast, LINE_FAST, LINE_SLOW).cautions)


def _flush_velocity(system: PumpSystem, network: Network) -> Entry | None:
    """Velocity in the flush branch while it flushes: that branch open (fully, if it is entered as shut), all others
    shut. None without such a branch.
    """
    index = next((number for number, branch in enumerate(system.ready.branches) if branch.to == "flush"), None)
    if index is None:
        return None
    alone = tuple(replace(branch, shut=number != index) for number, branch in enumerate(network.branches))
    flow = balance(replace(network, branches=alone)).branch_flows[index]
    line = system.branches[index]
    figure = entry(relations.line_velocity, line.name, source=line.pipe_source, flow=flow, bore=line.conduit.bore)
    return judged_velocity(figure)


def _state(network: Network, running: Sequence[bool], states: States) -> Balance:
    """Balance of the network with given pumps running; computed once for each set of them and kept in ``states``."""
    key = tuple(running)
    if key not in states:
        states[key] = balance(network.with_running(running), next(iter(states.values())))
    return states[key]


def _by_number(network: Network, states: States) -> list[Entry]:
    """Total flow with one, two … pumps running, in the order of the document."""
    flows = []
    count = len(network.pumps)
    for number in range(1, count + 1 if count > 1 else 0):
        state = _state(network, [index < number for index in range(count)], states)
        subject = f"{number} pump{'s' if number > 1 else ''}"
        flows.append(entry(relations.flow_with, subject, balanced=state, flows=state.pump_flows))
    return flows


def _if_one_stops(network: Network, states: States) -> tuple[list[Entry], list[Entry]]:
    """(total flow if one running pump stops, for each of them; backflow through that pump, where there is any)."""
    flows, backs = [], []
    running = [path.running for path in network.pumps]
    for index, path in enumerate(network.pumps):
        if path.running and sum(running) > 1:
            state = _state(network, [on and number != index for number, on in enumerate(running)], states)
            flows.append(entry(relations.flow_with, path.name, balanced=state, flows=state.pump_flows))
            if state.pump_flows[index] < -NO_FLOW:
                backs.append(
                    entry(
                        relations.back_flow,
                        path.name,
                        cautions=[RUNS_BACK()],
                        balanced=state,
                        index=index,
                        level_where_lines_meet=state.pump_head,
                    )
                )
    return flows, backs


def flow_cautions(water: Water, source: str, fed: Iterable[str]) -> Iterator[Caution]:
    """Cautions on the pumped flow: assumed pump curves, water that only circulates within one pool.

    Args:
        water: Inputs of the water side, with only the pumps that have a curve.
        source: Name of the pool that they draw from.
        fed: Name of the pool that each open branch feeds.
    """
    assumed = [pump for pump in water.pumps if pump.running and assumed_curve(pump)]
    for shutoff in dict.fromkeys(float(pump.shutoff) for pump in assumed):
        names = ", ".join(f"'{pump.name}'" for pump in assumed if pump.shutoff == shutoff)
        yield CURVE_ASSUMED(pumps=names, more=(shutoff, RATIO))
    if set(fed) == {source}:
        yield CIRCLES(pool=source)


def screen_resistance(basin: Intake) -> Resistance:
    """Head loss of the intake screen over the flow. A screen without an area is sized for the flow, so that its loss is
    the same at any flow.
    """
    k = relations.screen_k(basin.open_share) / (2 * GRAVITY * (1 - basin.clogged) ** 2)
    if basin.screen_area is None:
        return Resistance(always=k * basin.approach**2)
    return Resistance(square=k / (basin.screen_area * (1 - basin.blocked)) ** 2)


def intake(basin: Intake, pool: str, flow: Entry | None, running_level: float | None) -> IntakeResult:
    """Figures of the intake: screen area, velocities, submergence and head loss.

    Args:
        basin: Inputs of the intake.
        pool: Name of the pool that it draws from.
        flow: Pumped flow; None if unknown.
        running_level: Level of that pool while the pumps run [m]; None if unknown.
    """
    figures: dict[str, Entry] = {}
    if flow is not None and flow.value > 0:
        figures |= _screen_figures(basin, pool, flow.value)
        if running_level is not None:
            behind = entry(
                relations.level_behind_screen, pool, running_level=running_level, screen_loss=figures["screen_loss"]
            )
            bare = basin.screen_top is not None and behind.value <= basin.screen_top
            figures["level_behind_screen"] = with_cautions(behind, SCREEN_BARE()) if bare else behind
    if basin.screen_top is not None and running_level is not None:
        cover = entry(
            relations.intake_cover, pool, source=USER, running_level=running_level, screen_top=basin.screen_top
        )
        figures["intake_cover"] = with_cautions(cover, SCREEN_OUT()) if cover.value <= 0 else cover
    return IntakeResult(**figures)


def _screen_figures(basin: Intake, pool: str, flow: float) -> dict[str, Entry]:
    """Area, velocities and head losses of the screen at a flow [m³/s], by key."""
    inputs: dict[str, Any] = {"flow": flow, "blocked": basin.blocked}
    needed = entry(
        relations.screen_area_needed,
        pool,
        source=USER,
        cautions=[SUCTION_ENTRAPMENT(), *_screen_cautions(basin)],
        approach_velocity=basin.approach,
        **inputs,
    )
    figures = {"screen_area_needed": needed}
    area, approach = needed.value, float(basin.approach)
    if basin.screen_area is not None:
        area = float(basin.screen_area)
        as_built = entry(relations.approach_velocity, pool, source=USER, screen_area=area, **inputs)
        limit: dict[str, Any] = {"most": approach * (1 + NEARLY), "chosen": (approach, SPEED)}
        too_fast = SCREEN_SMALL.where(as_built.least, as_built.value, as_built.most, **limit)
        figures["approach_velocity"], approach = with_cautions(as_built, *too_fast), as_built.value
    openings: dict[str, Any] = {"screen_area": area, "open_share": basin.open_share, **inputs}
    losses: dict[str, Any] = {"screen_k": relations.screen_k(basin.open_share), "gravity": GRAVITY}
    for state, clogged in (("clean", 0.0), ("clogged", basin.clogged)):
        velocity = entry(relations.velocity_through_openings, pool, source=USER, clogged=clogged, **openings)
        loss = entry(
            relations.screen_loss,
            pool,
            source=f"{USER}; {relations.SCREEN_K}",
            approach_velocity=approach,
            clogged=clogged,
            **losses,
        )
        if state == "clean":
            figures |= {"velocity_through_clean": velocity, "screen_loss_clean": loss}
        else:
            figures |= {"velocity_through_openings": judged(velocity, OPENINGS_FAST), "screen_loss": loss}
    return figures


def _screen_cautions(basin: Intake) -> Iterator[Caution]:
    """Cautions on the screen inputs: approach velocity and widest opening."""
    for value, kind, rules in (
        (basin.approach, SPEED, (APPROACH_FAST, APPROACH_NOT_PASSIVE)),
        (basin.opening, LENGTH, (OPENINGS_WIDE, WIRE_WIDE)),
    ):
        for rule in rules:
            assert rule.most is not None
            if value > rule.most * (1 + NEARLY):
                yield rule(limit=(rule.most, kind))
                break
