"""Relations of flushing."""

import math

from pondkit.core.entry import holds
from pondkit.core.units import Angle, Flow, Length, Speed, Time, Volume


@holds(
    lambda flush_flow, bore, wanted: flush_flow >= wanted * math.pi / 4 * bore**2,
    "Slower than the velocity wanted: what has settled here stays. Flush it harder, or rod it.",
)
def flush_velocity(flush_flow: Flow, bore: Length, wanted: Speed) -> Speed:
    """Mean velocity in a run with all of the flush going through it; it is to be the velocity wanted, or more.

    Working: flush flow over the area of the bore; the velocity wanted stands beside it
    Source: conservation of volume; cleansing 3 ft/s in force mains with constant-speed pumps: New Hampshire Env-Wq 704.07
    """
    return flush_flow / (math.pi / 4 * bore**2)


def flush_time(bores_squared_lengths: tuple[Volume, ...], flush_flow: Flow) -> Time:
    """Time to change the water three times on the way from the flush to a mouth.

    Source: conservation of volume; three times: your own rule
    """
    return 3 * math.pi / 4 * sum(bores_squared_lengths) / flush_flow


def flush_flow_needed(wanted: Speed, widest_bore: Length) -> Flow:
    """Flow that gives the velocity wanted in the widest pipe on any way.

    Source: conservation of volume
    """
    return wanted * math.pi / 4 * widest_bore**2


@holds(
    lambda run_length: run_length <= 0,
    "No flush goes through it with any mouth open: rod it from its end, or give it a mouth.",
)
def unswept_length(run_length: Length) -> Length:
    """Length of a run that lies on no way from the flush to a mouth.

    Source: counted over the ways
    """
    return run_length


@holds(
    lambda bends: sum(bends) <= 90,
    "More than 90° of bends between two ways in: a rod may not pass; set a chamber or a capped branch between.",
)
def rod_bends(bends: tuple[Angle, ...]) -> Angle:
    """Bends between two neighbouring ways in for a rod: mouths, chambers, capped ends.

    Working: sum of bends
    Source: angles of the fittings; no more than 90 degrees: common practice, no source
    """
    return sum(bends)
