"""Runs longer than a stock length: their pieces, the couplings between, and the lengths that all runs take."""

import math
from collections.abc import Callable, Sequence

from pondkit.solvers.cutting_stock.plan import CLOSE, Plan, plan


def pieces(cut_length: float, stock_length: float) -> tuple[float, ...]:
    """Pieces of one run [m]: whole stock lengths and a rest, joined with couplings; one piece where a length is
    enough."""
    whole = max(math.ceil(cut_length / stock_length - CLOSE) - 1, 0)
    return (stock_length,) * whole + (cut_length - whole * stock_length,)


def joints(length: float, stock_length: float, coupling_stop: float) -> int:
    """Couplings inside a run of pipe that is ``length`` from stop to stop [m]; each sets its two pipes apart by twice
    its stop."""
    return max(math.ceil((length + 2 * coupling_stop) / (stock_length + 2 * coupling_stop) - CLOSE) - 1, 0)


def lengths_needed(
    cut_lengths: Sequence[float],
    stock_length: float,
    kerf: float,
    make: "Callable[[Sequence[float], float, float], Plan] | None" = None,
) -> int:
    """Stock lengths of the best plan found, for runs of these cut lengths [m], by ``plan`` or another maker of
    plans."""
    split = [pieces(length, stock_length) for length in cut_lengths]
    return sum(len(own) - 1 for own in split) + len(
        (make or plan)([own[-1] for own in split], stock_length, kerf).stock
    )
