"""One row of edging: its figures, faults and cautions."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, input_entry
from pondkit.core.result import Problem
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH
from pondkit.geometry.strip import Strip
from pondkit.trades.stone import cautions
from pondkit.trades.stone import edging as relations
from pondkit.trades.stone.inputs.stone import Edging
from pondkit.trades.stone.standing import SAME, Water, row_faults


@dataclass(frozen=True, eq=False)
class Row:
    """A row of edging. Outside an outline it has a seat; inside it displaces, and covers if it breaks the surface."""

    edging: Edging
    strip: Strip
    count: Entry
    mass: Entry
    seat_width: Entry | None
    seat_level: Entry | None
    displaced: Entry | None
    cover: Entry | None


def inward(edging: Edging) -> float:
    """Width of a row's strip [m], negative outside the outline."""
    return float(edging.across if edging.seat == "inside" else -edging.across)


def fits(edging: Edging, water: Water) -> bool:
    """True where the pool is wide enough for a row on both sides."""
    return edging.seat == "outside" or edging.across < water.shape.inradius


def row(edging: Edging, strip: Strip, water: Water, porosity: Range, rock: Range) -> Row:
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
    return Row(
        edging=edging,
        strip=strip,
        count=count,
        mass=mass,
        seat_width=None if inside else input_entry(pool, edging.across, LENGTH),
        seat_level=None if inside else input_entry(pool, edging.base_level, LENGTH),
        displaced=displaced,
        cover=cover,
    )


def inside_faults(rows: Sequence[Edging], index: int, water: Water) -> Iterator[Problem]:
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


def _standing_notes(edging: Edging, water: Water) -> Iterator[Caution]:
    if edging.base_level > water.floor + SAME:
        yield cautions.ROW_ABOVE_FLOOR(gap=(edging.base_level - water.floor, LENGTH))
    if edging.across > water.shelf_end + SAME:
        yield cautions.ROW_OVER_FACE(wide=(water.shelf_end, LENGTH))
