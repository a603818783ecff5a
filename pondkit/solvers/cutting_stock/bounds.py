"""How many stock lengths no plan can do without, by dual feasible functions.

Such a function f gives pieces that fit into one length together a worth of at most 1; so all pieces together need at
least the sum of their worths. Sizes are taken as shares of a length's room.
"""

import math

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_ROUND = 30  # greatest k of the rounding functions
NEAR = 1e-9


def fewest(shares: Array) -> int:
    """Fewest lengths by all the functions here.

    Args:
        shares: Of a length's room that each piece takes, shape (n,).
    Source: Fekete and Schepers, New classes of fast lower bounds for bin packing problems, Mathematical Programming 91
        (2001): f_0 of Martello and Toth, u^(k), u^(k) of f_0, and phi^(epsilon)
    """
    small = np.unique(np.concatenate([[0.0], shares[shares <= 0.5]]))
    cleared = _without(shares, small)
    worths = [cleared, *(_rounded(cleared, k) for k in range(1, MOST_ROUND)), _halves(shares, small[small > 0])]
    return max(math.ceil(float(worth.sum(axis=1).max(initial=0.0)) - NEAR) for worth in worths)


def _without(shares: Array, small: Array) -> Array:
    """f_0: pieces under each small size are worth nothing, and those that leave less room than it a whole length."""
    of, under = shares[None, :], small[:, None]
    return np.where(of > 1 - under + NEAR, 1.0, np.where(of < under - NEAR, 0.0, of))


def _rounded(shares: Array, k: int) -> Array:
    """u^(k): (k + 1) times a share, rounded down, over k; the share itself where that is whole."""
    times = (k + 1) * shares
    whole = np.abs(times - np.round(times)) < NEAR
    return np.where(whole, shares, np.floor(times) / k)


def _halves(shares: Array, small: Array) -> Array:
    """phi^(epsilon): pieces up to a half count as the small size does, longer ones by
    how many of it they leave room for.
    """
    of, unit = shares[None, :], small[:, None]
    many = np.floor(1 / unit + NEAR)
    over = 1 - np.floor((1 - of) / unit + NEAR) / many
    return np.where(of > 0.5 + NEAR, over, np.where(of >= unit - NEAR, 1 / many, 0.0)) if len(small) else of * 0
