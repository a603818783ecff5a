"""Curves of pumps and lines for a picture: worked out only when it is open."""

from dataclasses import dataclass

import numpy as np

from pondkit.solvers.pipe_network import Network, balance

POINTS = 25


@dataclass(frozen=True)
class Drawn:
    """A curve: flows [m³/s] and heads above the water drawn from [m]."""

    name: str
    flows: tuple[float, ...]
    heads: tuple[float, ...]


@dataclass(frozen=True)
class Sweep:
    """What the picture of the pumps shows.

    Attributes:
        system: Head that main and branches need where the pumps' lines meet, over the flow.
        pumps: What the first, the first two … running pumps give there, their own lines taken off.
        points: (flow, head) where each of these meets the system's.
    """

    system: Drawn
    pumps: tuple[Drawn, ...]
    points: tuple[tuple[float, float], ...]


def sweep(network: Network) -> Sweep:
    """Curves of a network and where they meet, for each number of running pumps."""
    states = []
    order = [index for index, pump in enumerate(network.pumps) if pump.running]
    for number in range(1, len(order) + 1):
        states.append(network.with_running([i in order[:number] for i in range(len(network.pumps))]))
    best = max(network.pumps[i].curve.shutoff for i in order)
    heads = np.linspace(0.0, best, POINTS)
    found = [balance(state) for state in states]
    pumps = tuple(
        _given(state, heads, f"{number} pump{'s' if number > 1 else ''}") for number, state in enumerate(states, 1)
    )
    return Sweep(
        _needed(network, max(b.branch_head for b in found)),
        pumps,
        tuple((b.flow, b.pump_head - network.source) for b in found),
    )


def _given(state: Network, heads: "np.ndarray[tuple[int], np.dtype[np.float64]]", name: str) -> Drawn:
    flows = [state.raised(float(lift)) for lift in heads]
    kept = [(q, float(h) - state.screen.loss(q)[0]) for q, h in zip(flows, heads, strict=True) if q >= 0]
    return Drawn(name, tuple(q for q, _ in kept), tuple(h for _, h in kept))


def _needed(network: Network, reached: float) -> Drawn:
    """Head over flow of main and branches, from no flow to a little past the head reached at the end of the main."""
    lowest = min(branch.end(0.0) for branch in network.branches if not branch.shut)
    ends = lowest + 1.35 * (reached - lowest) * np.linspace(0.0, 1.0, POINTS) ** 2
    rows = [(network.taken(float(end)), float(end)) for end in ends]
    mains = [(flow, end, network.main.loss(flow)[0] if network.main else 0.0) for flow, end in rows if flow >= 0]
    kept = [(flow, end + lost - network.source) for flow, end, lost in mains]
    return Drawn("lines", tuple(q for q, _ in kept), tuple(h for _, h in kept))
