"""Where a row of edging may stand, and the seat that one outside an outline cuts."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.outline import Placed, Shape
from pondkit.trades.pools.inputs.pool import Pool
from pondkit.trades.stone.inputs.stone import Edging

SAME = 1e-9  # m: levels nearer than this are one


@dataclass(frozen=True)
class Water:
    """What stone needs to know of a pool; lower tiers are left out, so that a change there leaves the stone as it was.

    Attributes:
        name: The pool.
        level, rim_level: Site levels of the waterline and the rim [m].
        floor: Site level of the first tier's floor [m].
        shelf_end: Distance inward at which the level part of the first tier ends [m]; inf where it is the last tier.
        shape: Its outline, in its own axes.
        placed: Where those lie on the site.
    """

    name: str
    level: float
    rim_level: float
    floor: float
    shelf_end: float
    shape: Shape
    placed: Placed


def water(pool: Pool, shape: Shape, placed: Placed) -> Water:
    """What stone needs to know of a pool as drawn."""
    first = pool.tiers[0]
    end = math.inf if len(pool.tiers) == 1 else first.batter * first.depth + first.shelf
    return Water(
        pool.name, float(pool.level), pool.level + pool.freeboard, pool.level - first.depth, end, shape, placed
    )


def seat(rows: Sequence[Edging], pool: Pool) -> tuple[float, float] | None:
    """Width and base level [m] of the row outside a pool's outline, which widens dig and liner; None without one.

    Raises: Trouble where its base is out of bounds or two rows stand there: the surfaces of the pool hang on it.
    """
    found = [index for index, row in enumerate(rows) if row.pool == pool.name and row.seat == "outside"]
    if not found:
        return None
    rim, floor = pool.level + pool.freeboard, pool.level - pool.tiers[0].depth
    problems = [fault for index in found for fault in row_faults(rows, index, rim, floor)]
    if problems:
        raise Trouble(*problems)
    return rows[found[0]].across, rows[found[0]].base_level


def row_faults(rows: Sequence[Edging], index: int, rim_level: float, floor: float) -> Iterator[Problem]:
    """A row where one stands already; a base above the rim, or below the floor of the first tier.

    Below that floor the seat would be a trench with the pool's own shelf standing before it as a ridge.
    """
    row = rows[index]
    first = next(i for i, other in enumerate(rows) if (other.pool, other.seat) == (row.pool, row.seat))
    if first < index:
        yield Problem(
            ("stone", "edging", index, "seat"),
            words(f"a second row stands {row.seat} the outline of '{row.pool}'"),
            words(f"one row outside and one inside; the first {row.seat} is row {first + 1}"),
            words("take it to the other side, give it another pool, or remove it"),
        )
    if not floor - SAME <= row.base_level <= rim_level + SAME:
        high = row.base_level > rim_level
        where = "above the rim" if high else "below the floor of the first tier"
        yield Problem(
            ("stone", "edging", index, "base_level"),
            words(f"its base, {{base}}, lies {where} of '{row.pool}'", base=(row.base_level, LENGTH)),
            words(
                "{floor}, the floor of the first tier, to {rim}, the rim",
                floor=(floor, LENGTH),
                rim=(rim_level, LENGTH),
            ),
            words("lower it, or raise the freeboard" if high else "raise it, or deepen the first tier"),
        )
