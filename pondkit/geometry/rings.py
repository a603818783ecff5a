"""Closed lines on the site for pictures, simplified, and the line that a section follows where none is drawn."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.path import Laid, narrowest_turn
from pondkit.geometry.pool_surface import Basin

Rings = tuple[Array, ...]
STRIP = 0.4  # m shown beyond the rim in three dimensions
COARSE = 8  # segments a quarter circle


def level_depths(laid: Laid) -> list[float]:
    """Depths of the level parts, each once, from shallow to deep."""
    return sorted(
        {
            round(line.level, 6)
            for part in laid.bowl.parts
            for _, _, line in part.profile.levels
            if line.level is not None
        }
    )


def rings_at(laid: Laid, depth: float) -> Rings:
    """Rings on the site of all that is at least so deep; deeper than 0 on the waterline itself."""
    stacks = [_region(part, depth) for part in laid.bowl.parts]
    found = [stack for stack in stacks if stack is not None]
    return _rings(shapely.union_all(found) if len(found) > 1 else found[0], laid.placed) if found else ()


def _region(part: Basin, depth: float) -> BaseGeometry | None:
    inward = float(part.profile.inward(np.array([depth]))[0]) if depth > 0 else 0.0
    if inward >= part.shape.inradius or (depth <= 0 and part.clear > 0):
        return None
    return _moved_in(part.shape, part.placed, inward)


@remembered
def _moved_in(shape: Shape, placed: Placed, inward: float) -> BaseGeometry:
    """What lies so far within an outline, on the site: a moved tier draws its own ring anew and no other."""
    return shapely.transform(shape.thin.buffer(-inward, quad_segs=COARSE), placed.to_site)


def rim_rings(laid: Laid) -> Rings:
    """The rim line on the site."""
    return _rings(laid.bowl.pool.shape.thin.buffer(laid.rim, quad_segs=COARSE), laid.placed)


def _rings(geometry: BaseGeometry, placed: Placed) -> Rings:
    parts = getattr(geometry, "geoms", [geometry])
    lines = [
        ring
        for part in parts
        if isinstance(part, Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]
    return tuple(placed.to_site(np.asarray(line.coords, dtype=float)) for line in lines)


def section_line(pools: Sequence[Laid]) -> tuple[tuple[float, float], tuple[float, float]]:
    """A line for the section: through the deepest parts of the two largest pools, or along the longest way of a
    single one."""
    sized = sorted(pools, key=lambda pool: -pool.bowl.pool.shape.polygon.area)
    middles = [pool.placed.to_site(np.array([pool.bowl.pool.shape.pole]))[0] for pool in sized]
    rings = np.concatenate([pool.placed.to_site(pool.bowl.pool.shape.coords) for pool in sized[:2]])
    if len(sized) > 1 and np.linalg.norm(middles[1] - middles[0]) > 0.1:
        towards = middles[1] - middles[0]
    else:
        turn = np.radians(narrowest_turn(rings))
        towards = np.array([np.cos(turn), np.sin(turn)])
    towards = towards / np.linalg.norm(towards)
    if towards[0] < -1e-9:
        towards = -towards  # from west to east, as it is read
    along = (rings - middles[0]) @ towards
    room = 0.08 * (along.max() - along.min())
    start, end = middles[0] + towards * (along.min() - room), middles[0] + towards * (along.max() + room)
    return (float(start[0]), float(start[1])), (float(end[0]), float(end[1]))


def grid(laid: Laid, across: int) -> tuple[Array, Array, Array]:
    """Depth on a square grid over a pool, its bank and a strip level with the rim, NaN beyond.

    Returns: x (n,), y (m,) in the pool's own axes, depth (m, n) [m].
    """
    bowl, rim = laid.bowl, laid.rim + STRIP
    shape = bowl.pool.shape
    low, high = shape.coords.min(axis=0) - rim, shape.coords.max(axis=0) + rim
    step = float((high - low).max()) / across
    x, y = np.arange(low[0], high[0] + step, step), np.arange(low[1], high[1] + step, step)
    points = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    depth = np.maximum(bowl.depth_at(points), laid.level - laid.rim_level)
    depth[shape.inward(points) < -rim] = np.nan
    return x, y, depth.reshape(len(y), len(x))
