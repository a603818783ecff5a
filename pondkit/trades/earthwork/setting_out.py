"""Setting out from two stakes: tape lengths, baseline and offset, coordinates, of points along the lines of the dig."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Result
from pondkit.core.sentence import words
from pondkit.core.units import ANGLE, LENGTH
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.path import Laid
from pondkit.geometry.profile import SEAT
from pondkit.geometry.setting import Traced, moved_rings, places_along, stands_inside
from pondkit.geometry.uneven import Terrain, unsurveyed
from pondkit.trades.earthwork import pegging as rel
from pondkit.trades.earthwork.cautions import (
    LINE_NOT_SURVEYED,
    STAKES_DUG_AWAY,
    TAPE_LEVEL,
    TAPE_STAKES_FIRST,
    TAPES_CROSS_FLAT,
)
from pondkit.trades.earthwork.inputs.dig import Stakes

LEAST_ANGLE, MOST_ANGLE = 30.0, 150.0  # degrees: tapes that cross flatter say little of where they meet
CLOSE = 0.3  # m: stakes nearer than this give no baseline
ON_LINE = 5e-4  # m: nearer to the baseline than this is on it
EDGE, WATER, TIER = "dig meets the ground", "waterline", "tier edge"
KINDS = (EDGE, WATER, TIER)  # in the order in which they are marked


@dataclass(frozen=True, eq=False)
class MarkLine:
    """One closed line with the points that are set out along it.

    Attributes:
        kind: EDGE, WATER or TIER.
        name: What it is, with its pools.
        ring: The line on the site, shape (n, 2) [m].
        points: Places along it, shape (k, 2) [m].
        unknown: True where it hangs on ground that was not surveyed.
    """

    kind: str
    name: str
    ring: Array
    points: Array
    unknown: bool = False


@dataclass(frozen=True)
class Peg:
    """One point to be set out: lengths in metres, angles in degrees.

    Attributes:
        number: Counted through all lines.
        line: Index of its line.
        east, north: On the site.
        tape_a, tape_b: Level tape lengths from the stakes.
        side: "left" or "right" of the baseline as seen from A to B; "on" it.
        crossing: Angle at which the two tapes cross.
        along, offset: Along the baseline from A, and square to it, left positive.
    """

    number: int
    line: int
    east: float
    north: float
    tape_a: float
    tape_b: float
    side: str
    crossing: float
    along: float
    offset: float

    @property
    def by_tapes(self) -> bool:
        """True where two tapes fix the point well."""
        return LEAST_ANGLE <= self.crossing <= MOST_ANGLE


@dataclass(frozen=True, eq=False)
class SetOut(Result):
    """Points to set out, and how many of them tapes do not fix.

    Attributes:
        stakes: As entered.
        lines: In the order in which they are marked: where the dig meets the ground first.
        pegs: Their points in order.
        problems: What could not be worked out, and how to mend it.
    """

    baseline_length: Entry | None
    mark_length: tuple[Entry, ...]
    mark_count: tuple[Entry, ...]
    not_by_tapes: tuple[Entry, ...]
    stakes: Stakes
    lines: tuple[MarkLine, ...]
    pegs: tuple[Peg, ...]
    problems: tuple[Problem, ...]


@remembered
def edge_lines(
    edges: tuple[Traced, ...], names: tuple[str, ...], ground: Terrain | None, spacing: float, within: float
) -> tuple[MarkLine, ...]:
    """Where the digs meet the ground as it is; ``names`` are those of the pools by index."""
    return tuple(
        MarkLine(
            EDGE, f"{EDGE}: {', '.join(names[i] for i in edge.owners)}", edge.points, places_along(edge, spacing, within),
            ground is not None and unsurveyed(edge.points, ground),
        )
        for edge in edges
    )  # fmt: skip


Wanted = tuple[str, str, Shape, Placed, float]  # kind, name, outline, where it lies, how far inward of it the line runs


def pool_lines(pool: str, dig: Laid) -> tuple[Wanted, ...]:
    """Waterline of a pool as finished, the edges of its tiers and seat as dug, and its pits as drawn at their top."""
    (outline, placed), *pits = dig.outlines()
    found = [(WATER, f"{WATER}: {pool}", outline, placed, 0.0)]
    for start, _, line in dig.bowl.pool.profile.levels:
        if line.owner == SEAT:
            found.append((TIER, f"seat, outer edge: {pool}", outline, placed, start))
    for upper, _, line in dig.bowl.pool.profile.faces:
        if line.owner > 0:
            found.append(
                (TIER, f"tier {line.owner + 1}, edge: {pool}", outline, placed, line.run + line.batter * upper)
            )
    found += [(TIER, f"pit {number}, edge: {pool}", *pit, 0.0) for number, pit in enumerate(pits, 1)]
    return tuple(found)


@remembered
def moved_lines(
    kind: str, name: str, shape: Shape, placed: Placed, inward: float, spacing: float, within: float
) -> tuple[MarkLine, ...]:
    """The line at a distance inward from an outline, see ``pool_lines``: as many as it falls into."""
    rings = moved_rings(shape, placed, inward)
    called = [name] if len(rings) == 1 else [f"{name}, part {number}" for number in range(1, len(rings) + 1)]
    return tuple(
        MarkLine(kind, own, ring.points, places_along(ring, spacing, within))
        for own, ring in zip(called, rings, strict=True)
    )


@remembered
def foot_lines(what: str, name: str, feet: tuple[Traced, ...], spacing: float, within: float) -> tuple[MarkLine, ...]:
    """The edge of the bottom of a hole for a body or wall, or of the bed of a link."""
    return tuple(MarkLine(TIER, f"{what}: {name}", foot.points, places_along(foot, spacing, within)) for foot in feet)


@remembered
def anchor_lines(liner: str, middle: Traced, spacing: float, within: float) -> tuple[MarkLine, ...]:
    """The middle line of a liner's anchor trench."""
    return (MarkLine(TIER, f"anchor trench, middle: {liner}", middle.points, places_along(middle, spacing, within)),)


def pegs(stakes: Stakes, points: Sequence[Array]) -> tuple[Peg, ...]:
    """How each point is set out, line by line.

    Args:
        stakes: A and B, apart from each other.
        points: Of each line, shape (k, 2) [m].
    """
    a, b = np.array(stakes.a, dtype=float), np.array(stakes.b, dtype=float)
    ahead = (b - a) / np.linalg.norm(b - a)
    left = np.array([-ahead[1], ahead[0]])
    found: list[Peg] = []
    for line, places in enumerate(points):
        to_a, to_b = places - a, places - b
        tape_a, tape_b = np.linalg.norm(to_a, axis=1), np.linalg.norm(to_b, axis=1)
        cross = to_a[:, 0] * to_b[:, 1] - to_a[:, 1] * to_b[:, 0]
        angle = np.degrees(np.arctan2(np.abs(cross), np.einsum("ij,ij->i", to_a, to_b)))
        angle[np.minimum(tape_a, tape_b) < ON_LINE] = 0.0  # on a stake itself: no two tapes cross
        along, offset = to_a @ ahead, to_a @ left
        for i, place in enumerate(places):
            side = "on" if abs(offset[i]) < ON_LINE else "left" if offset[i] > 0 else "right"
            found.append(
                Peg(
                    len(found) + 1, line, float(place[0]), float(place[1]), float(tape_a[i]), float(tape_b[i]), side,
                    float(angle[i]), float(along[i]), float(offset[i]),
                )
            )  # fmt: skip
    return tuple(found)


@remembered
def work_out(
    stakes: Stakes, lines: tuple[MarkLine, ...], missing: tuple[tuple[int, str], ...], edges: tuple[Traced, ...]
) -> SetOut:
    """Everything that is set out from two stakes.

    Args:
        stakes: As entered.
        lines: In the order in which they are marked.
        missing: (index, name) of pools whose dig does not meet the ground all round.
        edges: Where the digs meet the ground, for stakes that would be dug away.
    """
    apart = float(np.hypot(stakes.b[0] - stakes.a[0], stakes.b[1] - stakes.a[1]))
    problems = [_unmet(index, name) for index, name in missing]
    if apart < CLOSE:
        return SetOut(None, (), (), (), stakes, (), (), (*problems, _no_baseline(apart)))
    for name in ("a", "b"):
        if stands_inside(edges, getattr(stakes, name)):
            problems.append(_dug_away(name, getattr(stakes, name)))
    found = pegs(stakes, [line.points for line in lines])
    flat = Counter(peg.line for peg in found if not peg.by_tapes)
    (a_east, a_north), (b_east, b_north) = stakes.a, stakes.b
    return SetOut(
        baseline_length=entry(
            rel.baseline_length, "", cautions=[TAPE_STAKES_FIRST(), TAPE_LEVEL()], source=USER, a_east=a_east, a_north=a_north, b_east=b_east, b_north=b_north
        ),
        mark_length=tuple(
            entry(rel.mark_length, line.name, cautions=[LINE_NOT_SURVEYED()] if line.unknown else [], length=_length(line.ring)) for line in lines
        ),
        mark_count=tuple(
            entry(rel.mark_count, line.name, cautions=[STAKES_DUG_AWAY()], points=len(line.points)) for line in lines
        ),
        not_by_tapes=tuple(
            entry(rel.not_by_tapes, lines[index].name, cautions=[_flat(count)], points=count)
            for index, count in sorted(flat.items())
        ),
        stakes=stakes,
        lines=lines,
        pegs=found,
        problems=tuple(problems),
    )  # fmt: skip


def _length(ring: Array) -> float:
    return float(np.sum(np.linalg.norm(np.diff(ring, axis=0), axis=1)))


def _flat(count: int) -> Caution:
    return TAPES_CROSS_FLAT(count=str(count), least=(LEAST_ANGLE, ANGLE), most=(MOST_ANGLE, ANGLE))


def _no_baseline(apart: float) -> Problem:
    return Problem(
        ("dig", "stakes", "b"),
        words("the stakes stand {apart} apart", apart=(apart, LENGTH)),
        words("at least {least}", least=(CLOSE, LENGTH)),
        words("move one of the two: about as far apart as the dig is long"),
    )


def _dug_away(name: str, place: Sequence[float]) -> Problem:
    return Problem(
        ("dig", "stakes", name),
        words("it stands at {east} east, {north} north, inside the dig", east=(place[0], LENGTH), north=(place[1], LENGTH)),
        words("a place outside the line where the dig meets the ground"),
        words("move the stake clear of the dig and of the machine's way"),
    )  # fmt: skip


def _unmet(index: int, name: str) -> Problem:
    return Problem(
        ("pools", index, "level"),
        words(f"the dig of '{name}' does not meet the ground all round: part of it would stand over the ground"),
        words("ground on all sides that stands over some part of the face"),
        words("lower the pool, or set its dig out by the waterline and build the bank first"),
    )
