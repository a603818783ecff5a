"""Relations of uplift that dens, bodies of the water side and pipe share: empty, all of them float by the same law."""

from collections.abc import Iterable
from dataclasses import replace

from pondkit.core.caution import ACT, CHECK, Caution, CautionRule
from pondkit.core.entry import Entry, holds
from pondkit.core.sentence import Words
from pondkit.core.units import Density, Length, Mass, Ratio

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


def lifted_by(
    length: Length,
    width: Length,
    plan_share: Ratio,
    outstand: Length,
    base: Length,
    underside: Length,
    top: Length,
    water_level: Length,
    water_density: Density,
) -> Mass:
    """Mass of the water that an empty box pushes aside, up to its top, and that its base pushes aside where it
    stands out.

    Length and width are outside; the plan is their box, or the share of it that an ellipse fills.

    Source: Archimedes; the box taken as empty (conservative: city guideline on buoyancy of pipelines)
    """
    return (
        water_density
        * plan_share
        * (
            length * width * min(max(water_level - underside, 0 * base), top - underside)
            + ((length + 2 * outstand) * (width + 2 * outstand) - length * width)
            * min(max(water_level - underside, 0 * base), base)
        )
    )


def held_down(
    length: Length,
    width: Length,
    plan_share: Ratio,
    outstand: Length,
    own_mass: Mass,
    ballast: Mass,
    cover: Length,
    collar: Length,
    soil_density: Density,
    water_density: Density,
) -> Mass:
    """What holds an empty box down: its own mass, ballast, and the soil straight over its lid and on its base's
    outstand, as under water.

    Source: prism of soil over lid and outstand, no friction at its sides (conservative); ballast in air, its own
    uplift not taken off: enter it so
    """
    return (
        own_mass
        + ballast
        + (soil_density - water_density)
        * plan_share
        * (length * width * cover + ((length + 2 * outstand) * (width + 2 * outstand) - length * width) * collar)
    )


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
