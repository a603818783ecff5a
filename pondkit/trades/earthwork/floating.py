"""Bodies of the water side as they stand in ground, pools and groundwater, for what lifts them empty."""

import math
from collections.abc import Sequence

from pondkit.core import flotation as buoyancy
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words
from pondkit.core.units import LENGTH
from pondkit.geometry.hole import box_at, depth_over, lowest_over, span_over
from pondkit.geometry.path import Laid
from pondkit.geometry.uneven import Terrain
from pondkit.project.project import Option
from pondkit.trades.earthwork.cautions import BODY_IN_POOL
from pondkit.trades.earthwork.compute.structures import Body, bodies_of
from pondkit.trades.pools.results import PoolResult
from pondkit.trades.water.flotation import EmptyBody, flotation_check
from pondkit.trades.water.inputs.water import Filter
from pondkit.trades.water.lines import within
from pondkit.trades.water.results import FlotationResult


def work_out(
    option: Option, pools: tuple[PoolResult, ...], ground: Terrain | None, groundwater: float | None
) -> FlotationResult | None:
    """Uplift of the bodies whose underside is known; None where there is none, or where the ground is in trouble.

    Args:
        option: As drawn.
        pools: Those that could be worked out.
        ground: As it is, in site axes; None where it is in trouble.
        groundwater: Highest known level [m]; None where unknown.
    """
    drawn = option.water
    if drawn is None or ground is None:
        return None
    digs = tuple(pool.surfaces.dig for pool in pools)
    waters = tuple((pool.name, pool.surfaces.finished) for pool in pools)
    found = tuple(
        # Open to its pool, an intake is never empty while the pool is full.
        _stands(name, body, size, at, digs, waters if body is not drawn.intake else (), ground, groundwater)
        for _, name, body, size, at in bodies_of(drawn)
        if body.underside is not None  # else a problem of its hole
    )
    soil = within(drawn.backfill_density, drawn.backfill_density_within)
    return flotation_check(found, soil, float(drawn.uplift_safety)) if found else None


@remembered
def _stands(
    name: str,
    body: Body,
    size: Sequence[float],
    at: Sequence[float],
    digs: tuple[Laid, ...],
    waters: tuple[tuple[str, Laid], ...],
    ground: Terrain,
    groundwater: float | None,
) -> EmptyBody:
    assert body.underside is not None
    underside, outstand = float(body.underside), float(body.outstand)
    base = float(body.base) if outstand > 0 else 0.0
    plan = box_at(at, size, body.turn_deg, outstand)
    low, high = span_over(plan, ground)
    low = min([low, *(lowest_over(plan, dig) for dig in digs)])  # no soil where a pool is dug
    level, notes = _water(at, waters, high, groundwater)
    top = max(high if body.rim is None else float(body.rim), underside)
    own = (body.mass, body.ballast)
    if isinstance(body, Filter) and name != "filter":
        own = (body.second_mass, body.second_ballast)
    return EmptyBody(
        name,
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
    at: Sequence[float], waters: Sequence[tuple[str, Laid]], ground: float, groundwater: float | None
) -> tuple[float, list[Words]]:
    """Highest water round a body [m], and what is to be said of it."""
    level = ground if groundwater is None else float(groundwater)
    notes: list[Words] = [buoyancy.NOT_KNOWN] if groundwater is None else []
    for pool, finished in waters:
        if finished.level > level and depth_over(at, finished) > 0:
            level = finished.level
            notes.append(BODY_IN_POOL(pool=pool, level=(level, LENGTH)))
    return level, notes
