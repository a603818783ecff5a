"""One kind of boulder: its figures, faults and cautions."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, with_cautions
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import Words, words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.footprint import inside_of
from pondkit.trades.stone import cautions
from pondkit.trades.stone import formulas as relations
from pondkit.trades.stone.edging import EdgedPool
from pondkit.trades.stone.inputs import Boulder, in_order, table_range
from pondkit.trades.stone.results import BoulderKind

PLANS = {"ellipse": math.pi / 4, "rectangle": 1.0}  # share of longest by middle axis


@dataclass(frozen=True)
class _Form:
    """Form and size of a kind of boulder.

    Attributes:
        longest, middle, shortest: Axes in order [m].
        factor: What each of them may be longer or shorter by.
        share: Volume over that of the box round it, or over the middle axis cubed.
        by_box: True where the share is of the box.
        plan_share: Area on the plan over longest by middle axis.
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
        """Volume of which the stone is a share [m³]: the box round it, or its middle axis cubed."""
        return self.box if self.by_box else self.middle**3


def kind(
    boulder: Boulder, index: int, rock: Range, water: EdgedPool | None, depths: tuple[float, ...], soil: str
) -> BoulderKind:
    """Figures of one kind of boulder.

    Args:
        boulder: As drawn.
        index: Its place in the document.
        rock: Density of the rock, where the boulder has none of its own [kg/m³].
        water: Its pool; None where it names none, or the pool is in trouble.
        depths: Of the water over what it stands on, at each of its places [m]; none where its pool is not known.
        soil: Name in the table of soils.
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
    """Water that a kind displaces, of those with a place by the depth there [m]."""
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
    """Water surface that a kind takes; None where none of it breaks the surface."""
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
    """A pool that is not there; more places than stones."""
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
    """The high mass of the heaviest boulder, with the cautions of lifting it; None without boulders."""
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
    out, placed = (inside.count(False), COUNT), (len(inside), COUNT)
    return (cautions.STONE_OUTSIDE_WATERLINE(out=out, placed=placed, pool=boulder.pool or ""),)


def _soil_note(soil: str) -> tuple[Caution, ...]:
    soft = rows_by_name("trades/ground/soils")[soil]["slope_type"] == "C"
    return (cautions.STONE_ON_SOFT_GROUND(soil=soil),) if soft else ()
