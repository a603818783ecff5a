"""Flotation check of empty bodies: intake basin, pump pit and filter, in groundwater or in a pool's water."""

import math
from collections.abc import Sequence

from pondkit.core import flotation as buoyancy
from pondkit.core.entry import Range, within
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words
from pondkit.core.units import LENGTH
from pondkit.geometry.hole import box_at, depth_over, lowest_over, span_over
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Terrain
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.water.cautions import BODY_IN_POOL, KEEP_FILLED
from pondkit.trades.water.inputs.water import Filter, PlacedBody, Water, bodies_of
from pondkit.trades.water.results import FlotationResult


@remembered
def flotation_check(bodies: Sequence[buoyancy.EmptyBody], soil_density: Range, safety: float) -> FlotationResult:
    """Flotation check: uplift of empty bodies, resisting weights, and the ballast still required.

    Args:
        bodies: The empty bodies.
        soil_density: Saturated density of the soil on lids and projecting bases [kg/m³].
        safety: Required ratio of resisting weight to uplift.
    """
    checks = [buoyancy.check_body(body, soil_density, safety, KEEP_FILLED()) for body in bodies]
    lifts, holds, required = zip(*checks, strict=True)
    return FlotationResult(lifts, holds, required)


def compute(
    water: Water | None, pools: tuple[PoolResult, ...], ground: Terrain | None, groundwater: float | None
) -> FlotationResult | None:
    """Flotation check of the bodies whose base elevation is known. None if there are none, or if the ground has a
    problem.

    Args:
        water: Inputs of the water side; None if the option has none.
        pools: Pools without problems.
        ground: Existing ground in site axes; None if it has a problem.
        groundwater: Highest known groundwater level [m]; None if unknown.
    """
    if water is None or ground is None:
        return None
    digs = tuple(pool.surfaces.dig for pool in pools)
    waters = tuple((pool.name, pool.surfaces.finished) for pool in pools)
    empty = tuple(
        # Open to its pool, an intake is never empty while the pool is full.
        _empty_body(body, digs, waters if body.part is not water.intake else (), ground, groundwater)
        for body in bodies_of(water)
        if body.part.underside is not None  # without it, its hole has a problem
    )
    soil = within(water.backfill_density, water.backfill_density_within)
    return flotation_check(empty, soil, float(water.uplift_safety)) if empty else None


@remembered
def _empty_body(
    placed: PlacedBody,
    digs: tuple[SiteSurface, ...],
    waters: tuple[tuple[str, SiteSurface], ...],
    ground: Terrain,
    groundwater: float | None,
) -> buoyancy.EmptyBody:
    """A body as the flotation check takes it, empty, with the soil on it and the water round it.

    Args:
        placed: The body at its place, with its base level.
        digs: Dug surface of each pool.
        waters: (name, finished surface) of each pool whose water may lift it.
        ground: Existing ground in site axes.
        groundwater: Highest known groundwater level [m]; None if unknown.
    """
    body, size, place = placed.part, placed.size, placed.at
    assert body.underside is not None
    underside, outstand = float(body.underside), float(body.outstand)
    base = float(body.base) if outstand > 0 else 0.0
    plan = box_at(place, size, body.turn_deg, outstand)
    lowest_ground, highest_ground = span_over(plan, ground)
    soil_level = min([lowest_ground, *(lowest_over(plan, dig) for dig in digs)])  # no soil where a pool is dug
    water_level, notes = _water_round(place, waters, highest_ground, groundwater)
    top = max(highest_ground if body.rim is None else float(body.rim), underside)
    mass, ballast = body.mass, body.ballast
    if isinstance(body, Filter) and placed.name != "filter":
        mass, ballast = body.second_mass, body.second_ballast
    return buoyancy.EmptyBody(
        name=placed.name,
        size=(float(size[0]), float(size[1])),
        plan_share=math.pi / 4 if body.round else 1.0,
        outstand=outstand,
        base=base,
        underside=underside,
        top=top,
        water_level=water_level,
        cover=max(soil_level - top, 0.0) if body.covered and body.rim is not None else 0.0,
        collar=max(soil_level - underside - base, 0.0) if outstand > 0 else 0.0,
        mass=float(mass or 0.0),
        ballast=float(ballast or 0.0),
        notes=tuple(notes),
    )


def _water_round(
    place: Sequence[float], waters: Sequence[tuple[str, SiteSurface]], ground: float, groundwater: float | None
) -> tuple[float, list[Words]]:
    """(highest water level round a body [m], remarks on it). Groundwater that is not known stands at the ground."""
    level = ground if groundwater is None else float(groundwater)
    notes: list[Words] = [buoyancy.NOT_KNOWN] if groundwater is None else []
    for pool, finished in waters:
        if finished.level > level and depth_over(place, finished) > 0:
            level = finished.level
            notes.append(BODY_IN_POOL(pool=pool, level=(level, LENGTH)))
    return level, notes
