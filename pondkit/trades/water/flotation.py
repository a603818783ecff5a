"""Uplift of empty bodies: intake basin, pump pit and filter in groundwater, or in a pool's water."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pondkit.core import flotation as buoyancy
from pondkit.core.entry import USER, Range, entry, with_cautions, within
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words
from pondkit.core.tables import densest_water
from pondkit.core.units import LENGTH
from pondkit.geometry.hole import box_at, depth_over, lowest_over, span_over
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.water.cautions import BODY_IN_POOL, KEEP_FILLED
from pondkit.trades.water.inputs.water import Filter, PlacedBody, Water, bodies_of
from pondkit.trades.water.results import FlotationResult


@dataclass(frozen=True)
class EmptyBody:
    """An empty body as it stands.

    Attributes:
        name: What it is called.
        size: Length and width, outside [m].
        plan_share: Share of that box that its plan fills.
        outstand: How far its base stands out all round [m].
        base: Thickness of that [m].
        underside, top: Levels [m].
        water_level: Highest water round it [m].
        cover: Soil over its lid [m].
        collar: Soil on its base's outstand [m].
        mass, ballast: As entered [kg].
        notes: What is to be said of the water round it.
    """

    name: str
    size: tuple[float, float]
    plan_share: float
    outstand: float
    base: float
    underside: float
    top: float
    water_level: float
    cover: float
    collar: float
    mass: float
    ballast: float
    notes: tuple[Words, ...]


@remembered
def flotation_check(bodies: Sequence[EmptyBody], soil_density: Range, safety: float) -> FlotationResult:
    """Uplift of bodies, what holds them, and the ballast that is still wanted.

    Args:
        bodies: As they stand.
        soil_density: Of the soil over lids and outstands, full of water [kg/m³].
        safety: Wanted of what holds down over what lifts.
    """
    density, source = densest_water()
    water = Range(density, density, density, source)
    soil = entry(buoyancy.buoyant_density, "", source=USER, soil_density=soil_density, water_density=water)
    lifts, holds, wanted = [], [], []
    for body in bodies:
        plan, ring = buoyancy.plan_areas(*body.size, body.plan_share, body.outstand)
        lift = entry(
            buoyancy.lifted_by,
            body.name,
            source=USER,
            cautions=body.notes,
            plan_area=plan,
            ring_area=ring,
            base=body.base,
            underside=body.underside,
            top=body.top,
            water_level=body.water_level,
            water_density=water,
        )
        hold = entry(
            buoyancy.held_down,
            body.name,
            source=USER,
            plan_area=plan,
            ring_area=ring,
            own_mass=body.mass,
            ballast=body.ballast,
            cover=body.cover,
            collar=body.collar,
            buoyant_density=soil,
        )
        more = entry(buoyancy.ballast_wanted, body.name, source=USER, uplift=lift, held_down=hold, safety=safety)
        lifts.append(lift)
        holds.append(hold)
        more = with_cautions(more, KEEP_FILLED()) if more.value > 0 else more
        wanted.append(buoyancy.by_groundwater(more, body.notes))
    return FlotationResult(tuple(lifts), tuple(holds), tuple(wanted))


def compute(
    drawn: Water | None, pools: tuple[PoolResult, ...], ground: Terrain | None, groundwater: float | None
) -> FlotationResult | None:
    """Uplift of the bodies whose base elevation is known; None where there is none, or where the ground is in trouble.

    Args:
        drawn: The water side; None where the option has none.
        pools: Those that could be worked out.
        ground: As it is, in site axes; None where it is in trouble.
        groundwater: Highest known level [m]; None where unknown.
    """
    if drawn is None or ground is None:
        return None
    digs = tuple(pool.surfaces.dig for pool in pools)
    waters = tuple((pool.name, pool.surfaces.finished) for pool in pools)
    empty = tuple(
        # Open to its pool, an intake is never empty while the pool is full.
        _stands(body, digs, waters if body.part is not drawn.intake else (), ground, groundwater)
        for body in bodies_of(drawn)
        if body.part.underside is not None  # else a problem of its hole
    )
    soil = within(drawn.backfill_density, drawn.backfill_density_within)
    return flotation_check(empty, soil, float(drawn.uplift_safety)) if empty else None


@remembered
def _stands(
    placed: PlacedBody,
    digs: tuple[SiteSurface, ...],
    waters: tuple[tuple[str, SiteSurface], ...],
    ground: Terrain,
    groundwater: float | None,
) -> EmptyBody:
    body, size, at = placed.part, placed.size, placed.at
    assert body.underside is not None
    underside, outstand = float(body.underside), float(body.outstand)
    base = float(body.base) if outstand > 0 else 0.0
    plan = box_at(at, size, body.turn_deg, outstand)
    low, high = span_over(plan, ground)
    low = min([low, *(lowest_over(plan, dig) for dig in digs)])  # no soil where a pool is dug
    level, notes = _water(at, waters, high, groundwater)
    top = max(high if body.rim is None else float(body.rim), underside)
    own = (body.mass, body.ballast)
    if isinstance(body, Filter) and placed.name != "filter":
        own = (body.second_mass, body.second_ballast)
    return EmptyBody(
        placed.name,
        (float(size[0]), float(size[1])),
        math.pi / 4 if body.round else 1.0,
        outstand,
        base,
        underside,
        top,
        level,
        max(low - top, 0.0) if body.covered and body.rim is not None else 0.0,
        max(low - underside - base, 0.0) if outstand > 0 else 0.0,
        float(own[0] or 0.0),
        float(own[1] or 0.0),
        tuple(notes),
    )


def _water(
    at: Sequence[float], waters: Sequence[tuple[str, SiteSurface]], ground: float, groundwater: float | None
) -> tuple[float, list[Words]]:
    """Highest water round a body [m], and what is to be said of it."""
    level = ground if groundwater is None else float(groundwater)
    notes: list[Words] = [buoyancy.NOT_KNOWN] if groundwater is None else []
    for pool, finished in waters:
        if finished.level > level and depth_over(at, finished) > 0:
            level = finished.level
            notes.append(BODY_IN_POOL(pool=pool, level=(level, LENGTH)))
    return level, notes
