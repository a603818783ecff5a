"""Straight lines across outlines: samples along them, and the distance inward from every outline at each sample."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pondkit.core.remembered import remembered
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.profile import SLIT

Ints = NDArray[np.int64]
CLOSE = 1e-6  # of a cell
ACROSS = 9  # least number of lines over each outline, and of samples along it, so that no small pit is missed
SHARP = 20.0  # degrees: a sharper corner gets a line of its own, as the longest path may well run through it
CORNERS = 12  # of one outline, at the most
PARTS = 8  # into which a gap between two lines is cut
MOST_TURNS = 24  # number of places examined where an outline turns back, the sharpest first
TIP_CELLS = 4  # a line nearer to a tip than this many cells gets a sample in it
LEVEL = 0.1  # across per along: a turn flatter than this in its middle is not a tip across lines
STRAIGHT = 5e-4  # m: deviation from linear below which a sample is left out
THINNINGS = 6  # so often, half of a row of such samples each time
BENT = 5e-4  # m: deviation from linear within a cell below which it is not divided,
PEAKED = 1e-4  # m: and where it may have its greatest or least value in it
SHORT = 1e-4  # m: shorter cells are not divided
PARTINGS = 6  # greatest number of divisions of a cell


@dataclass(frozen=True, eq=False)
class Rays:
    """Parallel lines with ordered samples, and the distance inward from every outline at every sample.

    Between samples the distances are linear; every kink has a sample. Nothing here depends on depths, so a moved tier
    needs no new lines.

    Attributes:
        turn_deg: Direction of the lines, anticlockwise from east.
        offsets: Distance of each line to the left of the site's origin (of the start, for a single line), shape (k,)
            [m].
        line: Index of the line of each sample, shape (n,).
        station: Distance along it from the origin [m], shape (n,).
        inward: Distance inward from each outline (negative outside), shape (n,) [m].
    """

    turn_deg: float
    offsets: Array
    line: Ints
    station: Array
    inward: tuple[Array, ...]

    @cached_property
    def joined(self) -> NDArray[np.bool_]:
        """True for each sample but the last that is on one line with the next, shape (n - 1,)."""
        return np.asarray(self.line[1:] == self.line[:-1])

    def crossings(self, marks: Sequence[Array]) -> tuple[Ints, Array]:
        """Places where distances pass marks: (sample before, share of the way to the next), in order.

        Args:
            marks: Distances for each outline, ascending [m].
        """
        cells, shares = [], []
        for field, levels in zip(self.inward, marks, strict=True):
            passed = np.searchsorted(levels, field)
            cell = np.flatnonzero((passed[1:] != passed[:-1]) & self.joined)
            start, end = passed[cell], passed[cell + 1]
            least, count = np.minimum(start, end), np.abs(end - start)
            cell = np.repeat(cell, count)
            mark = np.arange(len(cell)) + np.repeat(least - np.cumsum(count) + count, count)
            cells.append(cell)
            shares.append((levels[mark] - field[cell]) / (field[cell + 1] - field[cell]))
        behind, share = np.concatenate(cells), np.concatenate(shares)
        order = np.lexsort((share, behind))
        return behind[order], share[order]


class Between:
    """Inserts values into a row, linearly interpolated between their neighbours."""

    def __init__(self, count: int, behind: Ints, share: Array) -> None:
        self._behind, self._share = behind, share
        self._new = behind + 1 + np.arange(len(behind))
        self._old = np.ones(count + len(behind), dtype=bool)
        self._old[self._new] = False

    def __call__(self, field: Array) -> Array:
        values = np.empty(len(self._old))
        before = field[self._behind]
        values[self._new] = before + self._share * (field[self._behind + 1] - before)
        values[self._old] = field
        return values

    def same(self, field: Ints) -> Ints:
        """Inserts whole numbers that are equal on both sides."""
        values = np.empty(len(self._old), dtype=field.dtype)
        values[self._new], values[self._old] = field[self._behind], field
        return values


@remembered
def rays(
    outlines: Sequence[tuple[Shape, Placed]],
    turn_deg: float,
    margin: float,
    lines: int,
    samples: int,
    through: Sequence[tuple[float, float]] = (),
    marks: Sequence[float] = (),
) -> Rays:
    """Lines across all outlines and a margin round them, evenly spaced, with further lines where an outline requires
    them.

    Args:
        outlines: Shapes with their placements on the site.
        turn_deg: Direction of the lines, anticlockwise from east.
        margin: Extension of the lines beyond the outlines on every side [m].
        lines, samples: Least number of lines, and of samples on each.
        through: Places on the site that lines and samples pass through; if there are some, lines also touch both sides
            of every outline. If empty, samples between which all distances are linear are left out.
        marks: Offsets of further lines [m].
    """
    axes = Placed(0.0, 0.0, turn_deg)
    local = axes.to_own(np.array(through, dtype=float).reshape(-1, 2))
    rings = [axes.to_own(placed.to_site(shape.coords)) for shape, placed in outlines]
    sides = [side for ring in rings for side in (ring[:, 1].min(), ring[:, 1].max())] if through else []
    sharp = [ring[_sharp(ring), 1] for ring in rings]
    offsets = np.unique(
        np.concatenate([_spread([ring[:, 1] for ring in rings], margin, lines), *sharp, local[:, 1], sides, marks])
    )
    stations = _stations(outlines, turn_deg, margin, samples, through)
    lines_found = _sampled(outlines, axes, stations, offsets, margin)
    return lines_found if through else _thinned(lines_found)


@remembered
def rays_at(
    outlines: Sequence[tuple[Shape, Placed]],
    turn_deg: float,
    margin: float,
    samples: int,
    offsets: Sequence[float],
    through: Sequence[tuple[float, float]] = (),
) -> Rays:
    """Further lines to those of ``rays``, with the same samples.

    Args:
        outlines, turn_deg, margin, samples, through: As for ``rays``.
        offsets: Offset of each line [m].
    """
    if not offsets:
        none = np.zeros(0)
        return Rays(turn_deg, none, np.zeros(0, dtype=int), none, tuple(none for _ in outlines))
    stations = _stations(outlines, turn_deg, margin, samples, through)
    lines_found = _sampled(outlines, Placed(0.0, 0.0, turn_deg), stations, np.array(offsets), margin)
    return lines_found if through else _thinned(lines_found)


@remembered
def rays_between(
    outlines: Sequence[tuple[Shape, Placed]],
    turn_deg: float,
    margin: float,
    samples: int,
    gaps: Sequence[tuple[float, float]],
    through: Sequence[tuple[float, float]] = (),
) -> Rays:
    """Evenly spaced lines in gaps between other lines, see ``rays_at``; those of each gap are remembered separately."""
    inner = [tuple(np.linspace(*gap, PARTS + 1)[1:-1].tolist()) for gap in gaps] or [()]
    return stacked(tuple(rays_at(outlines, turn_deg, margin, samples, offsets, through) for offsets in inner))


@remembered
def stacked(parts: Sequence[Rays]) -> Rays:
    """Lines of several records in one, to be traced together; ``turn_deg`` is that of the first."""
    first = np.cumsum([0, *(len(part.offsets) for part in parts)])
    return Rays(
        parts[0].turn_deg,
        np.concatenate([part.offsets for part in parts]),
        np.concatenate([part.line + start for part, start in zip(parts, first, strict=False)]),
        np.concatenate([part.station for part in parts]),
        tuple(np.concatenate(fields) for fields in zip(*(part.inward for part in parts), strict=True)),
    )


@remembered
def among(parts: Sequence[Rays], reaches: Sequence[tuple[float, float]]) -> Rays:
    """``stacked``, without samples whose neighbourhood is outside the reach of every distance.

    Args:
        parts: The records.
        reaches: For each outline, the least and the greatest distance that matters [m].
    """
    lines = stacked(parts)
    still = lines.joined.copy()
    for field, (low, high) in zip(lines.inward, reaches, strict=True):
        below, above = field < low, field > high
        still &= (below[1:] & below[:-1]) | (above[1:] & above[:-1])
    needed = np.ones(len(lines.line), dtype=bool)
    needed[1:-1] = ~(still[1:] & still[:-1])
    inward = tuple(field[needed] for field in lines.inward)
    return Rays(lines.turn_deg, lines.offsets, lines.line[needed], lines.station[needed], inward)


@remembered
def turns_of(shape: Shape, placed: Placed, turn_deg: float) -> tuple[Array, Array]:
    """Places where an outline turns back across lines or along them, and the rate at which their offsets move with the
    outline.

    Args:
        shape, placed: The outline, and its placement on the site.
        turn_deg: Direction of the lines, anticlockwise from east.
    Returns: offsets of the places, and their rate of change as the outline is offset inward, shape (n,) each.
    """
    ring = Placed(0.0, 0.0, turn_deg).to_own(placed.to_site(shape.coords[:-1]))
    ahead = np.roll(ring, -1, axis=0) - ring
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    behind = np.roll(ahead, 1, axis=0)
    places = np.flatnonzero((ahead * behind <= 0).any(axis=1))
    if len(places) > MOST_TURNS:
        corner = np.abs(ahead[places] - behind[places]).sum(axis=1)
        places = places[np.argsort(-corner, kind="stable")][:MOST_TURNS]
    # The outline runs anticlockwise, so that inward is to the left. A corner that points outward moves along its
    # bisector, one that points inward becomes an arc: its nearest place to each side moves straight.
    inward = [np.stack([-side[places, 1], side[places, 0]], axis=1) for side in (behind, ahead)]
    middle = inward[0] + inward[1]
    along = 2.0 * middle / np.maximum((middle**2).sum(axis=1), 0.1)[:, None]
    outward = behind[places, 0] * ahead[places, 1] - behind[places, 1] * ahead[places, 0] > 0
    rate = np.where(outward, along[:, 1], np.sign(middle[:, 1]))
    return ring[places, 1], rate


@remembered
def _stations(
    outlines: Sequence[tuple[Shape, Placed]],
    turn_deg: float,
    margin: float,
    samples: int,
    through: Sequence[tuple[float, float]],
) -> Array:
    """Stations of the samples on every line, equal for all lines of one direction [m]."""
    axes = Placed(0.0, 0.0, turn_deg)
    local = axes.to_own(np.array(through, dtype=float).reshape(-1, 2))
    extents = [axes.to_own(placed.to_site(shape.coords))[:, 0] for shape, placed in outlines]
    return np.unique(np.append(_spread(extents, margin, samples), local[:, 0]))


def _thinned(lines: Rays) -> Rays:
    """The same lines without samples at which every distance is linear within ``STRAIGHT``, or a fifth of it outside
    all outlines.
    """
    line, station, fields = lines.line, lines.station, np.array(lines.inward)
    for _ in range(THINNINGS):
        inner = (line[2:] == line[:-2]) & (station[2:] > station[:-2])
        part = (station[1:-1] - station[:-2]) / np.where(inner, station[2:] - station[:-2], 1.0)
        deviation = np.abs(fields[:, 1:-1] - fields[:, :-2] - part * (fields[:, 2:] - fields[:, :-2])).max(axis=0)
        # Inside an outline only the length along the surface depends on them, outside also the end of the sheet.
        spare = inner & (deviation < np.where(fields[:, 1:-1].max(axis=0) > 0, STRAIGHT, STRAIGHT / 5))
        reversing = np.diff(fields[:, 1:], axis=1) * np.diff(fields[:, :-1], axis=1) < 0
        spare &= ~reversing.any(axis=0)
        # Of several in a row every other one is removed.
        place = np.arange(len(spare))
        begin = np.maximum.accumulate(np.where(spare, -1, place))
        spare &= (place - begin) % 2 == 1
        remaining = np.flatnonzero(~np.concatenate([[False], spare, [False]]))
        line, station, fields = line[remaining], station[remaining], fields[:, remaining]
    return Rays(lines.turn_deg, lines.offsets, line, station, tuple(np.ascontiguousarray(field) for field in fields))


@remembered
def line_rays(
    outlines: tuple[tuple[Shape, Placed], ...], start: tuple[float, float], end: tuple[float, float], samples: int
) -> Rays:
    """One line from ``start`` to ``end`` (site, metres), station 0 at its start."""
    across = np.array(end) - np.array(start)
    placed = Placed(start[0], start[1], float(np.degrees(np.arctan2(across[1], across[0]))))
    return _sampled(outlines, placed, np.linspace(0.0, float(np.hypot(*across)), samples), np.zeros(1), np.inf)


def _spread(extents: Sequence[Array], margin: float, count: int) -> Array:
    """Places over all extents and the margin at even distances; more over an extent
    that would get less than ``ACROSS``.
    """
    ends = [(float(extent.min()), float(extent.max())) for extent in extents]
    even = np.linspace(min(low for low, _ in ends) - margin, max(high for _, high in ends) + margin, count)
    thin = [np.linspace(low, high, ACROSS) for low, high in ends if high - low < (ACROSS - 1) * (even[1] - even[0])]
    return np.unique(np.concatenate([even, *thin]))


def _sharp(ring: Array) -> Ints:
    """Indexes of the sharpest corners of a closed line."""
    sides = np.diff(ring, axis=0)
    angles = np.degrees(
        np.abs(
            np.angle(np.exp(1j * np.diff(np.arctan2(sides[:, 1], sides[:, 0]), prepend=np.arctan2(*sides[-1, ::-1]))))
        )
    )
    corners = np.flatnonzero(angles > SHARP)
    return corners[np.argsort(-angles[corners], kind="stable")][:CORNERS]


def _sampled(
    outlines: Sequence[tuple[Shape, Placed]], axes: Placed, stations: Array, offsets: Array, margin: float
) -> Rays:
    """Lines parallel to the x axis of ``axes``, at given stations and offsets, with samples at the kinks of distances.

    A distance of more than the margin outside an outline is not exact, as it is not needed.
    """
    far = margin + (float(np.diff(stations).max()) if len(stations) > 1 else 0.0)

    def distances(along: Array, line: Ints) -> list[Array]:
        site = axes.to_site(np.stack([along, offsets[line]], axis=1))
        return [shape.inward(placed.to_own(site), far) for shape, placed in outlines]

    k, n = len(offsets), len(stations)
    station, line = np.tile(stations, k), np.repeat(np.arange(k), n)
    fields = np.array(distances(station, line))
    span = float(np.ptp(stations)) + 1.0
    more = [_tips(axes.to_own(placed.to_site(shape.coords[:-1])), stations, offsets) for shape, placed in outlines]
    cells = np.arange(1, max(k * n - 2, 1))
    for _ in range(PARTINGS if n > 3 else 0):
        more += [_bent(line, station, field, cells, -margin) for field in fields]
        # All lines in one ascending row; of two samples in one place one is enough.
        key = line * span + station
        new = np.unique(np.concatenate([row * span + positions for row, positions in more]))
        before = np.searchsorted(key, new)
        apart = np.minimum(new - key[np.maximum(before - 1, 0)], key[np.minimum(before, len(key) - 1)] - new) > SLIT
        apart[1:] &= np.diff(new) > SLIT
        new, before, more = new[apart], before[apart], []
        if not len(new):
            break
        rows = line[np.minimum(before, len(line) - 1)]
        stations_of_new = new - rows * span
        fields = np.insert(fields, before, distances(stations_of_new, rows), axis=1)
        station, line = np.insert(station, before, stations_of_new), np.insert(line, before, rows)
        positions = before + np.arange(len(before))
        cells = np.unique(positions[:, None] + np.arange(-2, 2))
        cells = cells[(cells > 0) & (cells < len(line) - 2)]
    return Rays(axes.turn_deg, offsets, line, station, tuple(fields))


def _bent(line: Ints, station: Array, field: Array, cells: Ints, least: float) -> tuple[Ints, Array]:
    """(line, station) of a further sample in each cell in which a distance may be nonlinear.

    The sample is where the straight lines of the cells before and after intersect within the cell, else in its middle.

    Args:
        line, station: Of the samples in order, shape (n,).
        field: Distance at each sample [m].
        cells: Index of the sample at the start of each cell examined.
        least: Distance below which (far outside the outline) accuracy is not needed [m].
    """
    cells = cells[(np.maximum(field[cells], field[cells + 1]) > least) & (line[cells - 1] == line[cells + 2])]
    places, values = (row[cells + np.arange(-1, 3)[:, None]] for row in (station, field))
    steps = np.diff(places, axis=0)
    before, slope, after = np.diff(values, axis=0) / steps
    first, second, wide = before - slope, slope - after, steps[1]
    bent = first * second > 0
    share = np.where(bent, second / np.where(bent, before - after, 1.0), 0.5)
    deviation = np.where(bent, np.abs(first) * share, np.minimum(np.abs(first), np.abs(second)) / 4) * wide
    chosen = (deviation > np.where(before * after < 0, PEAKED, BENT)) & (wide > SHORT)
    stations = places[1, chosen] + np.clip(share[chosen], 0.02, 0.98) * wide[chosen]
    return line[cells[chosen]], stations


def _tips(ring: Array, stations: Array, offsets: Array) -> tuple[Ints, Array]:
    """(line, station) of places in the convex and concave tips of an outline, where it turns back across lines.

    On a line that just meets a tip it may lie between two samples with curved distances on both sides, so that no kink
    shows.

    Args:
        ring: Corners of the outline along and across the lines, not closed, shape (n, 2) [m].
    """
    ahead = np.roll(ring, -1, axis=0) - ring
    ahead /= np.linalg.norm(ahead, axis=1)[:, None]
    both = ahead - np.roll(ahead, 1, axis=0)  # towards the middle between both sides
    turns = np.flatnonzero((ahead * np.roll(ahead, 1, axis=0))[:, 1] <= 0)
    turns = turns[np.abs(both[turns, 1]) > LEVEL * np.abs(both[turns, 0])]
    if len(turns) > MOST_TURNS:
        turns = turns[np.argsort(-np.abs(both[turns]).sum(axis=1), kind="stable")][:MOST_TURNS]
    into = (offsets[:, None] - ring[turns, 1]) * np.sign(both[turns, 1])
    row, tip = np.nonzero((into > 0) & (into < TIP_CELLS * float(np.diff(stations).max())))
    tip_stations = ring[turns, 0][tip] + (both[turns, 0] / both[turns, 1])[tip] * (offsets[row] - ring[turns, 1][tip])
    inside = (tip_stations > stations[0]) & (tip_stations < stations[-1])
    return row[inside], tip_stations[inside]
