"""Cuts with upright sides along straight lines, such as pipe trenches; what they and holes take out of ground and digs."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.surface.hole import Hole
from pondkit.surface.outline import Array
from pondkit.surface.path import Laid
from pondkit.surface.uneven import Terrain

ALONG, ACROSS = 60, 4  # samples of a cut
WIDER = 0.2  # of a box round middles of cells, which lie half a cell inside it; and metres
Spot = tuple[float, float, float]


@dataclass(frozen=True)
class Cut:
    """A cut of a width from one end of its middle line to the other, each with the level of its bottom [m], site axes."""

    name: str
    start: Spot
    end: Spot
    width: float

    @property
    def _way(self) -> Array:
        return np.array([self.end[0] - self.start[0], self.end[1] - self.start[1]])

    @property
    def _side(self) -> Array:
        x, y = self._way
        return np.asarray(np.array([-y, x]) / np.hypot(x, y))

    def level_at(self, places: Array) -> Array:
        """Level of the bottom at places, shape (n, 2) -> (n,) [m]; inf beside the cut."""
        way, away = self._way, places - np.array(self.start[:2])
        along = away @ way / (way @ way)
        inside = (along >= 0) & (along <= 1) & (np.abs(away @ self._side) <= self.width / 2)
        return np.where(inside, self.start[2] + along * (self.end[2] - self.start[2]), np.inf)

    def spots(self) -> tuple[Array, Array]:
        """Middles of equal cells, shape (n, 2), and their areas, shape (n,) [m²]."""
        shares = (np.arange(ALONG) + 0.5) / ALONG, ((np.arange(ACROSS) + 0.5) / ACROSS - 0.5) * self.width
        along, aside = (side.reshape(-1, 1) for side in np.meshgrid(*shares))
        places = np.array(self.start[:2]) + along * self._way + aside * self._side
        cell = self.width * float(np.hypot(*self._way)) / (ALONG * ACROSS)
        return places, np.full(len(places), cell)


@dataclass(frozen=True)
class Taken:
    """What one cut or hole takes out by itself: volume [m³], greatest depth [m], and plan area of what is dug [m²]."""

    name: str
    volume: float
    deepest: float
    area: float


@dataclass(frozen=True, eq=False)
class Trenches:
    """What all cuts and holes take out: each by itself, and all together, ground that several share once [m³]."""

    each: tuple[Taken, ...]
    together: float


def take_out(cuts: Sequence[Cut | Hole], digs: Sequence[Laid], ground: Terrain) -> Trenches:
    """What cuts and holes take out of the ground as it is, under the pools' digs only what lies deeper than these.

    By samples in each one's own axes. Where several lie over each other, the deepest counts.
    """
    if not cuts:
        return Trenches((), 0.0)
    spots = [cut.spots() for cut in cuts]
    places = np.concatenate([spot for spot, _ in spots])
    top = _top(places, digs, ground)
    low, high = (np.array(side) for side in zip(*(_box(spot) for spot, _ in spots), strict=True))
    near = np.all((low[:, None] <= high) & (low <= high[:, None]), axis=2)
    bounds = np.cumsum([0, *(len(spot) for spot, _ in spots)])
    own = [slice(low, high) for low, high in itertools.pairwise(bounds)]
    deepest, covers = np.zeros(len(places)), np.zeros(len(places))
    alone = []
    for number, cut in enumerate(cuts):
        for other in np.flatnonzero(near[number]):
            here = own[other]
            deep = np.maximum(top[here] - cut.level_at(places[here]), 0.0)
            deepest[here] = np.maximum(deepest[here], deep)
            covers[here] += deep > 0
            if other == number:
                alone.append(deep)
    each, together = [], 0.0
    for cut, deep, (_, areas), here in zip(cuts, alone, spots, own, strict=True):
        dug = deep > 0
        each.append(Taken(cut.name, float(deep @ areas), float(deep.max()), float(np.sum(areas[dug]))))
        # Every one that digs at a place has its share of the deepest there: together they have it once.
        together += float(np.sum((deepest[here] * areas)[dug] / covers[here][dug]))
    return Trenches(tuple(each), together)


def _box(places: Array) -> tuple[Array, Array]:
    """Least and greatest x and y of what some spots are the middles of, a little wider."""
    low, high = places.min(axis=0), places.max(axis=0)
    wider = WIDER * (high - low) + WIDER
    return low - wider, high + wider


def _top(places: Array, digs: Sequence[Laid], ground: Terrain) -> Array:
    """Level of the ground as it is, or of a pool's dig where that lies lower, shape (n, 2) -> (n,) [m]."""
    top = ground.at(places)
    for dig in digs:
        top = np.minimum(top, dig.level - dig.bowl.depth_at(dig.placed.to_own(places)))
    return top
