"""A pool's surface as a solid: areas, volumes and shares of its tiers, by slices at depth.

Depth at a place is the largest of the profiles of pool and pits there, so the plan area at depth z is the area of the union
of their outlines, each moved inward by its profile's distance at z. That area is integrated by Gauss-Legendre on pieces that
end where a level makes it jump or where an outline has a break (see ``Shape.breaks``).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from pondkit.surface.outline import Placed, Shape
from pondkit.surface.profile import Array, Profile

_X, _W = np.polynomial.legendre.leggauss(6)
Owner = tuple[int, int]  # (0 for the pool, 1 … for its pits, tier)


@dataclass(frozen=True, eq=False)
class Part:
    """One outline with its profile, in the pool's own axes.

    Attributes:
        shape: Outline in the part's own axes.
        placed: Where those lie in the pool's axes.
        profile: Depth against distance inward.
        clear: Least distance from the pool's outline to this one [m]; 0 for the pool itself.
    """

    shape: Shape
    placed: Placed
    profile: Profile
    clear: float = 0.0

    def regions(self, inward: Array) -> NDArray[np.object_]:
        """Polygons, in the pool's axes, of what lies at least so far inward, shape (n,); empty past the inradius."""
        moved = self.shape.moved(np.minimum(inward, self.shape.inradius * 2))
        return np.array([shapely.transform(polygon, self.placed.to_site) for polygon in moved], dtype=object)

    @cached_property
    def outline(self) -> BaseGeometry:
        return shapely.transform(self.shape.polygon, self.placed.to_site)

    def reached(self) -> float:
        """Greatest depth that the profile reaches within the outline [m]."""
        return float(self.profile.depth(np.array([self.shape.inradius]))[0])

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep by this part alone [m²]."""
        inward = self.profile.inward(depth, beyond)
        return np.where(inward < self.shape.inradius, self.shape.area(np.minimum(inward, self.shape.inradius)), 0.0)


@dataclass
class Share:
    """What one tier has: plan area of its faces and levels, its water, and the true area of its surface (m², m³)."""

    face_area: float = 0.0
    level_area: float = 0.0
    volume: float = 0.0
    true_area: float = 0.0


@dataclass(frozen=True, eq=False)
class Bowl:
    """A pool and its pits as one surface, in the pool's own axes; depth is below the waterline, negative above it."""

    pool: Part
    pits: tuple[Part, ...] = ()

    @property
    def parts(self) -> tuple[Part, ...]:
        return (self.pool, *self.pits)

    def deepest(self) -> float:
        """Greatest depth of the surface [m]."""
        return max(part.reached() for part in self.parts)

    def edges(self, top: float) -> Array:
        """Depths from ``top`` down at which the plan area may jump or its rate of change break, shape (n,) [m]."""
        found = [top]
        for part in self.parts:
            found += [z for _, z in part.profile.corners]
            found.append(part.reached())
            marks = (*part.shape.breaks, 0.0, part.shape.inradius)
            if part is self.pool:
                marks += tuple(pit.clear for pit in self.pits)
            for upper, lower, face in part.profile.faces:
                if face.batter > 0:
                    depths = [(t - face.run) / face.batter for t in marks]
                    found += [z for z in depths if upper < z < lower]
        ordered = np.unique([z for z in found if top <= z <= self.deepest()])
        return ordered[np.append(True, np.diff(ordered) > 1e-9)] if len(ordered) else np.array([top])

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep (deeper, if ``beyond``), shape as given [m²]."""
        z = np.atleast_1d(np.asarray(depth, dtype=float))
        pool_inward = self.pool.profile.inward(z, beyond)
        out = self.pool.area(z, beyond)
        if not self.pits:
            return out.reshape(np.shape(depth))
        empty = pool_inward >= self.pool.shape.inradius
        simple = ~empty & (pool_inward <= min(pit.clear for pit in self.pits))
        if empty.any():
            out[empty] = self._pits_alone(z[empty], beyond)
        rest = ~empty & ~simple
        if rest.any():
            out[rest] = shapely.area(self.regions(z[rest], beyond))
        return out.reshape(np.shape(depth))

    @cached_property
    def _apart(self) -> bool:
        return len(self.pits) < 2 or all(
            not a.outline.intersects(b.outline) for i, a in enumerate(self.pits) for b in self.pits[i + 1 :]
        )

    def _pits_alone(self, z: Array, beyond: bool) -> Array:
        if self._apart:
            return np.sum([pit.area(z, beyond) for pit in self.pits], axis=0)
        return np.asarray(shapely.area(self._union([pit.regions(pit.profile.inward(z, beyond)) for pit in self.pits])))

    def regions(self, depth: Array, beyond: bool = False) -> NDArray[np.object_]:
        """Polygons at least ``depth`` deep, in the pool's axes, shape (n,)."""
        z = np.atleast_1d(np.asarray(depth, dtype=float))
        return self._union([part.regions(part.profile.inward(z, beyond)) for part in self.parts])

    @staticmethod
    def _union(stacks: Sequence[NDArray[np.object_]]) -> NDArray[np.object_]:
        out = stacks[0]
        for stack in stacks[1:]:
            out = np.asarray(shapely.union(out, stack), dtype=object)
        return out

    def volume(self, below: float, down_to: float | None = None) -> float:
        """Volume between the surface and the level plane at depth ``below``, down to ``down_to`` or all of it [m³]."""
        edges = self.edges(below)
        if down_to is not None:
            edges = np.unique(np.append(edges[edges < down_to], min(down_to, self.deepest())))
        if len(edges) < 2:
            return 0.0
        half = np.diff(edges)[:, None] / 2
        z = edges[:-1, None] + half * (1 + _X)
        return float(np.sum(half * _W * self.area(z.ravel()).reshape(z.shape)))

    def volumes(self, below: Array) -> Array:
        """``volume`` at each of several depths, shape (n,) [m³]."""
        return np.array([self.volume(float(z)) for z in below])

    def shares(self) -> dict[Owner, Share]:
        """What each tier of pool and pits has below the waterline. They add up to the whole."""
        shares = {(i, k): Share() for i, part in enumerate(self.parts) for k in {line.owner for line in part.profile.lines} if k >= 0}
        edges = self.edges(0.0)
        if len(edges) < 2:
            return shares
        above, below = self.area(edges), self.area(edges, beyond=True)
        half = np.diff(edges) / 2
        nodes = edges[:-1, None] + half[:, None] * (1 + _X)
        weights = half[:, None] * _W
        inside = self.area(nodes.ravel()).reshape(nodes.shape)
        for j, (z0, z1) in enumerate(zip(edges, edges[1:], strict=False)):
            drop = below[j] - above[j + 1]
            moment = z0 * below[j] - z1 * above[j + 1] + float(np.sum(weights[j] * inside[j]))
            self._faces(shares, nodes[j], weights[j], drop, moment)
        for j, z in enumerate(edges):
            self._levels(shares, float(z), float(above[j] - below[j]))
        return shares

    def _faces(self, shares: dict[Owner, Share], z: Array, weight: Array, drop: float, moment: float) -> None:
        """Share out one piece between two depths: pits by the length of their contours, the pool the rest."""
        middle = float(z[2] + z[3]) / 2
        inward = self.pool.profile.inward(z)
        pool_open = inward[0] < self.pool.shape.inradius
        for index, pit in enumerate(self.pits, 1):
            batter, owner = _face_at(pit.profile, middle)
            if owner is None or (pool_open and inward[-1] <= pit.clear) or middle > pit.reached():
                continue
            length = self._contour(index, z) if pool_open or not self._apart else pit.shape.perimeter(pit.profile.inward(z))
            share = shares[(index, owner)]
            area = float(np.sum(weight * length)) * batter
            if not pool_open and len(self.pits) == 1:
                area = drop
            share.face_area += area
            share.volume += moment if not pool_open and len(self.pits) == 1 else float(np.sum(weight * length * z)) * batter
            share.true_area += float(np.sum(weight * length)) * float(np.hypot(1, batter))
            drop -= area
            moment -= moment if not pool_open and len(self.pits) == 1 else float(np.sum(weight * length * z)) * batter
        batter, owner = _face_at(self.pool.profile, middle)
        if pool_open and owner is not None and owner >= 0:
            share = shares[(0, owner)]
            share.face_area += drop
            share.volume += moment
            if batter > 0:
                share.true_area += drop * float(np.hypot(1, batter)) / batter
            else:
                contained = all(inward[-1] <= pit.clear for pit in self.pits)
                length = self.pool.shape.perimeter(inward) if contained else self._contour(0, z)
                share.true_area += float(np.sum(weight * length))

    def _contour(self, index: int, z: Array) -> Array:
        """Length of one part's contour at each depth that no other part's region takes in [m]."""
        stacks = [part.regions(part.profile.inward(z)) for part in self.parts]
        line = shapely.boundary(stacks[index])
        for other, stack in enumerate(stacks):
            if other != index:
                line = shapely.difference(line, stack)
        return np.asarray(shapely.length(line), dtype=float)

    def _levels(self, shares: dict[Owner, Share], z: float, jump: float) -> None:
        """Share out the level ground at one depth: what is the pits', the pool the rest."""
        if jump <= 1e-12:
            return
        pool_part = self.pool.area(np.array([z]))[0]
        for index, pit in enumerate(self.pits, 1):
            level = next((line for _, _, line in pit.profile.levels if line.level is not None and abs(line.level - z) < 1e-9), None)
            if level is None:
                continue
            at = np.array([z])
            if pool_part <= 0 and len(self.pits) == 1:
                area = jump
            else:
                ring = shapely.difference(pit.regions(pit.profile.inward(at)), pit.regions(pit.profile.inward(at, True)))
                area = float(shapely.area(shapely.difference(ring, self.pool.regions(self.pool.profile.inward(at))))[0])
            share = shares[(index, level.owner)]
            share.level_area += area
            share.true_area += area
            share.volume += area * z
            jump -= area
        level = next((line for _, _, line in self.pool.profile.levels if line.level is not None and abs(line.level - z) < 1e-9), None)
        if level is not None and level.owner >= 0:
            share = shares[(0, level.owner)]
            share.level_area += jump
            share.true_area += jump
            share.volume += jump * z

    def depth_at(self, points: Array) -> Array:
        """Depth [m] at places in the pool's axes, shape (n, 2) -> (n,); negative on the bank."""
        depths = [part.profile.depth(part.shape.inward(part.placed.to_own(points))) for part in self.parts]
        return np.maximum.reduce(depths)


def _face_at(profile: Profile, depth: float) -> tuple[float, int | None]:
    for upper, lower, face in profile.faces:
        if upper < depth < lower:
            return face.batter, face.owner
    return 0.0, None
