"""Relations of the filter's bodies: overflow rate, particles kept, sediment; rise, contact, media."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import (
    Acceleration,
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
from pondkit.solvers.friction import Resistance
from pondkit.trades.water.cautions import BED_FAST, BED_OPEN

SMALLEST, LARGEST = 1e-7, 0.02  # m: particles between which the one that is just kept is looked for


def overflow_rate(flow: Flow, area: Area) -> Speed:
    """Flow over plan area of the settling chamber: a particle that sinks faster is kept.

    Source: definition; Davidson and Summerfelt 2005 (Aquacultural Engineering 33) ran swirl and radial-flow
    settlers at 4.6 gal/min/ft²
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

    Working: diameter of the sphere whose terminal velocity, by its drag at any Reynolds number, is the overflow
    rate over the share
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


VISCOUS, INERTIAL = 150.0, 1.75  # Ergun 1952, as printed


EDGE = 0.6  # discharge coefficient of a sharp edge: Ontario LID planning and design guide, flow through riser


def media_size(voids: Ratio, media_surface: SpecificArea) -> Length:
    """Diameter of the sphere that has as much surface for its volume as the media.

    Source: definition: 6 (1 - voids) over the surface in each volume of bed
    """
    return 6 * (1 - voids) / media_surface


@holds(
    lambda rise_rate, media_size, voids, viscosity: rise_rate * media_size / viscosity / (1 - voids) <= 2300, BED_FAST
)
@holds(lambda voids: voids <= 0.6, BED_OPEN)
def media_loss(
    rise_rate: Speed, media_depth: Length, voids: Ratio, media_size: Length, viscosity: Viscosity, gravity: Acceleration
) -> Length:
    """Head that the media bed takes.

    Working: (150 viscosity (1 - voids)² rise rate / size² + 1.75 (1 - voids) rise rate² / size) × depth / (g voids³)
    Source: Ergun, Fluid flow through packed columns, Chem. Eng. Prog. 48 (1952), 89
    """
    return ergun(media_depth, voids, media_size, viscosity, gravity).loss(rise_rate)[0]


def maker_loss(rise_rate: Speed, maker_loss: Length, maker_rate: Speed) -> Length:
    """Head that the media bed takes, from its maker's figure.

    Source: maker's figure (user input), carried on with the square of the rise rate
    """
    return maker_loss * (rise_rate / maker_rate) ** 2


def passage_velocity(flow: Flow, passage_area: Area) -> Speed:
    """Velocity in the opening between the filter's bodies.

    Source: conservation of mass
    """
    return flow / passage_area


def passage_loss(passage_velocity: Speed, discharge_coefficient: Ratio, gravity: Acceleration) -> Length:
    """Head that the opening between the filter's bodies takes.

    Source: orifice Q = C A √(2 g h) with C 0.6 for a sharp edge, Ontario LID planning and design guide
    """
    return (passage_velocity / discharge_coefficient) ** 2 / (2 * gravity)


def filter_running_level(level: Length, filter_loss: Length) -> Length:
    """Level of the filter's first body while the water runs: what the pumps lift to.

    Source: level of its last body, and the head that is taken between
    """
    return level + filter_loss


def ergun(depth: float, voids: float, size: float, viscosity: float, gravity: float) -> Resistance:
    """Ergun's head loss over the rise rate: a part that goes with it and a part that goes with its square."""
    common = depth / (gravity * voids**3)
    return Resistance(
        0.0, VISCOUS * viscosity * (1 - voids) ** 2 / size**2 * common, INERTIAL * (1 - voids) / size * common
    )
