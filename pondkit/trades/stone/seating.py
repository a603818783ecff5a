"""How placed boulders lie on shelves and floors, where their bearing is not worked out: on a face, over a front, into a face."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.units import LENGTH
from pondkit.geometry.standing import Stand
from pondkit.trades.stone import bearings as rel
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone.inputs.stone import Boulder
from pondkit.trades.stone.kinds import in_order

SAME = 1e-9


@dataclass(frozen=True, eq=False)
class SeatingResult(Result):
    """How placed boulders lie; subjects are "boulder number"."""

    stand_spare: tuple[Entry, ...]


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
