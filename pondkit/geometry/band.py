"""How each tier lies as a band: how long its upper edge is, and how far it is down over face and level."""

import itertools
import math
from dataclasses import dataclass

import numpy as np
import shapely

from pondkit.geometry.path import Laid
from pondkit.geometry.pool_surface import Basin, Owner


@dataclass(frozen=True)
class TierBand:
    """A tier from its upper edge inward, under the waterline.

    Attributes:
        edge: Length of its upper edge [m].
        way: Way down over its face and level, where it ends inside at the next face, or in the middle of its outline
        [m].
        box: For the innermost tier the sides of the narrowest rectangle round it, faces laid flat [m]; else None.
    """

    edge: float
    way: float
    box: tuple[float, float] | None


def bands(laid: Laid) -> dict[Owner, TierBand]:
    """The band of each tier of pool and pits that is reached."""
    return {
        (index, tier): band
        for index, part in enumerate(laid.bowl.parts)
        for tier in sorted({line.owner for line in part.profile.lines if line.owner >= 0})
        if (band := _band(part, tier))
    }


def _band(part: Basin, tier: int) -> TierBand | None:
    lines, corners = part.profile.lines, part.profile.corners
    own = [at for at, line in enumerate(lines) if line.owner == tier]
    face, last = lines[own[0]], own[-1] == len(lines) - 1
    inner = part.shape.inradius
    if face.level is None:
        upper = max(corners[own[0] - 1][1] if own[0] else -math.inf, face.start, 0.0)
        first = max(face.run + face.batter * upper, 0.0), upper
    else:
        first = max(corners[own[0] - 1][0], 0.0), face.level
    if first[0] >= inner:
        return None
    below = [corners[at] for at in own if at < len(corners) and corners[at][0] < inner and corners[at][1] >= first[1]]
    ended = last or corners[own[-1]][0] >= inner
    points = [first, *below, *([(inner, float(part.profile.depth(np.array([inner]))[0]))] if ended else [])]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    way, run = sum(math.hypot(*step) for step in steps), sum(step[0] for step in steps)
    box = None
    if ended:
        around = shapely.minimum_rotated_rectangle(part.shape.moved([first[0]])[0])
        sides = np.linalg.norm(np.diff(shapely.get_coordinates(around)[:3], axis=0), axis=1)
        box = float(sides.max()) + 2 * (way - run), float(sides.min()) + 2 * (way - run)
    return TierBand(float(part.shape.perimeter(np.array([first[0]]))[0]), way, box)
