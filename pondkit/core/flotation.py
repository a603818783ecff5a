"""Relations of uplift that dens, bodies of the water side and pipe share: empty, all of them float by the same law."""

from collections.abc import Iterable
from dataclasses import replace

from pondkit.core.caution import ACT, CHECK, Caution, CautionRule
from pondkit.core.entry import Entry, holds
from pondkit.core.sentence import Words
from pondkit.core.units import Area, Density, Length, Mass, Ratio

GROUNDWATER_NOT_ENTERED = CautionRule(
    "groundwater_not_entered",
    CHECK,
    "body_uplift",
    "The groundwater's highest level is not entered: it is taken to stand at the ground's surface.",
)
NOT_KNOWN: Words = GROUNDWATER_NOT_ENTERED()


def by_groundwater(figure: Entry, notes: Iterable[Words]) -> Entry:
    """A figure of uplift as it stands; where the groundwater is not known, nothing has been shown to fail yet, and
    what would be to act on is to be checked.
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
    """Plan of a box, and the ring that its base adds to that all round [m²].

    Args:
        length, width: Of the box, outside [m].
        plan_share: Share of that rectangle that the plan fills: 1, or π/4 for an ellipse.
        projection: How far the base stands out all round [m].

    A round pit of 2 m on a base that stands out by 0.5 m:

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
    """Mass of the water that an empty box pushes aside, up to its top, and that its base pushes aside in the ring
    round it.

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
    """What holds an empty box down: its own mass, ballast, and the soil straight over its lid and over the ring of its
    base, less the water that this soil pushes aside.

    Source: prism of soil over lid and ring, no friction at its sides (conservative); ballast in air, its own
    uplift not taken off: enter it so
    """
    return own_mass + ballast + buoyant_density * (plan_area * cover + ring_area * collar)


def buoyant_density(soil_density: Density, water_density: Density) -> Density:
    """What a volume of soil full of water weighs under water.

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
    """Ballast that is still wanted for the safety entered; 0 where what is there is enough.

    Source: factor against uplift: user input (1.5 from memory, confirm)
    """
    return max(safety * uplift - held_down, 0 * uplift)
