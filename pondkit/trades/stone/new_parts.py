"""Values with which a new boulder or a new row of edging begins."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

from pondkit.core.refusal import Refused
from pondkit.core.units import Typed
from pondkit.geometry.room import Spot
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.stone.inputs import Boulder, Edging

USUAL_SIZE = (("30 in", "22 in", "16 in"), ("75 cm", "55 cm", "40 cm"))  # in US and SI units
LEAST_ROOM = 0.15  # m: width of face and shelf for which a row inside is offered
BASE_DEPTH = 0.1  # m: base of a new row outside, below the water


def new_boulder(boulders: Sequence[Boulder], name: str, place: Spot | None, pool: str | None, typed: Typed) -> Boulder:
    """A new boulder as large as those of the last kind, or of a usual size.

    Args:
        boulders: Inputs of the existing kinds.
        name: Its name.
        place: Its centre [m]; None without a place.
        pool: Pool that it stands in; None on land.
        typed: Writes a quantity as text.
    """
    last: dict[str, Any] = (
        {field: getattr(boulders[-1], field) for field in ("axes", "axes_within", "form", "density")}
        if boulders
        else {"axes": USUAL_SIZE[0 if typed.system == "us" else 1]}
    )
    values = last | {"name": name, "pool": pool, "places": [typed.place(place)] if place else []}
    return Boulder.model_validate(values, by_name=True, context={"units": typed.system})


def boulder_half(boulders: Sequence[Boulder]) -> float:
    """Half the greatest length of the boulder that ``new_boulder`` gives [m]."""
    if not boulders:
        return 0.45
    last = boulders[-1]
    return float(max(last.axes) * (1 + last.axes_within)) / 2


def new_edgings(rows: Sequence[Edging], pools: Sequence[Pool], typed: Typed) -> Iterator[Edging]:
    """Rows of edging to offer, in turn: outside each pool that has none there, then a low one inside each pool that has
    none there and room for it.

    Args:
        rows: Inputs of the existing rows.
        pools: Inputs of the pools.
        typed: Writes a quantity as text.

    Raises: Refused if there is no pool, or every pool has both.
    """
    if not pools:
        raise Refused("A row of edging goes round a pool: draw a pool first.")
    rows_there = {(row.pool, row.seat) for row in rows}
    outside = [pool for pool in pools if (pool.name, "outside") not in rows_there]
    inside = [pool for pool in pools if (pool.name, "inside") not in rows_there and _room_inside(pool) > LEAST_ROOM]
    if not outside and not inside:
        raise Refused("Every pool has a row of edging outside and one inside: change one of them instead.")
    for pool in outside:
        base = max(float(pool.level) - BASE_DEPTH, float(pool.level - pool.tiers[0].depth) + 0.01)
        values: dict[str, Any] = {"pool": pool.name, "base_level": typed.small(base, 0.25, math.ceil)}
        yield Edging.model_validate(values, context={"units": typed.system})
    for pool in inside:
        depth = float(pool.tiers[0].depth)
        values = {
            "pool": pool.name,
            "seat": "inside",
            "base_level": typed.small(float(pool.level) - depth, 0.25, math.ceil),
            "across": typed.small(min(0.3, 0.9 * _room_inside(pool)), whole=math.floor),
            "along": typed.either("15 in", "40 cm"),
            "height": typed.small(max(min(depth * 0.8, 0.25), 0.05), whole=math.floor),
        }
        yield Edging.model_validate(values, context={"units": typed.system})


def _room_inside(pool: Pool) -> float:
    """Width of face and shelf of the first tier [m]; the floor of a single tier counts as a shelf 1 m wide."""
    first = pool.tiers[0]
    return float(first.batter * first.depth + (first.shelf if len(pool.tiers) > 1 else 1.0))
