"""Liner that goes into folds along the rims."""

import itertools
import math
from collections.abc import Iterator

import numpy as np

from pondkit.core.entry import Entry, entry
from pondkit.geometry.site_surface import SiteSurface, ring_outside
from pondkit.trades.liner.formulas import edge as rel
from pondkit.trades.liner.results import LinerFootprint

STRETCHES = 8  # of a rim, each of one length


def folds(footprint: LinerFootprint) -> Iterator[Entry]:
    """Liner in folds by stretches of each rim, from its first point on, each of one length."""
    for name, surface in zip(footprint.names, footprint.surfaces, strict=True):
        ring = ring_outside(surface, surface.rim)
        sides = np.diff(ring, axis=0)
        bearing = np.arctan2(sides[:, 1], sides[:, 0])
        # At each corner how far the rim turns, the way in which it closes on itself being positive.
        turn = np.mod(np.diff(bearing, append=bearing[0]) + math.pi, 2 * math.pi) - math.pi
        turn *= math.copysign(1.0, float(turn.sum()))
        ends = np.cumsum(np.linalg.norm(sides, axis=1))
        stretch = np.minimum(ends / ends[-1] * STRETCHES, STRETCHES - 1).astype(int)
        way, run = _face(surface)
        for number in range(STRETCHES):
            turned = math.degrees(float(turn[stretch == number].sum()))
            subject = f"{footprint.liner.name} / {name}, stretch {number + 1}"
            yield entry(rel.fold, subject, way=way, run=run, turned=turned)


def _face(surface: SiteSurface) -> tuple[float, float]:
    """(way over the surface, level distance) from the rim down to the floor, where the outline's middle is reached
    [m].
    """
    part = surface.surface.pool
    inner = part.shape.inradius
    top = surface.level - surface.rim_level
    points = [
        (-surface.rim, top),
        *((t, z) for t, z in part.profile.corners if z > top and t < inner),
        (inner, part.reached),
    ]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    return sum(math.hypot(*step) for step in steps), sum(abs(t) for t, _ in steps)
