"""Setting out from two stakes: tape lengths, baseline and offset, and coordinates of points along the lines of the dig;
and ties to fixed points, by which buried parts are found again.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import ANGLE, LENGTH
from pondkit.geometry.hole import edge_of, foot_of
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.profile import SEAT
from pondkit.geometry.site_line import Traced, dig_edge, joined_edges, moved_rings, places_along, stands_inside
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain, unsurveyed
from pondkit.geometry.trench import bed_of, edge_along
from pondkit.trades.earthwork import formulas as rel
from pondkit.trades.earthwork.cautions import (
    LINE_NOT_SURVEYED,
    STAKES_DUG_AWAY,
    TAPE_LEVEL,
    TAPE_STAKES_FIRST,
    TAPES_CROSS_FLAT,
)
from pondkit.trades.earthwork.inputs import Stakes
from pondkit.trades.earthwork.results import (
    DAYLIGHT,
    DUG,
    LEAST_ANGLE,
    MARKING_ORDER,
    MOST_ANGLE,
    WATERLINE,
    SettingOut,
    StakedLine,
    StakedPoint,
    StreamBeds,
    Structures,
)
from pondkit.trades.liner.results import LinerFootprint
from pondkit.trades.pools.results import PoolResult

LEAST_BASELINE = 0.3  # m
ON_LINE = 5e-4  # m: points nearer to the baseline than this are on it
LONGEST_TAPE = 30.0  # m: longest tape that one person can handle
Spot = tuple[float, float]


@dataclass(frozen=True)
class Tie:
    """A tie: name and place of a fixed point [m], and the tape length from it [m]."""

    name: str
    fixed: Spot
    length: float


def ties(place: Spot, fixed: Sequence[tuple[str, Spot]]) -> tuple[Tie, Tie] | None:
    """The two shortest ties to a place that cross well enough to locate it; None if no two fixed points do.

    Args:
        place: East and north [m].
        fixed: Names and places of points that stay, such as a house's corners.

    Source: intersection of two tape lengths; crossing angles from 30 to 150 degrees: common practice, no source
    """
    near = [Tie(name, spot, float(np.hypot(spot[0] - place[0], spot[1] - place[1]))) for name, spot in fixed]
    near = sorted((tie for tie in near if 0 < tie.length <= LONGEST_TAPE), key=lambda tie: tie.length)
    pairs = sorted(combinations(near, 2), key=lambda pair: pair[0].length + pair[1].length)
    return next((pair for pair in pairs if LEAST_ANGLE <= _crossing(place, *pair) <= MOST_ANGLE), None)


def _crossing(place: Spot, first: Tie, second: Tie) -> float:
    """Angle between the directions from a place to two fixed points [deg]."""
    (a, b), (c, d) = ((tie.fixed[0] - place[0], tie.fixed[1] - place[1]) for tie in (first, second))
    return float(np.degrees(np.arctan2(abs(a * d - b * c), a * c + b * d)))


@remembered
def _daylight_lines(
    edges: tuple[Traced, ...], names: tuple[str, ...], ground: Terrain | None, spacing: float, within: float
) -> tuple[StakedLine, ...]:
    """Lines where the digs meet the existing ground.

    Args:
        edges: The lines.
        names: Names of pools, structures and stream beds, by the index that ``owners`` of an edge holds.
        ground: Existing ground in site axes.
        spacing, within: Greatest distance of points along a line, and of a string between two from it [m].
    """
    return tuple(
        StakedLine(
            DAYLIGHT,
            f"{DAYLIGHT}: {', '.join(names[i] for i in edge.owners)}",
            edge.points,
            places_along(edge, spacing, within),
            unsurveyed=ground is not None and unsurveyed(edge.points, ground),
        )
        for edge in edges
    )


# Kind and name of a line to stake, an outline and its placement, and how far inward of it the line runs [m].
InwardLine = tuple[str, str, Shape, Placed, float]


def pool_lines(pool: str, dig: SiteSurface) -> tuple[InwardLine, ...]:
    """Lines of a pool to set out: its finished waterline, the dig edges of its tiers and seat, and the top outlines of
    its pits.
    """
    (outline, placed), *pits = dig.outlines()
    lines = [(WATERLINE, f"{WATERLINE}: {pool}", outline, placed, 0.0)]
    for start, _, line in dig.surface.pool.profile.levels:
        if line.owner == SEAT:
            lines.append((DUG, f"seat, outer edge: {pool}", outline, placed, start))
    for upper, _, line in dig.surface.pool.profile.faces:
        if line.owner > 0:
            lines.append((DUG, f"tier {line.owner + 1}, edge: {pool}", outline, placed, line.run + line.batter * upper))
    for _, _, lip in dig.surface.pool.profile.lips:
        lines.append((DUG, f"tier {lip.owner + 1}, inner edge of the gravel: {pool}", outline, placed, lip.run))
    lines += [(DUG, f"pit {number}, edge: {pool}", *pit, 0.0) for number, pit in enumerate(pits, 1)]
    return tuple(lines)


@remembered
def _inward_lines(
    kind: str, name: str, shape: Shape, placed: Placed, inward: float, spacing: float, within: float
) -> tuple[StakedLine, ...]:
    """Lines at a distance inward of an outline; several if it breaks into parts there.

    Args:
        kind, name, shape, placed, inward: See ``InwardLine``.
        spacing, within: Greatest distance of points along a line, and of a string between two from it [m].
    """
    rings = moved_rings(shape, placed, inward)
    line_names = [name] if len(rings) == 1 else [f"{name}, part {number}" for number in range(1, len(rings) + 1)]
    return tuple(
        StakedLine(kind, line_name, ring.points, places_along(ring, spacing, within))
        for line_name, ring in zip(line_names, rings, strict=True)
    )


@remembered
def _bottom_lines(
    edge: str, name: str, lines: tuple[Traced, ...], spacing: float, within: float
) -> tuple[StakedLine, ...]:
    """Bottom edge of the excavation for a body or wall, or edges of a stream bed. ``edge``: what it is, in words."""
    return tuple(StakedLine(DUG, f"{edge}: {name}", line.points, places_along(line, spacing, within)) for line in lines)


@remembered
def _anchor_lines(liner: str, middle: Traced, spacing: float, within: float) -> tuple[StakedLine, ...]:
    """Centre line of a liner's anchor trench."""
    return (StakedLine(DUG, f"anchor trench, middle: {liner}", middle.points, places_along(middle, spacing, within)),)


def staked_points(stakes: Stakes, points: Sequence[Array]) -> tuple[StakedPoint, ...]:
    """Points with all that sets them out, line by line.

    Args:
        stakes: A and B, apart from each other.
        points: Points of each line, shape (k, 2) [m].
    """
    a, b = np.array(stakes.a, dtype=float), np.array(stakes.b, dtype=float)
    ahead = (b - a) / np.linalg.norm(b - a)
    left = np.array([-ahead[1], ahead[0]])
    staked: list[StakedPoint] = []
    for line, places in enumerate(points):
        to_a, to_b = places - a, places - b
        tape_a, tape_b = np.linalg.norm(to_a, axis=1), np.linalg.norm(to_b, axis=1)
        cross = to_a[:, 0] * to_b[:, 1] - to_a[:, 1] * to_b[:, 0]
        angle = np.degrees(np.arctan2(np.abs(cross), np.einsum("ij,ij->i", to_a, to_b)))
        angle[np.minimum(tape_a, tape_b) < ON_LINE] = 0.0  # on a stake itself: no two tapes cross
        along, offset = to_a @ ahead, to_a @ left
        for i, place in enumerate(places):
            side = "on" if abs(offset[i]) < ON_LINE else "left" if offset[i] > 0 else "right"
            staked.append(
                StakedPoint(
                    len(staked) + 1,
                    line,
                    float(place[0]),
                    float(place[1]),
                    float(tape_a[i]),
                    float(tape_b[i]),
                    side,
                    float(angle[i]),
                    float(along[i]),
                    float(offset[i]),
                )
            )
    return tuple(staked)


@remembered
def set_out(
    stakes: Stakes, lines: tuple[StakedLine, ...], missing: tuple[tuple[int, str], ...], edges: tuple[Traced, ...]
) -> SettingOut:
    """Setting out of lines and their points from two stakes.

    Args:
        stakes: Inputs of the stakes.
        lines: Lines in marking order.
        missing: (index, name) of pools whose dig does not meet the ground all round.
        edges: Lines where the digs meet the ground, to find stakes that would be dug away.
    """
    apart = float(np.hypot(stakes.b[0] - stakes.a[0], stakes.b[1] - stakes.a[1]))
    problems = [_not_daylighted(index, name) for index, name in missing]
    if apart < LEAST_BASELINE:
        return SettingOut(
            baseline_length=None,
            mark_length=(),
            mark_count=(),
            not_by_tapes=(),
            stakes=stakes,
            lines=(),
            points=(),
            problems=(*problems, _no_baseline(apart)),
        )
    for name in ("a", "b"):
        if stands_inside(edges, getattr(stakes, name)):
            problems.append(_stake_in_dig(name, getattr(stakes, name)))
    staked = staked_points(stakes, [line.points for line in lines])
    flat = Counter(point.line for point in staked if not point.by_tapes)
    return SettingOut(
        baseline_length=_baseline_length(stakes),
        mark_length=tuple(
            entry(
                rel.mark_length,
                line.name,
                cautions=[LINE_NOT_SURVEYED()] if line.unsurveyed else [],
                length=_length(line.ring),
            )
            for line in lines
        ),
        mark_count=tuple(
            entry(rel.mark_count, line.name, cautions=[STAKES_DUG_AWAY()], points=len(line.points)) for line in lines
        ),
        not_by_tapes=tuple(
            entry(rel.not_by_tapes, lines[index].name, cautions=[_tapes_too_flat(count)], points=count)
            for index, count in sorted(flat.items())
        ),
        stakes=stakes,
        lines=lines,
        points=staked,
        problems=tuple(problems),
    )


def _baseline_length(stakes: Stakes) -> Entry:
    (a_east, a_north), (b_east, b_north) = stakes.a, stakes.b
    return entry(
        rel.baseline_length,
        "",
        cautions=[TAPE_STAKES_FIRST(), TAPE_LEVEL()],
        source=USER,
        a_east=a_east,
        a_north=a_north,
        b_east=b_east,
        b_north=b_north,
    )


def _length(ring: Array) -> float:
    return float(np.sum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))


def _tapes_too_flat(count: int) -> Caution:
    return TAPES_CROSS_FLAT(count=str(count), least=(LEAST_ANGLE, ANGLE), most=(MOST_ANGLE, ANGLE))


def _no_baseline(apart: float) -> Problem:
    return Problem(
        ("dig", "stakes", "b"),
        words("the stakes stand {apart} apart", apart=(apart, LENGTH)),
        words("at least {least}", least=(LEAST_BASELINE, LENGTH)),
        words("move one of the two: about as far apart as the dig is long"),
    )


def _stake_in_dig(name: str, place: Sequence[float]) -> Problem:
    return Problem(
        ("dig", "stakes", name),
        words(
            "it stands at {east} east, {north} north, inside the dig", east=(place[0], LENGTH), north=(place[1], LENGTH)
        ),
        words("a place outside the line where the dig meets the ground"),
        words("move the stake clear of the dig and of the machine's way"),
    )


def _not_daylighted(index: int, name: str) -> Problem:
    return Problem(
        ("pools", index, "level"),
        words(f"the dig of '{name}' does not meet the ground all round: part of its edge would be above the ground"),
        words("ground on all sides that is higher than some part of the face"),
        words("lower the pool, or set its dig out by the waterline and build the bank first"),
    )


def compute(
    stakes: Stakes | None,
    pools: tuple[PoolResult, ...],
    structures: Structures,
    beds: StreamBeds,
    anchored: Sequence[LinerFootprint],
    ground: Terrain | None,
) -> SettingOut | None:
    """Setting out of everything that is dug, and of the waterlines, from two stakes; None without stakes.

    Args:
        stakes: Inputs of the stakes.
        pools: Those without problems.
        structures, beds: Structures in the ground, and stream beds.
        anchored: Liners that have an anchor trench.
        ground: Existing ground in site axes; None if it has a problem.
    """
    if stakes is None:
        return None
    spacing_within = float(stakes.spacing), float(stakes.within)
    daylights: list[tuple[Traced, ...]] = []
    missing: list[tuple[int, str]] = []
    lines: list[StakedLine] = []
    for pool in pools:
        edges = _pool_edge(pool, ground)
        if edges == ():
            missing.append((pool.index, pool.name))
        daylights.append(edges or ())
        for pool_line in pool_lines(pool.name, pool.surfaces.dig):
            lines += _inward_lines(*pool_line, *spacing_within)
    for structure in structures.each:
        daylights.append(edge_of(structure.hole, ground) if ground is not None else ())
        lines += _bottom_lines(
            "footing, edge" if structure.wall else "seat, edge",
            structure.name,
            (foot_of(structure.hole),),
            *spacing_within,
        )
    for bed in beds.each:
        daylights.append(edge_along(bed.cut.line, bed.half_width, bed.batter, ground) if ground is not None else ())
        lines += _bottom_lines("bed, edge", bed.name, bed_of(bed.cut.line, bed.half_width), *spacing_within)
    for under in anchored:
        if under.trench is not None:
            lines += _anchor_lines(under.liner.name, under.trench, *spacing_within)
    names = (
        *(pool.name for pool in pools),
        *(structure.name for structure in structures.each),
        *(bed.name for bed in beds.each),
    )
    merged_edges = joined_edges(tuple(daylights))
    first = _daylight_lines(merged_edges, names, ground, *spacing_within)
    ordered = sorted((*first, *lines), key=lambda line: MARKING_ORDER.index(line.kind))
    return set_out(stakes, tuple(ordered), tuple(missing), merged_edges)


def _pool_edge(pool: PoolResult, ground: Terrain | None) -> tuple[Traced, ...] | None:
    """Lines where a pool's dig meets the ground: empty if it does not all round, None if the ground has a problem."""
    dig, band = pool.surfaces.dig, pool.ground
    if ground is None or band is None:
        return None
    upper = dig.surface.pool.profile.upper(band.below)
    return dig_edge(dig.surface.pool.shape, dig.placed, upper, dig.level, band.reach, ground)
