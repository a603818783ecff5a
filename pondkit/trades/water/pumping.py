"""Pumps and pipes of an option, put in balance and written out as figures."""

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
    """No figures, and why."""
    return PumpingResult(
        None, (), (), (), (), (), None, (), (), (), (), (), (), None, None, (), (), (), None, None, tuple(problems)
    )


@dataclass(frozen=True)
class PumpSystem:
    """Pumps, main and branches as drawn, made into lines.

    Attributes:
        asked: The water side as drawn.
        drawn: The same without pumps whose curve is still to be read.
        water: Its density and viscosity.
        pumps, main, branches: The lines.
        paths: The pumps in theirs.
        ends: Where each branch ends: the filter (""), or a pool by its name.
        at_rest: Level of the water there with the pumps off [m].
        screen, bodies: What the intake and the filter's bodies take of the head.
        passage: The pipe between the filter's bodies.
        end: Of the ranges of what takes head.
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
        """True for a branch whose open end lies at or over the water."""
        level = self.drawn.branches[index].outlet_level
        return level is not None and level >= self.at_rest[index]

    def network(self, source: float, levels: Mapping[str, float]) -> Network:
        """The lines between the water drawn from and the waters that they end in, at their levels [m]."""
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
    drawn: Water, levels: Mapping[str, float], end: End = TYPICAL
) -> tuple[PumpSystem | None, list[Problem]]:
    """The lines of the water side; None where there are no pumps, or where problems keep them from being put in
    balance.

    Args:
        drawn: As drawn.
        levels: Level of each pool by its name, at rest [m].
        end: Typical, or the end of all ranges at which lines and bodies take least or most head.
    """
    problems = list(faults(drawn, levels))
    if problems or not any(has_curve(pump) for pump in drawn.pumps):
        return None, problems
    asked, drawn = drawn, drawn.changed(pumps=tuple(pump for pump in drawn.pumps if has_curve(pump)))
    water = fluid(drawn.temperature)
    lowest = min(levels, key=lambda name: levels[name])
    ends = tuple("" if branch.to == "filter" else branch.pool or lowest for branch in drawn.branches)
    cleaned = float(drawn.filter.level) if drawn.filter else 0.0
    passage = pipe_line(drawn.passage, drawn, water.viscosity, end) if drawn.passage else None
    bodies = ((passage.conduit,) if passage else ()) + resistances_of(drawn.filter, water, end) if drawn.filter else ()
    pumps = tuple(pipe_line(p, drawn, water.viscosity, end) for p in drawn.pumps)
    system = PumpSystem(
        asked,
        drawn,
        water,
        pumps,
        tuple(_path(pump, line, end) for pump, line in zip(drawn.pumps, pumps, strict=True)),
        pipe_line(drawn.main, drawn, water.viscosity, end) if drawn.main else None,
        tuple(pipe_line(b, drawn, water.viscosity, end) for b in drawn.branches),
        ends,
        tuple(levels[end] if end else cleaned for end in ends),
        Series((screen_resistance(drawn.intake),)) if drawn.intake else NO_LOSS,
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
    """Figures of pumps and pipes in balance, or the problem that the pumps cannot lift; ``near`` as for ``balance``."""
    to_filter = [branch.end(0.0) for branch in network.branches if branch.filtered and not branch.shut]
    lowest = min(to_filter or [branch.end(0.0) for branch in network.branches if not branch.shut])
    highest = network.source - network.screen.loss(0.0)[0] + max(p.curve.shutoff for p in network.pumps if p.running)
    if highest <= lowest:
        return no_pumping([cannot_lift(system.asked, network.source, lowest, filtered=bool(to_filter))])
    return _figures(system.drawn, system, network, system.water, near)


@dataclass(frozen=True)
class _PumpEntries:
    """Figures of the pumps, those that stand still only with their flow."""

    flow: tuple[Entry, ...]
    head: tuple[Entry, ...]
    water_power: tuple[Entry, ...]
    power: tuple[Entry, ...]


def _pump_entries(drawn: Water, network: Network, water: Fluid, now: Balance) -> _PumpEntries:
    flows, heads, powers, electric = [], [], [], []
    for index, (pump, path) in enumerate(zip(drawn.pumps, network.pumps, strict=True)):
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
    """What a pump draws: as on its plate, or by its efficiency."""
    notes = [ELECTRICITY_BY_WATER()]
    if pump.power is not None:
        return input_entry(pump.name, pump.power, POWER, notes)
    efficiency = within(pump.efficiency, pump.efficiency_within)
    return entry(relations.electric_power, pump.name, cautions=notes, water_power=power, efficiency=efficiency)


def _line_entries(lines: PumpSystem, now: Balance, water: Fluid) -> "list[_LineFigures]":
    """Figures of every line that water goes through."""
    filtered = sum(q for q, end in zip(now.branch_flows, lines.ends, strict=True) if not end)
    streams = [
        *zip(lines.pumps, now.pump_flows, strict=True),
        *([(lines.main, now.flow)] if lines.main else []),
        *zip(lines.branches, now.branch_flows, strict=True),
        *([(lines.passage, filtered)] if lines.passage and lines.drawn.filter else []),
    ]
    return [_line_figures(line, flow, water) for line, flow in streams]


def _figures(drawn: Water, lines: PumpSystem, network: Network, water: Fluid, near: Balance | None) -> PumpingResult:
    now = balance(network, near)
    states = {tuple(path.running for path in network.pumps): now}
    pumps = _pump_entries(drawn, network, water, now)
    flows = [
        entry(
            relations.branch_flow,
            branch.name,
            cautions=[BRANCH_RUNS_BACK()] if out < -NOTHING else [],
            balanced=now,
            index=index,
            level_where_branches_part=now.branch_head,
            level_it_ends_at=now.ends[index],
        )
        for index, (branch, out) in enumerate(zip(drawn.branches, now.branch_flows, strict=True))
    ]
    energy = entry(
        relations.energy_year, "", source="user input", power=pumps.power, runs_a_day=drawn.runs_a_day, days=DAYS
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
        energy_cost=entry(relations.energy_cost, "", energy=energy, price=drawn.energy_price)
        if drawn.energy_price is not None
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
    """A velocity with what is to be said where it leaves the limits of the table; standing water is not judged."""
    still = abs(velocity.value) <= NOTHING
    fast = replace(velocity, value=abs(velocity.value))
    return velocity if still else with_cautions(velocity, *judged(fast, LINE_FAST, LINE_SLOW).cautions)


def _flush_line(lines: PumpSystem, network: Network) -> Entry | None:
    """Velocity in the branch to the flush while it flushes: it is open, as set or wide open where it is drawn
    shut, and all others shut.
    """
    index = next((at for at, branch in enumerate(lines.drawn.branches) if branch.to == "flush"), None)
    if index is None:
        return None
    alone = tuple(replace(branch, shut=at != index) for at, branch in enumerate(network.branches))
    flow = balance(replace(network, branches=alone)).branch_flows[index]
    line = lines.branches[index]
    figure = entry(relations.line_velocity, line.name, source=line.pipe_source, flow=flow, bore=line.conduit.bore)
    return judged_velocity(figure)


def _state(network: Network, running: Sequence[bool], states: States) -> Balance:
    """The network in balance with other pumps running; each such state is worked out once."""
    key = tuple(running)
    if key not in states:
        states[key] = balance(network.with_running(running), next(iter(states.values())))
    return states[key]


def _by_number(network: Network, states: States) -> list[Entry]:
    """The flow with one, two … pumps running, in the document's order; the others stand still."""
    flows = []
    count = len(network.pumps)
    for number in range(1, count + 1 if count > 1 else 0):
        state = _state(network, [index < number for index in range(count)], states)
        subject = f"{number} pump{'s' if number > 1 else ''}"
        flows.append(entry(relations.flow_with, subject, balanced=state, flows=state.pump_flows))
    return flows


def _without(network: Network, states: States) -> tuple[list[Entry], list[Entry]]:
    """The flow when one running pump stops, and what then runs back through it."""
    flows, backs = [], []
    running = [path.running for path in network.pumps]
    for index, path in enumerate(network.pumps):
        if path.running and sum(running) > 1:
            state = _state(network, [on and at != index for at, on in enumerate(running)], states)
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
