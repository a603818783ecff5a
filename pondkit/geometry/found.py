"""The hole as it was found: the drawn surface moved up or down by what was measured, and what that changes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.geometry.lines import Between, Rays, line_rays, rays, rays_between
from pondkit.geometry.outline import Array, Placed
from pondkit.geometry.path import Laid, Trace, trace, traces
from pondkit.geometry.sheet import edges_across, grounded, margin_of, over_ground
from pondkit.geometry.uneven import Terrain, unsurveyed
from pondkit.geometry.ways import Gaps, Ways, fit, ways_of

AT = 1e-4  # m: nearer to a measured place than this is at it
SAMPLES = 240  # along a tape line
LINES_FOUND, SAMPLES_FOUND = 49, 96  # of a sheet over the hole as found at first, each way
NEAR = 0.005  # m: from place to place along one outside the rims


@dataclass(frozen=True)
class Correction:
    """How far a hole as found stands over the one drawn, between the places where it was measured.

    The mean of all that was measured, weighted by the inverse square of the distance: it passes through every
    measured place,
    keeps a difference that is the same everywhere, and never leaves the range of what was measured.

    Attributes:
        places: On the site [m], at least one.
        over: Level found less level drawn at each [m].
    """

    places: tuple[tuple[float, float], ...]
    over: tuple[float, ...]

    def at(self, points: Array) -> Array:
        """The correction at places on the site, shape (n, 2) -> (n,) [m]."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        return np.asarray(weight @ np.array(self.over) / weight.sum(axis=1))

    def furthest(self, points: Array) -> float:
        """Distance from the worst placed of some places to the nearest measured one [m]."""
        return float(np.sqrt(self._square(points).min(axis=1).max()))

    def slope(self, points: Array) -> Array:
        """Rise over distance east and north, shape (n, 2)."""
        weight = 1.0 / np.maximum(self._square(points), AT**2)
        whole = weight.sum(axis=1)
        off = (np.array(self.over) - (weight @ np.array(self.over) / whole)[:, None]) * -2.0 * weight**2
        places = np.array(self.places)
        # Each weight falls by twice its square times the distance; their common fall is taken off again.
        rises = [(off * (points[:, k : k + 1] - places[:, k])).sum(axis=1) / whole for k in (0, 1)]
        return np.stack(rises, axis=1)

    def _square(self, points: Array) -> Array:
        """Square of the distance of each point from each measured place, shape (n, m) [m²]."""
        places = np.array(self.places)
        return np.asarray((points[:, :1] - places[:, 0]) ** 2 + (points[:, 1:] - places[:, 1]) ** 2)


@dataclass(frozen=True)
class Way:
    """A straight line over the hole.

    Attributes:
        length: Way over the surface from its start to its end [m].
        beyond: Level distance before the first rim, and behind the last [m].
        pools: Indexes of the pools that it crosses.
        unknown: True where part of it runs over ground that was not surveyed.
    """

    length: float
    beyond: tuple[float, float]
    pools: tuple[int, ...]
    unknown: bool = False


@dataclass(frozen=True)
class Round:
    """What lies round the rims.

    Attributes:
        ground: As it is, where it is not dug away nor built over.
        crest, slope: Of banks where a rim stands over it: level width outside the rim [m], and run for one of fall
        from there.
    """

    ground: Terrain
    crest: float
    slope: float

    def at(self, points: Array, laid: Sequence[Laid]) -> Array:
        """Level of what is there outside the rims, shape (n, 2) -> (n,) [m]: the dig's face up to the ground, or the
        bank down to it."""
        level = self.ground.at(points)
        inward = [one.bowl.pool.shape.inward(one.placed.to_own(points)) for one in laid]
        for one, away in zip(laid, inward, strict=True):
            level = np.maximum(level, one.rim_level - np.maximum(-away - one.rim - self.crest, 0.0) / self.slope)
        for one, away in zip(laid, inward, strict=True):
            batter = one.bowl.pool.profile.lines[0].batter
            if batter > 0:
                level = np.minimum(level, one.rim_level + np.maximum(-away - one.rim, 0.0) / batter)
        return np.asarray(level)


make_round = remembered(Round)


@remembered
def way_over(
    laid: Sequence[Laid],
    start: tuple[float, float],
    end: tuple[float, float],
    corrections: Sequence[Correction | None],
    round_it: Round | None = None,
) -> Way:
    """The way over surfaces along a straight line from ``start`` to ``end`` (site, metres).

    Args:
        laid: The surfaces as drawn.
        start, end: Apart from each other.
        corrections: Of each surface; None where it is as drawn.
        round_it: What lies outside the rims; None to take it level with them.
    """
    rays = line_rays(tuple(outline for one in laid for outline in one.outlines()), start, end, SAMPLES)
    nodes = trace(rays, laid)
    inside = np.flatnonzero(nodes.inside >= 0)
    total = float(np.hypot(end[0] - start[0], end[1] - start[1]))
    if not len(inside):
        return Way(total, (total, 0.0), ())
    ahead = np.array([end[0] - start[0], end[1] - start[1]]) / total
    points = np.array(start) + nodes.station[:, None] * ahead
    moved = moved_nodes(nodes, points, laid, corrections)
    if round_it is None:
        station, level, unknown = moved.station, over_ground(moved, laid), False
    else:
        station, level = _through(moved, total, lambda at: round_it.at(np.array(start) + at[:, None] * ahead, laid))
        unknown = unsurveyed(np.array(start) + station[:, None] * ahead, round_it.ground)
    length = float(np.sum(np.hypot(np.diff(station), np.diff(level))))
    beyond = float(nodes.station[inside[0]]), total - float(nodes.station[inside[-1]])
    return Way(length, beyond, tuple(int(pool) for pool in np.unique(nodes.inside[inside])), unknown)


def _through(nodes: Trace, total: float, outside: Callable[[Array], Array]) -> tuple[Array, Array]:
    """Stations and levels of one line from its start to its end, in the rims by its nodes, outside them by places
    near each other.

    Where one ends and the other begins there are two places at one station: a face between them is as long as it is
    high.
    """
    within = nodes.inside >= 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], within, [False]])))  # start and end of each stretch within
    stations, levels, at = [], [], 0.0
    for first, last in edges.reshape(-1, 2):
        gap = _near(at, float(nodes.station[first]))
        stations += [gap, nodes.station[first:last]]
        levels += [outside(gap), nodes.level[first:last]]
        at = float(nodes.station[last - 1])
    gap = _near(at, total)
    return np.concatenate([*stations, gap]), np.concatenate([*levels, outside(gap)])


def _near(start: float, end: float) -> Array:
    return np.linspace(start, end, max(int(np.ceil((end - start) / NEAR)), 1) + 1)


def moved_nodes(nodes: Trace, points: Array, laid: Sequence[Laid], corrections: Sequence[Correction | None]) -> Trace:
    """Nodes at places on the site, shape (n, 2), whose levels inside each pool are as found, up to its rim.

    Where the surface as found comes up to the rim between two nodes there is one more: a steep bank would be cut
    short there.
    """
    level = nodes.level.copy()
    over = np.zeros(len(level))
    for pool, correction in enumerate(corrections):
        inside = nodes.inside == pool
        if correction is not None and inside.any():
            level[inside] += correction.at(points[inside])
            over[inside] = level[inside] - laid[pool].rim_level
    found = np.flatnonzero(over[:-1] * over[1:] < 0)
    found = found[(nodes.line[found] == nodes.line[found + 1]) & (nodes.inside[found] == nodes.inside[found + 1])]
    more = Between(len(level), found, over[found] / (over[found] - over[found + 1]))
    rims = np.array([pool.rim_level for pool in laid])
    inside = more.same(nodes.inside)
    level = more(level)
    held = (inside >= 0) & np.array([correction is not None for correction in corrections])[inside]
    level[held] = np.minimum(level[held], rims[inside[held]])
    return Trace(
        more.same(nodes.line), more(nodes.station), level, inside, tuple(more(inward) for inward in nodes.inward)
    )


@remembered
def sheets_found(
    laid: tuple[Laid, ...], turn_deg: float, edge: float, corrections: tuple[Correction | None, ...]
) -> tuple[float, float]:
    """Length and width of a sheet over the hole as found, see ``sheet.sheets`` [m].

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
            for nodes, own in zip(traces(lines, laid, edge), lines, strict=True)
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
    nodes: Trace, lines: Rays, laid: Sequence[Laid], edge: float, corrections: Sequence[Correction | None]
) -> Ways:
    points = Placed(0.0, 0.0, lines.turn_deg).to_site(np.stack([nodes.station, lines.offsets[nodes.line]], axis=1))
    return ways_of(grounded(moved_nodes(nodes, points, laid, corrections), laid), lines.offsets, laid, edge)
