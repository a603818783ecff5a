"""Relations of a liner's folds, of pads, and of groundwater under it."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Acceleration, Angle, Area, Count, Density, Force, Length, Mass, Pressure, Share
from pondkit.trades.liner.cautions import FOLDS, LINER_LIFTS


def pad_area(count: Count, long: Length, wide: Length, margin: Length) -> Area:
    """Fabric in pads under boulders, over and under the liner alike: one layer, the box round the footprint and a margin all round.

    Source: the two longer axes of the stone; margin: user input
    """
    return count * (long + 2 * margin) * (wide + 2 * margin)


def burrow_pad_area(surface: Area, stretch: Share) -> Area:
    """Fabric in one layer of pad over a zone in which burrowing is expected, net.

    Source: true area of the liner in the zone, under the waterline; which zone and how much of it: user input
    """
    return surface * stretch


@holds(lambda turned: turned <= 0, FOLDS)
def fold(way: Length, run: Length, turned: Angle) -> Length:
    """How much more liner than rim there is along a stretch of the rim: it goes into folds; negative where it is drawn tight.

    Working: way over the surface from the rim to the floor less its level run, times the angle in radians by which the stretch turned
    Source: geometry: round a floor that lies flat the sheet's edge is a line at the way's distance, the rim one at the run's
    """
    return (way - run) * math.radians(turned)


@holds(
    lambda groundwater, floor_level, gravel, gravel_density, water_density: (
        gravel * gravel_density >= (groundwater - floor_level) * water_density
    ),
    LINER_LIFTS,
)
def liner_uplift(
    groundwater: Length, floor_level: Length, gravel: Length, gravel_density: Density, water_density: Density
) -> Length:
    """Head of groundwater under the liner of an empty pool, less what the gravel on it holds down, at the level part where most is left; 0 or less is held.

    Source: hydrostatics; gravel full of air (drained), its density: user input
    """
    return groundwater - floor_level - gravel * gravel_density / water_density


def uplift_pressure(
    groundwater: Length, floor_level: Length, water_density: Density, gravity: Acceleration
) -> Pressure:
    """Pressure of groundwater under the liner of an empty pool, at the level part where most is left of it.

    Source: hydrostatics
    """
    return (groundwater - floor_level) * water_density * gravity


def gravel_holds(gravel: Length, gravel_density: Density, gravity: Acceleration) -> Pressure:
    """Pressure with which the gravel on that part alone holds the liner down.

    Source: weight over area; gravel full of air (drained), its density: user input
    """
    return gravel * gravel_density * gravity


def stone_holds(masses: tuple[Mass, ...], gravity: Acceleration) -> Force:
    """Weight of all stone that stands on the liner of a pool where groundwater pushes, by its low mass, dry as the pool is empty.

    Source: weight = mass × gravity
    """
    return sum(masses) * gravity
