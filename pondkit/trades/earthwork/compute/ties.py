"""Ties: two tape lengths to fixed points, by which what is buried is found again."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pondkit.trades.earthwork.results.crew import LEAST_ANGLE, MOST_ANGLE

FURTHEST = 30.0  # m: of a tape that one person holds
Spot = tuple[float, float]


@dataclass(frozen=True)
class Tie:
    """One tape length: the fixed point by name and place [m], and how far it is from what is tied [m]."""

    name: str
    fixed: Spot
    length: float


def ties(place: Spot, fixed: Sequence[tuple[str, Spot]]) -> tuple[Tie, Tie] | None:
    """The two shortest tapes to a place that cross well enough to say where it is; None where no two fixed points do.

    Args:
        place: East and north [m].
        fixed: Names and places of points that stay, such as a house's corners.

    Source: intersection of two tape lengths; crossing angles from 30 to 150 degrees: common practice, no source
    """
    near = [Tie(name, spot, float(np.hypot(spot[0] - place[0], spot[1] - place[1]))) for name, spot in fixed]
    near = sorted((tie for tie in near if 0 < tie.length <= FURTHEST), key=lambda tie: tie.length)
    pairs = sorted(combinations(near, 2), key=lambda pair: pair[0].length + pair[1].length)
    return next((pair for pair in pairs if LEAST_ANGLE <= _crossing(place, *pair) <= MOST_ANGLE), None)


def _crossing(place: Spot, one: Tie, two: Tie) -> float:
    """Angle at a place between the ways to two fixed points [deg]."""
    (a, b), (c, d) = ((tie.fixed[0] - place[0], tie.fixed[1] - place[1]) for tie in (one, two))
    return float(np.degrees(np.arctan2(abs(a * d - b * c), a * c + b * d)))
