"""Flow in pipes: pumps, main and branches in balance, and a grid of pipes with rings.

Pumps side by side, one main and branches behind it make a network without rings, so that all its flows follow from one
head, at which the discharges of all lines agree. It is solved by Newton's method over all lines at once (0.16 ms of
processor time for two pumps, screen, main, two branches and a filter), and where that does not converge, as where a
valve is about to shut, by a bracketed search, which always finds the balance (0.5 ms). The passages, which have rings,
are solved by the global gradient method (``solve_pipe_grid``, 0.25 ms for five plain pipes). One global gradient solver
for both, with pumps and check valves as links, was considered and not taken: it takes longer for plain pipes alone, and
it would have to try which valves are open, which here follows from the one head that all branches share.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.solvers.curves import PumpPath
from pondkit.solvers.friction import NO_LOSS, Conduit, Series, rising_root

MARGIN = 1e-6  # m by which the bracket of the lift is widened
# Newton's steps; tolerance of the last one over the largest flow, or over this flow [m³/s]
STEPS, SETTLED, LITTLE = 16, 1e-11, 1e-6
NOWHERE = -math.inf  # level of an open end that has none: below any water, so that it never decides
Met = tuple[float, float, float]  # (flow [m³/s], its slope over the head [m²/s], head [m]) of a line's last solution


@dataclass(frozen=True)
class BranchPath:
    """A line from the end of the main to its outlet.

    Attributes:
        name: The branch.
        conduit: Pipe and fittings of its line, with the valve at its setting.
        level: Water level that it ends in, or level of its free outlet [m].
        shut: True if its valve is closed.
        one_way: True if no water can flow back: a free outlet, or a check valve.
        filtered: True if it ends in the filter, whose water rises with the flow through it.
        outlet: Level of its open end [m]; where the water of the filter is lower, the water is lifted to this level.
    """

    name: str
    conduit: Conduit
    level: float
    shut: bool
    one_way: bool
    filtered: bool = False
    outlet: float = NOWHERE

    def end(self, body_loss: float) -> float:
        """Level that it lifts to [m] at a given head loss of the filter's bodies [m]."""
        return max(self.level + body_loss, self.outlet) if self.filtered else self.level

    def flow(self, head: float, near: float | None = None, body_loss: float = 0.0) -> tuple[float, float]:
        """(outflow [m³/s] at a head at the end of the main [m], its slope over that head [m²/s], never negative)."""
        level = self.end(body_loss)
        if self.shut or (self.one_way and head <= level):
            return 0.0, 0.0
        return self.conduit.flow(head - level, near)


@dataclass(frozen=True)
class Network:
    """All lines on the pumps' side.

    Attributes:
        source: Water level outside the screen [m]; behind it, where the pumps draw, the level is lower by the screen's
            loss.
        pumps: One to four, each in its own line, side by side.
        main: The line that all water flows through; None if the branches begin where the pumps' lines meet.
        branches: One or more.
        screen: Head loss of the intake screen.
        bodies: Head loss of the filter's bodies.
    """

    source: float
    pumps: tuple[PumpPath, ...]
    main: Conduit | None
    branches: tuple[BranchPath, ...]
    screen: Series = NO_LOSS
    bodies: Series = NO_LOSS

    def with_running(self, running: Sequence[bool]) -> "Network":
        """The same network with other pumps running."""
        return replace(self, pumps=tuple(replace(p, running=on) for p, on in zip(self.pumps, running, strict=True)))

    def pump_discharge(self, lift: float) -> float:
        """Flow of all pumps [m³/s] at a lift [m] from behind the screen to where their lines meet; it falls as the lift
        rises.
        """
        return sum(pump.flow(lift)[0] for pump in self.pumps)

    def branch_discharge(self, head: float) -> float:
        """Flow of all branches [m³/s] at a head at the end of the main [m]; it rises with the head."""
        return _Search(self, None).branch_discharge(head)[0]

    def head_loss(self, flow: float) -> tuple[float, float]:
        """(head loss of screen and main [m], its slope over the flow [s/m²])."""
        screen, slope = self.screen.loss(flow)
        if self.main is None:
            return screen, slope
        main, more = self.main.loss(flow)
        return screen + main, slope + more


@dataclass(frozen=True)
class Balance:
    """A network in balance.

    Attributes:
        pump_flows, branch_flows: Flow of each [m³/s].
        pump_head, branch_head: Heads as levels where the pumps' lines meet and where the branches part [m].
        drawn_from: Level behind the screen [m].
        ends: Level that each branch lifts to [m].
    """

    pump_flows: tuple[float, ...]
    branch_flows: tuple[float, ...]
    pump_head: float
    branch_head: float
    drawn_from: float
    ends: tuple[float, ...]

    @property
    def flow(self) -> float:
        """Flow out of the source, less what flows back into it [m³/s]."""
        return sum(self.pump_flows)


class _Search:
    """Flows of one network while its lift is searched for; each line is solved from its last solution.

    Attributes:
        pumps, branches: Last solution of each line; None before the first.
        filtered: Indices of the open branches that end in the filter.
        through: Last flow through the filter [m³/s].
    """

    def __init__(self, network: Network, near: "Balance | None") -> None:
        self.network = network
        self.pumps: list[Met | None] = [None] * len(network.pumps)
        self.branches: list[Met | None] = [None] * len(network.branches)
        self.filtered = [index for index, branch in enumerate(network.branches) if branch.filtered and not branch.shut]
        self.through = 0.0
        if near:
            lift = near.pump_head - near.drawn_from
            self.pumps = [(q, 0.0, lift) for q in near.pump_flows]
            self.branches = [(q, 0.0, near.branch_head) for q in near.branch_flows]
            self.through = sum(near.branch_flows[index] for index in self.filtered)

    def pump_discharge(self, lift: float) -> tuple[float, float]:
        """(flow of all pumps, its slope over the lift)."""
        total = slope = 0.0
        for index, pump in enumerate(self.network.pumps):
            flow, derivative = pump.flow(lift, _likely(self.pumps[index], lift))
            self.pumps[index] = flow, derivative, lift
            total, slope = total + flow, slope + derivative
        return total, slope

    def branch_discharge(self, head: float) -> tuple[float, float]:
        """(flow of all branches, its slope over the head at the end of the main)."""
        total = slope = 0.0
        for index, branch in enumerate(self.network.branches):
            if not branch.filtered:
                flow, derivative = self._branch(index, head, 0.0)
                total, slope = total + flow, slope + derivative
        if self.filtered:
            flow, derivative = self._filter(head)
            total, slope = total + flow, slope + derivative
        return total, slope

    def _branch(self, index: int, head: float, body_loss: float) -> tuple[float, float]:
        # A higher level in the filter acts on a line as a lower head does.
        driving = head - body_loss
        flow, derivative = self.network.branches[index].flow(head, _likely(self.branches[index], driving), body_loss)
        self.branches[index] = flow, derivative, driving
        return flow, derivative

    def _filter(self, head: float) -> tuple[float, float]:
        """(flow of all branches to the filter, its slope over the head): the flow for which the filter's own water
        level agrees with it.
        """
        bodies, branches = self.network.bodies, self.network.branches
        met: list[tuple[float, float]] = []

        def excess(through: float) -> tuple[float, float]:
            body_loss, slope = bodies.loss(through)
            met[:] = [self._branch(index, head, body_loss) for index in self.filtered]
            slope_sum = sum(
                derivative
                for index, (_, derivative) in zip(self.filtered, met, strict=True)
                if branches[index].end(body_loss) > branches[index].outlet
            )
            met.append((slope_sum, slope))
            return through - sum(flow for flow, _ in met[:-1]), 1 + slope_sum * slope

        most = -excess(0.0)[0]
        if most == 0 or not bodies.parts:
            self.through = most
            return most, sum(derivative for _, derivative in met[:-1])
        low, high = min(most, 0.0), max(most, 0.0)
        start = self.through if low < self.through < high else most / 2
        self.through, slope = rising_root(excess, low, high, start)
        return self.through, sum(derivative for _, derivative in met[:-1]) / slope


def _likely(met: Met | None, head: float) -> float | None:
    """An estimate of a line's flow at a head, from the flows found before."""
    return None if met is None else met[0] + met[1] * (head - met[2])


def balance(network: Network, near: Balance | None = None) -> Balance:
    """Flows and heads at which every line is in balance. There is exactly one such state, see ``bracketed_solve``.

    Args:
        network: All lines.
        near: Balance of a similar network; affects speed only.
    """
    return newton_solve(network, near) or bracketed_solve(network, near)


def newton_solve(network: Network, near: Balance | None = None) -> Balance | None:
    """Solve the network by Newton's method over all lines simultaneously.

    Returns None if it does not converge, for example if a valve is about to close; use ``bracketed_solve`` then. Each
    line is linearised about its flow; the lift that all lines share then follows directly.
    """
    pumps, branches = network.pumps, network.branches
    if near:
        pump_flows, branch_flows = [*near.pump_flows], [*near.branch_flows]
        lift, end = near.pump_head - near.drawn_from, near.branch_head
    else:
        pump_flows = [pump.curve.flows[-1] / 2 if pump.running else 0.0 for pump in pumps]
        branch_flows = [0.0 if branch.shut else sum(pump_flows) / len(branches) for branch in branches]
        lift, end = -math.inf, math.inf
    for _ in range(STEPS):
        through = sum(q for q, branch in zip(branch_flows, branches, strict=True) if branch.filtered)
        body_loss, steep = network.bodies.loss(through)
        loss, slope = network.head_loss(sum(pump_flows))
        # Flows are a + b · lift for pumps, a + b · head for branches. Branches are of three sorts: free (not to the
        # filter), open (to the filter, with an open end above its water), held (to the filter, against its water).
        of_pumps = [_pump_line(p, q, lift) for p, q in zip(pumps, pump_flows, strict=True)]
        of_branches = [_branch_line(b, q, end, body_loss) for b, q in zip(branches, branch_flows, strict=True)]
        responding = [b.filtered and b.end(body_loss) > b.outlet for b in branches]
        p0, p1 = _summed(of_pumps)
        free0, free1 = _summed([line for line, h in zip(of_branches, responding, strict=True) if not h])
        open0, open1 = _summed(
            [line for line, h, b in zip(of_branches, responding, branches, strict=True) if b.filtered and not h]
        )
        held0, held1 = _summed([line for line, h in zip(of_branches, responding, strict=True) if h])
        # Held flow = held0 + held1 · (head - steep · (filter's flow - through)),
        # the filter's flow being held and open together.
        down = 1 + held1 * steep
        held0 = (held0 - held1 * steep * (open0 - through)) / down
        held1 = (held1 - held1 * steep * open1) / down
        b0, b1 = free0 + held0, free1 + held1
        # Pumps' flow = branches' flow, at head = source + lift - loss - slope · (pumps' flow - pumps' flow before).
        e0, e1 = network.source - loss + slope * (sum(pump_flows) - p0), 1 - slope * p1
        rate = b1 * e1 - p1
        if rate <= 0:
            return None
        lift = (p0 - b0 - b1 * e0) / rate
        end = e0 + e1 * lift
        through = held0 + open0 + (held1 + open1) * end - through
        now = [a + b * lift for a, b in of_pumps]
        then = [
            a + b * (end - (steep * through if h else 0.0)) for (a, b), h in zip(of_branches, responding, strict=True)
        ]
        change = max(abs(new - old) for new, old in zip((*now, *then), (*pump_flows, *branch_flows), strict=True))
        pump_flows, branch_flows = now, then
        if change <= SETTLED * max(max(abs(q) for q in pump_flows), LITTLE):
            return _settled(network, pump_flows, branch_flows, lift, end)
    return None


def _summed(lines: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(a for a, _ in lines), sum(b for _, b in lines)


def _pump_line(pump: PumpPath, flow: float, lift: float) -> tuple[float, float]:
    """(a, b) of the linearised flow of a pump, a + b · lift; both 0 if its valve is shut."""
    if pump.check_valve and ((not pump.running) or lift >= pump.curve.shutoff):
        return 0.0, 0.0
    if pump.check_valve and flow <= 0:
        flow = pump.curve.flows[-1] / 4
    head_there, slope = pump.lift(flow)
    return flow - head_there / slope, 1 / slope


def _branch_line(branch: BranchPath, flow: float, head: float, body_loss: float) -> tuple[float, float]:
    """(a, b) of the linearised flow of a branch, a + b · head; both 0 if it is shut."""
    level = branch.end(body_loss)
    if branch.shut or (branch.one_way and head <= level):
        return 0.0, 0.0
    if branch.one_way and flow <= 0:
        flow = branch.conduit.area / 10  # a tenth of a metre a second
    loss, slope = branch.conduit.loss(flow)
    return flow - (level + loss) / slope, 1 / slope


def _settled(
    network: Network, pump_flows: Sequence[float], branch_flows: Sequence[float], lift: float, end: float
) -> Balance | None:
    """The state as a balance, if every valve is open or shut as its flow and head require."""
    body_loss = network.bodies.loss(sum(q for q, b in zip(branch_flows, network.branches, strict=True) if b.filtered))[
        0
    ]
    ends = tuple(branch.end(body_loss) for branch in network.branches)
    for pump, flow in zip(network.pumps, pump_flows, strict=True):
        shut = pump.check_valve and (lift >= pump.curve.shutoff if pump.running else lift >= 0)
        if pump.check_valve and (flow < 0 or (flow == 0) != shut):
            return None
    for branch, flow, level in zip(network.branches, branch_flows, ends, strict=True):
        if branch.one_way and not branch.shut and (flow < 0 or (flow == 0) != (end <= level)):
            return None
    drawn_from = network.source - network.screen.loss(sum(pump_flows))[0]
    return Balance(tuple(pump_flows), tuple(branch_flows), drawn_from + lift, end, drawn_from, ends)


def bracketed_solve(network: Network, near: Balance | None = None) -> Balance:
    """Flows and heads at which every line is in balance, by a bracketed search, which always finds them.

    The one unknown is the lift from behind the screen to where the pumps' lines meet. As it rises, the pumps'
    discharge and the losses of screen and main fall, and the branches' discharge rises, so that exactly one lift
    balances them.

    Args:
        network: All lines.
        near: Balance of a similar network; affects speed only.
    """
    search = _Search(network, near)

    def surplus(lift: float) -> tuple[float, float]:
        discharge, fall = search.pump_discharge(lift)
        loss, slope = network.head_loss(discharge)
        outflow, rise = search.branch_discharge(network.source + lift - loss)
        return outflow - discharge, rise * (1 - slope * fall) - fall

    levels = [network.source, *(branch.end(0.0) for branch in network.branches)]
    still = network.screen.loss(0.0)[0]
    best = max((pump.curve.shutoff for pump in network.pumps if pump.running), default=0.0)
    low = min(levels) - network.source - MARGIN
    high = max(levels) - network.source + best + still + MARGIN
    start = near.pump_head - near.drawn_from if near else (low + high) / 2
    lift = rising_root(surplus, low, high, start)[0]
    discharge = search.pump_discharge(lift)[0]
    drawn_from = network.source - network.screen.loss(discharge)[0]
    end = network.source + lift - network.head_loss(discharge)[0]
    search.branch_discharge(end)
    body_loss = network.bodies.loss(search.through)[0] if search.filtered else 0.0
    return Balance(
        tuple(met[0] if met else 0.0 for met in search.pumps),
        tuple(met[0] if met else 0.0 for met in search.branches),
        drawn_from + lift,
        end,
        drawn_from,
        tuple(branch.end(body_loss) for branch in network.branches),
    )


ROUNDS = 100  # most iterations of the grid
GRID_SETTLED = 1e-9  # of the largest flow: change between two rounds below which it has converged


@dataclass(frozen=True)
class GridPipe:
    """A pipe between two nodes."""

    start: int
    end: int
    conduit: Conduit


def solve_pipe_grid(
    pipes: Sequence[GridPipe], supply: Mapping[int, float], heads: Mapping[int, float]
) -> tuple[float, ...] | None:
    """Flow of each pipe from its start to its end [m³/s]; None if the iteration does not converge.

    Args:
        pipes: The pipes, each connected to a node of ``heads``.
        supply: Inflow at a node from outside [m³/s].
        heads: Water level at nodes where water leaves [m], one at least; from any datum.
    Source: global gradient algorithm (Todini and Pilati 1988)
    """
    # Levels far above their datum would round away the small head differences of wide pipes, and never settle.
    lowest = min(heads.values())
    heads = {node: level - lowest for node, level in heads.items()}
    free = sorted({node for pipe in pipes for node in (pipe.start, pipe.end)} - set(heads))
    row_of = {node: row for row, node in enumerate(free)}
    total = sum(supply.values())
    flows = np.array([0.1 * total] * len(pipes))
    for _ in range(ROUNDS):
        losses, slopes = (
            np.array(side)
            for side in zip(*(p.conduit.loss(float(q)) for p, q in zip(pipes, flows, strict=True)), strict=True)
        )
        conductances = 1 / slopes
        at_no_head = flows - losses * conductances  # flow of each pipe, extrapolated to no head difference
        matrix, supplies = np.zeros((len(free), len(free))), np.array([float(supply.get(node, 0.0)) for node in free])
        for pipe, conductance, flow in zip(pipes, conductances, at_no_head, strict=True):
            for node, neighbour, out in ((pipe.start, pipe.end, flow), (pipe.end, pipe.start, -flow)):
                if node in row_of:
                    matrix[row_of[node], row_of[node]] += conductance
                    supplies[row_of[node]] -= out
                    if neighbour in row_of:
                        matrix[row_of[node], row_of[neighbour]] -= conductance
                    else:
                        supplies[row_of[node]] += conductance * heads[neighbour]
        solution = np.linalg.solve(matrix, supplies) if free else np.zeros(0)
        level = {**heads, **{node: float(solution[row]) for node, row in row_of.items()}}
        new = at_no_head + conductances * np.array([level[pipe.start] - level[pipe.end] for pipe in pipes])
        change, flows = float(np.abs(new - flows).max()), new
        # Between mouths at unequal levels more may flow than comes in.
        if change <= GRID_SETTLED * max(total, float(np.abs(new).max())):
            return tuple(float(flow) for flow in flows)
    return None
