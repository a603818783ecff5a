"""Pumps, main and branches in balance: one lift of the pumps at which all flows agree."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pondkit.water.curves import PumpPath
from pondkit.water.friction import NO_LOSS, Conduit, Series, rising_root

MARGIN = 1e-6  # m beyond the lifts between which the pumps' lies
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
        source: Level of the water that the screen stands in [m]; behind it, where the pumps draw, it is lower by its loss.
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

    def raised(self, lift: float) -> float:
        """Flow of all pumps at a lift from behind the screen to where their lines meet: it falls as the lift rises."""
        return sum(pump.flow(lift)[0] for pump in self.pumps)

    def taken(self, head: float) -> float:
        """Flow of all branches at a head at the end of the main: it rises with the head."""
        return _Search(self, None).taken(head)[0]

    def lost(self, flow: float) -> tuple[float, float]:
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

    def raised(self, lift: float) -> tuple[float, float]:
        """(flow of all pumps, its slope over the lift)."""
        whole = slope = 0.0
        for at, pump in enumerate(self.network.pumps):
            flow, own = pump.flow(lift, _likely(self.pumps[at], lift))
            self.pumps[at] = flow, own, lift
            whole, slope = whole + flow, slope + own
        return whole, slope

    def taken(self, head: float) -> tuple[float, float]:
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
        """(flow of all branches to the filter, its slope over the head): the flow that makes the filter stand as it takes."""
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
    """Flows and heads at which every line is in balance.

    All of it hangs on the lift from behind the screen to where the pumps' lines meet: the higher it is, the less the pumps
    give, the less screen and main take, and the more the branches take, so that there is one such lift.

    Args:
        network: All lines.
        near: The balance of a network little different; only for speed.
    """
    search = _Search(network, near)

    def surplus(lift: float) -> tuple[float, float]:
        given, fall = search.raised(lift)
        lost, slope = network.lost(given)
        taken, rise = search.taken(network.source + lift - lost)
        return taken - given, rise * (1 - slope * fall) - fall

    levels = [network.source, *(branch.end(0.0) for branch in network.branches)]
    still = network.screen.loss(0.0)[0]
    best = max((pump.curve.shutoff for pump in network.pumps if pump.running), default=0.0)
    low = min(levels) - network.source - MARGIN
    high = max(levels) - network.source + best + still + MARGIN
    start = near.pump_head - near.drawn_from if near else (low + high) / 2
    lift = rising_root(surplus, low, high, start)[0]
    given = search.raised(lift)[0]
    drawn_from = network.source - network.screen.loss(given)[0]
    end = network.source + lift - network.lost(given)[0]
    search.taken(end)
    taken = network.bodies.loss(search.through)[0] if search.filtered else 0.0
    return Balance(
        tuple(met[0] if met else 0.0 for met in search.pumps),
        tuple(met[0] if met else 0.0 for met in search.branches),
        drawn_from + lift,
        end,
        drawn_from,
        tuple(branch.end(taken) for branch in network.branches),
    )
