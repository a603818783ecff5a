"""How the ground lies under places of a pool: level or a face, how deep, how far from the front of its level part."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.path import Laid
from pondkit.geometry.pool_surface import Basin
from pondkit.geometry.uneven import Terrain

SAME = 1e-6  # m


@dataclass(frozen=True)
class Stand:
    """The ground under one place.

    Attributes:
        level: Site level of the surface there [m]; of the existing ground outside the rim.
        flat: True on a level part, or outside the rim.
        width: Width of the level part [m], of a floor at its widest; inf outside the rim.
        front: Distance to where the ground falls away [m]; inf where it does not.
        back: Distance to the face behind the level part [m]; inf outside the rim.
    """

    level: float
    flat: bool
    width: float
    front: float
    back: float


@remembered
def stands(laid: Laid, ground: Terrain, places: tuple[tuple[float, float], ...]) -> tuple[Stand, ...]:
    """The ground of one surface, or the existing one outside its rim, under places on the site [m], in their order."""
    own = laid.placed.to_own(np.array(places, dtype=float).reshape(-1, 2))
    inward = [part.shape.inward(part.placed.to_own(own)) for part in laid.bowl.parts]
    return tuple(
        _stand(laid, [float(row[at]) for row in inward], ground.level_at(places[at])) for at in range(len(own))
    )


@remembered
def depths_at(laid: Laid, places: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    """Depth of a surface under the water at rest, at places on the site [m]; negative on the bank and beyond it."""
    own = laid.placed.to_own(np.array(places, dtype=float).reshape(-1, 2))
    return tuple(float(depth) for depth in laid.bowl.depth_at(own))


def _stand(laid: Laid, inward: list[float], outside: float) -> Stand:
    if inward[0] < -laid.rim - SAME:
        return Stand(outside, True, math.inf, -inward[0] - laid.rim, math.inf)
    depths = [float(part.profile.depth(np.array(at))) for part, at in zip(laid.bowl.parts, inward, strict=True)]
    # A pit counts within its outline and where it is the deeper.
    owner = max(
        (number for number in range(len(depths)) if number == 0 or inward[number] > 0), key=lambda at: depths[at]
    )
    part = laid.bowl.parts[owner]
    width, front, back, flat = 0.0, 0.0, 0.0, False
    for start, end in _levels(part):
        if start - SAME <= inward[owner] <= end + SAME:
            flat, front, back = True, max(end - inward[owner], 0.0), inward[owner] - start
            width = end - start if math.isfinite(end) else 2 * (part.shape.inradius - start)
    for number in range(1, len(depths)):
        if number != owner and inward[number] <= 0:
            front = min(front, -inward[number])
    return Stand(laid.level - depths[owner], flat, width, front, back)


def _levels(part: Basin) -> Iterator[tuple[float, float]]:
    """(start, end) inward of each level part; the end is inf where nothing falls away behind it."""
    for start, end, line in part.profile.levels:
        if line.level is not None and start < part.shape.inradius:
            yield start, end if end < part.shape.inradius else math.inf
