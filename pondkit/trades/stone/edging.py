"""Rows of edging: where one may stand, the seat that one outside an outline cuts, and its figures."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Range, entry, input_entry
from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.footprint import Strip
from pondkit.geometry.outline import Placed, Shape
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.stone import cautions
from pondkit.trades.stone import formulas as relations
from pondkit.trades.stone.inputs import Edging
from pondkit.trades.stone.results import EdgingRow

SAME = 1e-9  # m: levels nearer than this are one


@dataclass(frozen=True)
class EdgedPool:
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


def water(pool: Pool, shape: Shape, placed: Placed) -> EdgedPool:
    """What stone needs to know of a pool as drawn."""
    first = pool.tiers[0]
    end = math.inf if len(pool.tiers) == 1 else first.batter * first.depth + first.shelf
    return EdgedPool(
        pool.name, float(pool.level), pool.level + pool.freeboard, pool.level - first.depth, end, shape, placed
    )


def seat(rows: Sequence[Edging], pool: Pool) -> tuple[float, float] | None:
    """Width and base level [m] of the row outside a pool's outline, which widens dig and liner; None without one.

    Raises: Trouble where its base is out of bounds or two rows stand there: the surfaces of the pool depend on it.
    """
    outside = [index for index, row in enumerate(rows) if row.pool == pool.name and row.seat == "outside"]
    if not outside:
        return None
    rim, floor = pool.level + pool.freeboard, pool.level - pool.tiers[0].depth
    problems = [fault for index in outside for fault in row_faults(rows, index, rim, floor)]
    if problems:
        raise Trouble(*problems)
    return rows[outside[0]].across, rows[outside[0]].base_level


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


def inward(edging: Edging) -> float:
    """Width of a row's strip [m], negative outside the outline."""
    return float(edging.across if edging.seat == "inside" else -edging.across)


def fits(edging: Edging, water: EdgedPool) -> bool:
    """True where the pool is wide enough for a row on both sides."""
    return edging.seat == "outside" or edging.across < water.shape.inradius


def row(edging: Edging, strip: Strip, water: EdgedPool, porosity: Range, rock: Range) -> EdgingRow:
    """Figures of one row.

    Args:
        edging: As drawn.
        strip: What it stands on.
        water: Its pool.
        porosity: Voids over bulk volume of the laid row.
        rock: Density of the rock [kg/m³].
    """
    inside = edging.seat == "inside"
    subject, pool = f"{edging.pool} / {edging.seat}", edging.pool
    count = entry(
        relations.edging_count,
        subject,
        cautions=_narrow_note(strip) if inside else (),
        source=USER,
        middle_line=strip.middle,
        along=edging.along,
    )
    mass = entry(
        relations.edging_mass,
        subject,
        source=USER,
        edging_count=count,
        along=edging.along,
        across=edging.across,
        height=edging.height,
        porosity=porosity,
        density=rock,
    )
    displaced = cover = None
    if inside:
        displaced = entry(
            relations.edging_displaced,
            pool,
            cautions=_standing_notes(edging, water),
            source=USER,
            strip_area=strip.area,
            base_level=edging.base_level,
            height=edging.height,
            water_level=water.level,
            porosity=porosity,
        )
        if edging.base_level + edging.height > water.level + SAME:
            cover = entry(relations.edging_cover, pool, source=USER, strip_area=strip.area)
    return EdgingRow(
        edging=edging,
        strip=strip,
        count=count,
        mass=mass,
        seat_width=None if inside else input_entry(pool, edging.across, LENGTH),
        seat_level=None if inside else input_entry(pool, edging.base_level, LENGTH),
        displaced=displaced,
        cover=cover,
    )


def inside_faults(rows: Sequence[Edging], index: int, water: EdgedPool) -> Iterator[Problem]:
    """Faults of a row inside an outline; those of one outside are found by ``seat``, before its pool is worked out."""
    edging = rows[index]
    yield from row_faults(rows, index, water.rim_level, water.floor)
    if not fits(edging, water):
        yield Problem(
            ("stone", "edging", index, "across"),
            words("it is {across} wide", across=(edging.across, LENGTH)),
            words(
                f"less than {{most}}, from the waterline of '{edging.pool}' to its middle",
                most=(water.shape.inradius, LENGTH),
            ),
            words("take narrower stones, widen the pool, or set the row outside"),
        )


def _narrow_note(strip: Strip) -> tuple[Caution, ...]:
    return (cautions.ROW_FILLS_NECK(),) if strip.parts > 1 else ()


def _standing_notes(edging: Edging, water: EdgedPool) -> Iterator[Caution]:
    if edging.base_level > water.floor + SAME:
        yield cautions.ROW_ABOVE_FLOOR(gap=(edging.base_level - water.floor, LENGTH))
    if edging.across > water.shelf_end + SAME:
        yield cautions.ROW_OVER_FACE(wide=(water.shelf_end, LENGTH))
