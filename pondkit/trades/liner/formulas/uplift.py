"""Relations of groundwater under a liner."""

from pondkit.core.entry import holds
from pondkit.core.units import Acceleration, Density, Force, Length, Mass, Pressure
from pondkit.trades.liner.cautions import LINER_LIFTS


@holds(
    lambda groundwater, floor_level, gravel, gravel_density, water_density: (
        gravel * gravel_density >= (groundwater - floor_level) * water_density
    ),
    LINER_LIFTS,
)
def liner_uplift(
    groundwater: Length, floor_level: Length, gravel: Length, gravel_density: Density, water_density: Density
) -> Length:
    """Head of groundwater under the liner of an empty pool, less what the gravel on it holds down, at the level part
    where most is left; 0 or less is held.

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
    """Weight of all stone that stands on the liner of a pool where groundwater pushes, by its low mass, dry as the
    pool is empty.

    Source: weight = mass × gravity
    """
    return sum(masses) * gravity
