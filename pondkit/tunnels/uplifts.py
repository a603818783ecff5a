"""Relations of uplift: empty boxes and empty pipe in groundwater."""

import math

from pondkit.takeoff import holds
from pondkit.units import Density, Length, Mass, Ratio


def den_uplift(
    length: Length,
    width: Length,
    height: Length,
    wall: Length,
    floor_level: Length,
    water_level: Length,
    water_density: Density,
) -> Mass:
    """Mass of the water that an empty box pushes aside, walls, floor and lid among it: what lifts it.

    Source: Archimedes; the box taken as empty (conservative: city guideline on buoyancy of pipelines)
    """
    return (
        water_density
        * (length + 2 * wall)
        * (width + 2 * wall)
        * min(max(water_level - floor_level + wall, 0 * wall), height + 2 * wall)
    )


def den_held_down(
    length: Length,
    width: Length,
    wall: Length,
    own_mass: Mass,
    ballast: Mass,
    cover: Length,
    soil_density: Density,
    water_density: Density,
) -> Mass:
    """What holds an empty box down: its own mass, ballast, and the soil straight over its lid, counted as under water.

    Source: prism of soil over the lid, no friction at its sides (conservative); ballast in air, its own uplift not taken off: enter it so
    """
    return own_mass + ballast + (soil_density - water_density) * cover * (length + 2 * wall) * (width + 2 * wall)


@holds(
    lambda lift, held_down, safety: safety * lift <= held_down,
    "The empty box may float up: add this much ballast, counted as it weighs under water, or strap it to a slab; never rely on water standing in it.",
)
def den_ballast(lift: Mass, held_down: Mass, safety: Ratio) -> Mass:
    """Ballast that is still wanted for the safety entered; 0 where what is there is enough.

    Source: factor against uplift: user input (1.5 from memory, confirm)
    """
    return max(safety * lift - held_down, 0 * lift)


def pipe_cover_needed(
    outside_diameter: Length,
    pipe_mass: Mass,
    length: Length,
    safety: Ratio,
    soil_density: Density,
    water_density: Density,
) -> Length:
    """Depth of soil over the crown that holds empty pipe down in groundwater.

    Source: H = (FS U - W) / ((soil - water) OD), U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007); pipe taken as empty
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
    "Too little cover: empty pipe may float up in groundwater as high as this. Cover it deeper, or strap it down. Frost and loads may ask for more.",
)
def pipe_cover_spare(ground_level: Length, pipe_level: Length, outside_diameter: Length, needed: Length) -> Length:
    """Cover over the crown of a run where it has least, over the cover that holds it down empty.

    Source: geometry
    """
    return ground_level - pipe_level - outside_diameter / 2 - needed


def pipe_uplift(outside_diameter: Length, wet_length: Length, water_density: Density) -> Mass:
    """Mass of the water that a stretch of empty pipe pushes aside: what lifts it.

    Source: U = pi/4 OD^2 water: HDPE flotation technical note TN 5.05 (2007); pipe taken as empty (conservative: city guideline on buoyancy of pipelines)
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
    """What holds a stretch of empty pipe down: its own mass, and the soil straight over its crown, counted as under water.

    Source: prism of soil over the outside diameter, as H = (FS U - W) / ((soil - water) OD) has it: HDPE flotation technical note TN 5.05 (2007)
    """
    return (pipe_mass / length + (soil_density - water_density) * outside_diameter * cover) * wet_length


@holds(
    lambda uplift, held_down, safety: safety * uplift <= held_down,
    "Empty pipe may float up here: lay this much ballast along the stretch, counted as it weighs under water, or strap it down; never rely on water standing in it.",
)
def pipe_ballast(uplift: Mass, held_down: Mass, safety: Ratio) -> Mass:
    """Ballast that is still wanted along a stretch of pipe for the safety entered; 0 where what is there is enough.

    Source: factor against uplift: user input (1.5 from memory, confirm)
    """
    return max(safety * uplift - held_down, 0 * uplift)
