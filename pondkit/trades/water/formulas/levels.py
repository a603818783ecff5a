"""Relations of the levels with the pumps on and off."""

import math

from pondkit.core.units import Area, Length, Volume


def running_level(level: Length, rise: Length) -> Length:
    """Level of a pool's water while the pumps run, above the site datum.

    Source: level at rest, and the head that passes the flow over its crests
    """
    return level + rise


def lowest_running_level(level: Length, drawdown: Length) -> Length:
    """Level of the pool that the pumps draw from while they run, filled to its level at rest before and not topped
    up since.

    Source: conservation of volume
    """
    return level - drawdown


def water_in_transit(surface_area: Area, rise: Length) -> Volume:
    """Water that stands above a pool's crest while the pumps run, and runs down when they stop.

    Source: geometry, banks taken as upright over the small change of level
    """
    return surface_area * rise


def drains_back(surface_area: Area, water_level: Length, port_level: Length) -> Volume:
    """Water that runs back through an open branch when the pumps stop: all above the branch's open end.

    Source: geometry, sides taken as upright
    """
    return surface_area * (water_level - port_level)


def pipe_drains(bore: Length, length: Length) -> Volume:
    """Water of a line that runs back when the pumps stop; the whole line, as if it lay above the water drawn from.

    Source: geometry
    """
    return math.pi / 4 * bore**2 * length


def drawdown(return_volume: Volume, surface_area: Area) -> Length:
    """How far the pool that the pumps draw from falls as they start: all water that is then on its way is missing
    there.

    Source: conservation of volume, banks taken as upright over the small change of level
    """
    return return_volume / surface_area


def level_after_stop(level: Length, drawdown: Length) -> Length:
    """Level of the pool that the pumps draw from after they stop, if it was topped up to its level at rest as they ran.

    Source: conservation of volume, banks taken as upright over the small change of level
    """
    return level + drawdown
