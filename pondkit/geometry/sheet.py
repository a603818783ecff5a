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

GAIN = 5e-4  # m: less than this more of a sheet is not looked for
PEAK = 1e-3  # m: nor for so much more of a peak between lines
NEAR = 1e-3  # m: lines nearer to each other than this have none between them
NEAREST = 2e-6  # m: nor, nearer than this, where ways grow by more than ``STEEP`` from line to line
HIDDEN = 0.2  # share of a gap's width squared: how much longer a way in it may be than its sides suggest [per m]
WIDE = 0.1  # m: in a narrower gap a peak is taken to be no higher than where the rises to it meet
ROUND = 1.0  # share of a gap's width squared: as much longer a way may rise to in a round peak [per m]
STEEP = 4.0  # most that a way is taken to grow by from line to line, per distance
STRETCHES = 6  # gaps between lines looked into at a time, the likeliest first
TRIES = 33  # reference lines tried at first
FINER = 12  # parts of a stretch between two of them that is looked into
KEPT = 12  # of each time that are looked into, the likeliest
FINEST = 5e-3  # m: shorter ones are not parted
SPARE = 5e-3  # m: for a sheet shorter by no more no better reference line is looked for
SAME = 1e-9  # m: lines nearer than this are one


class Fit(NamedTuple):
    """Station of the reference line, and the longest ways from it to the left and to the right end [m]."""

    reference: float
    left: float
    right: float


Gaps = tuple[tuple[float, float], ...]


@dataclass(frozen=True, eq=False)
class Ways:
    """Ways along lines in one ascending row, to be read at stations of every line at once.

    Attributes:
        span: More than any line is long [m].
        every: Offset of every line, shape (m,) [m].
        keys, way: Line times the span plus station, and the way from the line's own left end, at every node.
        rows: Index of each line that meets the sheet, shape (k,).
        low, high: Stations of the ends of each; full: the way from one to the other [m].
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
        """Ways from reference lines at stations to the left and to the right end of each
        chosen line, shape (k, n) each [m].
        """
        ahead = np.interp(self.rows[chosen, None] * self.span + stations, self.keys, self.way)
        left = np.where(stations > self.low[chosen, None], ahead, 0.0)
        return left, np.where(stations < self.high[chosen, None], self.full[chosen, None] - ahead, 0.0)

    def joined(self, more: "Ways") -> "Ways":
        """With further lines across the same stations."""
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
        """Gaps between lines in which a longer way is expected than all of some on the lines,
        and how much more the others may hold.

        A way that grows from one line to the next is taken to grow on as fast: where the lines on both sides of a gap
        let expect a peak in it, no higher than where the two meet, else as far as the line behind.

        Args:
            longest: Ways on ``rows`` to the left and to the right, shape (2, k) [m].
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
        found = dict[tuple[float, float], None]()
        for side in (0, 1):
            gaps = np.flatnonzero(likely[side])
            if len(gaps) > STRETCHES:
                gaps = gaps[np.argsort(-more[side, gaps], kind="stable")][:STRETCHES]
            found.update(dict.fromkeys(zip(offset[gaps].tolist(), offset[gaps + 1].tolist(), strict=True)))
        return list(found), np.max(np.where(round_peak, more, 0.0), axis=1, initial=0.0)

    def at(self, reference: float) -> tuple["Fit", Gaps]:
        """What these lines let expect with a reference line at a station, and the gaps to look into."""
        longest = np.stack(self.sides(np.array([reference])))[:, :, 0]
        gaps, rest = self.gaps(longest)
        left, right = (longest.max(axis=1) + rest / 2).tolist()
        return Fit(reference, left, right), tuple(gaps)

    def best(self) -> float:
        """Station of the reference line that makes the sheet shortest; of several, the one nearest to the middle.

        Of a stretch of stations no reference line makes the sheet shorter than the left way at its start and the
        right way at its end, and its own length: only stretches that may hold a better one are looked into, the
        likeliest first, and in them only lines that may be the longest.
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
            at, part = np.divmod(likely, parts)
            end = at * (parts + 1) + part
            longest = (left[:, end + 1] >= lefts[at, part]) | (right[:, end] >= rights[at, part + 1])
            starts, lines, parts = tries[at, part], lines[longest.any(axis=1)], FINER
        return best


def ways_of(nodes: Trace, offsets: Array, laid: Sequence[SiteSurface], edge: float) -> Ways:
    """Ways over nodes of lines at their offsets, whose levels are known everywhere; see ``reach``."""
    covered = np.zeros(len(nodes.line), dtype=bool)
    for pool, inward in zip(laid, nodes.inward, strict=True):
        covered |= inward >= -pool.rim - edge - 1e-9
    steps = np.hypot(np.diff(nodes.station), np.diff(nodes.level))
    steps[np.diff(nodes.line) != 0] = 0.0
    way = np.append(0.0, np.cumsum(steps))
    on = np.flatnonzero(covered)
    new = np.flatnonzero(np.diff(nodes.line[on], prepend=-1))
    first, last = on[new], on[np.append(new[1:], len(on)) - 1 if len(on) else new]
    rows = nodes.line[first]
    from_start = np.zeros(len(offsets))
    from_start[rows] = way[first]
    way = way - from_start[nodes.line]
    if not len(nodes.line):
        none = np.zeros(0)
        return Ways(1.0, none, none, none, np.zeros(0, dtype=int), none, none, none)
    span = float(np.ptp(nodes.station)) + 1.0
    keys = nodes.line * span + nodes.station
    return Ways(span, offsets, keys, way, rows, nodes.station[first], nodes.station[last], way[last])


def fit(ways: Sequence[Ways], between: Callable[[Sequence[Gaps]], Sequence[Ways]]) -> list[Fit]:
    """The sheet in each of several directions.

    Where the longest way may lie between two lines, as those beyond them let expect, further lines are laid
    between them, until none is expected to be longer by ``GAIN``, or they lie as near to each other as
    ``NEAR``. A peak between lines whose ways rise to it from both sides is expected to come up to where the two
    rises meet, and half of that is added.

    Args:
        ways: Along lines across all of the sheet, for each direction.
        between: Ways along further lines in gaps, given by the offsets of the lines beside each.
    """
    every = list(ways)
    fits = [one.at(one.best()) for one in every]
    while any(gaps for _, gaps in fits):
        for index, more in enumerate(between([gaps for _, gaps in fits])):
            if len(more.every):
                every[index] = one = every[index].joined(more)
                before, (again, gaps) = fits[index][0], one.at(fits[index][0].reference)
                # Further lines make the sheet longer or leave it: if as long as before, it is still the shortest.
                longer = again.left + again.right > before.left + before.right + GAIN
                fits[index] = one.at(one.best()) if longer else (again, gaps)
    return [found for found, _ in fits]


MARGIN = 0.25  # m: step of the margin that lines reach beyond the outlines
LINES_FOUND, SAMPLES_FOUND = 49, 96  # of a sheet over the hole as found at first, each way
LINES, SAMPLES = 25, 200  # of a surface at first, each way
UPRIGHT = 0.3  # horizontal per vertical: faces at least as steep are looked for by themselves
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
        """Overall length along a direction [m]."""
        along = Placed(0.0, 0.0, turn_deg).to_own(self.points)[:, 0]
        return float(np.ptp(along))


@remembered
def rims_of(rims: tuple[Rim, ...]) -> Rims:
    """The rims of several pools: they depend on no depth, so that a moved tier leaves them as they are."""
    points = np.concatenate([outside(*rim).points for rim in rims])
    return Rims(points, narrowest_turn(points, [placed.turn_deg for _, placed, _ in rims]))


@dataclass(frozen=True, eq=False)
class SheetSpan:
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
        """Depth under water, and height above the lowest place of its pool, at every node [m]."""
        waters = np.array([pool.level for pool in self.laid])
        floors = np.array([pool.level - pool.surface.deepest for pool in self.laid])
        beside, level = pool_beside(self.nodes, self.laid), self.nodes.level
        return waters[beside] - level, np.where(self.nodes.inside >= 0, level - floors[beside], FAR)

    @cached_property
    def _span(self) -> float:
        """More than any line is long, so that one ascending row of numbers holds all lines one behind the other [m]."""
        return float(np.ptp(self.way)) + self.length + 1.0

    def under(self, places: Array) -> tuple[Array, Array]:
        """Depth under water, and height above its pool's lowest place, where places of the sheet come to lie.

        Outside the rims a place lies over the water of the pool beside it, that of the lower rim where there are two.

        Args:
            places: Distance from the sheet's left end, shape (n,) [m].
        Returns: both of shape (k, n): on every line that meets the sheet; beyond its own stretch those of its
            end, which is no pool's lowest place.
        """
        ahead = np.asarray(places, dtype=float)[None, :] - self.left
        held = np.minimum(np.maximum(ahead, -self.lefts[:, None]), self.rights[:, None])
        at = self.rows[:, None] * self._span + held
        keys = self.nodes.line * self._span + self.way
        depth, spare = (np.interp(at, keys, field) for field in self._water)
        return depth, np.where(held == ahead, spare, FAR)

    def from_left(self, station: Array, offset: Array) -> Array:
        """Distance of places from the sheet's left end, shape (n,) each [m]; interpolated straight between lines."""
        upper = np.clip(np.searchsorted(self.all_offsets, offset), 1, max(len(self.all_offsets) - 1, 1))
        lower = upper - 1
        part = np.clip(
            (offset - self.all_offsets[lower]) / (self.all_offsets[upper] - self.all_offsets[lower]), 0.0, 1.0
        )
        span = float(np.ptp(self.nodes.station)) + 1.0
        keys = self.nodes.line * span + self.nodes.station
        ways = [np.interp(row * span + station, keys, self.way) for row in (lower, upper)]
        return np.asarray(self.left + (1 - part) * ways[0] + part * ways[1])


def margin_of(laid: Sequence[SiteSurface], edge: float) -> float:
    """How far lines reach beyond the outlines [m]: in whole steps, so that they stay the same
    when a tier moves the rim a little.
    """
    return math.ceil((max(pool.rim for pool in laid) + edge) / MARGIN) * MARGIN


@remembered
def rough_extents(laid: Sequence[SiteSurface], turn_deg: float, edge: float) -> tuple[float, float]:
    """Length and width of a sheet by lines at even distances alone: short of ``sheets`` by what is longer between them,
    at a tenth of the cost.

    Args:
        laid, turn_deg, edge: As for ``sheets``.
    """
    outlines = tuple(outline for pool in laid for outline in pool.outlines())
    margin = margin_of(laid, edge)
    lines = [rays(outlines, turn, margin, LINES, SAMPLES) for turn in (turn_deg, turn_deg + 90.0)]
    lengths = []
    for one, own in zip(traces(lines, laid, edge), lines, strict=True):
        ways = ways_of(grounded(one, laid), own.offsets, laid, edge)
        left, right = (float(side.max()) for side in ways.sides(np.array([ways.best()])))
        lengths.append(left + right)
    along, across = lengths
    return along, across


@remembered
def sheets(laid: Sequence[SiteSurface], turn_deg: float, edge: float) -> tuple[SheetSpan, SheetSpan]:
    """The sheet that lies on every surface and ``edge`` beyond every rim, along a direction and across it.

    A sheet has straight ends, folds, and does not stretch. Over all lines, the longest way from one straight reference
    line to the left end plus the longest from it to the right end, the reference line placed to make the sum
    least. Between two rims the way runs level over the lower ground and drops or climbs at the higher rim.
    Beyond its own stretch a line lies flat.

    The longest ways are looked for between lines as well: see ``fit``.

    Args:
        laid: The surfaces under it.
        turn_deg: Direction, anticlockwise from east.
        edge: How far it lies beyond every rim [m].
    """
    outlines = tuple(outline for pool in laid for outline in pool.outlines())
    margin = margin_of(laid, edge)
    turns = (turn_deg, turn_deg + 90.0)
    edges = [edges_across(laid, outlines, turn) for turn in turns]
    lines = [
        rays(outlines, turn, margin, LINES, SAMPLES, (), still) for turn, (still, _) in zip(turns, edges, strict=True)
    ]
    nodes = [grounded(one, laid) for one in traces(lines, laid, edge)]
    ways = [ways_of(one, own.offsets, laid, edge) for one, own in zip(nodes, lines, strict=True)]

    def further(more: Sequence[Rays]) -> list[Ways]:
        return [
            ways_of(grounded(one, laid), own.offsets, laid, edge)
            for one, own in zip(traces(more, laid, edge), more, strict=True)
        ]

    every = ways
    if any(moving for _, moving in edges):
        more = [
            rays_at(outlines, turn, margin, SAMPLES, moving) for turn, (_, moving) in zip(turns, edges, strict=True)
        ]
        every = [one.joined(other) for one, other in zip(ways, further(more), strict=True)]
    fits = fit(
        every,
        lambda gaps: further(
            [rays_between(outlines, turn, margin, SAMPLES, own) for turn, own in zip(turns, gaps, strict=True)]
        ),
    )
    along, across = (_sheet(*each, laid) for each in zip(lines, nodes, ways, fits, strict=True))
    return along, across


def _sheet(lines: Rays, nodes: Trace, ways: Ways, fitted: Fit, laid: Sequence[SiteSurface]) -> SheetSpan:
    lefts, rights = (side[:, 0] for side in ways.sides(np.array([fitted.reference])))
    own = np.interp(np.arange(len(lines.offsets)) * ways.span + fitted.reference, ways.keys, ways.way)
    return SheetSpan(
        length=fitted.left + fitted.right,
        reference=fitted.reference,
        left=fitted.left,
        right=fitted.right,
        offsets=lines.offsets[ways.rows],
        lefts=lefts,
        rights=rights,
        rows=ways.rows,
        all_offsets=lines.offsets,
        nodes=nodes,
        way=ways.way - own[nodes.line],
        laid=tuple(laid),
    )


def edges_across(
    laid: Sequence[SiteSurface], outlines: Sequence[tuple[Shape, Placed]], turn_deg: float
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Offsets of lines on both sides of where an upright face turns back: there a way
    changes at once by twice its height.

    Returns: those that depend on no depth, and the others [m].
    """
    parts = [part for pool in laid for part in pool.surface.parts]
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
    for outline, own in zip(outlines, runs, strict=True):
        offsets, rates = turns_of(*outline, turn_deg) if own else (np.zeros(0), np.zeros(0))
        for run in own:
            at = offsets + rates * run
            (moving if run else still).update(np.round(np.concatenate([at - BESIDE, at + BESIDE]), 4).tolist())
    return tuple(sorted(still)), tuple(sorted(moving))


@remembered
def sheets_found(
    laid: tuple[SiteSurface, ...], turn_deg: float, edge: float, corrections: tuple[Correction | None, ...]
) -> tuple[float, float]:
    """Length and width of a sheet over the hole as found, see ``sheets`` [m].

    Args:
        laid: Liner surfaces of the pools under it as drawn; rims and what lies beyond them stay as drawn.
        turn_deg: Direction of its length, anticlockwise from east.
        edge: How far it lies beyond every rim [m].
        corrections: Of each pool; None where it is as drawn.
    """
    turns = (turn_deg, turn_deg + 90.0)
    outlines = tuple(outline for pool in laid for outline in pool.outlines())
    margin = margin_of(laid, edge)
    # Every measured place lies on a line: there the surface as found has its highest and lowest places.
    through = tuple(place for correction in corrections if correction for place in correction.places)

    def ways(lines: Sequence[Rays]) -> list[Ways]:
        return [
            _ways_found(nodes, own, laid, edge, corrections)
            for nodes, own in zip(traces(lines, laid, edge, floors=True), lines, strict=True)
        ]

    def between(gaps: Sequence[Gaps]) -> list[Ways]:
        return ways(
            [
                rays_between(outlines, turn, margin, SAMPLES_FOUND, own, through)
                for turn, own in zip(turns, gaps, strict=True)
            ]
        )

    lines = []
    for turn in turns:
        still, moving = edges_across(laid, outlines, turn)
        lines.append(rays(outlines, turn, margin, LINES_FOUND, SAMPLES_FOUND, through, (*still, *moving)))
    along, across = fit(ways(lines), between)
    return along.left + along.right, across.left + across.right


def _ways_found(
    nodes: Trace, lines: Rays, laid: Sequence[SiteSurface], edge: float, corrections: Sequence[Correction | None]
) -> Ways:
    points = Placed(0.0, 0.0, lines.turn_deg).to_site(np.stack([nodes.station, lines.offsets[nodes.line]], axis=1))
    return ways_of(grounded(moved_nodes(nodes, points, laid, corrections), laid), lines.offsets, laid, edge)


@remembered
def cover(laid: SiteSurface, edge: float) -> tuple[float, float]:
    """True area up to the rim, and plan area of the strip beyond it, of one pool [m²].

    Args:
        laid: The surface.
        edge: Width of the strip [m].
    """
    return sum(share.true_area for share in laid.surface.shares().values()) + _bank(laid), _strip(laid, edge)


def _strip(laid: SiteSurface, edge: float) -> float:
    inner, outer = laid.surface.pool.shape.area(np.array([-laid.rim, -laid.rim - edge]))
    return float(outer - inner)


def _bank(laid: SiteSurface) -> float:
    """True area above the waterline: the bank up to the rim, and a seat in it [m²]."""
    part = laid.surface.pool
    top = laid.level - laid.rim_level
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
