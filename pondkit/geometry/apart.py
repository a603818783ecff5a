"""How outlines lie to each other: apart, over each other, one inside another. It depends on no depth."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape


@dataclass(frozen=True)
class Gap:
    """Least distance between two outlines [m], and the plan area that is inside both [m²]."""

    distance: float
    shared: float


@remembered
def gap(a: Shape, at_a: Placed, b: Shape, at_b: Placed) -> Gap:
    """How two outlines lie to each other on the site."""
    one, other = (shapely.transform(shape.polygon, placed.to_site) for shape, placed in ((a, at_a), (b, at_b)))
    distance = float(one.distance(other))
    return Gap(distance, float(one.intersection(other).area) if distance == 0 else 0.0)


def close_pairs(outlines: Sequence[tuple[Shape, Placed]], reach: Sequence[float]) -> list[tuple[int, int]]:
    """Pairs of outlines that may lie nearer than their reaches together [m], by the circles round them; first one
    lower."""
    if len(outlines) < 2:
        return []
    x, y, radius = np.array([shape.circle for shape, _ in outlines]).T
    turn = np.radians([placed.turn_deg for _, placed in outlines])
    east = np.array([placed.x for _, placed in outlines]) + x * np.cos(turn) - y * np.sin(turn)
    north = np.array([placed.y for _, placed in outlines]) + x * np.sin(turn) + y * np.cos(turn)
    size = radius + np.asarray(reach)
    near = np.hypot(east[:, None] - east, north[:, None] - north) <= size[:, None] + size
    return [(int(i), int(j)) for i, j in np.argwhere(np.triu(near, 1))]


@remembered
def inside(inner: Shape, placed: Placed, outer: Shape) -> float:
    """Least distance from the outer outline to an inner one that lies in it [m]; negative where it leaves, by how
    far."""
    ring = shapely.transform(inner.polygon, placed.to_site)
    if outer.polygon.contains(ring):
        return float(outer.polygon.exterior.distance(ring))
    corners = shapely.points(placed.to_site(inner.coords))
    return -max(float(shapely.distance(corners, outer.polygon).max()), 1e-9)


def goes_beyond(inner: Shape, placed: Placed, outer: Shape, inward: float) -> bool:
    """True where some place of the inner outline lies further inward than this from the outer one [m]."""
    return bool(outer.moved([inward])[0].intersects(shapely.transform(inner.polygon, placed.to_site)))


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed line on the site, shape (n, 2) [m]."""

    points: Array


@remembered
def outside(shape: Shape, placed: Placed, distance: float) -> Ring:
    """An outline moved outward [m]."""
    return Ring(placed.to_site(np.asarray(shape.moved([-distance])[0].exterior.coords, dtype=float)))
