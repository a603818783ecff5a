"""Works out one pool: areas, volumes, depths and what they call for."""

from dataclasses import dataclass

from pondkit.core.entry import Entry, entry
from pondkit.core.remembered import remembered
from pondkit.core.result import Result
from pondkit.core.sentence import Words, words
from pondkit.core.units import LENGTH
from pondkit.geometry.apart import Ring
from pondkit.geometry.bowl import SAME, Bowl, Share
from pondkit.geometry.ground import Band
from pondkit.geometry.offsets import SHIFT
from pondkit.geometry.uneven import Terrain
from pondkit.trades.pools import relations as rel
from pondkit.trades.pools import slopes
from pondkit.trades.pools.inputs.pool import Pool, Tier
from pondkit.trades.pools.surfaces import Surfaces

DEEP_WATER = Words(
    "Children drown in much shallower water than this: ask which barrier your local code wants (many codes: over 24 in), and keep a way out."
)
NOT_SURVEYED = Words(
    "Part of this dig lies outside the survey: there the ground is taken to go on at the level of the survey's nearest edge. "
    "Measure it before you rely on this figure."
)
NO_GROUNDWATER = Words(
    "The groundwater's highest level is not entered (Site): water in the cut, and what lifts the liner when the pool is emptied, are not checked. "
    "Dig a trial hole and look after rain."
)
GROUNDWATER = (
    "Groundwater may stand {over} over the floor of this dig: sides run and the floor goes soft. Have it drawn down or pumped out, by someone "
    "who knows how, before the floor is cut and until the pool is full; no liner on standing water. Where pumped water may go is ruled."
)
LEAST = 1e-9  # m²: less than this is rounding
JAGGED = f"a jagged outline is moved inward by stages, each simplified: areas at depth are good to {SHIFT:.2%} of the water surface"
OVER_LIMIT = Words("Deeper than the limit entered for this site: a barrier may be called for; your local code decides.")


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
    limit_cautions = [OVER_LIMIT] if depth_limit is not None and bowl.deepest > depth_limit else []
    gross = entry(rel.gross_volume, name, bowl=bowl, source=JAGGED if shape.jagged else "")
    area = entry(rel.surface_area, name, shape=shape)
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
    against = _against_ground(pool, surfaces, band, rim, ground, soil, groundwater) if ground and band else _Against()
    return PoolResult(
        name=name,
        index=index,
        surface_area=area,
        perimeter=entry(rel.perimeter, name, shape=shape),
        max_depth=entry(rel.max_depth, name, bowl=bowl, cautions=[*limit_cautions, DEEP_WATER, *notes]),
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
        else entry(rel.area_over_limit, name, bowl=bowl, depth_limit=depth_limit, cautions=limit_cautions),
        gravel_volume=entry(
            rel.gravel_volume, name, volume_to_liner=surfaces.under_gravel.volume(0.0), gross_volume=gross.value
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
    unknown = [NOT_SURVEYED] if band.unknown > LEAST else []
    steep, back = slopes.of_dig(
        pool.name, dig.bowl, high - dig.level, soil, groundwater is not None and groundwater > floor
    )
    wet = groundwater is not None and high > floor and groundwater > floor
    deep = [
        *unknown,
        *([words(GROUNDWATER, over=(groundwater - floor, LENGTH))] if groundwater is not None and wet else []),
        *([NO_GROUNDWATER] if groundwater is None else []),
    ]
    return _Against(
        entry(
            rel.rim_above_ground,
            pool.name,
            cautions=unknown,
            ring=rim.points,
            rim_level=surfaces.liner.rim_level,
            ground=ground,
        ),
        entry(rel.dig_depth, pool.name, ground_level=high, dig_floor=floor, cautions=[*deep, *steep.cautions]),
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
            note = None
            if part.reached < tier.depth - SAME:
                if part.reached > above + SAME:
                    text, drawn_to = (
                        "Reaches {reached} of {drawn}: the outline is too narrow for its batters and shelves.",
                        {"drawn": (tier.depth, LENGTH)},
                    )
                else:
                    text, drawn_to = "Never reached: the outline is used up at {reached}.", {}
                note = words(text, reached=(part.reached, LENGTH), **drawn_to)
            followed = index + 1 < len(drawn) and part.reached > tier.depth + SAME
            rows.append(_Row(tier, shares.get((number, index), Share()), note, followed))
            above = tier.depth
    return rows
