"""Flow in pipes: pumps, main and branches in balance, and a grid of pipes with rings.

Pumps side by side, one main and branches behind it make a network without rings, so that all its flows follow from one
head, at which the discharges of all lines agree. It is solved by Newton's method over all lines at once (0.16 ms of
processor time for two pumps, screen, main, two branches and a filter), and where that does not converge, as where a
valve is about to shut, by a bracketed search that cannot fail (0.5 ms). The passages, which have rings, are solved by
the global gradient method (``solve_pipe_grid``, 0.25 ms for five plain pipes). One global gradient solver for both,
with pumps and check valves as links, was weighed and left: plain pipes alone take it longer, and it would need a search
of its own over the valves' states, which the order of heads along this one line gives for nothing.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pondkit.solvers.curves import PumpPath
from pondkit.solvers.friction import NO_LOSS, Conduit, Series, rising_root

MARGIN = 1e-6  # m beyond the lifts between which the pumps' lies
STEPS, SETTLED, LITTLE = 16, 1e-11, 1e-6  # Newton's steps on all lines; last one over the largest flow, or this [m³/s]
NOWHERE = -math.inf  # a level that holds nothing back
Met = tuple[
    float, float, float
]  # (flow [m³/s], its slope over the head [m²/s], head [m]) of a line, where last looked at


@dataclass(frozen=True)
class BranchPath:
    """A line from the end of the main to where its water leaves it.

    Attributes:
        name: The branch.
        conduit: Its line, the valve at its setting among the fittings.
        level: Level of the water it ends in, or of its free outlet [m].
        shut: True where its valve is closed.
        one_way: True where nothing can run back: a free outlet, or a check valve.
        filtered: True where it ends in the filter, whose water stands the higher the more flows through it.
        outlet: Level of its open end [m]: what it lifts to where the water stands lower.
    """

    name: str
    conduit: Conduit
    level: float
    shut: bool
    one_way: bool
    filtered: bool = False
    outlet: float = NOWHERE

    def end(self, taken: float) -> float:
        """Level that it lifts to [m] where the filter's bodies take some head [m]."""
        return max(self.level + taken, self.outlet) if self.filtered else self.level

    def flow(self, head: float, near: float | None = None, taken: float = 0.0) -> tuple[float, float]:
        """(flow out [m³/s] for a head at the end of the main [m], its slope over that head [m²/s], never under 0)."""
        level = self.end(taken)
        if self.shut or (self.one_way and head <= level):
            return 0.0, 0.0
        return self.conduit.flow(head - level, near)


@dataclass(frozen=True)
class Network:
    """All lines of the pumps' side.

    Attributes:
        source: Level of the water that the screen stands in [m]; behind it, where the pumps draw, it is lower by
            its loss.
        pumps: One to four, each in its own line, side by side.
        main: The line that all water goes through; None where the branches start where the pumps' lines meet.
        branches: One or more.
        screen: What the intake takes of the head.
        bodies: What the filter's bodies take of it.
    """

    source: float
    pumps: tuple[PumpPath, ...]
    main: Conduit | None
    branches: tuple[BranchPath, ...]
    screen: Series = NO_LOSS
    bodies: Series = NO_LOSS

    def with_running(self, running: Sequence[bool]) -> "Network":
        """The same lines with other pumps running."""
        return replace(self, pumps=tuple(replace(p, running=on) for p, on in zip(self.pumps, running, strict=True)))

    def pump_discharge(self, lift: float) -> float:
        """Flow of all pumps at a lift from behind the screen to where their lines meet: it falls as the lift rises."""
        return sum(pump.flow(lift)[0] for pump in self.pumps)

    def branch_discharge(self, head: float) -> float:
        """Flow of all branches at a head at the end of the main: it rises with the head."""
        return _Search(self, None).branch_discharge(head)[0]

    def head_loss(self, flow: float) -> tuple[float, float]:
        """(what screen and main take of the head [m], its slope over the flow [s/m²])."""
        screen, slope = self.screen.loss(flow)
        if self.main is None:
            return screen, slope
        main, more = self.main.loss(flow)
        return screen + main, slope + more


@dataclass(frozen=True)
class Balance:
    """A network in balance.

    Attributes:
        pump_flows, branch_flows: Of each [m³/s].
        pump_head, branch_head: Heads as levels where the pumps' lines meet and where the branches part [m].
        drawn_from: Level behind the screen [m].
        ends: Level that each branch ends at [m].
    """

    pump_flows: tuple[float, ...]
    branch_flows: tuple[float, ...]
    pump_head: float
    branch_head: float
    drawn_from: float
    ends: tuple[float, ...]

    @property
    def flow(self) -> float:
        """What leaves the source, less what runs back to it."""
        return sum(self.pump_flows)


class _Search:
    """Flows of one network at the heads of a search; each line starts from where it was looked at last."""

    def __init__(self, network: Network, near: "Balance | None") -> None:
        self.network = network
        self.pumps: list[Met | None] = [None] * len(network.pumps)
        self.branches: list[Met | None] = [None] * len(network.branches)
        self.filtered = [at for at, branch in enumerate(network.branches) if branch.filtered and not branch.shut]
        self.through = 0.0
        if near:
            lift = near.pump_head - near.drawn_from
            self.pumps = [(q, 0.0, lift) for q in near.pump_flows]
            self.branches = [(q, 0.0, near.branch_head) for q in near.branch_flows]
            self.through = sum(near.branch_flows[at] for at in self.filtered)

    def pump_discharge(self, lift: float) -> tuple[float, float]:
        """(flow of all pumps, its slope over the lift)."""
        whole = slope = 0.0
        for at, pump in enumerate(self.network.pumps):
            flow, own = pump.flow(lift, _likely(self.pumps[at], lift))
            self.pumps[at] = flow, own, lift
            whole, slope = whole + flow, slope + own
        return whole, slope

    def branch_discharge(self, head: float) -> tuple[float, float]:
        """(flow of all branches, its slope over the head at the end of the main)."""
        whole = slope = 0.0
        for at, branch in enumerate(self.network.branches):
            if not branch.filtered:
                flow, own = self._branch(at, head, 0.0)
                whole, slope = whole + flow, slope + own
        if self.filtered:
            flow, own = self._filter(head)
            whole, slope = whole + flow, slope + own
        return whole, slope

    def _branch(self, at: int, head: float, taken: float) -> tuple[float, float]:
        # A filter that stands higher acts on a line as a lower head does.
        driving = head - taken
        flow, own = self.network.branches[at].flow(head, _likely(self.branches[at], driving), taken)
        self.branches[at] = flow, own, driving
        return flow, own

    def _filter(self, head: float) -> tuple[float, float]:
        """(flow of all branches to the filter, its slope over the head): the flow that makes the filter stand as
        it takes.
        """
        bodies, branches = self.network.bodies, self.network.branches
        met: list[tuple[float, float]] = []

        def over(through: float) -> tuple[float, float]:
            taken, slope = bodies.loss(through)
            met[:] = [self._branch(at, head, taken) for at in self.filtered]
            held = sum(
                own
                for at, (_, own) in zip(self.filtered, met, strict=True)
                if branches[at].end(taken) > branches[at].outlet
            )
            met.append((held, slope))
            return through - sum(flow for flow, _ in met[:-1]), 1 + held * slope

        most = -over(0.0)[0]
        if most == 0 or not bodies.parts:
            self.through = most
            return most, sum(own for _, own in met[:-1])
        low, high = min(most, 0.0), max(most, 0.0)
        start = self.through if low < self.through < high else most / 2
        self.through, slope = rising_root(over, low, high, start)
        return self.through, sum(own for _, own in met[:-1]) / slope


def _likely(met: Met | None, head: float) -> float | None:
    """A flow that a line's is likely near at a head."""
    return None if met is None else met[0] + met[1] * (head - met[2])


def balance(network: Network, near: Balance | None = None) -> Balance:
    """Flows and heads at which every line is in balance: there is one such state, see ``bracketed_solve``.

    Args:
        network: All lines.
        near: The balance of a network little different; only for speed.
    """
    return newton_solve(network, near) or bracketed_solve(network, near)


def newton_solve(network: Network, near: Balance | None = None) -> Balance | None:
    """Solve the network by Newton's method over all lines simultaneously.

    Returns None where it does not converge, as where a valve is about to shut; use ``bracketed_solve`` then.
    Each line is taken as straight about its flow; what the lines then have in common, the lift, follows at once.
    """
    pumps, branches = network.pumps, network.branches
    if near:
        given, out = [*near.pump_flows], [*near.branch_flows]
        lift, end = near.pump_head - near.drawn_from, near.branch_head
    else:
        given = [pump.curve.flows[-1] / 2 if pump.running else 0.0 for pump in pumps]
        out = [0.0 if branch.shut else sum(given) / len(branches) for branch in branches]
        lift, end = -math.inf, math.inf
    for _ in range(STEPS):
        through = sum(q for q, branch in zip(out, branches, strict=True) if branch.filtered)
        taken, steep = network.bodies.loss(through)
        lost, slope = network.head_loss(sum(given))
        # Flows are a + b · lift of pumps, a + b · head of branches, and of those that the filter's own level holds.
        of_pumps = [_pump_line(p, q, lift) for p, q in zip(pumps, given, strict=True)]
        of_branches = [_branch_line(b, q, end, taken) for b, q in zip(branches, out, strict=True)]
        held = [b.filtered and b.end(taken) > b.outlet for b in branches]
        p0, p1 = _summed(of_pumps)
        free0, free1 = _summed([line for line, h in zip(of_branches, held, strict=True) if not h])
        open0, open1 = _summed(
            [line for line, h, b in zip(of_branches, held, branches, strict=True) if b.filtered and not h]
        )
        held0, held1 = _summed([line for line, h in zip(of_branches, held, strict=True) if h])
        # Held flow = held0 + held1 · (head - steep · (filter's flow - through)),
        # the filter's flow being held and open together.
        down = 1 + held1 * steep
        held0 = (held0 - held1 * steep * (open0 - through)) / down
        held1 = (held1 - held1 * steep * open1) / down
        b0, b1 = free0 + held0, free1 + held1
        # Given = taken, at head = source + lift - lost - slope · (given - what it was).
        e0, e1 = network.source - lost + slope * (sum(given) - p0), 1 - slope * p1
        rate = b1 * e1 - p1
        if rate <= 0:
            return None
        lift = (p0 - b0 - b1 * e0) / rate
        end = e0 + e1 * lift
        through = held0 + open0 + (held1 + open1) * end - through
        now = [a + b * lift for a, b in of_pumps]
        then = [a + b * (end - (steep * through if h else 0.0)) for (a, b), h in zip(of_branches, held, strict=True)]
        moved = max(abs(new - old) for new, old in zip((*now, *then), (*given, *out), strict=True))
        given, out = now, then
        if moved <= SETTLED * max(max(abs(q) for q in given), LITTLE):
            return _settled(network, given, out, lift, end)
    return None


def _summed(lines: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(a for a, _ in lines), sum(b for _, b in lines)


def _pump_line(pump: PumpPath, flow: float, lift: float) -> tuple[float, float]:
    """(a, b) of the straight line a + b · lift that the pump's flow is taken as; both 0 where its valve is shut."""
    if pump.check_valve and ((not pump.running) or lift >= pump.curve.shutoff):
        return 0.0, 0.0
    if pump.check_valve and flow <= 0:
        flow = pump.curve.flows[-1] / 4
    at, slope = pump.lift(flow)
    return flow - at / slope, 1 / slope


def _branch_line(branch: BranchPath, flow: float, head: float, taken: float) -> tuple[float, float]:
    """(a, b) of the straight line a + b · head that the branch's flow is taken as; both 0 where it is shut."""
    level = branch.end(taken)
    if branch.shut or (branch.one_way and head <= level):
        return 0.0, 0.0
    if branch.one_way and flow <= 0:
        flow = branch.conduit.area / 10  # a tenth of a metre a second
    lost, slope = branch.conduit.loss(flow)
    return flow - (level + lost) / slope, 1 / slope


def _settled(network: Network, given: Sequence[float], out: Sequence[float], lift: float, end: float) -> Balance | None:
    """The state as a balance, where every valve stands as its flow and head ask."""
    taken = network.bodies.loss(sum(q for q, b in zip(out, network.branches, strict=True) if b.filtered))[0]
    ends = tuple(branch.end(taken) for branch in network.branches)
    for pump, flow in zip(network.pumps, given, strict=True):
        shut = pump.check_valve and (lift >= pump.curve.shutoff if pump.running else lift >= 0)
        if pump.check_valve and (flow < 0 or (flow == 0) != shut):
            return None
    for branch, flow, level in zip(network.branches, out, ends, strict=True):
        if branch.one_way and not branch.shut and (flow < 0 or (flow == 0) != (end <= level)):
            return None
    drawn_from = network.source - network.screen.loss(sum(given))[0]
    return Balance(tuple(given), tuple(out), drawn_from + lift, end, drawn_from, ends)


def bracketed_solve(network: Network, near: Balance | None = None) -> Balance:
    """Flows and heads at which every line is in balance, by a search that cannot fail.

    All of it depends on the lift from behind the screen to where the pumps' lines meet: the higher it is, the less
    the pumps
    give, the less screen and main take, and the more the branches take, so that there is one such lift.

    Args:
        network: All lines.
        near: The balance of a network little different; only for speed.
    """
    search = _Search(network, near)

    def surplus(lift: float) -> tuple[float, float]:
        given, fall = search.pump_discharge(lift)
        lost, slope = network.head_loss(given)
        taken, rise = search.branch_discharge(network.source + lift - lost)
        return taken - given, rise * (1 - slope * fall) - fall

    levels = [network.source, *(branch.end(0.0) for branch in network.branches)]
    still = network.screen.loss(0.0)[0]
    best = max((pump.curve.shutoff for pump in network.pumps if pump.running), default=0.0)
    low = min(levels) - network.source - MARGIN
    high = max(levels) - network.source + best + still + MARGIN
    start = near.pump_head - near.drawn_from if near else (low + high) / 2
    lift = rising_root(surplus, low, high, start)[0]
    given = search.pump_discharge(lift)[0]
    drawn_from = network.source - network.screen.loss(given)[0]
    end = network.source + lift - network.head_loss(given)[0]
    search.branch_discharge(end)
    taken = network.bodies.loss(search.through)[0] if search.filtered else 0.0
    return Balance(
        tuple(met[0] if met else 0.0 for met in search.pumps),
        tuple(met[0] if met else 0.0 for met in search.branches),
        drawn_from + lift,
        end,
        drawn_from,
        tuple(branch.end(taken) for branch in network.branches),
    )


ROUNDS = 100
GRID_SETTLED = 1e-9  # of all flow: flows that change less between two rounds stay


@dataclass(frozen=True)
class GridPipe:
    """A pipe between two nodes."""

    start: int
    end: int
    conduit: Conduit


def solve_pipe_grid(
    pipes: Sequence[GridPipe], supply: Mapping[int, float], heads: Mapping[int, float]
) -> tuple[float, ...] | None:
    """Flow of each pipe from its start to its end [m³/s]; None where no balance is found.

    Args:
        pipes: All of them joined to a node of ``heads``.
        supply: What flows in at a node from outside [m³/s].
        heads: Level of the water at nodes where it leaves [m].
    Source: global gradient algorithm (Todini and Pilati 1988)
    """
    free = sorted({node for pipe in pipes for node in (pipe.start, pipe.end)} - set(heads))
    at = {node: row for row, node in enumerate(free)}
    whole = sum(supply.values())
    flows = np.array([0.1 * whole] * len(pipes))
    for _ in range(ROUNDS):
        losses, slopes = (
            np.array(side)
            for side in zip(*(p.conduit.loss(float(q)) for p, q in zip(pipes, flows, strict=True)), strict=True)
        )
        gains = 1 / slopes
        still = flows - losses * gains  # flow of each at its slope with no difference of heads
        matrix, wanted = np.zeros((len(free), len(free))), np.array([float(supply.get(node, 0.0)) for node in free])
        for pipe, gain, steady in zip(pipes, gains, still, strict=True):
            for node, other, out in ((pipe.start, pipe.end, steady), (pipe.end, pipe.start, -steady)):
                if node in at:
                    matrix[at[node], at[node]] += gain
                    wanted[at[node]] -= out
                    if other in at:
                        matrix[at[node], at[other]] -= gain
                    else:
                        wanted[at[node]] += gain * heads[other]
        found = np.linalg.solve(matrix, wanted) if free else np.zeros(0)
        level = {**heads, **{node: float(found[row]) for node, row in at.items()}}
        new = still + gains * np.array([level[pipe.start] - level[pipe.end] for pipe in pipes])
        change, flows = float(np.abs(new - flows).max()), new
        if change <= GRID_SETTLED * whole:
            return tuple(float(flow) for flow in flows)
    return None
