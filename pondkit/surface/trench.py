"""Cuts with upright sides along straight lines: pipe trenches, and pits for boxes; what they take out of ground and digs."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pondkit.surface.outline import Array
from pondkit.surface.path import Laid
from pondkit.surface.uneven import Terrain

ALONG, ACROSS = 60, 4  # samples of a cut
Spot = tuple[float, float, float]


@dataclass(frozen=True)
class Cut:
    """A cut of a width from one end of its middle line to the other, each with the level of its bottom [m], site axes."""

    name: str
    start: Spot
    end: Spot
    width: float


@dataclass(frozen=True)
class Taken:
    """What one cut takes out by itself: volume [m³], greatest depth [m], and length along which anything is dug [m]."""

    name: str
    volume: float
    deepest: float
    length: float


@dataclass(frozen=True, eq=False)
class Trenches:
    """What all cuts take out: each by itself, and all together, ground that several share once [m³]."""

    each: tuple[Taken, ...]
    together: float


def take_out(cuts: Sequence[Cut], digs: Sequence[Laid], ground: Terrain) -> Trenches:
    """What cuts take out of the ground as it is, under the pools' digs only what lies deeper than these.

    By samples in each cut's own axes. Where several cuts lie over each other, the deepest counts.
    """
    if not cuts:
        return Trenches((), 0.0)
    spots = [_spots(cut) for cut in cuts]
    places = np.concatenate([spot for spot, _ in spots])
    top = ground.at(places)
    for dig in digs:
        top = np.minimum(top, dig.level - dig.bowl.depth_at(dig.placed.to_own(places)))
    deepest, covers = np.zeros(len(places)), np.zeros(len(places))
    for cut in cuts:
        along, aside = _seen(cut, places)
        inside = (along >= 0) & (along <= 1) & (np.abs(aside) <= cut.width / 2)
        bottom = cut.start[2] + along * (cut.end[2] - cut.start[2])
        deepest = np.where(inside, np.maximum(deepest, top - bottom), deepest)
        covers += inside
    each, together, at = [], 0.0, 0
    for cut, (own, cell) in zip(cuts, spots, strict=True):
        here = slice(at, at + len(own))
        at += len(own)
        along, _ = _seen(cut, own)
        depth = np.maximum(top[here] - cut.start[2] - along * (cut.end[2] - cut.start[2]), 0.0)
        dug = float((depth > 0).mean()) * _length(cut)
        each.append(Taken(cut.name, float(depth.sum()) * cell, float(depth.max()), dug))
        # Every cut that covers a place has its share of the deepest there: together they have it once.
        together += float(np.sum(deepest[here] / np.maximum(covers[here], 1.0))) * cell
    return Trenches(tuple(each), together)


def _length(cut: Cut) -> float:
    return float(np.hypot(cut.end[0] - cut.start[0], cut.end[1] - cut.start[1]))


def _spots(cut: Cut) -> tuple[Array, float]:
    """Middles of equal cells of a cut, shape (n, 2), and the area of one [m²]."""
    along, aside = np.meshgrid((np.arange(ALONG) + 0.5) / ALONG, ((np.arange(ACROSS) + 0.5) / ACROSS - 0.5) * cut.width)
    way = np.array([cut.end[0] - cut.start[0], cut.end[1] - cut.start[1]])
    side = np.array([-way[1], way[0]]) / _length(cut)
    places = np.array(cut.start[:2]) + along.reshape(-1, 1) * way + aside.reshape(-1, 1) * side
    return places, cut.width * _length(cut) / (ALONG * ACROSS)


def _seen(cut: Cut, places: Array) -> tuple[Array, Array]:
    """Share of the way along a cut, and distance aside from its middle line [m], of places."""
    way = np.array([cut.end[0] - cut.start[0], cut.end[1] - cut.start[1]])
    away = places - np.array(cut.start[:2])
    return away @ way / (way @ way), away @ np.array([-way[1], way[0]]) / _length(cut)
