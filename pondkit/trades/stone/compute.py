"""The stone of an option: rows of edging, and boulders and edging together in each pool and to order."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from pondkit.core.caution import Caution
from pondkit.core.entry import USER, Entry, Range, entry, input_entry, total, within
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Trouble, no_such
from pondkit.core.sentence import words
from pondkit.core.units import AREA, LENGTH, MASS, VOLUME
from pondkit.geometry.footprint import Strip, strip
from pondkit.geometry.site_surface import depths_at
from pondkit.trades.pools.inputs import Pool
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.stone import cautions as rules
from pondkit.trades.stone import formulas as rel
from pondkit.trades.stone.boulders import (
    PlacedBoulder,
    StonePool,
    heaviest,
    height_below,
    kind_faults,
    kind_figures,
    overlapping,
    placed_boulders,
    stone_pool,
)
from pondkit.trades.stone.inputs import Edging, Stone, rock_density
from pondkit.trades.stone.results import BoulderKind, EdgingRow, StoneResult

ROUNDING = 1e-9  # m: levels and widths nearer than this are equal
MOST_POROSITY = 0.95  # beyond that of any laid stone


def compute(
    stone: Stone | None, pool_inputs: tuple[Pool, ...], pools: tuple[PoolResult, ...], soil: str
) -> StoneResult | None:
    """Boulders and edging of an option; None if it has no stone.

    Args:
        stone: Inputs of the stone.
        pool_inputs: Inputs of all pools of the option.
        pools: Results of those without problems.
        soil: Soil of the site, a name in the table of soils.
    """
    if stone is None:
        return None
    finished = {pool.name: pool.surfaces.finished for pool in pools}
    stone_pools = tuple(
        stone_pool(pool_inputs[pool.index], surface.surface.pool.shape, surface.placed)
        for pool in pools
        for surface in [finished[pool.name]]
    )
    by_name = {pool.name: pool for pool in stone_pools}
    pools_of_rows = [(edging, by_name.get(edging.pool)) for edging in stone.edging]
    strips = tuple(
        strip(pool.shape, pool.placed, inward_width(edging)) if pool and row_fits(edging, pool) else None
        for edging, pool in pools_of_rows
    )
    depths = tuple(
        depths_at(finished[boulder.pool], boulder.places) if boulder.pool in finished and boulder.places else ()
        for boulder in stone.boulders
    )
    # Boulders and edging depend on neither slings nor bearing: without them they are not computed again for those.
    boulders_and_edging = stone.changed(slings=(), rigging=None, bearing=None)
    return stone_figures(
        boulders_and_edging, stone_pools, strips, depths, tuple(pool.name for pool in pool_inputs), soil
    )


@remembered
def stone_figures(
    stone: Stone,
    pools: tuple[StonePool, ...],
    strips: tuple[Strip | None, ...],
    depths: tuple[tuple[float, ...], ...],
    pool_names: tuple[str, ...],
    soil: str,
) -> StoneResult:
    """All figures of boulders and edging.

    Args:
        stone: Inputs of the stone.
        pools: Pools without problems.
        strips: Strip of each row of edging, in the order of the project file; None if its pool is too small for it.
        depths: Water depth above the ground at each place of each kind of boulder [m], in the order of the project
            file; empty if the kind has no places, or names no pool without problems.
        pool_names: Names of all pools of the option.
        soil: Soil of the site, a name in the table of soils.
    """
    by_name = {pool.name: pool for pool in pools}
    kinds, kind_problems = _kinds(stone, by_name, depths, pool_names, soil)
    rows, row_problems = _rows(stone, by_name, strips, pool_names)
    in_water = [(kind.boulder.pool, kind.displaced, kind.cover) for kind in kinds]
    in_water += [(row.edging.pool, row.displaced, row.cover) for row in rows]
    displaced = {name: _known(figure for pool, figure, _ in in_water if pool == name) for name in by_name}
    cover = {name: _known(figure for pool, _, figure in in_water if pool == name) for name in by_name}
    crowding = _Faults()
    for name, problem in _crowded_pools(kinds, cover, pools):
        crowding.add([problem], name)
    placed = placed_boulders(kinds, depths, by_name)
    overlaps = overlapping(placed, stone.boulders)
    return _result(kinds, rows, (displaced, cover), placed, overlaps, (kind_problems, row_problems, crowding))


@dataclass
class _Faults:
    """Problems, and the names of the pools whose stone is therefore uncertain."""

    problems: list[Problem] = field(default_factory=list)
    pools_in_doubt: list[str] = field(default_factory=list)

    def add(self, problems: Iterable[Problem], pool: str = "") -> None:
        self.problems += problems
        self.pools_in_doubt += [pool] if pool else []


def _kinds(
    stone: Stone,
    pools: dict[str, StonePool],
    depths: tuple[tuple[float, ...], ...],
    pool_names: tuple[str, ...],
    soil: str,
) -> tuple[list[BoulderKind], _Faults]:
    """(figures of every kind of boulder without problems, problems of the others)."""
    rock, faults = rock_density(stone), _Faults()
    kinds: list[BoulderKind] = []
    for index, boulder in enumerate(stone.boulders):
        if problems := list(kind_faults(boulder, index, pool_names)):
            faults.add(problems, boulder.pool or "")
            continue
        depths_at_base = tuple(depth - height_below(boulder, stone.boulders) for depth in depths[index])
        kinds.append(kind_figures(boulder, index, rock, pools.get(boulder.pool or ""), depths_at_base, soil))
    return kinds, faults


def _rows(
    stone: Stone, pools: dict[str, StonePool], strips: tuple[Strip | None, ...], pool_names: tuple[str, ...]
) -> tuple[list[EdgingRow], _Faults]:
    """(figures of every row of edging without problems, problems of the others)."""
    porosity, rock, faults = _porosity(stone), rock_density(stone), _Faults()
    rows: list[EdgingRow] = []
    for index, (edging, ground_strip) in enumerate(zip(stone.edging, strips, strict=True)):
        pool = pools.get(edging.pool)
        if edging.pool not in pool_names:
            faults.add([no_such(("stone", "edging", index, "pool"), "pool", edging.pool, pool_names)])
        elif pool is None:
            faults.add([], edging.pool)  # the pool itself has a problem, which is reported
        elif edging.seat == "inside" and (problems := list(inside_row_faults(stone.edging, index, pool))):
            faults.add(problems, edging.pool)
        elif ground_strip is not None:
            rows.append(row_figures(edging, ground_strip, pool, porosity, rock))
    return rows, faults


def _result(
    kinds: list[BoulderKind],
    rows: list[EdgingRow],
    by_pool: tuple[dict[str, tuple[Entry, ...]], dict[str, tuple[Entry, ...]]],
    placed: Sequence[PlacedBoulder],
    overlaps: Entry | None,
    faults: Sequence[_Faults],
) -> StoneResult:
    """The result, made of the figures of kinds and rows. Nothing is ordered while any stone is uncertain.

    Args:
        kinds, rows: Kinds of boulder and rows of edging without problems.
        by_pool: Water displaced and surface covered, each by the name of the pool.
        placed: Boulders with a place.
        overlaps: Number of overlapping pairs.
        faults: Problems of kinds, of rows, and of pools with too much stone.
    """
    displaced, cover = by_pool
    is_sound = not any(fault.problems or fault.pools_in_doubt for fault in faults)
    boulders = total("", [kind.mass_of_all for kind in kinds], MASS) if is_sound and kinds else None
    edging = total("", [row.mass for row in rows], MASS) if is_sound and rows else None
    orders = [order for order in (boulders, edging) if order]
    masses = [*(kind.mass_of_all for kind in kinds), *(row.mass for row in rows)]
    return StoneResult(
        boulder_count=tuple(kind.count for kind in kinds),
        boulder_volume=tuple(kind.volume for kind in kinds),
        boulder_mass=tuple(kind.mass for kind in kinds),
        boulder_mass_all=tuple(kind.mass_of_all for kind in kinds),
        heaviest_boulder=heaviest(kinds),
        boulder_displaced=_known(kind.displaced for kind in kinds),
        boulder_cover=_known(kind.cover for kind in kinds),
        boulders_overlapping=overlaps,
        edging_count=tuple(row.count for row in rows),
        edging_mass=tuple(row.mass for row in rows),
        edging_seat_width=_known(row.seat_width for row in rows),
        edging_seat_level=_known(row.seat_level for row in rows),
        edging_displaced=_known(row.displaced for row in rows),
        edging_cover=_known(row.cover for row in rows),
        stone_displaced=tuple(total(name, figures, VOLUME) for name, figures in displaced.items() if figures),
        stone_cover=tuple(total(name, figures, AREA) for name, figures in cover.items() if figures),
        stone_mass=total("", masses, MASS) if orders else None,
        boulders_order=boulders,
        edging_order=edging,
        stone_order=total("", orders, MASS) if orders else None,
        kinds=tuple(kinds),
        rows=tuple(rows),
        in_doubt=tuple(dict.fromkeys(name for fault in faults for name in fault.pools_in_doubt)),
        boulder_rings=tuple((kind.boulder.name, kind.rings) for kind in kinds if kind.boulder.places),
        boulder_plans=tuple((boulder.subject, boulder.plan) for boulder in placed),
        boulder_tops=tuple(boulder.highest_top for boulder in placed),
        edging_rings=tuple((row.count.subject, row.strip.rings) for row in rows),
        problems=tuple(problem for fault in faults for problem in fault.problems),
    )


def _porosity(stone: Stone) -> Range:
    """Porosity of laid stone (voids over bulk volume), with its range."""
    return within(float(stone.porosity), stone.porosity_within, MOST_POROSITY)


def _known(entries: Iterable[Entry | None]) -> tuple[Entry, ...]:
    return tuple(figure for figure in entries if figure is not None)


def _crowded_pools(
    kinds: Sequence[BoulderKind], cover: dict[str, tuple[Entry, ...]], pools: Sequence[StonePool]
) -> Iterator[tuple[str, Problem]]:
    """(name, problem) of each pool whose stone would cover all of its surface or more."""
    for pool in pools:
        covered, surface = sum(figure.value for figure in cover[pool.name]), float(pool.shape.polygon.area)
        indexes = [kind.index for kind in kinds if kind.boulder.pool == pool.name and kind.cover]
        if indexes and covered >= surface:
            problem = Problem(
                ("stone", "boulders", indexes[-1], "count"),
                words(f"all stone in '{pool.name}' takes {{taken}} of its surface", taken=(covered, AREA)),
                words("less than its water surface, {surface}", surface=(surface, AREA)),
                words("set fewer or smaller boulders, put them wholly under water, or name another pool"),
            )
            yield pool.name, problem


# --- rows of edging ---


def edging_seat(rows: Sequence[Edging], pool: Pool) -> tuple[float, float] | None:
    """(width, level) [m] of the seat that a row outside a pool's outline stands on, which widens dig and liner; None
    without such a row.

    Args:
        rows: Inputs of all rows of edging.
        pool: Inputs of the pool.

    Raises: Trouble if its base is out of bounds or two rows stand there, as the surfaces of the pool depend on it.
    """
    outside = [index for index, row in enumerate(rows) if row.pool == pool.name and row.seat == "outside"]
    if not outside:
        return None
    rim_level, floor = pool.level + pool.freeboard, pool.level - pool.tiers[0].depth
    problems = [fault for index in outside for fault in row_faults(rows, index, rim_level, floor)]
    if problems:
        raise Trouble(*problems)
    return rows[outside[0]].across, rows[outside[0]].base_level


def row_faults(rows: Sequence[Edging], index: int, rim_level: float, floor: float) -> Iterator[Problem]:
    """Problems of a second row on the same side of an outline, and of a base above the rim or below the floor of the
    first tier: below that floor the seat would be a trench, with the pool's shelf left as a ridge in front of it.

    Args:
        rows: Inputs of all rows of edging.
        index: Index of the row.
        rim_level, floor: Site levels of its pool's rim and of the floor of the first tier [m].
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
    if not floor - ROUNDING <= row.base_level <= rim_level + ROUNDING:
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


def inside_row_faults(rows: Sequence[Edging], index: int, pool: StonePool) -> Iterator[Problem]:
    """Problems of a row inside its pool's outline. Those of one outside are raised by ``edging_seat``, before its pool
    is computed.
    """
    edging = rows[index]
    yield from row_faults(rows, index, pool.rim_level, pool.floor)
    if not row_fits(edging, pool):
        yield Problem(
            ("stone", "edging", index, "across"),
            words("it is {across} wide", across=(edging.across, LENGTH)),
            words(
                f"less than {{most}}, from the waterline of '{edging.pool}' to its middle",
                most=(pool.shape.inradius, LENGTH),
            ),
            words("take narrower stones, widen the pool, or set the row outside"),
        )


def inward_width(edging: Edging) -> float:
    """Width of a row's strip, measured inward from the outline [m]: negative for a row outside."""
    return float(edging.across if edging.seat == "inside" else -edging.across)


def row_fits(edging: Edging, pool: StonePool) -> bool:
    """True if a row leaves water in the middle of its pool; one outside always does."""
    return edging.seat == "outside" or edging.across < pool.shape.inradius


def row_figures(edging: Edging, ground_strip: Strip, pool: StonePool, porosity: Range, rock: Range) -> EdgingRow:
    """Figures of one row.

    Args:
        edging: Inputs of the row.
        ground_strip: The strip of ground that it stands on.
        pool: Its pool.
        porosity: Porosity of the laid row (voids over bulk volume).
        rock: Density of the rock [kg/m³].
    """
    inside = edging.seat == "inside"
    subject, pool_name = f"{edging.pool} / {edging.seat}", edging.pool
    count = entry(
        rel.edging_count,
        subject,
        cautions=_neck_cautions(ground_strip) if inside else (),
        source=USER,
        centre_line=ground_strip.middle,
        along=edging.along,
    )
    mass = entry(
        rel.edging_mass,
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
            rel.edging_displaced,
            pool_name,
            cautions=_inside_row_cautions(edging, pool),
            source=USER,
            strip_area=ground_strip.area,
            base_level=edging.base_level,
            height=edging.height,
            water_level=pool.level,
            porosity=porosity,
        )
        if edging.base_level + edging.height > pool.level + ROUNDING:
            cover = entry(rel.edging_cover, pool_name, source=USER, strip_area=ground_strip.area)
    return EdgingRow(
        edging=edging,
        strip=ground_strip,
        count=count,
        mass=mass,
        seat_width=None if inside else input_entry(pool_name, edging.across, LENGTH),
        seat_level=None if inside else input_entry(pool_name, edging.base_level, LENGTH),
        displaced=displaced,
        cover=cover,
    )


def _neck_cautions(ground_strip: Strip) -> tuple[Caution, ...]:
    return (rules.ROW_FILLS_NECK(),) if ground_strip.parts > 1 else ()


def _inside_row_cautions(edging: Edging, pool: StonePool) -> Iterator[Caution]:
    if edging.base_level > pool.floor + ROUNDING:
        yield rules.ROW_ABOVE_FLOOR(gap=(edging.base_level - pool.floor, LENGTH))
    if edging.across > pool.shelf_end + ROUNDING:
        yield rules.ROW_OVER_FACE(wide=(pool.shelf_end, LENGTH))
