"""A grid of pipes with rings: the flow in each, by the global gradient method."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.solvers.friction import Conduit

ROUNDS = 100
SETTLED = 1e-9  # of all flow: flows that change less between two rounds stay


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
        if change <= SETTLED * whole:
            return tuple(float(flow) for flow in flows)
    return None
