"""Regions of a plan: distance from their edge, their parts in square cells, and their offsets inward or outward by
true horizontal distances.
"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

Array = NDArray[np.float64]
POINTS = 512  # points round a line in the search for the nearest


class Edge:
    """The outer edge of a polygon, for distances from many places.

    Uses the nearest of finely spaced points and the two sides that meet there: forty times as fast as the library's
    distance, and as exact except within one spacing of places equally near to two sides.
    """

    def __init__(self, polygon: Polygon) -> None:
        from scipy.spatial import cKDTree

        ring = polygon.exterior
        self._polygon = polygon
        self._fine = shapely.get_coordinates(ring.segmentize(ring.length / POINTS))[:-1]
        self._tree = cKDTree(self._fine)
        sides = [np.roll(self._fine, -step, axis=0) - self._fine for step in (-1, 1)]
        self._sides = [(side, np.einsum("ij,ij->i", side, side)) for side in sides]

    def inward(self, points: Array) -> Array:
        """Distance inward from the edge, negative outside, shape (n, 2) -> (n,) [m]."""
        away = np.sqrt(np.minimum(*(square for _, square in self._nearest(points))))
        return np.where(shapely.contains_xy(self._polygon, points[:, 0], points[:, 1]), away, -away)

    def foot(self, points: Array) -> Array:
        """The nearest place of the edge to each place, shape (n, 2) -> (n, 2) [m]."""
        (before, first), (behind, second) = self._nearest(points)
        return points - np.where((second < first)[:, None], behind, before)

    def _nearest(self, points: Array) -> Iterator[tuple[Array, Array]]:
        """For the sides before and after the nearest point: (vector from the side's nearest place, squared length)."""
        near = self._tree.query(points)[1]
        beyond = points - self._fine[near]
        for side, square in self._sides:
            side_share = side[near]
            along = np.clip(np.einsum("ij,ij->i", beyond, side_share) / square[near], 0.0, 1.0)
            offset_vector = beyond - along[:, None] * side_share
            yield offset_vector, np.einsum("ij,ij->i", offset_vector, offset_vector)


LEAST = 1e-9  # of a cell: smaller differences are rounding


def cells_of(plan: BaseGeometry, step: float) -> tuple[Array, Array]:
    """(centroids of the parts of a plan in cells of about ``step`` [m], shape (n, 2), their areas, shape (n,)) [m²].

    Args:
        plan: One or several valid areas, with or without holes.
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
    # Area east of each piece within its cell, and its moments about east and north.
    own_moments = np.stack(
        [
            rise * (1 - (x0 + x1) / 2),
            rise * (1 - (x0 * x0 + x0 * x1 + x1 * x1) / 3) / 2,
            rise * (high - (2 * (x0 * y0 + x1 * y1) + x0 * y1 + x1 * y0) / 6),
        ]
    )
    full_moments = np.stack([rise, rise / 2, rise * high])  # and in each cell further east
    cell = row * columns + column

    def summed(weights: Array) -> Array:
        filled = [np.bincount(cell, weight, rows * columns) for weight in weights]
        return np.array(filled, dtype=float).reshape(3, rows, columns)

    # The plan is on the left of its sides, so a side that runs south has it in the east.
    further = summed(full_moments)
    area, along, up = -(summed(own_moments) + np.cumsum(further, axis=2) - further)
    met = np.nonzero(area > LEAST)
    share = area[met]
    middles = np.stack([met[1] + along[met] / share, up[met] / share], axis=1)
    return middles * size + np.array([west, south]), share * size[0] * size[1]


def _sides(plan: BaseGeometry, origin: Array, size: Array) -> tuple[Array, Array]:
    """(start, end) of every side, in cells, with the plan on its left, shape (n, 2) each."""
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
    """Number of the cell line crossed after a number of lines along a rising or falling side."""
    return np.asarray(np.where(falls, first + count - 1 - number, first + number), dtype=float)


def _place(start: Array, end: Array, line: Array, axis: int) -> Array:
    """Places where sides cross a cell line, shape (n, 2)."""
    direction = end - start
    share = (line - start[:, axis]) / np.where(direction[:, axis] == 0, 1.0, direction[:, axis])
    place = start + share[:, None] * direction
    place[:, axis] = line
    return np.asarray(place)


QUARTER = 64  # segments a quarter circle in offsets
NODES = 12  # Chebyshev nodes a piece of the offset table
FEW = 5  # nodes that show whether a piece needs that many:
FLAT = 1e-5  # not where the terms of third and fourth order are less than this share of area and perimeter
ROUGH = 3e-6  # of the volume that the outline would hold: a piece whose last terms count for more is halved,
HALVINGS = 3  # so often at most
TEETH = 4  # halvings of the first piece inward of a jagged outline, made at once
NEAR = 0.5  # m outward: where most banks end, a piece of its own
ORDERS = np.arange(NODES)
JAGGED = 2 * math.pi  # radians turned at inward corners together: beyond this, offsets are made by stages
STAGE = 0.03  # distance of the first stage, as a share of the radius of a circle of equal area
DOUBLED = 2  # stages from there, each at twice the distance of the one before; then in steps of
LONGEST = 2**DOUBLED  # first stages
STAGE_FINE = 3e-5  # of that radius: tolerance of a stage, which shifts areas by up to
SHIFT = 2e-4  # of the outline's own (measured), so that a piece of a jagged outline's table is halved for no less than
ROUGH_JAGGED = 3e-5


class OffsetRegions:
    """Offsets of a polygon. Those of a jagged one (a traced outline) are made in stages, each from the one before.

    Two offsets in succession equal one by their sum, and the first stages have already lost most of the outline's
    teeth: an offset of 200 teeth takes a millisecond instead of a hundred. Each stage is simplified to a tolerance,
    which changes areas by no more than ``SHIFT``.

    Args:
        polygon: The outline.
        quarter: Most segments of a quarter circle.
        tolerance: Tolerance of a simplified stage, as a share of the radius of a circle of equal area.
    """

    def __init__(self, polygon: Polygon, quarter: int, tolerance: float) -> None:
        radius = math.sqrt(polygon.area / math.pi)
        self._quarter = quarter
        self._tolerance = tolerance * radius
        self._first = STAGE * radius
        self.jagged = _inward_turn(polygon) > JAGGED
        self._stages: dict[int, BaseGeometry] = {0: polygon}

    def at(self, inward: Array) -> NDArray[np.object_]:
        """Regions offset inward (negative: outward) by distances [m], shape as given."""
        if not self.jagged:
            regions = np.full(inward.shape, self._stages[0])
            return np.asarray(shapely.buffer(regions, -inward, quad_segs=self._quarter), dtype=object)
        away = np.array([self._staged(float(distance)) for distance in inward.flat], dtype=object)
        return np.asarray(away.reshape(inward.shape))

    def _staged(self, inward: float) -> BaseGeometry:
        steps = abs(inward) / self._first
        number = 0
        if steps >= 1:
            number = math.floor(math.log2(steps)) + 1 if steps < LONGEST else int(steps / LONGEST) + DOUBLED
        return self._moved(self._stage(int(math.copysign(number, inward))), inward - self._reach(number, inward))

    def _reach(self, number: int, inward: float) -> float:
        """Distance of a stage [m], with the sign of ``inward``: doubled from stage to stage, then in equal steps."""
        steps = (number - DOUBLED) * LONGEST if number > DOUBLED else 2 ** (number - 1) if number else 0
        return math.copysign(self._first * steps, inward)

    def _stage(self, signed: int) -> BaseGeometry:
        """A stage by its number, negative outward."""
        if signed not in self._stages:
            number = abs(signed)
            step = self._reach(number, signed) - self._reach(number - 1, signed)
            before = self._stage(int(math.copysign(number - 1, signed)))
            self._stages[signed] = self._moved(before, step).simplify(self._tolerance)
        return self._stages[signed]

    def _moved(self, region: BaseGeometry, inward: float) -> BaseGeometry:
        """A region offset with arcs whose chords are within the tolerance."""
        chords = math.pi / 4 / math.sqrt(2 * self._tolerance / abs(inward)) if inward else 1.0
        return region.buffer(-inward, quad_segs=min(self._quarter, max(2, math.ceil(chords))))


def _inward_turn(polygon: BaseGeometry) -> float:
    """Sum of the turning angles of an anticlockwise outline at its inward corners [radians]."""
    ring = np.asarray(polygon.exterior.coords, dtype=float)
    side = np.diff(ring, axis=0)
    after = np.roll(side, -1, axis=0)
    turn = np.arctan2(side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0], (side * after).sum(axis=1))
    return float(-turn[turn < 0].sum())


@dataclass(frozen=True)
class _Pieces:
    """Pieces of an offset table from the outermost inward, shape (k,) each: where they begin and end [m], their series
    of area and perimeter, how often they were halved, and whether their series are worked out.
    """

    low: Array
    high: Array
    series: Array  # (2, k, NODES)
    halvings: NDArray[np.int64]
    known: NDArray[np.bool_]

    def at(self, inward: Array) -> NDArray[np.int64]:
        """Number of the piece that holds each distance; -1 outward of all, k inward of all."""
        return np.where(inward < self.high[-1], np.searchsorted(self.low, inward, side="right") - 1, len(self.low))


class OffsetTable:
    """Area and perimeter over inward distance, as a Chebyshev series on each piece.

    One table serves every tier of a pool, so a moved tier needs no new offset (an offset takes 0.4 ms). Pieces end at
    the shape's breaks, and are halved where a vanishing corner leaves a kink. Each is worked out when a distance within
    it is first asked for: the floor beyond the last face and the ground far outside cost nothing. Outward the table
    reaches to the inradius plus a metre; beyond, offsets are made one by one.
    """

    def __init__(self, regions: OffsetRegions, polygon: Polygon, inradius: float, breaks: tuple[float, ...]) -> None:
        self._regions = regions
        self._inradius = inradius
        self._totals = np.array([polygon.area, polygon.length])
        inner = [*breaks, inradius]
        # A jagged outline loses its teeth on the first part of the way: that is halved at once, towards the outline.
        parted = TEETH if regions.jagged else 0
        graded = [inner[0] / 2**number for number in range(parted, 0, -1)]
        edges = np.array([-1.0 - inradius, -NEAR, 0.0, *graded, *inner])
        count = len(edges) - 1
        halvings = np.zeros(count, dtype=np.int64)
        halvings[2 : 3 + parted] = HALVINGS if parted else 0  # fine enough as they are
        # Two threads may work the same piece out at once; each puts whole pieces here.
        self._pieces = _Pieces(
            edges[:-1], edges[1:], np.zeros((2, count, NODES)), halvings, np.zeros(count, dtype=bool)
        )

    def area(self, inward: Array) -> Array:
        return self._read(inward, 0, shapely.area)

    def perimeter(self, inward: Array) -> Array:
        return self._read(inward, 1, shapely.length)

    def _read(self, inward: Array, number: int, measure: Callable[..., Array]) -> Array:
        flat = inward.ravel()
        pieces, piece = self._worked_out(flat)
        index = np.minimum(np.maximum(piece, 0), len(pieces.low) - 1)
        low, high = pieces.low[index], pieces.high[index]
        turn = np.arccos(np.minimum(np.maximum((2 * flat - low - high) / (high - low), -1.0), 1.0))
        values = np.maximum(np.einsum("ij,ij->i", pieces.series[number][index], np.cos(turn[:, None] * ORDERS)), 0.0)
        values[piece >= len(pieces.low)] = 0.0
        beyond = piece < 0
        if beyond.any():
            values[beyond] = measure(self._regions.at(flat[beyond]))
        return np.asarray(values.reshape(inward.shape))

    def _worked_out(self, inward: Array) -> tuple[_Pieces, NDArray[np.int64]]:
        """(pieces, of which those that hold the distances are worked out, number of the piece of each distance)."""
        pieces = self._pieces
        while True:
            piece = pieces.at(inward)
            wanted = np.zeros(len(pieces.low), dtype=bool)
            wanted[piece[(piece >= 0) & (piece < len(wanted))]] = True
            wanted &= ~pieces.known
            if not wanted.any():
                return pieces, piece
            pieces = self._pieces = self._more(pieces, np.flatnonzero(wanted))

    def _more(self, pieces: _Pieces, wanted: NDArray[np.int64]) -> _Pieces:
        """The pieces with some worked out, those of them that are too rough in halves instead."""
        series, known = pieces.series.copy(), pieces.known.copy()
        fresh = wanted[pieces.halvings[wanted] == 0]
        # Few nodes first: until corners are used up, area and perimeter are polynomials of degree 2 and 1 exactly.
        if len(fresh):
            few = _series(self._regions, pieces.low[fresh, None], pieces.high[fresh, None], FEW)
            flat = (np.abs(few[:, :, 3:]).max(axis=2) <= FLAT * self._totals[:, None]).all(axis=0)
            series[:, fresh[flat], :FEW] = few[:, flat]
            known[fresh[flat]] = True
        rest = wanted[~known[wanted]]
        rough = np.zeros(len(known), dtype=bool)
        if len(rest):
            full = _series(self._regions, pieces.low[rest, None], pieces.high[rest, None], NODES)
            wide = pieces.high[rest] - pieces.low[rest]
            share = ROUGH_JAGGED if self._regions.jagged else ROUGH
            most = share * self._totals[0] * self._inradius
            accurate = (np.abs(full[0, :, -2:]).max(axis=1) * wide <= most) | (pieces.halvings[rest] == HALVINGS)
            series[:, rest[accurate]] = full[:, accurate]
            known[rest[accurate]] = True
            rough[rest[~accurate]] = True
        again = 1 + rough  # a piece that is too rough becomes two
        second = np.cumsum(again)[rough] - 1
        low, high = np.repeat(pieces.low, again), np.repeat(pieces.high, again)
        low[second] = high[second - 1] = (low[second] + high[second]) / 2
        halvings = np.repeat(pieces.halvings + rough, again)
        return _Pieces(low, high, np.repeat(series, again, axis=1), halvings, np.repeat(known, again))


def _series(regions: OffsetRegions, low: Array, high: Array, count: int) -> Array:
    """Chebyshev series of area and perimeter on pieces from ``low`` to ``high``, shape (k, 1) each -> (2, k, count)."""
    # Interior Chebyshev points: the ends themselves may have a jump in slope.
    angle = (2 * np.arange(count) + 1) * np.pi / (2 * count)
    offsets = regions.at((low + (high - low) * (1 + np.cos(angle)) / 2).ravel())
    read = np.stack([shapely.area(offsets), shapely.length(offsets)]).reshape(2, len(low), count)
    # Summed node by node: the last digits of a product of matrices depend on which pieces are asked for together.
    series = (read[..., None] * np.cos(angle[:, None] * np.arange(count))).sum(axis=-2) * 2 / count
    series[:, :, 0] /= 2
    return np.asarray(series)
