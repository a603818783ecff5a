"""Pumps, main and branches in balance: one head where the pumps' lines meet at which all flows agree."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scipy.optimize import brentq

from pondkit.water.curves import PumpPath
from pondkit.water.friction import Conduit

CLOSE_BY = 2e-3  # m to either side of a head that is likely near
MARGIN = 1e-6  # m beyond the levels between which the head lies


@dataclass(frozen=True)
class BranchPath:
    """A line from the end of the main to where its water leaves it.

    Attributes:
        name: The branch.
        conduit: Its line, the valve at its setting among the fittings.
        level: Level of the water it ends in, or of its free outlet [m].
        shut: True where its valve is closed.
        one_way: True where nothing can run back: a free outlet, or a check valve.
    """

    name: str
    conduit: Conduit
    level: float
    shut: bool
    one_way: bool

    def flow(self, head: float) -> float:
        """Flow out [m³/s] for a head at the end of the main [m]; it rises with the head."""
        if self.shut or (self.one_way and head <= self.level):
            return 0.0
        return self.conduit.flow(head - self.level)


@dataclass(frozen=True)
class Network:
    """All lines of the pumps' side.

    Attributes:
        source: Level of the water that the pumps draw from [m].
        pumps: One to four, each in its own line, side by side.
        main: The line that all water goes through; None where the branches start where the pumps' lines meet.
        branches: One or more.
    """

    source: float
    pumps: tuple[PumpPath, ...]
    main: Conduit | None
    branches: tuple[BranchPath, ...]

    def with_running(self, running: Sequence[bool]) -> "Network":
        """The same lines with other pumps running."""
        return replace(self, pumps=tuple(replace(p, running=on) for p, on in zip(self.pumps, running, strict=True)))

    def raised(self, head: float) -> float:
        """Flow of all pumps at a head where their lines meet: it falls as the head rises."""
        return sum(pump.flow(head - self.source) for pump in self.pumps)

    def taken(self, head: float) -> float:
        """Flow of all branches at a head at the end of the main: it rises with the head."""
        return sum(branch.flow(head) for branch in self.branches)

    def lost(self, flow: float) -> float:
        """What the main takes of the head [m]."""
        return self.main.loss(flow)[0] if self.main else 0.0


@dataclass(frozen=True)
class Balance:
    """A network in balance: flow of each pump and branch [m³/s], heads as levels where pumps meet and branches part [m]."""

    pump_flows: tuple[float, ...]
    branch_flows: tuple[float, ...]
    pump_head: float
    branch_head: float

    @property
    def flow(self) -> float:
        """What leaves the source, less what runs back to it."""
        return sum(self.pump_flows)


def balance(network: Network, near: float | None = None) -> Balance:
    """Flows and heads at which every line is in balance.

    All of it hangs on the head where the pumps' lines meet: the higher it is, the less the pumps give and the more the
    branches take, so that there is one such head.

    Args:
        network: All lines.
        near: A head that it is likely near [m], such as that of a network little different; only for speed.
    """

    def surplus(head: float) -> float:
        given = network.raised(head)
        return network.taken(head - network.lost(given)) - given

    levels = [network.source, *(branch.level for branch in network.branches)]
    most = max(levels) + max((pump.curve.shutoff for pump in network.pumps if pump.running), default=0.0)
    low, high = min(levels) - MARGIN, most + MARGIN
    if near is not None and low < near - CLOSE_BY and near + CLOSE_BY < high:
        if surplus(near + CLOSE_BY) < 0:
            low = near + CLOSE_BY
        elif surplus(near - CLOSE_BY) > 0:
            high = near - CLOSE_BY
        else:
            low, high = near - CLOSE_BY, near + CLOSE_BY
    head = float(brentq(surplus, low, high, xtol=1e-9, rtol=1e-11))
    end = head - network.lost(network.raised(head))
    return Balance(
        tuple(pump.flow(head - network.source) for pump in network.pumps),
        tuple(branch.flow(end) for branch in network.branches),
        head,
        end,
    )
