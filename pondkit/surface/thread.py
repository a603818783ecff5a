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
    starts = np.array([at(lines[index], low) for index, low, _ in near])
    ends = np.array([at(lines[index], high) for index, _, high in near])
    plan = starts[:, None, :2] + share[None, :, None] * (ends - starts)[:, None, :2]
    own = finished.placed.to_own(plan.reshape(-1, 2))
    parts = finished.bowl.parts
    inward = tuple(part.shape.inward(part.placed.to_own(own)).reshape(len(near), len(share)) for part in parts)
    # Each line has the stations 0 to 1 here, whatever its direction and length: a trace needs no more.
    rays = Rays(np.zeros(2), 0.0, share, np.arange(len(near), dtype=float), inward)
    top, under = trace(rays, [finished]), trace(rays, [liner])
    for row, (index, low, high) in enumerate(near):
        station, gap, known, place = _gaps(top, row, low, high, starts[row], ends[row])
        if not known.any():
            continue
        opened = _runs(station, gap, known & (gap > 0), known)
        roots = _roots(station, gap, known)
        shares = (roots - low) / (high - low)
        found[index] = Thread(
            open=tuple(piece for stretch in opened for piece in _by_water(stretch, lines[index], finished.level)),
            faces=tuple((float(s), _batter(finished, [np.interp(t, share, field[row]) for field in inward], at(lines[index], float(s))[2])) for s, t in zip(roots, shares, strict=True)),
            liner=tuple(float(s) for s in _roots(*_gaps(under, row, low, high, starts[row], ends[row])[:3])),
            within=tuple(_runs(station, gap, known, known)),
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
    for start, end, least, most in ((ends[0, 0], ends[1, 0], west - rim, east + rim), (ends[0, 1], ends[1, 1], south - rim, north + rim)):
        slope = float(end - start) / whole
        if abs(slope) < 1e-12:
            if not least < start < most:
                return None
            continue
        a, b = sorted(((least - float(start)) / slope, (most - float(start)) / slope))
        low, high = max(low, a), min(high, b)
    return (low, high) if high - low > 1e-9 else None


def _gaps(nodes: Trace, row: int, low: float, high: float, start: Array, end: Array) -> tuple[Array, Array, NDArray[np.bool_], slice]:
    """(stations, height of the line above the surface, inside the rim) at the nodes of one line [m]."""
    place = nodes.of(row)
    share = nodes.station[place]
    return low + share * (high - low), start[2] + share * (end[2] - start[2]) - nodes.level[place], nodes.inside[place] >= 0, place


def _roots(station: Array, gap: Array, known: NDArray[np.bool_]) -> Array:
    """Stations at which the height above the surface changes its sign."""
    above = gap > 0
    cell = np.flatnonzero(known[:-1] & known[1:] & (above[:-1] != above[1:]))
    return station[cell] + (station[cell + 1] - station[cell]) * gap[cell] / (gap[cell] - gap[cell + 1])


def _runs(station: Array, gap: Array, held: NDArray[np.bool_], known: NDArray[np.bool_]) -> list[tuple[float, float]]:
    """Stretches on which ``held`` is true; their ends lie at the surface where the neighbour is inside the rim as well."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], held, [False]]).astype(np.int8)))
    out = []
    for first, past in zip(edges[::2], edges[1::2], strict=True):
        ends = []
        for inner, outer in ((int(first), int(first) - 1), (int(past) - 1, int(past))):
            if 0 <= outer < len(station) and known[outer] and not held[outer]:
                ends.append(float(station[inner] + (station[outer] - station[inner]) * gap[inner] / (gap[inner] - gap[outer])))
            else:
                ends.append(float(station[inner]))
        out.append((ends[0], ends[1]))
    return out


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
