"""Pumps and pipes of an option, balanced, and their figures."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from pondkit.core.caution import Caution
from pondkit.core.constants import GRAVITY, Fluid, fluid
from pondkit.core.entry import Entry, entry, input_entry, with_cautions, within
from pondkit.core.result import Problem
from pondkit.core.tables import table
from pondkit.core.units import FLOW, POWER
from pondkit.solvers.curves import PumpPath, curve_through
from pondkit.solvers.friction import NO_LOSS, Series
from pondkit.solvers.pipe_network import NOWHERE, Balance, BranchPath, Network, balance
from pondkit.trades.water.cautions import (
    BRANCH_RUNS_BACK,
    ELECTRICITY_BY_WATER,
    FORCED_BACK,
    HELD_SHUT,
    LINE_FAST,
    LINE_SLOW,
    PAST_CURVE,
    RUNS_BACK,
    judged,
)
from pondkit.trades.water.faults import cannot_lift, faults
from pondkit.trades.water.filtration import resistances_of, screen_resistance
from pondkit.trades.water.formulas import pumping as relations
from pondkit.trades.water.inputs.pumping import Pump, curve_points, has_curve
from pondkit.trades.water.inputs.water import Water
from pondkit.trades.water.lines import HIGH, LOW, TYPICAL, End, PipeLine, pipe_line
from pondkit.trades.water.results import PumpingResult

DAYS = 365
States = dict[tuple[bool, ...], Balance]
NOTHING = 1e-9  # m³/s: less is no flow


def no_pumping(problems: Sequence[Problem]) -> PumpingResult:
    """A pumping result without figures, with the problems that prevent them."""
    return PumpingResult(
        None, (), (), (), (), (), None, (), (), (), (), (), (), None, None, (), (), (), None, None, tuple(problems)
    )


@dataclass(frozen=True)
class PumpSystem:
    """Pumps, main and branches as hydraulic lines.

    Attributes:
        asked: Inputs of the water side.
        drawn: The same inputs, without pumps whose curve is still to be read.
        water: Its density and viscosity.
        pumps, main, branches: The lines.
        paths: Path of each pump in the document.
        ends: End of each branch: the name of a pool, or "" for the filter.
        at_rest: Level of the water there with the pumps off [m].
        screen, bodies: Head losses of the intake screen and of the filter's bodies.
        passage: The pipe between the filter's bodies.
        end: End of the head-loss ranges that the system is for.
    """

    asked: Water
    drawn: Water
    water: Fluid
    pumps: tuple[PipeLine, ...]
    paths: tuple[PumpPath, ...]
    main: PipeLine | None
    branches: tuple[PipeLine, ...]
    ends: tuple[str, ...]
    at_rest: tuple[float, ...]
    screen: Series
    bodies: Series
    passage: PipeLine | None
    end: End = TYPICAL

    def free(self, index: int) -> bool:
        """True if a branch's open end lies at or above the water."""
        level = self.drawn.branches[index].outlet_level
        return level is not None and level >= self.at_rest[index]

    def network(self, source: float, levels: Mapping[str, float]) -> Network:
        """Network of lines between the water drawn from and the waters at the branch ends, at their levels [m]."""
        branches = []
        for index, (branch, line, end) in enumerate(zip(self.drawn.branches, self.branches, self.ends, strict=True)):
            free = self.free(index)
            level = float(branch.outlet_level or 0.0) if free else levels[end] if end else self.at_rest[index]
            outlet = NOWHERE if branch.outlet_level is None else float(branch.outlet_level)
            one_way = branch.check_valve or free
            branches.append(
                BranchPath(
                    branch.name,
                    line.conduit,
                    self.at_rest[index] if not end else level,
                    branch.opening == 0,
                    one_way,
                    not end,
                    outlet,
                )
            )
        main = self.main.conduit if self.main else None
        return Network(source, self.paths, main, tuple(branches), self.screen, self.bodies)


def pump_system(
    inputs: Water, levels: Mapping[str, float], end: End = TYPICAL
) -> tuple[PumpSystem | None, list[Problem]]:
    """Hydraulic lines of the water side; None if there are no pumps, or with problems that prevent a balance.

    Args:
        inputs: Inputs of the water side.
        levels: Level at rest of each pool, by name [m].
        end: Typical, or the end of all ranges with the least or greatest head loss.
    """
    problems = list(faults(inputs, levels))
    if problems or not any(has_curve(pump) for pump in inputs.pumps):
        return None, problems
    all_inputs, inputs = inputs, inputs.changed(pumps=tuple(pump for pump in inputs.pumps if has_curve(pump)))
    water = fluid(inputs.temperature)
    lowest = min(levels, key=lambda name: levels[name])
    ends = tuple("" if branch.to == "filter" else branch.pool or lowest for branch in inputs.branches)
    cleaned = float(inputs.filter.level) if inputs.filter else 0.0
    passage = pipe_line(inputs.passage, inputs, water.viscosity, end) if inputs.passage else None
    bodies = (
        ((passage.conduit,) if passage else ()) + resistances_of(inputs.filter, water, end) if inputs.filter else ()
    )
    pumps = tuple(pipe_line(p, inputs, water.viscosity, end) for p in inputs.pumps)
    system = PumpSystem(
        all_inputs,
        inputs,
        water,
        pumps,
        tuple(_path(pump, line, end) for pump, line in zip(inputs.pumps, pumps, strict=True)),
        pipe_line(inputs.main, inputs, water.viscosity, end) if inputs.main else None,
        tuple(pipe_line(b, inputs, water.viscosity, end) for b in inputs.branches),
        ends,
        tuple(levels[end] if end else cleaned for end in ends),
        Series((screen_resistance(inputs.intake),)) if inputs.intake else NO_LOSS,
        Series(bodies),
        passage,
        end,
    )
    return system, []


def _path(pump: Pump, line: PipeLine, end: End) -> PumpPath:
    against: End = HIGH if end == LOW else LOW if end == HIGH else TYPICAL  # of what goes the other way than losses
    more = getattr(within(pump.shutoff - 1, pump.shutoff_within), against)
    curve = curve_through(*zip(*curve_points(pump, 1 + more), strict=True))
    # Where lines take least, a still pump takes most, so that the range spans the most that goes on to the branches.
    idle_k = getattr(within(pump.idle_k, pump.idle_k_within), against)
    return PumpPath(pump.name, line.conduit, curve, pump.running, pump.check_valve, idle_k)


def pumping(system: PumpSystem, network: Network, near: Balance | None = None) -> PumpingResult:
    """Figures of pumps and pipes in balance, or the problem that the pumps cannot lift the water. ``near``: see
    ``balance``.
    """
    problem = lacking_lift(system, network)
    if problem:
        return no_pumping([problem])
    return _figures(system.drawn, system, network, system.water, near)


def lacking_lift(system: PumpSystem, network: Network) -> Problem | None:
    """The problem that the pumps cannot lift the water to any open end; None if they can."""
    to_filter = [branch.end(0.0) for branch in network.branches if branch.filtered and not branch.shut]
    lowest = min(to_filter or [branch.end(0.0) for branch in network.branches if not branch.shut])
    highest = network.source - network.screen.loss(0.0)[0] + max(p.curve.shutoff for p in network.pumps if p.running)
    if highest <= lowest:
        return cannot_lift(system.asked, network.source, lowest, filtered=bool(to_filter))
    return None


@dataclass(frozen=True)
class _PumpEntries:
    """Figures of the pumps; stopped pumps have only a flow."""

    flow: tuple[Entry, ...]
    head: tuple[Entry, ...]
    water_power: tuple[Entry, ...]
    power: tuple[Entry, ...]


def _pump_entries(inputs: Water, network: Network, water: Fluid, now: Balance) -> _PumpEntries:
    flows, heads, powers, electric = [], [], [], []
    for index, (pump, path) in enumerate(zip(inputs.pumps, network.pumps, strict=True)):
        flow = entry(
            relations.pump_flow,
            pump.name,
            cautions=_pump_notes(path, now.pump_flows[index]),
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
            density=water.density,
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


def _line_entries(lines: PumpSystem, now: Balance, water: Fluid) -> "list[_LineFigures]":
    """Figures of every line with a flow."""
    filtered = sum(q for q, end in zip(now.branch_flows, lines.ends, strict=True) if not end)
    streams = [
        *zip(lines.pumps, now.pump_flows, strict=True),
        *([(lines.main, now.flow)] if lines.main else []),
        *zip(lines.branches, now.branch_flows, strict=True),
        *([(lines.passage, filtered)] if lines.passage and lines.drawn.filter else []),
    ]
    return [_line_figures(line, flow, water) for line, flow in streams]


def _figures(inputs: Water, lines: PumpSystem, network: Network, water: Fluid, near: Balance | None) -> PumpingResult:
    now = balance(network, near)
    states = {tuple(path.running for path in network.pumps): now}
    pumps = _pump_entries(inputs, network, water, now)
    flows = [
        entry(
            relations.branch_flow,
            branch.name,
            cautions=[BRANCH_RUNS_BACK()] if flow < -NOTHING else [],
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
    figures = _line_entries(lines, now, water)
    without, back = _without(network, states)
    return PumpingResult(
        total_flow=entry(relations.total_flow, "", flows=pumps.flow),
        pump_flow=pumps.flow,
        pump_head=pumps.head,
        branch_flow=tuple(flows),
        static_head=tuple(
            entry(relations.static_head, path.name, source="user input", outlet_level=end, intake_level=network.source)
            for path, end in zip(network.branches, now.ends, strict=True)
        ),
        line_velocity=tuple(f.velocity for f in figures),
        flush_line_velocity=_flush_line(lines, network),
        line_friction_factor=tuple(f.factor for f in figures if f.factor),
        line_friction=tuple(f.friction for f in figures if f.friction),
        line_fittings=tuple(f.fittings for f in figures),
        line_hazen_williams=tuple(f.hazen for f in figures if f.hazen),
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


def _pump_notes(path: PumpPath, flow: float) -> list[Caution]:
    if not path.running:
        return [RUNS_BACK()] if flow < -NOTHING else []
    if flow < -NOTHING:
        return [FORCED_BACK()]
    if flow <= NOTHING:
        return [HELD_SHUT()]
    if flow > path.curve.flows[-1]:
        return [PAST_CURVE(past=(flow - path.curve.flows[-1], FLOW))]
    return []


@dataclass(frozen=True, eq=False)
class _LineFigures:
    velocity: Entry
    factor: Entry | None
    friction: Entry | None
    fittings: Entry
    hazen: Entry | None


def _line_figures(line: PipeLine, flow: float, water: Fluid) -> _LineFigures:
    pipe = line.conduit
    velocity = entry(relations.line_velocity, line.name, source=line.pipe_source, flow=flow, bore=pipe.bore)
    velocity = judged_velocity(velocity)
    plain = velocity.value
    fittings = entry(
        relations.fitting_head, line.name, source=line.source, sum_of_k=pipe.k, velocity=plain, gravity=GRAVITY
    )
    if abs(flow) <= NOTHING:
        return _LineFigures(velocity, None, None, fittings, None)
    f = entry(
        relations.friction_factor,
        line.name,
        source=line.pipe_source,
        velocity=plain,
        bore=pipe.bore,
        roughness=pipe.roughness,
        viscosity=water.viscosity,
        over_smooth=pipe.over_smooth,
    )
    friction = entry(
        relations.friction_head,
        line.name,
        friction_factor=f,
        length=pipe.length,
        bore=pipe.bore,
        velocity=plain,
        gravity=GRAVITY,
    )
    rough = table("trades/water/surfaces")[0]
    hazen = entry(
        relations.hazen_williams_head,
        line.name,
        source=f"C: {rough['source']}",
        velocity=plain,
        bore=pipe.bore,
        length=pipe.length,
        hazen_williams_c=float(rough["hazen_williams_c"]),
    )
    return _LineFigures(velocity, f, friction, fittings, hazen)


def judged_velocity(velocity: Entry) -> Entry:
    """A velocity with cautions outside the limits of the table; still water gets none."""
    still = abs(velocity.value) <= NOTHING
    fast = replace(velocity, value=abs(velocity.value))
    return velocity if still else with_cautions(velocity, *judged(fast, LINE_FAST, LINE_SLOW).cautions)


def _flush_line(lines: PumpSystem, network: Network) -> Entry | None:
    """Velocity in the flush branch while it flushes: that branch open (fully, if it is entered as
    shut), all others shut.
    """
    index = next((number for number, branch in enumerate(lines.drawn.branches) if branch.to == "flush"), None)
    if index is None:
        return None
    alone = tuple(replace(branch, shut=number != index) for number, branch in enumerate(network.branches))
    flow = balance(replace(network, branches=alone)).branch_flows[index]
    line = lines.branches[index]
    figure = entry(relations.line_velocity, line.name, source=line.pipe_source, flow=flow, bore=line.conduit.bore)
    return judged_velocity(figure)


def _state(network: Network, running: Sequence[bool], states: States) -> Balance:
    """Balance of the network for a set of running pumps, computed once per set (``states``)."""
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


def _without(network: Network, states: States) -> tuple[list[Entry], list[Entry]]:
    """(total flow with one running pump stopped, backflow through that pump), for each pump."""
    flows, backs = [], []
    running = [path.running for path in network.pumps]
    for index, path in enumerate(network.pumps):
        if path.running and sum(running) > 1:
            state = _state(network, [on and number != index for number, on in enumerate(running)], states)
            flows.append(entry(relations.flow_with, path.name, balanced=state, flows=state.pump_flows))
            if state.pump_flows[index] < -NOTHING:
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
