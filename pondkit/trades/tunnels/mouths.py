"""Where a mouth comes out: on the finished face, snapped to it along its run, or on land."""

from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.core.result import Problem
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.line_intersection import LineIntersection, Segment, length
from pondkit.geometry.terrain import Terrain
from pondkit.trades.tunnels import cautions as warn

TOUCH = 0.0254  # m (1 in): a mouth so near to the face stays where it is drawn
STRETCH = 0.3048  # m (1 ft): how far a mouth that is drawn in the ground is carried on to the face
JOINED = 1e-6  # m: stretches nearer than this are one


@dataclass(frozen=True)
class MouthPlace:
    """A mouth as it comes out.

    Attributes:
        moved: How far along its run, positive towards the run's other end [m].
        pool: Index of the pool that it opens to; None on land.
        face: True where it lies on a finished face or level part.
        batter: Batter of that face; None on a level part.
        note: What to say of its place; None where it stays as drawn.
    """

    moved: float
    pool: int | None
    face: bool
    batter: float | None
    note: Words | None = None


def mouth_place(
    line: Segment, met: Sequence[LineIntersection | None], ground: Terrain, backward: bool
) -> MouthPlace | None:
    """Where the mouth at the start of a run comes out; at its end if ``backward``. None where it stays in the ground.

    Args:
        line: The run, node to node as drawn.
        met: What it meets of each pool.
        ground: The ground as it is, in site axes.
        backward: True for the mouth at the run's end.
    """
    whole = length(line)
    faces, opened = _seen(met, whole, backward)
    near = min(faces, key=lambda face: abs(face[0]), default=None)
    if near and abs(near[0]) <= TOUCH:
        return MouthPlace(0.0, near[2], True, near[1])
    inside = next((stretch for stretch in opened if stretch[0] < 0 < stretch[1]), None)
    if inside:
        end = inside[1]
        for low, high, _ in opened:
            if low <= end + JOINED:
                end = max(end, high)
        face = next((face for face in faces if abs(face[0] - end) <= JOINED), None)
        if face is None or face[0] >= whole:
            return MouthPlace(0.0, inside[2], False, None, warn.MOUTH_FREE_IN_POOL())
        return MouthPlace(
            face[0],
            face[2],
            True,
            face[1],
            warn.MOUTH_MOVED_BACK(moved=(face[0], LENGTH)),
        )
    out = max((face for face in faces if -STRETCH <= face[0] < 0), default=None, key=lambda face: face[0])
    if out:
        return MouthPlace(
            out[0],
            out[2],
            True,
            out[1],
            warn.MOUTH_CARRIED_ON(moved=(-out[0], LENGTH)),
        )
    place = line[1] if backward else line[0]
    under_rim = any(
        low <= (whole if backward else 0.0) <= high for crossing in met if crossing for low, high in crossing.within
    )
    if not under_rim and place[2] >= ground.level_at(place) - TOUCH:
        return MouthPlace(0.0, None, False, None)
    return None


def _seen(
    met: Sequence[LineIntersection | None], whole: float, backward: bool
) -> tuple[list[tuple[float, float | None, int]], list[tuple[float, float, int]]]:
    """(station, batter, pool) of faces and (from, to, pool) of open stretches, by distance from the mouth into its
    run."""
    faces, opened = [], []
    for pool, crossing in enumerate(met):
        for station, batter in crossing.faces if crossing else ():
            faces.append((whole - station if backward else station, batter, pool))
        for low, high, _ in crossing.open if crossing else ():
            opened.append((whole - high, whole - low, pool) if backward else (low, high, pool))
    return sorted(faces, key=lambda face: face[0]), sorted(opened)


def buried(index: int, name: str, run: str) -> Problem:
    """The problem of a mouth in the ground."""
    return Problem(
        ("tunnels", "nodes", index, "at"),
        words(
            f"mouth '{name}' lies in the ground: neither on a pool's finished face nor in its water, and run '{run}' "
            f"does not come out within {{reach}} beyond it",
            reach=(STRETCH, LENGTH),
        ),
        words("a place in a pool, above its finished surface, or on land at the ground's level"),
        words("move the mouth into the water, change its level, or aim its run at the pool"),
    )
