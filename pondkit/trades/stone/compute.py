"""The stone of an option: mass, displacement and cover of boulders and edging, and overlapping boulders."""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, total, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, no_such
from pondkit.core.sentence import words
from pondkit.core.units import AREA, MASS, VOLUME
from pondkit.geometry.footprint import StonePlan, Strip, overlaps, strip
from pondkit.geometry.site_surface import depths_at
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import cautions
from pondkit.trades.stone import formulas as relations
from pondkit.trades.stone.boulders import (
    EdgedPool,
    fits,
    heaviest,
    inside_faults,
    inward,
    kind,
    kind_faults,
    row,
    water,
)
from pondkit.trades.stone.inputs import Boulder, Stone, rock_density
from pondkit.trades.stone.results import BoulderKind, EdgingRow, StoneResult

SAME = 1e-6  # m: heights nearer than this touch
MOST_VOIDS = 0.95  # porosity above that of any laid stone
LISTED = 12  # pairs named by a caution


def compute(
    stone: Stone | None, outlines: tuple[Pool, ...], pools: tuple[PoolResult, ...], soil: str
) -> StoneResult | None:
    """Boulders and edging of an option; None if it has none.

    Args:
        stone: Inputs of the stone.
        outlines: Inputs of all pools of the option.
        pools: Those without problems.
        soil: Soil of the site, a name in the table of soils.
    """
    if stone is None:
        return None
    finished = {pool.name: pool.surfaces.finished for pool in pools}
    waters = tuple(
        water(outlines[pool.index], surface.surface.pool.shape, surface.placed)
        for pool in pools
        for surface in [finished[pool.name]]
    )
    by_name = {pool_water.name: pool_water for pool_water in waters}
    holding = [(row, by_name.get(row.pool)) for row in stone.edging]
    strips = tuple(
        strip(beside.shape, beside.placed, inward(row)) if beside and fits(row, beside) else None
        for row, beside in holding
    )
    depths = tuple(
        depths_at(finished[boulder.pool], boulder.places) if boulder.pool in finished and boulder.places else ()
        for boulder in stone.boulders
    )
    bare = stone.changed(slings=(), rigging=None, bearing=None)  # slings and machine change no stone
    return stonework(bare, waters, strips, depths, tuple(pool.name for pool in outlines), soil)


@remembered
def stonework(
    stone: Stone,
    waters: tuple[EdgedPool, ...],
    strips: tuple[Strip | None, ...],
    depths: tuple[tuple[float, ...], ...],
    pools: tuple[str, ...],
    soil: str,
) -> StoneResult:
    """All figures of the stone of an option.

    Args:
        stone: Inputs of the stone.
        waters: Pools without problems.
        strips: Strip of each row of edging, in the document's order; None if its pool is too small for it.
        depths: Water depth above the ground at each place of each kind of boulder [m], in the document's order; empty
            if it names no pool without problems.
        pools: Names of all pools of the option.
        soil: Soil of the site, a name in the table of soils.
    """
    at_hand = {pool_water.name: pool_water for pool_water in waters}
    kinds, faulty_kinds = _kinds(stone, at_hand, depths, pools, soil)
    rows, faulty_rows = _rows(stone, at_hand, strips, pools)
    stands = [(k.boulder.pool, k.displaced, k.cover) for k in kinds] + [
        (r.edging.pool, r.displaced, r.cover) for r in rows
    ]
    displaced = {name: _there(figure for pool, figure, _ in stands if pool == name) for name in at_hand}
    cover = {name: _there(figure for pool, _, figure in stands if pool == name) for name in at_hand}
    crowded = _Faults()
    for name, problem in _crowded(kinds, cover, waters):
        crowded.add([problem], name)
    faults = (faulty_kinds, faulty_rows, crowded)
    placed = _placed(kinds, depths, at_hand)
    return _result(kinds, rows, (displaced, cover), placed, _overlapping(placed, stone.boulders), faults)


@dataclass
class _Faults:
    """Problems, and the names of pools with uncertain stone."""

    problems: list[Problem] = field(default_factory=list)
    doubt: list[str] = field(default_factory=list)

    def add(self, problems: Iterable[Problem], pool: str = "") -> None:
        self.problems += problems
        self.doubt += [pool] if pool else []


def _kinds(
    stone: Stone,
    at_hand: dict[str, EdgedPool],
    depths: tuple[tuple[float, ...], ...],
    pools: tuple[str, ...],
    soil: str,
) -> tuple[list[BoulderKind], _Faults]:
    """(figures of every sound kind of boulder, problems of the others)."""
    rock, faulty = rock_density(stone), _Faults()
    kinds: list[BoulderKind] = []
    for index, boulder in enumerate(stone.boulders):
        if faults := list(kind_faults(boulder, index, pools)):
            faulty.add(faults, boulder.pool or "")
            continue
        over = tuple(depth - _stack(boulder, stone.boulders) for depth in depths[index])
        kinds.append(kind(boulder, index, rock, at_hand.get(boulder.pool or ""), over, soil))
    return kinds, faulty


def _rows(
    stone: Stone, at_hand: dict[str, EdgedPool], strips: tuple[Strip | None, ...], pools: tuple[str, ...]
) -> tuple[list[EdgingRow], _Faults]:
    """(figures of every sound row of edging, problems of the others)."""
    porosity, rock, faulty = voids(stone), rock_density(stone), _Faults()
    rows: list[EdgingRow] = []
    for index, (edging, under) in enumerate(zip(stone.edging, strips, strict=True)):
        beside = at_hand.get(edging.pool)
        if edging.pool not in pools:
            faulty.add([no_such(("stone", "edging", index, "pool"), "pool", edging.pool, pools)])
        elif beside is None:
            faulty.add([], edging.pool)  # the pool itself has a problem, which is reported
        elif edging.seat == "inside" and (faults := list(inside_faults(stone.edging, index, beside))):
            faulty.add(faults, edging.pool)
        elif under is not None:
            rows.append(row(edging, under, beside, porosity, rock))
    return rows, faulty


def _result(
    kinds: list[BoulderKind],
    rows: list[EdgingRow],
    in_pools: tuple[dict[str, tuple[Entry, ...]], dict[str, tuple[Entry, ...]]],
    placed: Sequence["_Placed"],
    overlapping: Entry | None,
    faults: Sequence[_Faults],
) -> StoneResult:
    """The result from the figures of kinds and rows; there is no order while any stone is uncertain.

    Args:
        in_pools: Displacement and cover of stone, by pool.
        placed: Boulders with a place, for their heights.
    """
    displaced, cover = in_pools
    is_sound = not any(faults_of.problems or faults_of.doubt for faults_of in faults)
    boulders = total("", [kind.of_all for kind in kinds], MASS) if is_sound and kinds else None
    edgings = total("", [row.mass for row in rows], MASS) if is_sound and rows else None
    orders = [order for order in (boulders, edgings) if order]
    return StoneResult(
        boulder_count=tuple(kind.count for kind in kinds),
        boulder_volume=tuple(kind.volume for kind in kinds),
        boulder_mass=tuple(kind.mass for kind in kinds),
        boulder_mass_all=tuple(kind.of_all for kind in kinds),
        heaviest_boulder=heaviest(kinds),
        boulder_displaced=_there(kind.displaced for kind in kinds),
        boulder_cover=_there(kind.cover for kind in kinds),
        boulders_overlapping=overlapping,
        edging_count=tuple(row.count for row in rows),
        edging_mass=tuple(row.mass for row in rows),
        edging_seat_width=_there(row.seat_width for row in rows),
        edging_seat_level=_there(row.seat_level for row in rows),
        edging_displaced=_there(row.displaced for row in rows),
        edging_cover=_there(row.cover for row in rows),
        stone_displaced=tuple(total(name, parts, VOLUME) for name, parts in displaced.items() if parts),
        stone_cover=tuple(total(name, parts, AREA) for name, parts in cover.items() if parts),
        stone_mass=total("", [*(kind.of_all for kind in kinds), *(row.mass for row in rows)], MASS) if orders else None,
        boulders_order=boulders,
        edging_order=edgings,
        stone_order=total("", orders, MASS) if orders else None,
        kinds=tuple(kinds),
        rows=tuple(rows),
        in_doubt=tuple(dict.fromkeys(name for faults_of in faults for name in faults_of.doubt)),
        boulder_rings=tuple((kind.boulder.name, kind.rings) for kind in kinds if kind.boulder.places),
        boulder_plans=tuple((faults_of.called, faults_of.plan) for faults_of in placed),
        boulder_tops=tuple(faults_of.highest for faults_of in placed),
        edging_rings=tuple((row.count.subject, row.strip.rings) for row in rows),
        problems=tuple(problem for faults_of in faults for problem in faults_of.problems),
    )


def voids(stone: Stone) -> Range:
    """Porosity of laid stone (voids over bulk volume), with its range."""
    share = float(stone.porosity)
    return within(share, stone.porosity_within, MOST_VOIDS)


def _stack(boulder: Boulder, every: Sequence[Boulder]) -> float:
    """Height of the stack under a boulder [m]; circular stacks are limited to the number of kinds."""
    by_name = {boulder_kind.name: boulder_kind for boulder_kind in every}
    height, on = 0.0, by_name.get(boulder.rests_on or "")
    for _ in every:
        height, on = height + (min(on.axes) if on else 0.0), by_name.get(on.rests_on or "") if on else None
    return height


@dataclass(frozen=True)
class _Placed:
    """One placed boulder: its kind, the number of its place, its plan, its base and top level [m];
    infinite if unknown.
    """

    kind: BoulderKind
    number: int
    plan: StonePlan
    base: float
    top: float

    @property
    def called(self) -> str:
        return f"{self.kind.boulder.name} {self.number}"

    @property
    def highest(self) -> float:
        """Highest level of its top [m]."""
        return self.top + float(min(self.kind.boulder.axes)) * float(self.kind.boulder.axes_within)


def _placed(
    kinds: Sequence[BoulderKind], depths: tuple[tuple[float, ...], ...], waters: dict[str, EdgedPool]
) -> list[_Placed]:
    """All boulders with a place, with their levels."""
    every = [kind.boulder for kind in kinds]
    placed: list[_Placed] = []
    for boulder_kind in kinds:
        boulder, depths_known = boulder_kind.boulder, depths[boulder_kind.index]
        for index, plan in enumerate(boulder_kind.plans):
            base, top = -math.inf, math.inf
            if depths_known:
                base = waters[boulder.pool or ""].level - depths_known[index] + _stack(boulder, every)
                top = base + min(boulder.axes)
            placed.append(_Placed(boulder_kind, index + 1, plan, base, top))
    return placed


def _overlapping(placed: Sequence[_Placed], every: Sequence[Boulder]) -> Entry | None:
    """Pairs of placed boulders that overlap; None if fewer than two are placed."""
    plans = [placed_boulder.plan for placed_boulder in placed]
    if len(placed) < 2:
        return None
    certain: list[tuple[str, str]] = []
    as_drawn: list[tuple[str, str]] = []
    for i, j in overlaps(tuple(plans)):
        first, second = placed[i], placed[j]
        if first.base > second.top - SAME or second.base > first.top - SAME or _rests(first, second, every):
            continue
        apart = math.dist(plans[i][:2], plans[j][:2])
        least = sum(
            plan.width / 2 * (1 - placed_boulder.kind.boulder.axes_within)
            for plan, placed_boulder in ((plans[i], first), (plans[j], second))
        )
        (certain if apart < least else as_drawn).append((first.called, second.called))
    notes: list[Caution] = []
    for rule, pairs in ((cautions.STONES_OVERLAP, certain), (cautions.STONES_MAY_OVERLAP, as_drawn)):
        listed = _listed([" and ".join(pair) for pair in pairs])
        notes += [rule(pairs=listed).of(itertools.chain(*pairs))] if pairs else []
    return entry(
        relations.boulders_overlapping,
        "",
        source=USER,
        cautions=notes,
        certain=float(len(certain)),
        as_drawn=float(len(as_drawn)),
    )


def _rests(upper_stone: _Placed, lower_stone: _Placed, every: Sequence[Boulder]) -> bool:
    """True if one of two kinds rests on the other, directly or through a stack."""
    by_name = {boulder.name: boulder for boulder in every}
    for upper, lower in ((upper_stone, lower_stone), (lower_stone, upper_stone)):
        on = upper.kind.boulder.rests_on
        for _ in every:
            if on == lower.kind.boulder.name:
                return True
            on = by_name[on].rests_on if on in by_name else None
    return False


def _listed(pairs: Sequence[str]) -> str:
    """Pairs as a list in words, limited to the first of many."""
    more = f"; and {len(pairs) - LISTED} more pairs" if len(pairs) > LISTED else ""
    return "; ".join(pairs[:LISTED]) + more


def _there(entries: Iterable[Entry | None]) -> tuple[Entry, ...]:
    return tuple(figure for figure in entries if figure is not None)


def _crowded(
    kinds: Sequence[BoulderKind], cover: dict[str, tuple[Entry, ...]], waters: Sequence[EdgedPool]
) -> Iterator[tuple[str, Problem]]:
    """(pool, problem) of pools whose stone covers more than their surface."""
    for pool in waters:
        cover_area, surface = sum(part.value for part in cover[pool.name]), float(pool.shape.polygon.area)
        indexes = [kind.index for kind in kinds if kind.boulder.pool == pool.name and kind.cover]
        if indexes and cover_area >= surface:
            problem = Problem(
                ("stone", "boulders", indexes[-1], "count"),
                words(f"all stone in '{pool.name}' takes {{taken}} of its surface", taken=(cover_area, AREA)),
                words("less than its water surface, {surface}", surface=(surface, AREA)),
                words("set fewer or smaller boulders, put them wholly under water, or name another pool"),
            )
            yield pool.name, problem
