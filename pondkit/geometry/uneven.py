"""Earthwork on surveyed terrain: exact on the best-fit plane, plus a sampled correction for the terrain's departure.

Only the difference between ground and plane is sampled, so that a survey of a plane gives the plane's own figures,
and an error of the sampling counts by how uneven the ground is, not by how deep the dig is.
"""

from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray

from pondkit.core.remembered import remembered
from pondkit.geometry.ground import FAR_BANK, DaylightBand, Dug, Plane, TooSteep, band, edges_between, nodes, shared_cut
from pondkit.geometry.outline import Array, Placed, Shape
from pondkit.geometry.pool_surface import Basin, PoolSurface
from pondkit.geometry.profile import Profile
from pondkit.geometry.survey import Mesh

ACROSS = 72  # samples along the longer side of a dig
WITHIN = 6  # distances inward that each stands for
SHARED = 120  # the same over what digs share
FITTED = 1.0  # m beyond the outline within which the plane is laid as near to the ground as it goes
Terrain = Plane | Mesh


@dataclass(frozen=True, eq=False)
class Patch:
    """Uneven ground round one outline, at the middles of square cells, in the outline's own axes, whatever its depths.

    Attributes:
        points: Shape (n, 2) [m].
        inward: Distance inward from the outline, negative outside, shape (n,) [m].
        levels: Of the ground, shape (n,) [m].
        beyond: Where no survey reaches, shape (n,).
        plane: The plane that lies nearest to the ground there.
        step: Side of a cell [m].
        wide: How far outward the samples go [m].
    """

    points: Array
    inward: Array
    levels: Array
    beyond: NDArray[np.bool_]
    plane: Plane
    step: float
    wide: float

    @property
    def slope(self) -> float:
        return self.plane.slope

    @property
    def lowest(self) -> float:
        """Lowest level of ground and plane on the patch [m]."""
        return float(min(self.levels.min(), self.plane.at(self.points).min()))


@remembered
def patch(shape: Shape, placed: Placed, ground: Mesh, wide: float) -> Patch:
    """Uneven ground round an outline that stands on the site, as far out as ``wide`` [m]."""
    low, high = shape.coords.min(axis=0) - wide, shape.coords.max(axis=0) + wide
    step = float((high - low).max()) / ACROSS
    points = _cells(low, high, step)
    inward = shape.inward(points, far=wide + step)
    near = inward >= -wide
    points, inward = points[near], inward[near]
    site = placed.to_site(points)
    levels = ground.at(site)
    return Patch(points, inward, levels, ground.beyond(site), _nearest(points, levels, inward >= -FITTED), step, wide)


def _cells(low: Array, high: Array, step: float) -> Array:
    axes = [np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True)]
    return np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)


def _nearest(points: Array, levels: Array, counted: NDArray[np.bool_]) -> Plane:
    rows = np.concatenate([np.ones((len(points), 1)), points], axis=1)[counted]
    level, east, north = np.linalg.lstsq(rows, levels[counted], rcond=None)[0]
    return Plane(float(level), float(east), float(north))


def band_on(
    shape: Shape,
    upper: Profile,
    rim: float,
    rim_level: float,
    level: float,
    ground: Plane | Patch,
    pits: tuple[Basin, ...] = (),
) -> DaylightBand:
    """Cut and fill where the ground's surface runs through the dig, as ``ground.band``, on a plane or on uneven ground.

    A ``reach`` of more than the patch is wide asks for a wider one. Ground that rises above the bank's plane again
    beyond where it first met it counts as dug, as far as the dig reaches elsewhere.

    Raises: TooSteep if bank and ground meet too far out, or nowhere.
    """
    if isinstance(ground, Plane):
        return band(shape, upper, rim, rim_level, level, ground, pits)
    base = band(shape, upper, rim, rim_level, level, ground.plane, pits)
    # Several distances a cell: a bank may be narrower than one, and the fill ends with a jump at the rim line.
    inward = ground.inward[:, None] + ground.step * ((np.arange(WITHIN) + 0.5) / WITHIN - 0.5)
    depth = upper.depth(inward)
    for pit in pits:
        depth = np.maximum(depth, pit.profile.depth(pit.shape.inward(pit.placed.to_own(ground.points)))[:, None])
    dig, levels, flat = level - depth, ground.levels[:, None], ground.plane.at(ground.points)[:, None]
    cell = ground.step**2 / WITHIN
    real = np.maximum(levels - dig, 0.0)
    cut = float(np.sum(real - np.maximum(flat - dig, 0.0))) * cell
    fill = float(np.sum((np.maximum(dig - levels, 0.0) - np.maximum(dig - flat, 0.0))[inward >= -rim])) * cell
    dug = real > 0
    reach = max(base.reach, -float(inward[dug].min()) + ground.step / WITHIN if dug.any() else 0.0)
    if reach > FAR_BANK:
        raise TooSteep(np.inf)
    below = max(base.below, level - ground.lowest)
    between = 0.0
    if below > base.below + 1e-9:
        bowl = PoolSurface(Basin(shape, Placed(0.0, 0.0, 0.0), upper), pits)
        h, weight = nodes(edges_between(level - below, level - base.below, upper, level))
        between = float(np.sum(weight * bowl.area(level - h)))
    unknown = float(np.sum(ground.beyond[:, None] & (dug | (inward > -rim)))) * cell
    # A sum of samples may come out under nothing by their rounding.
    return replace(
        base, below=below, cut=base.cut + between + cut, fill=max(base.fill + fill, 0.0), reach=reach, unknown=unknown
    )


@remembered
def shared_on(digs: tuple[Dug, ...], ground: Terrain) -> float:
    """What the cuts of several digs count more than once [m³], as ``shared_cut``, on a plane or on uneven ground."""
    if isinstance(ground, Plane):
        return shared_cut(digs, ground)
    rings = [
        shapely.transform(shape.thin, placed.to_site).buffer(reach + FITTED, quad_segs=4)
        for shape, placed, _, _, reach in digs
    ]
    overlaps = [a.intersection(b).bounds for i, a in enumerate(rings) for b in rings[:i] if a.intersects(b)]
    if not overlaps:
        return 0.0
    boxes = np.array(overlaps)
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    step = float((high - low).max()) / SHARED
    points = _cells(low, high, step)
    levels = ground.at(points)
    plane = _nearest(points, levels, np.ones(len(points), dtype=bool))
    dig = np.stack(
        [
            level - upper.depth(shape.inward(placed.to_own(points), far=reach + 2 * FITTED))
            for shape, placed, upper, level, reach in digs
        ]
    )

    def twice(here: Array) -> Array:
        cuts = np.maximum(here - dig, 0.0)
        return cast(Array, cuts.sum(axis=0) - cuts.max(axis=0))

    more = float(np.sum(twice(levels) - twice(plane.at(points)))) * step**2
    return max(shared_cut(digs, plane) + more, 0.0)


def unsurveyed(points: Array, ground: object) -> bool:
    """Whether any of some places on the site lies where no survey reaches, shape (n, 2)."""
    return isinstance(ground, Mesh) and bool(ground.beyond(points).any())


def length_above(ring: Array, level: float, ground: Terrain) -> float:
    """Length of a closed line at a level that stands above the ground, corners exact on a plane, shape (n, 2) [m]."""
    ring = ground.along(ring)
    high = level - ground.at(ring)
    steps = np.linalg.norm(np.diff(ring, axis=0), axis=1)
    least, most = np.minimum(high[:-1], high[1:]), np.maximum(high[:-1], high[1:])
    above = most > 1e-9
    share = np.where(above, most / np.where(above, most - np.minimum(least, 0.0), 1.0), 0.0)
    return float(np.sum(steps * share))
