"""A pool's surface as a solid: areas, volumes and shares of its tiers, by slices at depth.

Depth at a place is the largest of the profiles of pool and pits there, so the plan area at depth z is the area of the
union of their outlines, each moved inward by its profile's distance at z, less what a lip of its bed leaves out. That
area is integrated by Gauss-Legendre on pieces that end where a level makes it jump or where an outline has a break (see
``Shape.breaks``).
"""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from pondkit.geometry.outline import Placed, Shape
from pondkit.geometry.profile import FAR, Array, Profile, ProfileLine

_X, _W = np.polynomial.legendre.leggauss(6)
SAME = 1e-9  # m: depths nearer than this are one
Owner = tuple[int, int]  # (0 for the pool, 1 … for its pits, tier)


@dataclass(frozen=True, eq=False)
class Basin:
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

    @cached_property
    def middle(self) -> float:
        """Depth at the place furthest inward [m]."""
        return float(self.profile.depth(np.array([self.shape.inradius]))[0])

    @cached_property
    def reached(self) -> float:
        """Greatest depth that the profile reaches within the outline [m]."""
        return max([self.middle, *(lower for _, lower, lip in self.profile.lips if lip.run < self.shape.inradius)])

    def reaches(self, depth: Array, beyond: bool = False) -> list[tuple[float, Array]]:
        """Distances inward at which what is at least ``depth`` deep (deeper, if ``beyond``) begins, with 1.0, and at
        which it ends at a lip, with -1.0; past the inradius where there is none. Shapes as given."""
        if not self.profile.lips:
            return [(1.0, self.profile.inward(depth, beyond))]
        lines = [(1.0, *row) for row in self.profile.faces] + [(-1.0, *row) for row in self.profile.lips]
        z = np.asarray(depth, dtype=float) + (SAME if beyond else -SAME)
        return [(sign, np.where((upper < z) & (z < lower), line.at(z), FAR)) for sign, upper, lower, line in lines]

    def regions_at(self, depth: Array, beyond: bool = False) -> NDArray[np.object_]:
        """Polygons, in the pool's axes, of what is at least ``depth`` deep by this part alone, shape (n,)."""
        found = None
        # Outlines moved inward lie in each other, so that what counts once too often cancels out.
        for _, inward in self.reaches(depth, beyond):
            moved = self.regions(inward)
            found = moved if found is None else shapely.symmetric_difference(found, moved)
        return np.asarray(found, dtype=object)

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep by this part alone [m²]."""
        most = self.shape.inradius
        if not self.profile.lips:
            return self.shape.area(np.minimum(self.profile.inward(depth, beyond), most))
        areas = [sign * self.shape.area(np.minimum(inward, most)) for sign, inward in self.reaches(depth, beyond)]
        return np.asarray(np.sum(areas, axis=0))

    def steep(self, depth: float) -> list[ProfileLine]:
        """The faces and lips that reach a depth within the outline, and go on above and below it."""
        lines = (*self.profile.faces, *self.profile.lips)
        found = [line for upper, lower, line in lines if upper < depth < lower]
        return [line for line in found if line.run + line.batter * depth < self.shape.inradius]

    def levels(self, depth: float) -> list[tuple[float, float, ProfileLine]]:
        """(inward start, end, line) of the levels at a depth; none where the outline is used up before them."""
        return [
            (start, end, line)
            for start, end, line in self.profile.levels
            if line.level is not None and abs(line.level - depth) < SAME and start < self.shape.inradius
        ]


def shared_level(a: Basin, reach_a: tuple[float, float], b: Basin, reach_b: tuple[float, float]) -> float:
    """Plan area that level parts of two outlines have in common, each from one distance inward to another [m²]."""
    strips = [shapely.difference(*part.regions(np.array(reach))) for part, reach in ((a, reach_a), (b, reach_b))]
    return float(shapely.area(shapely.intersection(*strips)))


@dataclass
class Share:
    """What one tier has: plan area of its faces and levels, its water, true area of its surface and of what is
    upright in it (m², m³)."""

    face_area: float = 0.0
    level_area: float = 0.0
    volume: float = 0.0
    true_area: float = 0.0
    upright: float = 0.0


@dataclass(frozen=True, eq=False)
class _Slices:
    """Depths of slices with their weights and plan areas, shape (pieces, 6) each, between edges, shape (pieces +
    1,)."""

    edges: Array
    depth: Array
    weight: Array
    area: Array

    @cached_property
    def pieces(self) -> Array:
        """Volume of each piece, shape (pieces,) [m³]."""
        return np.asarray(np.sum(self.weight * self.area, axis=1))


@dataclass(frozen=True, eq=False)
class PoolSurface:
    """A pool and its pits as one surface, in the pool's own axes; depth is below the waterline, negative above it."""

    pool: Basin
    pits: tuple[Basin, ...] = ()

    @property
    def parts(self) -> tuple[Basin, ...]:
        return (self.pool, *self.pits)

    @cached_property
    def deepest(self) -> float:
        """Greatest depth of the surface [m]."""
        return max(part.reached for part in self.parts)

    def edges(self, top: float) -> Array:
        """Depths from ``top`` down at which the plan area may jump or its rate of change break, shape (n,) [m]."""
        deepest = self.deepest
        found = [top]
        for part in self.parts:
            found += [z for _, z in part.profile.corners]
            found.append(part.reached)
            marks = (*part.shape.breaks, 0.0, part.shape.inradius)
            if part is self.pool:
                marks += tuple(pit.clear for pit in self.pits)
            for upper, lower, face in part.profile.faces:
                if face.batter > 0:
                    depths = [(t - face.run) / face.batter for t in marks]
                    found += [z for z in depths if upper < z < lower]
        kept: list[float] = []
        for z in sorted(z for z in found if top <= z <= deepest):
            if not kept or z - kept[-1] > SAME:
                kept.append(z)
        return np.array(kept or [top])

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep (deeper, if ``beyond``), shape as given [m²]."""
        z = np.atleast_1d(np.asarray(depth, dtype=float))
        out = self.pool.area(z, beyond)
        if not self.pits:
            return out.reshape(np.shape(depth))
        inward = self.pool.profile.inward(z, beyond)
        used_up = inward >= self.pool.shape.inradius
        if used_up.any():
            out[used_up] = self._pits_alone(z[used_up], beyond)
        cut = ~used_up & (inward > min(pit.clear for pit in self.pits))
        if self.pool.profile.lips:
            cut = ~used_up
        if cut.any():
            out[cut] = shapely.area(self.regions(z[cut], beyond))
        return out.reshape(np.shape(depth))

    @cached_property
    def _apart(self) -> bool:
        """True where no pit meets another."""
        return len(self.pits) < 2 or all(
            not a.outline.intersects(b.outline) for i, a in enumerate(self.pits) for b in self.pits[i + 1 :]
        )

    def _pits_alone(self, z: Array, beyond: bool) -> Array:
        if self._apart:
            return np.asarray(np.sum([pit.area(z, beyond) for pit in self.pits], axis=0))
        return np.asarray(shapely.area(_union([pit.regions_at(z, beyond) for pit in self.pits])))

    def regions(self, depth: Array, beyond: bool = False) -> NDArray[np.object_]:
        """Polygons at least ``depth`` deep, in the pool's axes, shape (n,)."""
        z = np.atleast_1d(np.asarray(depth, dtype=float))
        return _union([part.regions_at(z, beyond) for part in self.parts])

    def _slices(self, edges: Array) -> _Slices:
        half = np.diff(edges)[:, None] / 2
        depth = edges[:-1, None] + half * (1 + _X)
        return _Slices(edges, depth, half * _W, self.area(depth))

    @cached_property
    def _water(self) -> _Slices:
        return self._slices(self.edges(0.0))

    def volume(self, below: float) -> float:
        """Volume between the surface and the level plane at depth ``below`` [m³]."""
        slices = self._water if below == 0 else self._slices(self.edges(below))
        return float(np.sum(slices.pieces))

    def volumes(self, below: Array) -> Array:
        """``volume`` at each of several depths, shape (n,) [m³]."""
        edges = np.unique(np.append(self.edges(float(np.min(below))), below))
        held = np.append(np.cumsum(self._slices(edges).pieces[::-1])[::-1], 0.0)
        return np.asarray(held[np.searchsorted(edges, below)])

    def shares(self) -> dict[Owner, Share]:
        """What each tier of pool and pits (and bank and seat) has below the waterline. They add up to the whole.

        A place belongs to the tier whose profile gives its depth; where two give the same, to the first part's.
        """
        shares = {
            (i, k): Share() for i, part in enumerate(self.parts) for k in {line.owner for line in part.profile.lines}
        }
        slices = self._water
        edges = slices.edges
        above, below = self.area(edges), self.area(edges, beyond=True)
        moments = edges[:-1] * below[:-1] - edges[1:] * above[1:] + slices.pieces
        for depth, weight, drop, moment in zip(
            slices.depth, slices.weight, below[:-1] - above[1:], moments, strict=True
        ):
            self._faces(shares, depth, weight, float(drop), float(moment))
        for z, jump in zip(edges, above - below, strict=True):
            if jump > 1e-12:
                self._levels(shares, float(z), float(jump))
        return shares

    def _seen(self, depth: float) -> Iterable[tuple[int, Basin]]:
        """Parts that the pool does not wholly hide at a depth: a pit is hidden while the pool's own contour is
        outside it."""
        inward = math.inf if self.pool.profile.lips else float(self.pool.profile.inward(np.array(depth)))
        for index, part in enumerate(self.parts):
            if index == 0 or inward > part.clear or inward >= self.pool.shape.inradius:
                yield index, part

    def _faces(self, shares: dict[Owner, Share], depth: Array, weight: Array, drop: float, moment: float) -> None:
        """Share out the faces of one piece by the length of their contours; the first part takes what the others
        leave."""
        middle = float(depth[2] + depth[3]) / 2
        found = [(index, part, line) for index, part in self._seen(middle) for line in part.steep(middle)]
        if not found:
            return
        single = len({index for index, *_ in found}) == 1 or (self._apart and found[0][0] > 0)
        lengths = 0.0
        for index, part, line in found[1:]:
            contour = part.shape.perimeter(line.at(depth)) if single else self._contour(index, line.at(depth), depth)
            length = float(np.sum(weight * contour))
            turned = float(np.sum(weight * contour * depth)) * line.batter
            _add(shares, (index, line.owner), length * line.batter, turned, length * float(np.hypot(1, line.batter)))
            shares[(index, line.owner)].upright += length if line.batter == 0 else 0.0
            lengths, drop, moment = lengths + length, drop - length * line.batter, moment - turned
        index, part, line = found[0]
        if line.batter > 0:
            true = drop * float(np.hypot(1, line.batter)) / line.batter
        elif single:
            true = float(np.sum(weight * part.shape.perimeter(line.at(depth))))
        else:
            true = float(np.sum(weight * shapely.length(self.regions(depth)))) - lengths
        shares[(index, line.owner)].upright += true if line.batter == 0 else 0.0
        _add(shares, (index, line.owner), drop, moment, true)

    def _contour(self, index: int, inward: Array, depth: Array) -> Array:
        """Length of one part's outline, moved inward to its contour at each depth, that no other part's region takes
        in [m]."""
        line = shapely.boundary(self.parts[index].regions(inward))
        for other, part in enumerate(self.parts):
            if other != index:
                line = shapely.difference(line, part.regions_at(depth))
        return np.asarray(shapely.length(line), dtype=float)

    def _levels(self, shares: dict[Owner, Share], z: float, jump: float) -> None:
        """Share out the level ground at one depth; the first part takes what the others leave."""
        found = [(index, level) for index, part in self._seen(z) for level in part.levels(z)]
        for index, (start, end, line) in found[:0:-1]:
            area = self._flat(index, (start, end), z)
            shares[(index, line.owner)].level_area += area
            _add(shares, (index, line.owner), 0.0, area * z, area)
            jump -= area
        if found:
            index, (_, _, line) = found[0]
            shares[(index, line.owner)].level_area += jump
            _add(shares, (index, line.owner), 0.0, jump * z, jump)

    def _flat(self, index: int, reach: tuple[float, float], z: float) -> float:
        """Area of a part's level that no earlier part has, and no other goes deeper in [m²].

        Args:
            reach: From one distance inward to the other [m].
        """
        at = np.array([z])
        outer, inner = self.parts[index].regions(np.array(reach))
        left = shapely.difference(outer, inner)
        for other, part in enumerate(self.parts):
            if other != index:
                left = shapely.difference(left, part.regions_at(at, beyond=other > index)[0])
        return float(shapely.area(left))

    def depth_at(self, points: Array) -> Array:
        """Depth [m] at places in the pool's axes, shape (n, 2) -> (n,); negative on the bank."""
        depths = [part.profile.depth(part.shape.inward(part.placed.to_own(points))) for part in self.parts]
        return np.asarray(np.maximum.reduce(depths))


def _add(shares: dict[Owner, Share], owner: Owner, face_area: float, volume: float, true_area: float) -> None:
    share = shares[owner]
    share.face_area += face_area
    share.volume += volume
    share.true_area += true_area


def _union(stacks: Sequence[NDArray[np.object_]]) -> NDArray[np.object_]:
    out = stacks[0]
    for stack in stacks[1:]:
        out = np.asarray(shapely.union(out, stack), dtype=object)
    return out


@dataclass(frozen=True)
class TierBand:
    """A tier from its upper edge inward, under the waterline.

    Attributes:
        edge: Length of its upper edge [m].
        way: Way down over its face and level, where it ends inside at the next face, or in the middle of its outline
        [m].
        box: For the innermost tier the sides of the narrowest rectangle round it, faces laid flat [m]; else None.
    """

    edge: float
    way: float
    box: tuple[float, float] | None


def bands(surface: PoolSurface) -> dict[Owner, TierBand]:
    """The band of each tier of pool and pits that is reached."""
    return {
        (index, tier): band
        for index, part in enumerate(surface.parts)
        for tier in sorted({line.owner for line in part.profile.lines if line.owner >= 0})
        if (band := _band(part, tier))
    }


def _band(part: Basin, tier: int) -> TierBand | None:
    lines, corners = part.profile.lines, part.profile.corners
    own = [at for at, line in enumerate(lines) if line.owner == tier]
    face, last = lines[own[0]], own[-1] == len(lines) - 1
    inner = part.shape.inradius
    if face.level is None:
        upper = max(corners[own[0] - 1][1] if own[0] else -math.inf, face.start, 0.0)
        first = max(face.run + face.batter * upper, 0.0), upper
    else:
        first = max(corners[own[0] - 1][0], 0.0), face.level
    if first[0] >= inner:
        return None
    below = [corners[at] for at in own if at < len(corners) and corners[at][0] < inner and corners[at][1] >= first[1]]
    ended = last or corners[own[-1]][0] >= inner
    points = [first, *below, *([(inner, part.middle)] if ended else [])]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    way, run = sum(math.hypot(*step) for step in steps), sum(step[0] for step in steps)
    box = None
    if ended:
        around = shapely.minimum_rotated_rectangle(part.shape.moved([first[0]])[0])
        sides = np.linalg.norm(np.diff(shapely.get_coordinates(around)[:3], axis=0), axis=1)
        box = float(sides.max()) + 2 * (way - run), float(sides.min()) + 2 * (way - run)
    return TierBand(float(part.shape.perimeter(np.array([first[0]]))[0]), way, box)
