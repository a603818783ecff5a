"""Works out one pool: areas, volumes, depths and what they call for."""

from dataclasses import dataclass

from pondkit.core.entry import Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.sentence import Words
from pondkit.core.units import LENGTH
from pondkit.geometry.apart import Ring
from pondkit.geometry.bowl import SAME, Bowl, Share
from pondkit.geometry.ground import Band
from pondkit.geometry.offsets import SHIFT
from pondkit.geometry.shapes import Offsets, Outline
from pondkit.geometry.uneven import Terrain
from pondkit.trades.pools import cautions as rules
from pondkit.trades.pools import relations as rel
from pondkit.trades.pools import slopes
from pondkit.trades.pools.inputs.pool import Pool, Tier
from pondkit.trades.pools.surfaces import Surfaces

LEAST = 1e-9  # m²: less than this is rounding
UPRIGHT = 1e-5  # m²: an upright edge smaller than this is what is left of two lengths that are nearly equal
JAGGED = f"a jagged outline is moved inward by stages, each simplified: areas at depth are good to {SHIFT:.2%} of the water surface"


@dataclass(frozen=True, eq=False)
class PoolResult(Result):
    """One pool. Entries are its keys in the takeoff; the rest is geometry for other parts and for pictures.

    Attributes:
        name, index: The pool, and its place in the option.
        surfaces: Finished, liner and dig surface on the site.
        ground: Cut and fill where the ground runs through the dig; None where the ground is in trouble, and what hangs on it.
        cut_below: Volume of the dig below the level where the ground begins to run through it [m³].
        zones: (zone, depth that it is drawn to [m], plan area [m²], water [m³]) from shallow to deep, for pictures.
    """

    name: str
    index: int
    surface_area: Entry
    perimeter: Entry
    max_depth: Entry
    mean_depth: Entry
    gross_volume: Entry
    zone_area: tuple[Entry, ...]
    zone_volume: tuple[Entry, ...]
    shelf_area: tuple[Entry, ...]
    wetted_area: Entry
    narrowest_shelf: Entry | None
    steepest_batter: Entry
    rim_length: Entry
    rim_above_ground: Entry | None
    area_over_limit: Entry | None
    gravel_volume: Entry
    dig_depth: Entry | None
    steepest_dig_face: Entry | None
    edge_set_back: Entry | None
    outside_survey: Entry | None
    surfaces: Surfaces
    ground: Band | None
    cut_below: float
    zones: tuple[tuple[str, float, float, float], ...]


@remembered
def work_out(
    pool: Pool,
    index: int,
    surfaces: Surfaces,
    band: Band | None,
    rim: Ring,
    ground: Terrain | None,
    depth_limit: float | None,
    soil: str,
    groundwater: float | None,
) -> PoolResult:
    """Every figure of one pool.

    Args:
        pool: As drawn.
        index: Its place in the option.
        surfaces: Its surfaces.
        band: Cut and fill where the ground runs through its dig.
        rim: Rim line of the liner.
        ground: Existing ground, site axes; None, as the band, where it is in trouble.
        depth_limit: Water deeper than this is counted [m]; None where none was entered.
        soil: Name in the table of soils.
        groundwater: Highest known level [m]; None where unknown.
    """
    bowl = surfaces.finished.bowl
    shape = bowl.pool.shape
    rows = _rows(pool, bowl)
    name = pool.name
    deep = bowl.deepest
    over_limit = (
        ()
        if depth_limit is None
        else rules.OVER_DEPTH_LIMIT.where(deep, deep, deep, most=depth_limit, limit=(depth_limit, LENGTH))
    )
    gross = entry(rel.gross_volume, name, bowl=bowl, source=JAGGED if shape.jagged else "")
    one_side = [rules.ONE_SIDE_MEASURED()] if _one_sided(pool.outline) else []
    area = entry(rel.surface_area, name, shape=shape, cautions=one_side)
    zone_areas, zone_volumes, shelf_areas, zones = [], [], [], []
    for zone in dict.fromkeys(row.tier.zone for row in rows):
        own = [row for row in rows if row.tier.zone == zone]
        notes = [row.note for row in own if row.note]
        subject = f"{name} / {zone}"
        faces, levels = sum(row.share.face_area for row in own), [row.share.level_area for row in own]
        water = sum(row.share.volume for row in own)
        plan = entry(rel.zone_area, subject, cautions=notes, face_area=faces, level_area=sum(levels))
        mean = water / plan.value if plan.value > 0 else 0.0
        zone_areas.append(plan)
        zone_volumes.append(entry(rel.zone_volume, subject, zone_area=plan, zone_mean_depth=mean))
        shelf_areas.append(entry(rel.shelf_area, subject, levels=levels))
        zones.append((zone, max(row.tier.depth for row in own), plan.value, water))
    notes = [row.note for row in rows if row.note]
    shelves = [row.tier.shelf for row in rows if row.has_shelf]
    batters = [row.tier.batter for row in rows if row.has_face]
    batters += [0.0 for row in rows if row.share.upright > UPRIGHT]
    against = _against_ground(pool, surfaces, band, rim, ground, soil, groundwater) if ground and band else _Against()
    return PoolResult(
        name=name,
        index=index,
        surface_area=area,
        perimeter=entry(rel.perimeter, name, shape=shape),
        max_depth=entry(rel.max_depth, name, bowl=bowl, cautions=[*over_limit, rules.CHILDREN(), *notes]),
        mean_depth=entry(rel.mean_depth, name, gross_volume=gross, surface_area=area),
        gross_volume=gross,
        zone_area=tuple(zone_areas),
        zone_volume=tuple(zone_volumes),
        shelf_area=tuple(shelf_areas),
        wetted_area=entry(rel.slope_area, name, true_areas=[row.share.true_area for row in rows]),
        narrowest_shelf=entry(rel.narrowest_shelf, name, shelves=shelves) if shelves else None,
        steepest_batter=entry(rel.steepest_batter, name, batters=batters),
        rim_length=entry(rel.rim_length, name, shape=shape, freeboard=pool.freeboard, bank_batter=pool.bank_batter),
        rim_above_ground=against.rim_above,
        area_over_limit=None
        if depth_limit is None
        else entry(rel.area_over_limit, name, bowl=bowl, depth_limit=depth_limit, cautions=over_limit),
        gravel_volume=entry(
            rel.gravel_volume, name, volume_to_liner=surfaces.under_gravel.volume(0.0), gross_volume=gross
        ),
        dig_depth=against.dig_depth,
        steepest_dig_face=against.steepest,
        edge_set_back=against.set_back,
        outside_survey=against.outside,
        surfaces=surfaces,
        ground=band,
        cut_below=surfaces.dig.bowl.volume(band.below) if band else 0.0,
        zones=tuple(sorted(zones, key=lambda zone: zone[1])),
    )


def _one_sided(outline: Outline) -> bool:
    """True for offsets to one side that do not start and end on the baseline."""
    if not isinstance(outline, Offsets) or outline.right:
        return False
    return any(abs(off) > SAME for _, off in (outline.left[0], outline.left[-1]))


@dataclass(frozen=True)
class _Against:
    """What hangs on the ground as it is."""

    rim_above: Entry | None = None
    dig_depth: Entry | None = None
    steepest: Entry | None = None
    set_back: Entry | None = None
    outside: Entry | None = None


def _against_ground(
    pool: Pool, surfaces: Surfaces, band: Band, rim: Ring, ground: Terrain, soil: str, groundwater: float | None
) -> _Against:
    dig = surfaces.dig
    high = float(ground.at(ground.along(surfaces.placed.to_site(dig.bowl.pool.shape.coords))).max())
    floor = dig.level - dig.bowl.deepest
    unknown = [rules.DIG_NOT_SURVEYED()] if band.unknown > LEAST else []
    steep, back = slopes.of_dig(
        pool.name, dig.bowl, high - dig.level, soil, groundwater is not None and groundwater > floor
    )
    cautions = [*unknown]
    if groundwater is None:
        cautions.append(rules.GROUNDWATER_UNKNOWN())
    elif high > floor:
        over = groundwater - floor
        cautions += rules.CUT_IN_GROUNDWATER.where(over, over, over, over=(over, LENGTH))
    return _Against(
        entry(
            rel.rim_above_ground,
            pool.name,
            cautions=unknown,
            ring=rim.points,
            rim_level=surfaces.liner.rim_level,
            ground=ground,
        ),
        entry(rel.dig_depth, pool.name, ground_level=high, dig_floor=floor, cautions=[*cautions, *steep.cautions]),
        steep,
        back,
        entry(rel.outside_survey, pool.name, band=band, cautions=unknown) if unknown else None,
    )


@dataclass(frozen=True)
class _Row:
    """One tier of pool or pit with its share, and a note where it is not reached as drawn."""

    tier: Tier
    share: Share
    note: Words | None
    followed: bool

    @property
    def has_face(self) -> bool:
        return self.share.true_area > self.share.level_area + LEAST

    @property
    def has_shelf(self) -> bool:
        """True where its level part ends at a deeper tier."""
        return self.tier.shelf > 0 and self.followed and self.share.level_area > LEAST


def _rows(pool: Pool, bowl: Bowl) -> list[_Row]:
    """Tiers of the pool, then of its pits."""
    shares = bowl.shares()
    rows = []
    for number, (drawn, part) in enumerate(
        zip((pool.tiers, *(pit.tiers for pit in pool.pits)), bowl.parts, strict=True)
    ):
        above = 0.0
        for index, tier in enumerate(drawn):
            note: Words | None = None
            if part.reached < tier.depth - SAME:
                note = _not_reached(part.reached, tier.depth, part.reached > above + SAME)
            followed = index + 1 < len(drawn) and part.reached > tier.depth + SAME
            rows.append(_Row(tier, shares.get((number, index), Share()), note, followed))
            above = tier.depth
    return rows


def _not_reached(reached: float, drawn: float, in_part: bool) -> Words:
    if in_part:
        return rules.TIER_IN_PART(reached=(reached, LENGTH), drawn=(drawn, LENGTH))
    return rules.TIER_NEVER_REACHED(reached=(reached, LENGTH))
