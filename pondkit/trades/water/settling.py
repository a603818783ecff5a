"""Relations of the filter's bodies: overflow rate, particles kept, sediment; rise, contact, media."""

import math

from pondkit.core.units import (
    Area,
    Density,
    Flow,
    Length,
    MassRate,
    Ratio,
    SpecificArea,
    Speed,
    Time,
    Viscosity,
    Volume,
)

SMALLEST, LARGEST = 1e-7, 0.02  # m: particles between which the one that is just kept is looked for


def overflow_rate(flow: Flow, area: Area) -> Speed:
    """Flow over plan area of the settling chamber: a particle that sinks faster is kept.

    Source: definition; Davidson and Summerfelt 2005 (Aquacultural Engineering 33) ran swirl and radial-flow settlers at 4.6 gal/min/ft²
    """
    return flow / area


def sinking(diameter: float, solids: float, water: float, viscosity: float) -> float:
    """Velocity at which a sphere sinks in still water [m/s].

    Source: drag on a sphere at any Reynolds number, by the fluids library; Stokes' law where it is slow
    """
    from fluids.drag import v_terminal

    return float(v_terminal(D=diameter, rhop=solids, rho=water, mu=viscosity * water))


def smallest_kept(
    overflow_rate: Speed, working_share: Ratio, solids_density: Density, water_density: Density, viscosity: Viscosity
) -> Length:
    """Smallest particle that settles: it sinks as fast as the water rises in the part of the chamber that works.

    Working: diameter of the sphere whose terminal velocity, by its drag at any Reynolds number, is the overflow rate over the share
    of the chamber that works
    Source: fluids library, terminal velocity (laws of drag differ by about 3 %)
    """
    from scipy.optimize import brentq

    rate = overflow_rate / working_share

    def over(log_diameter: float) -> float:
        return math.log(sinking(math.exp(log_diameter), solids_density, water_density, viscosity) / rate)

    return math.exp(float(brentq(over, math.log(SMALLEST), math.log(LARGEST), xtol=1e-9)))


def sediment_a_day(feed: MassRate, solids: Ratio, dry_part: Density) -> Flow:
    """Volume of sediment that gathers.

    Source: feed times the share that settles, over the dry mass in each volume of sediment (user inputs)
    """
    return feed * solids / dry_part


def time_to_clean_out(area: Area, room: Length, sediment: Flow) -> Time:
    """Time until the sediment reaches the clean-out level.

    Source: geometry: area times room over what gathers
    """
    return area * room / sediment


def rise_rate(flow: Flow, area: Area) -> Speed:
    """Velocity at which the water rises through the media, as if they were not there.

    Source: definition
    """
    return flow / area


def media_volume(area: Area, depth: Length) -> Volume:
    """Bulk volume of the media.

    Source: geometry
    """
    return area * depth


def contact_time(media_volume: Volume, voids: Ratio, flow: Flow) -> Time:
    """Time that the water is between the media.

    Source: volume of the voids over flow
    """
    return media_volume * voids / flow


def media_surface(media_volume: Volume, specific_surface: SpecificArea) -> Area:
    """Surface of all media.

    Source: volume times the surface in each volume
    """
    return media_volume * specific_surface
