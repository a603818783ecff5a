"""One line round several outlines: what is dug or laid round all of them together, and not between them."""

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.setting import Traced
from pondkit.geometry.sheet import Rim


@remembered
def ring_round(rims: tuple[Rim, ...]) -> Traced:
    """The outer line round outlines that are moved outward: one closed line for all of them.

    Where moved outlines run into each other they are one. Where they stay apart, neighbours are joined by their
    common tangents, the line going straight on from one to the other on both sides:
    nearest first, until all hang together.

    Args:
        rims: Outline, its place, and how far it is moved outward [m]; at least one.
    """
    moved = [shapely.transform(shape.moved([-away])[0], placed.to_site) for shape, placed, away in rims]
    own = _parts(shapely.union_all(moved))
    apart = sorted(
        ((float(own[i].distance(own[j])), i, j) for i in range(len(own)) for j in range(i)), key=lambda pair: pair[0]
    )
    group = list(range(len(own)))  # of each, so that none is joined to one that it hangs together with already
    joined: list[Polygon] = []
    for _, i, j in apart:
        if group[i] != group[j]:
            joined.append(_joined(own[i], own[j]))
            group = [group[i] if number == group[j] else number for number in group]
    (whole,) = _parts(shapely.union_all([*own, *joined]))
    return Traced(np.asarray(orient(whole).exterior.coords, dtype=float))


def length_of(ring: Traced) -> float:
    """Length of a closed line [m]."""
    return float(np.linalg.norm(np.diff(ring.points, axis=0), axis=1).sum())


def _joined(one: Polygon, other: Polygon) -> Polygon:
    """Both with the ground between their common tangents; a bay of either that looks elsewhere stays as it is."""
    both = shapely.union(one, other)
    between = shapely.difference(both.convex_hull, shapely.union(one.convex_hull, other.convex_hull))
    parts = _parts(shapely.union(both, between))
    # One that stands in the bay of the other: their hulls leave no ground between them.
    return parts[0] if len(parts) == 1 else both.convex_hull


def _parts(geometry: BaseGeometry) -> list[Polygon]:
    """The polygons of a geometry without their holes."""
    return [Polygon(part.exterior) for part in shapely.get_parts(geometry) if isinstance(part, Polygon)]
