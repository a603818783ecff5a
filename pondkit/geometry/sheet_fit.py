"""The longest ways over a surface from one straight reference line to both ends of a
sheet, between lines as well as on them.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pondkit.geometry.lines import Ints
from pondkit.geometry.outline import Array
from pondkit.geometry.site_surface import SiteSurface, Trace

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
