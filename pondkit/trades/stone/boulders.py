"""One kind of boulder: its figures, faults and cautions; and rows of edging: where one may stand, the seat that one
outside an outline cuts, and its figures.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, with_cautions
from pondkit.core.result import Path, Problem, Trouble, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.footprint import Strip, inside_of
from pondkit.geometry.outline import Placed, Shape
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.stone import cautions
from pondkit.trades.stone import formulas as relations
from pondkit.trades.stone.inputs import Boulder, Edging, in_order, table_range
from pondkit.trades.stone.results import BoulderKind, EdgingRow

SAME = 1e-9  # m: levels nearer than this are one


@dataclass(frozen=True)
class EdgedPool:
    """Data of a pool for stone; lower tiers are left out, so that a change there leaves the stone unchanged.

    Attributes:
        name: Name of the pool.
        level, rim_level: Site levels of the waterline and the rim [m].
        floor: Site level of the first tier's floor [m].
        shelf_end: Distance inward at which the shelf of the first tier ends [m]; inf if it is the last tier.
        shape: Its outline, in its own axes.
        placed: Placement of those on the site.
    """

    name: str
    level: float
    rim_level: float
    floor: float
    shelf_end: float
    shape: Shape
    placed: Placed


def water(pool: Pool, shape: Shape, placed: Placed) -> EdgedPool:
    """Data of a pool for stone, from its inputs."""
    first = pool.tiers[0]
    end = math.inf if len(pool.tiers) == 1 else first.batter * first.depth + first.shelf
    return EdgedPool(
        pool.name, float(pool.level), pool.level + pool.freeboard, pool.level - first.depth, end, shape, placed
    )


def seat(rows: Sequence[Edging], pool: Pool) -> tuple[float, float] | None:
    """(width, base level) [m] of the row outside a pool's outline, which widens dig and liner; None without one.

    Raises: Trouble if its base is out of bounds or two rows stand there, as the surfaces of the pool depend on it.
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
    """Problems of a second row at one place, and of a base above the rim or below the floor of the first tier.

    Below that floor the seat would be a trench, with the pool's shelf left as a ridge in front of it.
    """
    row = rows[index]
    first = next(i for i, other_row in enumerate(rows) if (other_row.pool, other_row.seat) == (row.pool, row.seat))
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
    """True if the pool is wide enough for a row on both sides."""
    return edging.seat == "outside" or edging.across < water.shape.inradius


def row(edging: Edging, strip: Strip, water: EdgedPool, porosity: Range, rock: Range) -> EdgingRow:
    """Figures of one row.

    Args:
        edging: Inputs of the row.
        strip: The strip it stands on.
        water: Its pool.
        porosity: Porosity of the laid row (voids over bulk volume).
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
    """Problems of a row inside an outline; those of one outside are found by ``seat``, before its pool is computed."""
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


PLANS = {"ellipse": math.pi / 4, "rectangle": 1.0}  # share of longest by middle axis


@dataclass(frozen=True)
class _Form:
    """Form and size of a kind of boulder.

    Attributes:
        longest, middle, shortest: Axes in order [m].
        factor: Tolerance factor of each axis.
        share: Volume over that of its bounding box, or over the middle axis cubed.
        by_box: True if the share is of the box.
        plan_share: Plan area over longest by middle axis.
        order: The caution where the axes were not entered in order.
    """

    longest: float
    middle: float
    shortest: float
    factor: Range
    share: Range
    by_box: bool
    plan_share: float
    order: tuple[Caution, ...]

    @property
    def box(self) -> float:
        """Volume of the box round it [m³]."""
        return self.longest * self.middle * self.shortest

    @property
    def whole(self) -> float:
        """Reference volume for the stone's share [m³]: its bounding box, or its middle axis cubed."""
        return self.box if self.by_box else self.middle**3


def kind(
    boulder: Boulder, index: int, rock: Range, water: EdgedPool | None, depths: tuple[float, ...], soil: str
) -> BoulderKind:
    """Figures of one kind of boulder.

    Args:
        boulder: Inputs of the boulder.
        index: Its index in the document.
        rock: Default density of the rock [kg/m³].
        water: Its pool; None if it names none, or the pool has a problem.
        depths: Water depth above its base at each of its places [m]; empty if its pool is unknown.
        soil: Soil of the site, a name in the table of soils.
    """
    name, form = boulder.name, _form(boulder)
    volume = _volume(name, form)
    count = input_entry(name, boulder.count, COUNT)
    density = rock if boulder.density is None else boulder.density
    source = "" if density is rock else "density: user input"
    mass = entry(relations.boulder_mass, name, source=source, boulder_volume=volume, density=density)
    displaced = cover = None
    if boulder.pool is not None:
        outside = _outside_note(boulder, water)
        if depths:
            displaced = _placed_displaced(boulder, form, [*volume.cautions, *outside], depths)
        else:
            displaced = entry(
                relations.boulder_displaced,
                name,
                cautions=outside,
                source=USER,
                boulder_volume=volume,
                boulder_count=count,
                under_water=boulder.under_water,
            )
        cover = _cover(boulder, form, [*form.order, *outside], depths, count)
    return BoulderKind(
        boulder=boulder,
        index=index,
        count=count,
        volume=volume,
        mass=with_cautions(
            mass,
            cautions.STONE_LIFTING(),
            *([cautions.STONE_AT_WATER()] if boulder.pool is not None else []),
            *_soil_note(soil),
        ),
        of_all=entry(relations.boulder_mass_all, name, boulder_mass=mass, boulder_count=count),
        displaced=displaced,
        cover=cover,
    )


def _form(boulder: Boulder) -> _Form:
    row, within = rows_by_name("trades/stone/forms")[boulder.form], boulder.axes_within
    return _Form(
        *in_order(boulder),
        factor=Range(1 - within, 1, 1 + within, USER),
        share=table_range(row, "low_share", "typical_share", "high_share"),
        by_box=row["basis"] == "box",
        plan_share=PLANS[row["plan"]],
        order=_order_note(boulder),
    )


def _volume(name: str, form: _Form) -> Entry:
    """Volume of one boulder: by the box round it, or by its middle axis."""
    if form.by_box:
        return entry(
            relations.box_volume,
            name,
            cautions=form.order,
            source=USER,
            share=form.share,
            longest=form.longest,
            middle=form.middle,
            shortest=form.shortest,
            axes_factor=form.factor,
        )
    return entry(
        relations.riprap_volume,
        name,
        cautions=[*form.order, *_box_note(form.share.typical * form.middle**3, form.box)],
        source=USER,
        share=form.share,
        middle=form.middle,
        axes_factor=form.factor,
    )


def _placed_displaced(boulder: Boulder, form: _Form, notes: list[Words], depths: tuple[float, ...]) -> Entry:
    """Water displaced by a kind of boulder; for placed ones from the depth at their place [m]."""
    return entry(
        relations.placed_displaced,
        boulder.name,
        cautions=notes,
        source=USER,
        share=form.share,
        whole=form.whole,
        shortest=form.shortest,
        axes_factor=form.factor,
        depths=list(depths),
        unplaced=float(boulder.count - len(depths)),
        under_water=boulder.under_water,
        round_form=boulder.form == "ellipsoid",
    )


def _cover(
    boulder: Boulder, form: _Form, notes: list[Caution], depths: tuple[float, ...], count: Entry
) -> Entry | None:
    """Water surface covered by a kind of boulder; None if none of them breaks the surface."""
    breaks = 0 < boulder.under_water < 1
    plan: dict[str, Any] = {
        "plan_share": form.plan_share,
        "longest": form.longest,
        "middle": form.middle,
        "axes_factor": form.factor,
    }
    if depths:
        cover = entry(
            relations.placed_cover,
            boulder.name,
            cautions=notes,
            source=USER,
            shortest=form.shortest,
            depths=list(depths),
            unplaced=float(boulder.count - len(depths)) if breaks else 0.0,
            **plan,
        )
        return cover if cover.most > 0 else None
    if not breaks or not boulder.count:
        return None
    return entry(relations.boulder_cover, boulder.name, cautions=notes, source=USER, boulder_count=count, **plan)


def kind_faults(boulder: Boulder, index: int, pools: Sequence[str]) -> Iterator[Problem]:
    """Problems of a pool that does not exist, and of more places than stones."""
    path: Path = ("stone", "boulders", index)
    if boulder.pool is not None and boulder.pool not in pools:
        yield no_such((*path, "pool"), "pool", boulder.pool, pools)
    if len(boulder.places) > boulder.count:
        yield Problem(
            (*path, "places"),
            words("{places} places are given", places=(len(boulder.places), COUNT)),
            words("at most {count}, as many as there are", count=(boulder.count, COUNT)),
            words("raise the count, or remove places"),
        )


def heaviest(kinds: Sequence[BoulderKind]) -> Entry | None:
    """High mass of the heaviest boulder, with the cautions for lifting it; None without boulders."""
    if not kinds:
        return None
    masses = [kind.mass for kind in kinds]
    most = max(masses, key=lambda mass: mass.most)
    highs = [mass.most for mass in masses]
    return entry(
        relations.heaviest_boulder, most.subject, cautions=most.cautions, source=most.source, high_masses=highs
    )


def _order_note(boulder: Boulder) -> tuple[Caution, ...]:
    longest, middle, shortest = in_order(boulder)
    if tuple(boulder.axes) == (longest, middle, shortest):
        return ()
    rule = cautions.STONE_AXES_ORDER
    return (rule(longest=(longest, LENGTH), middle=(middle, LENGTH), shortest=(shortest, LENGTH)),)


def _box_note(volume: float, box: float) -> tuple[Caution, ...]:
    rule = cautions.STONE_OVER_ITS_BOX
    return rule.where(volume, volume, volume, most=box, volume=(volume, VOLUME), box=(box, VOLUME))


def _outside_note(boulder: Boulder, water: EdgedPool | None) -> tuple[Caution, ...]:
    if water is None or not boulder.places or boulder.under_water == 0:
        return ()
    inside = inside_of(water.shape, water.placed, np.array(boulder.places, dtype=float))
    if all(inside):
        return ()
    outside_count, placed = (inside.count(False), COUNT), (len(inside), COUNT)
    return (cautions.STONE_OUTSIDE_WATERLINE(out=outside_count, placed=placed, pool=boulder.pool or ""),)


def _soil_note(soil: str) -> tuple[Caution, ...]:
    soft = rows_by_name("trades/ground/soils")[soil]["slope_type"] == "C"
    return (cautions.STONE_ON_SOFT_GROUND(soil=soil),) if soft else ()
