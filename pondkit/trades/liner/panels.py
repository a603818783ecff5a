"""Panels where a liner is larger than the stock: which way they run, where the seams lie, and how deep under water."""

import math

import numpy as np

from pondkit.geometry.outline import Array
from pondkit.geometry.sheet import Sheet
from pondkit.trades.liner.results import Panels, Seam

SHIFTS = 25  # places tried for the first seam
DRY = 1e-9  # m: a seam no deeper than this is above water
LOWEST = 0.02  # m above the lowest place of a pool within which a seam counts as crossing it


def panels(
    length: float, width: float, net: tuple[Sheet, Sheet], stock: tuple[float, float], lap: float, rise: float
) -> Panels:
    """The best of both ways to make the rectangle up: no seam is best, else as shallow as can be, never across the
    lowest part.

    Args:
        length, width: The rectangle that is made up [m].
        net: The liner's sheet along its length and across it.
        stock: Widest and longest piece in stock [m].
        lap: One panel over the next [m].
        rise: Of the highest water over the level at rest [m].
    """
    wide, long = stock
    ways = [_way(length, width, net, piece, lap, rise) for piece in ((wide, long), (long, wide))]
    return min(
        ways, key=lambda way: (any(s.lowest for s in way.seams), max(way.depth, 0.0), sum(s.length for s in way.seams))
    )


def _way(
    length: float, width: float, net: tuple[Sheet, Sheet], piece: tuple[float, float], lap: float, rise: float
) -> Panels:
    """Panels no wider than ``piece[0]`` across the liner's width, and no longer than ``piece[1]`` along its length."""
    across = _seams(width, piece[0], lap, net[1], length, True, rise)
    along = _seams(length, piece[1], lap, net[0], width, False, rise)
    return Panels((len(across) + 1) * (len(along) + 1), (*across, *along))


def _seams(
    size: float, piece: float, lap: float, sheet: Sheet, run: float, along: bool, rise: float
) -> tuple[Seam, ...]:
    """Seams that cut ``size`` into pieces, all moved together to where they lie shallowest."""
    if size <= piece + 1e-9:
        return ()
    count = math.ceil((size - lap) / (piece - lap) - 1e-9)
    pitch = piece - lap
    # The first panel may be as narrow as what the full ones leave, or as wide as the stock.
    first = np.linspace(size - (count - 1) * pitch, piece, SHIFTS) - lap / 2
    places = first[:, None] + pitch * np.arange(count - 1)
    deep, low = (
        found.reshape(places.shape) for found in met(sheet, (places - (size - sheet.length) / 2).ravel(), lap, rise)
    )
    deepest = deep.max(axis=1)
    best = int(np.lexsort((deepest, np.maximum(deepest, DRY), low.any(axis=1)))[0])
    return tuple(
        Seam(along, float(p), run, float(d), bool(b))
        for p, d, b in zip(places[best], deep[best], low[best], strict=True)
    )


def met(sheet: Sheet, places: Array, lap: float, rise: float) -> tuple[Array, Array]:
    """Greatest depth of seams under the highest water [m], and whether they cross the lowest part of a pool, shape
    (n,) each.

    A seam is as wide as its lap, and as deep as the lower of its two edges. One on the ground lies over the water of
    the pool beside it, that of the lower rim where there are two.

    Args:
        sheet: Across the seams.
        places: Distance of the middle of each from the sheet's left end, shape (n,) [m].
        lap: One panel over the next [m].
        rise: Of the highest water over the level at rest [m].
    """
    across = (places[:, None] + lap * np.array([-0.5, 0.0, 0.5])).ravel()
    depth, spare = sheet.under(across)
    depth, low = depth + rise, (depth + rise > DRY) & (spare < LOWEST)
    shape = (len(depth), len(places), 3)
    return np.asarray(depth.reshape(shape).max(axis=(0, 2))), np.asarray(low.reshape(shape).any(axis=(0, 2)))
