"""Starting values of new tape lines and stakes, outside every dig, and of levels measured on a floor."""

import math
from collections.abc import Sequence

from pondkit.core.units import Typed
from pondkit.geometry.room import Spot
from pondkit.trades.earthwork.inputs import Measured, Stakes, Tape
from pondkit.trades.pools.results import PoolResult

STAKES_OUT = 1.8  # m: new stakes, south of all digs
TAPE_OUT = 0.9  # m: ends of a new tape line, outside the dig
LEAST_BASELINE = 3.0  # m: from stake to stake


def new_tape(pool: PoolResult, name: str, turn_deg: float, typed: Typed) -> Tape:
    """A tape line across a pool, from west to east or rotated from there, extending beyond its dig on both sides."""
    x, y, radius = dig_circle(pool)
    far, turn = radius + TAPE_OUT, math.radians(turn_deg)
    ends = {
        key: typed.place((x + side * far * math.cos(turn), y + side * far * math.sin(turn)))
        for key, side in (("start", -1), ("end", 1))
    }
    return Tape.model_validate({"name": name} | ends, context={"units": typed.system})


def new_stakes(pools: Sequence[PoolResult], typed: Typed) -> Stakes:
    """Two stakes south of all digs, as far apart as these reach from west to east; about the site's origin if there are
    none.
    """
    circles = [dig_circle(pool) for pool in pools] or [(0.0, 0.0, LEAST_BASELINE)]
    west, east = min(x - radius for x, _, radius in circles), max(x + radius for x, _, radius in circles)
    south = min(y - radius for _, y, radius in circles) - STAKES_OUT
    ends = {"a": typed.place((west, south)), "b": typed.place((max(east, west + LEAST_BASELINE), south))}
    return Stakes.model_validate(ends, context={"units": typed.system})


def new_measured(pool: PoolResult, place: Spot | None, typed: Typed) -> Measured:
    """A level to be measured in the dig of a pool, on its floor if ``place`` is None; the level itself is left to be
    read.
    """
    where = place or pool.surfaces.finished.pole
    return Measured.model_validate({"pool": pool.name, "at": typed.place(where)}, context={"units": typed.system})


def dig_circle(pool: PoolResult) -> tuple[float, float, float]:
    """(east, north, radius) of a circle round the dig of a pool, on the site [m]."""
    dig = pool.surfaces.dig
    x, y, radius = dig.circle
    return x, y, radius + max(dig.rim, pool.ground.reach if pool.ground else 0.0)
