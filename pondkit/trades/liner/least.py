"""The turn of least area: a search, run only on request."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

COARSE = 5.0  # degrees between the turns tried first


@dataclass(frozen=True)
class Turn:
    """A turn [degrees] and the net area of the liner at it [m²]."""

    turn_deg: float
    area: float


def least_area_turn(area_at: Callable[[float], float]) -> Turn:
    """The turn at which a liner's rectangle has the least area.

    Turns every few degrees first, then the neighbourhood of the three best narrowed down: the area has several hollows.

    Args:
        area_at: Net area [m²] at a turn [degrees]; repeats after 90 degrees but for which side is called the length.
    """
    from scipy.optimize import minimize_scalar

    tries = np.arange(0.0, 90.0, COARSE)
    areas = np.array([area_at(float(turn)) for turn in tries])
    best = Turn(float(tries[areas.argmin()]), float(areas.min()))
    for start in tries[np.argsort(areas)[:3]]:
        found = minimize_scalar(
            area_at, bounds=(start - COARSE, start + COARSE), method="bounded", options={"xatol": 0.05}
        )
        if found.fun < best.area:
            best = Turn(float(found.x) % 180.0, float(found.fun))
    return best
