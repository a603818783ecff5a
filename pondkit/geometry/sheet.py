"""A sheet laid over the surfaces of one or more pools: how far it reaches, and where a place of it comes to lie.

How far it reaches is the longest way over a surface from one straight reference line to both ends of the sheet, looked
for between sampled lines as well as on them.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.as_built import Correction, moved_nodes
from pondkit.geometry.footprint import Rim, outside
from pondkit.geometry.lines import Ints, Rays, rays, rays_at, rays_between, turns_of
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.profile import FAR
from pondkit.geometry.site_surface import SiteSurface, Trace, grounded, narrowest_turn, pool_beside, traces

GAIN = 5e-4  # m: gains in length below this are not searched for
PEAK = 1e-3  # m: the same for a peak between lines
NEAR = 1e-3  # m: no lines are inserted between lines nearer than this
NEAREST = 2e-6  # m: nor, nearer than this, where ways grow by more than ``STEEP`` from line to line
HIDDEN = 0.2  # share of a gap's width squared: how much longer a way in it may be than its sides suggest [per m]
WIDE = 0.1  # m: in a narrower gap a peak is taken to be no higher than where the rises to it meet
ROUND = 1.0  # share of a gap's width squared: as much longer a way may rise to in a round peak [per m]
STEEP = 4.0  # most that a way is taken to grow by from line to line, per distance
STRETCHES = 6  # gaps between lines examined at a time, the likeliest first
TRIES = 33  # reference lines tried at first
FINER = 12  # parts of a stretch between two of them that is examined
KEPT = 12  # number of them examined each time, the likeliest first
FINEST = 5e-3  # m: shorter ones are not divided
SPARE = 5e-3  # m: savings below this are not searched for
SAME = 1e-9  # m: lines nearer than this coincide


class Fit(NamedTuple):
    """Station of the reference line, and lengths of the longest paths from it to the left and right end [m]."""

    reference: float
    left: float
    right: float


Gaps = tuple[tuple[float, float], ...]


@dataclass(frozen=True, eq=False)
class Ways:
    """Paths along lines, all in one ascending row, so that all lines can be read at a station at once.

    Attributes:
        span: A length greater than any line [m].
        every: Offset of every line, shape (m,) [m].
        keys, way: Line number times span plus station, and length from the line's own left end, at every node.
        rows: Index of each line that meets the sheet, shape (k,).
        low, high: Stations of the ends of each; full: length from one end to the other [m].
    """

    span: float
    every: Array
    keys: Array
    way: Array
    rows: Ints
    low: Array
    high: Array
    full: Array

    def sides(self, stations: Array, chosen: Ints | slice = slice(None)) -> tuple[Array, Array]:
        """(lengths to the left, lengths to the right) from reference lines at stations to the ends of each chosen
        line, shape (k, n) each [m].
        """
        ahead = np.interp(self.rows[chosen, None] * self.span + stations, self.keys, self.way)
        left = np.where(stations > self.low[chosen, None], ahead, 0.0)
        return left, np.where(stations < self.high[chosen, None], self.full[chosen, None] - ahead, 0.0)

    def joined(self, more: "Ways") -> "Ways":
        """These paths with further lines across the same stations."""
        behind = len(self.every)
        return Ways(
            self.span,
            np.concatenate([self.every, more.every]),
            np.concatenate([self.keys, more.keys + behind * self.span]),
            np.concatenate([self.way, more.way]),
            np.concatenate([self.rows, more.rows + behind]),
            np.concatenate([self.low, more.low]),
            np.concatenate([self.high, more.high]),
            np.concatenate([self.full, more.full]),
        )

    def gaps(self, longest: Array) -> tuple[list[tuple[float, float]], Array]:
        """(gaps between lines in which a longer path is expected than on any line, further length that the other gaps
        may hold).

        A length that grows from one line to the next is extrapolated at the same rate. If both sides of a gap suggest
        a peak in it, the peak is no higher than the intersection of the two extrapolations; otherwise they extend to
        the line beyond.

        Args:
            longest: Lengths on ``rows`` to the left and to the right, shape (2, k) [m].
        Returns: offsets of the lines beside each gap, and a length for either side, shape (2,) [m].
        """
        order = np.argsort(self.every, kind="stable")
        offset, value = self.every[order], np.zeros((2, len(order)))
        value[:, self.rows] = longest
        value = value[:, order]
        most = value.max(axis=1, keepdims=True)
        wide = np.maximum(np.diff(offset), SAME)
        # How fast ways grow towards a gap, from the line before and from the one before that: two may lie very near.
        far = np.maximum(offset[2:] - offset[:-2], SAME)
        low, high = value[:, :-1], value[:, 1:]
        slope, wider = (high - low) / wide, (value[:, 2:] - value[:, :-2]) / far
        before, behind = np.zeros_like(slope), np.zeros_like(slope)
        before[:, 1:], behind[:, :-1] = slope[:, :-1], slope[:, 1:]
        np.maximum(before[:, 2:], wider[:, :-1], out=before[:, 2:])
        np.minimum(behind[:, :-2], wider[:, 1:], out=behind[:, :-2])
        # Along a steep face that runs nearly as the lines do, a way may grow by a hundred times what lies between them.
        soar = (np.maximum(low + before * wide, high - behind * wide) > most + PEAK) & (wide > NEAREST)
        before, behind = before.clip(-STEEP, STEEP), behind.clip(-STEEP, STEEP)
        ahead, back = low + before * wide, high - behind * wide
        further, ends = np.maximum(ahead, back), np.maximum(low, high)
        # Where a rise is steep, ways may end at once in a wide gap, as where a face turns back: then what comes from
        # the other side says nothing.
        round_peak = (ahead >= high) & (back >= low) & ((wide < WIDE) | (further < most + ROUND * wide**2))
        meet = (high - low - behind * wide) / np.maximum(before - behind, SAME)
        peak = low + before * meet.clip(0.0, wide)
        more = np.maximum(np.where(round_peak, peak, further), ends) - most
        hidden = ends + HIDDEN * wide**2 > most + 2 * PEAK
        likely = ((more > np.where(round_peak, PEAK, GAIN)) | hidden) & (wide > NEAR) | soar
        gaps_found = dict[tuple[float, float], None]()
        for side in (0, 1):
            gaps = np.flatnonzero(likely[side])
            if len(gaps) > STRETCHES:
                gaps = gaps[np.argsort(-more[side, gaps], kind="stable")][:STRETCHES]
            gaps_found.update(dict.fromkeys(zip(offset[gaps].tolist(), offset[gaps + 1].tolist(), strict=True)))
        return list(gaps_found), np.max(np.where(round_peak, more, 0.0), axis=1, initial=0.0)

    def at(self, reference: float) -> tuple["Fit", Gaps]:
        """(fit expected from these lines with a reference line at a station, gaps to examine)."""
        longest = np.stack(self.sides(np.array([reference])))[:, :, 0]
        gaps, rest = self.gaps(longest)
        left, right = (longest.max(axis=1) + rest / 2).tolist()
        return Fit(reference, left, right), tuple(gaps)

    def best(self) -> float:
        """Station of the reference line that makes the sheet shortest; of several, the one nearest to the middle.

        Within a stretch of stations the sheet is no shorter than the left length at its start plus the right length at
        its end: only stretches that may hold a better reference line are examined, the likeliest first, and in them
        only lines that may be the longest.
        """
        first, last = float(self.low.min()), float(self.high.max())
        middle = best = (first + last) / 2
        least, parts = math.inf, TRIES
        starts, wide = np.array([first]), last - first
        lines: Ints = np.arange(len(self.rows))
        while len(starts):
            wide /= parts
            tries = starts[:, None] + wide * np.arange(parts + 1)
            left, right = self.sides(tries.ravel(), lines)
            lefts, rights = left.max(axis=0).reshape(tries.shape), right.max(axis=0).reshape(tries.shape)
            sums = lefts + rights + 1e-9 * np.abs(tries - middle)
            if sums.min() < least:
                least, best = float(sums.min()), float(tries.flat[int(sums.argmin())])
            if wide < FINEST:
                break
            bound = lefts[:, :-1] + rights[:, 1:] + wide * ((lefts[:, :-1] > 0) & (rights[:, 1:] > 0))
            likely = np.argsort(bound, axis=None, kind="stable")[:KEPT]
            likely = likely[bound.flat[likely] < least - SPARE]
            stretch, part = np.divmod(likely, parts)
            end = stretch * (parts + 1) + part
            longest = (left[:, end + 1] >= lefts[stretch, part]) | (right[:, end] >= rights[stretch, part + 1])
            starts, lines, parts = tries[stretch, part], lines[longest.any(axis=1)], FINER
        return best


def ways_of(nodes: Trace, offsets: Array, surfaces: Sequence[SiteSurface], edge: float) -> Ways:
    """Paths over nodes of lines at their offsets, with known levels everywhere; see ``reach``."""
    covered = np.zeros(len(nodes.line), dtype=bool)
    for pool, inward in zip(surfaces, nodes.inward, strict=True):
        covered |= inward >= -pool.rim - edge - 1e-9
    steps = np.hypot(np.diff(nodes.station), np.diff(nodes.level))
    steps[np.diff(nodes.line) != 0] = 0.0
    length = np.append(0.0, np.cumsum(steps))
    on = np.flatnonzero(covered)
    new = np.flatnonzero(np.diff(nodes.line[on], prepend=-1))
    first, last = on[new], on[np.append(new[1:], len(on)) - 1 if len(on) else new]
    rows = nodes.line[first]
    from_start = np.zeros(len(offsets))
    from_start[rows] = length[first]
    length = length - from_start[nodes.line]
    if not len(nodes.line):
        none = np.zeros(0)
        return Ways(1.0, none, none, none, np.zeros(0, dtype=int), none, none, none)
    span = float(np.ptp(nodes.station)) + 1.0
    keys = nodes.line * span + nodes.station
    return Ways(span, offsets, keys, length, rows, nodes.station[first], nodes.station[last], length[last])


def fit(paths: Sequence[Ways], between: Callable[[Sequence[Gaps]], Sequence[Ways]]) -> list[Fit]:
    """Fit of the sheet in each of several directions.

    Where the lines beyond suggest that the longest path is between two lines, further lines are inserted, until none
    is expected to be longer by ``GAIN`` or their spacing is ``NEAR``. A peak between lines that rise to it from both
    sides is expected at the intersection of the two rises, and half of that is added.

    Args:
        paths: Paths along lines across all of the sheet, for each direction.
        between: Function that gives paths along further lines in gaps, from the offsets of the lines beside each.
    """
    every = list(paths)
    fits = [path_set.at(path_set.best()) for path_set in every]
    while any(gaps for _, gaps in fits):
        for index, more in enumerate(between([gaps for _, gaps in fits])):
            if len(more.every):
                every[index] = path_set = every[index].joined(more)
                before, (again, gaps) = fits[index][0], path_set.at(fits[index][0].reference)
                # Further lines make the sheet longer or leave it: if as long as before, it is still the shortest.
                longer = again.left + again.right > before.left + before.right + GAIN
                fits[index] = path_set.at(path_set.best()) if longer else (again, gaps)
    return [best_fit for best_fit, _ in fits]


MARGIN = 0.25  # m: step of the margin that lines reach beyond the outlines
LINES_FOUND, SAMPLES_FOUND = 49, 96  # of a sheet over the hole as found at first, each way
LINES, SAMPLES = 25, 200  # of a surface at first, each way
UPRIGHT = 0.3  # horizontal per vertical: faces at least as steep are treated separately
BESIDE = 1e-3  # m from where such a face turns back, on both sides of it


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
        """Overall length in a direction [m]."""
        along = Placed(0.0, 0.0, turn_deg).to_own(self.points)[:, 0]
        return float(np.ptp(along))


@remembered
def rims_of(rims: tuple[Rim, ...]) -> Rims:
    """The rims of several pools. They depend on no depth, so a moved tier leaves them unchanged."""
    points = np.concatenate([outside(*rim).points for rim in rims])
    return Rims(points, narrowest_turn(points, [placed.turn_deg for _, placed, _ in rims]))


@dataclass(frozen=True, eq=False)
class SheetSpan:
    """Span of a sheet in one direction: see ``reach``. Its left end has the least station.

    Attributes:
        length: Least length of the sheet in this direction [m].
        reference: Station of the reference line [m].
        left, right: Length from the reference line to either end [m].
        offsets: Offset of each line that meets the sheet, shape (k,) [m].
        lefts, rights: Length along the surface on each, from the reference line to its own ends, shape (k,) [m].
        rows: Index of each among all lines, shape (k,).
        all_offsets: Offset of every line, shape (m,) [m].
        nodes: The surface on every line, level on the ground between and beyond rims.
        way: Length along the surface from the reference line, negative to its left, at every node [m].
        laid: The surfaces under it.
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
    laid: tuple[SiteSurface, ...]

    @cached_property
    def _water(self) -> tuple[Array, Array]:
        """(depth below water, height above the lowest place of its pool) at every node [m]."""
        waters = np.array([pool.level for pool in self.laid])
        floors = np.array([pool.level - pool.surface.deepest for pool in self.laid])
        beside, level = pool_beside(self.nodes, self.laid), self.nodes.level
        return waters[beside] - level, np.where(self.nodes.inside >= 0, level - floors[beside], FAR)

    @cached_property
    def _span(self) -> float:
        """A length greater than any line, so that all lines fit into one ascending row of numbers [m]."""
        return float(np.ptp(self.way)) + self.length + 1.0

    def under(self, places: Array) -> tuple[Array, Array]:
        """Depth below water, and height above the pool's lowest place, under places of the sheet.

        A place outside the rims counts against the water of the pool beside it, of two pools that with the lower rim.

        Args:
            places: Distance from the sheet's left end, shape (n,) [m].
        Returns: both of shape (k, n): on every line that meets the sheet; beyond its own stretch those of its end,
        which is no pool's lowest place.
        """
        ahead = np.asarray(places, dtype=float)[None, :] - self.left
        clipped = np.minimum(np.maximum(ahead, -self.lefts[:, None]), self.rights[:, None])
        row_keys = self.rows[:, None] * self._span + clipped
        keys = self.nodes.line * self._span + self.way
        depth, spare = (np.interp(row_keys, keys, field) for field in self._water)
        return depth, np.where(clipped == ahead, spare, FAR)

    def from_left(self, station: Array, offset: Array) -> Array:
        """Distance of places from the sheet's left end, shape (n,) each [m]; interpolated straight between lines."""
        upper = np.clip(np.searchsorted(self.all_offsets, offset), 1, max(len(self.all_offsets) - 1, 1))
        lower = upper - 1
        part = np.clip(
            (offset - self.all_offsets[lower]) / (self.all_offsets[upper] - self.all_offsets[lower]), 0.0, 1.0
        )
        span = float(np.ptp(self.nodes.station)) + 1.0
        keys = self.nodes.line * span + self.nodes.station
        lengths = [np.interp(row * span + station, keys, self.way) for row in (lower, upper)]
        return np.asarray(self.left + (1 - part) * lengths[0] + part * lengths[1])


def margin_of(surfaces: Sequence[SiteSurface], edge: float) -> float:
    """Extension of lines beyond the outlines [m], in whole steps so that they are unchanged when a tier moves the rim
    a little.
    """
    return math.ceil((max(pool.rim for pool in surfaces) + edge) / MARGIN) * MARGIN


@remembered
def rough_extents(surfaces: Sequence[SiteSurface], turn_deg: float, edge: float) -> tuple[float, float]:
    """Approximate length and width of a sheet, from evenly spaced lines only: less than ``sheets`` by any longer path
    between the lines, at a tenth of the time.

    Args:
        surfaces, turn_deg, edge: See ``sheets``.
    """
    outlines = tuple(outline for pool in surfaces for outline in pool.outlines())
    margin = margin_of(surfaces, edge)
    lines = [rays(outlines, turn, margin, LINES, SAMPLES) for turn in (turn_deg, turn_deg + 90.0)]
    lengths = []
    for nodes, lines_of_turn in zip(traces(lines, surfaces, edge), lines, strict=True):
        paths = ways_of(grounded(nodes, surfaces), lines_of_turn.offsets, surfaces, edge)
        left, right = (float(side.max()) for side in paths.sides(np.array([paths.best()])))
        lengths.append(left + right)
    along, across = lengths
    return along, across


@remembered
def sheets(surfaces: Sequence[SiteSurface], turn_deg: float, edge: float) -> tuple[SheetSpan, SheetSpan]:
    """Spans of the sheet that covers every surface and ``edge`` beyond every rim, along a direction and across it.

    A sheet has straight ends, folds, and does not stretch. Its length is the longest path over all lines from a
    straight reference line to the left end, plus the longest to the right end, with the reference line placed for the
    least sum. Between two rims the path is level over the lower ground and drops or climbs at the higher rim. Beyond
    its own stretch a line is flat.

    The longest paths are searched for between lines as well: see ``fit``.

    Args:
        surfaces: The surfaces under it.
        turn_deg: Direction, anticlockwise from east.
        edge: Width of the sheet beyond every rim [m].
    """
    outlines = tuple(outline for pool in surfaces for outline in pool.outlines())
    margin = margin_of(surfaces, edge)
    turns = (turn_deg, turn_deg + 90.0)
    edges = [edges_across(surfaces, outlines, turn) for turn in turns]
    lines = [
        rays(outlines, turn, margin, LINES, SAMPLES, (), still) for turn, (still, _) in zip(turns, edges, strict=True)
    ]
    nodes = [grounded(current, surfaces) for current in traces(lines, surfaces, edge)]
    paths = [
        ways_of(current, lines_of_turn.offsets, surfaces, edge)
        for current, lines_of_turn in zip(nodes, lines, strict=True)
    ]

    def further(more: Sequence[Rays]) -> list[Ways]:
        return [
            ways_of(grounded(nodes, surfaces), lines_of_turn.offsets, surfaces, edge)
            for nodes, lines_of_turn in zip(traces(more, surfaces, edge), more, strict=True)
        ]

    every = paths
    if any(moving for _, moving in edges):
        more = [
            rays_at(outlines, turn, margin, SAMPLES, moving) for turn, (_, moving) in zip(turns, edges, strict=True)
        ]
        every = [current.joined(further_paths) for current, further_paths in zip(paths, further(more), strict=True)]
    fits = fit(
        every,
        lambda gaps: further(
            [
                rays_between(outlines, turn, margin, SAMPLES, lines_of_turn)
                for turn, lines_of_turn in zip(turns, gaps, strict=True)
            ]
        ),
    )
    along, across = (_sheet(*each, surfaces) for each in zip(lines, nodes, paths, fits, strict=True))
    return along, across


def _sheet(lines: Rays, nodes: Trace, paths: Ways, fitted: Fit, surfaces: Sequence[SiteSurface]) -> SheetSpan:
    lefts, rights = (side[:, 0] for side in paths.sides(np.array([fitted.reference])))
    own_lengths = np.interp(np.arange(len(lines.offsets)) * paths.span + fitted.reference, paths.keys, paths.way)
    return SheetSpan(
        length=fitted.left + fitted.right,
        reference=fitted.reference,
        left=fitted.left,
        right=fitted.right,
        offsets=lines.offsets[paths.rows],
        lefts=lefts,
        rights=rights,
        rows=paths.rows,
        all_offsets=lines.offsets,
        nodes=nodes,
        way=paths.way - own_lengths[nodes.line],
        laid=tuple(surfaces),
    )


def edges_across(
    surfaces: Sequence[SiteSurface], outlines: Sequence[tuple[Shape, Placed]], turn_deg: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Offsets of lines on both sides of places where an upright face turns back, at which a path jumps by twice the
    face's height.

    Returns: those that depend on no depth, and the others [m].
    """
    parts = [part for pool in surfaces for part in pool.surface.parts]
    runs = tuple(
        tuple(
            face.run + face.batter * upper
            for upper, lower, face in (*part.profile.faces, *part.profile.lips)
            if face.batter < UPRIGHT and lower > -0.5
        )
        for part in parts
    )
    return _edges_across(tuple(outlines), turn_deg, runs)


@remembered
def _edges_across(
    outlines: Sequence[tuple[Shape, Placed]], turn_deg: float, runs: Sequence[tuple[float, ...]]
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    still, moving = set[float](), set[float]()
    for outline, outline_runs in zip(outlines, runs, strict=True):
        offsets, rates = turns_of(*outline, turn_deg) if outline_runs else (np.zeros(0), np.zeros(0))
        for run in outline_runs:
            shifted = offsets + rates * run
            (moving if run else still).update(
                np.round(np.concatenate([shifted - BESIDE, shifted + BESIDE]), 4).tolist()
            )
    return tuple(sorted(still)), tuple(sorted(moving))


@remembered
def sheets_found(
    surfaces: tuple[SiteSurface, ...], turn_deg: float, edge: float, corrections: tuple[Correction | None, ...]
) -> tuple[float, float]:
    """Length and width of a sheet over the as-built excavation, see ``sheets`` [m].

    Args:
        surfaces: Design liner surfaces of the pools under it; rims and ground beyond them stay as designed.
        turn_deg: Direction of its length, anticlockwise from east.
        edge: Width of the sheet beyond every rim [m].
        corrections: Correction of each pool; None for the design surface.
    """
    turns = (turn_deg, turn_deg + 90.0)
    outlines = tuple(outline for pool in surfaces for outline in pool.outlines())
    margin = margin_of(surfaces, edge)
    # A line through every surveyed place: the as-built surface has its extremes there.
    through = tuple(place for correction in corrections if correction for place in correction.places)

    def ways(lines: Sequence[Rays]) -> list[Ways]:
        return [
            _ways_found(nodes, lines_of_turn, surfaces, edge, corrections)
            for nodes, lines_of_turn in zip(traces(lines, surfaces, edge, floors=True), lines, strict=True)
        ]

    def between(gaps: Sequence[Gaps]) -> list[Ways]:
        return ways(
            [
                rays_between(outlines, turn, margin, SAMPLES_FOUND, gaps_of_turn, through)
                for turn, gaps_of_turn in zip(turns, gaps, strict=True)
            ]
        )

    lines = []
    for turn in turns:
        still, moving = edges_across(surfaces, outlines, turn)
        lines.append(rays(outlines, turn, margin, LINES_FOUND, SAMPLES_FOUND, through, (*still, *moving)))
    along, across = fit(ways(lines), between)
    return along.left + along.right, across.left + across.right


def _ways_found(
    nodes: Trace, lines: Rays, surfaces: Sequence[SiteSurface], edge: float, corrections: Sequence[Correction | None]
) -> Ways:
    points = Placed(0.0, 0.0, lines.turn_deg).to_site(np.stack([nodes.station, lines.offsets[nodes.line]], axis=1))
    return ways_of(grounded(moved_nodes(nodes, points, surfaces, corrections), surfaces), lines.offsets, surfaces, edge)


@remembered
def cover(site_surface: SiteSurface, edge: float) -> tuple[float, float]:
    """(true area up to the rim, plan area of the strip beyond it) of one pool [m²].

    Args:
        site_surface: The surface.
        edge: Width of the strip [m].
    """
    return sum(share.true_area for share in site_surface.surface.shares().values()) + _bank(site_surface), _strip(
        site_surface, edge
    )


def _strip(site_surface: SiteSurface, edge: float) -> float:
    inner, outer = site_surface.surface.pool.shape.area(np.array([-site_surface.rim, -site_surface.rim - edge]))
    return float(outer - inner)


def _bank(site_surface: SiteSurface) -> float:
    """True area above the waterline: the bank up to the rim, with a seat in it [m²]."""
    part = site_surface.surface.pool
    top = site_surface.level - site_surface.rim_level
    total = 0.0
    for upper, lower, face in part.profile.faces:
        high, low = max(upper, top), min(lower, 0.0)
        if high >= low:
            continue
        inward = face.run + face.batter * np.array([high, low])
        if face.batter > 0:
            wide, narrow = part.shape.area(inward)
            total += float(wide - narrow) * math.hypot(1.0, face.batter) / face.batter
        else:
            total += float(part.shape.perimeter(inward[:1])[0]) * (low - high)
    for start, end, level in part.profile.levels:
        if level.level is not None and level.level < 0:
            wide, narrow = part.shape.area(np.array([start, end]))
            total += float(wide - narrow)
    return total
