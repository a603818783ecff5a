"""Flotation of dens, bodies of the water side and pipe: empty, all of them follow the same law.

The relations come first; ``check_body`` evaluates them for an ``EmptyBody``, and ``ballast_required`` is the last step,
which pipe shares.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pondkit.core.caution import ACT, CHECK, Caution, CautionRule
from pondkit.core.entry import USER, Entry, Range, entry, holds, with_cautions
from pondkit.core.sentence import Words
from pondkit.core.tables import densest_water
from pondkit.core.units import Area, Density, Length, Mass, Ratio

GROUNDWATER_NOT_ENTERED = CautionRule(
    "groundwater_not_entered",
    CHECK,
    "body_uplift",
    "The groundwater's highest level is not entered: it is taken to stand at the ground's surface.",
)
NOT_KNOWN: Words = GROUNDWATER_NOT_ENTERED()


def by_groundwater(figure: Entry, notes: Iterable[Words]) -> Entry:
    """A figure of flotation with its cautions. If the groundwater level is unknown, nothing is proven to fail yet, so
    that 'act' becomes 'check'.
    """
    if NOT_KNOWN not in notes:
        return figure
    return replace(
        figure,
        cautions=tuple(
            replace(each, rank=CHECK) if isinstance(each, Caution) and each.rank == ACT else each
            for each in figure.cautions
        ),
    )


def plan_areas(length: float, width: float, plan_share: float, projection: float) -> tuple[float, float]:
    """(plan area of a box, area of the ring by which its base projects beyond it on all sides) [m²].

    Args:
        length, width: Outer dimensions of the box [m].
        plan_share: Plan area over that rectangle: 1, or π/4 for an ellipse.
        projection: Projection of the base on all sides [m].

    A round pit of 2 m on a base that projects by 0.5 m:

    >>> [round(area, 3) for area in plan_areas(2, 2, math.pi / 4, 0.5)]
    [3.142, 3.927]
    """
    box = length * width
    return plan_share * box, plan_share * ((length + 2 * projection) * (width + 2 * projection) - box)


def lifted_by(
    plan_area: Area,
    ring_area: Area,
    base: Length,
    underside: Length,
    top: Length,
    water_level: Length,
    water_density: Density,
) -> Mass:
    """Mass of the water that an empty box displaces up to its top, and that the projecting ring of its base displaces.

    Source: Archimedes; the box taken as empty (conservative: city guideline on buoyancy of pipelines)
    """
    return water_density * (
        plan_area * min(max(water_level - underside, 0 * base), top - underside)
        + ring_area * min(max(water_level - underside, 0 * base), base)
    )


def held_down(
    plan_area: Area,
    ring_area: Area,
    own_mass: Mass,
    ballast: Mass,
    cover: Length,
    collar: Length,
    buoyant_density: Density,
) -> Mass:
    """Mass that resists flotation of an empty box: its own, ballast, and the soil straight above its lid and above the
    ring of its base, less the water that this soil displaces.

    Source: prism of soil over lid and ring, no friction at its sides (conservative); ballast in air, its own uplift
    not taken off: enter it so
    """
    return own_mass + ballast + buoyant_density * (plan_area * cover + ring_area * collar)


def buoyant_density(soil_density: Density, water_density: Density) -> Density:
    """Submerged density of saturated soil.

    Source: Archimedes
    """
    return soil_density - water_density


FLOATS_WHEN_EMPTY = CautionRule(
    "floats_when_empty",
    ACT,
    "body_ballast",
    "Empty, it may float up: hold it down by this much more ballast, counted as it weighs under "
    "water, or strap it to a slab.",
)


@holds(lambda uplift, held_down, safety: safety * uplift <= held_down, FLOATS_WHEN_EMPTY)
def ballast_wanted(uplift: Mass, held_down: Mass, safety: Ratio) -> Mass:
    """Ballast that is still required for the factor of safety entered; 0 if the present one is enough.

    Source: factor against uplift: user input (1.5 from memory, confirm)
    """
    return max(safety * uplift - held_down, 0 * uplift)


@dataclass(frozen=True)
class EmptyBody:
    """An empty body, for the flotation check.

    Attributes:
        name: Name of the body.
        size: Length and width, outside [m].
        plan_share: Plan area over length × width: 1 for a rectangle, π/4 for a round body.
        outstand: Projection of its base slab beyond the walls [m].
        base: Thickness of the base slab [m].
        underside, top: Levels of its base and top [m].
        water_level: Highest water level outside [m].
        cover: Thickness of soil over its lid [m].
        collar: Height of soil on the projecting base [m].
        mass, ballast: As entered [kg].
        notes: Remarks on the water level assumed.
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


def water_density() -> Range:
    """Greatest density of water [kg/m³], which gives the greatest uplift."""
    density, source = densest_water()
    return Range(density, density, density, source)


def check_body(body: EmptyBody, soil_density: Range, safety: float, caution: Caution) -> tuple[Entry, Entry, Entry]:
    """(uplift, resisting weight, ballast still required) of an empty body.

    Args:
        body: The empty body.
        soil_density: Saturated density of the soil on its lid and projecting base [kg/m³].
        safety: Required ratio of resisting weight to uplift.
        caution: Further caution if ballast is required.
    """
    plan, ring = plan_areas(*body.size, body.plan_share, body.outstand)
    water = water_density()
    soil = entry(buoyant_density, "", source=USER, soil_density=soil_density, water_density=water)
    lift = entry(
        lifted_by,
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
        held_down,
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
    return lift, hold, ballast_required(body.name, lift, hold, safety, caution, body.notes)


def ballast_required(
    subject: str, uplift: Entry, hold: Entry, safety: float, caution: Caution, notes: Iterable[Words]
) -> Entry:
    """Ballast still required for a subject, with a further caution if there is any; ``notes``: remarks on the water
    level assumed.
    """
    more = entry(ballast_wanted, subject, source=USER, uplift=uplift, held_down=hold, safety=safety)
    return by_groundwater(with_cautions(more, caution) if more.value > 0 else more, notes)
