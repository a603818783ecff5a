"""Boulders: the figures, problems and cautions of one kind (boulders of one size), how high stacked ones stand, and
which placed ones overlap.
"""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, with_cautions
from pondkit.core.result import Path, Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.tables import rows_by_name
from pondkit.core.units import COUNT, LENGTH, VOLUME
from pondkit.geometry.footprint import StonePlan, inside_of, overlaps
from pondkit.geometry.outline import Placed, Shape
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone import formulas as rel
from pondkit.trades.stone.inputs import Boulder, sorted_axes, table_range
from pondkit.trades.stone.results import BoulderKind

TOUCHING = 1e-6  # m: of two boulders no further into each other than this in height, one stands on the other
PAIRS_NAMED = 12  # a caution names as many overlapping pairs, and counts the others
PLAN_SHARE = {"ellipse": math.pi / 4, "rectangle": 1.0}  # plan area of a stone over longest times middle axis


@dataclass(frozen=True)
class StonePool:
    """What the stone in and round a pool depends on. Tiers below the first are left out, so that the stone is not
    computed again where only they change.

    Attributes:
        name: Name of the pool.
        level, rim_level: Site levels of the waterline and the rim [m].
        floor: Site level of the first tier's floor [m].
        shelf_end: Level distance from the waterline to the inner end of the first tier's shelf [m]; inf if it is the
            only tier.
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


def stone_pool(pool: Pool, shape: Shape, placed: Placed) -> StonePool:
    """The data of a pool that its stone depends on.

    Args:
        pool: Inputs of the pool.
        shape: Its outline, in its own axes.
        placed: Placement of those on the site.
    """
    first = pool.tiers[0]
    shelf_end = math.inf if len(pool.tiers) == 1 else first.batter * first.depth + first.shelf
    return StonePool(
        pool.name, float(pool.level), pool.level + pool.freeboard, pool.level - first.depth, shelf_end, shape, placed
    )


# --- one kind of boulder ---


@dataclass(frozen=True)
class _Form:
    """Form and size of one boulder.

    Attributes:
        longest, middle, shortest: Its axes, sorted [m].
        axes_factor: Factor on all three axes together, by the share that they may be off.
        shape_factor: Its volume over that of its box, or over the cube of its middle axis.
        by_box: True if the shape factor is of the box.
        plan_share: Its plan area over longest times middle axis.
        order_caution: The caution if the axes were not entered as longest, middle, shortest.
    """

    longest: float
    middle: float
    shortest: float
    axes_factor: Range
    shape_factor: Range
    by_box: bool
    plan_share: float
    order_caution: tuple[Caution, ...]

    @property
    def box(self) -> float:
        """Volume of the box round it [m³]."""
        return self.longest * self.middle * self.shortest

    @property
    def reference_volume(self) -> float:
        """The volume that the shape factor is a share of [m³]: its box, or the cube of its middle axis."""
        return self.box if self.by_box else self.middle**3


def kind_figures(
    boulder: Boulder, index: int, rock: Range, pool: StonePool | None, depths: tuple[float, ...], soil: str
) -> BoulderKind:
    """Figures of one kind of boulder.

    Args:
        boulder: Inputs of the kind.
        index: Its index among the boulders of the project file.
        rock: Density of the rock [kg/m³], for a kind without a density of its own.
        pool: The pool that it stands in; None if it names none, or if that has a problem.
        depths: Water depth above the base of the stone at each of its places [m]; empty if it has no places, or if its
            pool has a problem.
        soil: Soil of the site, a name in the table of soils.
    """
    name, form = boulder.name, _form(boulder)
    volume = _volume(name, form)
    count = input_entry(name, boulder.count, COUNT)
    density = rock if boulder.density is None else boulder.density
    source = "" if density is rock else "density: user input"
    mass = entry(rel.boulder_mass, name, source=source, boulder_volume=volume, density=density)
    displaced = cover = None
    if boulder.pool is not None:
        outside = _outside_cautions(boulder, pool)
        if depths:
            displaced = _placed_displaced(boulder, form, [*volume.cautions, *outside], depths)
        else:
            displaced = entry(
                rel.boulder_displaced,
                name,
                cautions=outside,
                source=USER,
                boulder_volume=volume,
                boulder_count=count,
                under_water=boulder.under_water,
            )
        cover = _cover(boulder, form, [*form.order_caution, *outside], depths, count)
    return BoulderKind(
        boulder=boulder,
        index=index,
        count=count,
        volume=volume,
        mass=with_cautions(
            mass,
            rules.STONE_LIFTING(),
            *([rules.STONE_AT_WATER()] if boulder.pool is not None else []),
            *_soil_cautions(soil),
        ),
        mass_of_all=entry(rel.boulder_mass_all, name, boulder_mass=mass, boulder_count=count),
        displaced=displaced,
        cover=cover,
    )


def _form(boulder: Boulder) -> _Form:
    row, within = rows_by_name("trades/stone/forms")[boulder.form], boulder.axes_within
    return _Form(
        *sorted_axes(boulder),
        axes_factor=Range(1 - within, 1, 1 + within, USER),
        shape_factor=table_range(row, "low_share", "typical_share", "high_share"),
        by_box=row["basis"] == "box",
        plan_share=PLAN_SHARE[row["plan"]],
        order_caution=_order_caution(boulder),
    )


def _volume(name: str, form: _Form) -> Entry:
    """Volume of one boulder: by the box round it, or by its middle axis."""
    if form.by_box:
        return entry(
            rel.box_volume,
            name,
            cautions=form.order_caution,
            source=USER,
            shape_factor=form.shape_factor,
            longest=form.longest,
            middle=form.middle,
            shortest=form.shortest,
            axes_factor=form.axes_factor,
        )
    typical_volume = form.shape_factor.typical * form.middle**3
    return entry(
        rel.riprap_volume,
        name,
        cautions=[*form.order_caution, *_over_box_cautions(typical_volume, form.box)],
        source=USER,
        shape_factor=form.shape_factor,
        middle=form.middle,
        axes_factor=form.axes_factor,
    )


def _placed_displaced(boulder: Boulder, form: _Form, cautions: list[Any], depths: tuple[float, ...]) -> Entry:
    """Water displaced by a kind of boulder with places, those by the depth where they stand [m]."""
    return entry(
        rel.placed_displaced,
        boulder.name,
        cautions=cautions,
        source=USER,
        shape_factor=form.shape_factor,
        reference_volume=form.reference_volume,
        shortest=form.shortest,
        axes_factor=form.axes_factor,
        depths=list(depths),
        unplaced=float(boulder.count - len(depths)),
        under_water=boulder.under_water,
        ellipsoid=boulder.form == "ellipsoid",
    )


def _cover(
    boulder: Boulder, form: _Form, cautions: list[Caution], depths: tuple[float, ...], count: Entry
) -> Entry | None:
    """Water surface covered by a kind of boulder; None if none of them breaks the surface."""
    unplaced_break_surface = 0 < boulder.under_water < 1
    plan: dict[str, Any] = {
        "plan_share": form.plan_share,
        "longest": form.longest,
        "middle": form.middle,
        "axes_factor": form.axes_factor,
    }
    if depths:
        cover = entry(
            rel.placed_cover,
            boulder.name,
            cautions=cautions,
            source=USER,
            shortest=form.shortest,
            depths=list(depths),
            unplaced_at_surface=float(boulder.count - len(depths)) if unplaced_break_surface else 0.0,
            **plan,
        )
        return cover if cover.most > 0 else None
    if not unplaced_break_surface or not boulder.count:
        return None
    return entry(rel.boulder_cover, boulder.name, cautions=cautions, source=USER, boulder_count=count, **plan)


def kind_faults(boulder: Boulder, index: int, pools: Sequence[str]) -> Iterator[Problem]:
    """Problems of a kind that names a pool that does not exist, or has more places than stones."""
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
    greatest = max(masses, key=lambda mass: mass.most)
    return entry(
        rel.heaviest_boulder,
        greatest.subject,
        cautions=greatest.cautions,
        source=greatest.source,
        high_masses=[mass.most for mass in masses],
    )


def _order_caution(boulder: Boulder) -> tuple[Caution, ...]:
    longest, middle, shortest = sorted_axes(boulder)
    if tuple(boulder.axes) == (longest, middle, shortest):
        return ()
    rule = rules.STONE_AXES_ORDER
    return (rule(longest=(longest, LENGTH), middle=(middle, LENGTH), shortest=(shortest, LENGTH)),)


def _over_box_cautions(volume: float, box: float) -> tuple[Caution, ...]:
    return rules.STONE_OVER_ITS_BOX.where(volume, volume, volume, most=box, volume=(volume, VOLUME), box=(box, VOLUME))


def _outside_cautions(boulder: Boulder, pool: StonePool | None) -> tuple[Caution, ...]:
    """The caution if places of a kind lie outside the waterline of its pool."""
    if pool is None or not boulder.places or boulder.under_water == 0:
        return ()
    inside = inside_of(pool.shape, pool.placed, np.array(boulder.places, dtype=float))
    if all(inside):
        return ()
    outside_count, place_count = (inside.count(False), COUNT), (len(inside), COUNT)
    return (rules.STONE_OUTSIDE_WATERLINE(out=outside_count, placed=place_count, pool=boulder.pool or ""),)


def _soil_cautions(soil: str) -> tuple[Caution, ...]:
    soft = rows_by_name("trades/ground/soils")[soil]["slope_type"] == "C"
    return (rules.STONE_ON_SOFT_GROUND(soil=soil),) if soft else ()


# --- placed boulders: stacks and overlaps ---


@dataclass(frozen=True)
class PlacedBoulder:
    """One boulder with a place.

    Attributes:
        kind: Its kind.
        number: Number of its place, from 1.
        plan: Its plan on the site.
        base, top: Site levels of its base and top [m]; minus and plus infinity if its pool is not known.
    """

    kind: BoulderKind
    number: int
    plan: StonePlan
    base: float
    top: float

    @property
    def subject(self) -> str:
        return f"{self.kind.boulder.name} {self.number}"

    @property
    def highest_top(self) -> float:
        """Level of its top if the stone is as much larger as its size may be off [m]."""
        return self.top + float(min(self.kind.boulder.axes)) * float(self.kind.boulder.axes_within)


def height_below(boulder: Boulder, boulders: Sequence[Boulder]) -> float:
    """Height of the stack of boulders that a boulder rests on [m]; 0 on the ground."""
    by_name = {other.name: other for other in boulders}
    height, lower = 0.0, by_name.get(boulder.rests_on or "")
    for _ in boulders:  # no stack has more stones than there are kinds; one that comes back to itself ends here too
        height += min(lower.axes) if lower else 0.0
        lower = by_name.get(lower.rests_on or "") if lower else None
    return height


def placed_boulders(
    kinds: Sequence[BoulderKind], depths: tuple[tuple[float, ...], ...], pools: dict[str, StonePool]
) -> list[PlacedBoulder]:
    """All boulders with a place, with their levels.

    Args:
        kinds: Kinds of boulder without problems.
        depths: Water depth above the ground at each place [m], by index of the kind in the project file; empty where
            no pool is known.
        pools: Pools without problems, by name.
    """
    boulders = [kind.boulder for kind in kinds]
    placed: list[PlacedBoulder] = []
    for kind in kinds:
        boulder, depths_of_kind = kind.boulder, depths[kind.index]
        for index, plan in enumerate(kind.plans):
            base, top = -math.inf, math.inf
            if depths_of_kind:
                base = pools[boulder.pool or ""].level - depths_of_kind[index] + height_below(boulder, boulders)
                top = base + min(boulder.axes)
            placed.append(PlacedBoulder(kind, index + 1, plan, base, top))
    return placed


def overlapping(placed: Sequence[PlacedBoulder], boulders: Sequence[Boulder]) -> Entry | None:
    """Number of pairs of placed boulders that overlap; None if fewer than two are placed.

    Args:
        placed: Boulders with a place.
        boulders: Inputs of all kinds, for which rests on which.
    """
    if len(placed) < 2:
        return None
    plans = tuple(boulder.plan for boulder in placed)
    however_turned: list[tuple[str, str]] = []
    as_drawn: list[tuple[str, str]] = []
    for i, j in overlaps(plans):
        first, second = placed[i], placed[j]
        clear_in_height = first.base > second.top - TOUCHING or second.base > first.top - TOUCHING
        if clear_in_height or _one_rests_on_other(first.kind.boulder, second.kind.boulder, boulders):
            continue
        distance = math.dist(plans[i][:2], plans[j][:2])
        # Nearer than half of both widths, at the least size, no way of turning the two keeps them apart.
        least_distance = sum(
            boulder.plan.width / 2 * (1 - boulder.kind.boulder.axes_within) for boulder in (first, second)
        )
        (however_turned if distance < least_distance else as_drawn).append((first.subject, second.subject))
    cautions: list[Caution] = []
    for rule, pairs in ((rules.STONES_OVERLAP, however_turned), (rules.STONES_MAY_OVERLAP, as_drawn)):
        if pairs:
            cautions.append(rule(pairs=_in_words(pairs)).of(itertools.chain(*pairs)))
    return entry(
        rel.boulders_overlapping,
        "",
        source=USER,
        cautions=cautions,
        however_turned=float(len(however_turned)),
        as_drawn=float(len(as_drawn)),
    )


def _one_rests_on_other(first: Boulder, second: Boulder, boulders: Sequence[Boulder]) -> bool:
    """True if one of two kinds rests on the other, directly or with others between."""
    by_name = {boulder.name: boulder for boulder in boulders}
    for upper, lower in ((first, second), (second, first)):
        below = upper.rests_on
        for _ in boulders:
            if below == lower.name:
                return True
            below = by_name[below].rests_on if below in by_name else None
    return False


def _in_words(pairs: Sequence[tuple[str, str]]) -> str:
    """The first pairs by name, and how many more there are."""
    named = "; ".join(" and ".join(pair) for pair in pairs[:PAIRS_NAMED])
    return named + (f"; and {len(pairs) - PAIRS_NAMED} more pairs" if len(pairs) > PAIRS_NAMED else "")
