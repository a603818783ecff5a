"""Relations of the intake: screen area, velocities at it and through it, head that it takes."""

from pondkit.core.units import Acceleration, Area, Flow, Length, Ratio, Speed

SCREEN_K = (
    "K of a screen or perforated plate with square edges by its open share: Blevins, Applied "
    "Fluid Dynamics Handbook, 1984 (fluids library)"
)


def screen_area_needed(flow: Flow, approach_velocity: Speed, blocked: Ratio) -> Area:
    """Gross screen area at which the water comes to it no faster than chosen.

    Source: area is flow over approach velocity, blocked parts taken off (NMFS Juvenile Fish Screen Criteria for
    Pump Intakes)
    """
    return flow / approach_velocity / (1 - blocked)


def approach_velocity(flow: Flow, screen_area: Area, blocked: Ratio) -> Speed:
    """Velocity at which the water comes to the screen as built.

    Source: conservation of mass, blocked parts taken off
    """
    return flow / (screen_area * (1 - blocked))


def velocity_through_openings(
    flow: Flow, screen_area: Area, blocked: Ratio, open_share: Ratio, clogged: Ratio
) -> Speed:
    """Velocity in the openings of the screen that are not clogged.

    Source: conservation of mass
    """
    return flow / (screen_area * (1 - blocked) * open_share * (1 - clogged))


def intake_cover(running_level: Length, screen_top: Length) -> Length:
    """Water over the top of the screen while the pumps run.

    Source: geometry
    """
    return running_level - screen_top


def screen_loss(approach_velocity: Speed, clogged: Ratio, screen_k: Ratio, gravity: Acceleration) -> Length:
    """Head that the screen takes: the water behind it, which the pumps draw, stands lower by this.

    Source: K times velocity head of the water that comes to what is open
    """
    return screen_k * (approach_velocity / (1 - clogged)) ** 2 / (2 * gravity)


def level_behind_screen(running_level: Length, screen_loss: Length) -> Length:
    """Level of the water that the pumps draw.

    Source: running level of the pool, and what the screen takes
    """
    return running_level - screen_loss


def screen_k(open_share: float) -> float:
    """Loss coefficient of a screen, on the velocity at which the water comes to it.

    Source: square-edged screen or perforated plate, Blevins, Applied Fluid Dynamics Handbook, 1984, by the fluids
    library
    """
    from fluids.filters import square_edge_screen

    return float(square_edge_screen(open_share))
