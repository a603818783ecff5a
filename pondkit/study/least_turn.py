"""The turn of a liner at which it takes least: a search, run only on request, never on a slider's way."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from pondkit.geometry.sheet import rough_extents, sheets
from pondkit.project.project import Project
from pondkit.study.evaluate import evaluate
from pondkit.trades.liner.compute import GAIN
from pondkit.trades.liner.edge import edge_of
from pondkit.trades.liner.formulas.liner import ordered
from pondkit.trades.liner.plan import Stock, cheapest

COARSE = 5.0  # degrees between the turns tried first
HOLLOWS = 3  # of them looked into
ROUGH, NEAR, FINE = 0.5, 0.8, 0.2  # degrees: to which they are, how far round the best is searched, and how finely
TIE = 1e-4  # money for 1 m²: decides between turns of one cost only


@dataclass(frozen=True)
class LinerTurn:
    """A turn [degrees] and the net area of the liner at it [m²]."""

    turn_deg: float
    area: float


def least_area_turn(area_at: Callable[[float], float], rough_at: Callable[[float], float]) -> LinerTurn:
    """The turn at which a liner's rectangle has the least area.

    Turns every few degrees first, by rough areas, then the neighbourhood of the three best narrowed down: the area has
    several hollows. Of what is found the true areas decide, and round the best of them they are searched once more.

    Args:
        area_at: Net area [m²] at a turn [degrees]; repeats after 90 degrees but for which side is called the length.
        rough_at: About the same at a tenth of the cost.
    """
    from scipy.optimize import minimize_scalar

    def narrowed(area: Callable[[float], float], start: float, wide: float, fine: float) -> float:
        bounds = (start - wide, start + wide)
        return float(minimize_scalar(area, bounds=bounds, method="bounded", options={"xatol": fine}).x)

    tries = np.arange(0.0, 90.0, COARSE)
    areas = np.array([rough_at(float(turn)) for turn in tries])
    starts = [float(turn) for turn in tries[np.argsort(areas)[:HOLLOWS]]]
    best = min([starts[0], *(narrowed(rough_at, start, COARSE, ROUGH) for start in starts)], key=area_at)
    best = min(best, narrowed(area_at, best, NEAR, FINE), key=area_at)
    return LinerTurn(best % 180.0, area_at(best))


def least_liner_turn(project: Project, option: int, liner: int) -> LinerTurn | None:
    """The turn at which one liner takes the least net area, or from given rolls costs least; None where no pool of it
    can be worked out.

    Args:
        project: The design.
        option, liner: Index of the option, and of the liner in it.
    """
    lining = project.options[option].lining
    if lining is None:
        return None
    covers = lining.liners[liner].covers
    laid = tuple(pool.surfaces.liner for pool in evaluate(project).options[option].pools if pool.name in covers)
    if not laid:
        return None
    edge = edge_of(lining)

    def worth(along: float, across: float) -> float:
        if lining.rolls and not any(min(roll.width, roll.length) < lining.seam_lap + GAIN for roll in lining.rolls):
            length, width = (ordered(side, lining.allowance, lining.sale_unit) for side in (along, across))
            stock = [Stock(roll.name, roll.width, roll.length, roll.price) for roll in lining.rolls]
            # Of turns that cost the same the one of least area.
            return cheapest(length, width, stock, lining.seam_lap).cost + along * across * TIE
        return along * across

    @cache
    def area(turn: float) -> float:
        along, across = sheets(laid, turn, edge)
        return worth(along.length, across.length)

    return least_area_turn(area, lambda turn: worth(*rough_extents(laid, turn, edge)))
