"""Relations of empty pipe in groundwater."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Density, Length, Mass, Ratio
from pondkit.trades.tunnels import cautions as warn


def pipe_cover_needed(
    outside_diameter: Length,
    pipe_mass: Mass,
    length: Length,
    safety: Ratio,
    soil_density: Density,
    water_density: Density,
) -> Length:
    """Depth of soil over the crown that holds empty pipe down in groundwater.

    Source: H = (FS U - W) / ((soil - water) OD), U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007);
    pipe taken as empty
    """
    return max(
        (safety * water_density * math.pi / 4 * outside_diameter**2 - pipe_mass / length)
        / ((soil_density - water_density) * outside_diameter),
        0 * length,
    )


@holds(
    lambda ground_level, pipe_level, outside_diameter, needed: (
        ground_level - pipe_level - outside_diameter / 2 >= needed
    ),
    warn.COVER_TOO_THIN,
)
def pipe_cover_spare(ground_level: Length, pipe_level: Length, outside_diameter: Length, needed: Length) -> Length:
    """Cover over the crown of a run where it has least, over the cover that holds it down empty.

    Source: geometry
    """
    return ground_level - pipe_level - outside_diameter / 2 - needed


def pipe_uplift(outside_diameter: Length, wet_length: Length, water_density: Density) -> Mass:
    """Mass of the water that a stretch of empty pipe pushes aside: what lifts it.

    Source: U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007); pipe taken as empty (conservative: city
    guideline on buoyancy of pipelines)
    """
    return water_density * math.pi / 4 * outside_diameter**2 * wet_length


def pipe_held_down(
    pipe_mass: Mass,
    length: Length,
    wet_length: Length,
    outside_diameter: Length,
    cover: Length,
    soil_density: Density,
    water_density: Density,
) -> Mass:
    """What holds a stretch of empty pipe down: its own mass, and the soil straight over its crown, counted as under
    water.

    Source: prism of soil over the outside diameter, as H = (FS U - W) / ((soil - water) OD) has it: HDPE flotation
    technical note TN 5.05 (2007)
    """
    return (pipe_mass / length + (soil_density - water_density) * outside_diameter * cover) * wet_length
