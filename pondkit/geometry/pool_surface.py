"""Areas and volumes of a pool's surface and the shares of its tiers, by slices at depth.

Depth at a place is the largest of the profiles of pool and pits there, so the plan area at depth z is the area of the
union of their outlines, each moved inward by its profile's distance at z, less what a lip of its bed leaves out. That
area is integrated by Gauss-Legendre on pieces that end where a level makes it jump or where an outline has a break
(see ``Shape.breaks``).
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
SAME = 1e-9  # m: depths nearer than this are equal
Owner = tuple[int, int]  # (0 for the pool, 1 … for its pits, tier)


@dataclass(frozen=True, eq=False)
class Basin:
    """One outline with its profile, in the pool's own axes.

    Attributes:
        shape: Outline in the part's own axes.
        placed: Placement of those in the pool's axes.
        profile: Depth over distance inward.
        clear: Least distance from the pool's outline to this one [m]; 0 for the pool itself.
    """

    shape: Shape
    placed: Placed
    profile: Profile
    clear: float = 0.0

    def regions(self, inward: Array) -> NDArray[np.object_]:
        """Polygons, in the pool's axes, of the area at least a distance inward, shape (n,); empty
        beyond the inradius.
        """
        offsets = self.shape.moved(np.minimum(inward, self.shape.inradius * 2))
        return np.array([shapely.transform(polygon, self.placed.to_site) for polygon in offsets], dtype=object)

    @cached_property
    def outline(self) -> BaseGeometry:
        return shapely.transform(self.shape.polygon, self.placed.to_site)

    @cached_property
    def middle(self) -> float:
        """Depth at the place furthest inward [m]."""
        return float(self.profile.depth(np.array([self.shape.inradius]))[0])

    @cached_property
    def reached(self) -> float:
        """Greatest depth of the profile within the outline [m]."""
        return max([self.middle, *(lower for _, lower, lip in self.profile.lips if lip.run < self.shape.inradius)])

    def reaches(self, depth: Array, beyond: bool = False) -> list[tuple[float, Array]]:
        """(distance, sign) pairs: inward distances at which the area at least ``depth`` deep (deeper, if ``beyond``)
        begins, with 1.0, and at which it ends at a lip, with -1.0; beyond the inradius if there is none. Shapes as
        given.
        """
        if not self.profile.lips:
            return [(1.0, self.profile.inward(depth, beyond))]
        lines = [(1.0, *row) for row in self.profile.faces] + [(-1.0, *row) for row in self.profile.lips]
        z = np.asarray(depth, dtype=float) + (SAME if beyond else -SAME)
        return [(sign, np.where((upper < z) & (z < lower), line.at(z), FAR)) for sign, upper, lower, line in lines]

    def regions_at(self, depth: Array, beyond: bool = False) -> NDArray[np.object_]:
        """Polygons, in the pool's axes, of the area at least ``depth`` deep by this part alone, shape (n,)."""
        regions = None
        # Offsets are nested, so that areas counted twice cancel out.
        for _, inward in self.reaches(depth, beyond):
            offsets = self.regions(inward)
            regions = offsets if regions is None else shapely.symmetric_difference(regions, offsets)
        return np.asarray(regions, dtype=object)

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep by this part alone [m²]."""
        most = self.shape.inradius
        if not self.profile.lips:
            return self.shape.area(np.minimum(self.profile.inward(depth, beyond), most))
        areas = [sign * self.shape.area(np.minimum(inward, most)) for sign, inward in self.reaches(depth, beyond)]
        return np.asarray(np.sum(areas, axis=0))

    def steep(self, depth: float) -> list[ProfileLine]:
        """Faces and lips that pass through a depth within the outline."""
        lines = (*self.profile.faces, *self.profile.lips)
        lines_there = [line for upper, lower, line in lines if upper < depth < lower]
        return [line for line in lines_there if line.run + line.batter * depth < self.shape.inradius]

    def levels(self, depth: float) -> list[tuple[float, float, ProfileLine]]:
        """(inward start, inward end, line) of the level parts at a depth; empty if the outline ends before them."""
        return [
            (start, end, line)
            for start, end, line in self.profile.levels
            if line.level is not None and abs(line.level - depth) < SAME and start < self.shape.inradius
        ]


def shared_level(a: Basin, reach_a: tuple[float, float], b: Basin, reach_b: tuple[float, float]) -> float:
    """Plan area shared by level parts of two outlines, each between two inward distances [m²]."""
    strips = [shapely.difference(*part.regions(np.array(reach))) for part, reach in ((a, reach_a), (b, reach_b))]
    return float(shapely.area(shapely.intersection(*strips)))


@dataclass
class Share:
    """Share of one tier: plan area of its faces and levels, its water, true area of its surface and of its upright
    faces (m², m³).
    """

    face_area: float = 0.0
    level_area: float = 0.0
    volume: float = 0.0
    true_area: float = 0.0
    upright: float = 0.0


@dataclass(frozen=True, eq=False)
class _Slices:
    """Depths of slices with their weights and plan areas, shape (pieces, 6) each, between edges, shape
    (pieces + 1,).
    """

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
    """Surface of a pool with its pits, in the pool's own axes; depth is below the waterline, negative above it."""

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
        """Depths from ``top`` down at which the plan area may jump or its derivative may break, shape (n,) [m]."""
        deepest = self.deepest
        depths_found = [top]
        for part in self.parts:
            depths_found += [z for _, z in part.profile.corners]
            depths_found.append(part.reached)
            marks = (*part.shape.breaks, 0.0, part.shape.inradius)
            if part is self.pool:
                marks += tuple(pit.clear for pit in self.pits)
            for upper, lower, face in part.profile.faces:
                if face.batter > 0:
                    depths = [(t - face.run) / face.batter for t in marks]
                    depths_found += [z for z in depths if upper < z < lower]
        distinct: list[float] = []
        for z in sorted(z for z in depths_found if top <= z <= deepest):
            if not distinct or z - distinct[-1] > SAME:
                distinct.append(z)
        return np.array(distinct or [top])

    def area(self, depth: Array, beyond: bool = False) -> Array:
        """Plan area at least ``depth`` deep (deeper, if ``beyond``), shape as given [m²]."""
        z = np.atleast_1d(np.asarray(depth, dtype=float))
        area = self.pool.area(z, beyond)
        if not self.pits:
            return area.reshape(np.shape(depth))
        inward = self.pool.profile.inward(z, beyond)
        used_up = inward >= self.pool.shape.inradius
        if used_up.any():
            area[used_up] = self._pits_alone(z[used_up], beyond)
        cut = ~used_up & (inward > min(pit.clear for pit in self.pits))
        if self.pool.profile.lips:
            cut = ~used_up
        if cut.any():
            area[cut] = shapely.area(self.regions(z[cut], beyond))
        return area.reshape(np.shape(depth))

    @cached_property
    def _apart(self) -> bool:
        """True if no pit meets another."""
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
        cumulated = np.append(np.cumsum(self._slices(edges).pieces[::-1])[::-1], 0.0)
        return np.asarray(cumulated[np.searchsorted(edges, below)])

    def shares(self) -> dict[Owner, Share]:
        """Shares of the tiers of pool and pits (and of bank and seat) below the waterline. They add up to the total.

        A place belongs to the tier whose profile gives its depth; if two give the same, to that of the first part.
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
        """Parts visible at a depth: a pit is hidden while the pool's own contour is outside it."""
        inward = math.inf if self.pool.profile.lips else float(self.pool.profile.inward(np.array(depth)))
        for index, part in enumerate(self.parts):
            if index == 0 or inward > part.clear or inward >= self.pool.shape.inradius:
                yield index, part

    def _faces(self, shares: dict[Owner, Share], depth: Array, weight: Array, drop: float, moment: float) -> None:
        """Add the faces of one piece to the shares of their tiers, by contour length; the first part gets the
        remainder of the others.
        """
        middle = float(depth[2] + depth[3]) / 2
        faces = [(index, part, line) for index, part in self._seen(middle) for line in part.steep(middle)]
        if not faces:
            return
        single = len({index for index, *_ in faces}) == 1 or (self._apart and faces[0][0] > 0)
        lengths = 0.0
        for index, part, line in faces[1:]:
            contour = part.shape.perimeter(line.at(depth)) if single else self._contour(index, line.at(depth), depth)
            length = float(np.sum(weight * contour))
            upright_moment = float(np.sum(weight * contour * depth)) * line.batter
            _add(
                shares,
                (index, line.owner),
                length * line.batter,
                upright_moment,
                length * float(np.hypot(1, line.batter)),
            )
            shares[(index, line.owner)].upright += length if line.batter == 0 else 0.0
            lengths, drop, moment = lengths + length, drop - length * line.batter, moment - upright_moment
        index, part, line = faces[0]
        if line.batter > 0:
            true = drop * float(np.hypot(1, line.batter)) / line.batter
        elif single:
            true = float(np.sum(weight * part.shape.perimeter(line.at(depth))))
        else:
            true = float(np.sum(weight * shapely.length(self.regions(depth)))) - lengths
        shares[(index, line.owner)].upright += true if line.batter == 0 else 0.0
        _add(shares, (index, line.owner), drop, moment, true)

    def _contour(self, index: int, inward: Array, depth: Array) -> Array:
        """Length of one part's contour at each depth that is in no other part's region [m]."""
        line = shapely.boundary(self.parts[index].regions(inward))
        for number, part in enumerate(self.parts):
            if number != index:
                line = shapely.difference(line, part.regions_at(depth))
        return np.asarray(shapely.length(line), dtype=float)

    def _levels(self, shares: dict[Owner, Share], z: float, jump: float) -> None:
        """Add the level areas at one depth to the shares of their tiers; the first part gets the
        remainder of the others.
        """
        levels_there = [(index, level) for index, part in self._seen(z) for level in part.levels(z)]
        for index, (start, end, line) in levels_there[:0:-1]:
            area = self._flat(index, (start, end), z)
            shares[(index, line.owner)].level_area += area
            _add(shares, (index, line.owner), 0.0, area * z, area)
            jump -= area
        if levels_there:
            index, (_, _, line) = levels_there[0]
            shares[(index, line.owner)].level_area += jump
            _add(shares, (index, line.owner), 0.0, jump * z, jump)

    def _flat(self, index: int, reach: tuple[float, float], z: float) -> float:
        """Area of a part's level that belongs to no earlier part and is below no other part [m²].

        Args:
            reach: Inward distances of its start and end [m].
        """
        depths = np.array([z])
        outer, inner = self.parts[index].regions(np.array(reach))
        left = shapely.difference(outer, inner)
        for number, part in enumerate(self.parts):
            if number != index:
                left = shapely.difference(left, part.regions_at(depths, beyond=number > index)[0])
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
    union = stacks[0]
    for stack in stacks[1:]:
        union = np.asarray(shapely.union(union, stack), dtype=object)
    return union


@dataclass(frozen=True)
class TierBand:
    """Band of a tier from its upper edge inward, below the waterline.

    Attributes:
        edge: Length of its upper edge [m].
        way: Length along its face and level, to the next face or to the middle of its outline [m].
        box: For the innermost tier, sides of the narrowest rectangle round it with faces laid flat [m]; else None.
    """

    edge: float
    way: float
    box: tuple[float, float] | None


def bands(surface: PoolSurface) -> dict[Owner, TierBand]:
    """Band of each tier of pool and pits that exists."""
    return {
        (index, tier): band
        for index, part in enumerate(surface.parts)
        for tier in sorted({line.owner for line in part.profile.lines if line.owner >= 0})
        if (band := _band(part, tier))
    }


def _band(part: Basin, tier: int) -> TierBand | None:
    lines, corners = part.profile.lines, part.profile.corners
    tier_lines = [index for index, line in enumerate(lines) if line.owner == tier]
    face, last = lines[tier_lines[0]], tier_lines[-1] == len(lines) - 1
    inner = part.shape.inradius
    if face.level is None:
        upper = max(corners[tier_lines[0] - 1][1] if tier_lines[0] else -math.inf, face.start, 0.0)
        first = max(face.run + face.batter * upper, 0.0), upper
    else:
        first = max(corners[tier_lines[0] - 1][0], 0.0), face.level
    if first[0] >= inner:
        return None
    below = [
        corners[index]
        for index in tier_lines
        if index < len(corners) and corners[index][0] < inner and corners[index][1] >= first[1]
    ]
    ended = last or corners[tier_lines[-1]][0] >= inner
    points = [first, *below, *([(inner, part.middle)] if ended else [])]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    length, run = sum(math.hypot(*step) for step in steps), sum(step[0] for step in steps)
    box = None
    if ended:
        around = shapely.minimum_rotated_rectangle(part.shape.moved([first[0]])[0])
        sides = np.linalg.norm(np.diff(shapely.get_coordinates(around)[:3], axis=0), axis=1)
        box = float(sides.max()) + 2 * (length - run), float(sides.min()) + 2 * (length - run)
    return TierBand(float(part.shape.perimeter(np.array([first[0]]))[0]), length, box)
