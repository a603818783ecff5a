"""One pool in its ground: all figures of its areas, volumes and depths, and of the cut with its temporary slopes."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pondkit.core.caution import CHECK
from pondkit.core.entry import Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import Words
from pondkit.core.tables import SEEPING, Row, gathered, soil_row
from pondkit.core.units import LENGTH, RATIO, read
from pondkit.geometry.footprint import Gap, Ring, close_pairs, gap, inside, outside
from pondkit.geometry.outline import Placed, Shape, entered_shape
from pondkit.geometry.pool_surface import SAME, PoolSurface, Share
from pondkit.geometry.region import SHIFT
from pondkit.geometry.shapes import Offsets, Outline
from pondkit.geometry.terrain import DaylightBand, Terrain
from pondkit.trades.pools import cautions as rules
from pondkit.trades.pools import formulas
from pondkit.trades.pools.inputs import Pool, Tier
from pondkit.trades.pools.results import PoolResult, Surfaces
from pondkit.trades.pools.surfaces import PitOutline, cut_and_fill, lay_out

LEAST_AREA = 1e-9  # m²: less than this is rounding
LEAST_UPRIGHT = 1e-5  # m²: smaller upright edges are rounding differences of nearly equal lengths
JAGGED = (
    f"a jagged outline is moved inward by stages, each simplified: areas at depth are good to {SHIFT:.2%} "
    f"of the water surface"
)


@dataclass(frozen=True)
class SiteConditions:
    """What pools need to know of the site.

    Attributes:
        ground: Existing ground, site axes; None if it has a problem.
        soil: Soil of the site, a name in the table of soils.
        groundwater: Highest known groundwater level [m]; None if unknown.
        depth_limit: Depth limit, for the area of deeper water [m]; None if not entered.
    """

    ground: Terrain | None
    soil: str
    groundwater: float | None
    depth_limit: float | None


def compute_each(
    inputs: tuple[Pool, ...], seat: Callable[[Pool], tuple[float, float] | None], thickness: float, site: SiteConditions
) -> tuple[tuple[PoolResult, ...], tuple[Problem, ...]]:
    """(results of all pools without problems, problems of the others).

    Args:
        inputs: Inputs of the pools.
        seat: Gives the edging outside a pool: its width, and the site level of its base [m]; None if it has none. A
            Trouble that it raises is one of the pool.
        thickness: Underlay, liner and overlay together [m].
        site: Ground, soil, groundwater and depth limit.
    """
    pools, problems = list[PoolResult](), list[Problem]()
    for index, pool in enumerate(inputs):
        try:
            pools.append(compute(pool, index, seat(pool), thickness, site))
        except Trouble as trouble:
            problems += trouble.problems
    return tuple(pools), tuple(problems)


def compute(
    pool: Pool, index: int, seat: tuple[float, float] | None, thickness: float, site: SiteConditions
) -> PoolResult:
    """Result of one pool in its ground.

    Args:
        pool: Inputs of the pool.
        index: Its index in the option, for problems.
        seat: Edging outside the waterline: its width, and the site level of its base [m]; None if there is none.
        thickness: Underlay, liner and overlay together [m].
        site: Ground, soil, groundwater and depth limit.
    Raises: Trouble if the pool cannot be computed.
    """
    shape = entered_shape(pool.outline, ("pools", index, "outline"))
    pits = []
    for number, pit in enumerate(pool.pits):
        pit_shape = entered_shape(pit.outline, ("pools", index, "pits", number, "outline"))
        placed = Placed(pit.at[0], pit.at[1], pit.turn_deg)
        pits.append(PitOutline(pit_shape, placed, inside(pit_shape, placed, shape)))
    surfaces = lay_out(unnamed(pool), index, shape, tuple(pits), seat, thickness)
    band = cut_and_fill(surfaces.dig, site.ground, index) if site.ground else None
    rim = outside(shape, surfaces.placed, surfaces.liner.rim)
    return pool_figures(pool, index, surfaces, band, rim, site)


@remembered
def unnamed(pool: Pool) -> Pool:
    """A pool without its name and those of its zones, so that its surfaces are remembered when only a name changes."""
    pits = tuple(pit.changed(tiers=_without_zones(pit.tiers)) for pit in pool.pits)
    return pool.changed(name="", tiers=_without_zones(pool.tiers), pits=pits)


def _without_zones(tiers: tuple[Tier, ...]) -> tuple[Tier, ...]:
    return tuple(tier.changed(zone="") for tier in tiers)


def gaps(pools: tuple[PoolResult, ...]) -> list[tuple[int, int, Gap]]:
    """(index, index, gap between the outlines) of each pair of pools near enough for their digs to meet."""
    outlines = [(pool.surfaces.dig.surface.pool.shape, pool.surfaces.placed) for pool in pools]
    pairs = close_pairs(outlines, [pool.ground.reach if pool.ground else 0.0 for pool in pools])
    return [(i, j, gap(*outlines[i], *outlines[j])) for i, j in pairs]


@remembered
def pool_figures(
    pool: Pool, index: int, surfaces: Surfaces, band: DaylightBand | None, rim: Ring, site: SiteConditions
) -> PoolResult:
    """All figures of one pool, from its surfaces and the ground."""
    surface, name = surfaces.finished.surface, pool.name
    shape = surface.pool.shape
    tiers = _tier_shares(pool, surface)
    notes = [tier.note for tier in tiers if tier.note]
    over_limit = _over_limit(surface.deepest, site.depth_limit)
    gross = entry(formulas.gross_volume, name, surface=surface, source=JAGGED if shape.jagged else "")
    area, perimeter, rim_length = outline_figures(
        name, shape, pool.freeboard, pool.bank_batter, _one_sided(pool.outline)
    )
    zones = [
        _zone(f"{name} / {zone}", [tier for tier in tiers if tier.drawn.zone == zone])
        for zone in dict.fromkeys(tier.drawn.zone for tier in tiers)
    ]
    shelves = [tier.drawn.shelf for tier in tiers if tier.has_shelf]
    batters = [tier.drawn.batter for tier in tiers if tier.has_face]
    batters += [0.0 for tier in tiers if tier.share.upright > LEAST_UPRIGHT]
    cut = _cut(pool, surfaces, band, rim, site) if site.ground and band else _Cut()
    return PoolResult(
        name=name,
        index=index,
        surface_area=area,
        perimeter=perimeter,
        max_depth=entry(formulas.max_depth, name, surface=surface, cautions=[*over_limit, rules.CHILDREN(), *notes]),
        mean_depth=entry(formulas.mean_depth, name, gross_volume=gross, surface_area=area),
        gross_volume=gross,
        zone_area=tuple(zone.area for zone in zones),
        zone_volume=tuple(zone.volume for zone in zones),
        zone_depth=tuple(zone.depth for zone in zones),
        zone_share=tuple(
            entry(formulas.zone_share, z.area.subject, zone_area=z.area.bare, surface_area=area.bare) for z in zones
        ),
        shelf_area=tuple(zone.shelf for zone in zones),
        wetted_area=entry(formulas.wetted_area, name, true_areas=[tier.share.true_area for tier in tiers]),
        narrowest_shelf=entry(formulas.narrowest_shelf, name, shelves=shelves) if shelves else None,
        steepest_batter=entry(formulas.steepest_batter, name, batters=batters),
        rim_length=rim_length,
        rim_above_ground=cut.rim_above,
        area_over_limit=None
        if site.depth_limit is None
        else entry(formulas.area_over_limit, name, surface=surface, depth_limit=site.depth_limit, cautions=over_limit),
        gravel_volume=entry(
            formulas.gravel_volume, name, volume_to_liner=surfaces.under_gravel.volume(0.0), gross_volume=gross
        ),
        dig_depth=cut.depth,
        steepest_dig_face=cut.steepest,
        edge_set_back=cut.set_back,
        outside_survey=cut.outside,
        surfaces=surfaces,
        ground=band,
        zones=tuple(sorted((zone.shown for zone in zones), key=lambda zone: zone[1])),
    )


@remembered
def outline_figures(
    name: str, shape: Shape, freeboard: float, bank_batter: float, one_sided: bool
) -> tuple[Entry, Entry, Entry]:
    """(surface area, perimeter, rim length) of a pool, which depend on no tier. ``one_sided``: see ``_one_sided``."""
    cautions = [rules.ONE_SIDE_MEASURED()] if one_sided else []
    return (
        entry(formulas.surface_area, name, shape=shape, cautions=cautions),
        entry(formulas.perimeter, name, shape=shape),
        entry(formulas.rim_length, name, shape=shape, freeboard=freeboard, bank_batter=bank_batter),
    )


@remembered
def highest_ground(shape: Shape, placed: Placed, ground: Terrain) -> float:
    """Highest level of the ground along a waterline [m]."""
    return float(ground.at(ground.along(placed.to_site(shape.coords))).max())


@remembered
def rim_over_ground(name: str, rim: Ring, rim_level: float, ground: Terrain, unknown: bool) -> Entry:
    """Length of rim above the ground, which depends on no tier. ``unknown``: True if part of it is not surveyed."""
    cautions = [rules.DIG_NOT_SURVEYED()] if unknown else []
    return entry(
        formulas.rim_above_ground, name, cautions=cautions, ring=rim.points, rim_level=rim_level, ground=ground
    )


def _over_limit(deepest: float, limit: float | None) -> tuple[Words, ...]:
    if limit is None:
        return ()
    return rules.OVER_DEPTH_LIMIT.where(deepest, deepest, deepest, most=limit, limit=(limit, LENGTH))


def _one_sided(outline: Outline) -> bool:
    """True for an outline by offsets to one side only that do not start and end on the baseline."""
    if not isinstance(outline, Offsets) or outline.right:
        return False
    return any(abs(offset) > SAME for _, offset in (outline.left[0], outline.left[-1]))


@dataclass(frozen=True)
class _Cut:
    """Figures of a pool that depend on the existing ground; None without it."""

    rim_above: Entry | None = None
    depth: Entry | None = None
    steepest: Entry | None = None
    set_back: Entry | None = None
    outside: Entry | None = None


def _cut(pool: Pool, surfaces: Surfaces, band: DaylightBand, rim: Ring, site: SiteConditions) -> _Cut:
    """Figures of the cut. ``band``: where the ground meets the dig; ``rim``: the rim line on the site."""
    dig, ground, groundwater = surfaces.dig, site.ground, site.groundwater
    assert ground is not None
    highest = max(band.highest, highest_ground(dig.surface.pool.shape, surfaces.placed, ground))
    floor = dig.level - dig.surface.deepest
    over = None if groundwater is None else groundwater - floor
    unknown = [rules.DIG_NOT_SURVEYED()] if band.unknown > LEAST_AREA else []
    seeps = over is not None and over > 0
    steepest, set_back = temporary_slopes(pool.name, dig.surface, highest - dig.level, site.soil, seeps)
    cautions: list[Words] = [*unknown]
    if over is None:
        cautions.append(rules.GROUNDWATER_UNKNOWN())
    elif highest > floor:
        cautions += rules.CUT_IN_GROUNDWATER.where(over, over, over, over=(over, LENGTH))
    return _Cut(
        rim_over_ground(pool.name, rim, surfaces.liner.rim_level, ground, bool(unknown)),
        entry(formulas.dig_depth, pool.name, ground_level=highest, dig_floor=floor, cautions=cautions),
        steepest,
        set_back,
        entry(formulas.outside_survey, pool.name, band=band, cautions=unknown) if unknown else None,
    )


def temporary_slopes(
    name: str, surface: PoolSurface, high: float, soil: str, seeps: bool
) -> tuple[Entry, Entry | None]:
    """Steepest face of one dig, and setback from it; no setback if nothing is cut.

    Args:
        name: Name of the pool.
        surface: Its dig surface.
        high: Height of the highest ground along its edge above its waterline [m].
        soil: Soil of the site, a name in the table of soils.
        seeps: True if groundwater stands above its floor.
    """
    row = soil_row(soil, seeps)
    allowed = float(row["steepest_h_per_v"])
    faces = [
        face
        for part in surface.parts
        for upper, lower, face in (*part.profile.faces, *part.profile.lips)
        if upper < part.reached and lower > -high
    ]
    steepest = min((face.batter for face in faces), default=surface.pool.profile.lines[0].batter)
    steep = entry(
        formulas.steepest_dig_face,
        name,
        cautions=_slope_cautions(row, allowed, steepest, seeps, high + surface.deepest),
        batters=[face.batter for face in faces] or [steepest],
    )
    feet = _feet(surface, high)
    if not feet:
        return steep, None
    rule = gathered("limits")["spoil set-back at least"]
    # As a length that is typed in: 2 ft are 0.6096 m to the last digit, so that the setback is never a hair less.
    least = float(read(f"{rule['value']} {rule['unit']}", LENGTH, "us"))
    depths, runs = zip(*feet, strict=True)
    return steep, entry(
        formulas.edge_set_back,
        name,
        source=f"{row['source']}; {rule['source']}",
        cautions=[rules.MACHINE_FURTHER_BACK()],
        depths=depths,
        runs=runs,
        allowed=allowed,
        least=least,
    )


def _slope_cautions(row: Row, allowed: float, steepest: float, seeps: bool, cut: float) -> list[Words]:
    """Cautions for a face cut steeper than the temporary slope of the soil: 'check' if the cut is less deep than calls
    for a protective system, else 'act'.

    Args:
        row: The soil.
        allowed, steepest: Horizontal run per unit of drop: the least allowed in that soil, and that of the face.
        seeps: True if groundwater stands above the floor.
        cut: Depth of cut [m].
    """
    if cut <= 0 or steepest >= allowed - 1e-9:
        return []
    steep = rules.STEEPER_THAN_SOIL(
        CHECK if cut < rules.PROTECTED_FROM else None,
        soil=row["soil"],
        slope_type=row["slope_type"],
        source=row["source"],
        allowed=(allowed, RATIO),
        steepest=(steepest, RATIO),
    )
    return [steep, rules.SEEPS_AS_TYPE_C()] if seeps and row["soil"] == SEEPING else [steep]


def _feet(surface: PoolSurface, high: float) -> list[tuple[float, float]]:
    """(depth below the ground of the foot of each face, its level distance inward from the edge of the cut) [m]."""
    edge = float(surface.pool.profile.inward(np.array(-high)))
    feet = []
    for part in surface.parts:
        for run, depth in part.profile.corners:
            if -high < depth <= part.reached + 1e-9:
                # From a pit's edge to the waterline it is at least the least distance between the two.
                feet.append((depth + high, part.clear + run - edge))
    return feet


@dataclass(frozen=True)
class _Zone:
    """Figures of all tiers with one zone name; ``shown``: the zone for pictures, see ``PoolResult.zones``."""

    area: Entry
    volume: Entry
    depth: Entry
    shelf: Entry
    shown: tuple[str, float, float, float]


@dataclass(frozen=True)
class _TierShare:
    """One tier of a pool or pit.

    Attributes:
        drawn: Its inputs.
        share: Its share of the pool's areas and volume.
        depth: Greatest depth that it reaches [m]; 0 if it has no place in the pool.
        note: Caution if that is less than its depth by design.
        followed: True if the pool goes deeper than this tier.
    """

    drawn: Tier
    share: Share
    depth: float
    note: Words | None
    followed: bool

    @property
    def has_face(self) -> bool:
        """True if some of its face is in the pool."""
        return self.share.true_area > self.share.level_area + LEAST_AREA

    @property
    def has_shelf(self) -> bool:
        """True if it has a shelf that ends at a deeper tier."""
        return self.drawn.shelf > 0 and self.followed and self.share.level_area > LEAST_AREA


def _zone(subject: str, tiers: list[_TierShare]) -> _Zone:
    """A zone from its tiers, which may lie in the pool and in its pits."""
    faces, levels = sum(tier.share.face_area for tier in tiers), [tier.share.level_area for tier in tiers]
    water = sum(tier.share.volume for tier in tiers)
    notes = [tier.note for tier in tiers if tier.note]
    area = entry(formulas.zone_area, subject, cautions=notes, face_area=faces, level_area=sum(levels))
    mean = water / area.value if area.value > 0 else 0.0
    volume = entry(formulas.zone_volume, subject, zone_area=area, zone_mean_depth=mean)
    shelf = entry(formulas.shelf_area, subject, levels=levels)
    design_depth = max(tier.drawn.depth for tier in tiers)
    depth = entry(formulas.zone_depth, subject, depths=[tier.depth for tier in tiers])
    return _Zone(area, volume, depth, shelf, (tiers[0].drawn.zone, design_depth, area.value, water))


def _tier_shares(pool: Pool, surface: PoolSurface) -> list[_TierShare]:
    """Shares of the tiers of the pool, then of its pits."""
    shares = surface.shares()
    tier_shares = []
    for number, (tiers, part) in enumerate(
        zip((pool.tiers, *(pit.tiers for pit in pool.pits)), surface.parts, strict=True)
    ):
        above = 0.0
        for index, tier in enumerate(tiers):
            note: Words | None = None
            if part.reached < tier.depth - SAME:
                note = _not_reached(part.reached, tier.depth, part.reached > above + SAME)
            followed = part.reached > tier.depth + SAME
            # A tier below the depth at which the outline closes up has no place in the pool, and so no depth.
            depth = 0.0 if part.reached <= above + SAME else min(float(tier.depth), part.reached)
            tier_shares.append(_TierShare(tier, shares.get((number, index), Share()), depth, note, followed))
            above = tier.depth
    return tier_shares


def _not_reached(reached: float, design_depth: float, in_part: bool) -> Words:
    if in_part:
        return rules.TIER_IN_PART(reached=(reached, LENGTH), drawn=(design_depth, LENGTH))
    return rules.TIER_NEVER_REACHED(reached=(reached, LENGTH))
