"""Uplift of empty bodies: intake basin, pump pit and filter in groundwater, or in a pool's water."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pondkit.core import flotation as buoyancy
from pondkit.core.entry import USER, Range, entry, with_cautions
from pondkit.core.remembered import remembered
from pondkit.core.sentence import Words
from pondkit.core.tables import densest_water
from pondkit.trades.water.cautions import KEEP_FILLED
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
    lifts, holds, wanted = [], [], []
    for body in bodies:
        plan: dict[str, Any] = {
            "length": body.size[0],
            "width": body.size[1],
            "plan_share": body.plan_share,
            "outstand": body.outstand,
        }
        lift = entry(
            buoyancy.lifted_by,
            body.name,
            source=USER,
            cautions=body.notes,
            **plan,
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
            **plan,
            own_mass=body.mass,
            ballast=body.ballast,
            cover=body.cover,
            collar=body.collar,
            soil_density=soil_density,
            water_density=water,
        )
        more = entry(buoyancy.ballast_wanted, body.name, source=USER, uplift=lift, held_down=hold, safety=safety)
        lifts.append(lift)
        holds.append(hold)
        wanted.append(with_cautions(more, KEEP_FILLED()) if more.value > 0 else more)
    return FlotationResult(tuple(lifts), tuple(holds), tuple(wanted))
