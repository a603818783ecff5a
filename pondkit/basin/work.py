"""Works out one pool: areas, volumes, depths and what they call for."""

from dataclasses import dataclass

from pondkit.basin import relations as rel
from pondkit.basin.surfaces import Surfaces
from pondkit.document.pool import Pool, Tier
from pondkit.reference.tables import rows_by_name
from pondkit.result import Result
from pondkit.surface.apart import Ring
from pondkit.surface.bowl import Bowl, Share
from pondkit.surface.ground import Band, Plane
from pondkit.takeoff import Entry, Words, entry, words
from pondkit.units import LENGTH, RATIO

DEEP_WATER = Words(
    "Children drown in much shallower water than this: ask which barrier your local code wants (many codes: over 24 in), and keep a way out."
)
OVER_LIMIT = Words("Deeper than the limit entered for this site: a barrier may be called for; your local code decides.")


@dataclass(frozen=True, eq=False)
class PoolResult(Result):
    """One pool. Entries are its keys in the takeoff; the rest is geometry for other parts and for pictures.

    Attributes:
        name, index: The pool, and its place in the option.
        surfaces: Finished, liner and dig surface on the site.
        ground: Cut and fill where the ground runs through the dig.
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
    rim_above_ground: Entry
    area_over_limit: Entry | None
    gravel_volume: Entry
    dig_depth: Entry
    surfaces: Surfaces
    ground: Band
    cut_below: float
    zones: tuple[tuple[str, float, float, float], ...]


def work_out(pool: Pool, index: int, surfaces: Surfaces, band: Band, rim: Ring, ground: Plane, depth_limit: float | None, soil: str) -> PoolResult:
    """Every figure of one pool.

    Args:
        pool: As drawn.
        index: Its place in the option.
        surfaces: Its surfaces.
        band: Cut and fill where the ground runs through its dig.
        rim: Rim line of the liner.
        ground: Existing ground, site axes.
        depth_limit: Water deeper than this is counted [m]; None where none was entered.
        soil: Name in the table of soils.
    """
    bowl = surfaces.finished.bowl
    shape = bowl.pool.shape
    tiers, shares, reached = _tiers(pool, bowl)
    name = pool.name
    limit_cautions = [OVER_LIMIT] if depth_limit is not None and bowl.deepest > depth_limit else []
    gross = entry(rel.gross_volume, name, bowl=bowl)
    area = entry(rel.surface_area, name, shape=shape)
    zone_areas, zone_volumes, shelf_areas, zones = [], [], [], []
    for zone in dict.fromkeys(tier.zone for tier in tiers):
        own = [(share, note) for tier, share, note in zip(tiers, shares, reached, strict=True) if tier.zone == zone]
        notes = [note for _, note in own if note]
        subject = f"{name} / {zone}"
        faces, level = sum(s.face_area for s, _ in own), sum(s.level_area for s, _ in own)
        water = sum(s.volume for s, _ in own)
        plan = entry(rel.zone_area, subject, cautions=notes, face_area=faces, level_area=level)
        mean = water / plan.value if plan.value > 0 else 0.0
        zone_areas.append(plan)
        zone_volumes.append(entry(rel.zone_volume, subject, cautions=notes, zone_area=plan, zone_mean_depth=mean))
        shelf_areas.append(entry(rel.shelf_area, subject, levels=[s.level_area for s, _ in own]))
        zones.append((zone, max(tier.depth for tier in tiers if tier.zone == zone), plan.value, water))
    shelves = [tier.shelf for tier in pool.tiers[:-1] if tier.shelf > 0]
    high_ground = float(ground.at(surfaces.placed.to_site(shape.coords)).max())
    floor = surfaces.dig.level - surfaces.dig.bowl.deepest
    return PoolResult(
        name=name,
        index=index,
        surface_area=area,
        perimeter=entry(rel.perimeter, name, shape=shape),
        max_depth=entry(rel.max_depth, name, bowl=bowl, cautions=[*limit_cautions, DEEP_WATER, *(n for n in reached if n)]),
        mean_depth=entry(rel.mean_depth, name, gross_volume=gross, surface_area=area),
        gross_volume=gross,
        zone_area=tuple(zone_areas),
        zone_volume=tuple(zone_volumes),
        shelf_area=tuple(shelf_areas),
        wetted_area=entry(rel.slope_area, name, true_areas=[s.true_area for s in shares]),
        narrowest_shelf=entry(rel.narrowest_shelf, name, shelves=shelves) if shelves else None,
        steepest_batter=entry(rel.steepest_batter, name, batters=[tier.batter for tier in tiers]),
        rim_length=entry(rel.rim_length, name, shape=shape, freeboard=pool.freeboard, bank_batter=pool.bank_batter),
        rim_above_ground=entry(rel.rim_above_ground, name, ring=rim.points, rim_level=surfaces.liner.rim_level, ground=ground),
        area_over_limit=None
        if depth_limit is None
        else entry(rel.area_over_limit, name, bowl=bowl, depth_limit=depth_limit, cautions=limit_cautions),
        gravel_volume=entry(rel.gravel_volume, name, volume_to_liner=surfaces.under_gravel.volume(0.0), gross_volume=gross.value),
        dig_depth=entry(
            rel.dig_depth, name, ground_level=high_ground, dig_floor=floor, cautions=_slope_cautions(pool, tiers, soil, high_ground - floor)
        ),
        surfaces=surfaces,
        ground=band,
        cut_below=surfaces.dig.bowl.volume(band.below),
        zones=tuple(sorted(zones, key=lambda zone: zone[1])),
    )


def _tiers(pool: Pool, bowl: Bowl) -> tuple[list[Tier], list[Share], list[Words | None]]:
    """Tiers of pool and pits in one list, with the share of each, and a note where one is not reached as drawn."""
    shares = bowl.shares()
    tiers: list[Tier] = []
    own: list[Share] = []
    notes: list[Words | None] = []
    for number, (drawn, part) in enumerate(zip((pool.tiers, *(pit.tiers for pit in pool.pits)), bowl.parts, strict=True)):
        deepest = part.reached
        above = 0.0
        for index, tier in enumerate(drawn):
            tiers.append(tier)
            own.append(shares.get((number, index), Share()))
            if deepest >= tier.depth - 1e-9:
                notes.append(None)
            elif deepest > above + 1e-9:
                notes.append(words("Reaches {reached} of {drawn}: the outline is too narrow for its batters and shelves.",
                                   reached=(deepest, LENGTH), drawn=(tier.depth, LENGTH)))  # fmt: skip
            else:
                notes.append(words("Never reached: the outline is used up at {reached}.", reached=(deepest, LENGTH)))
            above = tier.depth
    return tiers, own, notes


def _slope_cautions(pool: Pool, tiers: list[Tier], soil: str, depth: float) -> list[Words]:
    """The temporary slope of the soil where a face is cut steeper."""
    row = rows_by_name("soils")[soil]
    allowed = float(row["steepest_h_per_v"])
    steepest = min([tier.batter for tier in tiers] + [pool.bank_batter])
    if depth <= 0 or steepest >= allowed:
        return []
    text = (
        f"Cut steeper than {{allowed}} horizontal to 1 vertical, the most for {soil} (type {row['slope_type']}) where people work in the cut: "
        f"{{steepest}} here. {row['source']}. These slopes say nothing about how the bank stands in the long run."
    )
    return [words(text, allowed=(allowed, RATIO), steepest=(steepest, RATIO))]
