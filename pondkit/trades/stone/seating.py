"""How placed boulders lie on shelves and floors, where their bearing is not worked out: on a face, over a front, into a face."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pondkit.core.entry import USER, Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.standing import Stand
from pondkit.trades.stone import bearings as rel
from pondkit.trades.stone.inputs.stone import Boulder
from pondkit.trades.stone.kinds import in_order

SAME = 1e-9
ON_FACE = (
    "It lies on a face of '{pool}', where a stone slides or rolls: set it on a level part, or widen the shelf under it."
)
NARROW = "The shelf of '{pool}' is narrower than the stone: widen it, take a narrower stone, or set it elsewhere."
FLOOR = "The floor of '{pool}' is narrower than the stone: widen it, take a narrower stone, or set it elsewhere."
OVER = "It overhangs the front of its shelf in '{pool}' by {{short}}: move it back by as much at least, or the front breaks out and the stone tips."
BEHIND = "It reaches {{short}} into the face behind, in '{pool}': move it forward, or cut a seat into the face, which no figure counts."


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


def _notes(pool: str, stand: Stand, middle: float) -> Iterator[Words]:
    if not stand.flat:
        yield Words(ON_FACE.format(pool=pool))
    elif stand.width < middle - SAME:
        yield Words((FLOOR if math.isinf(stand.front) else NARROW).format(pool=pool))
    else:
        for said, short in ((OVER, middle / 2 - stand.front), (BEHIND, middle / 2 - stand.back)):
            if short > SAME:
                yield words(said.format(pool=pool), short=(short, LENGTH))
