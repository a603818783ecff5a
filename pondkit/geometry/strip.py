"""A strip of even width along an outline, and the plan of a stone: what stands on the plan."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry.polygon import orient

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape

COARSE = 8  # segments a quarter circle, for pictures
ROUND = 48  # corners of an ellipse, for pictures
TOUCH = 1e-6  # m²: stones of which no more lies over another touch it


@dataclass(frozen=True, eq=False)
class Strip:
    """A strip between an outline and the same outline moved.

    Attributes:
        area: Plan area [m²].
        middle: Length of its middle line [m].
        parts: Of how many pieces the edge away from the outline is made; 0 where nothing is left inside.
        rings: Closed lines round it on the site, shape (n, 2) each [m], for pictures. A hole is joined to its ring by a
            slit, so that each ring fills by itself.
    """

    area: float
    middle: float
    parts: int
    rings: tuple[Array, ...]


@remembered
def strip(shape: Shape, placed: Placed, across: float) -> Strip:
    """The strip along an outline.

    Args:
        shape: The outline, in its own axes.
        placed: Where those lie on the site.
        across: Width [m]: positive inward from the outline, negative outward.
    """
    area, middle = _measures(shape, across)
    moved = shape.thin.buffer(-across, quad_segs=COARSE)
    between = shape.thin.difference(moved) if across > 0 else moved.difference(shape.thin)
    rings = tuple(
        placed.to_site(_slit(part)) for part in getattr(between, "geoms", [between]) if part.geom_type == "Polygon"
    )
    parts = 0 if moved.is_empty else int(shapely.get_num_geometries(moved))
    return Strip(area, middle, parts, rings)


def _measures(shape: Shape, across: float) -> tuple[float, float]:
    """Plan area of a strip [m²] and length of its middle line [m]."""
    ends, half = np.array([0.0, across]), np.array([across / 2])
    if across > 0:
        areas, middle = shape.area(ends), shape.perimeter(half)
    else:
        # The table of offsets has no breaks outward, where the bays of an outline close.
        areas, middle = shapely.area(shape.moved(ends)), shapely.length(shape.moved(half))
    return abs(float(areas[0] - areas[1])), float(middle[0])


def _slit(polygon: shapely.Polygon) -> Array:
    """One closed line round a polygon and its holes."""
    turned = orient(polygon)  # outer ring one way, holes the other: fills alike under either rule
    line = np.asarray(turned.exterior.coords, dtype=float)
    for hole in turned.interiors:
        inner = np.asarray(hole.coords[:-1], dtype=float)
        inner = np.roll(inner, -int(np.argmin(np.linalg.norm(inner - line[-1], axis=1))), axis=0)  # the shortest slit
        line = np.concatenate([line, inner, inner[:1], line[-1:]])
    return line


class StonePlan(NamedTuple):
    """A stone on the plan: its middle on the site, length eastward and width [m], and
    whether it is an ellipse or a rectangle.
    """

    x: float
    y: float
    length: float
    width: float
    ellipse: bool


def plan_ring(plan: StonePlan) -> Array:
    """Closed line round a stone on the site, shape (n, 2) [m]."""
    *at, length, width, ellipse = plan
    if ellipse:
        angle = np.linspace(0.0, 2 * np.pi, ROUND + 1)
        return np.stack([at[0] + length / 2 * np.cos(angle), at[1] + width / 2 * np.sin(angle)], axis=1)
    corners = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0], [1.0, 1.0]]) / 2
    return np.asarray(np.array(at) + corners * np.array([length, width]))


@remembered
def overlaps(plans: tuple[StonePlan, ...]) -> tuple[tuple[int, int], ...]:
    """Pairs of stones, by their places in ``plans``, of which more than a touch lies over the other on the plan.

    Args:
        plans: Of each stone.
    """
    areas = [shapely.Polygon(plan_ring(plan)) for plan in plans]
    first, second = shapely.STRtree(areas).query(areas, predicate="intersects")
    pairs = sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
    return tuple((i, j) for i, j in pairs if areas[i].intersection(areas[j]).area > TOUCH)


def inside_of(shape: Shape, placed: Placed, places: Array) -> list[bool]:
    """For each place on the site, shape (n, 2) [m], whether it lies inside the outline."""
    own = placed.to_own(places)
    return [bool(held) for held in shapely.contains_xy(shape.polygon, own[:, 0], own[:, 1])]
