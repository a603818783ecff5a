"""Straight lines in space through a bowl: where they pass its surfaces, and what of them lies open, in water or in air."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pondkit.surface.outline import Array
from pondkit.surface.path import Laid, Rays, Trace, trace

CELL = 0.05  # m between samples along a line: a place on a curved bank is then found to about 0.1 mm
FEWEST, MOST = 24, 400  # samples on one line
ROOM = 0.01  # m looked at beyond the rim

Spot = tuple[float, float, float]
Segment = tuple[Spot, Spot]
Stretch = tuple[float, float, bool]


@dataclass(frozen=True, eq=False)
class Thread:
    """What one line meets of one bowl. Stations are true lengths along it from its start [m], ascending.

    Attributes:
        open: (from, to, in water) of each stretch above the finished surface and inside the rim.
        faces: (station, batter) of each place where it passes the finished surface; batter None on a level part.
        liner: Stations where it passes the liner's surface, inside the rim.
        within: (from, to) of each stretch that lies inside the rim in plan.
    """

    open: tuple[Stretch, ...]
    faces: tuple[tuple[float, float | None], ...]
    liner: tuple[float, ...]
    within: tuple[tuple[float, float], ...]


def threads(lines: Sequence[Segment], finished: Laid, liner: Laid, beyond: float) -> tuple[Thread | None, ...]:
    """What each line meets of one pool; None where it stays outside the rim.

    Args:
        lines: Start and end of each on the site [m].
        finished, liner: Two surfaces of the same pool.
        beyond: How far each line is looked at beyond both its ends [m]: stations there are negative, or past its length.
    """
    found: list[Thread | None] = [None] * len(lines)
    near = [(index, *cut) for index, line in enumerate(lines) if (cut := _clipped(line, finished, liner, beyond))]
    if not near:
        return tuple(found)
    longest = max(high - low for _, low, high in near)
    share = np.linspace(0.0, 1.0, min(max(math.ceil(longest / CELL), FEWEST), MOST))
    ends = np.array([[at(lines[index], low), at(lines[index], high)] for index, low, high in near])
    plan = ends[:, :1, :2] + share[None, :, None] * (ends[:, 1:, :2] - ends[:, :1, :2])
    own = finished.placed.to_own(plan.reshape(-1, 2))
    row = np.repeat(np.arange(len(near)), len(share))
    station = np.concatenate([low + share * (high - low) for _, low, high in near])
    # Exact a few samples beyond each outline, and beyond the rim: further out nothing lies open.
    far = [max(finished.rim, liner.rim) + 3 * CELL, *[3 * CELL] * len(finished.bowl.pits)]
    inward = tuple(
        part.shape.inward(part.placed.to_own(own), away) for part, away in zip(finished.bowl.parts, far, strict=True)
    )
    rays = Rays(
        0.0, np.zeros(len(near)), row, station, inward
    )  # no two of these are parallel; a trace asks for no offsets
    top, under = trace(rays, [finished]), trace(rays, [liner])
    for number, (index, _low, _high) in enumerate(near):
        line, (first, last) = lines[index], np.searchsorted(row, [number, number + 1])
        on = _On.of(top, number, line)
        if not on.known.any():
            continue
        here = slice(int(first), int(last))
        found[index] = Thread(
            open=tuple(
                piece
                for stretch in on.stretches(on.known & (on.gap > 0))
                for piece in _by_water(stretch, line, finished.level)
            ),
            faces=tuple(
                (
                    s,
                    _batter(
                        finished, [float(np.interp(s, station[here], field[here])) for field in inward], at(line, s)[2]
                    ),
                )
                for s in on.roots()
            ),
            liner=tuple(_On.of(under, number, line).roots()),
            within=tuple(on.stretches(on.known)),
        )
    return tuple(found)


def length(line: Segment) -> float:
    """True length of a line [m]."""
    return math.dist(*line)


def at(line: Segment, station: float) -> Spot:
    """Place on a line at a true distance from its start [m]."""
    (x0, y0, z0), (x1, y1, z1) = line
    share = station / length(line)
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0), z0 + share * (z1 - z0)


def _clipped(line: Segment, finished: Laid, liner: Laid, beyond: float) -> tuple[float, float] | None:
    """Stations between which a line lies over the box round the rim; None where it does not."""
    rim = max(finished.rim, liner.rim) + ROOM
    west, south, east, north = finished.bowl.pool.shape.polygon.bounds
    whole = length(line)
    ends = finished.placed.to_own(np.array([line[0][:2], line[1][:2]]))
    low, high = -beyond, whole + beyond
    for start, end, least, most in (
        (ends[0, 0], ends[1, 0], west - rim, east + rim),
        (ends[0, 1], ends[1, 1], south - rim, north + rim),
    ):
        slope = float(end - start) / whole
        if abs(slope) < 1e-12:
            if not least < start < most:
                return None
            continue
        a, b = sorted(((least - float(start)) / slope, (most - float(start)) / slope))
        low, high = max(low, a), min(high, b)
    return (low, high) if high - low > 1e-9 else None


@dataclass(frozen=True, eq=False)
class _On:
    """The nodes on one line: their stations, height of the line above the surface [m], and which lie inside the rim."""

    station: Array
    gap: Array
    known: NDArray[np.bool_]

    @classmethod
    def of(cls, nodes: Trace, number: int, line: Segment) -> "_On":
        low, high = np.searchsorted(nodes.line, [number, number + 1])
        here = slice(int(low), int(high))
        station = nodes.station[here]
        rise = (line[1][2] - line[0][2]) / length(line)
        return cls(station, line[0][2] + rise * station - nodes.level[here], nodes.inside[here] >= 0)

    def _between(self, a: int, b: int) -> float:
        """Station at which the line passes the surface between two nodes."""
        s, gap = self.station, self.gap
        return float(s[a] + (s[b] - s[a]) * gap[a] / (gap[a] - gap[b]))

    def roots(self) -> list[float]:
        """Stations at which the line passes the surface."""
        above = self.gap > 0
        cells = np.flatnonzero(self.known[:-1] & self.known[1:] & (above[:-1] != above[1:]))
        return [self._between(int(cell), int(cell) + 1) for cell in cells]

    def stretches(self, held: NDArray[np.bool_]) -> list[tuple[float, float]]:
        """Where ``held`` is true; an end lies at the surface where the neighbour is inside the rim as well."""
        edges = np.flatnonzero(np.diff(np.concatenate([[False], held, [False]]).astype(np.int8)))
        return [
            (self._end(first, first - 1, held), self._end(past - 1, past, held))
            for first, past in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)
        ]

    def _end(self, inner: int, outer: int, held: NDArray[np.bool_]) -> float:
        crosses = 0 <= outer < len(held) and self.known[outer]
        return self._between(inner, outer) if crosses else float(self.station[inner])


def _by_water(stretch: tuple[float, float], line: Segment, level: float) -> tuple[Stretch, ...]:
    """A stretch in the open, cut where the line passes the water's level."""
    low, high = stretch
    z_low, z_high = at(line, low)[2], at(line, high)[2]
    if (z_low < level) == (z_high < level):
        return ((low, high, (z_low + z_high) / 2 < level),)
    middle = low + (high - low) * (level - z_low) / (z_high - z_low)
    return (low, middle, z_low < level), (middle, high, z_high < level)


def _batter(laid: Laid, inward: Sequence[float], z: float) -> float | None:
    """Batter of the face that lies at a level on the surface; ``inward`` for each part. None on a level part."""
    depths = [float(part.profile.depth(np.array([t]))[0]) for part, t in zip(laid.bowl.parts, inward, strict=True)]
    profile = laid.bowl.parts[int(np.argmax(depths))].profile
    depth = laid.level - z
    return next((face.batter for upper, lower, face in profile.faces if upper < depth < lower), None)
