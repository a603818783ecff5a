"""The ground beside an outline."""

from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.apart import outside
from pondkit.geometry.sheet import Rim
from pondkit.geometry.uneven import Terrain

STEP = 0.1  # m along the line from place to place at which the ground is looked at


@dataclass(frozen=True, eq=False)
class Top:
    """The highest ground along a line: its level and place on the site [m]; no place where all
    of the line lies in other outlines.
    """

    level: float
    at: tuple[float, float] | None


@remembered
def highest_along(line: Rim, others: tuple[Rim, ...], ground: Terrain) -> Top:
    """Where the ground is highest along an outline moved outward.

    Args:
        line: Outline, its place, and how far outside it the line runs [m].
        others: Outlines moved outward in which the line is not looked at: there is water, or liner, and no ground.
        ground: As it is, in site axes.
    """
    corners = outside(*line).points
    lengths = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1)))
    along = np.unique(np.concatenate([lengths, np.linspace(0.0, lengths[-1], int(lengths[-1] / STEP) + 2)]))
    places = np.stack([np.interp(along, lengths, corners[:, axis]) for axis in (0, 1)], axis=1)
    for shape, placed, away in others:
        places = places[shape.inward(placed.to_own(places)) < -away]
    if not len(places):
        return Top(-np.inf, None)
    levels = ground.at(places)
    top = int(np.argmax(levels))
    return Top(float(levels[top]), (float(places[top, 0]), float(places[top, 1])))
