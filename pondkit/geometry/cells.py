"""A plan in square cells, each with the part of it that lies in the plan: exact areas and middles.

The sides of the plan are cut at the lines between cells; each piece then says how much of its cell, and
of all cells of its row east of it, lies on its left. Cutting cell by cell with the library's own
intersection took thirty times as long.
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.outline import Array

LEAST = 1e-9  # of a cell: less is rounding


def cells_of(plan: BaseGeometry, step: float) -> tuple[Array, Array]:
    """Middles of the parts of a plan in cells of about ``step`` [m], shape (n, 2), and their areas, shape (n,) [m²].

    Args:
        plan: One area or several, with or without holes, valid.
    """
    west, south, east, north = plan.bounds
    columns, rows = (max(int(np.ceil(wide / step)), 1) for wide in (east - west, north - south))
    # In cells from here on: a cell is 1 x 1, and its column and row are the whole numbers under it.
    size = np.array([(east - west) / columns, (north - south) / rows])
    starts, ends = _sides(plan, np.array([west, south]), size)
    starts, ends = _cut(starts, ends)
    middle = (starts + ends) / 2
    column = np.clip(np.floor(middle[:, 0]).astype(np.int64), 0, columns - 1)
    row = np.clip(np.floor(middle[:, 1]).astype(np.int64), 0, rows - 1)
    (x0, y0), (x1, y1) = starts.T, ends.T
    x0, x1 = x0 - column, x1 - column  # within the cell
    rise, high = y1 - y0, middle[:, 1]
    # What lies east of each piece within its own cell: area, and area times distance east and north.
    own = np.stack(
        [
            rise * (1 - (x0 + x1) / 2),
            rise * (1 - (x0 * x0 + x0 * x1 + x1 * x1) / 3) / 2,
            rise * (high - (2 * (x0 * y0 + x1 * y1) + x0 * y1 + x1 * y0) / 6),
        ]
    )
    whole = np.stack([rise, rise / 2, rise * high])  # and in each cell further east
    at = row * columns + column

    def summed(weights: Array) -> Array:
        filled = [np.bincount(at, one, rows * columns) for one in weights]
        return np.array(filled, dtype=float).reshape(3, rows, columns)

    # The plan lies on the left of its sides, so that a side that goes down has it in the east.
    further = summed(whole)
    area, along, up = -(summed(own) + np.cumsum(further, axis=2) - further)
    met = np.nonzero(area > LEAST)
    share = area[met]
    middles = np.stack([met[1] + along[met] / share, up[met] / share], axis=1)
    return middles * size + np.array([west, south]), share * size[0] * size[1]


def _sides(plan: BaseGeometry, origin: Array, size: Array) -> tuple[Array, Array]:
    """Start and end of every side, in cells, with the plan on its left, shape (n, 2) each."""
    rings = shapely.get_rings(shapely.orient_polygons(shapely.get_parts(plan)))
    coords, ring = shapely.get_coordinates(rings, return_index=True)
    same = ring[1:] == ring[:-1]
    coords = (coords - origin) / size
    return coords[:-1][same], coords[1:][same]


def _cut(starts: Array, ends: Array) -> tuple[Array, Array]:
    """The same sides in pieces, each within one cell."""
    for axis in (0, 1):
        low, high = np.minimum(starts[:, axis], ends[:, axis]), np.maximum(starts[:, axis], ends[:, axis])
        first = np.floor(low).astype(np.int64) + 1  # lines strictly between both ends
        count = np.maximum(np.ceil(high).astype(np.int64) - first, 0)
        side = np.repeat(np.arange(len(starts)), count + 1)
        number = np.arange(len(side)) - np.repeat(np.cumsum(count + 1) - (count + 1), count + 1)
        falls = (ends < starts)[side, axis]
        begins = _line(first[side], count[side], number - 1, falls)
        stops = _line(first[side], count[side], number, falls)
        starts, ends = (
            np.where((number == 0)[:, None], starts[side], _place(starts[side], ends[side], begins, axis)),
            np.where((number == count[side])[:, None], ends[side], _place(starts[side], ends[side], stops, axis)),
        )
    return starts, ends


def _line(
    first: NDArray[np.int64], count: NDArray[np.int64], number: NDArray[np.int64], falls: NDArray[np.bool_]
) -> Array:
    """Which line between cells is met so many lines along a side that rises or falls."""
    return np.asarray(np.where(falls, first + count - 1 - number, first + number), dtype=float)


def _place(start: Array, end: Array, line: Array, axis: int) -> Array:
    """Where sides meet a line, shape (n, 2)."""
    way = end - start
    share = (line - start[:, axis]) / np.where(way[:, axis] == 0, 1.0, way[:, axis])
    place = start + share[:, None] * way
    place[:, axis] = line
    return np.asarray(place)
