"""True area of a surface up to its rim, and of the strip beyond it: what lies on the slope is longer than its plan."""

import math

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.path import Laid


@remembered
def cover(laid: Laid, edge: float) -> tuple[float, float]:
    """True area up to the rim, and plan area of the strip beyond it, of one pool [m²].

    Args:
        laid: The surface.
        edge: Width of the strip [m].
    """
    return sum(share.true_area for share in laid.bowl.shares().values()) + _bank(laid), _strip(laid, edge)


def _strip(laid: Laid, edge: float) -> float:
    inner, outer = laid.bowl.pool.shape.area(np.array([-laid.rim, -laid.rim - edge]))
    return float(outer - inner)


def _bank(laid: Laid) -> float:
    """True area above the waterline: the bank up to the rim, and a seat in it [m²]."""
    part = laid.bowl.pool
    top = laid.level - laid.rim_level
    total = 0.0
    for upper, lower, face in part.profile.faces:
        high, low = max(upper, top), min(lower, 0.0)
        if high >= low:
            continue
        inward = face.run + face.batter * np.array([high, low])
        if face.batter > 0:
            wide, narrow = part.shape.area(inward)
            total += float(wide - narrow) * math.hypot(1.0, face.batter) / face.batter
        else:
            total += float(part.shape.perimeter(inward[:1])[0]) * (low - high)
    for start, end, level in part.profile.levels:
        if level.level is not None and level.level < 0:
            wide, narrow = part.shape.area(np.array([start, end]))
            total += float(wide - narrow)
    return total
