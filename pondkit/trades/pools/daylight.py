"""The daylight line of a dig: where its bank meets the ground as it is, and what is cut and filled there."""

import math

import numpy as np

from pondkit.core.remembered import remembered
from pondkit.core.result import Problem, Trouble
from pondkit.core.sentence import words
from pondkit.core.units import LENGTH, RATIO
from pondkit.geometry.cut_fill import FAR_BANK, DaylightBand, Plane, TooSteep
from pondkit.geometry.outline import Shape
from pondkit.geometry.pool_surface import Basin
from pondkit.geometry.profile import Profile
from pondkit.geometry.site_surface import SiteSurface
from pondkit.geometry.terrain import Patch, Terrain, band_on, patch

NEAR = 2.0  # m beyond the rim within which the dig is taken to meet the ground; further out it is only slower


def cut_and_fill(dig: SiteSurface, ground: Terrain, index: int) -> DaylightBand:
    """Where the ground runs through the dig of a pool; uneven ground is looked at as far out as the dig goes.

    Args:
        dig: The pool's dig surface on the site.
        ground: The ground as it is.
        index: The pool's place in the option, for problems.
    Raises: Trouble where bank and ground meet too far out, or nowhere.
    """
    pool = dig.surface.pool
    # Whole steps, so that the ground looked at stays the same when a tier moves the rim a little.
    wide = math.ceil((dig.rim + NEAR) / NEAR) * NEAR
    while True:
        own: Plane | Patch
        if isinstance(ground, Plane):
            own = plane = ground.seen_from(dig.placed)
            lowest = float(plane.at(pool.shape.coords).min()) - plane.slope * (dig.rim + NEAR)
        else:
            own = samples = patch(pool.shape, dig.placed, ground, wide)
            lowest = samples.lowest
        upper = pool.profile.upper(dig.level - lowest)
        met = tuple(pit for pit in dig.surface.pits if pool.profile.depth(np.array(pit.clear)) < dig.level - lowest)
        near: DaylightBand = _band(pool.shape, upper, dig.rim, dig.rim_level, dig.level, own, met, index)
        if isinstance(own, Plane) or near.reach <= wide:
            return near
        wide = max(2 * wide, math.ceil(near.reach / NEAR) * NEAR)


@remembered
def _band(
    shape: Shape,
    upper: Profile,
    rim: float,
    rim_level: float,
    level: float,
    ground: Plane | Patch,
    pits: tuple[Basin, ...],
    index: int,
) -> DaylightBand:
    try:
        return band_on(shape, upper, rim, rim_level, level, ground, pits)
    except TooSteep as steep:
        figures = {
            "batter": (upper.lines[0].batter, RATIO),
            "fall": (ground.slope, RATIO),
            "reach": (steep.reach, LENGTH),
        }
        where = "only {reach} from the outline" if math.isfinite(steep.reach) else "nowhere"
        raise Trouble(
            Problem(
                ("pools", index, "bank_batter"),
                words(
                    f"a bank of {{batter}} horizontal to 1 vertical meets ground that falls {{fall}} {where}", **figures
                ),
                words("a bank that meets the ground within {far}", far=(FAR_BANK, LENGTH)),
                words("make the bank batter smaller, or set the level nearer to the ground"),
            )
        ) from None
