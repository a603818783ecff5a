"""Starting values of new tape lines, stakes and surveyed levels: outside every dig, or on a floor."""

import math
from collections.abc import Sequence

from pondkit.core.units import Typed
from pondkit.geometry.room import Spot
from pondkit.trades.earthwork.inputs import Measured, Stakes, Tape
from pondkit.trades.pools.results import PoolResult

OUT = 1.8  # m: distance of new stakes from all digs
BEYOND = 0.9  # m: overhang of a new tape line beyond a dig
LEAST = 3.0  # m: from stake to stake


def new_tape(pool: PoolResult, name: str, turn_deg: float, typed: Typed) -> Tape:
    """A tape line across a pool, from west to east or rotated from there, extending beyond its dig on both sides."""
    x, y, radius = dig_circle(pool)
    far, turn = radius + BEYOND, math.radians(turn_deg)
    ends = {
        key: typed.place((x + side * far * math.cos(turn), y + side * far * math.sin(turn)))
        for key, side in (("start", -1), ("end", 1))
    }
    return Tape.model_validate({"name": name} | ends, context={"units": typed.system})


def new_stakes(pools: Sequence[PoolResult], typed: Typed) -> Stakes:
    """Two stakes south of all digs."""
    rounds = [dig_circle(pool) for pool in pools] or [(0.0, 0.0, LEAST)]
    west, east = min(x - radius for x, _, radius in rounds), max(x + radius for x, _, radius in rounds)
    south = min(y - radius for _, y, radius in rounds) - OUT
    ends = {"a": typed.place((west, south)), "b": typed.place((max(east, west + LEAST), south))}
    return Stakes.model_validate(ends, context={"units": typed.system})


def new_measured(pool: PoolResult, place: Spot | None, typed: Typed) -> Measured:
    """A place for a surveyed level in a pool, on its floor if ``place`` is None; the level is still to be read."""
    where = place or pool.surfaces.finished.pole
    return Measured.model_validate({"pool": pool.name, "at": typed.place(where)}, context={"units": typed.system})


def dig_circle(pool: PoolResult) -> tuple[float, float, float]:
    """Circle round the dig of a pool: its centre and radius on the site [m]."""
    dig = pool.surfaces.dig
    x, y, radius = dig.circle
    return x, y, radius + max(dig.rim, pool.ground.reach if pool.ground else 0.0)
