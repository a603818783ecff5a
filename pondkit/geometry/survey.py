"""Existing ground through surveyed points: triangles between them; beyond them, the level of the survey's nearest
edge."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.outline import Array

if TYPE_CHECKING:
    from scipy.spatial import Delaunay

SAME_PLACE = 2e-3  # m: points nearer than this are one place
SAME_LEVEL = 1e-6  # m
THIN = 0.01  # m: points that lie nearer than this to one line make no ground
EDGE = 1e-6  # m: nearer to the survey's edge than this is on it
ALONG = 0.1  # m: how closely a line is followed over uneven ground


class NoSurvey(ValueError):
    """Points that make no ground: what was given, what is allowed, the mend, and the row at fault if it is one."""

    def __init__(self, given: Words, allowed: Words, mend: Words, row: int | None = None) -> None:
        super().__init__(given.text)
        self.given, self.allowed, self.mend, self.row = given, allowed, mend, row


@dataclass(frozen=True, eq=False)
class Mesh:
    """Ground through points: straight in every triangle between them (Delaunay's), shape (n, 2) and (n,) [m], site
    axes.

    Beyond the outermost points nothing is known: there the ground is taken to go on at the level of the nearest place
    on the survey's edge, and ``beyond`` says where that is so.
    """

    places: Array
    levels: Array

    @cached_property
    def _middle(self) -> Array:
        return np.asarray(self.places.mean(axis=0))

    @cached_property
    def _net(self) -> "Delaunay":
        from scipy.spatial import Delaunay

        return Delaunay(self.places - self._middle)  # near the origin: fewer digits are lost

    @cached_property
    def triangles(self) -> NDArray[np.int64]:
        """Corners of each triangle, as indexes of points, shape (m, 3)."""
        return np.asarray(self._net.simplices, dtype=np.int64)

    @cached_property
    def _planes(self) -> Array:
        """Level at the middle and rises east and north of every triangle, shape (m, 3)."""
        own = np.concatenate([np.ones((len(self.places), 1)), self.places - self._middle], axis=1)
        return np.asarray(np.linalg.solve(own[self.triangles], self.levels[self.triangles][..., None])[..., 0])

    @cached_property
    def hull(self) -> Polygon:
        """The ground that the survey goes round."""
        return shapely.MultiPoint(self.places).convex_hull

    def at(self, points: Array) -> Array:
        """Ground level at places, shape (n, 2) -> (n,) [m]."""
        own = np.asarray(points, dtype=float) - self._middle
        found = self._net.find_simplex(own)
        plane = self._planes[found]
        out = np.asarray(plane[:, 0] + plane[:, 1] * own[:, 0] + plane[:, 2] * own[:, 1])
        far = np.flatnonzero(found < 0)
        if len(far):
            out[far] = self._edge(own[far])[0]
        return out

    def level_at(self, place: Sequence[float]) -> float:
        """Ground level [m] at one place, of which east and north are read."""
        return float(self.at(np.array([[place[0], place[1]]]))[0])

    def beyond(self, points: Array) -> NDArray[np.bool_]:
        """Which places lie outside the survey, shape (n, 2) -> (n,)."""
        own = np.asarray(points, dtype=float) - self._middle
        out = np.asarray(self._net.find_simplex(own) < 0)
        if out.any():
            out[out] = self._edge(own[out])[1] > EDGE
        return out

    def _edge(self, own: Array) -> tuple[Array, Array]:
        """Level of the nearest place on the survey's edge, and how far away it is, shape (n,) each [m]."""
        ends = self._net.convex_hull
        start, side = (self.places - self._middle)[ends[:, 0]], np.diff(self.places[ends], axis=1)[:, 0]
        rise = np.diff(self.levels[ends], axis=1)[:, 0]
        away = own[:, None] - start
        along = np.clip(np.einsum("nki,ki->nk", away, side) / np.einsum("ki,ki->k", side, side), 0.0, 1.0)
        distance = np.linalg.norm(away - along[..., None] * side, axis=2)
        near = np.argmin(distance, axis=1)
        share = np.take_along_axis(along, near[:, None], axis=1)[:, 0]
        return self.levels[ends[near, 0]] + share * rise[near], distance[np.arange(len(own)), near]

    def contour(self, level: float) -> Array:
        """Where the ground stands at a level: one straight piece a triangle that it crosses, shape (k, 2, 2) [m]."""
        over = self.levels[self.triangles] - level
        over = np.where(over == 0, 1e-12, over)  # a corner just at the level counts as above it
        sides = [(0, 1), (1, 2), (2, 0)]
        crossed = np.stack([over[:, a] * over[:, b] < 0 for a, b in sides], axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            spots = np.stack([self._between(over, a, b) for a, b in sides], axis=1)
        met = crossed.sum(axis=1) == 2
        return np.asarray(spots[met][crossed[met]].reshape(-1, 2, 2))

    def _between(self, over: Array, a: int, b: int) -> Array:
        share = over[:, a] / (over[:, a] - over[:, b])
        start, end = self.places[self.triangles[:, a]], self.places[self.triangles[:, b]]
        return np.asarray(start + share[:, None] * (end - start))

    def along(self, line: Array) -> Array:
        """The same line with places near enough to each other to follow the ground, shape (n, 2) -> (m, 2)."""
        steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
        parts = np.maximum(np.ceil(steps / ALONG), 1.0).astype(np.int64)
        side = np.repeat(np.arange(len(parts)), parts)
        within = np.arange(1, len(side) + 1) - np.repeat(np.cumsum(parts) - parts, parts)
        at = np.concatenate([[0.0], side + within / parts[side]])
        return np.stack([np.interp(at, np.arange(len(line)), line[:, axis]) for axis in (0, 1)], axis=1)


def mesh_of(places: Array, levels: Array, rows: Sequence[int]) -> Mesh:
    """Ground through points, shape (n, 2) and (n,) [m], site axes; ``rows`` are where they stand in their list.

    Raises: NoSurvey where they make no ground.
    """
    places, levels = np.asarray(places, dtype=float).reshape(-1, 2), np.asarray(levels, dtype=float)
    again = _again(places, levels, rows)
    keep = np.setdiff1d(np.arange(len(places)), again)
    if len(keep) < 3:
        raise NoSurvey(
            words(f"the survey has {len(keep)} places" if len(keep) != 1 else "the survey has 1 place"),
            words("three or more, not in one line"),
            words("add points, or describe the ground as level or as one fall"),
        )
    own = places[keep] - places[keep].mean(axis=0)
    across = own @ np.linalg.svd(own, full_matrices=False)[2][1]
    if float(np.ptp(across)) < THIN:
        raise NoSurvey(
            words("all survey points lie in one line, to within {thin}", thin=(THIN, LENGTH)),
            words("points on both sides of the dig"),
            words("add points beside the line, or describe the ground as one fall"),
        )
    return Mesh(places[keep], levels[keep])


def _again(places: Array, levels: Array, rows: Sequence[int]) -> list[int]:
    """Points that stand where an earlier one does, at its level; another level there is no survey."""
    from scipy.spatial import cKDTree

    found = []
    for first, second in sorted(cKDTree(places).query_pairs(SAME_PLACE)) if len(places) else []:
        if abs(levels[first] - levels[second]) > SAME_LEVEL:
            raise NoSurvey(
                words(
                    f"rows {rows[first] + 1} and {rows[second] + 1} stand in one place, at {{one}} and {{other}}",
                    one=(levels[first], LENGTH),
                    other=(levels[second], LENGTH),
                ),
                words("one level in each place"),
                words("remove the one that is wrong, or correct its place"),
                rows[second],
            )
        found.append(second)
    return found
