"""A sheet laid over one or more bowls: how far it reaches, and where a place of it comes to lie."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.apart import outside
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.path import Ints, Laid, Rays, Trace, narrowest_turn, trace
from pondkit.geometry.profile import FAR

MARGIN = 0.25  # m: step of the margin that lines reach beyond the outlines
TRIES = 49  # reference lines tried at first
FINER = 33  # and round the best of them, twice over
Rim = tuple[Shape, Placed, float]  # outline, its place, horizontal distance out to the rim [m]
OUTSIDE = -1.0  # m: depth under water of places that lie in no pool


@dataclass(frozen=True, eq=False)
class Rims:
    """All rims under one sheet, on the site.

    Attributes:
        points: Corners of the rims, shape (n, 2) [m].
        turn_deg: Direction of the long side of the narrowest rectangle round them.
    """

    points: Array
    turn_deg: float

    def extent(self, turn_deg: float) -> float:
        """Overall length along a direction [m]."""
        along = Placed(0.0, 0.0, turn_deg).to_own(self.points)[:, 0]
        return float(np.ptp(along))


@remembered
def rims_of(rims: tuple[Rim, ...]) -> Rims:
    """The rims of several pools: they hang on no depth, so that a moved tier leaves them as they are."""
    points = np.concatenate([outside(*rim).points for rim in rims])
    return Rims(points, narrowest_turn(points, [placed.turn_deg for _, placed, _ in rims]))


@dataclass(frozen=True, eq=False)
class Sheet:
    """A sheet in one direction: see ``reach``. Its left end is where stations are least.

    Attributes:
        length: Least length of the sheet in this direction [m].
        reference: Station of the reference line [m].
        left, right: Length from the reference line to either end [m].
        offsets: Offset of each line that meets the sheet, shape (k,) [m].
        lefts, rights: Way over the surface on each, from the reference line to its own ends, shape (k,) [m].
        rows: Index of each among all lines, shape (k,).
        all_offsets: Offset of every line, shape (m,) [m].
        nodes: The surface on every line, level on the ground between and beyond rims.
        way: Way over the surface from the reference line, negative to its left, at every node [m].
        laid: The bowls under it.
    """

    length: float
    reference: float
    left: float
    right: float
    offsets: Array
    lefts: Array
    rights: Array
    rows: Ints
    all_offsets: Array
    nodes: Trace
    way: Array
    laid: tuple[Laid, ...]

    @cached_property
    def _water(self) -> tuple[Array, Array]:
        """Depth under water, and height above the lowest place of its pool, at every node [m]."""
        waters = np.array([pool.level for pool in self.laid])
        floors = np.array([pool.level - pool.bowl.deepest for pool in self.laid])
        inside = self.nodes.inside
        known = inside >= 0
        return (
            np.where(known, waters[inside] - self.nodes.level, OUTSIDE),
            np.where(known, self.nodes.level - floors[inside], FAR),
        )

    @cached_property
    def _span(self) -> float:
        """More than any line is long, so that one ascending row of numbers holds all lines one behind the other [m]."""
        return float(np.ptp(self.way)) + self.length + 1.0

    def under(self, places: Array) -> tuple[Array, Array]:
        """Depth under water, and height above its pool's lowest place, where places of the sheet come to lie.

        Args:
            places: Distance from the sheet's left end, shape (n,) [m].
        Returns: both of shape (k, n): on every line that meets the sheet; ``OUTSIDE`` and ``FAR`` off its own stretch.
        """
        ahead = np.asarray(places, dtype=float)[None, :] - self.left
        at = self.rows[:, None] * self._span + ahead
        keys = self.nodes.line * self._span + self.way
        off = (ahead > self.rights[:, None]) | (ahead < -self.lefts[:, None])
        depth, spare = (np.interp(at, keys, field) for field in self._water)
        return np.where(off, OUTSIDE, depth), np.where(off, FAR, spare)

    def from_left(self, station: Array, offset: Array) -> Array:
        """Distance from the sheet's left end at which places come to lie, shape (n,) each [m]; straight between lines."""
        upper = np.clip(np.searchsorted(self.all_offsets, offset), 1, max(len(self.all_offsets) - 1, 1))
        lower = upper - 1
        part = np.clip(
            (offset - self.all_offsets[lower]) / (self.all_offsets[upper] - self.all_offsets[lower]), 0.0, 1.0
        )
        span = float(np.ptp(self.nodes.station)) + 1.0
        keys = self.nodes.line * span + self.nodes.station
        ways = [np.interp(row * span + station, keys, self.way) for row in (lower, upper)]
        return np.asarray(self.left + (1 - part) * ways[0] + part * ways[1])


def margin_of(laid: Sequence[Laid], edge: float) -> float:
    """How far lines reach beyond the outlines [m]: in whole steps, so that they stay the same when a tier moves the rim a little."""
    return math.ceil((max(pool.rim for pool in laid) + edge) / MARGIN) * MARGIN


@remembered
def reach(lines: Rays, laid: Sequence[Laid], edge: float) -> Sheet:
    """Length that a sheet needs in the direction of the lines, to lie on every surface and ``edge`` beyond every rim.

    A sheet has straight ends, folds, and does not stretch. Over all lines, the longest way from one straight reference
    line to the left end plus the longest from it to the right end, the reference line placed to make the sum least. Between
    two rims the way runs level over the lower ground and drops or climbs at the higher rim. Beyond its own stretch a line
    lies flat.
    """
    return sheet_over(trace(lines, laid, edge), lines.offsets, laid, edge)


def sheet_over(nodes: Trace, offsets: Array, laid: Sequence[Laid], edge: float) -> Sheet:
    """See ``reach``: over nodes of lines at their offsets."""
    covered = np.zeros(len(nodes.line), dtype=bool)
    for pool, inward in zip(laid, nodes.inward, strict=True):
        covered |= inward >= -pool.rim - edge - 1e-9
    level = over_ground(nodes, laid)
    steps = np.hypot(np.diff(nodes.station), np.diff(level))
    steps[np.diff(nodes.line) != 0] = 0.0
    way = np.append(0.0, np.cumsum(steps))
    on = np.flatnonzero(covered)
    new = np.flatnonzero(np.diff(nodes.line[on], prepend=-1))
    first, last = on[new], on[np.append(new[1:], len(on)) - 1]
    rows = nodes.line[first]
    from_start = np.zeros(len(offsets))
    from_start[rows] = way[first]
    way = way - from_start[nodes.line]
    span = float(np.ptp(nodes.station)) + 1.0
    lay = _Lay(
        nodes.line * span + nodes.station,
        way,
        np.asarray(rows * span),
        nodes.station[first],
        nodes.station[last],
        way[last],
    )
    reference = lay.best()
    ahead = lay.ways(np.array([reference]))[:, 0]
    lefts = np.where(reference > lay.low, ahead, 0.0)
    rights = np.where(reference < lay.high, lay.full - ahead, 0.0)
    own_reference = np.interp(np.arange(len(offsets)) * span + reference, lay.keys, way)
    return Sheet(
        length=float(lefts.max() + rights.max()),
        reference=reference,
        left=float(lefts.max()),
        right=float(rights.max()),
        offsets=offsets[rows],
        lefts=lefts,
        rights=rights,
        rows=rows,
        all_offsets=offsets,
        nodes=Trace(nodes.line, nodes.station, level, nodes.inside, nodes.inward),
        way=way - own_reference[nodes.line],
        laid=tuple(laid),
    )


@dataclass(frozen=True, eq=False)
class _Lay:
    """Ways along all lines in one ascending row, to be read at stations of every line at once.

    Attributes:
        keys, way: Line times a span plus station, and the way from the line's own left end, at every node.
        base: Key of station 0 on each line that meets the sheet, shape (k,).
        low, high: Stations of the ends of each; full: the way from one to the other [m].
    """

    keys: Array
    way: Array
    base: Array
    low: Array
    high: Array
    full: Array

    def ways(self, stations: Array) -> Array:
        """Way from each line's own left end to stations, shape (k, n) [m]."""
        return np.interp(self.base[:, None] + stations, self.keys, self.way)

    def best(self) -> float:
        """Station of the reference line that makes the sheet shortest; of several, the one nearest to the middle."""
        low, high = float(self.low.min()), float(self.high.max())
        middle, best = (low + high) / 2, (low + high) / 2
        tries = np.linspace(low, high, TRIES)
        for _ in range(3):
            ahead = self.ways(tries)
            left = np.where(tries > self.low[:, None], ahead, 0.0).max(axis=0)
            right = np.where(tries < self.high[:, None], self.full[:, None] - ahead, 0.0).max(axis=0)
            best = float(tries[np.argmin(left + right + 1e-9 * np.abs(tries - middle))])
            step = float(tries[1] - tries[0])
            tries = np.linspace(max(best - step, low), min(best + step, high), FINER)
        return best


def over_ground(nodes: Trace, laid: Sequence[Laid]) -> Array:
    """Levels of the nodes; outside the rims the lower of the rim levels before and after on the line."""
    rims = np.array([pool.rim_level for pool in laid])
    known = np.flatnonzero(nodes.inside >= 0)
    out = np.flatnonzero(nodes.inside < 0)
    ahead = np.searchsorted(known, out)
    lower = np.full(len(out), np.inf)
    for beside in (known[np.maximum(ahead - 1, 0)], known[np.minimum(ahead, len(known) - 1)]):
        here = nodes.line[beside] == nodes.line[out]
        lower = np.minimum(lower, np.where(here, rims[nodes.inside[beside]], np.inf))
    level = nodes.level.copy()
    # A line that meets no rim, only strips beyond, lies level as a whole.
    level[out] = np.where(np.isfinite(lower), lower, rims.min())
    return level
