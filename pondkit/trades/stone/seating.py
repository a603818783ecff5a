"""How placed boulders lie on shelves and floors, where their bearing is not worked out:
on a face, over a front, into a face.
"""

import math
from collections.abc import Iterator

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.units import LENGTH
from pondkit.geometry.site_surface import Stand, stands
from pondkit.geometry.terrain import Terrain
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone.formulas import bearing as rel
from pondkit.trades.stone.inputs.stone import Boulder, in_order
from pondkit.trades.stone.results import BearingResult, SeatingResult, StoneResult

SAME = 1e-9


make_seating_result = remembered(SeatingResult)


@remembered
def seating(boulder: Boulder, stands: tuple[tuple[str, Stand], ...]) -> tuple[Entry, ...]:
    """How each placed boulder of a kind lies; nothing of those outside all rims.

    Args:
        boulder: As drawn.
        stands: (pool, the ground of its dig) at each place, in their order.
    """
    middle = in_order(boulder)[1]
    return tuple(
        entry(
            rel.stand_spare,
            f"{boulder.name} {at + 1}",
            source=USER,
            cautions=_notes(pool, stand, middle),
            width=stand.width,
            middle=middle,
        )
        for at, (pool, stand) in enumerate(stands)
        if math.isfinite(stand.width)
    )


def _notes(pool: str, stand: Stand, middle: float) -> Iterator[Caution]:
    spare = stand.width - middle + SAME
    if not stand.flat:
        yield rules.STONE_ON_FACE(pool=pool)
    elif narrow := rules.SHELF_TOO_NARROW.where(
        spare, spare, spare, pool=pool, part="floor" if math.isinf(stand.front) else "shelf"
    ):
        yield from narrow
    else:
        over, behind = middle / 2 - stand.front, middle / 2 - stand.back
        if over > SAME:
            yield rules.STONE_OVER_FRONT(pool=pool, short=(over, LENGTH))
        if behind > SAME:
            yield rules.STONE_IN_FACE(pool=pool, short=(behind, LENGTH))


def compute(
    stones: StoneResult | None,
    pools: tuple[PoolResult, ...],
    ground: Terrain | None,
    borne: BearingResult | None,
) -> SeatingResult | None:
    """How placed stones lie that no bearing is worked out for, which refuses such
    places itself; None where there are none.
    """
    if stones is None or ground is None:
        return None
    digs = {pool.name: pool.surfaces.dig for pool in pools}
    able = borne is not None and borne.bearing_allowed is not None
    found: list[Entry] = []
    for kind in stones.kinds:
        drawn = kind.boulder
        if drawn.rests_on is not None or not drawn.places or (able and drawn.pool in digs):
            continue
        own = {drawn.pool: digs[drawn.pool]} if drawn.pool in digs else digs
        met = [(name, stands(dig, ground, drawn.places)) for name, dig in own.items()]
        lowest = tuple(
            min(((name, at[place]) for name, at in met), key=lambda one: one[1].level)
            for place in range(len(drawn.places) if met else 0)
        )
        found += seating(drawn, lowest)
    return make_seating_result(tuple(found)) if found else None
