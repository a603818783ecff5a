"""How deep the ground is cut, and how high it is filled, at places on a square grid of the site, for a picture."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.geometry.ditch import Ditch
from pondkit.geometry.hole import Hole
from pondkit.geometry.outline import Array
from pondkit.geometry.path import Laid
from pondkit.geometry.trench import TrenchCut
from pondkit.geometry.uneven import Terrain

ACROSS = 150  # cells along the longer side


@dataclass(frozen=True, eq=False)
class CutMap:
    """Middles of the cells, shape (k,) eastward and (m,) northward, and cut above 0, fill below 0, NaN where neither,
    (m, k) [m]."""

    east: Array
    north: Array
    depth: Array


def cut_map(
    digs: Sequence[Laid],
    reach: Sequence[float],
    ground: Terrain,
    holes: Sequence[Hole | Ditch | TrenchCut] = (),
    banks: Sequence[Ditch] = (),
) -> CutMap:
    """Cut down to the deepest dig, hole or trench, out to where each meets the ground (``reach`` [m]); fill up to the
    bank inside the rim lines, and ``banks``, upside down."""
    far = [max(out, dig.rim) for dig, out in zip(digs, reach, strict=True)]
    rings = [dig.placed.to_site(dig.bowl.pool.shape.coords) for dig in digs]
    boxes = [np.array(hole.area.bounds) for hole in (*holes, *banks) if not hole.area.is_empty]
    low = np.min(
        [*(ring.min(axis=0) - out for ring, out in zip(rings, far, strict=True)), *(box[:2] for box in boxes)], axis=0
    )
    high = np.max(
        [*(ring.max(axis=0) + out for ring, out in zip(rings, far, strict=True)), *(box[2:] for box in boxes)], axis=0
    )
    step = float((high - low).max()) / ACROSS
    east, north = (np.arange(a + step / 2, b, step) for a, b in zip(low, high, strict=True))
    places = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    stands = ground.at(places)
    cut, fill = np.zeros(len(places)), np.zeros(len(places))
    for dig, out in zip(digs, far, strict=True):
        own = dig.placed.to_own(places)
        inward = dig.bowl.pool.shape.inward(own, far=out + step)
        near = np.flatnonzero(inward >= -out)
        over = stands[near] - dig.level + dig.bowl.depth_at(own[near])
        cut[near] = np.maximum(cut[near], over)
        inside = inward[near] >= -dig.rim
        fill[near] = np.maximum(fill[near], np.where(inside, -over, 0.0))
    for hole in holes:
        cut = np.maximum(cut, stands - hole.level_at(places))
    for bank in banks:
        fill = np.maximum(fill, -bank.level_at(places) - stands)
    depth = np.where(cut > 0, cut, np.where(fill > 0, -fill, np.nan))
    return CutMap(east, north, depth.reshape(len(north), len(east)))
